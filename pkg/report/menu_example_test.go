package report_test

import (
	"os"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen/reading"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

func exampleReviewer() *menu.Reviewer {
	all, err := rules.Default()
	if err != nil {
		panic(err)
	}
	cat, err := food.Default()
	if err != nil {
		panic(err)
	}
	ps, err := patterns.Default()
	if err != nil {
		panic(err)
	}
	return menu.New(credit.New(all, cat), ps)
}

func planned(name string, c food.Component, amount string) menu.Item {
	return menu.Item{Name: name, Paper: "recipe card", Credits: []credit.Claim{{Component: c, Amount: exact.MustParse(amount)}}}
}

// A snack of the invented Copper Creek center, in words.
func ExampleReview() {
	m := menu.Menu{Program: "child-adult-care", Meal: "snack", AgeGroup: "ages-3-5", Site: "Copper Creek",
		Lines: []menu.Line{{Name: "room 2", Days: []menu.Day{{On: rules.Date{Year: 2026, Month: 9, Day: 14},
			Choices: []menu.Choice{{Name: "fruit", Take: 1, Items: []menu.Item{planned("Pear halves", food.Fruits, "1/2")}}}}}}}}
	review, err := exampleReviewer().Review(m)
	if err != nil {
		panic(err)
	}
	if err := report.Review(os.Stdout, &m, review); err != nil {
		panic(err)
	}
	// Output:
	// MENU REVIEW
	// child-adult-care, snack, ages-3-5, Copper Creek
	// Verdict: NOT MET. 2 checks: 1 not met, 0 at risk, 0 not checked, 1 met.
	//
	// NOT MET - the menu falls short here
	//   - 2026-09-14, line room 2: Different components of a snack
	//     needed 2, there 1, short by 1 component
	//     rests on Pear halves
	//     to mend: Offer another component in its full amount to the child who takes
	//              least.
	//     rule choose/components; 7 CFR 210.10, (o)(3), as amended through 89 FR 32065
	//          (2024-04-25), USDA Food and Nutrition Service
	//
	// POINTED OUT - to know; it does not fail the menu by itself
	//   - Whole grain-rich grain servings a day over all meals and snacks: the meal is
	//     not held to it: it goes over all meals and snacks of the day, and here not
	//     every child is offered a whole grain-rich grain, so another one has to
	//
	// Also met, line room 2
	//   Beans, peas, and lentils as vegetable or meat alternate, never both in one
	//   dish or meal; Meals and snacks of a day at which juice may count, fruit and
	//   vegetable juice together
	//
	// A review supports, and does not replace, the State agency's decision. What is
	// not checked is not met.
}

// A tray a child of grade 7 took, in words.
func ExampleTray() {
	answer, err := exampleReviewer().Tray(menu.Tray{Program: "school-lunch", Meal: "lunch", AgeGroup: "6-8", On: rules.Date{Year: 2026, Month: 9, Day: 14},
		Taken: []menu.Taken{{Item: planned("Roll", food.Grains, "2")}, {Item: planned("Baked chicken", food.Meats, "2")}, {Item: planned("Orange wedges", food.Fruits, "1/2")}}})
	if err != nil {
		panic(err)
	}
	if err := report.Tray(os.Stdout, answer); err != nil {
		panic(err)
	}
	// Output:
	// REIMBURSABLE
	// Counted: 3 components: fruits, grains, meats
}

// A pasted card as it was read, with what is to be confirmed.
func ExampleReading() {
	cat, err := food.Default()
	if err != nil {
		panic(err)
	}
	r, err := reading.New(cat).Text("Creek soup\nServes 50\n2 #10 cans black beans, drained\n1 1/2 qt canned pumpkin\n")
	if err != nil {
		panic(err)
	}
	d, err := r.Draft(reading.Confirmation{})
	if err != nil {
		panic(err)
	}
	if err := report.Reading(os.Stdout, r, d, cat); err != nil {
		panic(err)
	}
	// Output:
	// READING
	// Creek soup
	// 50 servings made
	// Lines: 1 certain, 1 likely, 0 unknown. Held out of every credit until somebody
	// confirms them: 1.
	//
	// INGREDIENTS, with the number to answer by
	//    0  2 #10 cans black beans, drained
	//       LIKELY    2 #10 cans, black beans, canned (black-beans-canned), drained
	//       ! Drained; whether it is heated the line does not say, and that changes
	//         the credit.
	//       1. or 2 #10 cans, black beans, canned (black-beans-canned),
	//          drained-unheated: drained, served without heating
	//       2. or 2 #10 cans, black beans, canned (black-beans-canned),
	//          heated-drained: heated and drained
	//    1  1 1/2 qt canned pumpkin
	//       certain   1 1/2 qt, pumpkin, canned, plain (pumpkin-canned)
	//
	// NOT TAKEN FOR INGREDIENTS
	//   text line 1: Creek soup (name of the recipe)
	//   text line 2: Serves 50 (servings or portion)
	//
	// A likely line is a suggestion and an unknown one a question: neither credits
	// anything before somebody has said what it is.
}
