package recipe_test

import (
	"crypto/sha256"
	"fmt"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// Check finds what is wrong with a recipe before rules or foods are looked at,
// all of it at once.
func ExampleRecipe_Check() {
	r := recipe.Recipe{Servings: -6, ExhibitAGroup: "Q", Ingredients: []recipe.Ingredient{{Food: "quinoa", Basis: "raw"}}}
	var faults fault.List
	r.Check("recipe", &faults)
	for _, f := range faults.Faults {
		fmt.Println(f.Reason, f.Path)
	}
	// Output:
	// MISSING recipe.name
	// OUT_OF_RANGE recipe.servings
	// UNKNOWN_VALUE recipe.exhibitAGroup
	// MISSING recipe.ingredients[0].quantity
	// UNKNOWN_VALUE recipe.ingredients[0].basis
}

// The same amount in other words is the same recipe; another amount is not.
func ExampleRecipe_AppendCanonical() {
	digest := func(amount string) [sha256.Size]byte {
		q, err := measure.Parse(amount)
		if err != nil {
			panic(err)
		}
		r := recipe.Recipe{Name: "Drop biscuit", Servings: 40, Ingredients: []recipe.Ingredient{{Food: "whole-wheat-flour", Quantity: q}}}
		return sha256.Sum256(r.AppendCanonical(nil))
	}
	fmt.Println(digest("2 lb 4 oz") == digest("2 1/4 lb"))
	fmt.Println(digest("2 lb 4 oz") == digest("2 lb 5 oz"))
	// Output:
	// true
	// false
}
