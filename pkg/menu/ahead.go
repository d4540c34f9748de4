package menu

import (
	"errors"
	"slices"
	"strings"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// LookAhead is a menu under the rules of its own dates and under those that come
// after them.
type LookAhead struct {
	Own    *Review
	Coming []Coming // by date; none when no later change is known

	// How far the data speak: the last day on which anything of the pattern, or of
	// the crediting rules where the menu has recipes or products, changes, and the
	// date of the newest paper they were read from. A rule published later is not in
	// them.
	LastChange, Newest rules.Date
}

// Coming is the menu under the rules of a later date.
type Coming struct {
	On          rules.Date   // when the rules change, or the date that was asked about
	Asked       bool         // by the caller
	Also        []rules.Date // changes before On that no such week falls into
	First, Last rules.Date   // of the days the menu is moved to
	Review      *Review      // nil with Faults
	Faults      *fault.List  // why the menu cannot be reviewed there, such as a rule that has ended
	Differences []Difference // worst first, notes after the rest
	Changes     []Change     // what the rules ask for otherwise, in the order of the data
}

// Verdict is the worst verdict under the coming rules.
func (c *Coming) Verdict() Verdict {
	if c.Review == nil {
		return NotChecked
	}
	return c.Review.Verdict()
}

// Change is a value of the rules that differs between two days.
type Change struct {
	Rule, Title string
	Was, Is     string // as printed, with the unit; "none" where nothing is asked for, empty where nothing is known
	On          rules.Date
	Citation    string
	Crediting   bool // a rule of crediting, not of the pattern
}

// mostAhead bounds how far a menu is moved: dates have years of four digits.
const mostAhead = 9999

// Ahead reviews a menu under each rule date that comes after its first day, and
// under the dates asked about, and says what differs from the review on its own
// dates. The days are moved by whole weeks to the first on which all of them, and
// the week they begin, are under the rules of that date; summer meals by whole
// years (docs/menus.md). An error is a *fault.List, or what stopped a review.
func (r *Reviewer) Ahead(m Menu, asked ...rules.Date) (*LookAhead, error) {
	own, err := r.Review(m)
	if err != nil {
		return nil, err
	}
	first, last := span(&m)
	var faults fault.List
	for i, on := range asked {
		switch {
		case on.IsZero():
			faults.Add(fault.Fault{Reason: fault.Missing, Path: fault.Index("on", i), Want: "a date", Fix: "Leave it out to ask about the dates of change alone."})
		case on.Before(first):
			faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: fault.Index("on", i), Value: on.String(), Want: "a day from the first of the menu on, " + first.String(), Fix: "Write the menu with its earlier dates to see it under earlier rules."})
		case on.Year > mostAhead-2:
			faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: fault.Index("on", i), Value: on.String(), Want: "a year to which the menu can be moved", Fix: "Check the year."})
		}
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	out := &LookAhead{Own: own}
	key := own.Patterns[0].Key
	changes := r.changes(key, &m)
	out.LastChange = changes[len(changes)-1]
	out.Newest = r.newest(key)
	var folded []rules.Date
	for _, on := range dates(changes, asked, first) {
		c := Coming{On: on, Asked: slices.Contains(asked, on)}
		by := move(m.Program, first, on)
		c.First, c.Last = later(first, by), later(last, by)
		next := after(changes, on)
		if !c.Asked && !next.IsZero() && !c.Last.Before(next) {
			folded = append(folded, on)
			continue
		}
		c.Also, folded = folded, nil
		moved := shifted(&m, by)
		c.Review, err = r.Review(moved)
		if err != nil && !errors.As(err, &c.Faults) {
			return nil, err
		}
		c.Changes = r.between(&m, own, c.Review, by)
		if c.Review != nil {
			c.Differences = differences(own, c.Review, func(line string) string { return line }, by)
			for i := range c.Differences {
				c.Differences[i].because(&m, c.Changes)
			}
		}
		out.Coming = append(out.Coming, c)
	}
	return out, nil
}

// span returns the first and last day of a menu.
func span(m *Menu) (first, last rules.Date) {
	for i := range m.Lines {
		for _, d := range m.Lines[i].Days {
			if first.IsZero() || d.On.Before(first) {
				first = d.On
			}
			if last.IsZero() || d.On.After(last) {
				last = d.On
			}
		}
	}
	return first, last
}

// changes are the days on which the rules of a menu change.
func (r *Reviewer) changes(k patterns.Key, m *Menu) []rules.Date {
	all := r.patterns.Changes(k)
	if r.engine != nil && credits(m) {
		all = append(all, r.engine.Rules().Changes(m.Program)...)
	}
	slices.SortFunc(all, func(a, b rules.Date) int { return dayNumber(a) - dayNumber(b) })
	return slices.Compact(all)
}

// credits reports whether anything of the menu is credited here.
func credits(m *Menu) bool {
	for i := range m.Lines {
		for _, d := range m.Lines[i].Days {
			for _, c := range d.Choices {
				if slices.ContainsFunc(c.Items, func(it Item) bool { return it.Recipe != nil || it.Product != nil }) {
					return true
				}
			}
		}
	}
	return false
}

// newest is the date of the newest paper behind a pattern.
func (r *Reviewer) newest(k patterns.Key) rules.Date {
	var out rules.Date
	for _, v := range r.patterns.History(k) {
		if d := dateIn(v.Source.Document.Edition); d.After(out) {
			out = d
		}
	}
	return out
}

