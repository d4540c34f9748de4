package food

import (
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/measure"
)

// The catalog that ships has no hole.
func TestDefaultIsWhole(t *testing.T) {
	whole(t, shipped())
	if n := len(shipped().Foods()); n < 900 {
		t.Errorf("%d foods", n)
	}
}

// A slip of the pen or of a column shows as a figure no food can have. The
// bounds are wide: they are there for a decimal point gone astray, not for a
// doubtful source.
func TestFiguresArePlausible(t *testing.T) {
	between := func(g *Figure, low, high string) {
		if g.Value.Less(exact.MustParse(low)) || exact.MustParse(high).Less(g.Value) {
			t.Errorf("%s: %s %s is outside %s to %s", g.ID, g.Text, g.Record.Unit, low, high)
		}
	}
	for _, f := range shipped().Foods() {
		for _, g := range f.Figures {
			switch g.Kind {
			case CupWeight:
				between(g, "4", "400") // popped corn; honey
			case Usable:
				between(g, "0.2", "1")
			case CookedShare:
				between(g, "0.25", "1")
			case NetWeight:
				between(g, "4", "130")
			case PieceWeight:
				between(g, "0.5", "6000")
			case Servings:
				if g.Unit == measure.Pound || g.Unit == measure.Ounce {
					perPound := g.Rate
					if g.Unit == measure.Ounce {
						perPound = perPound.Mul(exact.Int(16))
					}
					// A pound fills 31 cups at most (it would weigh 15 g a cup),
					// and is 16 oz of meat or, dried, some three times that.
					if exact.Int(64).Less(perPound) || perPound.Less(exact.MustParse("0.25")) {
						t.Errorf("%s: %s gives %s %s a pound", g.ID, g.Record.Unit, perPound, g.Component.Unit())
					}
				}
			}
		}
	}
}

// What is served raw weighs no more than what was bought: cups from a pound,
// times the weight of a cup, is at most a pound, give or take what a cup varies
// by. A figure above that would credit food that is not there.
func TestRawServingsWeighNoMoreThanBought(t *testing.T) {
	pound := exact.MustParse("453.59237")
	most := pound.Mul(exact.MustParse("1.2"))
	checked := 0
	for _, f := range shipped().Foods() {
		if f.Form != "fresh" && f.Form != "frozen" {
			continue
		}
		for _, g := range f.Figures {
			if g.Kind != Servings || g.Unit != measure.Pound || g.Basis != AsPurchased || !Uncooked(g.State) || g.Component != Fruits && g.Component != Vegetables {
				continue
			}
			// The lightest cup of the very state is the kindest to the figure.
			cup := f.CupWeight(g.State, false)
			if cup == nil || cup.State != g.State {
				continue
			}
			checked++
			if weight := g.Rate.Mul(cup.Value); most.Less(weight) {
				t.Errorf("%s: %s cups of %s g (%s) are %s g out of a pound", g.ID, g.Rate, cup.Text, cup.ID, weight.DecimalText(0))
			}
		}
	}
	if checked < 20 {
		t.Errorf("only %d figures could be held against a cup weight", checked)
	}
}

// Figures printed for two serving sizes of one row agree but for the rounding
// of three figures.
func TestServingSizesAgree(t *testing.T) {
	checked := 0
	for _, f := range shipped().Foods() {
		for _, g := range f.Figures {
			for _, h := range f.Figures {
				if g == h || g.Kind != Servings || h.Kind != Servings || g.Source.Document != h.Source.Document || g.Component != h.Component || g.State != h.State || g.Unit != h.Unit || g.Basis != h.Basis || !g.Size.Less(h.Size) {
					continue
				}
				checked++
				if ratio := h.Rate.Quo(g.Rate); ratio.Less(exact.MustParse("0.93")) || exact.MustParse("1.07").Less(ratio) {
					t.Errorf("%s gives %s and %s gives %s a %s", g.ID, g.Rate.DecimalText(3), h.ID, h.Rate.DecimalText(3), g.Unit.ID)
				}
			}
		}
	}
	if checked < 10 {
		t.Errorf("only %d pairs to compare", checked)
	}
}
