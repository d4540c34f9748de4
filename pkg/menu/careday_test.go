package menu_test

import (
	"errors"
	"testing"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/menu"
)

func careMeal(meal, on string, items ...menu.Item) menu.Menu {
	return menu.Menu{Program: "child-adult-care", Meal: meal, AgeGroup: "ages-3-5", Lines: []menu.Line{{Name: "room", Days: []menu.Day{plate(on, items...)}}}}
}

// The whole grain-rich serving goes over the meals of a day, and only where grain
// is served; juice counts once.
func TestCareDays(t *testing.T) {
	bread, brown := item("Bread", "grains", "1/2"), item("Brown rice", "grains", "1/2")
	brown.WholeGrainRich = true
	juice, eggs := item("Juice", "fruits", "1/2"), item("Eggs", "meats", "1/2")
	juice.Juice = true
	on := "2026-09-14"
	ask := func(menus ...menu.Menu) *menu.Review {
		t.Helper()
		r, err := reviewer(t).CareDays(menus...)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	for _, q := range []struct {
		name          string
		r             *menu.Review
		whole, juices menu.Verdict
	}{
		{"none whole", ask(careMeal("breakfast", on, bread, juice), careMeal("lunch", on, bread)), menu.NotMet, menu.Met},
		{"one whole", ask(careMeal("breakfast", on, bread, juice), careMeal("lunch", on, brown), careMeal("snack", on, juice)), menu.Met, menu.NotMet},
		{"no grain", ask(careMeal("breakfast", on, eggs)), menu.Met, menu.Met},
		{"not said", ask(careMeal("breakfast", on, eggs, menu.Item{Name: "Muffin"})), menu.NotChecked, menu.NotChecked},
	} {
		if c, _ := find(q.r, "", "whole-grain-rich/servings-a-day", on, ""); c.Verdict != q.whole || c.Citation() == "" {
			t.Errorf("%s: %+v", q.name, c)
		}
		if c, _ := find(q.r, "", "juice/occasions-a-day", on, ""); c.Verdict != q.juices {
			t.Errorf("%s: %+v", q.name, c)
		}
	}
	// A choice between the two is not offered to every child.
	either := careMeal("lunch", on, bread)
	either.Lines[0].Days[0].Choices[0].Items = []menu.Item{bread, brown}
	if c, _ := find(ask(either), "", "whole-grain-rich/servings-a-day", on, ""); c.Verdict != menu.NotMet {
		t.Errorf("%+v", c)
	}
	_, err := reviewer(t).CareDays(careMeal("lunch", on, bread), careMeal("lunch", on, menu.Item{}))
	var faults *fault.List
	if !errors.As(err, &faults) || len(faults.Faults) != 2 || faults.Faults[0].Path != "menus[1].lines[0].days[0].choices[0].items[0].name" {
		t.Errorf("%v", err)
	}
}
