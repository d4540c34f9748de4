package kitchen

import (
	"strconv"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/source"
)

// poster is the paper printed scoop and ladle sizes were read from.
var poster = &source.Document{ID: "BAAG", Title: "Basics at a Glance poster", Edition: "undated", Publisher: "Institute of Child Nutrition",
	URL: "https://docslib.org/doc/10105701", Mark: source.Read, Tier: source.Handbook}

// ScoopSize is what a level scoop (disher) holds.
type ScoopSize struct {
	Number  int
	Exact   measure.Quantity // a quart divided by the number: how recipes take it
	Printed measure.Quantity // as the poster prints it
	Source  source.Ref       // of the printed size
}

// printedScoops are the sizes the poster prints, largest scoop first.
var printedScoops = map[int]string{6: "2/3 cup", 8: "1/2 cup", 10: "3/8 cup", 12: "1/3 cup", 16: "1/4 cup", 20: "3 1/3 Tbsp", 24: "2 2/3 Tbsp",
	30: "2 Tbsp", 40: "1 2/3 Tbsp", 50: "3 3/4 tsp", 60: "3 1/4 tsp", 70: "2 3/4 tsp", 100: "2 tsp"}

// ladles are the ladles and portion servers the poster prints, by the fluid
// ounces they are labeled with.
var ladles = []struct {
	label int
	holds string
}{{1, "1/8 cup"}, {2, "1/4 cup"}, {3, "3/8 cup"}, {4, "1/2 cup"}, {6, "3/4 cup"}, {8, "1 cup"}, {12, "1 1/2 cup"}}

func read(doc *source.Document) source.Ref {
	return source.Ref{Document: doc, Mark: doc.Mark, Tier: doc.Tier}
}

func must(text string) measure.Quantity {
	q, err := measure.Parse(text)
	if err != nil {
		panic("kitchen: " + text)
	}
	return q
}

// ScoopByNumber returns what a level scoop holds, and whether kitchens have that
// number.
func ScoopByNumber(n int) (ScoopSize, bool) {
	q, ok := measure.Scoop(n)
	if !ok {
		return ScoopSize{}, false
	}
	return ScoopSize{n, q, must(printedScoops[n]), read(poster)}, true
}

// Scoops lists every scoop, largest first. The exact and the printed size of
// several differ: nos. 10, 30 and 50 hold more than is printed, nos. 20, 40, 60, 70
// and 100 less, so portions planned by the printed size fall short with these.
func Scoops() []ScoopSize {
	var out []ScoopSize
	for _, n := range measure.ScoopNumbers() {
		s, _ := ScoopByNumber(n)
		out = append(out, s)
	}
	return out
}

// LadleSize is what a ladle or portion server holds.
type LadleSize struct {
	FluidOunces int // its label
	Holds       measure.Quantity
	Source      source.Ref
}

// Ladles lists the ladles the poster prints, smallest first.
func Ladles() []LadleSize {
	var out []LadleSize
	for _, l := range ladles {
		out = append(out, LadleSize{l.label, must(l.holds), read(poster)})
	}
	return out
}

// WeightOfPortion is what each portion of a batch weighs: the weight before baking
// or cooking, less the share that is lost on the way and what stays in pans, in
// so many equal portions. loss is from 0 up to, not including, 1; panLoss may be
// zero. The result is in the unit the batch is held in, not rounded. The error
// is a [*fault.List].
func WeightOfPortion(before measure.Quantity, loss exact.Number, panLoss measure.Quantity, servings int) (measure.Quantity, error) {
	var faults fault.List
	if before.IsZero() {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "batterWeight", Want: "the weight of the batch before baking or cooking", Fix: "Weigh it."})
	} else {
		checkAmount(before, measure.Mass, "batterWeight", &faults)
	}
	if !panLoss.IsZero() {
		checkAmount(panLoss, measure.Mass, "panLoss", &faults)
	}
	if loss.Sign() < 0 || !loss.Less(exact.Int(1)) {
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: "bakeLoss", Value: loss.String(), Want: "a share from 0 to below 1, such as 0.1 for a tenth", Fix: "Weigh the batch before and after: what it lost, divided by what it weighed before."})
	}
	if servings < 1 || servings > recipe.MaxServings {
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: "servings", Value: strconv.Itoa(servings), Want: "a whole number from 1 to 1000000", Fix: "Count the portions the batch gives."})
	}
	if err := faults.Err(); err != nil {
		return measure.Quantity{}, err
	}
	left := before.Amount().Mul(exact.Int(1).Sub(loss))
	if !panLoss.IsZero() {
		n, _ := panLoss.In(before.Unit())
		left = left.Sub(n)
	}
	if left.Sign() <= 0 {
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: "panLoss", Value: panLoss.Text(), Want: "less than the batch weighs after baking or cooking", Fix: "Weigh what stays in the pans again."})
		return measure.Quantity{}, faults.Err()
	}
	return measure.New(left.Quo(exact.Int(int64(servings))), before.Unit()), nil
}

// ScoopsFor is how many level scoops a measure takes, exactly.
func ScoopsFor(portion measure.Quantity, scoop ScoopSize) (exact.Number, bool) {
	n, ok := portion.In(measure.Cup)
	if !ok {
		return exact.Number{}, false
	}
	return n.Quo(scoop.Exact.Amount()), true
}

