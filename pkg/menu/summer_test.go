package menu_test

import (
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/menu"
)

// Summer lunch: two kinds of fruits and vegetables, of which juice makes half of
// the amount at most.
func TestSummerLunch(t *testing.T) {
	juice := item("Juice", "fruits", "1/2")
	juice.Juice = true
	meal := func(items ...menu.Item) *menu.Review {
		return review(t, menu.Menu{Program: "summer", Meal: "lunch", AgeGroup: "summer", Lines: []menu.Line{{Name: "main", Days: []menu.Day{plate("2026-07-06", items...)}}}})
	}
	r := meal(juice, item("Carrots", "red-orange", "1/4"))
	wants(t, r, "least/fruits-or-vegetables", "2026-07-06", menu.Met, "3/4")
	wants(t, r, "fruits-or-vegetables/kinds", "2026-07-06", menu.Met, "2")
	wants(t, r, "juice/share-of-meal", "2026-07-06", menu.NotMet, "5/8")
	r = meal(juice, item("Carrots", "red-orange", "3/8"))
	wants(t, r, "juice/share-of-meal", "2026-07-06", menu.Met, "3/4")
	r = meal(item("Pear", "fruits", "3/4"))
	wants(t, r, "fruits-or-vegetables/kinds", "2026-07-06", menu.NotMet, "1")
}

// Reduced-fat milk in summer is counted and pointed out, or as the State says.
func TestSummerMilk(t *testing.T) {
	milk := item("Milk", "milk", "1")
	milk.Milk = &menu.Milk{Fat: "reduced-fat"}
	m := menu.Menu{Program: "summer", Meal: "lunch", AgeGroup: "summer", Lines: []menu.Line{{Name: "main", Days: []menu.Day{plate("2026-07-06", milk)}}}}
	r := review(t, m)
	wants(t, r, "least/milk", "2026-07-06", menu.Met, "1")
	if c := wants(t, r, "milk/flag", "2026-07-06", menu.AtRisk, ""); !c.Note {
		t.Error("the flag fails the menu")
	}
	m.Options = map[string]string{"summer-reduced-fat-milk": "refused"}
	wants(t, review(t, m), "least/milk", "2026-07-06", menu.NotMet, "0")
}

// A crumb does not credit.
func TestTooLittleToCredit(t *testing.T) {
	r := review(t, lunch("k-5", plate("2026-09-14", item("Carrots", "red-orange", "3/4"), item("Parsley", "dark-green", "1/16"), item("Crouton", "grains", "1/8"))))
	wants(t, r, "least/vegetables", "2026-09-14", menu.Met, "3/4")
	wants(t, r, "least/grains", "2026-09-14", menu.NotMet, "0")
	wants(t, r, "creditable/grains", "2026-09-14", menu.NotMet, "1/8")
}

// A dish cannot have its beans as vegetable and as meat alternate.
func TestBeansCountOnce(t *testing.T) {
	dish := item("Bean bowl", "meats", "2", "beans-peas-lentils", "1/4")
	dish.BeansAsMeats = exact.Frac(1, 2)
	wants(t, review(t, lunch("k-5", plate("2026-09-14", dish))), "beans/not-both-in", "2026-09-14", menu.NotChecked, "")
	apart := item("Bean bowl", "meats", "2")
	apart.BeansAsMeats = exact.Frac(1, 2)
	both := []menu.Item{apart, item("Lentil salad", "beans-peas-lentils", "1/4")}
	wants(t, review(t, lunch("k-5", plate("2026-09-14", both...))), "beans/not-both-in", "2026-09-14", menu.Met, "")
	// Before 2024-07-01 the meal decides.
	wants(t, review(t, lunch("k-5", plate("2024-06-28", both...))), "beans/not-both-in", "2024-06-28", menu.NotChecked, "")
}

// A whole week that is met in all its amounts, limits and conditions says so.
func TestAWeekCanBeMet(t *testing.T) {
	on := schoolWeek
	milk := func(name, fat string) menu.Item {
		it := item(name, "milk", "1")
		it.Milk = &menu.Milk{Fat: fat}
		return it
	}
	var days []menu.Day
	for i, d := range on {
		roll := item("Roll", "grains", "2")
		roll.WholeGrainRich = true
		day := plate(d, item("Chicken", "meats", "2"), roll, item("Pear", "fruits", "1/2"),
			item("Vegetable", []string{"dark-green", "red-orange", "beans-peas-lentils", "starchy", "other"}[i], "3/4"))
		day.Choices[0].MainDish = true
		day.Meals = 100
		day.Choices = append(day.Choices, menu.Choice{Name: "milk", Take: 1, Items: []menu.Item{milk("Low-fat milk", "low-fat"), milk("Fat-free milk", "fat-free")}})
		for c := range day.Choices {
			for k := range day.Choices[c].Items {
				it := &day.Choices[c].Items[k]
				it.Planned = 100 / len(day.Choices[c].Items)
				it.Nutrients = &menu.Nutrients{Calories: exact.Int(120), Sodium: exact.Int(150), SaturatedFat: exact.Int(1)}
			}
		}
		days = append(days, day)
	}
	r := review(t, lunch("k-5", days...))
	if r.Verdict() != menu.Met {
		for _, c := range r.Checks {
			if c.Verdict != menu.Met {
				t.Errorf("%s on %q: %s, %s", c.Rule, c.On, c.Verdict, c.Because)
			}
		}
	}
	if len(r.Of(menu.Met)) < 50 {
		t.Errorf("a pass with %d checks", len(r.Of(menu.Met)))
	}
	for _, c := range r.Checks {
		if c.Citation() == "" {
			t.Errorf("%s has no citation", c.Rule)
		}
	}
}
