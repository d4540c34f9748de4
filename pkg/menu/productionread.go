package menu

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/spelling"
)

// record is a production record at work.
type record struct {
	r      *Reviewer
	p      *Production
	faults fault.List
	err    error
	groups []group
	out    *ProductionReview
}

// group is an age/grade group of a record.
type group struct {
	at      int // of its plan
	plan    *Menu
	meals   Count
	states  []state // what children found, of every line
	average *Menu   // with what was served over the whole service, where averages go by it
	out     ServedGroup
}

// Bounds of a record.
const (
	MostProduced = 500
	MostPortions = 20
	MostEvents   = 100 // substitutions, and items that ran out
	// What nobody noted the time of may have come before or after anything else, so
	// that many doubles the offers a line had.
	MostUntimed = 4
)

func (w *record) fault(reason fault.Reason, path, value, want, fix string) {
	w.faults.Add(fault.Fault{Reason: reason, Path: path, Value: value, Want: want, Fix: fix})
}

// value returns what a rule says on the day of the record, for its first group.
func (w *record) value(rule string) *patterns.Value {
	return w.groups[0].out.Planned.value(rule, w.p.On)
}

// read checks the shape of a record, and reviews its plans.
func (w *record) read() {
	if w.p.On.IsZero() {
		w.fault(fault.Missing, "date", "", "the date of service", "Rules are those of the day the meal is served.")
	}
	if s := w.p.OfferVersusServe; s != "" && s != "yes" && s != "no" {
		w.fault(fault.UnknownValue, "offerVersusServe", s, "yes or no", "Say whether children could decline part of the meal.")
	}
	if len(w.p.Plans) == 0 {
		w.fault(fault.Missing, "plans", "", "the planned menu of each age/grade group", "A record shows by group how the meal meets the pattern.")
	}
	groups := make(map[string]bool)
	for i := range w.p.Plans {
		w.plan(i, groups)
		if w.err != nil {
			return
		}
	}
	w.substitutions()
	w.produced()
	w.ranOut()
	w.mealsServed()
	for i := range w.groups {
		w.untimed(&w.groups[i])
	}
}

func (w *record) plan(i int, groups map[string]bool) {
	m, path := &w.p.Plans[i], fault.Index("plans", i)
	review, err := w.r.Review(*m)
	var list *fault.List
	switch {
	case errors.As(err, &list):
		for _, f := range list.Faults {
			f.Path = fault.Field(path, f.Path)
			w.faults.Add(f)
		}
		w.faults.Omitted += list.Omitted
	case err != nil:
		w.err = err
		return
	}
	first := &w.p.Plans[0]
	if m.Program != first.Program || m.Meal != first.Meal {
		w.fault(fault.Conflicting, path, m.Program+" "+m.Meal, "plans of one program and meal", "Keep a record of each meal by itself.")
	}
	if groups[m.AgeGroup] {
		w.fault(fault.Conflicting, path+".ageGroup", m.AgeGroup, "each age/grade group once", "Put the lines of a group into one plan.")
	}
	groups[m.AgeGroup] = true
	if !w.p.On.IsZero() && !slices.ContainsFunc(m.Lines, func(l Line) bool { return onDay(&l, w.p.On) != nil }) && len(m.Lines) > 0 {
		w.fault(fault.Missing, path+".lines", "", "the day of the record, "+w.p.On.String(), "Give the plan of that day, alone or in its week.")
	}
	w.groups = append(w.groups, group{at: i, plan: m, out: ServedGroup{AgeGroup: m.AgeGroup, Planned: review}})
}

// onDay returns what a line offers on a day, or nil.
func onDay(l *Line, on rules.Date) *Day {
	for i := range l.Days {
		if l.Days[i].On == on {
			return &l.Days[i]
		}
	}
	return nil
}

// stands returns the item of a name in a group's plan of the day.
func (w *record) stands(g *group, line, name string) *Item {
	for i := range g.plan.Lines {
		l := &g.plan.Lines[i]
		if line != "" && l.Name != line {
			continue
		}
		d := onDay(l, w.p.On)
		if d == nil {
			continue
		}
		for k := range d.Choices {
			for n := range d.Choices[k].Items {
				if it := &d.Choices[k].Items[n]; it.Name == name {
					return it
				}
			}
		}
	}
	return nil
}

// planned looks an item up in the plans that a line and group name.
func (w *record) planned(line, of, name string) *Item {
	for i := range w.groups {
		if g := &w.groups[i]; of == "" || g.plan.AgeGroup == of {
			if it := w.stands(g, line, name); it != nil {
				return it
			}
		}
	}
	return nil
}

