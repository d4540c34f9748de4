package menu_test

import (
	"testing"

	"example.com/ozeq/pkg/menu"
)

// A snack is two components in full; juice and milk are two drinks and no snack.
func TestSnacks(t *testing.T) {
	juice, milk := item("Juice", "fruits", "3/4"), item("Milk", "milk", "1")
	juice.Juice = true
	crackers, apple := item("Crackers", "grains", "1"), item("Apple", "fruits", "3/4")
	for _, q := range []struct {
		name  string
		items []menu.Item
		want  menu.Verdict
		there string
	}{
		{"crackers and juice", []menu.Item{crackers, juice}, menu.Met, "2"},
		{"juice and milk", []menu.Item{juice, milk}, menu.NotMet, "1"},
		{"apple and milk", []menu.Item{apple, milk}, menu.Met, "2"},
		{"crackers, juice and milk", []menu.Item{crackers, juice, milk}, menu.Met, "3"},
		{"a small apple", []menu.Item{item("Apple", "fruits", "1/2"), crackers}, menu.NotMet, "1"},
	} {
		for _, on := range []string{"2023-09-11", "2026-09-14"} { // two of four, two of five
			m := menu.Menu{Program: "afterschool-snack", AgeGroup: "k-5", Lines: []menu.Line{{Name: "main", Days: []menu.Day{plate(on, q.items...)}}}}
			c := wants(t, review(t, m), "choose/components", on, q.want, q.there)
			if c.Verdict == menu.NotMet && c.Mend == "" {
				t.Errorf("%s on %s: nothing says how to mend it", q.name, on)
			}
		}
	}
}

// At breakfast in care meats/meat alternates stand for the whole grain amount or
// not at all.
func TestMeatsForGrainsInCare(t *testing.T) {
	for _, q := range []struct {
		items []menu.Item
		want  menu.Verdict
	}{
		{[]menu.Item{item("Egg", "meats", "1/2")}, menu.Met},
		{[]menu.Item{item("Egg", "meats", "1/4"), item("Toast", "grains", "1/4")}, menu.NotMet},
		{[]menu.Item{item("Toast", "grains", "1/2")}, menu.Met},
	} {
		m := menu.Menu{Program: "child-adult-care", Meal: "breakfast", AgeGroup: "ages-3-5", Lines: []menu.Line{{Name: "main", Days: []menu.Day{plate("2026-09-14", q.items...)}}}}
		wants(t, review(t, m), "least/grains", "2026-09-14", q.want, "")
	}
}

// Vegetables in place of fruit at school breakfast: any vegetable on one day, two
// subgroups from the second on, enforced or advised by date.
func TestVegetablesForFruitAtBreakfast(t *testing.T) {
	potatoes, melon := item("Potatoes", "starchy", "1"), item("Melon", "fruits", "1")
	week := func(on []string, second menu.Item) menu.Menu {
		return breakfast("k-5", plate(on[0], potatoes), plate(on[1], second), plate(on[2], melon))
	}
	autumn := []string{"2025-09-15", "2025-09-16", "2025-09-17"}
	rule := "vegetables-for-fruits/subgroups"
	wants(t, review(t, week(autumn, melon)), rule, "", menu.Met, "")
	wants(t, review(t, week(autumn, potatoes)), rule, "", menu.NotMet, "1")
	wants(t, review(t, week(autumn, item("Carrots", "red-orange", "1"))), rule, "", menu.Met, "2")
	c := wants(t, review(t, week(schoolWeek, potatoes)), rule, "", menu.NotMet, "1")
	if !c.Note {
		t.Error("advice fails the menu")
	}
	m := week(schoolWeek, potatoes)
	m.Options = map[string]string{"breakfast-vegetable-variety": "enforced"}
	if c := wants(t, review(t, m), rule, "", menu.NotMet, "1"); c.Note {
		t.Error("the enforced rule is advice")
	}
}

// The share of whole grain-rich grains of snacks is of a week: it fails three days, and
// is pointed out of fewer.
func TestSharesOfSnacks(t *testing.T) {
	week := func(on ...string) menu.Menu {
		return menu.Menu{Program: "afterschool-snack", AgeGroup: "k-5", Lines: []menu.Line{{Name: "main", Days: sameDays(on, item("Crackers", "grains", "1"), item("Apple", "fruits", "3/4"))}}}
	}
	const rule = "whole-grain-rich/share-least"
	wants(t, review(t, week(schoolWeek[:3]...)), rule, "", menu.NotMet, "0")
	if c := wants(t, review(t, week(schoolWeek[0])), rule, "", menu.NotChecked, "0"); !c.Note {
		t.Error("one day fails the share of a week")
	}
	if c, ok := find(review(t, week("2025-06-26", "2025-06-27", "2025-06-28")), "main", rule, "", ""); ok {
		t.Errorf("before 2025-07-01: %+v", c)
	}
}

// Juice counts against the component it is of: a little vegetable juice does not make
// an apple juice.
func TestVegetableJuiceBesideFruitAtSnack(t *testing.T) {
	apple, milk, juice := item("Apple", "fruits", "3/4"), item("Milk", "milk", "1"), item("Tomato juice", "red-orange", "1/4")
	juice.Juice = true
	m := menu.Menu{Program: "afterschool-snack", AgeGroup: "k-5", Lines: []menu.Line{{Name: "main", Days: []menu.Day{plate("2026-09-14", apple, milk, juice)}}}}
	wants(t, review(t, m), "choose/components", "2026-09-14", menu.Met, "2")
}
