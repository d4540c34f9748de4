package menu

import (
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// uppers checks the upper ends of the weekly ranges where they were limits: the
// largest choice of each day, added over the days.
func (w *work) uppers(l *line, span patterns.Span) {
	for _, q := range []struct {
		rule string
		of   []part
	}{{"upper/grains", []part{grains}}, {"upper/meats", []part{meats}}, {"upper/grains-or-meats", []part{grains, meats}}} {
		for _, v := range l.values(q.rule, span) {
			if !v.d.says("week/upper-enforced", "yes") {
				continue
			}
			m := l.total(true, func(_ *day, s *served, at view) exact.Number {
				var n exact.Number
				for _, p := range q.of {
					n = n.Add(s.of(at, p))
				}
				return n
			})
			c := Check{Verdict: Met, Rule: v.Rule.ID, Value: v.Value, Line: l.name, Days: len(l.days), Needed: v.Number, There: m.sum[credited], Unit: v.Unit}
			if unknown := l.unknown(); len(unknown) > 0 {
				c.Verdict, c.Because = NotChecked, "no credits are given for "+unknown[0]
			}
			if v.Number.Less(c.There) {
				c.Verdict, c.Short = NotMet, c.There.Sub(v.Number)
				c.Because, c.Mend = "by the largest choice of each day; on these days the upper end of the range was a limit", "Plan a smaller portion."
			}
			w.add(c)
		}
	}
}
