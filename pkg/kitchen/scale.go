package kitchen

import (
	"errors"
	"fmt"
	"slices"
	"strconv"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// ScaleRequest asks for a batch of another size.
type ScaleRequest struct {
	Request      credit.Request   // with a recipe; also says on what day and in what program it is credited
	Target       ScaleTarget      // what the batch is brought to
	Round        Direction        // to measures a kitchen has; [Nearest] when not given
	Pans         exact.Number     // pans the batch fills as written; 0 when not given
	BatterWeight measure.Quantity // of the batch as written, before baking or cooking; zero when not given
}

// Scaled is a batch of another size.
type Scaled struct {
	Factor  exact.Number   // every amount is so many times what it was
	Round   Direction      // in which the exact amounts went to measures
	Exact   recipe.Recipe  // amounts exact
	Kitchen recipe.Recipe  // amounts in measures a kitchen has: the recipe to cook by
	Before  *credit.Record // of the recipe as written
	// ExactRecord and Record are what the engine credits for Exact and for
	// Kitchen; further portions are in their Also.
	ExactRecord *credit.Record
	Record      *credit.Record
	Ingredients []ScaledIngredient // in the recipe's order
	SubRecipes  []SubBatches       // in the request's order, those that are used
	Pans        exact.Number       // pans filled; 0 when not known
	Lost        []LostStep         // credits the measures lower
	Findings    []ScaleFinding
}

// ScaledIngredient is one line of the recipe, scaled.
type ScaledIngredient struct {
	Path   string // in the request: recipe.ingredients[0]
	Name   string
	Before measure.Quantity
	Measured
	Also *OtherMeasure // the same in weight or in measure; nil when no figure tells
}

// SubBatches is how much of a sub-recipe's batch the scaled dish takes. The
// sub-recipe itself is not scaled: its card stays as it is, and it is made so
// often. Scale it by itself for a batch of just this size.
type SubBatches struct {
	Path    string // subRecipes[0]
	Name    string
	Batches exact.Number // with the exact amounts
	Kitchen exact.Number // with the kitchen's amounts
}

// ScaleReason is the cause of a finding.
type ScaleReason string

// The causes.
const (
	StepLost         ScaleReason = "STEP_LOST"          // the measures lower a credit
	YieldTestDropped ScaleReason = "YIELD_TEST_DROPPED" // it was of the batch as written
	ServingsCut      ScaleReason = "SERVINGS_CUT"       // the target makes no whole number of servings
	PortionCountUp   ScaleReason = "PORTION_COUNT_UP"   // a further portion comes to no whole number
	RoundedFar       ScaleReason = "ROUNDED_FAR"        // a measure is more than a twentieth off
	ScoopPrinted     ScaleReason = "SCOOP_PRINTED"      // a poster prints another size for the scoop
	PortionChanged   ScaleReason = "PORTION_CHANGED"    // the first portion has another size
	StepGained       ScaleReason = "STEP_GAINED"        // the measures raise a credit
)

// ScaleFinding is a thing to know or to check about a scaled batch.
type ScaleFinding struct {
	Severity credit.Severity
	Reason   ScaleReason
	Path     string // in the request, or empty for the whole
	Text     string
}

// roundedFar is how far a measure may be off before it is said: a twentieth.
// Common practice; no source.
var roundedFar = exact.Frac(1, 20)

// Scale brings a batch to another size. Every amount of the exact recipe is the
// factor times what it was, so its credits are those of the recipe as written,
// unless the first portion gets another size. The kitchen's recipe has the same
// amounts in measures a kitchen has (see [InMeasures]); what those change is
// said. A yield test was of another batch and is left out; the portions it
// counted are the ones scaled from. An error is a [*fault.List].
func (k *Kitchen) Scale(req ScaleRequest) (*Scaled, error) {
	var faults fault.List
	if req.Round == 0 {
		req.Round = Nearest
	}
	if req.Round.String() == "" {
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: "round", Value: strconv.Itoa(int(req.Round)), Want: "up, down or nearest", Fix: "Leave it out to take the nearest measure."})
	}
	if req.Request.Recipe == nil {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "recipe", Want: "a recipe", Fix: "Give the recipe to scale; a bought product has no batch."})
		req.Request.Product = nil
		req.checkTarget(&faults)
		return nil, faults.Err()
	}
	out := &Scaled{}
	var err error
	if out.Before, err = k.engine.Credit(req.Request); err != nil && !faults.Append(err) {
		return nil, err
	}
	s, ok := req.scaling(&faults)
	if !ok || len(faults.Faults) > 0 {
		return nil, faults.Err()
	}
	out.Factor, out.Round = s.factor, req.Round
	if !req.Pans.IsZero() {
		out.Pans = req.Pans.Mul(s.factor)
	}
	out.scale(&req, &s)
	out.measure(req.Round, &faults)
	if len(faults.Faults) > 0 {
		return nil, faults.Err()
	}
	for _, x := range []struct {
		r   *recipe.Recipe
		rec **credit.Record
	}{{&out.Exact, &out.ExactRecord}, {&out.Kitchen, &out.Record}} {
		if *x.rec, err = k.engine.Credit(with(req.Request, x.r)); err != nil {
			return nil, err // such as a state that only now makes a difference
		}
	}
	cat, err := k.engine.Catalog().With(req.Request.Foods)
	if err != nil {
		return nil, err
	}
	for i := range out.Ingredients {
		out.Ingredients[i].Before = req.Request.Recipe.Ingredients[i].Quantity
		out.Ingredients[i].Also = otherMeasure(cat, &out.Exact.Ingredients[i], req.Round)
	}
	out.subBatches(&req.Request)
	k.lost(&req, out)
	out.find(&req, &s)
	return out, nil
}

