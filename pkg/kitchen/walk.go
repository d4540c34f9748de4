package kitchen

import (
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
)

// Bounds of a search along one measure. What ends at them is not called the least.
const (
	maxMarks    = 2000 // marks passed
	maxMeasures = 1000 // kitchen measures tried beyond the exact change
)

// found is the nearest point of a path at which the target is met.
type found struct {
	at    exact.Number
	open  bool // not at the point, but just beyond
	ok    bool
	ended bool // at a bound of the search, so a nearer point may have been missed
}

var one = exact.Int(1)

// potential returns the least factor of a line at which a need could be met if
// everything counted, or false when no factor could.
func (s *search) potential(line int, n *need, least exact.Number, sure bool) (exact.Number, bool) {
	own, rest := s.split(line, func(p *worth) exact.Number {
		fills := n.subgroup == food.OtherVegetables && p.component == n.component && s.fills(p.subgroup)
		switch {
		case sure && !p.sure || !p.in(n.key) && !fills:
			return exact.Number{}
		case p.table != nil:
			return p.weight.Mul(p.table.rate())
		}
		return p.value
	})
	short := least.Mul(s.made).Sub(rest)
	switch {
	case short.Sign() <= 0:
		return exact.Number{}, true
	case own.IsZero():
		return exact.Number{}, false
	}
	return short.Quo(own), true
}

// span returns between which factors of a line every need could be met: below the
// first something is short whatever counts, above the last a bound is passed
// whatever does not.
func (s *search) span(line int) (least, most exact.Number, ok bool) {
	most = exact.Int(MaxGrowth)
	for i := range s.needs {
		n := &s.needs[i]
		if n.component == food.Grains && s.byWeight() {
			if s.outweighed(n) {
				return least, most, false
			}
			continue
		}
		for _, sure := range []bool{false, true} {
			bound := n.least
			if sure {
				bound = n.sure
			}
			if bound.IsZero() {
				continue
			}
			f, ok := s.potential(line, n, bound, sure)
			if !ok {
				return least, most, false
			}
			least = exact.Max(least, f)
		}
		if !n.most.IsZero() && !(n.component == food.Grains && s.deniable()) {
			own, rest := s.split(line, func(p *worth) exact.Number {
				if p.table != nil || !p.in(n.key) || p.hidden || !p.dried.IsZero() || s.base.Smoothie {
					return exact.Number{}
				}
				return p.value
			})
			if own.Sign() > 0 {
				most = exact.Min(most, exact.Max(n.most.Add(n.step).Mul(s.made).Sub(rest), exact.Number{}).Quo(own))
			}
		}
	}
	if !s.share.IsZero() {
		switch own, rest := s.split(line, s.wholeOver); {
		case own.Sign() > 0:
			least = exact.Max(least, rest.Neg().Quo(own))
		case own.Sign() < 0:
			most = exact.Min(most, rest.Quo(own.Neg()))
		case rest.Sign() < 0:
			return least, most, false
		}
	}
	if s.linear.limit != nil && s.needsGrains() {
		rest := s.linear.limit.Mul(s.made)
		for i, g := range s.linear.barren {
			if i != line {
				rest = rest.Sub(g)
			}
		}
		switch own := s.linear.barren[line]; {
		case rest.Sign() < 0:
			return least, most, false
		case own.Sign() > 0:
			most = exact.Min(most, rest.Quo(own))
		}
	}
	return least, most, !most.Less(least)
}

// deniable reports whether more grain can credit less: all of it is denied when too
// much beside it does not credit.
func (s *search) deniable() bool { return s.linear.limit != nil || s.base.Dessert != "" }

// needsGrains reports whether grains must credit, which more grain that does not
// credit than the limit forbids.
func (s *search) needsGrains() bool {
	for i := range s.needs {
		if n := &s.needs[i]; n.component == food.Grains && n.least.Sign() > 0 {
			return true
		}
	}
	return false
}

// split adds up what a line brings, and what the others do.
func (s *search) split(line int, of func(*worth) exact.Number) (own, rest exact.Number) {
	for i := range s.linear.parts {
		if p := &s.linear.parts[i]; p.line == line {
			own = own.Add(of(p))
		} else {
			rest = rest.Add(of(p))
		}
	}
	return own, rest
}

