package menu_test

import (
	"fmt"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules"
)

// examplePlate is a plate of everything for kindergarten to grade 5, but for its vegetables.
func examplePlate(name, vegetables string, sodium int64) menu.Item {
	claim := func(c food.Component, s food.Subgroup, n string) credit.Claim {
		return credit.Claim{Component: c, Subgroup: s, Amount: exact.MustParse(n)}
	}
	return menu.Item{Name: name, Paper: "recipe card", WholeGrainRich: true, Planned: 100,
		Credits: []credit.Claim{claim(food.Grains, food.NoSubgroup, "2"), claim(food.Meats, food.NoSubgroup, "2"), claim(food.Fruits, food.NoSubgroup, "1/2"),
			claim(food.Vegetables, food.RedOrange, vegetables), claim(food.Milk, food.NoSubgroup, "1")},
		Nutrients: &menu.Nutrients{Calories: exact.Int(600), Sodium: exact.Int(sodium), SaturatedFat: exact.Int(5), AddedSugars: exact.Int(5)}}
}

func exampleWeek(it menu.Item) menu.Menu {
	l := menu.Line{Name: "main"}
	for day := 14; day < 17; day++ {
		l.Days = append(l.Days, menu.Day{On: rules.Date{Year: 2026, Month: 9, Day: day}, Meals: 100, Choices: []menu.Choice{{Name: "plate", Take: 1, MainDish: true, Items: []menu.Item{it}}}})
	}
	return menu.Menu{Program: "school-lunch", AgeGroup: "k-5", Site: "Copper Creek Elementary", Lines: []menu.Line{l}}
}

// Which rule will this week not meet any more, from when on, and what is to be changed?
func ExampleReviewer_Ahead() {
	ahead, err := exampleReviewer().Ahead(exampleWeek(examplePlate("Plated lunch", "3/4", 1000)))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range ahead.Coming {
		fmt.Println("from", c.On, "moved to", c.First, "to", c.Last)
		for _, d := range c.Differences {
			fmt.Println(d.Kind, d.Is.Rule, "needed", d.Is.Needed, "there", d.Is.There, "change", d.Items)
			fmt.Println(d.Changes[0].Was, "->", d.Changes[0].Is)
		}
	}
	fmt.Println("changes known until", ahead.LastChange)
	// Output:
	// from 2027-07-01 moved to 2027-07-05 to 2027-07-07
	// newly-not-met nutrient/sodium needed 935 there 1000 change [Plated lunch]
	// 1110 mg, average per day over the week -> 935 mg, average per day over the week
	// changes known until 2027-07-01
}

// A smaller plate stood in for the last twenty children: the plan holds, the service
// does not.
func ExampleReviewer_Production() {
	plan := exampleWeek(examplePlate("Plated lunch", "3/4", 900))
	portion := func(planned, prepared, served, left int) []menu.ProducedPortion {
		return []menu.ProducedPortion{{For: "k-5", Portion: "1 plate", Planned: menu.Counted(planned), Prepared: menu.Counted(prepared), Served: menu.Counted(served), LeftOver: menu.Counted(left)}}
	}
	out, err := exampleReviewer().Production(menu.Production{
		Site: "Copper Creek Elementary", On: rules.Date{Year: 2026, Month: 9, Day: 14}, OfferVersusServe: "yes", Plans: []menu.Menu{plan},
		Items: []menu.Produced{
			{Item: "Plated lunch", Recipe: "Plated lunch", RecipeNumber: "CC-1", Portions: portion(100, 80, 80, 0)},
			{Item: "Small plate", Recipe: "Small plate", RecipeNumber: "CC-2", Portions: portion(0, 25, 20, 4)},
		},
		Substitutions: []menu.Substitution{{Planned: "Plated lunch", Served: examplePlate("Small plate", "1/2", 900), From: "12:10"}},
		Meals:         []menu.MealsServed{{For: "k-5", Served: menu.Counted(100)}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range out.Checks {
		if c.Verdict == menu.NotMet {
			fmt.Println(c.Rule, c.Item+":", c.Because)
		}
	}
	for _, d := range out.Groups[0].Differences {
		if !d.On.IsZero() {
			fmt.Println(d.Kind, d.Is.Rule, "on", d.Is.Line, "short by", d.Is.Short, d.Is.Unit)
		}
	}
	// Output:
	// production/adds-up Small plate: k-5: 20 served and 4 left over; 1 were prepared and are neither served nor left over
	// newly-not-met least/vegetables on main, Small plate for Plated lunch from 12:10 short by 1/4 cup
}