// Shortfall is how far a portion may fall short before a credit drops.
type Shortfall struct {
	// Share of the planned portion that may be missing, at most; cut to a
	// millionth where it is not a plain quotient. 0 when none may be.
	Share exact.Number
	// Decides is the credit that drops first; NoCredit's zero value when nothing
	// is credited.
	Decides credit.Credit
	Weight  measure.Quantity // the same of the portion's weight; zero when it has none or nothing may be missing
	Measure measure.Quantity // the same of the portion's measure or scoop; zero likewise
	Scoop   exact.Number     // the same as a share of the portion's scoop; 0 when none is named
	// GrainsUnit is what grains are counted in, "oz eq" or "serving".
	GrainsUnit string
}

// MayFallShort works out how much of a portion may be missing, as with a scoop
// not quite level, before any of its credits drops. The engine credits what is
// left: all amounts of the batch and the weight of its portion are taken down
// alike. Only the first portion is looked at. An error is a [*fault.List].
func (k *Kitchen) MayFallShort(req credit.Request) (*Shortfall, error) {
	if req.Recipe == nil {
		var faults fault.List
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "recipe", Want: "a recipe", Fix: "Give the recipe; a bought product's record says what its portion has to spare."})
		return nil, faults.Err()
	}
	rec, err := k.engine.Credit(req)
	if err != nil {
		return nil, err
	}
	out := &Shortfall{GrainsUnit: rec.GrainsUnit}
	keep, credited := exact.Number{}, false
	for i := range rec.Credits {
		c := &rec.Credits[i]
		if c.Credited.IsZero() || c.Exact.IsZero() {
			continue
		}
		need := c.Credited.Quo(c.Exact)
		if s := c.ToSpare; c.Basis == credit.ExhibitAWeight && s.Unit != nil && s.Ingredient < 0 {
			if w, ok := rec.Portion.Weight.In(s.Unit); ok {
				need = exact.Int(1).Sub(s.Amount.Quo(w)) // the printed least weight
			}
		}
		if !credited || keep.Less(need) {
			keep, out.Decides = need, *c
		}
		credited = true
	}
	if !credited {
		return out, nil
	}
	keep = exact.Min(keep, exact.Int(1))
	if !k.holds(req, rec, keep) || k.holds(req, rec, keep.Sub(exact.Frac(1, 1_000_000))) {
		// Printed weights are a table, and other rules have least amounts: look
		// for the edge between what holds and what does not.
		const parts = 1_000_000
		low, high := int64(0), int64(parts) // high holds: it is the portion as planned
		for high-low > 1 {
			if mid := (low + high) / 2; k.holds(req, rec, exact.Frac(mid, parts)) {
				high = mid
			} else {
				low = mid
			}
		}
		keep = exact.Frac(high, parts)
		out.Decides = k.firstToDrop(req, rec, exact.Frac(low, parts), out.Decides)
	}
	out.Share = exact.Int(1).Sub(keep)
	if len(req.Recipe.Portions) == 0 || out.Share.IsZero() {
		return out, nil
	}
	p := &req.Recipe.Portions[0]
	if !p.Weight.IsZero() {
		out.Weight = p.Weight.Times(out.Share)
	}
	m := p.Measure
	if m.IsZero() && p.Scoop > 0 {
		m, _ = measure.Scoop(p.Scoop)
	}
	if !m.IsZero() {
		out.Measure = m.Times(out.Share)
		if p.Scoop > 0 {
			sc, _ := measure.Scoop(p.Scoop)
			out.Scoop = share(out.Measure, sc)
		}
	}
	return out, nil
}

// left is the credits of so much of a portion.
func (k *Kitchen) left(req credit.Request, of exact.Number) []credit.Credit {
	if of.Sign() <= 0 {
		return nil
	}
	r := *req.Recipe
	r.Portions = append([]recipe.Portion(nil), r.Portions[:min(len(r.Portions), 1)]...)
	if len(r.Portions) > 0 {
		r.Portions[0].Weight = times(r.Portions[0].Weight, of)
	}
	r.Ingredients = append([]recipe.Ingredient(nil), r.Ingredients...)
	for i := range r.Ingredients {
		r.Ingredients[i].Quantity = times(r.Ingredients[i].Quantity, of)
	}
	credits, err := k.engine.Credits(with(req, &r))
	if err != nil {
		return nil
	}
	return credits
}

// holds reports whether so much of a portion credits what the whole one does.
func (k *Kitchen) holds(req credit.Request, rec *credit.Record, of exact.Number) bool {
	return drops(rec, k.left(req, of)) < 0
}

// drops is the index of the first credit that is lower than the record's, or -1.
func drops(rec *credit.Record, left []credit.Credit) int {
	for i := range rec.Credits {
		c := &rec.Credits[i]
		now := exact.Number{}
		for j := range left {
			if left[j].Component == c.Component && left[j].Subgroup == c.Subgroup {
				now = left[j].Credited
			}
		}
		if now.Less(c.Credited) {
			return i
		}
	}
	return -1
}

func (k *Kitchen) firstToDrop(req credit.Request, rec *credit.Record, of exact.Number, otherwise credit.Credit) credit.Credit {
	if i := drops(rec, k.left(req, of)); i >= 0 {
		return rec.Credits[i]
	}
	return otherwise
}
