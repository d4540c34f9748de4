package menu

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// Grain-based desserts count toward grains up to an amount in a week. Which of them
// count is not said, so they count where a child needs them: first where a day would
// fall short, the rest toward the week. That never counts more than the amount, and
// one dessert more can only help.

// dessertLimit returns what counts in a week; limited is false where all does.
func (d *day) dessertLimit() (v *patterns.Value, limited bool) {
	return d.p.Amount("dessert/oz-eq-a-week", patterns.NoSpan)
}

// plainGrains is the smallest selection of grains that are no desserts under a limit.
func (d *day) plainGrains(v view) exact.Number {
	_, limited := d.dessertLimit()
	return extremeSum(d, false, func(s *served) exact.Number {
		if s.dessert && limited {
			return exact.Number{}
		}
		return s.of(v, grains)
	})
}

// desserts reports whether any stand on the day.
func (d *day) desserts() bool {
	return slices.ContainsFunc(d.all, func(s *served) bool { return s.dessert })
}

// desserts reports whether any stand on the line; without them every grain counts.
func (l *line) desserts() bool {
	return slices.ContainsFunc(l.days, func(d day) bool { return d.desserts() })
}

// leastGrains is the smallest selection of grains on a day, no more desserts in it
// than count in a week.
func (d *day) leastGrains() measured {
	most, limited := d.dessertLimit()
	m := measure(d.differs, func(v view) (exact.Number, []string) {
		return extreme(d, false, func(s *served) exact.Number { return s.of(v, grains) })
	})
	if !limited || !d.desserts() {
		return m
	}
	// The least of other grains and desserts up to what counts is the lesser of two: all
	// grains, and other grains with all that counts.
	for v := range views {
		if n := d.plainGrains(v).Add(most.Number); n.Less(m.sum[v]) {
			m.sum[v] = n
			if v == credited {
				m.taken = nil // not the smallest choice of the day
			}
		}
	}
	return m
}

// mostDesserts is what counts over the days of a line: by each of their dates, the
// stricter deciding.
func (l *line) mostDesserts() (most *patterns.Value, limited bool) {
	for i := range l.days {
		if v, ok := l.days[i].dessertLimit(); ok && (!limited || v.Number.Less(most.Number)) {
			most, limited = v, true
		}
	}
	return most, limited
}

// weekGrains is the least a child is offered over the week, desserts counted up to
// what counts in a week.
func (l *line) weekGrains(v view) exact.Number {
	most, limited := l.mostDesserts()
	var all, plain exact.Number
	for i := range l.days {
		all, plain = all.Add(extremeSum(&l.days[i], false, func(s *served) exact.Number { return s.of(v, grains) })), plain.Add(l.days[i].plainGrains(v))
	}
	if limited {
		all = exact.Min(all, plain.Add(most.Number)) // as on a day
	}
	return all
}

// dessertsNeeded is what the days of a line rest on desserts for, by the child with
// the least other grains on each: what the day's minimum misses without them. Days
// that fall short with all their desserts are left to their own checks, and open is
// true.
func (l *line) dessertsNeeded(v view) (sum exact.Number, open bool) {
	for i := range l.days {
		d := &l.days[i]
		need, asks := d.p.Amount("least/grains", patterns.Day)
		if _, limited := d.dessertLimit(); !asks || !limited {
			continue
		}
		if d.leastGrains().sum[v].Less(need.Number) {
			open = true
			continue
		}
		sum = sum.Add(exact.Max(need.Number.Sub(d.plainGrains(v)), exact.Number{}))
	}
	return sum, open
}

// dessertsOfDays checks that the days of a week do not rest on more desserts than
// count in it. Where a day falls short of itself that is said only once it is too
// much already.
func (w *work) dessertsOfDays(l *line) {
	most, limited := l.mostDesserts()
	if !limited || !l.desserts() {
		return
	}
	sum, open := l.dessertsNeeded(credited)
	c := Check{Rule: most.Rule.ID, Value: most, Line: l.name, Days: len(l.days), Needed: most.Number, There: sum, Unit: most.Unit, Verdict: Met}
	switch unknown := l.unknown(); {
	case most.Number.Less(sum) && len(unknown) > 0:
		c.Verdict, c.Because = NotChecked, "no credits are given for "+strings.Join(unknown, ", ")
	case most.Number.Less(sum):
		c.Verdict, c.Short = NotMet, sum.Sub(most.Number)
		c.Because = "some child has the grains of these days only with " + sum.String() + " oz eq of desserts, and no more than " + most.Number.String() + " count in a week"
		c.Mend = "Offer another grain beside or in place of a dessert."
	case open:
		return
	default:
		for v := documented; v < views && c.Verdict == Met && l.differs(); v++ {
			if s, _ := l.dessertsNeeded(v); most.Number.Less(s) {
				c.Verdict, c.Short = AtRisk, s.Sub(most.Number)
				c.Because = "held only with credits that rest on an estimate, wait for their paper, or barely reach their step"
			}
		}
	}
	w.add(c)
}
