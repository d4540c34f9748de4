package food

import (
	"math/bits"
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/source"
)

// Food is a food as it is bought.
type Food struct {
	ID            string
	Name          string   // what a cook says
	Also          []string // other everyday names
	Form          string   // fresh, frozen, canned, dried, dry and so on
	Components    []Component
	Subgroup      Subgroup
	Traits        Trait
	GrainKind     GrainKind
	GrainUse      GrainUse
	ExhibitAGroup byte // 'A' to 'I', or 0
	Allergens     []string
	Contains      AllergenSet // the same allergens
	Gluten        string      // contains, none-listed or ask
	SugarRole     string
	NoCredit      string // code of why it never credits; empty when it can
	Figures       []*Figure
	kinds         uint16 // of the figures, a bit each; one of a replaced figure may stand on
	Caller        bool   // the request brought it
	Described     bool   // the request says what it is, or says it otherwise than the catalog
}

// Trait is a property that changes how a food credits or what it needs.
type Trait uint32

// The traits.
const (
	Leafy Trait = 1 << iota
	DriedFruit
	Juice
	Concentrate
	Legume
	Puree
	Coconut
	Nut
	Seed
	Egg
	Cheese
	Yogurt
	Tofu
	Tempeh
	Surimi
	ProcessedMeat
	NeedsPapers
	WholeLargeRound
	Honey
	Popcorn
	TomatoConcentrate
	MixedUnknown
	MilkFluid
	WaterAdded
	Flakes           // ready-to-eat cereal, flakes and rounds
	Puffed           // ready-to-eat cereal, puffed
	Granola          // ready-to-eat cereal, granola
	DisputedSubgroup // lists disagree on its vegetable subgroup; a State option decides
)

var traitIDs = []string{"leafy", "dried-fruit", "juice", "concentrate", "legume", "puree", "coconut", "nut", "seed",
	"egg", "cheese", "yogurt", "tofu", "tempeh", "surimi", "processed-meat", "needs-papers", "whole-large-round", "honey",
	"popcorn", "tomato-concentrate", "mixed-unknown", "milk-fluid", "water-added", "flakes", "puffed", "granola", "disputed-subgroup"}

// AllergenSet is a set of major allergens.
type AllergenSet uint16

// allergens are the nine major ones, in the order records list them.
var allergens = []string{"milk", "eggs", "fish", "crustacean-shellfish", "tree-nuts", "peanuts", "wheat", "soybeans", "sesame"}

// Names lists the allergens by id.
func (s AllergenSet) Names() []string {
	if s == 0 {
		return nil
	}
	names := make([]string, 0, bits.OnesCount16(uint16(s)))
	for i, name := range allergens {
		if s&(1<<i) != 0 {
			names = append(names, name)
		}
	}
	return names
}

// Has reports whether t has every trait of u.
func (t Trait) Has(u Trait) bool { return t&u == u }

// String lists the traits by id.
func (t Trait) String() string {
	var ids []string
	for i, id := range traitIDs {
		if t&(1<<i) != 0 {
			ids = append(ids, id)
		}
	}
	return strings.Join(ids, ";")
}

// ParseTrait reads one trait id.
func ParseTrait(s string) (Trait, bool) {
	for i, id := range traitIDs {
		if id == s {
			return 1 << i, true
		}
	}
	return 0, false
}

// CanCredit reports whether the food can credit toward c.
func (f *Food) CanCredit(c Component) bool {
	for _, x := range f.Components {
		if x == c {
			return true
		}
	}
	return false
}

// Kind says what a figure is.
type Kind uint8

// The kinds of figure.
const (
	// Servings per purchase unit; Size is the serving.
	Servings Kind = iota + 1
	// Usable is the share of as purchased that is ready to use.
	Usable
	// CookedShare is the share of raw weight left as cooked lean meat.
	CookedShare
	// CupWeight is grams in one US cup.
	CupWeight
	// NetWeight is ounces in one container.
	NetWeight
	// PieceWeight is grams of one piece, ready to use.
	PieceWeight
	// GrainShare is the share of the weight that is creditable grain.
	GrainShare
	// Protein is percent protein, as-is, of an alternate protein product.
	Protein
)

var kindIDs = [...]string{"", "servings", "usable", "cooked-share", "cup", "net", "each", "grain-share", "protein"}

// String returns the id used in requests and tables.
func (k Kind) String() string { return kindIDs[k] }

// ParseKind reads what [Kind.String] writes.
func ParseKind(s string) (Kind, bool) { return lookUp[Kind](kindIDs[:], s) }

// Basis says what an amount or a purchase unit measures.
type Basis uint8

// The bases.
const (
	NoBasis     Basis = iota
	AsPurchased       // as it is bought
	ReadyToUse        // washed, trimmed, peeled; not yet cooked
	Drained           // drained weight of a canned food
	AsServed          // as on the plate
)

