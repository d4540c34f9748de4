package kitchen

import (
	"cmp"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
)

// bought is an amount on its way to what is bought for it. Where figures leave a
// choice, the one that buys more is taken: what is bought covers the need.
type bought struct {
	amount exact.Number // in unit
	unit   *measure.Unit
	by     []*food.Figure
	// asMeasured is set when no figure says what was drained or cooked away: the
	// amount is then only brought to another unit.
	asMeasured bool
}

// asPurchased is how much of a food in a unit has to be bought for an amount in
// a basis and state, with the figures that say so. It reports whether they do.
func asPurchased(f *food.Food, q measure.Quantity, basis, state string, u *measure.Unit) (bought, bool) {
	b := bought{amount: q.Amount(), unit: q.Unit()}
	volume := q.Dimension() == measure.Volume
	if basis == "" {
		basis = "as-purchased"
		if volume {
			basis = "usable"
		}
	}
	switch {
	case q.Dimension() == measure.Count || q.Dimension() == measure.Container || basis == "as-purchased":
		return b.equivalent(f, u)
	case volume:
		if by, ok := b.byServings(f, state, basis == "as-served", u); ok {
			return by, true
		}
		byCredit, credited := b.sameCredit(f, u)
		if basis == "as-served" || f.Form == "canned" {
			b.asMeasured = true
			return b.same(u)
		}
		if w, ok := b.weighed(f, state); ok {
			if w, ok = w.untrimmed(f, state); ok {
				w, ok = w.equivalent(f, u)
			}
			if ok && !(credited && w.amount.Less(byCredit.amount)) {
				return w, true
			}
		}
		if credited {
			return byCredit, true
		}
		return b.same(u)
	case basis == "as-served":
		g := f.CookedShareFigure()
		if g == nil || g.Value.Sign() <= 0 {
			b.asMeasured = true
			return b.same(u)
		}
		b.amount, b.by = b.amount.Quo(g.Value), []*food.Figure{g}
		return b.equivalent(f, u)
	}
	b, ok := b.untrimmed(f, state)
	if !ok {
		return bought{}, false
	}
	unknown := len(b.by) == 0 && trimmed(f, state)
	b, ok = b.equivalent(f, u)
	b.asMeasured = unknown
	return b, ok
}

// trimmed reports whether a usable weight of a food may be less than was bought:
// what is canned is drained, and fresh fruit and vegetables are peeled and cored.
func trimmed(f *food.Food, state string) bool {
	produce := f.CanCredit(food.Fruits) || f.CanCredit(food.Vegetables)
	return f.Form == "canned" || f.Form == "fresh" && produce || strings.Contains(state, "drained")
}

// sameCredit is how much of a unit credits as a meat alternate what the measure
// does, for food that has figures by both, such as nut butters: what they weigh
// and what they credit differ a little, and credits are what is served for.
func (b bought) sameCredit(f *food.Food, u *measure.Unit) (bought, bool) {
	var by, of *food.Figure
	for _, g := range f.Figures {
		if g.Kind != food.Servings || g.Component != food.Meats || g.Basis != food.AsPurchased || g.Rate.Sign() <= 0 || g.Larger {
			continue
		}
		switch {
		case g.Unit.Dimension == measure.Volume && b.unit.Dimension == measure.Volume:
			of = g
		case sameKind(g.Unit, u) && (by == nil || g.Source.Tier < by.Source.Tier || g.Source.Tier == by.Source.Tier && g.Rate.Less(by.Rate)):
			by = g
		}
	}
	if by == nil || of == nil {
		return bought{}, false
	}
	b, _ = b.same(of.Unit)
	return b.with(of, b.amount.Mul(of.Rate), b.unit).with(by, b.amount.Mul(of.Rate).Quo(by.Rate), by.Unit).same(u)
}

// byServings is how many units give so many cups, by how many servings of a
// measured size a unit gives: in the state the amount was measured in, before
// cooking unless it was served. Of several figures it takes the best source, then
// the one that buys more. What is canned may be figured after heating only.
func (b bought) byServings(f *food.Food, state string, served bool, u *measure.Unit) (bought, bool) {
	// Servings of a concentrate count what it credits, which is more than it fills.
	if f.Traits.Has(food.TomatoConcentrate) || f.Traits.Has(food.Concentrate) || f.Form == "concentrate" {
		return bought{}, false
	}
	fit := func(g *food.Figure) int {
		measured := served || food.Uncooked(g.State)
		switch {
		case g.Kind != food.Servings || g.Larger || g.Basis != food.AsPurchased || g.Rate.Sign() <= 0 || g.Component != food.Fruits && g.Component != food.Vegetables:
			return 0
		case measured && food.Matches(g.State, state):
			return 3
		case measured && !served && !food.Uncooked(state): // measured before it was cooked
			return 2
		case f.Form == "canned":
			return 1
		}
		return 0
	}
	nearer := func(g, h *food.Figure) int {
		return cmp.Or(cmp.Compare(h.Source.Tier, g.Source.Tier), cmp.Compare(fit(g), fit(h)))
	}
	cups, _ := b.same(measure.Cup)
	var best bought
	var of *food.Figure
	for _, g := range f.Figures {
		if fit(g) == 0 || of != nil && nearer(g, of) < 0 || sameKind(measure.Cup, g.Unit) && !sameKind(measure.Cup, u) {
			continue
		}
		units := measure.New(cups.amount.Quo(g.Rate), g.Unit)
		by, ok := bought{amount: units.Amount(), unit: units.Unit(), by: []*food.Figure{g}}.equivalent(f, u)
		if ok && (of == nil || nearer(g, of) > 0 || best.amount.Less(by.amount)) {
			best, of = by, g
		}
	}
	return best, of != nil
}

