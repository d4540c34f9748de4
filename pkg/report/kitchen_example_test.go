package report_test

import (
	"os"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules"
)

// A shopping list for beef in three sizes of portion, with some on hand.
func ExampleBuy() {
	p, err := kitchen.New(engine()).Buy(kitchen.BuyRequest{
		Foods: []kitchen.BuyFood{{Food: "ridge-beef", Groups: []kitchen.BuyGroup{{Name: "K-5", Count: 153, Size: exact.Int(2)}, {Name: "6-12", Count: 247, Size: exact.Int(2)}}}}})
	if err != nil {
		panic(err)
	}
	if err := report.Buy(os.Stdout, p); err != nil {
		panic(err)
	}
	// Output:
	// SHOPPING LIST
	//
	// BUY
	//   ground beef, 20% fat        68 lb, 0.2033 lb left over
	//
	// HOW MUCH, AS PURCHASED
	//   ground beef, 20% fat        67.7966 lb
	//       K-5 153 of 2 oz eq, 6-12 247 of 2 oz eq: 67.7966 lb [1]
	//       by 11.8 servings of 1 oz eq per lb: 67.7966 lb, buy 68 lb
	//       by 8.5 lb per 100 servings (worked out: 100 / 11.8, up to a tenth): 68 lb,
	//       buy 68 lb
	//
	// FIGURES AND THEIR SOURCES
	//   [1] ground beef, 20% fat, cooked, 11.8 servings of 1 oz eq per lb; Handbook,
	//       Section 2, 2022, an agency (read)
	//   A source marked ? was not checked, or is not the handbook.
	//
	// Amounts are exact until they go up to what is sold, once. Running values are cut
	// to 4 decimals for reading. Read every label: what is bought decides the
	// allergens.
}

func exampleKitchen() *kitchen.Kitchen {
	all, err := rules.Default()
	if err != nil {
		panic(err)
	}
	cat, err := food.Default()
	if err != nil {
		panic(err)
	}
	return kitchen.New(credit.New(all, cat))
}

// roll is a recipe of the invented Copper Creek district.
func roll() credit.Request {
	flour, err := measure.Parse("2 lb 4 oz")
	if err != nil {
		panic(err)
	}
	return credit.Request{On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-breakfast",
		Recipe: &recipe.Recipe{Name: "Creek roll", Servings: 40, ExhibitAGroup: "B", Ingredients: []recipe.Ingredient{{Food: "whole-wheat-flour", Name: "Whole wheat flour", Quantity: flour}}}}
}

// A batch for 40 brought to 150.
func ExampleScale() {
	s, err := exampleKitchen().Scale(kitchen.ScaleRequest{Request: roll(), Target: kitchen.ScaleTarget{Servings: 150}})
	if err != nil {
		panic(err)
	}
	if err := report.Scale(os.Stdout, s); err != nil {
		panic(err)
	}
	// Output:
	// SCALED BATCH
	// Creek roll
	// School breakfast (K-12), served 2026-09-14
	// 3 3/4 times the batch: 150 servings made
	// Amounts go to the nearest measure a kitchen has, up or down.
	//
	// TAKE
	//   Whole wheat flour           8 lb 7 oz; or about 2 gal
	//                                 as written 2 lb 4 oz
	//
	// ONE PORTION CREDITS, as written, with exact amounts and as measured here
	//   Grains                   1 1/2 oz eq     1 1/2 oz eq     1 1/2 oz eq
	//
	// Credits are the engine's for the recipe as it stands here; credit it by itself
	// for the work and the papers behind it. Allergen, gluten, choking and infant
	// notes of that record support, and never replace, label checks, local codes and
	// licensed practice.
}

// The smallest change after which a roll credits 2 oz eq grains.
func ExampleTarget() {
	req := kitchen.TargetRequest{Credit: roll(), Ways: []kitchen.Way{kitchen.Servings}, Aims: []kitchen.Aim{{Of: "grains", Least: exact.Int(2)}}}
	g, err := exampleKitchen().Target(req)
	if err != nil {
		panic(err)
	}
	if err := report.Target(os.Stdout, &req, g); err != nil {
		panic(err)
	}
	// Output:
	// REACH A TARGET
	// Creek roll
	// School breakfast (K-12), served 2026-09-14
	//
	// WANTED OF A PORTION
	//   Grains                   at least 2 oz eq, now 1 1/2 oz eq
	//
	//  1. MAKE 31 SERVINGS OF THE BATCH
	//     change 22.5 percent; nothing smaller does
	//     a portion credits        before       after
	//     Grains                   1 1/2 oz eq  2 oz eq, documented
	//     ! each portion is 29 percent more: cut or scoop it anew
	//
	// A change is the sum of the relative changes of amounts, or that of the servings
	// or of the portion's weight. Credits are the engine's for the amounts shown. They
	// support, and do not replace, the State agency's decision. What a change upsets
	// goes by common practice; make a test batch.
}

// What a roll calls for care with.
func ExampleCautions() {
	c, err := exampleKitchen().Cautions(roll())
	if err != nil {
		panic(err)
	}
	if err := report.Cautions(os.Stdout, c); err != nil {
		panic(err)
	}
	// Output:
	// CAUTIONS
	// Creek roll
	// By the catalog's entries. They support, and never replace, label checks, local
	// codes and licensed practice. What is not listed is not known to be absent.
	//
	// ALLERGENS
	//   wheat                 Whole wheat flour
	//
	// GLUTEN
	//   contains              Whole wheat flour
}

// White flour in place of whole wheat, of as much credit.
func ExampleCompare() {
	c, err := exampleKitchen().Compare(kitchen.CompareRequest{Request: roll(), Swaps: []kitchen.Swap{{Path: "0", Food: "flour-all-purpose-enriched", Keep: kitchen.SameCredit}}})
	if err != nil {
		panic(err)
	}
	if err := report.Compare(os.Stdout, c); err != nil {
		panic(err)
	}
	// Output:
	// SUBSTITUTION
	// Creek roll
	// School breakfast (K-12), served 2026-09-14
	//
	//   BEFORE                                AFTER
	//   2 lb 4 oz Whole wheat flour           2 lb 4 oz all-purpose flour,
	//                                         enriched
	//                                         (the same credit)
	//
	// ONE PORTION CREDITS
	//   Grains                   1 1/2 oz eq     1 1/2 oz eq
	//     papers                 documented      documented
	//     exactly, not claimable 1.5946          1.5946
	//
	//   Whole grain   100 percent of the creditable  0 percent of the creditable
	//                 grain: at least half, if all   grain: less than half
	//                 else is enriched
	//   Allergens     wheat                          wheat
	//   Gluten        contains                       contains
	//   Weight        2 lb 4 oz                      2 lb 4 oz
	//
	// TO CHECK AND DO
	//   - At least half of the creditable grain was whole; now it is less than half.
	//     Use whole grain, or plan the dish as not whole grain-rich.
	//
	// Allergens and gluten are by the catalog's entries. They support, and never
	// replace, label checks, local codes and licensed practice. Not listed is not the
	// same as absent.
	// Weight is of the ingredients as listed, before anything is trimmed, drained or
	// cooked away.
}
