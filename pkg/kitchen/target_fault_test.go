package kitchen_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

func foodLine(id, amount string) recipe.Ingredient {
	return recipe.Ingredient{Food: id, Quantity: quantityOf(amount)}
}

// lunchTarget asks about a recipe in school lunch on a day of autumn 2026.
func lunchTarget(servings int, lines ...recipe.Ingredient) kitchen.TargetRequest {
	return kitchen.TargetRequest{Credit: credit.Request{Program: "school-lunch", On: rules.Date{Year: 2026, Month: 9, Day: 14},
		Recipe: &recipe.Recipe{Name: "Copper Creek dish", Servings: servings, ExhibitAGroup: "D", Ingredients: lines}}}
}

func least(of, amount string) kitchen.Aim {
	return kitchen.Aim{Of: of, Least: exact.MustParse(amount)}
}

func TestTargetFaults(t *testing.T) {
	l := stockedLarder(t)
	flour := foodLine("whole-wheat-flour", "2 lb")
	for name, c := range map[string]struct {
		change func(*kitchen.TargetRequest)
		want   string // reasons and paths
	}{
		"no aim":           {func(r *kitchen.TargetRequest) { r.Aims = nil }, "MISSING aims"},
		"no component":     {func(r *kitchen.TargetRequest) { r.Aims = []kitchen.Aim{least("", "1")} }, "MISSING aims[0].of"},
		"unknown":          {func(r *kitchen.TargetRequest) { r.Aims = []kitchen.Aim{least("grain", "1")} }, "UNKNOWN_VALUE aims[0].of"},
		"additional":       {func(r *kitchen.TargetRequest) { r.Aims = []kitchen.Aim{least("additional", "1")} }, "UNKNOWN_VALUE aims[0].of"},
		"mixed":            {func(r *kitchen.TargetRequest) { r.Aims = []kitchen.Aim{least("mixed", "1")} }, "UNKNOWN_VALUE aims[0].of"},
		"twice":            {func(r *kitchen.TargetRequest) { r.Aims = append(r.Aims, least("grains", "1")) }, "CONFLICTING aims[1].of"},
		"no amount":        {func(r *kitchen.TargetRequest) { r.Aims[0].Least = exact.Number{} }, "MISSING aims[0].least"},
		"above any sense":  {func(r *kitchen.TargetRequest) { r.Aims = []kitchen.Aim{least("grains", "24.1")} }, "OUT_OF_RANGE aims[0].least"},
		"most, no sense":   {func(r *kitchen.TargetRequest) { r.Aims[0].Most = exact.Int(25) }, "OUT_OF_RANGE aims[0].most"},
		"below 0":          {func(r *kitchen.TargetRequest) { r.Aims[0].Least = exact.Int(-1) }, "OUT_OF_RANGE aims[0].least"},
		"most below least": {func(r *kitchen.TargetRequest) { r.Aims[0].Most = exact.Int(1) }, "CONFLICTING aims[0].most"},
		"no step between": {func(r *kitchen.TargetRequest) {
			r.Aims[0].Least, r.Aims[0].Most = exact.MustParse("1.05"), exact.MustParse("1.2")
		}, "CONFLICTING aims[0].most"},
		"most under a step": {func(r *kitchen.TargetRequest) { r.Aims[0] = kitchen.Aim{Of: "grains", Most: exact.Frac(1, 8)} }, "CONFLICTING aims[0].most"},
		"share":             {func(r *kitchen.TargetRequest) { r.WholeGrain = exact.Frac(5, 4) }, "OUT_OF_RANGE wholeGrain"},
		"may drop":          {func(r *kitchen.TargetRequest) { r.MayDrop = []string{"grains", "sugar"} }, "UNKNOWN_VALUE mayDrop[1]"},
		"way":               {func(r *kitchen.TargetRequest) { r.Ways = []kitchen.Way{"magic"} }, "UNKNOWN_VALUE ways[0]"},
		"line":              {func(r *kitchen.TargetRequest) { r.Lines = []int{0, 1, -1} }, "OUT_OF_RANGE lines[1], OUT_OF_RANGE lines[2]"},
		"line twice":        {func(r *kitchen.TargetRequest) { r.Lines = []int{0, 0} }, "CONFLICTING lines[1]"},
		"portion":           {func(r *kitchen.TargetRequest) { r.Portion = 1 }, "OUT_OF_RANGE portion"},
		"too many":          {func(r *kitchen.TargetRequest) { r.Aims = make([]kitchen.Aim, 21) }, "TOO_MANY aims"},
		"a product": {func(r *kitchen.TargetRequest) {
			r.Credit.Recipe, r.Credit.Product = nil, &credit.Product{Name: "Roll", Weight: quantityOf("28 g"), ExhibitAGroup: "B"}
		}, "CONFLICTING product"},
		"no recipe": {func(r *kitchen.TargetRequest) { r.Credit.Recipe = nil }, "MISSING recipe"},
		"all of it, and more": {func(r *kitchen.TargetRequest) {
			r.Aims[0].Of, r.Lines, r.Credit.Recipe.Ingredients[0].Food = "x", []int{7}, "flower"
		}, "UNKNOWN_VALUE aims[0].of, OUT_OF_RANGE lines[0], UNKNOWN_FOOD recipe.ingredients[0].food"},
	} {
		t.Run(name, func(t *testing.T) {
			req := lunchTarget(50, flour)
			req.Aims = []kitchen.Aim{least("grains", "2")}
			c.change(&req)
			got, err := l.kitchen.Target(req)
			var faults *fault.List
			if !errors.As(err, &faults) || got != nil {
				t.Fatalf("%v, %v", got, err)
			}
			var list []string
			for _, f := range faults.Faults {
				list = append(list, string(f.Reason)+" "+f.Path)
				if f.Want == "" || f.Fix == "" {
					t.Errorf("%s does not say what is wanted or how to mend it", f.Path)
				}
			}
			if s := strings.Join(list, ", "); s != c.want {
				t.Errorf("%s, want %s", s, c.want)
			}
		})
	}
}

