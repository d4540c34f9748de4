package kitchen_test

import (
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/recipe"
)

// stew takes canned beans, flour, oil, a sauce made apart and bought rolls.
func stew(t testing.TB) kitchen.CompareRequest {
	t.Helper()
	req := lunch(&recipe.Recipe{Name: "Creek stew", Servings: 50, Ingredients: []recipe.Ingredient{
		{Food: "black-beans-canned", State: "heated-drained", CreditAs: "meats", Quantity: quantity(t, "3 can no. 10")},
		line(t, "whole-wheat-flour", "2 lb"), line(t, "oil-vegetable", "1 cup"),
		{SubRecipe: "sauce", Quantity: quantity(t, "4 lb")}, {Product: "roll", Quantity: quantity(t, "50 each")},
		line(t, "chocolate-chips", "2 cup"),
		{Food: "apples-fresh", State: "raw", Quantity: quantity(t, "9 lb")}}, ExhibitAGroup: "D"})
	req.SubRecipes = []recipe.Recipe{{ID: "sauce", Name: "Red sauce", Servings: 10, BatchWeight: quantity(t, "5 lb"),
		Ingredients: []recipe.Ingredient{{Food: "tomatoes-canned", State: "heated", Quantity: quantity(t, "4 lb")}, line(t, "salt", "1 Tbsp")}}}
	req.Products = []credit.Product{{ID: "roll", Name: "Creek roll", Weight: quantity(t, "1 oz"), ExhibitAGroup: "B"}}
	return kitchen.CompareRequest{Request: req}
}

func TestCompareRefuses(t *testing.T) {
	b := newBench(t)
	weight := func(path, food string) kitchen.Swap {
		return kitchen.Swap{Path: path, Food: food, Keep: kitchen.SameWeight}
	}
	for _, c := range []struct {
		name  string
		swaps []kitchen.Swap
		want  []string
	}{
		{"nothing", nil, []string{"MISSING swaps"}},
		{"too many", make([]kitchen.Swap, kitchen.MaxSwaps+1), []string{"TOO_MANY swaps"}},
		{"no line", []kitchen.Swap{weight("", "sorghum-flour-whole")}, []string{"MISSING swaps[0].path"}},
		{"a line that is not there", []kitchen.Swap{weight("7", "sorghum-flour-whole")}, []string{"OUT_OF_RANGE swaps[0].path"}},
		{"a line below 0", []kitchen.Swap{weight("-1", "sorghum-flour-whole")}, []string{"OUT_OF_RANGE swaps[0].path"}},
		{"no sub-recipe of that number", []kitchen.Swap{weight("subRecipes[1].ingredients[0]", "tomatoes-fresh")}, []string{"OUT_OF_RANGE swaps[0].path"}},
		{"a line of a product", []kitchen.Swap{weight("products[0].ingredients[0]", "tomatoes-fresh")}, []string{"UNKNOWN_VALUE swaps[0].path"}},
		{"a sub-recipe without a line", []kitchen.Swap{weight("subRecipes[0]", "tomatoes-fresh")}, []string{"UNKNOWN_VALUE swaps[0].path"}},
		{"more behind the line", []kitchen.Swap{weight("recipe.ingredients[1].food", "tomatoes-fresh")}, []string{"UNKNOWN_VALUE swaps[0].path"}},
		{"no bracket", []kitchen.Swap{weight("recipe.ingredients[1", "tomatoes-fresh")}, []string{"UNKNOWN_VALUE swaps[0].path"}},
		{"the same line twice", []kitchen.Swap{weight("1", "sorghum-flour-whole"), weight("recipe.ingredients[1]", "oat-flour-whole")}, []string{"CONFLICTING swaps[1].path"}},
		{"no food", []kitchen.Swap{{Path: "1", Keep: kitchen.SameWeight}}, []string{"MISSING swaps[0].food"}},
		{"no food for a product", []kitchen.Swap{{Path: "4", Amount: quantity(t, "1 lb")}}, []string{"MISSING swaps[0].food"}},
		{"unknown food", []kitchen.Swap{weight("1", "sorgum-flour")}, []string{"UNKNOWN_FOOD swaps[0].food"}},
		{"unknown food whose credit is kept", []kitchen.Swap{{Path: "1", Food: "sorgum-flour", Keep: kitchen.SameCredit}}, []string{"UNKNOWN_FOOD swaps[0].food"}},
		{"unknown state", []kitchen.Swap{{Path: "0", Food: "spinach-fresh", State: "fried", Amount: quantity(t, "9 lb")}}, []string{"UNKNOWN_STATE swaps[0].state"}},
		{"state that matters", []kitchen.Swap{{Path: "0", Food: "spinach-fresh", Amount: quantity(t, "9 lb")}}, []string{"STATE_NEEDED swaps[0].state"}},
		{"amount and keep", []kitchen.Swap{{Path: "1", Food: "oat-flour-whole", Amount: quantity(t, "1 lb"), Keep: kitchen.SameWeight}}, []string{"CONFLICTING swaps[0].keep"}},
		{"neither amount nor keep", []kitchen.Swap{{Path: "1", Food: "oat-flour-whole"}}, []string{"MISSING swaps[0].amount"}},
		{"keep what", []kitchen.Swap{{Path: "1", Food: "oat-flour-whole", Keep: 9}}, []string{"UNKNOWN_VALUE swaps[0].keep"}},
		{"component without credit", []kitchen.Swap{{Path: "1", Food: "oat-flour-whole", Keep: kitchen.SameWeight, Component: "grains"}}, []string{"CONFLICTING swaps[0].component"}},
		{"unknown component", []kitchen.Swap{{Path: "1", Food: "oat-flour-whole", Keep: kitchen.SameCredit, Component: "bread"}}, []string{"UNKNOWN_VALUE swaps[0].component"}},
		{"no credit to keep", []kitchen.Swap{{Path: "2", Food: "applesauce-canned", Keep: kitchen.SameCredit}}, []string{"CONFLICTING swaps[0].keep"}},
		{"another component's credit", []kitchen.Swap{{Path: "1", Food: "oat-flour-whole", Keep: kitchen.SameCredit, Component: "meats"}}, []string{"CONFLICTING swaps[0].keep"}},
		{"a food that cannot keep it", []kitchen.Swap{{Path: "1", Food: "corn-starch", Keep: kitchen.SameCredit}}, []string{"CANNOT_CREDIT_AS swaps[0].food"}},
		{"juice in a dish keeps no credit", []kitchen.Swap{{Path: "6", Food: "orange-juice", Keep: kitchen.SameCredit}}, []string{"CANNOT_CREDIT_AS swaps[0].food"}},
		{"weight without a cup weight", []kitchen.Swap{{Path: "5", Food: "applesauce-canned", Keep: kitchen.SameWeight}}, []string{"UNIT_NEEDS_DENSITY swaps[0].keep"}},
		{"measure of a can that is drained", []kitchen.Swap{{Path: "0", Food: "black-beans-dry", Keep: kitchen.SameVolume}}, []string{"UNIT_NEEDS_DENSITY swaps[0].keep"}},
		{"measure of a sauce", []kitchen.Swap{{Path: "3", Food: "spaghetti-sauce-canned", Keep: kitchen.SameVolume}}, []string{"UNIT_NEEDS_DENSITY swaps[0].keep"}},
		{"bought by the cup", []kitchen.Swap{{Path: "2", Food: "butter", Keep: kitchen.SamePurchase}}, []string{"UNIT_DOES_NOT_FIT swaps[0].keep"}},
		{"a can the food is not sold in", []kitchen.Swap{{Path: "0", Food: "ground-beef-20", Keep: kitchen.SamePurchase}}, []string{"UNIT_DOES_NOT_FIT swaps[0].keep"}},
		{"credit as", []kitchen.Swap{{Path: "1", Food: "oat-flour-whole", CreditAs: "meats", Keep: kitchen.SameWeight}}, []string{"CANNOT_CREDIT_AS swaps[0].creditAs"}},
		{"all at once", []kitchen.Swap{{Path: "9", Food: "butter", Keep: kitchen.SameWeight}, {Path: "1", Food: "sorgum-flour", Keep: 7}, {Path: "1", Food: "oats"}, {Path: "0", Food: "spinach-fresh", State: "fried", Amount: quantity(t, "2 lb")}},
			[]string{"OUT_OF_RANGE swaps[0].path", "UNKNOWN_VALUE swaps[1].keep", "MISSING swaps[2].amount", "CONFLICTING swaps[2].path", "UNKNOWN_STATE swaps[3].state", "UNKNOWN_FOOD swaps[1].food"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			req := stew(t)
			req.Swaps = c.swaps
			out, err := b.Compare(req)
			refused(t, out == nil, err, c.want)
		})
	}
}

