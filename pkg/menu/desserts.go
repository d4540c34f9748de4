package menu

import (
	"slices"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// Grain-based desserts count toward grains up to an amount in a week, in the order
// of the days. The child with the least grains on a day is the one who has used
// that up before; over the week every order of taking them has to be looked at.

// dessertLimit returns what counts in a week; limited is false where all does.
func (d *day) dessertLimit() (most exact.Number, limited bool) {
	v, ok := d.p.Amount("dessert/oz-eq-a-week", patterns.NoSpan)
	if !ok {
		return exact.Number{}, false
	}
	return v.Number, true
}

// grainSums returns grains without desserts and dessert grains of each full
// selection, for one amount of desserts only the least of the others.
func (d *day) grainSums(v view) []vec {
	return d.sums(2, func(s *served) vec {
		g := s.of(v, grains)
		if s.dessert {
			return vec{exact.Number{}, g}
		}
		return vec{g, exact.Number{}}
	}, leastPlain)
}

// desserts reports whether any stand on the line; without them every grain counts.
func (l *line) desserts() bool {
	return slices.ContainsFunc(l.days, func(d day) bool {
		return slices.ContainsFunc(d.all, func(s *served) bool { return s.dessert })
	})
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

// leastGrains is the smallest selection of grains on a day.
func (w *work) leastGrains(l *line, d *day) measured {
	most, limited := d.dessertLimit()
	m := measure(d.differs, func(v view) (exact.Number, []string) {
		return extreme(d, false, func(s *served) exact.Number { return s.of(v, grains) })
	})
	if !limited || !l.desserts() {
		return m
	}
	for v := range views {
		if v > credited && !l.differs() {
			m.sum[v] = m.sum[credited]
			continue
		}
		var used exact.Number
		for i := range l.days {
			if e := &l.days[i]; e.on.Before(d.on) {
				n, _ := extreme(e, true, func(s *served) exact.Number {
					if s.dessert {
						return s.of(v, grains)
					}
					return exact.Number{}
				})
				used = used.Add(n)
			}
		}
		left := exact.Max(most.Sub(used), exact.Number{})
		for i, s := range d.grainSums(v) {
			n := s[0].Add(exact.Min(s[1], left))
			if i == 0 || n.Less(m.sum[v]) {
				if v == credited && !n.Equal(m.sum[v]) {
					m.taken = nil // the child who had desserts before, not the smallest choice of the day
				}
				m.sum[v] = n
			}
		}
	}
	return m
}

// weekGrains is the least a child is offered over the week, desserts counted up to
// the limit of their day.
func (l *line) weekGrains(v view) exact.Number {
	type state struct{ used, counted exact.Number }
	states := []state{{}}
	for i := range l.days {
		d := &l.days[i]
		most, limited := d.dessertLimit()
		sums := d.grainSums(v)
		at := make(map[string]int)
		var next []state
		for _, st := range states {
			for _, s := range sums {
				counts := s[1]
				if limited {
					counts = exact.Min(counts, exact.Max(most.Sub(st.used), exact.Number{}))
				}
				n := state{st.used.Add(counts), st.counted.Add(s[0]).Add(counts)}
				k := string(n.used.AppendKey(nil))
				j, ok := at[k]
				switch {
				case !ok:
					at[k] = len(next)
					next = append(next, n)
				case n.counted.Less(next[j].counted):
					next[j] = n
				}
			}
		}
		states = next
	}
	least := states[0].counted
	for _, st := range states {
		least = exact.Min(least, st.counted)
	}
	return least
}
