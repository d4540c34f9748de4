package report_test

import (
	"bytes"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"
)

// targets are the answers that are held fast.
func targets() map[string]kitchen.TargetRequest {
	aim := func(of, least string) kitchen.Aim { return kitchen.Aim{Of: of, Least: exact.MustParse(least)} }
	in := func(i recipe.Ingredient, state string) recipe.Ingredient { i.State = state; return i }
	return map[string]kitchen.TargetRequest{
		// Several ways, liquids and a portion that no longer fit.
		"target-biscuit": {Credit: lunch(recipe.Recipe{Name: "Ridge biscuit", Servings: 40, ExhibitAGroup: "B", Portions: []recipe.Portion{{Name: "1 biscuit", Weight: amount("2 oz"), Scoop: 16}},
			Ingredients: []recipe.Ingredient{line("white-flour", "1 lb 8 oz"), line("sorghum-meal", "8 oz"), line("honey-jar", "1 cup")}}),
			Aims: []kitchen.Aim{aim("grains", "1.6")}, WholeGrain: exact.Frac(1, 2)},
		// Dried fruit by a figure from memory: reached, not claimable.
		"target-estimate": {Credit: lunch(recipe.Recipe{Name: "Ridge plum cup", Servings: 50, Ingredients: []recipe.Ingredient{line("dried-plums", "2 lb")}}), Aims: []kitchen.Aim{aim("fruits", "1/2")}},
		// The same, claimed: cannot be.
		"target-claimable": {Credit: lunch(recipe.Recipe{Name: "Ridge plum cup", Servings: 50, Ingredients: []recipe.Ingredient{line("dried-plums", "2 lb")}}), Aims: []kitchen.Aim{aim("fruits", "1/2")}, Claimable: true},
		// Other vegetables are filled by what the rest leaves over.
		"target-salad": {Credit: lunch(recipe.Recipe{Name: "Ridge salad", Servings: 100,
			Ingredients: []recipe.Ingredient{in(line("ridge-romaine", "6 lb"), "raw"), in(line("ridge-carrots", "8 lb"), "raw-shredded"), in(line("ridge-corn", "5 lb"), "cooked")}}),
			Aims: []kitchen.Aim{aim("dark-green", "1/4"), aim("vegetables", "3/4")}},
		// By the weight of the portion.
		"target-weight": {Credit: lunch(recipe.Recipe{Name: "Ridge roll", Servings: 60, ExhibitAGroup: "B", GrainsMethod: recipe.ExhibitA,
			Portions: []recipe.Portion{{Weight: amount("34 g")}}, Ingredients: []recipe.Ingredient{line("white-flour", "3 lb")}}), Aims: []kitchen.Aim{aim("grains", "1 1/2")}},
		// Reached already.
		"target-met": {Credit: lunch(recipe.Recipe{Name: "Ridge biscuit", Servings: 40, ExhibitAGroup: "B", Ingredients: []recipe.Ingredient{line("white-flour", "3 lb")}}), Aims: []kitchen.Aim{aim("grains", "1")}},
		// Nothing to reach it with.
		"target-nothing": {Credit: lunch(recipe.Recipe{Name: "Ridge biscuit", Servings: 40, ExhibitAGroup: "B", Ingredients: []recipe.Ingredient{line("white-flour", "3 lb")}}), Aims: []kitchen.Aim{aim("dark-green", "1/8")}},
	}
}

func TestTargetGolden(t *testing.T) {
	for name, req := range targets() {
		t.Run(name, func(t *testing.T) {
			got, err := kitchen.New(engine()).Target(req)
			if err != nil {
				t.Fatal(err)
			}
			for i := range got.Tries {
				if x := &got.Tries[i]; x.Reached {
					if err := credit.Replay(x.After); err != nil {
						t.Error(err)
					}
				}
			}
			var b bytes.Buffer
			if err := report.Target(&b, &req, got); err != nil {
				t.Fatal(err)
			}
			printable(t, b.String())
			golden(t, name, b.Bytes())
		})
	}
}