// String returns the id used in requests and tables.
func (b Basis) String() string {
	return [...]string{"", "as-purchased", "usable", "drained", "as-served"}[b]
}

// Figure is one figure of a food.
type Figure struct {
	ID         string
	Food       *Food
	State      string // as served or measured: "raw-diced", "cooked"
	Component  Component
	Kind       Kind
	Unit       *measure.Unit
	Text       string       // the figure as printed
	Value      exact.Number // the same, exact
	SizeText   string       // serving size as printed; Servings only
	Size       exact.Number // in cups or oz eq
	Rate       exact.Number // what one unit gives: Value x Size for Servings, else Value
	Basis      Basis        // AsPurchased, ReadyToUse or Drained
	Larger     bool         // the same row is also printed for a smaller serving, which is the finer figure
	Confidence string
	Source     source.Ref
	Note       string
	Own        bool          // the caller brought it
	Record     source.Figure // the figure as records carry it
}

// counts writes what the value counts.
func (g *Figure) counts() string {
	switch g.Kind {
	case Servings:
		return "servings of " + g.SizeText + " per " + g.unitText()
	case Usable:
		return "usable of as purchased, by weight"
	case CookedShare:
		return "cooked lean of raw, by weight"
	case CupWeight:
		return "g per cup"
	case NetWeight:
		return "oz per " + g.Unit.ID
	case PieceWeight:
		return "g each"
	case GrainShare:
		return "creditable grain, by weight"
	case Protein:
		return "percent protein as-is"
	}
	return ""
}

func (g *Figure) unitText() string {
	if g.Basis == Drained {
		return g.Unit.ID + " drained"
	}
	return g.Unit.ID
}

// Uncooked reports whether a state is one food is measured in before cooking.
// Everything but cooked, heated, baked, roasted and reconstituted is.
func Uncooked(state string) bool {
	switch broad, _, _ := strings.Cut(state, "-"); broad {
	case "cooked", "heated", "baked", "roasted", "steamed", "boiled", "reconstituted":
		return false
	}
	return true
}

// states are the broad states food is served or measured in; a state is one of
// them, or one with a cut or manner after it ("raw-diced", "cooked-roasted").
var states = []string{"raw", "cooked", "heated", "baked", "roasted", "steamed", "boiled", "reconstituted", "drained", "with",
	"frozen", "thawed", "dry", "juiced", "ready", "as", "popped", "fluid", "fully"}

// KnownState reports whether a state is one the food has figures in, or begins
// with a broad state.
func (f *Food) KnownState(state string) bool {
	broad, _, _ := strings.Cut(state, "-")
	if slices.Contains(states, broad) {
		return true
	}
	return slices.ContainsFunc(f.Figures, func(g *Figure) bool { return Matches(g.State, state) })
}

// Matches reports whether a figure's state is the wanted one or a cut of it:
// "raw" matches "raw-diced".
func Matches(state, wanted string) bool {
	return wanted == "" || state == wanted || strings.HasPrefix(state, wanted) && state[len(wanted)] == '-'
}

// noCreditWords explains the codes of Food.NoCredit.
var noCreditWords = map[string]string{
	"pantry":                 "pantry food; it is no part of a meal component",
	"not-a-component":        "not a food of any meal component",
	"condiment":              "condiments do not credit",
	"imitation":              "imitation and substitute products do not credit",
	"refined-not-enriched":   "refined and not enriched grain does not credit",
	"starch":                 "starches and fibers do not credit as grain",
	"coconut-not-creditable": "coconut milk, oil, flour and cream do not credit",
	"bacon":                  "bacon does not credit as meat",
	"cream-cheese":           "cream cheese does not credit",
	"broth":                  "broth, stock and gelatin do not credit",
	"home-canned":            "home-canned food does not credit",
	"snack-chip":             "snack chips do not credit",
	"jam":                    "jams, jellies and preserves do not credit",
	"drink":                  "drinks that are not full-strength juice or milk do not credit",
}

// NoCreditReason says in words why the food never credits.
func (f *Food) NoCreditReason() string {
	if w, ok := noCreditWords[f.NoCredit]; ok {
		return w
	}
	return f.NoCredit
}

// Figure returns the figure of a kind per unit, or nil. Of several it takes the
// one with the best source, then the smallest value, which never credits more.
func (f *Food) Figure(kind Kind, unit *measure.Unit) *Figure {
	var best *Figure
	for _, g := range f.Figures {
		if g.Kind == kind && g.Unit == unit && (best == nil || g.nearer(best)) {
			best = g
		}
	}
	return best
}

// HasUsableShare reports whether some of the food is trimmed or drained away in
// any cut or state, also where UsableShare has none for the state asked.
func (f *Food) HasUsableShare() bool {
	for _, g := range f.Figures {
		if g.Kind == Usable {
			return true
		}
	}
	return false
}

