package credit

import (
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
)

// option is one state an ingredient may be served in, and the best way to its
// credit in that state.
type option struct {
	state string
	chain chain
}

// served finds the ways an ingredient can credit toward a component by volume
// as served or by servings per purchase unit: one option for each state that
// fits what the request says.
func (w *work) served(a amount, comp food.Component, wanted string, opts []option) []option {
	f := a.f
	// A figure for just this state goes before those of its cuts.
	just := wanted != "" && f.HasState(comp, wanted)
	for _, g := range f.Figures {
		if g.Kind != food.Servings || g.Larger || g.Component != comp || !food.Matches(g.State, wanted) || just && g.State != wanted {
			continue
		}
		if c, ok := w.servings(a, g); ok {
			w.finish(f, g.State, &c)
			opts = offer(opts, g.State, &c)
		}
		if c, ok := w.cooking(a, comp, g); ok {
			w.finish(f, g.State, &c)
			opts = offer(opts, g.State, &c)
		}
		if c, ok := w.heating(a, comp, g); ok {
			opts = offer(opts, g.State, &c)
		}
	}
	if comp != food.Meats || f.Traits.Has(food.Legume) {
		opts = w.asServed(a, comp, wanted, opts)
	}
	if len(opts) == 0 {
		opts = w.throughCups(a, comp, wanted, opts)
	}
	return opts
}

// offer keeps the better of two ways to one state.
func offer(opts []option, state string, c *chain) []option {
	for i := range opts {
		if opts[i].state == state {
			if c.better(&opts[i].chain) || !opts[i].chain.better(c) && c.value.Less(opts[i].chain.value) {
				opts[i].chain = *c
			}
			return opts
		}
	}
	return append(opts, option{state, *c})
}

// asServed credits a volume that is already as served: measured raw and served
// raw, or measured on the plate.
func (w *work) asServed(a amount, comp food.Component, wanted string, opts []option) []option {
	if a.q.Dimension() != measure.Volume || a.f.Traits.Has(food.TomatoConcentrate) {
		return opts
	}
	if unready := a.f.Form == "dry" || a.f.Form == "dehydrated" || a.f.Form == "concentrate"; unready && a.basis != food.AsServed {
		return opts
	}
	state := wanted
	if wanted == "" {
		state = "as measured"
	}
	if a.basis != food.AsServed && !food.Uncooked(state) {
		return opts
	}
	cups, _ := a.q.In(measure.Cup)
	c := begin(cups, measure.Cup, "produce/as-served")
	w.volumeAsServed(&c, comp)
	w.finish(a.f, state, &c)
	return offer(opts, state, &c)
}

// volumeAsServed turns a running value in cups served into credit before the
// factors for dried fruit and leafy greens.
func (w *work) volumeAsServed(c *chain, comp food.Component) {
	if comp == food.Meats {
		w.rule(c, DividedBy, legumeCups)
		return
	}
	w.rule(c, Times, producePerCup)
}

// cooking credits a volume measured before cooking and served cooked. It takes
// the ratio of the printed figures of the two states, per the same purchase
// unit; of several uncooked figures the largest, which never credits more.
func (w *work) cooking(a amount, comp food.Component, cooked *food.Figure) (chain, bool) {
	if a.q.Dimension() != measure.Volume || a.basis != food.ReadyToUse || food.Uncooked(cooked.State) || cooked.Unit.Dimension == measure.Volume {
		return chain{}, false
	}
	cups, _ := a.q.In(measure.Cup)
	var raw *food.Figure
	for _, g := range a.f.Figures {
		if g.Kind == food.Servings && g.Component == comp && food.Uncooked(g.State) && g.Unit == cooked.Unit && g.Basis == cooked.Basis &&
			(raw == nil || raw.Rate.Less(g.Rate)) {
			raw = g
		}
	}
	if raw != nil && comp != food.Meats {
		c := begin(cups, measure.Cup, "recipe/measured-before-cooking")
		c.food(DividedBy, raw)
		c.food(Times, cooked)
		return c, true
	}
	cup := a.f.CupWeight("", true)
	if cup == nil || cooked.Unit.Dimension != measure.Mass {
		return chain{}, false
	}
	c := begin(cups, measure.Cup, "recipe/measured-before-cooking")
	c.food(Times, cup)
	w.gramsTo(&c, cooked.Unit)
	if a.f.Form != "dry" && a.f.Form != "dehydrated" {
		w.usableToPurchased(&c, a.f, cooked.State)
	}
	c.food(Times, cooked)
	return c, true
}

