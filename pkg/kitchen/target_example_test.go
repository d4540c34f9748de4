package kitchen_test

import (
	"fmt"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// A breakfast square is to credit 2 oz eq of grains and 1/4 cup of fruit, at
// least half of the grain whole.
func ExampleKitchen_Target() {
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
	line := func(id, amount string) recipe.Ingredient {
		q, err := measure.Parse(amount)
		if err != nil {
			fmt.Println(err)
		}
		return recipe.Ingredient{Food: id, Quantity: q}
	}
	t, err := kitchen.New(credit.New(rs, cat)).Target(kitchen.TargetRequest{
		Credit: credit.Request{
			Recipe: &recipe.Recipe{Name: "Copper Creek square", Servings: 50, ExhibitAGroup: "D",
				Ingredients: []recipe.Ingredient{line("whole-wheat-flour", "1 lb 8 oz"), line("flour-bread-enriched", "1 lb 4 oz"), line("applesauce-canned", "3 qt")}},
			On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-breakfast",
		},
		Aims:       []kitchen.Aim{{Of: "grains", Least: exact.Int(2)}, {Of: "fruits", Least: exact.Frac(1, 4)}},
		WholeGrain: exact.Frac(1, 2),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, try := range t.Tries {
		fmt.Println(try.Way, try.Reached, try.Change, try.Exact, try.Because)
		for _, c := range try.Lines {
			fmt.Println("  ", c.Name, c.Before, "to", c.After, "from", c.Exact)
		}
		fmt.Println("  ", try.Servings, try.Least, try.Alters, try.NotClaimable)
	}
	// Output:
	// x
}
