package menu_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
)

// drawDays draws choices for each date, of one or two choices a day.
func drawDays(t *rapid.T, dates ...string) []menu.Day {
	var out []menu.Day
	for _, on := range dates {
		out = append(out, drawDay(t, on))
	}
	return out
}

func leastOf(of []exact.Number) exact.Number {
	n := of[0]
	for _, m := range of[1:] {
		n = exact.Min(n, m)
	}
	return n
}

// perSelection is a value of every full selection of a day.
func perSelection(d menu.Day, value func([]menu.Item) exact.Number) []exact.Number {
	var out []exact.Number
	for _, sel := range everySelection(d) {
		out = append(out, value(sel))
	}
	return out
}

// Breakfast before and after 2024-07-01, with its shares and vegetables in place of
// fruit, against every selection of every day.
func TestBreakfastAgainstEverySelection(t *testing.T) {
	r := reviewer(t)
	old, now := []string{"2024-04-15", "2024-04-16", "2024-04-17"}, []string{"2025-09-15", "2025-09-16", "2025-09-17"}
	rapid.Check(t, func(t *rapid.T) {
		dates := rapid.SampledFrom([][]string{old, now}).Draw(t, "dates")
		days := drawDays(t, dates...)
		for d := range days {
			for c := range days[d].Choices {
				for i := range days[d].Choices[c].Items {
					it := &days[d].Choices[c].Items[i]
					it.WholeGrainRich, it.Juice = rapid.Bool().Draw(t, "whole"), rapid.IntRange(0, 3).Draw(t, "juice") == 0
				}
			}
		}
		got, err := r.Review(menu.Menu{Program: "school-breakfast", AgeGroup: "k-5", Lines: []menu.Line{{Name: "main", Days: days}}})
		if err != nil {
			t.Fatal(err)
		}
		there := func(rule, on string, want exact.Number) {
			c, ok := find(got, "main", rule, on, "")
			if !ok || !c.There.Equal(want) {
				t.Fatalf("%s on %q: %v with %s, by every selection %s", rule, on, ok, c.There, want)
			}
		}
		of := func(c food.Component) func([]menu.Item) exact.Number {
			return func(sel []menu.Item) exact.Number { return sumOf(sel, component(c)) }
		}
		var week exact.Number
		for _, d := range days {
			grain := leastOf(perSelection(d, of(food.Grains)))
			both := func(sel []menu.Item) exact.Number { return of(food.Grains)(sel).Add(of(food.Meats)(sel)) }
			if d.On.String() >= "2024-07-01" {
				there("least/grains-or-meats", d.On.String(), leastOf(perSelection(d, both)))
				week = week.Add(leastOf(perSelection(d, both)))
			} else {
				there("least/grains", d.On.String(), grain)
				week = week.Add(leastOf(perSelection(d, func(sel []menu.Item) exact.Number {
					if of(food.Grains)(sel).Less(exact.Int(1)) {
						return of(food.Grains)(sel)
					}
					return both(sel)
				})))
			}
			there("least/fruits", d.On.String(), leastOf(perSelection(d, func(sel []menu.Item) exact.Number { return of(food.Fruits)(sel).Add(of(food.Vegetables)(sel)) })))
		}
		if dates[0] >= "2024-07-01" {
			there("least/grains-or-meats", "", week)
		} else {
			there("least/grains", "", week)
		}
		// What is offered, each item once a day: names are of one day here.
		var offered []menu.Item
		for _, d := range days {
			for _, c := range d.Choices {
				offered = append(offered, c.Items...)
			}
		}
		there("whole-grain-rich/share-least", "", sumOf(offered, func(c credit.Claim, it menu.Item) bool { return c.Component == food.Grains && it.WholeGrainRich }))
		there("juice/share-of-fruits", "", sumOf(offered, func(c credit.Claim, it menu.Item) bool { return c.Component == food.Fruits && it.Juice }))
		there("juice/share-of-vegetables", "", sumOf(offered, func(c credit.Claim, it menu.Item) bool { return c.Component == food.Vegetables && it.Juice }))
		// Days on which a child has the cup of fruit only with vegetables.
		subgroups, substituted := make(map[food.Subgroup]bool), 0
		for _, d := range days {
			fruit := leastOf(perSelection(d, of(food.Fruits)))
			all := leastOf(perSelection(d, func(sel []menu.Item) exact.Number { return of(food.Fruits)(sel).Add(of(food.Vegetables)(sel)) }))
			if !fruit.Less(exact.Int(1)) || all.Less(exact.Int(1)) {
				continue
			}
			substituted++
			for _, c := range d.Choices {
				for _, it := range c.Items {
					for _, k := range it.Credits {
						if k.Component == food.Vegetables && k.Subgroup != food.NoSubgroup && k.Subgroup != food.Additional {
							subgroups[k.Subgroup] = true
						}
					}
				}
			}
		}
		c, ok := find(got, "main", "vegetables-for-fruits/subgroups", "", "")
		if want := substituted > 0 && dates[0] >= "2024-07-01"; ok != want {
			t.Fatalf("variety is checked: %v, with %d days of vegetables for fruit", ok, substituted)
		}
		if ok && (c.Verdict == menu.NotMet) != (substituted > 1 && len(subgroups) < 2) {
			t.Fatalf("variety is %s with %d days and %d subgroups", c.Verdict, substituted, len(subgroups))
		}
	})
}

// The main dish: in some selection meats/meat alternates stand in more than one item
// beside it, or in none.
func TestMainDishAgainstEverySelection(t *testing.T) {
	r := reviewer(t)
	rapid.Check(t, func(t *rapid.T) {
		d := drawDay(t, "2026-09-14")
		d.Choices = append(d.Choices, drawDay(t, "2026-09-14").Choices...)
		main := -1
		if rapid.IntRange(0, 3).Draw(t, "said") > 0 {
			main = rapid.IntRange(0, len(d.Choices)-1).Draw(t, "main dish")
			d.Choices[main].MainDish = true
		}
		for c := range d.Choices {
			for i := range d.Choices[c].Items {
				d.Choices[c].Items[i].Name, d.Choices[c].Items[i].Kind = fmt.Sprint(c, " ", i), fmt.Sprint(c)
			}
		}
		got, err := r.Review(menu.Menu{Program: "school-lunch", AgeGroup: "k-5", Lines: []menu.Line{{Name: "main", Days: []menu.Day{d}}}})
		if err != nil {
			t.Fatal(err)
		}
		most, all := 0, 0
		for _, sel := range everySelection(d) {
			beside, n := 0, 0
			for _, it := range sel {
				if sumOf([]menu.Item{it}, component(food.Meats)).Sign() > 0 {
					n++
					if it.Kind != fmt.Sprint(main) {
						beside++
					}
				}
			}
			most, all = max(most, beside), max(all, n)
		}
		want := menu.Met
		switch {
		case main < 0 && all > 2:
			want = menu.NotChecked
		case main >= 0 && most > 1:
			want = menu.NotMet
		}
		c, ok := find(got, "main", "meats/places", "2026-09-14", "")
		if !ok || c.Verdict != want {
			t.Fatalf("%s, by every selection %s: %d beside the main dish, %d in all", c.Verdict, want, most, all)
		}
	})
}
