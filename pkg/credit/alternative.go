package credit

import (
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
)

// alternative adds another defensible answer when it differs from the credit.
func (w *work) alternative(cr *Credit, b Basis, exactly, credited exact.Number) {
	if w.full && !credited.Equal(cr.Credited) {
		if cr.Alternatives == nil {
			cr.Alternatives, w.other = w.other, nil
		}
		cr.Alternatives = append(cr.Alternatives, Alternative{b, exactly, credited, -1})
	}
}

// alternativeBy is alternative for an answer that a figure of its own decides.
func (w *work) alternativeBy(cr *Credit, b Basis, exactly, credited exact.Number, g *Figure) {
	n := len(cr.Alternatives)
	w.alternative(cr, b, exactly, credited)
	if len(cr.Alternatives) > n {
		cr.Alternatives[n].Figure = w.figure(g)
	}
}

func (w *work) belongs(p *part, cr *Credit) bool {
	return p.component == cr.Component && !p.left && (cr.Subgroup == food.NoSubgroup || p.subgroup == cr.Subgroup)
}

// counts reports whether a part counts toward a credit: it belongs to it, or
// what its subgroup leaves over fills it.
func (w *work) counts(p *part, cr *Credit) bool {
	return w.belongs(p, cr) || cr.Basis == OtherFilled && p.component == cr.Component && !p.left && w.meetsOther(p.subgroup)
}

// portionOf turns a sum of the batch into a portion's. Of what fills other
// vegetables, the subgroups it is of keep what they credit themselves.
func (w *work) portionOf(cr *Credit, total exact.Number) exact.Number {
	n := total.Quo(w.servingsMade())
	if cr.Basis == OtherFilled {
		n = exact.Max(n.Sub(w.surplus.taken), exact.Number{})
	}
	return n
}

// alternatives works out the other bases the trade would defend for a sum.
func (w *work) alternatives(cr *Credit) {
	w.worksheet(cr)
	w.otherOunce(cr)
	w.cookedShare(cr)
	w.driedCounted(cr)
	w.legumesStepped(cr)
	if cr.Component != food.Grains && cr.Subgroup == food.NoSubgroup {
		w.eachRounded(cr, exact.Number{}, false)
	}
}

// eachRounded repeats a sum with what each food brings to a portion rounded down
// before it is added, as some cards do. printed is what tables of printed weights
// make of the foods they speak of, when held.
func (w *work) eachRounded(cr *Credit, printed exact.Number, held bool) {
	if cr.Credited.IsZero() {
		return
	}
	total, step := exact.Number{}, cr.Step.Mul(w.servingsMade())
parts:
	for i := range w.parts {
		p := &w.parts[i]
		if !w.belongs(p, cr) || held && w.tableOf(p) != nil {
			continue
		}
		value := p.opt.chain.value
		for k := range w.parts {
			q := &w.parts[k]
			if !p.repeated {
				break
			}
			if k == i || !q.sameFood(p) || q.opt.state != p.opt.state || !w.belongs(q, cr) {
				continue
			}
			if k < i {
				continue parts // counted there
			}
			value = value.Add(q.opt.chain.value)
		}
		if !value.Less(step) {
			total = total.Add(value.DownTo(step))
		}
	}
	credited := total.Quo(w.servingsMade()).Add(printed)
	w.alternative(cr, EachRounded, credited, credited)
}

// worksheetPlaces is how many decimals hand worksheets keep; each product is
// cut to them, never rounded up.
const worksheetPlaces = 3

// worksheet repeats the sum as the printed method does by hand: each amount in
// the purchase unit, each subtotal and the quotient cut to three decimals. One
// food on two lines is pooled first.
func (w *work) worksheet(cr *Credit) {
	if w.cutsNothing(cr) {
		return
	}
	total := exact.Number{}
	for i := range w.parts {
		p := &w.parts[i]
		if !w.counts(p, cr) || w.pooledBefore(i) {
			continue
		}
		c := &p.opt.chain
		start, value := c.start, c.value
		for k := i + 1; p.repeated && k < len(w.parts); k++ {
			if w.parts[k].food == p.food && w.samePool(p, &w.parts[k]) {
				start = start.Add(w.parts[k].opt.chain.start)
				value = value.Add(w.parts[k].opt.chain.value)
			}
		}
		if cut := start.Cut(worksheetPlaces); !cut.Equal(start) {
			value = cut.Mul(value.Quo(start))
		}
		total = total.Add(value.Cut(worksheetPlaces))
	}
	exactly := w.portionOf(cr, total).Cut(worksheetPlaces)
	credited := exactly.DownTo(cr.Step)
	w.alternative(cr, WorksheetCut, exactly, credited)
}

// cutsNothing reports whether cutting cannot lose a step: every amount has no
// more decimals than the worksheet keeps, so each subtotal and the quotient lose
// less than one unit of the last place, and the credit stands further from its
// step than that.
func (w *work) cutsNothing(cr *Credit) bool {
	n := int64(0)
	for i := range w.parts {
		p := &w.parts[i]
		if !w.counts(p, cr) {
			continue
		}
		n++
		if start := p.opt.chain.start; !start.Cut(worksheetPlaces).Equal(start) {
			return false
		}
	}
	loss := exact.Frac(n, 1000).Quo(w.servingsMade()).Add(exact.Frac(1, 1000))
	return !cr.Exact.Sub(cr.Credited).Less(loss)
}