// names are those of the items of the day, planned and served in their place.
func (w *record) names() []string {
	var out []string
	for i := range w.groups {
		for k := range w.groups[i].plan.Lines {
			if d := onDay(&w.groups[i].plan.Lines[k], w.p.On); d != nil {
				for _, c := range d.Choices {
					for _, it := range c.Items {
						out = append(out, it.Name)
					}
				}
			}
		}
	}
	for i := range w.p.Substitutions {
		out = append(out, w.p.Substitutions[i].Served.Name)
	}
	return out
}

// where checks the line and group something is said of.
func (w *record) where(path, line, of string) bool {
	ok := true
	if of != "" && !slices.ContainsFunc(w.groups, func(g group) bool { return g.plan.AgeGroup == of }) {
		w.fault(fault.UnknownValue, path+".ageGroup", of, "an age/grade group of the plans: "+w.groupNames(), "Leave it out where it is about every group.")
		ok = false
	}
	if line != "" && !slices.ContainsFunc(w.groups, func(g group) bool {
		return slices.ContainsFunc(g.plan.Lines, func(l Line) bool { return l.Name == line })
	}) {
		w.fault(fault.UnknownValue, path+".line", line, "a serving line of the plans", "Leave it out where it is about every line.")
		ok = false
	}
	return ok
}

func (w *record) groupNames() string {
	var out []string
	for i := range w.groups {
		out = append(out, w.groups[i].plan.AgeGroup)
	}
	return strings.Join(out, ", ")
}

func (w *record) unknownItem(path, name, want string) {
	fix := "Write it as the menu does."
	if near := spelling.Nearest(name, w.names()); near != "" {
		fix = "Did you mean " + near + "?"
	}
	w.fault(fault.UnknownValue, path, name, want, fix)
}

func (w *record) substitutions() {
	if n := len(w.p.Substitutions); n > MostEvents {
		w.fault(fault.TooMany, "substitutions", strconv.Itoa(n), "at most "+strconv.Itoa(MostEvents), "Join those that are the same.")
		w.p.Substitutions = nil
		return
	}
	w.p.Substitutions = slices.Clone(w.p.Substitutions)
	for i := range w.p.Substitutions {
		s, path := &w.p.Substitutions[i], fault.Index("substitutions", i)
		known := w.where(path, s.Line, s.AgeGroup)
		switch {
		case s.Planned == "":
			w.fault(fault.Missing, path+".planned", "", "the planned item", "Say what it stood in for.")
		case known && w.planned(s.Line, s.AgeGroup, s.Planned) == nil:
			w.unknownItem(path+".planned", s.Planned, "an item planned on that day")
		}
		if s.Served.Name == "" {
			w.fault(fault.Missing, path+".served.name", "", "a name", "Say what was served.")
		} else if s.Served.Name == s.Planned {
			w.fault(fault.Conflicting, path+".served.name", s.Served.Name, "another item than the planned one", "Say what differs.")
		}
		if it := w.planned("", s.AgeGroup, s.Served.Name); it != nil && bare(&s.Served) {
			s.Served = *it
		}
		w.time(path+".from", s.From)
		if s.Servings < 0 || s.Servings > mostServings {
			w.fault(fault.OutOfRange, path+".servings", strconv.Itoa(s.Servings), "servings, or 0 for the whole service", "Write how many were served.")
		}
	}
}

// bare reports whether an item is a name and nothing else.
func bare(it *Item) bool {
	return it.Recipe == nil && it.Product == nil && len(it.Credits) == 0 && it.Milk == nil && len(it.Infant) == 0 && it.Nutrients == nil && len(it.Sugars) == 0
}

// time checks a time of the day.
func (w *record) time(path, s string) {
	if s == "" {
		return
	}
	ok := len(s) == 5 && s[2] == ':'
	for i := 0; ok && i < 5; i++ {
		ok = i == 2 || s[i] >= '0' && s[i] <= '9'
	}
	if !ok || s[:2] > "23" || s[3:] > "59" {
		w.fault(fault.BadDate, path, s, "a time written HH:MM of 24 hours, such as 11:45", "Write 1:05 in the afternoon as 13:05; leave it out when nobody noted it.")
	}
}

func (w *record) count(path string, c Count) {
	if c.Said && (c.N < 0 || c.N > mostServings) {
		w.fault(fault.OutOfRange, path, strconv.Itoa(c.N), "0 to "+strconv.Itoa(mostServings), "Leave it out when nobody counted.")
	}
}

// whom checks whom a portion or meal is for.
func (w *record) whom(path, of string, seen map[string]bool) {
	switch {
	case of == "":
		w.fault(fault.Missing, path, "", "an age/grade group of the plans, adults, seconds or a-la-carte", "Say whom it is for.")
	case of != Adults && of != Seconds && of != ALaCarte && !slices.ContainsFunc(w.groups, func(g group) bool { return g.plan.AgeGroup == of }):
		w.fault(fault.UnknownValue, path, of, "an age/grade group of the plans ("+w.groupNames()+"), adults, seconds or a-la-carte", "Write one of them, or add the plan of that group.")
	case seen[of]:
		w.fault(fault.Conflicting, path, of, "each of them once", "Add the two up.")
	}
	seen[of] = true
}

