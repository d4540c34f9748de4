package kitchen_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// num reads a number as a card has it; "" is none.
func num(s string) exact.Number {
	if s == "" {
		return exact.Number{}
	}
	return exact.MustParse(s)
}

func line(t testing.TB, id, amount string) recipe.Ingredient {
	t.Helper()
	return recipe.Ingredient{Food: id, Quantity: quantity(t, amount)}
}

// muffins is a batch of 50 in 2 pans, 10 lb of batter baking to 9 lb; a no. 16
// scoop each.
func muffins(t testing.TB) kitchen.ScaleRequest {
	t.Helper()
	return kitchen.ScaleRequest{Pans: exact.Int(2), BatterWeight: quantity(t, "10 lb"),
		Request: lunch(&recipe.Recipe{Name: "Creek muffin", Servings: 50, ExhibitAGroup: "D", BatchWeight: quantity(t, "9 lb"),
			Portions:    []recipe.Portion{{Name: "1 muffin", Scoop: 16}, {Name: "mini", Servings: 100}},
			Ingredients: []recipe.Ingredient{line(t, "whole-wheat-flour", "3 lb"), line(t, "eggs-large", "8 each"), line(t, "salt", "1 Tbsp")}})}
}

func TestScaleTargets(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		name               string
		target             kitchen.ScaleTarget
		factor             string
		servings, minis    int
		pans, weight, salt string
		flour, flourTaken  string
	}{
		{"servings", kitchen.ScaleTarget{Servings: 348}, "174/25", 348, 696, "13 23/25", "62 lb 10 oz", "1/4 cup 3 Tbsp", "20 22/25", "20 lb 14 oz"},
		{"pans", kitchen.ScaleTarget{Pans: exact.Int(3)}, "3/2", 75, 150, "3", "13 lb 8 oz", "1 1/2 Tbsp", "4 1/2", "4 lb 8 oz"},
		{"batch weight", kitchen.ScaleTarget{BatchWeight: quantity(t, "18 lb")}, "2", 100, 200, "4", "18 lb", "2 Tbsp", "6", "6 lb"},
		{"batter weight", kitchen.ScaleTarget{BatterWeight: quantity(t, "25 lb")}, "5/2", 125, 250, "5", "22 lb 8 oz", "2 1/2 Tbsp", "7 1/2", "7 lb 8 oz"},
		{"a factor", kitchen.ScaleTarget{Factor: exact.Frac(1, 2)}, "1/2", 25, 50, "1", "4 lb 8 oz", "1 1/2 tsp", "1 1/2", "1 lb 8 oz"},
		// 2/3 of a batch makes 33 1/3: the amounts are for 33.
		{"a factor that is cut", kitchen.ScaleTarget{Factor: exact.Frac(2, 3)}, "33/50", 33, 66, "1 8/25", "5 lb 15 oz", "2 tsp", "1 49/50", "1 lb 15 3/4 oz"},
		// No. 8 holds twice what no. 16 does: 25 of them are the batch.
		{"a scoop", kitchen.ScaleTarget{Servings: 25, Scoop: 8}, "1", 25, 100, "2", "9 lb", "1 Tbsp", "3", "3 lb"},
		{"a measure", kitchen.ScaleTarget{Servings: 100, PortionMeasure: quantity(t, "1/8 cup")}, "1", 100, 100, "2", "9 lb", "1 Tbsp", "3", "3 lb"},
		// A portion weighs 9 lb / 50 = 2.88 oz; 1.44 oz is half of it.
		{"a weight", kitchen.ScaleTarget{Servings: 50, PortionWeight: quantity(t, "1.44 oz")}, "1/2", 50, 50, "1", "4 lb 8 oz", "1 1/2 tsp", "1 1/2", "1 lb 8 oz"},
	} {
		t.Run(c.name, func(t *testing.T) {
			req := muffins(t)
			req.Target = c.target
			out, err := b.Scale(req)
			if err != nil {
				t.Fatal(err)
			}
			lb, _ := out.Exact.Ingredients[0].Quantity.In(measure.Pound)
			got := fmt.Sprint(out.Factor.Fraction(), " ", out.Exact.Servings, " ", out.Exact.Portions[1].Servings, ", pans ", out.Pans, ", batch ", out.Kitchen.BatchWeight, ", salt ", out.Kitchen.Ingredients[2].Quantity, ", flour ", lb, " lb, ", out.Kitchen.Ingredients[0].Quantity)
			want := fmt.Sprint(c.factor, " ", c.servings, " ", c.minis, ", pans ", c.pans, ", batch ", c.weight, ", salt ", c.salt, ", flour ", c.flour, " lb, ", c.flourTaken)
			if got != want {
				t.Errorf("got  %s\nwant %s", got, want)
			}
			if out.Ingredients[0].Before.Text() != "3 lb" {
				t.Errorf("as written it was %s", out.Ingredients[0].Before)
			}
			// The mini muffin keeps its size, whatever becomes of the other.
			was, _ := out.Before.Also[0].Credit(food.Grains)
			if now, _ := out.ExactRecord.Also[0].Credit(food.Grains); !now.Exact.Equal(was.Exact) {
				t.Errorf("the mini muffin credits %s, was %s", now.Exact, was.Exact)
			}
		})
	}
}

