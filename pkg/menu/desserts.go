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

// grainSums returns grains without desserts and dessert grains of each full
// selection, for one amount of desserts only the least of the others.
func (d *day) grainSums(v view) []vec {
	_, limited := d.dessertLimit()
	return d.sums(2, func(s *served) vec {
		g := s.of(v, grains)
		if s.dessert && limited {
			return vec{exact.Number{}, g}
		}
		return vec{g, exact.Number{}}
	}, leastPlain)
}

// desserts reports whether any stand on the day.
func (d *day) desserts() bool {
	return slices.ContainsFunc(d.all, func(s *served) bool { return s.dessert })
}

// desserts reports whether any stand on the line; without them every grain counts.
func (l *line) desserts() bool {
	return slices.ContainsFunc(l.days, func(d day) bool { return d.desserts() })
}

func leastPlain(in []vec) []vec {
	at := make(map[string]int, len(in))
	var out []vec
	for _, s := range in {
		k := string(s[1].AppendKey(nil))
		i, ok := at[k]
		switch {
		case !ok:
			at[k] = len(out)
			out = append(out, s)
		case s[0].Less(out[i][0]):
			out[i] = s
		}
	}
	return out
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
	for v := range views {
		for _, s := range d.grainSums(v) {
			if n := s[0].Add(exact.Min(s[1], most.Number)); n.Less(m.sum[v]) {
				m.sum[v] = n
				if v == credited {
					m.taken = nil // not the smallest choice of the day
				}
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
	ways := []vec{make(vec, 2)}
	for i := range l.days {
		ways = add(ways, l.days[i].grainSums(v), func(in []vec) []vec {
			for _, w := range in {
				if limited {
					w[1] = exact.Min(w[1], most.Number)
				}
			}
			return leastPlain(in)
		})
	}
	var least exact.Number
	for i, w := range ways {
		if n := w[0].Add(w[1]); i == 0 || n.Less(least) {
			least = n
		}
	}
	return least
}

// dessertsNeeded is what the days of a line rest on desserts for, by the child with
// the least other grains on each: what the day's minimum misses without them. Days
// that fall short with all their desserts are left to their own checks, and open is
// true.
func (l *line) dessertsNeeded(v view) (sum exact.Number, open bool) {
	for i := range l.days {
		d := &l.days[i]
		need, asks := d.p.Amount("least/grains", patterns.Day)
		most, limited := d.dessertLimit()
		if !asks || !limited {
			continue
		}
		var worst exact.Number
		holds := true
		for _, s := range d.grainSums(v) {
			miss := need.Number.Sub(s[0])
			holds = holds && !exact.Min(s[1], most.Number).Less(miss)
			worst = exact.Max(worst, miss)
		}
		open = open || !holds
		if holds {
			sum = sum.Add(worst)
		}
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
