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

// desserts reports whether any stand on the line; without them every grain counts.
func (l *line) desserts() bool {
	return slices.ContainsFunc(l.days, func(d day) bool {
		return slices.ContainsFunc(d.all, func(s *served) bool { return s.dessert })
	})
}

// plainAndDessert is an item's grains without desserts, and its dessert grains.
func plainAndDessert(s *served, v view) vec {
	if s.dessert {
		return vec{exact.Number{}, s.of(v, grains)}
	}
	return vec{s.of(v, grains), exact.Number{}}
}

// leastPlain keeps for each amount of dessert grains the least of the others, the
// least first.
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
		// The least of plain grains and desserts up to what is left is the lesser of
		// two: all grains, and plain grains with all that is left.
		left := exact.Max(most.Sub(used), exact.Number{})
		plain, _ := extreme(d, false, func(s *served) exact.Number { return plainAndDessert(s, v)[0] })
		if n := exact.Min(plain.Add(left), m.sum[v]); n.Less(m.sum[v]) {
			m.sum[v] = n
			if v == credited {
				m.taken = nil // the child who had desserts before, not the smallest choice of the day
			}
		}
	}
	return m
}

// weekGrains is the least a child is offered over the week, desserts counted up to
// the limit of their day; whole is false where there were too many ways to look at.
func (l *line) weekGrains(v view) (least exact.Number, whole bool) {
	p := picker{keep: leastPlain}
	states := []vec{{exact.Number{}, exact.Number{}}} // what counts, and dessert grains of it
	for i := range l.days {
		d := &l.days[i]
		most, limited := d.dessertLimit()
		sums := p.day(d, []vec{make(vec, 2)}, func(s *served) vec { return plainAndDessert(s, v) })
		next := make([]vec, 0, len(states)*len(sums))
		for _, st := range states {
			for _, s := range sums {
				counts := s[1]
				if limited {
					counts = exact.Min(counts, exact.Max(most.Sub(st[1]), exact.Number{}))
				}
				next = append(next, vec{st[0].Add(s[0]).Add(counts), st[1].Add(counts)})
			}
		}
		states = p.thin(next)
	}
	least = states[0][0]
	for _, st := range states {
		least = exact.Min(least, st[0])
	}
	return least, !p.over
}