// sameKind reports whether amounts of the two units convert by themselves.
func sameKind(a, b *measure.Unit) bool {
	if a == nil {
		return false
	}
	_, ok := a.Ratio(b)
	return ok
}

// same brings an amount to a unit of its own kind.
func (b bought) same(u *measure.Unit) (bought, bool) {
	r, ok := b.unit.Ratio(u)
	if !ok {
		return bought{}, false
	}
	b.amount, b.unit = b.amount.Mul(r), u
	return b, true
}

// with takes a figure into the work.
func (b bought) with(g *food.Figure, amount exact.Number, u *measure.Unit) bought {
	return bought{amount: amount, unit: u, by: append(b.by[:len(b.by):len(b.by)], g)}
}

// equivalent brings an amount as purchased to another unit, by what a can, a
// piece or a cup of the food weighs.
func (b bought) equivalent(f *food.Food, u *measure.Unit) (bought, bool) {
	if to, ok := b.same(u); ok {
		return to, true
	}
	w := b
	switch b.unit.Dimension {
	case measure.Mass:
	case measure.Container:
		g := f.Figure(food.NetWeight, b.unit)
		if g == nil {
			return bought{}, false
		}
		w = b.with(g, b.amount.Mul(g.Value), measure.Ounce)
	case measure.Count:
		g := pieceWeight(f)
		if g == nil {
			return bought{}, false
		}
		w = b.with(g, b.amount.Mul(g.Value), measure.Gram)
		var ok bool
		if w, ok = w.untrimmed(f, ""); !ok {
			return bought{}, false
		}
	default:
		var ok bool
		if w, ok = b.weighed(f, ""); !ok {
			return bought{}, false
		}
	}
	if to, ok := w.same(u); ok {
		return to, true
	}
	switch u.Dimension {
	case measure.Container:
		g := f.Figure(food.NetWeight, u)
		if g == nil || g.Value.Sign() <= 0 {
			return bought{}, false
		}
		oz, _ := w.same(measure.Ounce)
		return oz.with(g, oz.amount.Quo(g.Value), u), true
	case measure.Count:
		g := pieceWeight(f)
		if g == nil || g.Value.Sign() <= 0 || f.HasUsableShare() {
			return bought{}, false // what is trimmed off each piece is not known
		}
		grams, _ := w.same(measure.Gram)
		return grams.with(g, grams.amount.Quo(g.Value), measure.Each).same(u)
	case measure.Volume:
		g := f.CupWeight("", true)
		if g == nil || g.Value.Sign() <= 0 {
			return bought{}, false
		}
		grams, _ := w.same(measure.Gram)
		return grams.with(g, grams.amount.Quo(g.Value), measure.Cup).same(u)
	}
	return bought{}, false
}

func pieceWeight(f *food.Food) *food.Figure {
	for _, g := range f.Figures {
		if g.Kind == food.PieceWeight {
			return g
		}
	}
	return nil
}

// weighed turns cups into weight by the heaviest cup that was measured before
// cooking, which buys the most.
func (b bought) weighed(f *food.Food, state string) (bought, bool) {
	if !food.Uncooked(state) {
		state = ""
	}
	for _, s := range []string{state, ""} {
		var best *food.Figure
		for _, g := range f.Figures {
			if g.Kind != food.CupWeight || !food.Uncooked(g.State) || !food.Matches(g.State, s) {
				continue
			}
			if best == nil || g.Source.Tier < best.Source.Tier || g.Source.Tier == best.Source.Tier && best.Value.Less(g.Value) {
				best = g
			}
		}
		if best != nil {
			cups, ok := b.same(measure.Cup)
			if !ok {
				return bought{}, false
			}
			return cups.with(best, cups.amount.Mul(best.Value), measure.Gram), true
		}
	}
	return bought{}, false
}

// untrimmed turns usable weight into weight as purchased by the share that is
// usable: the one of the state, else the least there is.
func (b bought) untrimmed(f *food.Food, state string) (bought, bool) {
	g := f.UsableShare(state)
	if g == nil {
		for _, h := range f.Figures {
			if h.Kind == food.Usable && (g == nil || h.Value.Less(g.Value)) {
				g = h
			}
		}
	}
	switch {
	case g == nil:
		return b, true // nothing is trimmed off
	case g.Value.Sign() <= 0:
		return bought{}, false
	}
	return b.with(g, b.amount.Quo(g.Value), b.unit), true
}
