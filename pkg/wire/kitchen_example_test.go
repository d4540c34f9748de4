package wire_test

import (
	"fmt"

	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/kitchen/reading"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// A recipe file with a target beside the recipe is scaled, and written out as a
// recipe file again.
func ExampleScale() {
	file := []byte(`
recipe:
  name: Drop biscuit
  servings: 40
  exhibitAGroup: B
  ingredients: [{food: whole-wheat-flour, quantity: 2 lb 4 oz}]
serviceDate: 2026-09-14
program: school-breakfast
target: {servings: 100}
`)
	m, shape := wire.ReadScale(file, wire.YAML)
	out, err := wire.Scale(kitchen.New(exampleEngine()), m, shape)
	if err != nil {
		fmt.Println(err) // every fault, with its path
		return
	}
	text, _ := wire.AppendRecipeFile(nil, &pb.CreditRequest{Recipe: wire.RecipeMessage(&out.Kitchen), ServiceDate: m.GetServiceDate(), Program: m.GetProgram()}, nil)
	fmt.Printf("%s", text)
	// Output:
	// recipe:
	//   name: Drop biscuit
	//   servings: 100
	//   exhibitAGroup: B
	//   ingredients:
	//     - {food: whole-wheat-flour, quantity: 5 lb 10 oz}
	// serviceDate: 2026-09-14
	// program: school-breakfast
}

// A card as it was pasted: what is not certain is open, and credits nothing.
func ExampleReadRecipe() {
	cat := exampleEngine().Catalog()
	out, err := wire.ReadRecipe(reading.New(cat), cat, &pb.ReadRecipeRequest{Text: "Makes 40 servings\n2 lb 4 oz whole wheat flour\n2 cloves garlic\n"}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range out.GetLines() {
		fmt.Printf("%s: %q of %s\n", l.GetCertainty(), l.GetChoice().GetQuantity(), l.GetChoice().GetFood())
	}
	fmt.Println(len(out.GetOpen()), "open, complete:", out.GetComplete())
	// Output:
	// certain: "2 lb 4 oz" of whole-wheat-flour
	// unknown: "" of garlic-fresh
	// 1 open, complete: false
}
