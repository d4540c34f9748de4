package menu_test

import (
	"slices"
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/menu"
)

// What reviews of menus get wrong most easily, each as a test of its own.

// item builds an item from component or subgroup and amount.
func item(name string, credits ...string) menu.Item {
	in := make(map[string]string)
	for i := 0; i < len(credits); i += 2 {
		in[credits[i]] = credits[i+1]
	}
	return menu.Item{Name: name, Credits: claims(in), Paper: "production record"}
}

// plate is a day on which every child gets the same.
func plate(on string, items ...menu.Item) menu.Day {
	d := menu.Day{On: date(on)}
	for _, it := range items {
		d.Choices = append(d.Choices, menu.Choice{Name: it.Name, Take: 1, Items: []menu.Item{it}})
	}
	return d
}

func lunch(group string, days ...menu.Day) menu.Menu {
	return menu.Menu{Program: "school-lunch", AgeGroup: group, Lines: []menu.Line{{Name: "main", Days: days}}}
}

func breakfast(group string, days ...menu.Day) menu.Menu {
	return menu.Menu{Program: "school-breakfast", AgeGroup: group, Lines: []menu.Line{{Name: "main", Days: days}}}
}

var schoolWeek = []string{"2026-09-14", "2026-09-15", "2026-09-16", "2026-09-17", "2026-09-18"}

// sameDays is the same plate on each day.
func sameDays(on []string, items ...menu.Item) []menu.Day {
	var out []menu.Day
	for _, d := range on {
		out = append(out, plate(d, items...))
	}
	return out
}

func wants(t *testing.T, r *menu.Review, rule, day string, verdict menu.Verdict, there string) menu.Check {
	t.Helper()
	c := check(t, r, "main", rule, day)
	if c.Verdict != verdict || there != "" && !c.There.Equal(exact.MustParse(there)) {
		t.Errorf("%s on %q: %s with %s, want %s with %s (%s)", rule, day, c.Verdict, c.There, verdict, there, c.Because)
	}
	return c
}

// The twelve traps of school and care menus: what is easily got wrong, each with the
// menu that shows it. Ten are those of the reference on meal patterns, in its order;
// its last, on milk, is two here, and the twelfth is of care.

// The upper ends of the printed ranges are no limits, at lunch or breakfast.
func TestTrap01UpperEndsOfRanges(t *testing.T) {
	r := review(t, lunch("k-5", sameDays(schoolWeek, item("Plate", "grains", "6", "meats", "6"))...))
	wants(t, r, "least/grains", "", menu.Met, "30")
	wants(t, r, "least/meats", "", menu.Met, "30")
	b := review(t, breakfast("k-5", sameDays(schoolWeek, item("Plate", "grains", "6", "meats", "6"))...))
	wants(t, b, "least/grains-or-meats", "", menu.Met, "60")
	for _, c := range append(r.Checks, b.Checks...) {
		if c.Value != nil && c.Value.Rule.Kind == "upper" {
			t.Errorf("%s is checked, and is no limit", c.Rule)
		}
	}
}

// The date of the meal decides, not the school year: sugar limits of child care
// change in October.
func TestTrap02DateOfTheMeal(t *testing.T) {
	total, added := exact.Int(6), exact.Int(7)
	cereal := item("Cereal", "grains", "1")
	cereal.Sugars = []menu.Sugars{{Product: "cereal", Serving: exact.Int(1), Unit: "oz", Total: &total, Added: &added}}
	m := menu.Menu{Program: "child-adult-care", Meal: "breakfast", AgeGroup: "ages-3-5",
		Lines: []menu.Line{{Name: "main", Days: []menu.Day{plate("2025-09-30", cereal), plate("2025-10-01", cereal)}}}}
	r := review(t, m)
	wants(t, r, "product/cereal/total-sugars", "2025-09-30", menu.Met, "6")
	wants(t, r, "least/grains", "2025-09-30", menu.Met, "1")
	wants(t, r, "product/cereal/added-sugars", "2025-10-01", menu.NotMet, "7")
	wants(t, r, "least/grains", "2025-10-01", menu.NotMet, "0")
}

// Beans served as meat alternate fill their subgroup and not the vegetables.
func TestTrap03BeansAsMeatAlternate(t *testing.T) {
	dish := item("Bean bowl", "meats", "2")
	dish.BeansAsMeats = exact.Frac(1, 2)
	week := func(on ...string) menu.Menu {
		days := sameDays(on, item("Corn", "starchy", "3/4"))
		days[0] = plate(on[0], dish)
		return lunch("k-5", days...)
	}
	r := review(t, week("2026-09-14", "2026-09-15", "2026-09-16"))
	wants(t, r, "least/vegetables", "2026-09-14", menu.NotMet, "0")
	wants(t, r, "least/vegetables", "", menu.NotMet, "3/2")
	wants(t, r, "least/vegetables/beans-peas-lentils", "", menu.Met, "1/2")
	// Before 2024-07-01 they counted once only.
	r = review(t, week("2024-04-15", "2024-04-16", "2024-04-17"))
	wants(t, r, "least/vegetables/beans-peas-lentils", "", menu.NotMet, "0")
}

