package menu_test

import (
	"fmt"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules"
)

// Breakfast and snack of a day of care: each meal stands for itself, and one of them
// has to have the whole grain-rich serving of the day.
func ExampleReviewer_CareDays() {
	day := func(meal string, i menu.Item) menu.Menu {
		return menu.Menu{Program: "child-adult-care", Meal: meal, AgeGroup: "ages-3-5", Site: "Copper Creek",
			Lines: []menu.Line{{Name: "room 2", Days: []menu.Day{{On: rules.Date{Year: 2026, Month: 9, Day: 14},
				Choices: []menu.Choice{{Name: "grain", Take: 1, Items: []menu.Item{i}}}}}}}}
	}
	roll := exampleItem("Wheat roll", food.Grains, food.NoSubgroup, "1/2")
	crackers := exampleItem("Crackers", food.Grains, food.NoSubgroup, "1/2")
	review, err := exampleReviewer().CareDays(day("breakfast", roll), day("snack", crackers))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range review.Checks {
		fmt.Println(c.Rule, c.Verdict, c.Because)
	}
	// Output:
	// whole-grain-rich/servings-a-day not-met at no meal or snack is every child offered a whole grain-rich grain; of the meals and snacks of the day with grain, the one reimbursed least may not be claimed
	// juice/occasions-a-day met
}