func TestScaleRefuses(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		name   string
		change func(*kitchen.ScaleRequest)
		want   []string
	}{
		{"nothing", func(r *kitchen.ScaleRequest) {}, []string{"MISSING target"}},
		{"below zero", func(r *kitchen.ScaleRequest) { r.Target.Servings = -1 }, []string{"OUT_OF_RANGE target.servings"}},
		{"too many", func(r *kitchen.ScaleRequest) { r.Target.Servings = recipe.MaxServings + 1 }, []string{"OUT_OF_RANGE target.servings"}},
		{"factor too large", func(r *kitchen.ScaleRequest) { r.Target.Factor = exact.Int(20_001) }, []string{"OUT_OF_RANGE target.factor"}},
		{"factor too small", func(r *kitchen.ScaleRequest) { r.Target.Factor = exact.Frac(1, 51) }, []string{"OUT_OF_RANGE target.factor"}},
		{"factor below zero", func(r *kitchen.ScaleRequest) { r.Target.Factor = exact.Int(-1) }, []string{"OUT_OF_RANGE target.factor"}},
		{"unknown scoop", func(r *kitchen.ScaleRequest) { r.Target.Servings, r.Target.Scoop = 10, 9 }, []string{"UNKNOWN_VALUE target.scoop"}},
		{"scoop without servings", func(r *kitchen.ScaleRequest) { r.Target.Scoop = 8 }, []string{"MISSING target.servings"}},
		{"two targets", func(r *kitchen.ScaleRequest) { r.Target.Servings, r.Target.Pans = 10, exact.Int(2) }, []string{"CONFLICTING target"}},
		{"two sizes", func(r *kitchen.ScaleRequest) {
			r.Target.Servings, r.Target.Scoop, r.Target.PortionWeight = 10, 8, quantity(t, "2 oz")
		}, []string{"CONFLICTING target"}},
		{"pans unknown", func(r *kitchen.ScaleRequest) { r.Target.Pans, r.Pans = exact.Int(2), exact.Number{} }, []string{"MISSING pans"}},
		{"batch weight unknown", func(r *kitchen.ScaleRequest) {
			r.Target.BatchWeight, r.Request.Recipe.BatchWeight = quantity(t, "4 lb"), measure.Quantity{}
		}, []string{"MISSING recipe.batchWeight"}},
		{"batter unknown", func(r *kitchen.ScaleRequest) {
			r.Target.BatterWeight, r.BatterWeight = quantity(t, "4 lb"), measure.Quantity{}
		}, []string{"MISSING batterWeight"}},
		{"a measure for a weight", func(r *kitchen.ScaleRequest) { r.Target.BatchWeight = quantity(t, "4 qt") }, []string{"UNIT_DOES_NOT_FIT target.batchWeight"}},
		{"size unknown", func(r *kitchen.ScaleRequest) {
			r.Target.Servings, r.Target.PortionMeasure, r.Request.Recipe.Portions = 10, quantity(t, "1 cup"), nil
		}, []string{"MISSING recipe.portions[0]"}},
		{"direction", func(r *kitchen.ScaleRequest) { r.Target.Servings, r.Round = 10, 7 }, []string{"UNKNOWN_VALUE round"}},
		{"more digits than a card has", func(r *kitchen.ScaleRequest) {
			r.Target.Servings, r.Request.Recipe.Ingredients[0].Quantity = 1_000_000, quantity(t, "999999 lb")
		}, []string{"OUT_OF_RANGE recipe.ingredients[0].quantity"}},
		{"no recipe", func(r *kitchen.ScaleRequest) { r.Request.Recipe, r.Target.Scoop = nil, 9 }, []string{"MISSING recipe", "UNKNOWN_VALUE target.scoop", "MISSING target.servings"}},
		// All at once: what is wrong with the recipe, and with the target.
		{"all at once", func(r *kitchen.ScaleRequest) {
			r.Target.Servings, r.Target.Scoop, r.Round = -3, 9, 9
			r.Request.Recipe.Servings, r.Request.Recipe.Ingredients[1].Food = 0, "egs-large"
			r.Request.Program = "school-dinner"
		}, []string{"UNKNOWN_VALUE round", "MISSING recipe.servings", "UNKNOWN_PROGRAM program", "UNKNOWN_FOOD recipe.ingredients[1].food", "OUT_OF_RANGE target.servings", "UNKNOWN_VALUE target.scoop"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			req := muffins(t)
			c.change(&req)
			out, err := b.Scale(req)
			refused(t, out == nil, err, c.want)
		})
	}
}

