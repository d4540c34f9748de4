package menu_test

import (
	"encoding/csv"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// notInReviews are rules that change on some day and that no review of a menu
// checks, with the reason. A review is never met by them.
var notInReviews = map[string]string{
	"choose/drinks-most":                            "read with the components of a snack: TestSnacks",
	"least/fruits":                                  "of a snack, read with its components",
	"least/vegetables":                              "of a snack, read with its components",
	"least/fruits-or-vegetables":                    "of a snack, read with its components",
	"beans/as-meats-fill-subgroup":                  "read with the subgroup: TestTrap03BeansAsMeatAlternate",
	"saturated-fat/of-milk":                         "read with saturated fat: TestTrap11FatOfMilk",
	"vegetables-for-fruits/free-days":               "read with the subgroups",
	"vegetables-for-fruits/variety-enforced":        "read with the subgroups",
	"vegetables-for-fruits/not-starchy-first":       "not enforced in any year that is known here",
	"product/yogurt/added-sugars-per-oz":            "the limit of 6 oz by the ounce",
	"product/flavored-milk-sold-apart/added-sugars": "of milk sold apart from meals",
	"upper/grains":                                  "no limit: TestTrap01UpperEndsOfRanges",
	"upper/grains-or-meats":                         "no limit: TestTrap01UpperEndsOfRanges",
}

// richDay offers something of everything that a rule can be about.
func richDay(on rules.Date, group string, fruit bool) menu.Day {
	one := func(name string, it menu.Item) menu.Choice {
		return menu.Choice{Name: name, Take: 1, MainDish: name == "plate", Items: []menu.Item{it}}
	}
	small := menu.Nutrients{Calories: exact.Int(10), Sodium: exact.Int(10), SaturatedFat: exact.Int(1), AddedSugars: exact.Int(1)}
	nutrients := func(it menu.Item) menu.Item {
		it.Planned, it.Nutrients = 10, &small
		return it
	}
	dish := item("Plate", "grains", "2", "meats", "2")
	dish.BeansAsMeats, dish.WholeGrainRich = exact.Frac(1, 2), true
	bar := item("Sweet bar", "grains", "1")
	bar.Dessert = true
	juice := item("Juice", "fruits", "1/2", "other", "1/4")
	juice.Juice = true
	total, added := exact.Int(1), exact.Int(1)
	label := func(name, credits, product, unit string) menu.Item {
		it := item(name, credits, "1")
		it.Sugars = []menu.Sugars{{Product: product, Serving: exact.Int(8), Unit: unit, Total: &total, Added: &added}}
		return it
	}
	d := menu.Day{On: on, Meals: 10, Choices: []menu.Choice{one("plate", dish), one("bar", bar), one("cereal", label("Cereal", "grains", "cereal", "oz")), one("yogurt", label("Yogurt", "meats", "yogurt", "oz"))}}
	for _, sub := range []string{"dark-green", "red-orange", "beans-peas-lentils", "starchy", "other"} {
		d.Choices = append(d.Choices, one(sub, item("Bowl of "+sub, sub, "1/2")))
	}
	if fruit {
		d.Choices = append(d.Choices, one("fruit", item("Apple", "fruits", "1")), one("juice", juice))
	}
	cooler := menu.Choice{Name: "milk", Take: 1, Items: []menu.Item{label("Chocolate milk", "milk", "flavored-milk", "fl oz")}}
	cooler.Items[0].Milk = &menu.Milk{Fat: "fat-free", Flavored: true, Flavor: "chocolate"}
	for _, fat := range []string{"fat-free", "low-fat", "reduced-fat", "whole", "buttermilk"} {
		for _, flavored := range []bool{false, true} {
			it := item(fmt.Sprint(fat, " milk, flavored ", flavored), "milk", "1")
			it.Milk = &menu.Milk{Fat: fat, Flavored: flavored}
			cooler.Items = append(cooler.Items, it)
		}
	}
	d.Choices = append(d.Choices, cooler)
	for c := range d.Choices {
		for i := range d.Choices[c].Items {
			d.Choices[c].Items[i] = nutrients(d.Choices[c].Items[i])
			if c == len(d.Choices)-1 {
				d.Choices[c].Items[i].Planned = 0
			}
		}
	}
	cooler.Items[0].Planned = 10
	if strings.HasPrefix(group, "months-") {
		for c := range d.Choices {
			for i := range d.Choices[c].Items {
				d.Choices[c].Items[i].Infant = []menu.InfantFood{{Food: "formula", Amount: exact.Int(8)}}
			}
		}
	}
	return d
}

// Every change of a rule on a day, from the table of changes that the data of the
// patterns are held to: a review of the day before cites the value that held before,
// one of the day and one of the day after the new value, and none where there is
// none.
func TestReviewsAroundEveryChange(t *testing.T) {
	f, err := os.Open("../rules/patterns/testdata/boundaries.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	in := csv.NewReader(f)
	in.Comment = '#'
	rows, err := in.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	cache := make(map[string][]menu.Check)
	seen, unseen, compared := make(map[string]bool), make(map[string]bool), make(map[string]int)
	for _, row := range rows[1:] {
		day, option, program, rule, span, before, from := date(row[0]), row[1], row[2], row[4], patterns.Span(row[5]), row[6], row[7]
		for _, p := range strings.Fields(row[3]) {
			meal, group, _ := strings.Cut(p, "/")
			shown := false
			for i, want := range []string{before, from, from} {
				on := []rules.Date{day.Previous(), day, day.Next()}[i]
				n := 3
				if w, ok := strings.CutPrefix(string(span), "week-"); ok {
					n = count(w)
				}
				first := on
				for range n - 1 {
					if i == 0 {
						first = first.Previous()
					}
				}
				key := strings.Join([]string{program, p, option, first.String(), string(span)}, " ")
				checks, ok := cache[key]
				if !ok {
					for _, fruit := range []bool{true, false} {
						m := menu.Menu{Program: program, Meal: meal, AgeGroup: group, Lines: []menu.Line{{Name: "main"}}}
						if span == patterns.Age2 {
							m.Age = 2
						}
						if id, choice, ok := strings.Cut(option, "="); ok {
							m.Options = map[string]string{id: choice}
						}
						for d := first; len(m.Lines[0].Days) < n; d = d.Next() {
							m.Lines[0].Days = append(m.Lines[0].Days, richDay(d, group, fruit))
						}
						checks = append(checks, review(t, m).Checks...)
					}
					cache[key] = checks
				}
				for _, c := range checks {
					if c.Rule != rule || c.Value == nil || c.Value.Rule.ID != rule || c.Value.Span != span {
						continue
					}
					compared[row[0]]++
					if c.Value.Text != want {
						t.Errorf("%s %s %s, %s %s, day %d: a review cites %q, want %q", program, p, option, rule, span, i, c.Value.Text, want)
					}
					shown = true
				}
			}
			if shown {
				seen[program+" "+rule] = true
			} else {
				unseen[program+" "+rule] = true
			}
		}
	}
	for rule := range seen {
		delete(unseen, rule)
		if _, id, _ := strings.Cut(rule, " "); notInReviews[id] != "" {
			t.Errorf("%s is in reviews", rule)
		}
	}
	for _, rule := range slices.Sorted(maps.Keys(unseen)) {
		if _, id, _ := strings.Cut(rule, " "); notInReviews[id] == "" {
			t.Errorf("%s changes, and no review cites it", rule)
		}
	}
	for _, want := range []string{"2022-07-01", "2023-07-01", "2024-07-01", "2025-07-01", "2025-10-01", "2026-01-14", "2026-06-08", "2027-07-01"} {
		if compared[want] == 0 {
			t.Errorf("nothing is compared around %s", want)
		}
	}
	t.Logf("%d rules in reviews; compared: %v", len(seen), compared)
}
