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

// notInReviews are rules that change on some day and that no check of a review cites,
// with what reads them or why nothing does.
var notInReviews = map[string]string{
	"afterschool-snack choose/drinks-most":                       "read with the components of a snack: TestSnacks",
	"afterschool-snack choose/of":                                "how many components a snack chooses from follows from its amounts",
	"afterschool-snack least/fruits":                             "read with the components of a snack",
	"afterschool-snack least/vegetables":                         "read with the components of a snack",
	"afterschool-snack least/fruits-or-vegetables":               "read with the components of a snack",
	"afterschool-snack nuts/share-of-meats":                      "nothing is limited since 2024-07-01, and before it is not known",
	"afterschool-snack product/yogurt/added-sugars-per-oz":       "the limit of 6 oz by the ounce",
	"child-adult-care product/yogurt/added-sugars-per-oz":        "the limit of 6 oz by the ounce",
	"preschool product/yogurt/added-sugars-per-oz":               "the limit of 6 oz by the ounce",
	"school-breakfast product/yogurt/added-sugars-per-oz":        "the limit of 6 oz by the ounce",
	"school-lunch product/yogurt/added-sugars-per-oz":            "the limit of 6 oz by the ounce",
	"school-breakfast meats-for-grains/after-grains":             "read with grains: TestTrap07BreakfastWithoutGrain, TestEffectsAroundChanges",
	"school-breakfast meats-for-grains/allowed":                  "read with grains: TestEffectsAroundChanges",
	"school-breakfast nuts/share-of-meats":                       "nothing is limited since 2024-07-01, and before it is not known",
	"school-breakfast offer/grains-before-meats":                 "of a tray: TestEffectsAroundChanges",
	"school-breakfast saturated-fat/of-milk":                     "read with saturated fat: TestEffectsAroundChanges",
	"school-breakfast upper/grains":                              "no limit: TestTrap01UpperEndsOfRanges",
	"school-breakfast upper/grains-or-meats":                     "no limit: TestTrap01UpperEndsOfRanges",
	"school-breakfast vegetables-for-fruits/free-days":           "read with the subgroups: TestEffectsAroundChanges",
	"school-breakfast vegetables-for-fruits/variety-enforced":    "read with the subgroups: TestEffectsAroundChanges",
	"school-breakfast vegetables-for-fruits/not-starchy-first":   "not enforced from 2019-02-15 on: TestNotStarchyFirst",
	"school-breakfast vegetables-for-grains/allowed":             "read with grains: TestVegetablesForGrains",
	"school-lunch vegetables-for-grains/allowed":                 "read with grains: TestVegetablesForGrains",
	"school-lunch beans/as-meats-fill-subgroup":                  "read with the subgroup: TestTrap03BeansAsMeatAlternate, TestEffectsAroundChanges",
	"school-lunch saturated-fat/of-milk":                         "read with saturated fat: TestEffectsAroundChanges",
	"school-lunch product/flavored-milk-sold-apart/added-sugars": "of milk sold apart from meals, which is no menu",
}