// Surplus dark green, red/orange and beans flow to other; starchy only to
// additional.
func TestTrap04SubgroupsAreNoPartition(t *testing.T) {
	week := func(second string) menu.Menu {
		return lunch("k-5", plate("2026-09-14", item("Broccoli", "dark-green", "1/2"), item("Beans", "beans-peas-lentils", "1/2")),
			plate("2026-09-15", item("Corn", "starchy", "1/2"), item("Carrots", "red-orange", "1/2")),
			plate("2026-09-16", item("More", second, "3/4")))
	}
	wants(t, review(t, week("red-orange")), menu.Subgroups, "", menu.Met, "")
	c := wants(t, review(t, week("starchy")), menu.Subgroups, "", menu.NotMet, "")
	if !c.Short.Equal(exact.Frac(1, 4)) {
		t.Errorf("short by %s, want the 1/4 cup of other", c.Short)
	}
}

// Days that all hold do not make a week.
func TestTrap05DaysAndWeek(t *testing.T) {
	r := review(t, lunch("k-5", sameDays(schoolWeek, item("Plate", "grains", "1", "meats", "2"))...))
	for _, on := range schoolWeek {
		wants(t, r, "least/grains", on, menu.Met, "1")
	}
	wants(t, r, "least/grains", "", menu.NotMet, "5")
	wants(t, r, "least/meats", "", menu.Met, "10")
}

// Subgroups of a short week come from its table, and a week of two days has none.
func TestTrap06ShortWeeks(t *testing.T) {
	veg := item("Carrots", "red-orange", "3/4")
	c := wants(t, review(t, lunch("k-5", sameDays(schoolWeek[:3], veg)...)), "least/vegetables/red-orange", "", menu.Met, "1/2")
	if !c.Needed.Equal(exact.Frac(1, 2)) { // three fifths of 3/4 would be 9/20
		t.Errorf("needs %s", c.Needed)
	}
	c = wants(t, review(t, lunch("k-5", sameDays(schoolWeek[:4], veg)...)), "least/vegetables/red-orange", "", menu.Met, "3/4")
	if !c.Needed.Equal(exact.Frac(3, 4)) {
		t.Errorf("needs %s", c.Needed)
	}
	r := review(t, lunch("k-5", sameDays(schoolWeek[:2], veg)...))
	wants(t, r, "week/days-least", "", menu.NotChecked, "2")
	if _, ok := find(r, "main", "least/vegetables", "", ""); ok {
		t.Error("a week of two days is judged")
	}
}

// At breakfast no grain is needed since 2024-07-01, and meats/meat alternates are
// no grains in the whole grain-rich share.
func TestTrap07BreakfastWithoutGrain(t *testing.T) {
	r := review(t, breakfast("k-5", sameDays(schoolWeek, item("Eggs", "meats", "2"))...))
	wants(t, r, "least/grains-or-meats", schoolWeek[0], menu.Met, "2")
	wants(t, r, "least/grains-or-meats", "", menu.Met, "10")
	if c := wants(t, r, "whole-grain-rich/share-least", "", menu.Met, ""); c.Because != "no grains are offered" {
		t.Errorf("%q", c.Because)
	}
	if _, ok := find(r, "main", "least/grains", schoolWeek[0], ""); ok {
		t.Error("a grain is asked for")
	}
	r = review(t, breakfast("k-5", sameDays([]string{"2024-06-26", "2024-06-27", "2024-06-28"}, item("Eggs", "meats", "2"))...))
	wants(t, r, "least/grains", "2024-06-28", menu.NotMet, "0")
}

// A menu is one meal: lunch and breakfast have no common sum. The same food with
// the same sodium passes one and fails the other.
func TestTrap08LunchAndBreakfastApart(t *testing.T) {
	food := item("Plate", "grains", "2", "meats", "2")
	food.Planned, food.Nutrients = 100, &menu.Nutrients{Calories: exact.Int(500), Sodium: exact.Int(1000)}
	days := sameDays(schoolWeek, food)
	for i := range days {
		days[i].Meals = 100
	}
	wants(t, review(t, lunch("k-5", days...)), "nutrient/sodium", "", menu.Met, "1000")
	wants(t, review(t, breakfast("k-5", days...)), "nutrient/sodium", "", menu.NotMet, "1000")
}

// Total and added sugars have different limits, by the dry ounce for cereal and by
// 6 oz for yogurt.
func TestTrap09TotalAndAddedSugars(t *testing.T) {
	six, twelve, thirteen := exact.Int(6), exact.Int(12), exact.Int(13)
	yogurt := func(added *exact.Number) menu.Item {
		it := item("Yogurt", "meats", "1")
		it.Sugars = []menu.Sugars{{Product: "yogurt", Serving: exact.Int(6), Unit: "oz", Total: &thirteen, Added: added}}
		return it
	}
	r := review(t, lunch("k-5", plate("2026-09-14", yogurt(&twelve)), plate("2026-09-15", yogurt(&thirteen)), plate("2026-09-16", yogurt(nil))))
	wants(t, r, "product/yogurt/added-sugars", "2026-09-14", menu.Met, "12")
	wants(t, r, "product/yogurt/added-sugars", "2026-09-15", menu.NotMet, "13")
	wants(t, r, "least/meats", "2026-09-15", menu.NotMet, "0")
	wants(t, r, "product/yogurt/added-sugars", "2026-09-16", menu.NotChecked, "")
	// 6 g in a label serving of 25 g is more than 6 g in an ounce.
	cereal := item("Cereal", "grains", "1")
	cereal.Sugars = []menu.Sugars{{Product: "cereal", Serving: exact.Int(25), Unit: "g", Added: &six}}
	wants(t, review(t, lunch("k-5", plate("2026-09-14", cereal))), "product/cereal/added-sugars", "2026-09-14", menu.NotMet, "6")
}

