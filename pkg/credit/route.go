package credit

import (
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
)

// amount is what an ingredient's quantity measures, on the way to a figure's
// purchase unit.
type amount struct {
	f     *food.Food
	q     measure.Quantity
	basis food.Basis // AsPurchased, ReadyToUse or AsServed
}

// servings follows a printed servings figure: the amount in its purchase unit,
// times servings per unit, times the size of a serving.
func (w *work) servings(a amount, g *food.Figure) (chain, bool) {
	c, ok := w.inUnit(a, g.Unit, g.Basis, g.State)
	if !ok {
		return chain{}, false
	}
	c.food(Times, g)
	return c, true
}

// inUnit brings an amount to a purchase unit and to what that unit measures
// (as purchased or drained).
func (w *work) inUnit(a amount, u *measure.Unit, basis food.Basis, state string) (chain, bool) {
	const rule = "recipe/purchase-unit"
	switch a.q.Dimension() {
	case measure.Container:
		if a.q.Unit() == u {
			return begin(a.q.Amount(), u, rule), true
		}
		net := a.f.Figure(food.NetWeight, a.q.Unit())
		if net == nil || u.Dimension != measure.Mass || basis == food.Drained {
			return chain{}, false
		}
		c := begin(a.q.Amount(), a.q.Unit(), rule)
		c.food(Times, net)
		w.ouncesTo(&c, u)
		return c, true
	case measure.Count:
		if u.Dimension == measure.Count {
			n, _ := a.q.In(u)
			return begin(n, u, rule), true
		}
		each := a.f.Figure(food.PieceWeight, measure.Each)
		if each == nil || u.Dimension != measure.Mass || basis == food.Drained {
			return chain{}, false
		}
		c := begin(a.q.Amount(), measure.Each, rule)
		c.food(Times, each)
		w.gramsTo(&c, u)
		// The weight of a piece is of what is eaten of it.
		w.usableToPurchased(&c, a.f, state)
		return c, true
	case measure.Volume:
		if u.Dimension == measure.Volume {
			n, _ := a.q.In(u)
			return begin(n, u, rule), true
		}
		return chain{}, false
	}
	switch u.Dimension {
	case measure.Container:
		net := a.f.Figure(food.NetWeight, u)
		if net == nil || a.basis != food.AsPurchased {
			return chain{}, false
		}
		var c chain
		w.weigh(&c, &a.q, measure.Ounce, rule)
		c.food(DividedBy, net)
		return c, true
	case measure.Mass:
		var c chain
		w.weigh(&c, &a.q, u, rule)
		switch {
		case a.basis == food.AsServed:
			// A weight on the plate is no weight as bought, unless nothing is
			// done to the food.
			return c, state == "as-is" && basis == food.AsPurchased && a.f.UsableShare(state) == nil
		case basis == food.Drained:
			return c, a.basis == food.ReadyToUse
		case a.basis == food.ReadyToUse:
			w.usableToPurchased(&c, a.f, state)
		}
		return c, true
	}
	return chain{}, false
}

// usableToPurchased turns a usable weight into the weight bought for it. A food
// with no usable share is taken as bought usable, which never credits more.
func (w *work) usableToPurchased(c *chain, f *food.Food, state string) {
	if share := f.UsableShare(state); share != nil {
		c.food(DividedBy, share)
	}
}

// weigh starts a chain from a weight, in unit u.
func (w *work) weigh(c *chain, q *measure.Quantity, u *measure.Unit, rule string) {
	switch {
	case q.System() == u.System:
		n, _ := q.In(u)
		c.begin(n, u, rule)
	case u.System == measure.Metric:
		c.begin(q.Amount(), measure.Ounce, rule)
		w.ounceFigure(c, Times)
	default:
		c.begin(q.Amount(), measure.Gram, rule)
		w.gramsTo(c, u)
	}
}

// weight is what weigh comes to.
func (w *work) weight(q measure.Quantity, u *measure.Unit) exact.Number {
	var c chain
	w.weigh(&c, &q, u, "")
	return c.value
}

// gramsTo turns a running value in grams into unit u of weight.
func (w *work) gramsTo(c *chain, u *measure.Unit) {
	if u.System == measure.Metric {
		return
	}
	w.ounceFigure(c, DividedBy)
	w.ouncesTo(c, u)
}

// ouncesTo turns a running value in ounces into unit u of customary weight.
func (w *work) ouncesTo(c *chain, u *measure.Unit) {
	if u == measure.Pound {
		c.plain(DividedBy, &ouncesPerPound)
	}
}

// ounceFigure applies the grams in an ounce.
func (w *work) ounceFigure(c *chain, op Op) {
	w.rule(c, op, gramsPerOunce)
}

// grams starts a chain that ends in grams of the food as it is bought, and
// reports whether there is one.
func (w *work) grams(c *chain, a *amount, rule string) bool {
	switch a.q.Dimension() {
	case measure.Mass:
		w.weigh(c, &a.q, measure.Gram, rule)
		return true
	case measure.Volume:
		cup := a.f.CupWeight("", true)
		if cup == nil {
			return false
		}
		n, _ := a.q.In(measure.Cup)
		c.begin(n, measure.Cup, rule)
		c.food(Times, cup)
		return true
	case measure.Count:
		each := a.f.Figure(food.PieceWeight, measure.Each)
		if each == nil {
			return false
		}
		c.begin(a.q.Amount(), measure.Each, rule)
		c.food(Times, each)
		return true
	}
	net := a.f.Figure(food.NetWeight, a.q.Unit())
	if net == nil {
		return false
	}
	c.begin(a.q.Amount(), a.q.Unit(), rule)
	c.food(Times, net)
	w.ounceFigure(c, Times)
	return true
}