// richDay offers something of everything that a rule can be about.
func richDay(on rules.Date, group string, fruit bool) menu.Day {
	one := func(name string, it menu.Item) menu.Choice {
		return menu.Choice{Name: name, Take: 1, MainDish: name == "plate", Items: []menu.Item{it}}
	}
	none := exact.Int(0)
	small := menu.Nutrients{Calories: exact.Int(10), Sodium: exact.Int(10), SaturatedFat: exact.Int(1), AddedSugars: exact.Int(1), TransFat: &none}
	nutrients := func(it menu.Item) menu.Item {
		it.Planned, it.Nutrients = 10, &small
		return it
	}
	dish := item("Plate", "grains", "2", "meats", "2")
	dish.BeansAsMeats, dish.WholeGrainRich = exact.Frac(1, 2), true
	shelled := exact.Int(1)
	dish.Nuts = &shelled
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
	drink := item("Soy drink", "milk", "1")
	drink.Nondairy = &menu.Nondairy{Nutrients: make(map[string]exact.Number)}
	for _, id := range []string{"calcium", "protein", "vitamin-a", "vitamin-d", "magnesium", "phosphorus", "potassium", "riboflavin", "vitamin-b12"} {
		drink.Nondairy.Nutrients[id] = exact.Int(400)
	}
	cooler.Items = append(cooler.Items, drink)
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
		if notInReviews[rule] != "" {
			t.Errorf("%s is in reviews", rule)
		}
	}
	for _, rule := range slices.Sorted(maps.Keys(unseen)) {
		if notInReviews[rule] == "" {
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

// Rules that have no check of their own, by what they do on the day before a change,
// the day and the day after.
func TestEffectsAroundChanges(t *testing.T) {
	beans := item("Bean bowl", "meats", "2")
	beans.BeansAsMeats = exact.Frac(1, 2)
	fat := func(of menu.Milk) []menu.Item {
		milk, food := item("Milk", "milk", "1"), item("Plate", "grains", "2", "meats", "2")
		milk.Milk, milk.Planned, milk.Nutrients = &of, 100, &menu.Nutrients{Calories: exact.Int(100), SaturatedFat: exact.Int(5)}
		food.Planned, food.Nutrients = 100, &menu.Nutrients{Calories: exact.Int(500), SaturatedFat: exact.Int(5)}
		return []menu.Item{milk, food}
	}
	low := menu.Milk{Fat: "low-fat"}
	eggs, potatoes := item("Eggs", "meats", "2"), item("Potatoes", "starchy", "1")
	for _, q := range []struct {
		name, program, rule string
		items               []menu.Item
		options             map[string]string
		change              string
		before, from        menu.Verdict // of the week of three days that ends on the day before, and those that begin on the day and the day after
	}{
		{"beans fill their subgroup", "school-lunch", "least/vegetables/beans-peas-lentils", []menu.Item{beans}, nil, "2024-07-01", menu.NotMet, menu.Met},
		{"milk's fat is left out at lunch", "school-lunch", "nutrient/saturated-fat", fat(low), nil, "2026-01-14", menu.NotMet, menu.Met},
		{"and not at breakfast", "school-breakfast", "nutrient/saturated-fat", fat(low), nil, "2026-06-08", menu.NotMet, menu.NotMet},
		{"but by the option", "school-breakfast", "nutrient/saturated-fat", fat(low), map[string]string{"breakfast-milk-fat": "left-out"}, "2026-06-08", menu.NotMet, menu.Met},
		{"breakfast without grain", "school-breakfast", "", []menu.Item{eggs}, nil, "2024-07-01", menu.NotMet, menu.Met},
		{"one kind of vegetable for fruit", "school-breakfast", "vegetables-for-fruits/subgroups", []menu.Item{potatoes}, nil, "2025-07-01", menu.Met, menu.NotMet},
	} {
		first := date(q.change)
		for i, begin := range []rules.Date{first.Previous().Previous().Previous(), first, first.Next()} {
			m := menu.Menu{Program: q.program, AgeGroup: "k-5", Options: q.options, Lines: []menu.Line{{Name: "main"}}}
			for d := begin; len(m.Lines[0].Days) < 3; d = d.Next() {
				day := plate(d.String(), q.items...)
				day.Meals = 100
				m.Lines[0].Days = append(m.Lines[0].Days, day)
			}
			want := q.before
			if i > 0 {
				want = q.from
			}
			rs := []string{q.rule}
			if q.rule == "" {
				rs = []string{"least/grains", "least/grains-or-meats"}
			}
			got := menu.Met
			for _, c := range review(t, m).Checks {
				if slices.Contains(rs, c.Rule) && (c.Days > 0 || q.rule == "") && (c.Days == 0 || q.rule != "") {
					got = max(got, c.Verdict)
				}
			}
			if got != want {
				t.Errorf("%s, week from %s: %s, want %s", q.name, begin, got, want)
			}
		}
	}
	// On a tray meats/meat alternates were items where grains came first.
	for i, on := range []string{"2024-06-30", "2024-07-01", "2024-07-02"} {
		offered := plate(on, eggs, item("Juice", "fruits", "1/2"), item("Milk", "milk", "1"))
		a := tray(t, menu.Tray{Program: "school-breakfast", AgeGroup: "k-5", On: date(on), Offered: &offered, Taken: taken(eggs, item("Juice", "fruits", "1/2"))})
		if want := []int{1, 3, 3}[i]; a.Counted != want {
			t.Errorf("%s: %d items, want %d", on, a.Counted, want)
		}
	}
}
