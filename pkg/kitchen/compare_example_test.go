package kitchen_test

import (
	"fmt"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// catalogKitchen is a kitchen with the rules and foods that come with the library.
func catalogKitchen() *kitchen.Kitchen {
	rs, err := rules.Default()
	if err != nil {
		panic(err)
	}
	cat, err := food.Default()
	if err != nil {
		panic(err)
	}
	return kitchen.New(credit.New(rs, cat))
}

func pounds(s string) measure.Quantity {
	q, err := measure.Parse(s)
	if err != nil {
		panic(err)
	}
	return q
}

// Dry beans for canned ones: how much of them credits no less.
func ExampleKitchen_Compare() {
	stew := &recipe.Recipe{Name: "Creek bean stew", Servings: 25, Ingredients: []recipe.Ingredient{
		{Food: "black-beans-canned", State: "heated-drained", Basis: "usable", CreditAs: "meats", Quantity: pounds("12 lb 2 oz")},
		{Food: "cheddar", Quantity: pounds("1 lb 9 oz")}}}
	out, err := catalogKitchen().Compare(kitchen.CompareRequest{
		Request: credit.Request{Recipe: stew, On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-lunch"},
		Swaps:   []kitchen.Swap{{Path: "recipe.ingredients[0]", Food: "black-beans-dry", Keep: kitchen.SameCredit}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	s := out.Swaps[0]
	fmt.Println(s.Before.Quantity, s.NameBefore, "->", s.Kitchen, s.Name)
	for _, c := range out.Credits {
		fmt.Println(c.Component.Title(), c.Before.Credited, "->", c.After.Credited, c.Unit)
	}
	for _, f := range out.Findings {
		fmt.Println(f.Reason, f.Do)
	}
	// Output:
	// 12 lb 2 oz black beans, canned -> 4 lb 2 1/2 oz black beans, dry
	// Meats/meat alternates 4 -> 4 oz eq
	// COOK_FIRST Soak and cook them before they go in, and drain them.
}

func ExampleKitchen_Cautions() {
	c, err := catalogKitchen().Cautions(credit.Request{On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "child-adult-care", AgeGroup: "ages-1-2",
		Recipe: &recipe.Recipe{Name: "Creek trail bowl", Servings: 20, Ingredients: []recipe.Ingredient{
			{Food: "yogurt-plain-low-fat", Quantity: pounds("5 lb")}, {Food: "raisins", Quantity: pounds("2 lb")}, {Food: "mayonnaise", Quantity: pounds("2 oz")}}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, a := range c.Allergens {
		fmt.Println(a.ID, "by", a.Lines[0].Name)
	}
	fmt.Println("not known:", c.NotKnown[0].Name)
	fmt.Println("choking:", c.Choking[0].Name)
	// Output:
	// milk by yogurt, plain, low fat
	// eggs by mayonnaise
	// not known: mayonnaise
	// choking: raisins
}

func ExampleKitchen_MenuCautions() {
	bowl := &recipe.Recipe{Name: "Berry bowl", Servings: 20, Ingredients: []recipe.Ingredient{{Food: "yogurt-plain-low-fat", Quantity: pounds("5 lb")}}}
	c, err := catalogKitchen().MenuCautions(&menu.Menu{Program: "school-breakfast", AgeGroup: "k-5", Lines: []menu.Line{{Days: []menu.Day{
		{On: rules.Date{Year: 2026, Month: 9, Day: 14}, Choices: []menu.Choice{{Take: 1, Items: []menu.Item{{Name: "Berry bowl", Recipe: bowl}, {Name: "Bar of the day"}}}}}}}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(c.Allergens[0].ID, "in", c.Allergens[0].Lines[0].Item, "from", c.Allergens[0].Lines[0].On)
	fmt.Println("nothing known about", c.Unread[0].Name)
	// Output:
	// milk in Berry bowl from 2026-09-14
	// nothing known about Bar of the day
}

func ExampleCautionsOf() {
	rec := &credit.Record{Name: "Toast", Ingredients: []credit.Line{{Food: &food.Food{ID: "oats-rolled", Name: "oats, rolled", Gluten: "ask"}}}}
	c := kitchen.CautionsOf(rec)
	fmt.Println(c.Gluten.Listed, c.Gluten.Oats[0].Name)
	// Output: false oats, rolled
}

func ExampleParseKeep() {
	k, ok := kitchen.ParseKeep("credit")
	fmt.Println(k == kitchen.SameCredit, ok)
	// Output: true true
}
