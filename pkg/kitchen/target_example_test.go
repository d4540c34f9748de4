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

// A breakfast square is to credit 2 oz eq of grains and 1/4 cup of fruit, at least
// half of the grain whole.
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
				Ingredients: []recipe.Ingredient{line("whole-wheat-flour", "1 lb 8 oz"), line("flour-bread-enriched", "1 lb 4 oz"), line("applesauce-canned", "3 qt"), line("baking-powder", "3 Tbsp")}},
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
		if !try.Reached {
			fmt.Println(try.Way+":", try.Because)
			continue
		}
		fmt.Println(try.Way, "for a change of", try.Change)
		if try.Servings > 0 {
			fmt.Println("  make", try.Servings)
		}
		for _, c := range try.Lines {
			fmt.Println("  take", c.After, "of", c.Name, "not", c.Before)
		}
		grains, _ := try.After.Credit(food.Grains)
		fruits, _ := try.After.Credit(food.Fruits)
		fmt.Println("  credits", grains.Credited, "oz eq grains,", fruits.Credited, "cup fruit")
		for _, a := range try.Alters {
			fmt.Println("  !", a.Text)
		}
	}
	// Output:
	// servings for a change of 6/25
	//   make 38
	//   credits 2 oz eq grains, 1/4 cup fruit
	//   ! each portion is 31 percent more: cut or scoop it anew
	// several-ingredients for a change of 9/16
	//   take 2 lb 4 1/2 oz of whole-wheat-flour not 1 lb 8 oz
	//   take 3 qt 1/2 cup of applesauce-canned not 3 qt
	//   credits 2 oz eq grains, 1/4 cup fruit
	//   ! 52 percent more whole-wheat-flour changes the recipe: make a test batch
	//   ! against the flour there is 22 percent less baking-powder: the rise changes
	// portion-weight: the weight of the portion does not decide what it credits: the ingredients do
	// one-ingredient: no amount of one ingredient alone, up to 100 times what it is, brings 2 oz eq of grains and 1/4 cup of fruits
}