// with is the request for another recipe.
func with(req credit.Request, r *recipe.Recipe) credit.Request {
	req.Recipe = r
	return req
}

// scale fills in the exact recipe.
func (out *Scaled) scale(req *ScaleRequest, s *scaling) {
	was := req.Request.Recipe
	r := *was
	r.Servings, r.YieldTest = s.servings, nil
	r.Ingredients = slices.Clone(was.Ingredients)
	for i := range r.Ingredients {
		in := &r.Ingredients[i]
		if !s.factor.Equal(exact.Int(1)) {
			in.Quantity = in.Quantity.Times(s.factor)
		}
	}
	r.BatchWeight, r.BatchMeasure = times(was.BatchWeight, s.factor), times(was.BatchMeasure, s.factor)
	r.Portions = slices.Clone(was.Portions)
	to, portion := req.Target.portion()
	if !to.IsZero() {
		if len(r.Portions) == 0 {
			r.Portions = []recipe.Portion{{}}
		}
		first := &r.Portions[0]
		portion.Name = first.Name
		if portion.Weight.IsZero() {
			portion.Weight = times(first.Weight, s.size)
		}
		if portion.Measure.IsZero() && portion.Scoop == 0 {
			portion.Measure = times(first.Measure, s.size)
			if s.size.Equal(exact.Int(1)) {
				portion.Scoop = first.Scoop
			}
		}
		*first = portion
	}
	// Further portions keep their size: the batch makes more of them, by as much
	// as the first portion's servings grow, larger ones counting for more.
	grown := exact.Int(int64(s.servings)).Mul(s.size).Quo(exact.Int(int64(was.Servings)))
	for i := 1; i < len(r.Portions); i++ {
		p := &r.Portions[i]
		if p.Servings == 0 {
			continue
		}
		count := exact.Int(int64(p.Servings)).Mul(grown)
		if n, ok := count.Whole(); ok && n <= recipe.MaxServings {
			p.Servings = int(n)
			continue
		}
		// One portion more than fits makes each no larger than it was.
		if n, ok := count.RoundUp(exact.Int(1)).Whole(); ok {
			p.Servings = int(min(n, recipe.MaxServings))
		}
		out.Findings = append(out.Findings, ScaleFinding{credit.Check, PortionCountUp, fault.Index("recipe.portions", i) + ".servings",
			fmt.Sprintf("The batch makes %s of this portion. %d are counted, so that none is credited with more than it holds; the last one is short.", count, p.Servings)})
	}
	out.Exact = r
}

func times(q measure.Quantity, n exact.Number) measure.Quantity {
	if q.IsZero() || n.Equal(exact.Int(1)) {
		return q
	}
	return q.Times(n)
}

// measure fills in the kitchen's recipe.
func (out *Scaled) measure(d Direction, faults *fault.List) {
	out.Kitchen = out.Exact
	out.Kitchen.Ingredients = slices.Clone(out.Exact.Ingredients)
	out.Kitchen.Portions = slices.Clone(out.Exact.Portions)
	round := func(q measure.Quantity, d Direction, path string) Measured {
		m, err := InMeasures(q, d)
		if err != nil {
			var f fault.Fault
			errors.As(err, &f)
			f.Path = path
			faults.Add(f)
		}
		return m
	}
	for i := range out.Kitchen.Ingredients {
		in := &out.Kitchen.Ingredients[i]
		path := fault.Index("recipe.ingredients", i)
		m := round(in.Quantity, d, path+".quantity")
		out.Ingredients = append(out.Ingredients, ScaledIngredient{Path: path, Name: nameOf(in), Measured: m})
		in.Quantity = m.Kitchen
	}
	// The batch is only described by these; no credit comes from them.
	if q := &out.Kitchen.BatchWeight; !q.IsZero() {
		*q = round(*q, Nearest, "recipe.batchWeight").Kitchen
	}
	if q := &out.Kitchen.BatchMeasure; !q.IsZero() {
		*q = round(*q, Nearest, "recipe.batchMeasure").Kitchen
	}
}

