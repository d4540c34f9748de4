package menu_test

import (
	"errors"
	"fmt"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules"
)

func exampleReviewer() *menu.Reviewer {
	r, err := load()
	if err != nil {
		panic(err)
	}
	return r
}

func exampleItem(name string, c food.Component, s food.Subgroup, amount string) menu.Item {
	return menu.Item{Name: name, Paper: "production record", Credits: []credit.Claim{{Component: c, Subgroup: s, Amount: exact.MustParse(amount)}}}
}

// A day with a choice of two entrees, at the invented Copper Creek district: what
// falls short, for which child, and how to mend it.
func ExampleReviewer_Review() {
	pasta := exampleItem("Pasta", food.Grains, food.NoSubgroup, "1 1/2")
	salad := exampleItem("Salad with crackers", food.Grains, food.NoSubgroup, "1/2")
	review, err := exampleReviewer().Review(menu.Menu{
		Program: "school-lunch", AgeGroup: "k-5", Site: "Copper Creek Elementary",
		Lines: []menu.Line{{Name: "main", Days: []menu.Day{{
			On:      rules.Date{Year: 2026, Month: 9, Day: 14},
			Choices: []menu.Choice{{Name: "entree", Take: 1, MainDish: true, Items: []menu.Item{pasta, salad}}},
		}}}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range review.Of(menu.NotMet) {
		if c.Rule == "least/grains" {
			fmt.Println(c.On, c.Rule, "needed", c.Needed, "there", c.There, "short by", c.Short)
			fmt.Println(c.Because)
			fmt.Println(c.Mend)
			fmt.Println(c.Citation())
		}
	}
	// Output:
	// 2026-09-14 least/grains needed 1 there 1/2 short by 1/2
	// the child who takes Salad with crackers is offered 1/2
	// Plan another 1/2 oz eq of grains for each child, such as a larger roll, or take the item that has least off the choice.
	// 7 CFR 210.10, (c), table 1, as amended through 89 FR 32065 (2024-04-25), USDA Food and Nutrition Service
}

// Is this tray a reimbursable meal, and what makes it one?
func ExampleReviewer_Tray() {
	roll := exampleItem("Roll", food.Grains, food.NoSubgroup, "2")
	chicken := exampleItem("Chicken", food.Meats, food.NoSubgroup, "2")
	carrots := exampleItem("Carrots", food.Vegetables, food.RedOrange, "1/4")
	answer, err := exampleReviewer().Tray(menu.Tray{
		Program: "school-lunch", AgeGroup: "9-12", On: rules.Date{Year: 2026, Month: 9, Day: 14},
		Taken: []menu.Taken{{Item: roll}, {Item: chicken}, {Item: carrots}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(answer.Verdict, "with", answer.Counted, answer.Of)
	for _, a := range answer.Add {
		fmt.Println("add", a)
	}
	// Output:
	// not-met with 2 components
	// add 1/2 cup fruits
	// add 1/4 cup vegetables
}

// Everything wrong with a menu comes back at once, with its path.
func ExampleReviewer_Review_faults() {
	_, err := exampleReviewer().Review(menu.Menu{Program: "school-lunch", AgeGroup: "ages-3-5", Lines: []menu.Line{{
		Name: "main", Days: []menu.Day{{Choices: []menu.Choice{{Take: 2, Items: []menu.Item{{Name: "Pear"}, {Name: "Plum"}}}}}},
	}}})
	var faults *fault.List
	if errors.As(err, &faults) {
		for _, f := range faults.Faults {
			fmt.Println(f.Path, f.Reason)
		}
	}
	// Output:
	// ageGroup UNKNOWN_VALUE
	// lines[0].days[0].date MISSING
	// lines[0].days[0].choices[0].same MISSING
}
