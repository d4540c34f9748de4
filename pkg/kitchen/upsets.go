package kitchen

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/source"
)

// SwapReason is the cause of a finding.
type SwapReason string

// The causes.
const (
	CreditLost     SwapReason = "CREDIT_LOST"      // a portion is credited less
	CreditGained   SwapReason = "CREDIT_GAINED"    // a portion is credited more
	CreditNotKept  SwapReason = "CREDIT_NOT_KEPT"  // no kitchen measure nearby keeps it
	LessDocumented SwapReason = "LESS_DOCUMENTED"  // a credit rests on weaker papers
	WholeGrainLost SwapReason = "WHOLE_GRAIN_LOST" // whole grain falls below half, or is no longer known
	MoistureForm   SwapReason = "MOISTURE_FORM"    // dried for moist, or the other way
	SweetenerForm  SwapReason = "SWEETENER_FORM"   // liquid for granulated, or the other way
	FormNotKnown   SwapReason = "FORM_NOT_KNOWN"   // the catalog does not say what a food brings
	CookFirst      SwapReason = "COOK_FIRST"       // dry beans for cooked ones, or the other way
	PackChanged    SwapReason = "PACK_CHANGED"     // canned in juice for syrup, or the other way
	EggRole        SwapReason = "EGG_ROLE"         // egg binds and lifts
	GlutenRole     SwapReason = "GLUTEN_ROLE"      // gluten holds a crumb together
	WeighSwapAgain SwapReason = "WEIGH_AGAIN"      // a weight or yield test was of the old batch
	AllergenGained SwapReason = "ALLERGEN_GAINED"
	AllergenLost   SwapReason = "ALLERGEN_LOST"
	GlutenChanged  SwapReason = "GLUTEN_CHANGED"
	HazardGained   SwapReason = "HAZARD_GAINED" // choking, or not for infants, where the children's ages make it matter
)

// SwapFinding is a thing to know or to do about a swap.
type SwapFinding struct {
	Severity credit.Severity
	Reason   SwapReason
	Path     string // of the line in the request, or empty for the whole
	Text     string
	Do       string      // what to do about it
	Mark     source.Mark // common practice where no source stands behind it; 0 where figures and rules do
}

// find says what the swaps upset.
func (out *Comparison) find(base *credit.Request) {
	add := func(f SwapFinding) { out.Findings = append(out.Findings, f) }
	for i := range out.Credits {
		c := &out.Credits[i]
		what := c.Component.Title()
		if c.Subgroup != food.NoSubgroup {
			what = c.Subgroup.Title() + " vegetables"
		}
		f := SwapFinding{Path: "", Text: what + ": " + c.Before.Credited.String() + " " + c.Unit + " before, " + c.After.Credited.String() + " after."}
		switch {
		case c.After.Credited.Less(c.Before.Credited):
			f.Severity, f.Reason, f.Do = credit.Check, CreditLost, "Take more of it, or plan another food that credits."
			add(f)
		case c.Before.Credited.Less(c.After.Credited):
			f.Severity, f.Reason, f.Do = credit.Note, CreditGained, "Change the record the menu is planned by."
			add(f)
		}
		if c.Before.Status < c.After.Status && c.After.Status != credit.Documented && c.Subgroup == food.NoSubgroup {
			add(SwapFinding{Severity: credit.Check, Reason: LessDocumented,
				Text: what + " was " + c.Before.Status.String() + " and is " + c.After.Status.String() + ": " + c.After.Claimable.String() + " " + c.Unit + " of it can be claimed.",
				Do:   "Look the figure up in the handbook, or get the paper, before claiming more."})
		}
	}
	out.wholeGrain(add)
	for i := range out.Swaps {
		out.Swaps[i].upsets(add)
	}
	out.stale(base, add)
	out.cautions(add)
}

// wholeGrain says when a dish may no longer be whole grain-rich.
func (out *Comparison) wholeGrain(add func(SwapFinding)) {
	was, is := out.WholeGrain[0], out.WholeGrain[1]
	if !was.Known || was.Share.Less(half) || is.Known && !is.Share.Less(half) {
		return
	}
	f := SwapFinding{Severity: credit.Check, Reason: WholeGrainLost, Text: "At least half of the creditable grain was whole; now it is less than half.", Do: "Use whole grain, or plan the dish as not whole grain-rich."}
	if !is.Known {
		f.Text = "At least half of the creditable grain was whole; now the record does not tell."
	}
	add(f)
}