func (w *record) produced() {
	if n := len(w.p.Items); n > MostProduced {
		w.fault(fault.TooMany, "items", strconv.Itoa(n), "at most "+strconv.Itoa(MostProduced)+" items", "Keep a record of each meal by itself.")
		return
	}
	known := make(map[string]bool)
	for _, n := range w.names() {
		known[n] = true
	}
	seen := make(map[string]bool)
	for i := range w.p.Items {
		it, path := &w.p.Items[i], fault.Index("items", i)
		switch {
		case it.Item == "":
			w.fault(fault.Missing, path+".item", "", "a name", "Write it as the menu does.")
		case seen[it.Item]:
			w.fault(fault.Conflicting, path+".item", it.Item, "each item once", "Put its portions under one item.")
		case !it.Extra && !known[it.Item]:
			w.unknownItem(path+".item", it.Item, "an item of the plans or of a substitution, or extra: true for food beside the menu")
		}
		seen[it.Item] = true
		w.count(path+".planned", it.Planned)
		if n := len(it.Portions); n > MostPortions {
			w.fault(fault.TooMany, path+".portions", strconv.Itoa(n), "at most "+strconv.Itoa(MostPortions)+" portions", "Give one for each group.")
			continue
		}
		whom := make(map[string]bool)
		for k := range it.Portions {
			p, at := &it.Portions[k], fault.Index(path+".portions", k)
			w.whom(at+".for", p.For, whom)
			w.count(at+".planned", p.Planned)
			w.count(at+".prepared", p.Prepared)
			w.count(at+".served", p.Served)
			w.count(at+".leftOver", p.LeftOver)
		}
	}
}

func (w *record) ranOut() {
	if n := len(w.p.RanOut); n > MostEvents {
		w.fault(fault.TooMany, "ranOut", strconv.Itoa(n), "at most "+strconv.Itoa(MostEvents), "Name each item once.")
		return
	}
	type once struct{ item, line, of string }
	seen := make(map[once]bool)
	for i := range w.p.RanOut {
		o, path := &w.p.RanOut[i], fault.Index("ranOut", i)
		known := w.where(path, o.Line, o.AgeGroup)
		instead := slices.ContainsFunc(w.p.Substitutions, func(s Substitution) bool { return s.Served.Name == o.Item })
		switch {
		case o.Item == "":
			w.fault(fault.Missing, path+".item", "", "the item that ran out", "Write it as the menu does.")
		case known && !instead && w.planned(o.Line, o.AgeGroup, o.Item) == nil:
			w.unknownItem(path+".item", o.Item, "an item of that day")
		case seen[once{o.Item, o.Line, o.AgeGroup}]:
			w.fault(fault.Conflicting, path+".item", o.Item, "each item of a line and group once", "Keep the first time it ran out.")
		}
		seen[once{o.Item, o.Line, o.AgeGroup}] = true
		w.time(path+".at", o.At)
		w.count(path+".mealsAfter", o.After)
	}
}

func (w *record) mealsServed() {
	seen := make(map[string]bool)
	if n := len(w.p.Meals); n > MostPortions {
		w.fault(fault.TooMany, "meals", strconv.Itoa(n), "at most "+strconv.Itoa(MostPortions), "Give one number for each group.")
		return
	}
	for i := range w.p.Meals {
		m, path := &w.p.Meals[i], fault.Index("meals", i)
		w.whom(path+".for", m.For, seen)
		w.count(path+".served", m.Served)
		if !m.Served.Said {
			w.fault(fault.Missing, path+".served", "", "how many meals", "Write 0 where there were none.")
		}
		for k := range w.groups {
			if w.groups[k].plan.AgeGroup == m.For {
				w.groups[k].meals = m.Served
				w.groups[k].out.Meals = m.Served
			}
		}
	}
}

// untimed bounds what may have come in any order.
func (w *record) untimed(g *group) {
	n := 0
	for i := range w.p.Substitutions {
		if s := &w.p.Substitutions[i]; s.From == "" && s.Servings > 0 && (s.AgeGroup == "" || s.AgeGroup == g.plan.AgeGroup) {
			n++
		}
	}
	for i := range w.p.RanOut {
		if o := &w.p.RanOut[i]; o.At == "" && (o.AgeGroup == "" || o.AgeGroup == g.plan.AgeGroup) {
			n++
		}
	}
	if n > MostUntimed {
		w.fault(fault.TooMany, fault.Index("plans", g.at), strconv.Itoa(n), "at most "+strconv.Itoa(MostUntimed)+" substitutions and items that ran out without a time, for one group",
			"Write the time: without it each may have come before or after the others.")
	}
}