// TestTargetCannot: what cannot be reached says why.
func TestTargetCannot(t *testing.T) {
	l := stockedLarder(t)
	for name, c := range map[string]struct {
		lines  []recipe.Ingredient
		change func(*kitchen.TargetRequest)
		way    kitchen.Way
		want   string
	}{
		"nothing credits it": {[]recipe.Ingredient{foodLine("whole-wheat-flour", "2 lb")}, func(r *kitchen.TargetRequest) { r.Aims = []kitchen.Aim{least("fruits", "1/2")} },
			kitchen.Ingredients, "no ingredient credits fruits: add one that does"},
		"left out": {[]recipe.Ingredient{foodLine("whole-wheat-flour", "2 lb"), {Food: "applesauce-canned", Quantity: quantityOf("1 qt"), NotCrediting: true}},
			func(r *kitchen.TargetRequest) { r.Aims = []kitchen.Aim{least("fruits", "1/2")} }, kitchen.Ingredients, "left out by the menu planner"},
		"needs papers": {[]recipe.Ingredient{foodLine("beef-patties-cooked", "2 lb")}, func(r *kitchen.TargetRequest) { r.Aims = []kitchen.Aim{least("meats", "1")} },
			kitchen.Ingredients, "credits only with a CN label or product statement"},
		"no whole grain": {[]recipe.Ingredient{foodLine("flour-bread-enriched", "2 lb")}, func(r *kitchen.TargetRequest) { r.WholeGrain = exact.Frac(1, 2) },
			kitchen.OneIngredient, "no ingredient is a whole grain"},
		"servings and the share": {[]recipe.Ingredient{foodLine("flour-bread-enriched", "2 lb"), foodLine("whole-wheat-flour", "1 lb")}, func(r *kitchen.TargetRequest) { r.WholeGrain = exact.Frac(1, 2) },
			kitchen.Servings, "does not change which share"},
		"surimi ends": {[]recipe.Ingredient{foodLine("surimi", "10 lb")}, func(r *kitchen.TargetRequest) { r.Aims = []kitchen.Aim{least("meats", "2")} },
			kitchen.Servings, "printed weights end at 1 1/2 oz eq"},
		"milk is a serving": {[]recipe.Ingredient{{Food: "milk-1pct", CreditAs: "milk", Quantity: quantityOf("4 gal")}}, func(r *kitchen.TargetRequest) {
			r.Credit.AgeGroup, r.Aims = "k-8", []kitchen.Aim{least("milk", "1 1/2")}
		}, kitchen.Ingredients, "milk as a drink credits 1 cup"},
		"dessert": {[]recipe.Ingredient{foodLine("flour-bread-enriched", "2 lb")}, func(r *kitchen.TargetRequest) {
			r.Credit.Program, r.Credit.Recipe.Dessert, r.Aims = "child-adult-care", recipe.Dessert3, []kitchen.Aim{least("grains", "1")}
		}, kitchen.Servings, "a grain-based dessert"},
		"the ingredients decide": {[]recipe.Ingredient{foodLine("flour-bread-enriched", "2 lb")}, func(r *kitchen.TargetRequest) { r.Aims = []kitchen.Aim{least("grains", "2")} },
			kitchen.PortionWeight, "does not decide what it credits"},
		"the weight decides": {[]recipe.Ingredient{foodLine("flour-bread-enriched", "2 lb")}, func(r *kitchen.TargetRequest) {
			r.Credit.Recipe.GrainsMethod, r.Credit.Recipe.Portions = recipe.ExhibitA, []recipe.Portion{{Weight: quantityOf("28 g")}}
			r.Aims = []kitchen.Aim{least("grains", "2")}
		}, kitchen.OneIngredient, "the weight of the portion decides"},
		"would drop": {[]recipe.Ingredient{foodLine("tomatoes-cherry-fresh", "10 lb"), foodLine("romaine-fresh", "10 lb")}, func(r *kitchen.TargetRequest) {
			r.Credit.Recipe.Ingredients[0].State, r.Credit.Recipe.Ingredients[1].State = "raw", "raw"
			r.Aims = []kitchen.Aim{{Of: "vegetables", Most: exact.Frac(1, 4)}}
		}, kitchen.Servings, "may credit less (mayDrop)"},
		"an hundredfold": {[]recipe.Ingredient{foodLine("flour-bread-enriched", "1 oz")}, func(r *kitchen.TargetRequest) { r.Aims = []kitchen.Aim{least("grains", "5")} },
			kitchen.Ingredients, "up to 100 times"},
		"grain that does not credit": {[]recipe.Ingredient{foodLine("flour-bread-enriched", "3 lb"), foodLine("flour-bread-unenriched", "2 lb")}, func(r *kitchen.TargetRequest) {
			r.Aims, r.Lines = []kitchen.Aim{least("grains", "1")}, []int{0}
		}, kitchen.OneIngredient, "grain that does not credit"},
	} {
		t.Run(name, func(t *testing.T) {
			req := lunchTarget(50, c.lines...)
			c.change(&req)
			got, err := l.kitchen.Target(req)
			if err != nil {
				t.Fatal(err)
			}
			i := slices.IndexFunc(got.Tries, func(x kitchen.Try) bool { return x.Way == c.way })
			if i < 0 || got.Tries[i].Reached || !strings.Contains(got.Tries[i].Because, c.want) {
				t.Errorf("%+v", got.Tries)
			}
		})
	}
}

