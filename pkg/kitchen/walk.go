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
	var own, rest exact.Number
	for i := range s.linear.parts {
		p := &s.linear.parts[i]
		fills := n.subgroup == food.OtherVegetables && p.component == n.component && s.fills(p.subgroup)
		if sure && !p.sure || !p.in(n.key) && !fills {
			continue
		}
		v := p.value
		if p.table != nil {
			v = p.weight.Mul(p.table.rate())
		}
		if p.line == line {
			own = own.Add(v)
		} else {
			rest = rest.Add(v)
		}
	}
	short := least.Mul(s.made).Sub(rest)
	switch {
	case short.Sign() <= 0:
		return exact.Number{}, true
	case own.IsZero():
		return exact.Number{}, false
	}
	return short.Quo(own), true
}

// start returns the least factor at which a line could meet every need.
func (s *search) start(line int) (exact.Number, bool) {
	at := exact.Number{}
	for i := range s.needs {
		n := &s.needs[i]
		if n.component == food.Grains && s.byWeight() {
			if !n.metBy(s.before.Credits) {
				return at, false
			}
			continue
		}
		for _, x := range []struct {
			least exact.Number
			sure  bool
		}{{n.least, false}, {n.sure, true}} {
			if x.least.IsZero() {
				continue
			}
			f, ok := s.potential(line, n, x.least, x.sure)
			if !ok {
				return at, false
			}
			at = exact.Max(at, f)
		}
	}
	return at, true
}

// walk goes along a line's amount from mark to mark, up or down, to the nearest
// factor at which the engine meets the target.
func (s *search) walk(line int, up bool) found {
	most := exact.Int(MaxGrowth)
	at := one
	if s.linear.known {
		from, ok := s.start(line)
		if !ok || !up && one.Less(from) || most.Less(from) {
			return found{}
		}
		if up && one.Less(from) {
			at = from
			if s.meets(s.changed(line, at)) {
				return found{at: at, ok: true}
			}
		}
	}
	p := &path{s, line}
	end := exact.Number{}
	if up {
		end = most
	}
	var list []gauge
	for range maxMarks {
		if list == nil || s.base.Smoothie {
			list = s.gauges(p.counts(at, up))
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
			if up && s.meets(s.changed(line, end)) {
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
		q, ok := kitchenQuantity(x, was.Unit())
		if !ok {
			return measure.Quantity{}, false, false
		}
		r := s.changed(line, one)
		r.Ingredients[line].Quantity = q
		if s.meets(r) {
			return q, true, false
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