// samePool reports whether two parts are the same food through the same
// figures.
func (w *work) samePool(p, q *part) bool {
	if p.food != q.food || p.component != q.component || p.left != q.left || p.opt.chain.unit != q.opt.chain.unit || p.opt.chain.n != q.opt.chain.n {
		return false
	}
	for k := range p.opt.chain.n {
		if p.opt.chain.figures[k] != q.opt.chain.figures[k] {
			return false
		}
	}
	return true
}

func (w *work) pooledBefore(i int) bool {
	if !w.parts[i].repeated {
		return false
	}
	for k := range i {
		if w.parts[k].food == w.parts[i].food && w.samePool(&w.parts[k], &w.parts[i]) {
			return true
		}
	}
	return false
}

// otherOunce repeats the sum with the other grams in an ounce.
func (w *work) otherOunce(cr *Credit) {
	v := w.value(gramsPerOunce)
	if v == nil {
		return
	}
	other, basis := legalOunce, ExactOunce
	if v.Number.Equal(legalOunce) {
		other, basis = kitchenOunce, KitchenOunce
	}
	ratio, crossed, total := other.Quo(v.Number), false, exact.Number{}
	// The two ounces differ by less than 1 part in 50,000: further from a step
	// than that, the other cannot decide it.
	margin := cr.Exact.Mul(ounceMargin)
	if cr.Basis == OtherFilled {
		margin = cr.Exact.Add(w.surplus.taken).Mul(ounceMargin)
	}
	_, cut := cr.Exact.RoundDown(cr.Step)
	if !cut.Less(margin) && !cr.Step.Sub(cut).Less(margin) {
		return
	}
	for i := range w.parts {
		p := &w.parts[i]
		if !w.counts(p, cr) {
			continue
		}
		value := p.opt.chain.value
		for k := range p.opt.chain.n {
			if p.opt.chain.figures[k] == &v.Record {
				crossed = true
				if p.opt.chain.ops[k] == Times {
					value = value.Mul(ratio)
				} else {
					value = value.Quo(ratio)
				}
			}
		}
		total = total.Add(value)
	}
	if crossed {
		exactly := w.portionOf(cr, total)
		credited := exactly.DownTo(cr.Step)
		w.alternative(cr, basis, exactly, credited)
	}
}

var (
	legalOunce, _ = measure.Ounce.Ratio(measure.Gram)
	kitchenOunce  = exact.MustParse("28.35")
	ounceMargin   = exact.Frac(1, 25_000)
)

// cookedShare repeats a sum of meats with the printed share of raw weight left
// after cooking in place of the printed servings per pound, which is cut.
func (w *work) cookedShare(cr *Credit) {
	if cr.Component != food.Meats {
		return
	}
	total, any := exact.Number{}, false
	for i := range w.parts {
		p := &w.parts[i]
		if !w.belongs(p, cr) {
			continue
		}
		value, c := p.opt.chain.value, &p.opt.chain
		for _, g := range p.food.Figures {
			if p.shared != nil && c.last() == &g.Record && g.Kind == food.Servings && g.Unit == measure.Pound {
				any = true
				value = value.Quo(g.Rate).Mul(exact.Int(16)).Mul(p.shared.Value)
			}
		}
		total = total.Add(value)
	}
	if any {
		exactly := total.Quo(w.servingsMade())
		credited := exactly.DownTo(cr.Step)
		w.alternative(cr, CookedShareWeight, exactly, credited)
	}
}

// driedCounted repeats a sum of fruit with the dried fruit a rule left out.
func (w *work) driedCounted(cr *Credit) {
	if cr.Component != food.Fruits {
		return
	}
	total, any := exact.Number{}, false
	for i := range w.parts {
		p := &w.parts[i]
		if dried := !p.dried.IsZero(); p.component == food.Fruits && (dried || !p.left) {
			total = total.Add(p.opt.chain.value)
			any = any || p.left
		}
	}
	if any {
		exactly := total.Quo(w.servingsMade())
		credited := exactly.DownTo(cr.Step)
		w.alternative(cr, DriedFruitCounted, exactly, credited)
	}
}

// legumesStepped repeats a sum of meats with the cups of beans, peas and
// lentils in a portion rounded down to eighths before they become ounce
// equivalents, as some published recipes do. The order is not settled.
func (w *work) legumesStepped(cr *Credit) {
	if cr.Component != food.Meats {
		return
	}
	legumes, others := exact.Number{}, exact.Number{}
	for i := range w.parts {
		p := &w.parts[i]
		switch {
		case !w.belongs(p, cr):
		case p.food.Traits.Has(food.Legume):
			legumes = legumes.Add(p.opt.chain.value)
		default:
			others = others.Add(p.opt.chain.value)
		}
	}
	perOzEq, eighth := w.value(legumeCups), w.value(vegetablesStep)
	if legumes.IsZero() || perOzEq == nil || eighth == nil {
		return
	}
	cups := legumes.Quo(w.servingsMade()).Mul(perOzEq.Number).DownTo(eighth.Number)
	exactly := cups.Quo(perOzEq.Number).Add(others.Quo(w.servingsMade()))
	credited := exactly.DownTo(cr.Step)
	w.alternative(cr, LegumesStepped, exactly, credited)
}