// TestTargetEstimates: what rests on an estimate is reached and said not to be
// claimable; where the target must be, nothing reaches it.
func TestTargetEstimates(t *testing.T) {
	l := stockedLarder(t)
	req := lunchTarget(50, foodLine("mango-dried", "1 lb"))
	own := food.OwnFigure{State: "as-is", Component: "fruits", Kind: "servings", Unit: "lb", Value: "10", Size: "1/4 cup"}
	req.Credit.Foods = []food.Own{{ID: "mango-dried", Name: "dried mango, by the buyer's guess", Components: []string{"fruits"}, Traits: []string{"dried-fruit"}, Figures: []food.OwnFigure{own}}}
	req.Aims = []kitchen.Aim{least("fruits", "1/2")}
	got, err := l.kitchen.Target(req)
	if err != nil {
		t.Fatal(err)
	}
	if x := got.Tries[0]; !x.Reached || len(x.NotClaimable) != 1 || !strings.Contains(x.NotClaimable[0], "0 cup of 1/2 cup is claimable") {
		t.Errorf("%+v", x)
	}
	req.Claimable = true
	if got, err = l.kitchen.Target(req); err != nil {
		t.Fatal(err)
	}
	for _, x := range got.Tries {
		if x.Way != kitchen.PortionWeight && (x.Reached || !strings.Contains(x.Because, "no amount of it is claimable")) {
			t.Errorf("%+v", x)
		}
	}
}