// upsets says what one swap does to the dish.
func (d *SwapDone) upsets(add func(SwapFinding)) {
	practice := func(r SwapReason, text, do string) {
		add(SwapFinding{Severity: credit.Check, Reason: r, Path: d.Path, Text: text, Do: do, Mark: source.CommonPractice})
	}
	if text, do, reason := d.moistureOf(); reason != "" {
		practice(reason, text, do)
	}
	if d.foodWas == nil || d.foodIs == nil {
		return
	}
	if d.foodWas.Traits.Has(food.Egg) && !d.foodIs.Traits.Has(food.Egg) {
		practice(EggRole, d.NameBefore+": egg binds and lifts a batter; "+d.Name+" may not.", "Where the dish is held together by egg, make a test batch.")
	}
	if d.foodWas.GrainUse == food.Baked && d.foodWas.Gluten == "contains" && d.foodIs.Gluten != "contains" {
		practice(GlutenRole, "The gluten of "+d.NameBefore+" holds a crumb together; "+d.Name+" brings none that is listed.", "Add a binder and bake a test batch.")
	}
}

// stale names weights and tests that were of the old batch.
func (out *Comparison) stale(base *credit.Request, add func(SwapFinding)) {
	tell := func(path, what, do string) {
		add(SwapFinding{Severity: credit.Check, Reason: WeighSwapAgain, Path: path, Text: what, Do: do})
	}
	for i := range out.Swaps {
		r, prefix := base.Recipe, "recipe"
		if s := out.Swaps[i].section; s >= 0 {
			r, prefix = &base.SubRecipes[s], fault.Index("subRecipes", s)
		}
		if slices.ContainsFunc(out.Swaps[:i], func(d SwapDone) bool { return d.section == out.Swaps[i].section }) {
			continue
		}
		if r.YieldTest != nil {
			tell(prefix+".yieldTest", "The yield test was of the batch as written; the portions it counted still stand.", "Make a yield test of the changed recipe.")
		}
		if !r.BatchWeight.IsZero() || !r.BatchMeasure.IsZero() {
			what := "The weight or measure of the finished batch is that of the batch as written."
			if prefix != "recipe" {
				what = "How much of the sub-recipe the dish takes is worked out from the batch as written."
			}
			tell(prefix, what, "Weigh or measure the changed batch.")
		}
	}
	if r := base.Recipe; len(r.Portions) > 0 && !r.Portions[0].Weight.IsZero() {
		tell("recipe.portions[0].weight", "The portion weighs "+r.Portions[0].Weight.Text()+" by the card, which was written for the recipe before.", "Weigh portions of the changed batch.")
	}
}

// cautions says which allergens come and go.
func (out *Comparison) cautions(add func(SwapFinding)) {
	if names := out.AllergensGained; len(names) > 0 {
		add(SwapFinding{Severity: credit.Caution, Reason: AllergenGained, Text: "New by the catalog's entries: " + strings.Join(names, ", ") + ".", Do: "Tell everybody who serves it, and read every label."})
	}
	if names := out.AllergensLost; len(names) > 0 {
		add(SwapFinding{Severity: credit.Caution, Reason: AllergenLost, Text: "No longer listed: " + strings.Join(names, ", ") + ". That is not the same as free of it.", Do: "Read every label; a change for a child's allergy needs the medical statement."})
	}
	if a, b := out.Cautions[0].Gluten.Listed, out.Cautions[1].Gluten.Listed; a != b {
		f := SwapFinding{Severity: credit.Caution, Reason: GlutenChanged, Text: "An ingredient that contains gluten comes in.", Do: "Tell everybody who serves it."}
		if a {
			f.Text, f.Do = "No gluten-containing ingredient is listed any more. That is not the same as gluten-free.", "Read each label."
		}
		add(f)
	}
	was, is := out.Cautions[0], out.Cautions[1]
	if len(was.Gluten.Oats) == 0 && len(is.Gluten.Oats) > 0 {
		l := is.Gluten.Oats[0]
		add(SwapFinding{Severity: credit.Caution, Reason: GlutenChanged, Path: l.Path, Text: l.Name + " comes in: oats are gluten-free only when labeled so.", Do: "Read the label, and tell everybody who serves it."})
	}
	for _, x := range []struct {
		was, is  []CautionLine
		text, do string
	}{
		{was.Choking, is.Choking, " can choke children under 4.", "Cut, chop, cook soft or leave out."},
		{was.Honey, is.Honey, ": never before 12 months of age, cooked or not.", "Keep it from infants."},
		{was.Juice, is.Juice, ": juice is no food of the infant pattern.", "Offer the fruit or vegetable itself, in a texture that is safe for the infant."},
	} {
		for _, l := range x.is {
			if !slices.Contains(x.was, l) {
				add(SwapFinding{Severity: credit.Caution, Reason: HazardGained, Path: l.Path, Text: l.Name + x.text, Do: x.do})
			}
		}
	}
}
