package menu

import (
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// vegetablesForFruits checks, at school breakfast, that vegetables in place of
// fruit vary once they stand for it on more than the free days of the week.
func (w *work) vegetablesForFruits(l *line) {
	var days int64
	groups := make(map[part]bool)
	var last *day
	var notStarchy exact.Number // of the smallest selections
	for i := range l.days {
		d := &l.days[i]
		need, ok := d.p.Amount("least/fruits", patterns.Day)
		if !ok || !d.says("vegetables-for-fruits/allowed", "all-or-part") {
			continue
		}
		fruit, _ := extreme(d, false, func(s *served) exact.Number { return s.of(credited, fruits) })
		both, _ := extreme(d, false, func(s *served) exact.Number { return s.of(credited, fruits).Add(s.of(credited, vegetables)) })
		if !fruit.Less(need.Number) || both.Less(need.Number) {
			continue
		}
		days++
		last = d
		n, _ := extreme(d, false, func(s *served) exact.Number {
			return s.of(credited, vegetables).Sub(s.of(credited, starchy)).Sub(s.of(credited, mixed))
		})
		notStarchy = notStarchy.Add(n)
		for _, s := range d.all {
			for p := darkGreen; p <= otherVegetables; p++ {
				if s.of(credited, p).Sign() > 0 {
					groups[p] = true
				}
			}
		}
	}
	if last == nil {
		return
	}
	v, ok := last.p.Amount("vegetables-for-fruits/subgroups", patterns.NoSpan)
	enforced, known := last.p.Amount("vegetables-for-fruits/variety-enforced", patterns.NoSpan)
	if !ok || !known {
		w.notStarchyFirst(l, last, notStarchy, groups[starchy])
		return
	}
	c := Check{Rule: v.Rule.ID, Value: v, Line: l.name, Days: len(l.days), Needed: v.Number, There: exact.Int(int64(len(groups))), Unit: "subgroups", Verdict: Met}
	if free, ok := last.p.Amount("vegetables-for-fruits/free-days", patterns.NoSpan); ok && !free.Number.Less(exact.Int(days)) {
		c.Because = "vegetables stand for fruit on no more days than any vegetable may"
	} else if c.There.Less(c.Needed) && enforced.Text != "no" {
		c.Verdict, c.Short = NotMet, c.Needed.Sub(c.There)
		c.Mend = "On one of those days offer a vegetable of another subgroup, or fruit."
		if enforced.Text == "advice" {
			c.Note = true
			c.Because = strings.TrimSpace("advice: not enforced on this day as far as is known. " + enforced.Note)
		}
	}
	w.add(c)
}

// notStarchyFirst is the rule to 2024-06-30, where it was enforced: so many cups of the
// week come from other subgroups before starchy vegetables stand for fruit.
func (w *work) notStarchyFirst(l *line, last *day, there exact.Number, anyStarchy bool) {
	v, ok := last.p.Amount("vegetables-for-fruits/not-starchy-first", patterns.NoSpan)
	enforced, known := last.p.Amount("vegetables-for-fruits/variety-enforced", patterns.NoSpan)
	if !ok || known && enforced.Text == "no" {
		return
	}
	c := Check{Verdict: Met, Rule: v.Rule.ID, Value: v, Line: l.name, Days: len(l.days), Needed: v.Number, There: there, Unit: v.Unit}
	switch {
	case !known:
		c.Verdict, c.Because = NotChecked, "whether it was enforced on "+last.on.String()+" is not known here"
	case !anyStarchy:
		c.Because = "no starchy vegetable stands for fruit"
	case there.Less(v.Number):
		c.Verdict, c.Short = NotMet, v.Number.Sub(there)
		c.Because = "starchy vegetables stand for fruit before so much of the other subgroups does"
		c.Mend = "Offer dark green, red/orange, other vegetables or beans on those days."
	}
	w.add(c)
}
