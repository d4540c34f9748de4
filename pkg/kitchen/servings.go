package kitchen

import (
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// byWeight reports whether the weight of the portion decides its grains.
func (s *search) byWeight() bool {
	if s.base.GrainsMethod != "" || len(s.base.Portions) == 0 {
		return s.base.GrainsMethod == recipe.ExhibitA
	}
	for i := range s.linear.parts {
		if s.linear.parts[i].component == food.Grains {
			return false
		}
	}
	p := &s.base.Portions[s.req.Portion]
	return !p.Weight.IsZero() && s.base.ExhibitAGroup != "" && s.base.ExhibitAGroup <= "G"
}

// weightMarks are the weights of a portion at which its grains can change.
func (s *search) weightMarks() (marks, bool) {
	if !s.byWeight() || len(s.base.Portions) == 0 {
		return nil, false
	}
	w := s.base.Portions[s.req.Portion].Weight
	if w.IsZero() {
		return nil, false
	}
	column := measure.Gram
	if w.System() == measure.Customary {
		column = measure.Ounce
	}
	id := "grains/exhibit-a/"
	if s.before.GrainsUnit == "serving" {
		id = "grains/exhibit-a-serving/"
	}
	v, err := s.rs.Get(id + s.base.ExhibitAGroup + "/" + column.ID)
	if err != nil || len(v.Steps) == 0 {
		return nil, false
	}
	if s.rs.Options["exhibit-a-fractions"] == "division" {
		return multiples{v.Steps[0].Least.Mul(s.number("credit/step/grains"))}, true
	}
	return &table{v, false}, true
}

// serve returns the batch made into another number of the portion meant. What a
// portion weighs and measures goes with it; its scoop no longer fits.
func (s *search) serve(n int) *recipe.Recipe {
	r := *s.base
	if len(r.Portions) > 0 {
		r.Portions = append([]recipe.Portion(nil), r.Portions...)
		p := &r.Portions[s.req.Portion]
		times := s.made.Quo(exact.Int(int64(n)))
		if !p.Weight.IsZero() {
			p.Weight = decimalText(p.Weight.Times(times))
		}
		if p.Scoop > 0 {
			if p.Measure.IsZero() {
				p.Measure, _ = measure.Scoop(p.Scoop)
			}
			p.Scoop = 0
		}
		if !p.Measure.IsZero() {
			p.Measure = p.Measure.Times(times)
		}
		if s.req.Portion > 0 {
			p.Servings = n
			return &r
		}
	}
	r.Servings = n
	if t := r.YieldTest; t != nil {
		// What was counted was of the other portions.
		again := *t
		again.PortionsMade = 0
		r.YieldTest = &again
	}
	return &r
}

// decimalText writes a weight as scales show it, when that is exact.
func decimalText(q measure.Quantity) measure.Quantity {
	const places = 6
	text := q.Amount().TrimmedDecimal(places) + " " + q.Unit().ID
	if d, err := measure.Parse(text); err == nil && d.Amount().Equal(q.Amount()) {
		return d
	}
	return q
}

// walkServings goes from one number of servings to the next at which a credit can
// change, down or up, to the nearest at which the engine meets the target.
func (s *search) walkServings(more bool) found {
	at := s.made
	if !more {
		for i := range s.needs {
			n := &s.needs[i]
			if n.component == food.Grains && s.byWeight() {
				continue
			}
			for _, sure := range []bool{false, true} {
				least := n.least
				if sure {
					least = n.sure
				}
				if least.IsZero() {
					continue
				}
				// All lines together times made over n must come to the least.
				all := s.everything(n, sure)
				if all.IsZero() {
					if s.linear.known {
						return found{}
					}
					continue
				}
				at = exact.Min(at, all.Quo(least))
			}
		}
		if at = at.DownTo(one); at.Less(one) {
			return found{}
		}
		if at.Less(s.made) && s.meets(s.serveAt(at)) {
			return found{at: at, ok: true}
		}
	} else if at = at.RoundUp(one); !at.Equal(s.made) && s.meets(s.serveAt(at)) {
		return found{at: at, ok: true}
	}
	p := &path{s, -1}
	var list []gauge
	for range maxMarks {
		if list == nil || s.base.Smoothie {
			list = s.gauges(p.counts(at, !more), every)
			if m, ok := s.weightMarks(); ok {
				list = append(list, gauge{fixed: s.base.Portions[s.req.Portion].Weight.Amount().Mul(s.made), marks: m})
			}
		}
		next, any := exact.Number{}, false
		for i := range list {
			if n, ok := p.nextServings(&list[i], at, more); ok && (!any || more == n.Less(next)) {
				next, any = n, true
			}
		}
		if !any || next.Less(one) || exact.Int(recipe.MaxServings).Less(next) {
			return found{}
		}
		if at = next; s.meets(s.serveAt(at)) {
			return found{at: at, ok: true}
		}
	}
	return found{ended: true}
}

// every need is watched.
func every(*need) bool { return true }

// everything is what all lines bring toward a need at most.
func (s *search) everything(n *need, sure bool) exact.Number {
	all := exact.Number{}
	for i := range s.linear.parts {
		p := &s.linear.parts[i]
		fills := n.subgroup == food.OtherVegetables && p.component == n.component && s.fills(p.subgroup)
		switch {
		case sure && !p.sure || !p.in(n.key) && !fills:
		case p.table != nil:
			all = all.Add(p.weight.Mul(p.table.rate()))
		default:
			all = all.Add(p.value)
		}
	}
	return all
}

func (s *search) serveAt(n exact.Number) *recipe.Recipe {
	k, _ := n.Whole()
	return s.serve(int(k))
}

// nextServings returns the next whole number of portions, fewer or more, at which
// a gauge is past a mark that it was not past before.
func (p *path) nextServings(g *gauge, at exact.Number, more bool) (exact.Number, bool) {
	value, _ := p.portion(g, at)
	all := value.Mul(at)
	if value.Sign() <= 0 {
		return exact.Number{}, false // nothing, or a share, which servings leave as it is
	}
	if !more {
		mark, ok := g.marks.above(value)
		if on, is := lastMark(g.marks, value); g.strict && is && on.Equal(value) {
			mark, ok = on, true // on the mark is not yet past it
		}
		if !ok {
			return exact.Number{}, false
		}
		n := all.Quo(mark).DownTo(one)
		if g.strict && all.Quo(mark).Equal(n) {
			n = n.Sub(one)
		}
		return n, n.Less(at)
	}
	// More portions fall below the last mark reached.
	mark, ok := lastMark(g.marks, value)
	if g.strict {
		mark, ok = g.marks.below(value)
	}
	if !ok || mark.Sign() <= 0 {
		return exact.Number{}, false
	}
	if g.strict {
		return all.Quo(mark).RoundUp(one), true
	}
	return all.Quo(mark).DownTo(one).Add(one), true
}

// lastMark returns the last mark that is not above x, and whether there is one.
func lastMark(m marks, x exact.Number) (exact.Number, bool) {
	below, ok := m.below(x)
	if next, is := m.above(below); is && next.Equal(x) {
		return x, true
	}
	return below, ok
}

// weigh returns the batch portioned at another weight: it gives as many portions
// as come out whole, at least one.
func (s *search) weigh(w measure.Quantity) (*recipe.Recipe, bool) {
	was := s.base.Portions[s.req.Portion].Weight
	n := s.made.Mul(was.Amount()).Quo(w.Amount()).DownTo(one)
	if n.Less(one) || exact.Int(recipe.MaxServings).Less(n) {
		return nil, false
	}
	r := s.serveAt(n)
	r.Portions[s.req.Portion].Weight = w
	return r, true
}

// walkWeight goes from one weight of the portion to the next at which a credit can
// change, to the nearest above at which the engine meets the target.
func (s *search) walkWeight() found {
	m, ok := s.weightMarks()
	if !ok {
		return found{}
	}
	was := s.base.Portions[s.req.Portion].Weight
	batch := s.made.Mul(was.Amount())
	at := was.Amount()
	list := s.gauges(func(*worth) bool { return true }, every)
	p := &path{s, -1}
	met := func(w exact.Number) bool {
		r, ok := s.weigh(measure.New(w, was.Unit()))
		return ok && s.meets(r)
	}
	made := batch.Quo(at).DownTo(one)
	for range maxMarks {
		mark, ok := m.above(at)
		// With fewer portions something changes: just above the weight at which one
		// more than that still comes out.
		fewer := exact.Number{}
		for i := range list {
			if n, ok := p.nextServings(&list[i], made, false); ok {
				fewer = exact.Max(fewer, n)
			}
		}
		edge := exact.Number{}
		if fewer.Sign() > 0 {
			edge = batch.Quo(fewer.Add(one))
		}
		most := exact.Min(batch, was.Amount().Mul(exact.Int(MaxGrowth)))
		switch {
		case ok && !most.Less(mark) && (fewer.IsZero() || !edge.Less(mark)):
			if at, made = mark, batch.Quo(mark).DownTo(one); met(at) {
				return found{at: at, ok: true}
			}
		case fewer.Sign() > 0 && edge.Less(most):
			end := batch.Quo(fewer)
			if ok {
				end = exact.Min(end, mark)
			}
			if at, made = edge, fewer; met(edge.Add(end).Quo(exact.Int(2))) {
				return found{at: edge, open: true, ok: true}
			}
		default:
			return found{}
		}
	}
	return found{ended: true}
}

// weightInKitchen goes on from an exact weight, up or down, to the first that a
// kitchen weighs out and the engine meets the target with.
func (s *search) weightInKitchen(from found, up bool) (measure.Quantity, bool) {
	was := s.base.Portions[s.req.Portion].Weight
	l, x := ladderOf(was.Unit()), from.at
	for i := range maxMeasures {
		next, ok := l.beyond(x, up, i > 0 || from.open)
		if !ok {
			return measure.Quantity{}, false
		}
		x = next
		q, ok := kitchenQuantity(x, was.Unit())
		if !ok {
			return measure.Quantity{}, false
		}
		r, ok := s.weigh(q)
		if !ok {
			return measure.Quantity{}, false
		}
		if s.meets(r) {
			return q, true
		}
	}
	return measure.Quantity{}, false
}