// TestTargetClaims: beside what is documented an estimate counts toward the credit
// and not toward the claim, so the documented food is what has to grow.
func TestTargetClaims(t *testing.T) {
	l := stockedLarder(t)
	req := lunchTarget(40, foodLine("mango-guess", "2 lb"), foodLine("applesauce-canned", "10 cup"))
	own := food.OwnFigure{State: "raw", Component: "fruits", Kind: "servings", Unit: "lb", Value: "10", Size: "1/4 cup"}
	req.Credit.Foods = []food.Own{{ID: "mango-guess", Name: "mango, by the buyer's guess", Components: []string{"fruits"}, Figures: []food.OwnFigure{own}}}
	req.Aims = []kitchen.Aim{least("fruits", "3/8")} // 2 lb at 2 1/2 cups, and 10 cups: 15 cups for 40
	got, err := l.kitchen.Target(req)
	if err != nil {
		t.Fatal(err)
	}
	if !got.Met || len(got.NotClaimable) != 1 {
		t.Errorf("%+v", got)
	}
	req.Claimable, req.Ways = true, []kitchen.Way{kitchen.OneIngredient, kitchen.Ingredients}
	if got, err = l.kitchen.Target(req); err != nil {
		t.Fatal(err)
	}
	if got.Met || len(got.Tries) != 2 {
		t.Fatalf("%+v", got)
	}
	for _, x := range got.Tries {
		if c, _ := x.After.Credit(food.Fruits); !x.Reached || len(x.Lines) != 1 || x.Lines[0].After.Text() != "3 qt 3 cup" || c.Claimable.String() != "3/8" || len(x.NotClaimable) > 0 {
			t.Errorf("%+v", x)
		}
	}
}

// TestTargetReads: an amount between two steps is read as the step above, a most as
// the step below.
func TestTargetReads(t *testing.T) {
	l := stockedLarder(t)
	req := lunchTarget(50, foodLine("whole-wheat-flour", "1 lb"))
	req.Aims = []kitchen.Aim{{Of: "grains", Least: exact.MustParse("0.8"), Most: exact.MustParse("1.3")}}
	got, err := l.kitchen.Target(req)
	if err != nil {
		t.Fatal(err)
	}
	if a := got.Aims[0]; a.CreditLeast.String() != "1" || a.CreditMost.String() != "1 1/4" || a.Unit != "oz eq" {
		t.Errorf("%+v", a)
	}
}

// TestTargetOfALongRecipe stays within its bounds.
func TestTargetOfALongRecipe(t *testing.T) {
	l := stockedLarder(t)
	var lines []recipe.Ingredient
	for i := range recipe.MaxIngredients {
		lines = append(lines, foodLine([]string{"whole-wheat-flour", "flour-bread-enriched", "brown-rice-long", "applesauce-canned"}[i%4], []string{"3 oz", "40 g", "1/2 cup"}[i%3]))
	}
	req := lunchTarget(100, lines...)
	req.Aims = []kitchen.Aim{least("grains", "2 1/2"), least("fruits", "2")}
	got, err := l.kitchen.Target(req)
	if err != nil {
		t.Fatal(err)
	}
	if !got.Tries[0].Reached || len(got.Tries) > 60 {
		t.Errorf("%d tries", len(got.Tries))
	}
}
