package report_test

import (
	"bytes"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules"
)

// comparisons are the substitutions whose text is held fast.
func comparisons() map[string]kitchen.CompareRequest {
	bake := func(lines ...recipe.Ingredient) credit.Request {
		return lunch(recipe.Recipe{Name: "Ridge breakfast square", Servings: 48, ExhibitAGroup: "D", Portions: []recipe.Portion{{Name: "1 square", Weight: amount("3.4 oz")}}, Ingredients: lines})
	}
	beans := recipe.Ingredient{Food: "ridge-beans", Name: "Black beans", State: "heated-drained", CreditAs: "meats", Quantity: amount("3 can no. 10")}
	withSauce := lunch(recipe.Recipe{Name: "Ridge chili with a name that is far too long for one line of a report that is eighty columns wide", Servings: 50,
		Ingredients: []recipe.Ingredient{beans, {SubRecipe: "sauce", Quantity: amount("10 lb")}, {Product: "patty", Quantity: amount("50 each")}}})
	withSauce.SubRecipes = []recipe.Recipe{{ID: "sauce", Name: "Ridge sauce", Servings: 50, BatchWeight: amount("10 lb"), Ingredients: []recipe.Ingredient{line("ridge-beef", "8 lb"), line("salt-plain", "1 Tbsp")}}}
	withSauce.Products = []credit.Product{{ID: "patty", Name: "Ridge roll", Weight: amount("28 g"), ExhibitAGroup: "B"}}
	return map[string]kitchen.CompareRequest{
		// Wheat for sorghum: the credit stays, wheat comes in, whole grain goes.
		"compare-flour": {Request: bake(line("sorghum-meal", "3 lb"), line("salt-plain", "2 oz")), Swaps: []kitchen.Swap{{Path: "0", Food: "white-flour", Keep: kitchen.SameWeight}}},
		// Dried for fresh, by weight: the credit is lost.
		"compare-grapes": {Request: bake(line("white-flour", "3 lb"), line("dried-plums", "4 lb")), Swaps: []kitchen.Swap{{Path: "1", Food: "grapes-whole", State: "raw", Keep: kitchen.SameWeight}}},
		// Several at once, one in a sub-recipe, the credit kept.
		"compare-chili": {Request: withSauce, Swaps: []kitchen.Swap{{Path: "0", Food: "ridge-tofu", Keep: kitchen.SameCredit}, {Path: "subRecipes[0].ingredients[0]", Food: "fish-fingers", Amount: amount("8 lb")}}},
		// Documented before, from memory after.
		"compare-plums": {Request: bake(line("white-flour", "3 lb"), recipe.Ingredient{Food: "grapes-whole", State: "raw", Quantity: amount("8 lb")}), Swaps: []kitchen.Swap{{Path: "1", Food: "dried-plums", Keep: kitchen.SameCredit}}},
		// Nothing credits.
		"compare-nothing": {Request: lunch(recipe.Recipe{Name: "Salted water", Servings: 10, Ingredients: []recipe.Ingredient{line("salt-plain", "1 Tbsp")}}), Swaps: []kitchen.Swap{{Path: "0", Food: "honey-jar", Keep: kitchen.SameVolume}}},
	}
}

func TestCompareGolden(t *testing.T) {
	for name, req := range comparisons() {
		t.Run(name, func(t *testing.T) {
			c, err := kitchen.New(engine()).Compare(req)
			if err != nil {
				t.Fatal(err)
			}
			var b bytes.Buffer
			if err := report.Compare(&b, c); err != nil {
				t.Fatal(err)
			}
			printable(t, b.String())
			golden(t, name, b.Bytes())
		})
	}
}

func TestCautionsGolden(t *testing.T) {
	k := kitchen.New(engine())
	all := comparisons()
	young := all["compare-grapes"].Request
	young.Program, young.AgeGroup = "child-adult-care", "ages-3-5"
	plain := lunch(recipe.Recipe{Name: "Ridge corn", Servings: 20, Ingredients: []recipe.Ingredient{{Food: "ridge-corn", State: "cooked", Quantity: amount("5 lb")}}})
	for name, req := range map[string]credit.Request{"cautions-chili": all["compare-chili"].Request, "cautions-grapes": young, "cautions-plain": plain} {
		t.Run(name, func(t *testing.T) {
			c, err := k.Cautions(req)
			if err != nil {
				t.Fatal(err)
			}
			var b bytes.Buffer
			if err := report.Cautions(&b, c); err != nil {
				t.Fatal(err)
			}
			printable(t, b.String())
			golden(t, name, b.Bytes())
		})
	}
}

func TestMenuCautionsGolden(t *testing.T) {
	oats := &recipe.Recipe{Name: "Oat squares", Servings: 20, ExhibitAGroup: "D", Ingredients: []recipe.Ingredient{line("oat-flakes", "2 lb"), line("honey-jar", "1 cup"), line("dried-plums", "1 lb")}}
	tofu := &recipe.Recipe{Name: "Tofu scramble", Servings: 20, Ingredients: []recipe.Ingredient{line("ridge-tofu", "3 lb"), line("white-flour", "4 oz")}}
	choice := func(name string, r *recipe.Recipe) menu.Choice {
		return menu.Choice{Name: name, Take: 1, Items: []menu.Item{{Name: name, Recipe: r}}}
	}
	m := &menu.Menu{Program: "child-adult-care", Meal: "breakfast", AgeGroup: "months-6-11", Site: "Creek House", Lines: []menu.Line{{Name: "Room 1", Days: []menu.Day{
		{On: rules.Date{Year: 2026, Month: 9, Day: 14}, Choices: []menu.Choice{choice("Oat squares", oats), choice("Soup of the day", nil), {Name: "Juice", Items: []menu.Item{{Name: "Apple juice", Juice: true}}}}},
		{On: rules.Date{Year: 2026, Month: 9, Day: 15}, Choices: []menu.Choice{choice("Oat squares", oats), choice("Tofu scramble", tofu), {Name: "Milk", Items: []menu.Item{{Name: "Whole milk", Milk: &menu.Milk{Fat: "whole"}}}}}},
	}}}}
	c, err := kitchen.New(engine()).MenuCautions(m)
	if err != nil {
		if l, ok := err.(*fault.List); ok {
			t.Fatal(l)
		}
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := report.MenuCautions(&b, c); err != nil {
		t.Fatal(err)
	}
	printable(t, b.String())
	golden(t, "cautions-menu", b.Bytes())
}