// dateIn is the first date in an edition.
func dateIn(s string) rules.Date {
	for i := 0; i+10 <= len(s); i++ {
		if d, err := rules.ParseDate(s[i : i+10]); err == nil {
			return d
		}
	}
	return rules.Date{}
}

// dates are the changes after the first day, and what was asked.
func dates(changes, asked []rules.Date, first rules.Date) []rules.Date {
	out := slices.Clone(asked)
	for _, on := range changes {
		if on.After(first) {
			out = append(out, on)
		}
	}
	slices.SortFunc(out, func(a, b rules.Date) int { return dayNumber(a) - dayNumber(b) })
	return slices.Compact(out)
}

func after(changes []rules.Date, on rules.Date) rules.Date {
	for _, c := range changes {
		if c.After(on) {
			return c
		}
	}
	return rules.Date{}
}

// move returns by how many days a menu that begins on first is moved to be under
// the rules of a day. They are whole weeks: a Monday stays one, and a short week as
// short. Meals of the summer program stay in their season, by whole years to the
// nearest such weekday.
func move(program string, first, on rules.Date) int {
	if !first.Before(on) {
		return 0
	}
	if program != "summer" {
		return (dayNumber(on) - dayNumber(first) + 6) / 7 * 7
	}
	for years := on.Year - first.Year; ; years++ {
		by := (dayNumber(yearsLater(first, years)) - dayNumber(first) + 3) / 7 * 7
		if !later(first, by).Before(on) {
			return by
		}
	}
}

// shifted returns the menu with its days moved.
func shifted(m *Menu, by int) Menu {
	out := *m
	out.Lines = slices.Clone(m.Lines)
	for i := range out.Lines {
		l := &out.Lines[i]
		l.Days = slices.Clone(l.Days)
		for j := range l.Days {
			l.Days[j].On = later(l.Days[j].On, by)
		}
	}
	return out
}

// between lists what the rules ask for otherwise between the days of a menu and
// those it is moved to.
func (r *Reviewer) between(m *Menu, own, moved *Review, by int) []Change {
	var out []Change
	add := func(c Change) {
		if !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	weeks := make(map[patterns.Span]bool)
	for i := range m.Lines {
		weeks[patterns.Week(len(m.Lines[i].Days))] = true
	}
	for _, was := range own.Patterns {
		for _, is := range patternsOf(moved) {
			if is.On == later(was.On, by) {
				patternChanges(was, is, weeks, add)
			}
		}
	}
	if r.engine == nil || !credits(m) {
		return out
	}
	for _, p := range own.Patterns {
		was, err := r.engine.Rules().Resolve(p.On, m.Program, m.Crediting)
		if err != nil {
			continue
		}
		is, err := r.engine.Rules().Resolve(later(p.On, by), m.Program, m.Crediting)
		if err != nil {
			continue
		}
		for _, rule := range r.engine.Rules().All() {
			a, errA := was.Get(rule.ID)
			b, errB := is.Get(rule.ID)
			switch {
			case errA != nil && errB != nil || a == b:
			case errB != nil:
				add(Change{Rule: rule.ID, Title: rule.Title, Was: a.Text, On: a.To.Next(), Citation: a.Source.Citation(), Crediting: true})
			case errA != nil:
				add(Change{Rule: rule.ID, Title: rule.Title, Is: b.Text, On: b.From, Citation: b.Source.Citation(), Crediting: true})
			default:
				add(Change{Rule: rule.ID, Title: rule.Title, Was: a.Text, Is: b.Text, On: b.From, Citation: b.Source.Citation(), Crediting: true})
			}
		}
	}
	return out
}

func patternsOf(r *Review) []*patterns.Pattern {
	if r == nil {
		return nil
	}
	return r.Patterns
}

// patternChanges lists the values of two days that differ in what they say.
func patternChanges(was, is *patterns.Pattern, weeks map[patterns.Span]bool, add func(Change)) {
	type key struct {
		rule string
		span patterns.Span
	}
	before := make(map[key]*patterns.Value)
	for _, v := range was.Values() {
		before[key{v.Rule.ID, v.Span}] = v
	}
	of := func(v *patterns.Value) bool {
		return (!strings.HasPrefix(string(v.Span), "week-") || weeks[v.Span]) && v.Rule.Kind != patterns.Upper
	}
	for _, v := range is.Values() {
		k := key{v.Rule.ID, v.Span}
		old := before[k]
		delete(before, k)
		if !of(v) || old != nil && old.Text == v.Text && old.Unit == v.Unit {
			continue
		}
		c := Change{Rule: v.Rule.ID, Title: v.Rule.Title, Is: printed(v), On: v.From, Citation: v.Source.Citation()}
		if old != nil {
			c.Was = printed(old)
		}
		add(c)
	}
	for _, v := range was.Values() {
		if before[key{v.Rule.ID, v.Span}] == v && of(v) && !v.To.IsZero() {
			add(Change{Rule: v.Rule.ID, Title: v.Rule.Title, Was: printed(v), On: v.To.Next(), Citation: v.Source.Citation()})
		}
	}
}

// printed is a value as printed, with its unit.
func printed(v *patterns.Value) string {
	switch {
	case v.Unknown():
		return ""
	case v.None() || v.Unit == "":
		return v.Text
	}
	return v.Text + " " + v.Unit
}