// UsableShare returns the share of as purchased that is ready to use in a
// state, or nil. A share printed for that very state goes first, then one of
// the same peeling; of several the best source, then the largest share, which
// takes the least purchased for a usable weight and so never credits more.
func (f *Food) UsableShare(state string) *Figure {
	peeled := strings.Contains(state, "peeled")
	fit := func(g *Figure) int {
		switch {
		case state != "" && g.State == state:
			return 2
		case g.Uncut() && strings.Contains(g.State, "peeled") == peeled:
			return 1
		case g.Uncut():
			return 0
		}
		return -1 // of another cut or state
	}
	var best *Figure
	for _, g := range f.Figures {
		if g.Kind != Usable || fit(g) < 0 {
			continue
		}
		switch {
		case best == nil, fit(g) > fit(best):
			best = g
		case fit(g) < fit(best):
		case g.Source.Tier < best.Source.Tier || g.Source.Tier == best.Source.Tier && best.Value.Less(g.Value):
			best = g
		}
	}
	return best
}

// Uncut reports whether a usable share is of the food ready to use in general,
// not of one cut or state of it.
func (g *Figure) Uncut() bool { return g.State == "" || strings.HasPrefix(g.State, "ready-to-use") }

// CupWeight returns grams per cup in a state, or in any uncooked state when
// uncooked is true, or nil. Of several it takes the best source, then the
// lightest cup, which never credits more where a cup is turned into weight.
func (f *Food) CupWeight(state string, uncooked bool) *Figure {
	var best *Figure
	for _, g := range f.Figures {
		if g.Kind != CupWeight || uncooked && !Uncooked(g.State) || !Matches(g.State, state) {
			continue
		}
		if best == nil || g.nearer(best) {
			best = g
		}
	}
	return best
}

// HeaviestCup is CupWeight for turning weight into cups: of several it takes
// the heaviest, which never credits more.
func (f *Food) HeaviestCup(state string) *Figure {
	var best *Figure
	for _, g := range f.Figures {
		if g.Kind != CupWeight || !Matches(g.State, state) {
			continue
		}
		if best == nil || g.Source.Tier < best.Source.Tier || g.Source.Tier == best.Source.Tier && best.Value.Less(g.Value) {
			best = g
		}
	}
	return best
}

func (g *Figure) nearer(h *Figure) bool {
	if g.Source.Tier != h.Source.Tier {
		return g.Source.Tier < h.Source.Tier
	}
	return g.Value.Less(h.Value)
}

// markLarger finds rows printed for several serving sizes: the counts of the
// larger ones are cut to three figures once more, so only the smallest serves.
func (f *Food) markLarger() {
	for _, g := range f.Figures {
		if g.Kind != Servings {
			continue
		}
		for _, h := range f.Figures {
			if h.Kind == Servings && h.State == g.State && h.Component == g.Component && h.Unit == g.Unit && h.Basis == g.Basis && h.Size.Less(g.Size) {
				g.Larger = true
			}
		}
	}
}

// CookedShareFigure returns the share of raw weight left as cooked lean, or
// nil.
func (f *Food) CookedShareFigure() *Figure {
	for _, g := range f.Figures {
		if g.Kind == CookedShare {
			return g
		}
	}
	return nil
}

// GrainShareFigure returns the share of the weight that is creditable grain, or
// nil. Few foods have one: the others' figures need not be read for it.
func (f *Food) GrainShareFigure() *Figure {
	if f.kinds&(1<<GrainShare) == 0 {
		return nil
	}
	for _, g := range f.Figures {
		if g.Kind == GrainShare {
			return g
		}
	}
	return nil
}

// States lists the states the food has servings figures for toward c.
func (f *Food) States(c Component) []string {
	var out []string
	for _, g := range f.Figures {
		if g.Kind == Servings && g.Component == c && !slices.Contains(out, g.State) {
			out = append(out, g.State)
		}
	}
	return out
}

// UnitsFor lists the purchase units the food has servings figures for toward c.
func (f *Food) UnitsFor(c Component) []string {
	var out []string
	for _, g := range f.Figures {
		if g.Kind == Servings && g.Component == c && !slices.Contains(out, g.unitText()) {
			out = append(out, g.unitText())
		}
	}
	return out
}

// HasState reports whether the food has a servings figure toward c for just
// this state.
func (f *Food) HasState(c Component, state string) bool {
	for _, g := range f.Figures {
		if g.Kind == Servings && g.Component == c && g.State == state {
			return true
		}
	}
	return false
}

// HasPapers reports whether the caller brought a figure toward c that cites its
// paper, for a food that credits only with one.
func (f *Food) HasPapers(c Component) bool {
	for _, g := range f.Figures {
		if g.Source.Mark == source.Caller && (g.Kind == Protein && c == Meats || g.Kind == Servings && g.Component == c) {
			return true
		}
	}
	return false
}