// nameOf is what a card calls an ingredient.
func nameOf(in *recipe.Ingredient) string {
	for _, s := range []string{in.Name, in.Food, in.SubRecipe} {
		if s != "" {
			return s
		}
	}
	return in.Product
}

// subBatches works out how often each sub-recipe is made, those within
// sub-recipes included.
func (out *Scaled) subBatches(req *credit.Request) {
	batches := func(r *recipe.Recipe) []exact.Number {
		sums := make([]exact.Number, len(req.SubRecipes))
		var take func(r *recipe.Recipe, times exact.Number)
		take = func(r *recipe.Recipe, times exact.Number) {
			for i := range r.Ingredients {
				in := &r.Ingredients[i]
				k := slices.IndexFunc(req.SubRecipes, func(s recipe.Recipe) bool { return in.SubRecipe != "" && s.ID == in.SubRecipe })
				if k < 0 {
					continue
				}
				sub := &req.SubRecipes[k]
				n := times.Mul(shareOf(in.Quantity, sub))
				sums[k] = sums[k].Add(n)
				take(sub, n)
			}
		}
		take(r, exact.Int(1))
		return sums
	}
	exactly, kitchen := batches(&out.Exact), batches(&out.Kitchen)
	for i := range req.SubRecipes {
		if !exactly[i].IsZero() {
			out.SubRecipes = append(out.SubRecipes, SubBatches{fault.Index("subRecipes", i), req.SubRecipes[i].Name, exactly[i], kitchen[i]})
		}
	}
}

// shareOf is what share of a sub-recipe's batch an amount is. The engine has
// credited the recipe, so one of its sizes fits.
func shareOf(q measure.Quantity, sub *recipe.Recipe) exact.Number {
	switch q.Dimension() {
	case measure.Mass:
		return share(q, sub.BatchWeight)
	case measure.Volume:
		return share(q, sub.BatchMeasure)
	}
	return q.Amount().Quo(exact.Int(int64(made(sub))))
}

// find says what scaling and measuring changed.
func (out *Scaled) find(req *ScaleRequest, s *scaling) {
	add := func(sev credit.Severity, reason ScaleReason, path, format string, args ...any) {
		out.Findings = append(out.Findings, ScaleFinding{sev, reason, path, fmt.Sprintf(format, args...)})
	}
	was := req.Request.Recipe
	if was.YieldTest != nil {
		text := "The yield test was of the batch as written. Weigh and count this batch anew."
		if n := made(was); n != was.Servings {
			text = fmt.Sprintf("The yield test was of the batch as written and is left out; the %d portions it counted are what the batch is scaled from. Weigh and count this batch anew.", n)
		}
		add(credit.Check, YieldTestDropped, "recipe.yieldTest", "%s", text)
	}
	if n := exact.Int(int64(s.servings)); !n.Equal(s.asked) {
		add(credit.Note, ServingsCut, req.Target.path(), "%s would make %s servings. The amounts are for %d, so that portions keep their size.", req.Target.text(), s.asked.TrimmedDecimal(2), s.servings)
	}
	if !s.size.Equal(exact.Int(1)) {
		add(credit.Check, PortionChanged, "recipe.portions[0]", "The portion is %s times what it was, and credits so much more or less. Weigh one to be sure.", s.size)
	}
	if t := &req.Target; t.Scoop != 0 {
		if sc, ok := ScoopByNumber(t.Scoop); ok && !sc.Printed.Amount().Equal(sc.Exact.Amount()) {
			add(credit.Note, ScoopPrinted, "target.scoop", "A no. %d scoop is taken as a quart in %d, %s cup. %s prints %s for it, %s cup.", t.Scoop, t.Scoop, sc.Exact.Amount(), sc.Source.Citation(), sc.Printed.Text(), sc.Printed.Amount())
		}
	}
	for i := range out.Ingredients {
		in := &out.Ingredients[i]
		off := in.Change
		if off.Sign() < 0 {
			off = off.Neg()
		}
		if roundedFar.Less(off) {
			add(credit.Note, RoundedFar, in.Path, "%s: %s is %s percent %s than %s. Weigh or measure it finer, or make a batch that takes a whole measure.", in.Name, in.Kitchen, off.Mul(exact.Int(100)).DecimalText(1), moreOrLess(in.Change), in.Exact)
		}
	}
	for _, c := range out.changed(false) {
		add(credit.Note, StepGained, "", "%s credits %s exactly and %s as measured, since some measures are more than the exact amount. Measure as written here to claim it.", c.name(out), c.Exact, c.Kitchen)
	}
	for i := range out.Lost {
		l := &out.Lost[i]
		add(credit.Check, StepLost, "", "%s", l.text(out))
	}
}

func moreOrLess(n exact.Number) string {
	if n.Sign() < 0 {
		return "less"
	}
	return "more"
}
