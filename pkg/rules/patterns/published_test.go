package patterns_test

import (
	"encoding/csv"
	"os"
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// The published short and long weeks, from other pages than the numbers of the
// reference were copied from.
func TestPublishedWeeks(t *testing.T) {
	ps := load(t)
	f, err := os.Open("testdata/published-weeks.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	cases := make(map[string]bool)
	for _, l := range lines[1:] {
		cases[l[0]] = true
		v, err := at(t, ps, l[4], patterns.Key{Program: l[1], Meal: l[2], Group: l[3]}, nil).Get(l[5], patterns.Span(l[6]))
		if err != nil {
			t.Errorf("%s: %v", l[0], err)
			continue
		}
		if want := exact.MustParse(l[7]); !v.Number.Equal(want) || v.None() {
			t.Errorf("%s on %s: %s %s is %s, published %s", l[0], l[4], l[5], l[6], v.Text, l[7])
		}
	}
	if len(cases) != 22 {
		t.Errorf("%d cases, want 22", len(cases))
	}
}

// What the published cases on sugar, milk and trays need from the patterns,
// under the rules of their own date and of a later one.
func TestPublishedCasesCanBeAnswered(t *testing.T) {
	ps := load(t)
	care := func(meal, group string) patterns.Key {
		return patterns.Key{Program: "child-adult-care", Meal: meal, Group: group}
	}
	atRisk := map[string]string{"care-offer-versus-serve": "at-risk"}
	for _, c := range []struct {
		id, on  string
		k       patterns.Key
		options map[string]string
		rule    string
		span    patterns.Span
		want    string
	}{
		{"sugar-cereal-6g-per-25g", "2025-09-30", care("breakfast", "ages-3-5"), nil, "product/cereal/total-sugars", "", "6"},
		{"sugar-cereal-6g-per-25g", "2025-10-01", care("breakfast", "ages-3-5"), nil, "product/cereal/total-sugars", "", "none"},
		{"sugar-cereal-mix-8-and-4", "2025-10-01", care("breakfast", "ages-3-5"), nil, "product/cereal/added-sugars", "", "6"},
		{"sugar-yogurt-added-4oz", "2025-10-01", care("snack", "ages-3-5"), nil, "product/yogurt/added-sugars-per-oz", "", "2"},
		{"sugar-yogurt-added-8oz", "2025-07-01", lunchK5, nil, "product/yogurt/added-sugars-per-oz", "", "2"},
		{"infant-yogurt-old", "2016-09-12", care("lunch", "months-6-11"), nil, "infant/yogurt-credits", "", "no"},
		{"infant-yogurt-old", "2026-09-14", care("lunch", "months-6-11"), nil, "infant/yogurt-credits", "", "yes"},
		{"infants before ounce equivalents", "2021-09-30", care("snack", "months-6-11"), nil, "upper/crackers", "meal", notKnown},
		{"infants with ounce equivalents", "2021-10-01", care("snack", "months-6-11"), nil, "upper/crackers", "meal", "1/4"},
		{"infant-breastmilk-plus-formula", "2026-09-14", care("lunch", "months-6-11"), nil, "least/breast-milk-or-formula", "meal", "6"},
		{"cacfp-18-month-milk", "2026-09-14", careLunch1, nil, "milk/unflavored", patterns.Age1, "whole"},
		{"cacfp-bf-2yo-whole-milk", "2026-06-07", care("breakfast", "ages-1-2"), nil, "milk/unflavored", patterns.Age2, "fat-free, low-fat"},
		{"cacfp-choc-milk-age", "2026-09-14", care("breakfast", "ages-3-5"), nil, "milk/flavored", "", "none"},
		{"cacfp-day-no-grain-served", "2026-09-14", care("breakfast", "ages-3-5"), nil, "whole-grain-rich/if-grain-served", "", "yes"},
		{"cacfp-day-no-wgr", "2019-01-14", care("lunch", "ages-3-5"), nil, "whole-grain-rich/when-missing", "", "cheapest-with-grain"},
		{"cacfp-granola-bar-homemade", "2026-09-14", care("snack", "ages-6-12"), nil, "dessert/credits", "", "no"},
		{"cacfp-lunch-mixed-veg-only", "2026-09-14", care("lunch", "ages-3-5"), nil, "vegetables-for-fruits/mixture", "", "1"},
		{"cacfp-ovs-bf-large-bagel", "2026-09-14", care("breakfast", "adults"), nil, "offer/double-grain", "", "1"},
		{"cacfp-ovs-bf-two-toasts", "2026-09-14", care("breakfast", "ages-6-12"), atRisk, "offer/different-items", "", "yes"},
		{"cacfp-ovs-bf-toast-cereal", "2026-09-14", care("breakfast", "ages-6-12"), atRisk, "offer/items", "", "4"},
		{"cacfp-ovs (not at risk)", "2026-09-14", care("breakfast", "ages-6-12"), nil, "offer/allowed", "", "not-allowed"},
		{"preschool-milk-variety", "2026-09-14", patterns.Key{Program: "preschool", Meal: "lunch", Group: "ages-3-5"}, nil, "milk/kinds", "", "none"},
		{"preschool-two-veg-same", "2026-09-14", patterns.Key{Program: "preschool", Meal: "lunch", Group: "ages-3-5"}, nil, "vegetables-for-fruits/kinds", "", "2"},
		{"preschool-same-menu-yogurt", "2025-06-30", patterns.Key{Program: "preschool", Meal: "lunch", Group: "ages-3-5"}, nil, "product/yogurt/total-sugars", "", "23"},
		{"preschool-separate-line", "2026-09-14", patterns.Key{Program: "preschool", Meal: "lunch", Group: "ages-3-5"}, nil, "older-pattern/allowed", "", "yes"},
		{"tray-preschool-no-ovs", "2026-09-14", patterns.Key{Program: "preschool", Meal: "lunch", Group: "ages-3-5"}, nil, "offer/allowed", "", "not-allowed"},
		{"ovs-bf-old-cereal-yogurt-milk", "2014-06-30", breakfast68, nil, "offer/take-fruits-or-vegetables", "", "none"},
		{"ovs-bf-old-cereal-yogurt-milk", "2014-07-01", breakfast68, nil, "offer/take-fruits-or-vegetables", "", "1/2"},
		{"ovs-bf-oregon-2011-1", "2011-08-22", breakfast68, nil, "offer/take-items", "", "3"},
		{"ovs-bf-oregon-2011-2", "2011-08-22", breakfast68, nil, "offer/double-grain", "", "2"},
		{"ovs-bf-oregon-2011-5", "2011-08-22", breakfast68, nil, "offer/item-meats", "", "1"},
		{"ovs-bf-bar-juice", "2026-09-14", breakfast68, nil, "offer/double-grain", "", "2"},
		{"sbp-egg-sandwich-extra", "2026-09-14", breakfast68, nil, "offer/combination", "", "planner-decides"},
		{"ovs-hamburger-milk", "2026-09-14", lunchK5, nil, "offer/take-fruits-or-vegetables", "", "1/2"},
		{"ovs-no-entree-rice-salsa-milk-hs", "2026-09-14", patterns.Key{Program: "school-lunch", Meal: "lunch", Group: "9-12"}, nil, "least/grains", "day", "2"},
		{"usda-before-fri", "2012-07-01", lunchK5, nil, "milk/flavored", "", "fat-free"},
		{"usda-before-mon", "2012-07-01", lunchK5, nil, "milk/unflavored", "", "fat-free, low-fat"},
		{"sfsp-week3-day-11", "2014-07-14", patterns.Key{Program: "summer", Meal: "lunch", Group: "summer"}, nil, "least/meats", "meal", "2"},
		{"k6-day-burrito", "2016-04-11", lunchK5, nil, "least/meats", "day", "1"},
		{"la-9-12-week2-monday", "2013-09-09", patterns.Key{Program: "school-lunch", Meal: "lunch", Group: "9-12"}, nil, "least/vegetables", "day", "1"},
	} {
		if got := says(t, ps, c.on, c.k, c.options, c.rule, c.span); got != c.want {
			t.Errorf("%s: %s %s on %s for %s is %q, want %q", c.id, c.rule, c.span, c.on, c.k, got, c.want)
		}
	}
}
