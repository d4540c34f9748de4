package kitchen

import (
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// OtherMeasure is a weight beside a measure of volume, or a measure beside a
// weight, by a figure of what a cup of the food weighs; beside cans it is the
// weight of what is in them, liquid included. It is for the cook; the credit goes
// by the amount on the card.
type OtherMeasure struct {
	Measured
	Figure   *food.Figure
	Estimate bool // the figure is not documented, or one of several for different cuts
}

// otherMeasure turns a weight into a volume or back, by the food's cup weight in
// the state of the line, and cans into weight by their net weight. It has nothing
// for foods without such a figure, for pieces, and for food weighed as purchased
// that is trimmed before it is measured.
func otherMeasure(cat *food.Catalog, in *recipe.Ingredient, d Direction) *OtherMeasure {
	f, ok := cat.Food(in.Food)
	if !ok || in.SubRecipe != "" || in.Product != "" {
		return nil
	}
	q := in.Quantity
	switch {
	case q.Dimension() == measure.Container:
		g := f.Figure(food.NetWeight, q.Unit())
		if g == nil || g.Value.Sign() <= 0 {
			return nil
		}
		m, err := InMeasures(measure.New(q.Amount().Mul(g.Value), measure.Ounce), d)
		if err != nil {
			return nil // too large to write down
		}
		return &OtherMeasure{m, g, !g.Source.Documented()}
	case q.Dimension() != measure.Mass && q.Dimension() != measure.Volume:
		return nil
	case q.Dimension() == measure.Mass && in.Basis != "usable" && in.Basis != "as-served" && f.HasUsableShare():
		return nil
	}
	served := in.Basis == "as-served"
	state := ""
	if served || food.Uncooked(in.State) {
		state = in.State
	}
	g := f.CupWeight(state, !served)
	if g == nil && state != "" && !served {
		g = f.CupWeight("", true) // of no cut in particular
	}
	if g == nil || g.Value.Sign() <= 0 {
		return nil
	}
	m, err := InMeasures(converted(q, g), d)
	if err != nil {
		return nil // too large to write down
	}
	return &OtherMeasure{m, g, !g.Source.Documented() || severalCups(f, state, !served)}
}

// converted turns a weight into cups or back, in its own system. The ounce and
// the cup are the legal ones.
func converted(q measure.Quantity, g *food.Figure) measure.Quantity {
	if q.Dimension() == measure.Volume {
		n, _ := q.In(measure.Cup)
		grams := measure.New(n.Mul(g.Value), measure.Gram)
		if q.System() == measure.Metric {
			return grams
		}
		oz, _ := grams.In(measure.Ounce)
		return measure.New(oz, measure.Ounce)
	}
	n, _ := q.In(measure.Gram)
	cups := measure.New(n.Quo(g.Value), measure.Cup)
	if q.System() == measure.Metric {
		ml, _ := cups.In(measure.Milliliter)
		return measure.New(ml, measure.Milliliter)
	}
	return cups
}

// severalCups reports whether the food has cup weights that differ among those
// the line could mean.
func severalCups(f *food.Food, state string, uncooked bool) bool {
	var first exact.Number
	for _, g := range f.Figures {
		if g.Kind != food.CupWeight || uncooked && !food.Uncooked(g.State) || !food.Matches(g.State, state) {
			continue
		}
		if !first.IsZero() && !g.Value.Equal(first) {
			return true
		}
		first = g.Value
	}
	return false
}
