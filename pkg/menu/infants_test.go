package menu_test

import (
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/menu"
)

func infantItem(name, food, amount string) menu.Item {
	return menu.Item{Name: name, Infant: []menu.InfantFood{{Food: food, Amount: exact.MustParse(amount)}}}
}

func infantMeal(group string, items ...menu.Item) menu.Menu {
	return menu.Menu{Program: "child-adult-care", Meal: "lunch", AgeGroup: group, Lines: []menu.Line{{Name: "main", Days: []menu.Day{plate("2026-09-14", items...)}}}}
}

// Breast milk and formula add up; solid foods are for who is ready, which is never
// passed without a word.
func TestInfants(t *testing.T) {
	r := review(t, infantMeal("months-6-11", infantItem("Breast milk", "breast-milk", "3"), infantItem("Formula", "formula", "3"),
		infantItem("Oat cereal", "infant-cereal", "1/2"), infantItem("Mashed pear", "infant-fruits-or-vegetables", "2")))
	wants(t, r, "least/breast-milk-or-formula", "2026-09-14", menu.Met, "6")
	wants(t, r, "infant/one-of", "2026-09-14", menu.Met, "1/2")
	wants(t, r, "least/infant-fruits-or-vegetables", "2026-09-14", menu.Met, "2")

	r = review(t, infantMeal("months-6-11", infantItem("Formula", "formula", "5")))
	wants(t, r, "least/breast-milk-or-formula", "2026-09-14", menu.NotMet, "5")
	wants(t, r, "infant/one-of", "2026-09-14", menu.NotChecked, "")
	wants(t, r, "least/infant-fruits-or-vegetables", "2026-09-14", menu.NotChecked, "")

	r = review(t, infantMeal("months-0-5", infantItem("Breast milk", "breast-milk", "3")))
	wants(t, r, "least/breast-milk-or-formula", "2026-09-14", menu.AtRisk, "3")

	juice := infantItem("Apple juice", "infant-fruits-or-vegetables", "2")
	juice.Juice = true
	r = review(t, infantMeal("months-6-11", infantItem("Formula", "formula", "6"), juice))
	if c, ok := find(r, "main", "juice/occasions-a-day", "2026-09-14", "Apple juice"); !ok || c.Verdict != menu.NotMet {
		t.Errorf("juice for infants: %+v", c)
	}
	wants(t, r, "least/infant-fruits-or-vegetables", "2026-09-14", menu.NotChecked, "")
}
