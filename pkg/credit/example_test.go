package credit_test

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules"
)

// A whole program: rules, catalog, a recipe, the credit and the record.
func Example() {
	rs, err := rules.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	cat, err := food.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	eng := credit.New(rs, cat)

	flour, err := measure.Parse("2 lb 4 oz")
	if err != nil {
		fmt.Println(err)
		return
	}
	on, err := rules.ParseDate("2026-09-14")
	if err != nil {
		fmt.Println(err)
		return
	}
	rec, err := eng.Credit(credit.Request{
		Recipe: &recipe.Recipe{Name: "Drop biscuit", Servings: 40, ExhibitAGroup: "B",
			Ingredients: []recipe.Ingredient{{Food: "whole-wheat-flour", Quantity: flour}}},
		On: on, Program: "school-breakfast",
	})
	var faults *fault.List
	if errors.As(err, &faults) {
		fmt.Println(faults) // all of them, with paths
		return
	}
	grains, _ := rec.Credit(food.Grains)
	fmt.Println("credited", grains.Credited, "of exactly", grains.Exact.Fraction(), "-", grains.Status)
	if err := credit.Replay(rec); err != nil {
		fmt.Println(err)
	}
	if err := report.Steps(os.Stdout, rec); err != nil {
		fmt.Println(err)
	}
	// Output:
	// credited 1 1/2 of exactly 5103/3200 - documented
	//
	// EVERY STEP
	//    1. whole wheat flour: 36 oz x 28.35 [1] / 16 [2] = 63.7875 oz eq
	//       (grains/grams/baked)
	//    2. Batch total of Grains: 63.7875 oz eq (recipe/sum)
	//    3. Divided by the servings made: 1.5946 oz eq (recipe/servings-made)
	//    4. Rounded down, once: 1 1/2 oz eq (credit/step/grains)
}

// exampleEngine is the engine of the examples below.
func exampleEngine() *credit.Engine {
	rs, err := rules.Default()
	if err != nil {
		panic(err)
	}
	cat, err := food.Default()
	if err != nil {
		panic(err)
	}
	return credit.New(rs, cat)
}

func exampleAmount(s string) measure.Quantity {
	q, err := measure.Parse(s)
	if err != nil {
		panic(err)
	}
	return q
}

// Everything wrong with a request comes back at once, each with its path.
func ExampleEngine_Credit_faults() {
	_, err := exampleEngine().Credit(credit.Request{
		Recipe:  &recipe.Recipe{Name: "Drop biscuit", Servings: -40, Ingredients: []recipe.Ingredient{{Food: "whole-weat-flour", Quantity: exampleAmount("2 lb")}}},
		Program: "school-brekfast",
	})
	var faults *fault.List
	if errors.As(err, &faults) {
		for _, f := range faults.Faults {
			fmt.Println(f.Reason, f.Path)
		}
	}
	// Output:
	// OUT_OF_RANGE recipe.servings
	// UNKNOWN_PROGRAM program
	// MISSING serviceDate
	// UNKNOWN_FOOD recipe.ingredients[0].food
}

// A bought product is held to the printed weights of Exhibit A; the other
// answer the trade would defend stands beside the credit.
func ExampleEngine_Credit_product() {
	rec, err := exampleEngine().Credit(credit.Request{
		Product: &credit.Product{Name: "Muffin", Weight: exampleAmount("54.9 g"), ExhibitAGroup: "D"},
		On:      rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-breakfast",
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	grains, _ := rec.Credit(food.Grains)
	fmt.Println(grains.Credited, grains.Basis, "exact", grains.Exact.DecimalText(4))
	// Output:
	// 3/4 exhibit-a exact 0.9981
}

// Credits is Credit without the ledger, for loops that try many recipes.
func ExampleEngine_Credits() {
	eng := exampleEngine()
	for _, pounds := range []string{"1 lb", "2 lb", "3 lb"} {
		credits, err := eng.Credits(credit.Request{
			Recipe: &recipe.Recipe{Name: "Drop biscuit", Servings: 40, ExhibitAGroup: "B", Ingredients: []recipe.Ingredient{{Food: "whole-wheat-flour", Quantity: exampleAmount(pounds)}}},
			On:     rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-breakfast",
		})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(pounds, "gives", credits[0].Credited, "oz eq")
	}
	// Output:
	// 1 lb gives 1/2 oz eq
	// 2 lb gives 1 1/4 oz eq
	// 3 lb gives 2 oz eq
}

// A record is checked from itself alone; one that was changed is found out.
func ExampleReplay() {
	rec, err := exampleEngine().Credit(credit.Request{
		Recipe: &recipe.Recipe{Name: "Drop biscuit", Servings: 40, ExhibitAGroup: "B", Ingredients: []recipe.Ingredient{{Food: "whole-wheat-flour", Quantity: exampleAmount("2 lb")}}},
		On:     rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-breakfast",
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(credit.Replay(rec))
	rec.Credits[0].Credited = rec.Credits[0].Credited.Add(rec.Credits[0].Step)
	fmt.Println(strings.HasPrefix(credit.Replay(rec).Error(), "credit 0: works out to 5/4, the record says 3/2"))
	// Output:
	// <nil>
	// true
}