// refused checks that a request came back with just these faults, and nothing
// else.
func refused(t *testing.T, nothing bool, err error, want []string) {
	t.Helper()
	var faults *fault.List
	if !errors.As(err, &faults) {
		t.Fatalf("not refused: %v", err)
	}
	var got []string
	for _, f := range faults.Faults {
		got = append(got, string(f.Reason)+" "+f.Path)
		if f.Want == "" || f.Fix == "" {
			t.Errorf("%s: want %q, fix %q", f.Path, f.Want, f.Fix)
		}
	}
	if !nothing || !slices.Equal(got, want) {
		t.Errorf("faults\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// A batch whose flour stands just on its step loses it to a measure below, is
// told which, and has it back when that is rounded up.
func TestScaleNamesTheLostStep(t *testing.T) {
	b := newBench(t)
	// 800 g in 28.35 g ounces for 50 is 16 g each; the batch for 33 takes 528 g.
	req := kitchen.ScaleRequest{Round: kitchen.Down, Target: kitchen.ScaleTarget{Servings: 33},
		Request: lunch(&recipe.Recipe{Name: "Biscuit", Servings: 50, ExhibitAGroup: "B", Ingredients: []recipe.Ingredient{line(t, "salt", "5 tsp"), line(t, "whole-wheat-flour", "800 g")}})}
	out, err := b.Scale(req)
	if err != nil {
		t.Fatal(err)
	}
	if len(out.Lost) != 1 {
		t.Fatalf("lost %+v", out.Lost)
	}
	l := out.Lost[0]
	if l.Component != food.Grains || l.Exact.String() != "1" || l.Kitchen.String() != "3/4" || !slices.Equal(l.Because, []int{1}) || len(l.Mend) != 1 || l.Mend[0].Ingredient != 1 || l.Mend[0].Kitchen.Text() != "530 g" {
		t.Errorf("lost %+v", l)
	}
	i := slices.IndexFunc(out.Findings, func(f kitchen.ScaleFinding) bool { return f.Reason == kitchen.StepLost })
	const want = "Grains credits 1 oz eq exactly, and 3/4 as measured. whole-wheat-flour is measured as 525 g for 528 g. Take 530 g of whole-wheat-flour."
	if i < 0 || out.Findings[i].Text != want {
		t.Errorf("findings %+v", out.Findings)
	}
}

// A statement that is worked out again stands in the record beside the other
// portions; a step the small one loses is still found, and mended.
func TestScaleFindsStepsOfOtherPortions(t *testing.T) {
	b := newBench(t)
	req := kitchen.ScaleRequest{Round: kitchen.Down, Target: kitchen.ScaleTarget{Servings: 33}, Request: lunch(&recipe.Recipe{Name: "Biscuit", Servings: 50, ExhibitAGroup: "B",
		Portions:    []recipe.Portion{{Name: "large"}, {Name: "small", Servings: 100}},
		Ingredients: []recipe.Ingredient{{Product: "patty", Quantity: quantity(t, "50 each")}, line(t, "whole-wheat-flour", "1200 g")}})} // 24 g, and 12 g in a small one
	req.Request.Products = []credit.Product{{ID: "patty", Name: "Patty", Weight: quantity(t, "2.5 oz"), Statement: &credit.Statement{Date: rules.Date{Year: 2026, Month: 1, Day: 15}, Signed: true, Portion: quantity(t, "2.5 oz"),
		Ingredients: []recipe.Ingredient{line(t, "ground-beef-20", "2.2 oz")}, Claims: []credit.Claim{{Component: food.Meats, Amount: exact.Int(1), Text: "1.00"}}}}}
	out, err := b.Scale(req) // 792 g, measured as 790
	if err != nil {
		t.Fatal(err)
	}
	if len(out.Record.Also) != 2 {
		t.Fatalf("%d records beside the first, want the statement's and the small portion's", len(out.Record.Also))
	}
	var got []string
	for _, l := range out.Lost {
		got = append(got, fmt.Sprint(l.Portion, " ", l.Component, " ", l.Exact, " ", l.Kitchen, " ", l.Mend[0].Kitchen))
	}
	if want := []string{"0 grains 1 1/2 1 1/4 795 g", "1 grains 3/4 1/2 795 g"}; !slices.Equal(got, want) {
		t.Errorf("lost %q, want %q", got, want)
	}
}

// The yield test was of another batch; the portions it counted are scaled from.
func TestScaleLeavesTheYieldTest(t *testing.T) {
	b := newBench(t)
	req := muffins(t)
	req.Request.Recipe.YieldTest = &recipe.YieldTest{PortionsMade: 48, WeightBefore: quantity(t, "9 lb 12 oz")}
	req.Target, req.BatterWeight = kitchen.ScaleTarget{BatterWeight: quantity(t, "19 lb 8 oz")}, measure.Quantity{}
	out, err := b.Scale(req)
	if err != nil {
		t.Fatal(err)
	}
	if out.Exact.YieldTest != nil || out.Exact.Servings != 96 || out.Factor.String() != "2" || req.Request.Recipe.YieldTest == nil {
		t.Errorf("%d servings by %s", out.Exact.Servings, out.Factor)
	}
	if !slices.ContainsFunc(out.Findings, func(f kitchen.ScaleFinding) bool {
		return f.Reason == kitchen.YieldTestDropped && f.Severity == credit.Check && strings.Contains(f.Text, "48 portions")
	}) {
		t.Errorf("findings %+v", out.Findings)
	}
}

// A sub-recipe's card stays; the dish takes so many of its batches, those within
// it too.
func TestScaleCountsSubRecipeBatches(t *testing.T) {
	b := newBench(t)
	req := kitchen.ScaleRequest{Target: kitchen.ScaleTarget{Servings: 30}, Request: lunch(&recipe.Recipe{Name: "Dish", Servings: 10, Ingredients: []recipe.Ingredient{{SubRecipe: "sauce", Quantity: quantity(t, "2 lb")}, {SubRecipe: "topping", Quantity: quantity(t, "5 each")}}})}
	req.Request.SubRecipes = []recipe.Recipe{
		{ID: "sauce", Name: "Sauce", Servings: 8, BatchWeight: quantity(t, "4 lb"), Ingredients: []recipe.Ingredient{line(t, "cheddar", "1 lb"), {SubRecipe: "roux", Quantity: quantity(t, "1 cup")}}},
		{ID: "roux", Name: "Roux", Servings: 1, BatchMeasure: quantity(t, "2 cup"), Ingredients: []recipe.Ingredient{line(t, "whole-wheat-flour", "8 oz")}},
		{ID: "topping", Name: "Topping", Servings: 20, YieldTest: &recipe.YieldTest{PortionsMade: 18}, Ingredients: []recipe.Ingredient{line(t, "cheddar", "1 lb")}},
		{ID: "unused", Name: "Unused", Servings: 20, Ingredients: []recipe.Ingredient{line(t, "cheddar", "1 lb")}},
	}
	out, err := b.Scale(req)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, s := range out.SubRecipes {
		got = append(got, fmt.Sprint(s.Path, " ", s.Name, " ", s.Batches, " ", s.Kitchen))
	}
	// 6 of 4 lb; of each sauce half a roux; 15 of the 18 toppings counted.
	want := []string{"subRecipes[0] Sauce 1 1/2 1 1/2", "subRecipes[1] Roux 3/4 3/4", "subRecipes[2] Topping 5/6 5/6"}
	if !slices.Equal(got, want) {
		t.Errorf("batches %q, want %q", got, want)
	}
}

// A further portion of which the batch makes no whole number never credits more.
func TestScaleCountsAPortionUp(t *testing.T) {
	b := newBench(t)
	req := muffins(t)
	req.Request.Recipe.Portions[1].Servings = 75
	req.Target.Servings = 33 // 49 1/2 minis
	out, err := b.Scale(req)
	if err != nil {
		t.Fatal(err)
	}
	was, _ := out.Before.Also[0].Credit(food.Grains)
	now, _ := out.ExactRecord.Also[0].Credit(food.Grains)
	if out.Exact.Portions[1].Servings != 50 || was.Exact.Less(now.Exact) || out.Findings[0].Reason != kitchen.PortionCountUp {
		t.Errorf("%d portions credit %s, was %s: %+v", out.Exact.Portions[1].Servings, now.Exact, was.Exact, out.Findings)
	}
}

// Weight and measure stand side by side where the catalog knows a cup of it.
func TestScaleGivesWeightAndMeasure(t *testing.T) {
	b := newBench(t)
	req := kitchen.ScaleRequest{Target: kitchen.ScaleTarget{Servings: 20}, Request: lunch(&recipe.Recipe{Name: "Mix", Servings: 10, Ingredients: []recipe.Ingredient{
		line(t, "whole-wheat-flour", "1 cup"), line(t, "whole-wheat-flour", "8 oz"), line(t, "eggs-large", "2 each"), line(t, "green-beans-fresh", "2 lb"), line(t, "cheddar", "240 g")}})}
	out, err := b.Scale(req)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for i := range out.Ingredients {
		in := &out.Ingredients[i]
		s := in.Kitchen.Text()
		if in.Also != nil {
			s += " = " + in.Also.Kitchen.Text() + fmt.Sprint(" estimate ", in.Also.Estimate, " by ", in.Also.Figure.Text)
		}
		got = append(got, s)
	}
	t.Log(strings.Join(got, "\n"))
	if out.Ingredients[2].Also != nil || out.Ingredients[3].Also != nil {
		t.Error("pieces and untrimmed beans have no measure")
	}
	for _, i := range []int{0, 1, 4} {
		a := out.Ingredients[i].Also
		if a == nil || a.Kitchen.Dimension() == out.Ingredients[i].Kitchen.Dimension() || a.Kitchen.System() != out.Ingredients[i].Kitchen.System() || !a.Estimate && !a.Figure.Source.Documented() {
			t.Errorf("%s: %+v", out.Ingredients[i].Kitchen, a)
		}
	}
}

// Half a can is weighed out: 106 oz of corn make 53, though a whole can is
// opened. Fact sheet 100045 (USDA Food and Nutrition Service, 2013-12-24, read)
// has 56 1/4 cups in a case of 30 lb of frozen eggs, at 453.6 g a pound.
func TestScaleWeighsCansAndMeasuresEggs(t *testing.T) {
	b := newBench(t)
	corn := line(t, "corn-canned", "1 can no. 10")
	corn.NotCrediting = true
	out, err := b.Scale(kitchen.ScaleRequest{Target: kitchen.ScaleTarget{Servings: 50}, Request: lunch(&recipe.Recipe{Name: "Bake", Servings: 100, Ingredients: []recipe.Ingredient{corn, line(t, "eggs-frozen", "60 lb")}})})
	if err != nil {
		t.Fatal(err)
	}
	can, eggs := out.Ingredients[0].Also, out.Ingredients[1].Also
	if out.Ingredients[0].Kitchen.Text() != "1 can no. 10" || can == nil || can.Kitchen.Text() != "3 lb 5 oz" || can.Figure.Text != "106" {
		t.Errorf("%s, or %+v", out.Ingredients[0].Kitchen, can)
	}
	if out.Ingredients[1].Kitchen.Text() != "30 lb" || eggs == nil || eggs.Exact.Amount().DecimalText(3) != "56.249" {
		t.Errorf("%s, or %+v", out.Ingredients[1].Kitchen, eggs)
	}
}
