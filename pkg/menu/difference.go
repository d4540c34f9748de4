package menu

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// Kind is what became of a question between two reviews.
type Kind uint8

// The kinds, worst first.
const (
	NewlyNotMet     Kind = iota + 1
	FurtherNotMet        // not met in both, and short by more
	NewlyAtRisk          // whatever it was
	NewlyNotChecked      // whatever it was
	NewlyMet             // or a product that now credits: its fault is not there any more
	NoLongerAsked        // was not checked, and need not be
)

// String returns the id records use.
func (k Kind) String() string {
	return [...]string{"", "newly-not-met", "further-not-met", "at-risk", "not-checked", "newly-met", "no-longer-asked"}[k]
}

// Difference is a question that two reviews of one menu answer differently.
type Difference struct {
	Kind    Kind
	On      rules.Date // the menu's own day; zero for the week
	Was, Is *Check     // nil where the question was not asked
	Changes []Change   // of the rules, which make the difference; none between planned and served
	Items   []string   // of the menu to look at, to change
}

// Check returns the check that decides: the later, or the one that is gone.
func (d *Difference) Check() *Check {
	if d.Is != nil {
		return d.Is
	}
	return d.Was
}

type question struct {
	line, rule, item string
	on               rules.Date
}

// differences compares two reviews. A line of the second is that of the first which
// base names, and its days are so many days later.
func differences(was, is *Review, base func(line string) string, by int) []Difference {
	before, now := make(map[question][]*Check), make(map[question][]*Check)
	var order []question
	add := func(to map[question][]*Check, q question, c *Check) {
		if before[q] == nil && now[q] == nil {
			order = append(order, q)
		}
		to[q] = append(to[q], c)
	}
	for i := range was.Checks {
		c := &was.Checks[i]
		add(before, question{c.Line, c.Rule, c.Item, c.On}, c)
	}
	for i := range is.Checks {
		c := &is.Checks[i]
		q := question{base(c.Line), c.Rule, c.Item, c.On}
		if !q.on.IsZero() {
			q.on = later(q.on, -by)
		}
		add(now, q, c)
	}
	var out []Difference
	for _, q := range order {
		d := Difference{On: q.on, Was: worst(before[q]), Is: worst(now[q])}
		if d.Kind = kind(d.Was, d.Is); d.Kind != 0 {
			out = append(out, d)
		}
	}
	slices.SortStableFunc(out, func(a, b Difference) int {
		if x, y := a.Check().Note, b.Check().Note; x != y {
			if x {
				return 1
			}
			return -1
		}
		return int(a.Kind) - int(b.Kind)
	})
	return out
}

// worst returns the check that decides of those of one question: a week across a
// change is held to the rules of both sides.
func worst(list []*Check) *Check {
	var out *Check
	for _, c := range list {
		switch {
		case c == nil:
		case out == nil, out.Note && !c.Note:
			out = c
		case c.Note && !out.Note:
		case c.Verdict > out.Verdict, c.Verdict == out.Verdict && out.Short.Less(c.Short):
			out = c
		}
	}
	return out
}

// kind says how the answer changed, 0 where it did not.
func kind(was, is *Check) Kind {
	before, now := Met, Met
	if was != nil {
		before = was.Verdict
	}
	if is != nil {
		now = is.Verdict
	}
	switch {
	case now == before && now == NotMet && was.Short.Less(is.Short):
		return FurtherNotMet
	case now == before:
		return 0
	case is == nil && before == NotChecked:
		return NoLongerAsked
	case now == NotMet:
		return NewlyNotMet
	case now == AtRisk:
		return NewlyAtRisk
	case now == NotChecked:
		return NewlyNotChecked
	}
	return NewlyMet
}

// touches says which changes of rules can change the answer to a question, by the
// beginnings of their ids.
var touches = []struct{ question, change []string }{
	{[]string{"least/milk", "milk/", "choose/"}, []string{"milk/", "product/flavored-milk/", "creditable/milk", "yogurt-for-milk/"}},
	{[]string{"nutrient/saturated-fat"}, []string{"saturated-fat/", "nutrient/saturated-fat"}},
	{[]string{"least/grains", "whole-grain-rich/", "choose/"}, []string{"least/grains", "dessert/", "meats-for-grains/", "product/cereal/", "creditable/grains", "whole-grain-rich/", "vegetables-for-grains/"}},
	{[]string{"least/meats", "least/grains-or-meats", "meats/", "choose/"}, []string{"least/meats", "nuts/", "beans/", "product/yogurt/", "creditable/meats", "meats/"}},
	{[]string{"least/vegetables", "beans/", "juice/", "choose/"}, []string{"least/vegetables", "beans/", "vegetables/", "creditable/vegetables", "juice/"}},
	{[]string{"least/fruits", "juice/", "vegetables-for-fruits/", "choose/"}, []string{"least/fruits", "vegetables-for-fruits/", "juice/", "creditable/fruits", "fruits-or-vegetables/"}},
	{[]string{"product/", "dessert/"}, []string{"product/", "dessert/"}},
}

// because finds the changes of rules behind a difference, and the items to change:
// the question's own rule, else those that touch it, else the rules of crediting.
func (d *Difference) because(m *Menu, changes []Change) {
	rule := d.Check().Rule
	pick := func(is func(*Change) bool) {
		for i := range changes {
			if len(d.Changes) < mostCauses && is(&changes[i]) {
				d.Changes = append(d.Changes, changes[i])
			}
		}
	}
	pick(func(c *Change) bool { return c.Rule == rule && !c.Crediting })
	if len(d.Changes) == 0 {
		pick(func(c *Change) bool { return !c.Crediting && touched(rule, c.Rule) })
	}
	if len(d.Changes) == 0 {
		pick(func(c *Change) bool { return c.Crediting })
	}
	d.Items = items(m, d.Check())
}

// mostCauses bounds what a difference is put down to.
const mostCauses = 6

func touched(question, change string) bool {
	begins := func(id string, list []string) bool {
		return slices.ContainsFunc(list, func(s string) bool { return strings.HasPrefix(id, s) })
	}
	for _, t := range touches {
		if begins(question, t.question) && begins(change, t.change) {
			return true
		}
	}
	return false
}

// items names what of the menu to look at for a check: the item it is about, those
// that weigh most in an average, or the selection it rests on.
func items(m *Menu, c *Check) []string {
	switch {
	case c.Item != "":
		return []string{c.Item}
	case strings.HasPrefix(c.Rule, "nutrient/"):
		var all []*Item
		for i := range m.Lines {
			if m.Lines[i].Name != c.Line {
				continue
			}
			for j := range m.Lines[i].Days {
				for k := range m.Lines[i].Days[j].Choices {
					list := m.Lines[i].Days[j].Choices[k].Items
					for n := range list {
						all = append(all, &list[n])
					}
				}
			}
		}
		return heaviest(all, c.Rule)
	}
	return slices.Clone(c.Taken)
}

// value returns what a rule says on a day of the review, or nil.
func (r *Review) value(rule string, on rules.Date) *patterns.Value {
	for _, p := range r.Patterns {
		if p.On == on {
			v, _ := p.Amount(rule, patterns.NoSpan)
			return v
		}
	}
	return nil
}
