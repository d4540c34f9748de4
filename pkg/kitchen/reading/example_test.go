package reading_test

import (
	"errors"
	"fmt"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen/reading"
	"example.com/ozeq/pkg/measure"
)

const card = `Copper Creek bean soup
Serves 50
2 #10 cans black beans, drained
1 1/2 qt canned pumpkin
Salt to taste`

func amountOf(l reading.Line) string {
	if l.Quantity.IsZero() {
		return "no amount"
	}
	return l.Quantity.Text()
}

// A pasted card: what is certain, and what is to be confirmed.
func ExampleReader_Text() {
	cat, err := food.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	read, err := reading.New(cat).Text(card)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(read.Name, read.Servings)
	for _, l := range read.Lines {
		fmt.Printf("%s %s: %s, %s\n", l.Path, l.Certainty, l.Food, amountOf(l))
		for _, d := range l.Doubts {
			fmt.Println(" ", d.About+":", d.Words)
		}
	}
	// Output:
	// Copper Creek bean soup 50
	// lines[3] likely: black-beans-canned, 2 #10 cans
	//   state: Drained; whether it is heated the line does not say, and that changes the credit.
	// lines[4] certain: pumpkin-canned, 1 1/2 qt
	// lines[5] unknown: salt, no amount
	//   amount: No amount is written.
	//   amount: It goes in to taste or as needed.
}

// Nothing likely is credited until somebody says it is right.
func ExampleReading_Recipe() {
	cat, err := food.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	read, err := reading.New(cat).Text(card)
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = read.Recipe(reading.Confirmation{})
	var faults *fault.List
	if errors.As(err, &faults) {
		for _, f := range faults.Faults {
			fmt.Println(f.Path, f.Reason, f.Want)
		}
	}
	two, err := measure.Parse("2 Tbsp")
	if err != nil {
		fmt.Println(err)
		return
	}
	rec, err := read.Recipe(reading.Confirmation{Lines: []reading.Answer{
		{Line: 0, Alternative: 2},
		{Line: 2, Own: &reading.Choice{Food: "salt", Quantity: two}},
	}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, in := range rec.Ingredients {
		fmt.Printf("%s, %s, state %q\n", in.Food, in.Quantity, in.State)
	}
	// Output:
	// lines[3] MISSING somebody's confirmation of what was read
	// lines[5] MISSING the food and how much of it
	// black-beans-canned, 2 #10 cans, state "heated-drained"
	// pumpkin-canned, 1 1/2 qt, state ""
	// salt, 2 Tbsp, state ""
}

// A draft shows what the certain lines credit, and holds out the rest.
func ExampleReading_Draft() {
	cat, err := food.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	read, err := reading.New(cat).Text(card)
	if err != nil {
		fmt.Println(err)
		return
	}
	draft, err := read.Draft(reading.Confirmation{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, in := range draft.Recipe.Ingredients {
		fmt.Println(in.Food, in.Quantity, "credits:", !in.NotCrediting)
	}
	for _, o := range draft.Open {
		fmt.Println("open:", read.Lines[o.Line].Text)
	}
	// Output:
	// black-beans-canned 2 #10 cans credits: false
	// pumpkin-canned 1 1/2 qt credits: true
	// open: 2 #10 cans black beans, drained
	// open: Salt to taste
}

// A recipe out of a web page's JSON-LD.
func ExampleReader_JSONLD() {
	cat, err := food.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	read, err := reading.New(cat).JSONLD([]byte(`{"@type": "Recipe", "name": "Squares", "recipeYield": "48 servings",
		"recipeIngredient": ["2 lb 4 oz flour, whole wheat", "3 eggs"]}`))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range read.Lines {
		fmt.Println(l.Path, l.Certainty, l.Food, l.Quantity)
	}
	// Output:
	// recipeIngredient[0] certain whole-wheat-flour 2 lb 4 oz
	// recipeIngredient[1] likely eggs-large 3 each
}

// One line by itself.
func ExampleReader_Line() {
	cat, err := food.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	l := reading.New(cat).Line("1-2 Tbsp canola oil")
	fmt.Println(l.Certainty, l.Food, amountOf(l))
	for _, a := range l.Alternatives {
		fmt.Println("or", a.Quantity, "-", a.Words)
	}
	// Output:
	// unknown oil-canola no amount
	// or 1 Tbsp - the low end of the range
	// or 2 Tbsp - the high end of the range
}
