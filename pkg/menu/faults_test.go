package menu_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/recipe"
)

// Everything wrong with a menu comes back at once, with its path: dates that overlap,
// a day outside the week, a group the program has not, negative servings, an item with
// two sources of credit, sub-recipes in a cycle, servings that do not add up.
func TestBadMenus(t *testing.T) {
	apple := menu.Item{Name: "Apple", Credits: claims(map[string]string{"fruits": "1/2"}), Paper: "card"}
	two := apple
	two.Recipe = &recipe.Recipe{Name: "Apple"}
	negative := apple
	negative.Name, negative.Planned = "Pear", -5
	many := apple
	many.Planned = 120
	pie := menu.Item{Name: "Pie", Recipe: &recipe.Recipe{Name: "Pie", Servings: 10, Ingredients: []recipe.Ingredient{{SubRecipe: "crust", Quantity: amount("10 each")}}}}
	m := menu.Menu{Program: "school-breakfast", AgeGroup: "ages-3-5", SubRecipes: []recipe.Recipe{
		{ID: "crust", Name: "Crust", Servings: 10, Ingredients: []recipe.Ingredient{{SubRecipe: "dough", Quantity: amount("10 each")}}},
		{ID: "dough", Name: "Dough", Servings: 10, Ingredients: []recipe.Ingredient{{SubRecipe: "crust", Quantity: amount("10 each")}}},
	}, Lines: []menu.Line{
		{Name: "main", Days: []menu.Day{
			{On: date("2026-09-14"), Choices: []menu.Choice{{Take: 1, Items: []menu.Item{two, pie}}}},
			{On: date("2026-09-14"), Choices: []menu.Choice{{Take: 2, Items: []menu.Item{apple, negative}}}},
			{On: date("2026-09-21"), Meals: 100, Choices: []menu.Choice{{Take: 1, Items: []menu.Item{many}}}},
			{Choices: []menu.Choice{{Take: 0, Items: []menu.Item{apple}}}},
			{On: date("2026-09-16")},
		}},
		{Name: "main"},
	}}
	_, err := reviewer(t).Review(m)
	var faults *fault.List
	if !errors.As(err, &faults) {
		t.Fatalf("%v", err)
	}
	type at struct {
		reason fault.Reason
		path   string
	}
	var got []at
	for _, f := range faults.Faults {
		got = append(got, at{f.Reason, f.Path})
	}
	for _, want := range []at{
		{fault.UnknownValue, "ageGroup"},
		{fault.Conflicting, "lines[0].days[0].choices[0].items[0]"},        // two sources of credit
		{fault.Conflicting, "lines[0].days[1].date"},                       // the date stands twice
		{fault.Missing, "lines[0].days[1].choices[0].same"},                // two of the same?
		{fault.OutOfRange, "lines[0].days[1].choices[0].items[1].planned"}, // negative servings
		{fault.OutOfRange, "lines[0].days[2].date"},                        // of another week
		{fault.Conflicting, "lines[0].days[2].choices[0].items"},           // 120 servings for 100 meals
		{fault.Missing, "lines[0].days[3].date"},
		{fault.OutOfRange, "lines[0].days[3].choices[0].take"},
		{fault.Missing, "lines[0].days[4].choices"},
		{fault.Conflicting, "lines[1].name"},
		{fault.Missing, "lines[1].days"},
	} {
		if !slices.Contains(got, want) {
			t.Errorf("no %s at %s in\n%v", want.reason, want.path, err)
		}
	}
	if !slices.ContainsFunc(faults.Faults, func(f fault.Fault) bool {
		return f.Reason == fault.Conflicting && strings.HasSuffix(f.Path, "subRecipes[1].ingredients[0].subRecipe")
	}) {
		t.Errorf("no cycle of sub-recipes in\n%v", err)
	}
	if len(got) != 13 {
		t.Errorf("%d faults:\n%v", len(got), err)
	}
}

// Bad amounts of items.
func TestBadItems(t *testing.T) {
	less := exact.Int(1).Neg()
	bad := menu.Item{Name: "Shake", CountAs: 3, BeansAsMeats: less,
		Credits:   []credit.Claim{{Amount: exact.Int(1)}, {Component: 5, Amount: less}},
		Milk:      &menu.Milk{Fat: "2 %"},
		Sugars:    []menu.Sugars{{Product: "soda"}, {Product: "yogurt", Unit: "cup"}},
		Nutrients: &menu.Nutrients{Sodium: less, MilkSaturatedFat: exact.Int(2)}}
	m := menu.Menu{Program: "school-lunch", AgeGroup: "k-5", Lines: []menu.Line{{Days: []menu.Day{{On: date("2026-09-14"),
		Choices: []menu.Choice{{Take: 1, Items: []menu.Item{bad, {}}}}}}}}}
	_, err := reviewer(t).Review(m)
	var faults *fault.List
	if !errors.As(err, &faults) {
		t.Fatalf("%v", err)
	}
	item := "lines[0].days[0].choices[0].items[0]"
	for _, path := range []string{".countAs", ".beansAsMeats", ".credits[0]", ".credits[1].amount", ".milk.fat", ".sugars[0].product", ".sugars[1].serving", ".nutrients.sodium", ".nutrients.milkSaturatedFat"} {
		if !slices.ContainsFunc(faults.Faults, func(f fault.Fault) bool { return f.Path == item+path }) {
			t.Errorf("no fault at %s in\n%v", path, err)
		}
	}
	if !slices.ContainsFunc(faults.Faults, func(f fault.Fault) bool { return f.Path == "lines[0].days[0].choices[0].items[1].name" }) {
		t.Errorf("an item without a name passes:\n%v", err)
	}
}

// What is wrong with a recipe is the engine's fault, with the path of the item.
func TestFaultsOfRecipesHaveTheItemsPath(t *testing.T) {
	m := menu.Menu{Program: "school-lunch", AgeGroup: "k-5", Lines: []menu.Line{{Days: []menu.Day{{On: date("2026-09-14"),
		Choices: []menu.Choice{{Take: 1, Items: []menu.Item{{Name: "Chili", Recipe: &recipe.Recipe{Name: "Chili"}}}}}}}}}}
	_, err := reviewer(t).Review(m)
	var faults *fault.List
	if !errors.As(err, &faults) || len(faults.Faults[0].Path) < 36 || faults.Faults[0].Path[:36] != "lines[0].days[0].choices[0].items[0]" {
		t.Errorf("%v", err)
	}
}

// pathsOf are the paths of all faults.
func pathsOf(t *testing.T, err error) map[string]bool {
	t.Helper()
	var faults *fault.List
	if !errors.As(err, &faults) {
		t.Fatalf("%v", err)
	}
	out := make(map[string]bool)
	for _, f := range faults.Faults {
		out[f.Path] = true
	}
	return out
}
