package menu

import (
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// changing points out that a child who changes lines between days can fall short of
// a weekly amount which each line reaches. The rule speaks of lines, so it is a note.
func (w *work) changing() {
	if len(w.lines) < 2 {
		return
	}
	first := &w.lines[0]
	for _, l := range w.lines[1:] {
		if len(l.days) != len(first.days) {
			return
		}
		for i := range l.days {
			if l.days[i].on != first.days[i].on {
				return // lines of different days
			}
		}
	}
	for _, component := range []string{"grains", "meats", "grains-or-meats"} {
		rule := "least/" + component
		for _, v := range first.values(rule, patterns.Week(len(first.days))) {
			if w.unmet(rule) {
				continue
			}
			var least exact.Number
			for i := range first.days {
				var day exact.Number
				for j := range w.lines {
					d := &w.lines[j].days[i]
					n, _ := extreme(d, false, func(s *served) exact.Number {
						if component == "grains" {
							return s.of(credited, grains)
						}
						return d.counts(component)(s, credited)
					})
					if j == 0 || n.Less(day) {
						day = n
					}
				}
				least = least.Add(day)
			}
			if least.Less(v.Number) {
				w.add(Check{Verdict: AtRisk, Note: true, Rule: rule, Value: v.Value, Days: len(first.days), Needed: v.Number, There: least, Short: v.Number.Sub(least), Unit: v.Unit,
					Because: changesLines})
			}
		}
	}
}

// unmet reports whether some line misses a weekly amount anyway.
func (w *work) unmet(rule string) bool {
	for i := range w.out.Checks {
		if c := &w.out.Checks[i]; c.Rule == rule && c.Days > 0 && c.Verdict != Met {
			return true
		}
	}
	return false
}

// changesLines is what such a note says.
const changesLines = "each line reaches the week, but a child who takes the smaller line of each day does not"