// walk goes along a line's amount from mark to mark, up or down, to the nearest
// factor at which the engine meets the target.
func (s *search) walk(line int, up bool) found {
	end := exact.Number{}
	if up {
		end = exact.Int(MaxGrowth)
	}
	at := one
	if s.linear.known {
		least, most, ok := s.span(line)
		from, to := least, most
		if !up {
			from, to = most, least
		}
		if !ok || up && to.Less(one) || !up && one.Less(to) {
			return found{}
		}
		end = to
		if up && one.Less(from) || !up && from.Less(one) {
			at = from
			if s.meets(s.changed(line, at)) {
				return found{at: at, ok: true}
			}
		}
	}
	p := &path{s, line}
	var list []gauge
	for range maxMarks {
		if s.halted() {
			return found{ended: true}
		}
		if list == nil || s.base.Smoothie {
			list = s.gauges(p.counts(at, up), s.watched(line, at, up))
		}
		next := end
		for i := range list {
			if x, ok := p.next(&list[i], at, up); ok && (up && x.Less(next) || !up && next.Less(x)) {
				next = x
			}
		}
		if s.meets(s.changed(line, at.Add(next).Quo(exact.Int(2)))) {
			return found{at: at, open: true, ok: true}
		}
		if next.Equal(end) {
			if end.Sign() > 0 && s.meets(s.changed(line, end)) {
				return found{at: end, ok: true}
			}
			return found{}
		}
		if at = next; s.meets(s.changed(line, at)) {
			return found{at: at, ok: true}
		}
	}
	return found{ended: true}
}

// watched tells which needs to watch on the way from a factor. More of a line never
// takes away what is credited already, but from other vegetables, which less may
// then be left over for, and where there is a bound.
func (s *search) watched(line int, at exact.Number, up bool) func(*need) bool {
	credits, _, _, ok := s.credited(s.changed(line, at))
	return func(n *need) bool {
		return !up || !ok || !n.most.IsZero() || n.subgroup == food.OtherVegetables || !n.metBy(credits)
	}
}

// next returns the next factor of the path's line at which a gauge is at a mark.
func (p *path) next(g *gauge, at exact.Number, up bool) (exact.Number, bool) {
	value, per := p.portion(g, at)
	if per.IsZero() {
		return exact.Number{}, false
	}
	find := g.marks.below
	if (per.Sign() > 0) == up {
		find = g.marks.above
	}
	mark, ok := find(value)
	if !ok {
		return exact.Number{}, false
	}
	return at.Add(mark.Sub(value).Quo(per)), true
}

// inKitchen goes on from an exact factor of a line to the first kitchen measure at
// which the engine meets the target, no further than a change.
func (s *search) inKitchen(line int, from found, up bool, most exact.Number) (measure.Quantity, bool, bool) {
	was := s.base.Ingredients[line].Quantity
	x := was.Amount().Mul(from.at)
	l := ladderOf(was.Unit())
	for i := range maxMeasures {
		next, ok := l.beyond(x, up, i > 0 || from.open)
		if !ok || up && was.Amount().Mul(exact.Int(MaxGrowth)).Less(next) {
			return measure.Quantity{}, false, false
		}
		x = next
		if !most.IsZero() && !off(x.Quo(was.Amount())).Less(most) {
			return measure.Quantity{}, false, false
		}
		if s.meets(s.changed(line, x.Quo(was.Amount()))) {
			q, ok := kitchenQuantity(x, was.Unit())
			return q, ok, false
		}
	}
	return measure.Quantity{}, false, true
}

// off is how far a factor is from 1.
func off(factor exact.Number) exact.Number {
	if factor.Less(one) {
		return one.Sub(factor)
	}
	return factor.Sub(one)
}

// hair is less than any two measures of a kitchen lie apart.
var hair = exact.Frac(1, 10_000)

// beyond returns the first kitchen measure from x on, up or down; strictly beyond
// it when asked. There is none below the least.
func (l ladder) beyond(x exact.Number, up, strictly bool) (exact.Number, bool) {
	d, nudge := Up, hair
	if !up {
		d, nudge = Down, hair.Neg()
	}
	if x.Sign() <= 0 {
		return x, false
	}
	next, least := l.round(x, d)
	if strictly && next.Equal(x) {
		if x = x.Add(nudge); x.Sign() <= 0 {
			return x, false
		}
		next, least = l.round(x, d)
	}
	return next, up || !least
}

// kitchenQuantity writes an amount of a ladder as a card has it.
func kitchenQuantity(x exact.Number, u *measure.Unit) (measure.Quantity, bool) {
	m, err := InMeasures(measure.New(x, u), Up)
	return m.Kitchen, err == nil && m.Kitchen.Amount().Equal(x)
}