// Milk is not one rule: whole milk credits at lunch before it does at breakfast.
func TestTrap10MilkByProgramAndDate(t *testing.T) {
	whole := item("Whole milk", "milk", "1")
	whole.Milk = &menu.Milk{Fat: "whole"}
	for _, q := range []struct {
		on                string
		lunch, breakfasts menu.Verdict
	}{
		{"2026-01-13", menu.NotMet, menu.NotMet}, {"2026-01-14", menu.Met, menu.NotMet}, {"2026-06-07", menu.Met, menu.NotMet}, {"2026-06-08", menu.Met, menu.Met},
	} {
		wants(t, review(t, lunch("k-5", plate(q.on, whole))), "least/milk", q.on, q.lunch, "")
		wants(t, review(t, breakfast("k-5", plate(q.on, whole))), "least/milk", q.on, q.breakfasts, "")
	}
}

// The saturated fat of milk is left out at lunch only; its calories still count.
func TestTrap11FatOfMilk(t *testing.T) {
	milk, food := item("Milk", "milk", "1"), item("Plate", "grains", "2", "meats", "2")
	milk.Milk = &menu.Milk{Fat: "low-fat"}
	milk.Planned, milk.Nutrients = 100, &menu.Nutrients{Calories: exact.Int(100), SaturatedFat: exact.Int(5)}
	food.Planned, food.Nutrients = 100, &menu.Nutrients{Calories: exact.Int(500), SaturatedFat: exact.Int(5)}
	days := sameDays(schoolWeek, milk, food)
	for i := range days {
		days[i].Meals = 100
	}
	wants(t, review(t, lunch("k-5", days...)), "nutrient/saturated-fat", "", menu.Met, "7 1/2")
	wants(t, review(t, breakfast("k-5", days...)), "nutrient/saturated-fat", "", menu.NotMet, "15")
	wants(t, review(t, lunch("k-5", days...)), "nutrient/calories-least", "", menu.Met, "600")
}

// The same vegetable twice is one kind: in care it cannot be vegetable and fruit.
func TestTrap12OneVegetableTwice(t *testing.T) {
	care := func(second menu.Item) menu.Menu {
		return menu.Menu{Program: "preschool", Meal: "lunch", AgeGroup: "ages-3-5", Lines: []menu.Line{{Name: "main",
			Days: []menu.Day{plate("2026-09-14", item("Broccoli", "dark-green", "1/4"), second)}}}}
	}
	again := item("Broccoli, chopped", "dark-green", "1/4")
	again.Kind = "Broccoli"
	wants(t, review(t, care(again)), "least/fruits", "2026-09-14", menu.NotMet, "0")
	wants(t, review(t, care(item("Carrots", "red-orange", "1/4"))), "least/fruits", "2026-09-14", menu.Met, "1/4")
	wants(t, review(t, care(item("Apple", "fruits", "1/4"))), "least/fruits", "2026-09-14", menu.Met, "1/4")
}

// A week that spans a change: each day by its own rules, and both sides of a limit
// of the week.
func TestWeekAcrossAChange(t *testing.T) {
	food := item("Plate", "grains", "2")
	food.Planned, food.Nutrients = 100, &menu.Nutrients{Calories: exact.Int(600), Sodium: exact.Int(1000)}
	days := sameDays([]string{"2027-06-29", "2027-06-30", "2027-07-01"}, food)
	for i := range days {
		days[i].Meals = 100
	}
	r := review(t, lunch("k-5", days...))
	var verdicts []string
	for _, c := range r.Checks {
		if c.Rule == "nutrient/sodium" {
			verdicts = append(verdicts, c.Value.Text+" "+c.Verdict.String())
		}
	}
	if !slices.Equal(verdicts, []string{"1110 met", "935 not-met"}) {
		t.Errorf("%v", verdicts)
	}
}

// Credits without their paper are met and at risk; items without credits are not
// checked where it matters.
func TestPapersAndUnknowns(t *testing.T) {
	bare := item("Nuggets", "meats", "2")
	bare.Paper = ""
	r := review(t, lunch("k-5", plate("2026-09-14", bare, menu.Item{Name: "Roll"})))
	wants(t, r, "least/meats", "2026-09-14", menu.AtRisk, "2")
	wants(t, r, "least/grains", "2026-09-14", menu.NotChecked, "0")
	if r.Verdict() == menu.Met {
		t.Error("the menu passes")
	}
}