// An unknown food comes with near ones, at the swap.
func TestCompareNamesNearFoods(t *testing.T) {
	req := stew(t)
	req.Swaps = []kitchen.Swap{{Path: "1", Food: "sorgum-flour-whole", Keep: kitchen.SameWeight}}
	_, err := newBench(t).Compare(req)
	l, ok := err.(*fault.List)
	if !ok || len(l.Faults) != 1 || !strings.Contains(l.Faults[0].Fix, "sorghum-flour-whole") || l.Faults[0].Path != "swaps[0].food" {
		t.Errorf("got %v", err)
	}
}

// What is wrong with the recipe and with the swaps comes in one answer.
func TestCompareRefusesRecipeAndSwaps(t *testing.T) {
	b := newBench(t)
	req := stew(t)
	req.Request.Recipe.Servings, req.Request.Program = 0, "school-dinner"
	req.Swaps = []kitchen.Swap{{Path: "8", Food: "butter", Keep: kitchen.SameWeight}}
	out, err := b.Compare(req)
	refused(t, out == nil, err, []string{"MISSING recipe.servings", "UNKNOWN_PROGRAM program", "OUT_OF_RANGE swaps[0].path"})
	out, err = b.Compare(kitchen.CompareRequest{})
	refused(t, out == nil, err, []string{"MISSING recipe"})
}

func TestParseKeep(t *testing.T) {
	for _, k := range []kitchen.Keep{kitchen.SameWeight, kitchen.SameVolume, kitchen.SamePurchase, kitchen.SameCredit} {
		if got, ok := kitchen.ParseKeep(k.String()); !ok || got != k {
			t.Errorf("%q reads as %v, %v", k, got, ok)
		}
	}
	for _, s := range []string{"", "Weight", "credits"} {
		if k, ok := kitchen.ParseKeep(s); ok || k != 0 {
			t.Errorf("%q reads as %v", s, k)
		}
	}
	if s := kitchen.Keep(9).String(); s != "" {
		t.Errorf("Keep(9) is %q", s)
	}
}