// heating credits canned food weighed drained and served heated: the drained
// weight to cups by the figure per drained pound, then by the ratio of what one
// can gives heated and unheated.
func (w *work) heating(a amount, comp food.Component, heated *food.Figure) (chain, bool) {
	if a.q.Dimension() != measure.Mass || a.basis != food.ReadyToUse || food.Uncooked(heated.State) || heated.Unit.Dimension != measure.Container {
		return chain{}, false
	}
	var drained, unheated *food.Figure
	for _, g := range a.f.Figures {
		switch {
		case g.Kind != food.Servings || g.Larger || g.Component != comp || !food.Uncooked(g.State):
		case g.Basis == food.Drained && g.Unit.Dimension == measure.Mass && (drained == nil || g.Rate.Less(drained.Rate)):
			drained = g
		case g.Unit == heated.Unit && (unheated == nil || unheated.Rate.Less(g.Rate)):
			unheated = g
		}
	}
	if drained == nil || unheated == nil {
		return chain{}, false
	}
	var c chain
	w.weigh(&c, &a.q, drained.Unit, "recipe/drained-then-heated")
	c.food(Times, drained)
	c.food(DividedBy, unheated)
	c.food(Times, heated)
	return c, true
}

// throughCups is the last way: weight to cups by a cup weight, or cups to
// weight for a figure per pound.
func (w *work) throughCups(a amount, comp food.Component, wanted string, opts []option) []option {
	f := a.f
	if a.q.Dimension() == measure.Volume {
		cups, _ := a.q.In(measure.Cup)
		for _, g := range f.Figures {
			if g.Kind != food.Servings || g.Component != comp || g.Unit.Dimension != measure.Mass || !food.Matches(g.State, wanted) {
				continue
			}
			cup := f.CupWeight("", true)
			if a.basis == food.AsServed {
				// A cup on the plate is no cup as bought, unless nothing is
				// done to the food.
				if cup = f.CupWeight(g.State, true); cup != nil && cup.State != g.State {
					cup = nil
				}
			}
			if cup == nil {
				continue
			}
			c := begin(cups, measure.Cup, "recipe/cup-weight")
			c.food(Times, cup)
			w.gramsTo(&c, g.Unit)
			if a.basis == food.ReadyToUse && f.Form != "dry" {
				w.usableToPurchased(&c, f, g.State)
			}
			c.food(Times, g)
			w.finish(f, g.State, &c)
			opts = offer(opts, g.State, &c)
		}
		return opts
	}
	if comp == food.Meats && !f.Traits.Has(food.Legume) || f.Form == "dry" || f.Form == "dehydrated" || f.Form == "concentrate" || f.Traits.Has(food.TomatoConcentrate) {
		return opts
	}
	// Weight to cups. Only a state the weight is already of: raw weights give
	// raw cups, served weights give served cups.
	state := wanted
	if a.basis != food.AsServed && !food.Uncooked(state) {
		return opts
	}
	cup := f.HeaviestCup(state)
	if cup == nil || a.basis != food.AsServed && !food.Uncooked(cup.State) {
		return opts
	}
	var c chain
	if !w.grams(&c, &a, "recipe/cup-weight") {
		return opts
	}
	if a.basis == food.AsPurchased && a.q.Dimension() == measure.Mass {
		share := f.UsableShare(cup.State)
		switch {
		case share != nil:
			c.food(Times, share)
		case f.Form == "fresh" || f.Form == "canned" || f.HasUsableShare():
			return opts // how much of it is trimmed or drained away is not known
		}
	}
	c.food(DividedBy, cup)
	w.volumeAsServed(&c, comp)
	w.finish(f, cup.State, &c)
	return offer(opts, cup.State, &c)
}

// finish applies the rules by which some foods credit more or less than their
// volume as served.
func (w *work) finish(f *food.Food, state string, c *chain) {
	if !food.Uncooked(state) {
		return
	}
	switch {
	case f.Traits.Has(food.Leafy) && f.CanCredit(food.Vegetables):
		w.rule(c, Times, leafyFactor)
	case f.Traits.Has(food.DriedFruit) && f.CanCredit(food.Fruits):
		w.rule(c, Times, driedFactor)
	}
}

// driedServed returns how many cups of dried fruit as served lie behind a
// contribution.
func (w *work) driedServed(f *food.Food, state string, value exact.Number) exact.Number {
	if !f.Traits.Has(food.DriedFruit) || !food.Uncooked(state) {
		return exact.Number{}
	}
	if v := w.value(driedFactor); v != nil && !v.Number.IsZero() {
		return value.Quo(v.Number)
	}
	return exact.Number{}
}
