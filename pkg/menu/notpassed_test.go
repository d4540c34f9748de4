package menu_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
)

// What a State reviewer would not let pass: menus that look right as long as nobody asks
// what is left unsaid.

// careLunch is a lunch of ages 3-5 that meets the pattern.
func careLunch() menu.Day {
	milk := item("Low-fat milk", "milk", "3/4")
	milk.Milk = &menu.Milk{Fat: "low-fat"}
	return plate("2026-09-14", item("Chicken", "meats", "3/2"), item("Peas", "starchy", "1/4"), item("Pear", "fruits", "1/4"), item("Rice", "grains", "1/2"), milk)
}

func care(meal, group string, d menu.Day) menu.Menu {
	return menu.Menu{Program: "child-adult-care", Meal: meal, AgeGroup: group, Lines: []menu.Line{{Name: "main", Days: []menu.Day{d}}}}
}

// verdictOf is the verdict of a rule, by the first check of it.
func verdictOf(t *testing.T, r *menu.Review, rule string) menu.Verdict {
	t.Helper()
	i := slices.IndexFunc(r.Checks, func(c menu.Check) bool { return c.Rule == rule })
	if i < 0 {
		t.Fatalf("no check of %s", rule)
	}
	return r.Checks[i].Verdict
}

func TestMilkOfNoKindIsNotMet(t *testing.T) {
	d := careLunch()
	if r := review(t, care("lunch", "ages-3-5", d)); r.Verdict() != menu.Met {
		t.Fatalf("%+v", r.Of(r.Verdict()))
	}
	d.Choices[4].Items[0].Milk = nil
	if r := review(t, care("lunch", "ages-3-5", d)); r.Verdict() != menu.NotChecked || verdictOf(t, r, menu.MilkKind) != menu.NotChecked {
		t.Errorf("%v", r.Verdict())
	}
}

func TestSugarsThatAreNotSaidAreNotChecked(t *testing.T) {
	chocolate := item("Chocolate milk", "milk", "1")
	chocolate.Milk = &menu.Milk{Fat: "fat-free", Flavored: true}
	flakes := item("Flakes", "grains", "1")
	flakes.ColdCereal = true
	for _, x := range []struct {
		on, rule string
		it       menu.Item
		asked    bool
	}{
		{"2025-06-30", "product/flavored-milk/added-sugars", chocolate, false},
		{"2025-07-01", "product/flavored-milk/added-sugars", chocolate, true},
		{"2025-06-30", "product/cereal/added-sugars", flakes, false},
		{"2025-07-01", "product/cereal/added-sugars", flakes, true},
	} {
		c, asked := find(review(t, lunch("k-5", plate(x.on, x.it))), "main", x.rule, x.on, x.it.Name)
		if asked != x.asked || asked && (c.Verdict != menu.NotChecked || c.Note) {
			t.Errorf("%s on %s: %v %+v", x.rule, x.on, asked, c)
		}
	}
}

// A packed meal with its milk has the fat of its other foods all the same.
func TestFatOfAPackedMealIsCounted(t *testing.T) {
	var days []menu.Day
	for _, on := range schoolWeek {
		it := item("Packed lunch", "grains", "2", "meats", "2", "fruits", "1/2", "other", "3/4", "milk", "1")
		it.Milk, it.Planned = &menu.Milk{Fat: "low-fat"}, 100
		it.Nutrients = &menu.Nutrients{Calories: exact.Int(600), Sodium: exact.Int(500), SaturatedFat: exact.Int(20), MilkSaturatedFat: exact.Int(1)}
		d := plate(on, it)
		d.Meals = 100
		days = append(days, d)
	}
	c, _ := find(review(t, lunch("k-5", days...)), "main", "nutrient/saturated-fat", "", "")
	if c.Verdict != menu.NotMet || !c.There.Equal(exact.Frac(57, 2)) { // 19 g x 9 kcal of 600
		t.Errorf("%v, %s %%", c.Verdict, c.There)
	}
}

func TestNutrientsThatAreNotSaidAreNotChecked(t *testing.T) {
	var days []menu.Day
	for _, on := range schoolWeek {
		it := item("Plate", "grains", "2")
		it.Planned, it.Nutrients = 100, &menu.Nutrients{Calories: exact.Int(600), Sodium: exact.Int(500), Unsaid: []string{"saturatedFat", "addedSugars"}}
		d := plate(on, it)
		d.Meals = 100
		days = append(days, d)
	}
	r := review(t, lunch("k-5", days...))
	for rule, want := range map[string]menu.Verdict{"nutrient/calories-least": menu.Met, "nutrient/sodium": menu.Met, "nutrient/saturated-fat": menu.NotChecked} {
		c, _ := find(r, "main", rule, "", "")
		if c.Verdict != want || want == menu.NotChecked && c.Because != "not said: saturated fat of Plate" { // each item once
			t.Errorf("%s: %v, %s", rule, c.Verdict, c.Because)
		}
	}
}

// Beans served as meat alternate are part of the meats/meat alternates: none are in an
// item that has none.
func TestBeansAsMeatsAreMeats(t *testing.T) {
	it := item("Milk", "milk", "1")
	it.BeansAsMeats = exact.Frac(1, 2)
	_, err := reviewer(t).Review(lunch("k-5", plate("2026-09-14", it)))
	if err == nil || !pathsOf(t, err)["lines[0].days[0].choices[0].items[0].beansAsMeats"] {
		t.Errorf("%v", err)
	}
	it = item("Chili", "meats", "2")
	it.BeansAsMeats = exact.Frac(1, 2)
	if _, err := reviewer(t).Review(lunch("k-5", plate("2026-09-14", it))); err != nil {
		t.Error(err)
	}
}

// Vegetables given beside their subgroups are those and what they leave, not twice.
func TestVegetablesBesideTheirSubgroups(t *testing.T) {
	claim := func(of food.Subgroup, n exact.Number) credit.Claim {
		return credit.Claim{Component: food.Vegetables, Subgroup: of, Amount: n}
	}
	it := menu.Item{Name: "Carrots", Paper: "card", Credits: []credit.Claim{claim(food.NoSubgroup, exact.Frac(1, 2)), claim(food.RedOrange, exact.Frac(3, 8))}}
	c, _ := find(review(t, lunch("k-5", plate("2026-09-14", it))), "main", "least/vegetables", "2026-09-14", "")
	if !c.There.Equal(exact.Frac(1, 2)) {
		t.Errorf("%s cup of vegetables", c.There)
	}
	it.Credits[0].Amount = exact.Frac(1, 4)
	if _, err := reviewer(t).Review(lunch("k-5", plate("2026-09-14", it))); err == nil || !pathsOf(t, err)["lines[0].days[0].choices[0].items[0].credits.vegetables"] {
		t.Errorf("%v", err)
	}
}

// Credits go in steps: 1/3 and 1/6 cup of fruit are no half cup.
func TestGivenCreditsGoInSteps(t *testing.T) {
	r := review(t, lunch("k-5", plate("2026-09-14", item("Pear", "fruits", "1/3"), item("Kiwi", "fruits", "1/6"))))
	c, _ := find(r, "main", "least/fruits", "2026-09-14", "")
	if c.Verdict != menu.NotMet || !c.There.Equal(exact.Frac(3, 8)) {
		t.Errorf("%v, %s cup", c.Verdict, c.There)
	}
	if c, _ := find(r, "main", menu.CreditSteps, "2026-09-14", "Pear"); !c.Note || c.Verdict != menu.AtRisk || !c.There.Equal(exact.Frac(1, 4)) {
		t.Errorf("%+v", c)
	}
}

// A drink that shares its name with a fruit is a drink.
func TestJuiceByTheNameOfAFruit(t *testing.T) {
	var days []menu.Day
	for _, on := range schoolWeek {
		juice := item("Orange", "fruits", "3/8")
		juice.Juice = true
		days = append(days, plate(on, item("Orange", "fruits", "1/8"), juice))
	}
	if c, _ := find(review(t, lunch("k-5", days...)), "main", "juice/share-of-fruits", "", ""); c.Verdict != menu.NotMet {
		t.Errorf("%+v", c)
	}
}

// One vegetable is one kind, however it is written.
func TestOneKindHoweverItIsWritten(t *testing.T) {
	d := careLunch()
	d.Choices[2].Items[0] = item("  peas", "starchy", "1/4")
	if v := verdictOf(t, review(t, care("lunch", "ages-3-5", d)), "least/fruits"); v != menu.NotMet {
		t.Errorf("%v", v)
	}
}

// Yogurt and cereal over their sugar limits are no foods of the infant pattern.
func TestInfantFoodOverItsSugarLimit(t *testing.T) {
	yogurt := menu.Item{Name: "Yogurt", Infant: []menu.InfantFood{{Food: "yogurt", Amount: exact.Int(4)}}}
	d := plate("2026-09-14", menu.Item{Name: "Formula", Infant: []menu.InfantFood{{Food: "formula", Amount: exact.Int(6)}}}, yogurt)
	rule := "infant/one-of"
	for added, want := range map[int64]menu.Verdict{12: menu.Met, 13: menu.NotChecked} { // required once an infant is ready
		n := exact.Int(added)
		d.Choices[1].Items[0].Sugars = []menu.Sugars{{Product: "yogurt", Serving: exact.Int(6), Unit: "oz", Added: &n}}
		if v := verdictOf(t, review(t, care("lunch", "months-6-11", d)), rule); v != want {
			t.Errorf("%d g: %v", added, v)
		}
	}
	d.Choices[1].Items[0].Sugars = nil
	if v := verdictOf(t, review(t, care("lunch", "months-6-11", d)), "product/yogurt/added-sugars"); v != menu.NotChecked {
		t.Errorf("not said: %v", v)
	}
}

// A snack of other components needs no milk.
func TestSnackWithoutMilk(t *testing.T) {
	crackers := item("Crackers", "grains", "1")
	crackers.WholeGrainRich = true
	m := menu.Menu{Program: "afterschool-snack", AgeGroup: "k-5", Lines: []menu.Line{{Name: "main", Days: []menu.Day{plate("2026-09-14", crackers, item("Apple", "fruits", "3/4"))}}}}
	if r := review(t, m); r.Verdict() != menu.Met {
		t.Errorf("%+v", r.Of(r.Verdict()))
	}
}

// Trays are held to what the review of the same meal is.
func TestTraysThatAreNotReimbursable(t *testing.T) {
	juice := func(name, cups string) menu.Item {
		it := item(name, "fruits", cups)
		it.Juice = true
		return it
	}
	milk := func(cups, fat string, flavored bool) menu.Item {
		it := item("Milk", "milk", cups)
		if fat != "" {
			it.Milk = &menu.Milk{Fat: fat, Flavored: flavored}
		}
		return it
	}
	lunchOf := func(plants ...menu.Item) []menu.Item {
		return append([]menu.Item{item("Turkey", "meats", "2"), item("Bread", "grains", "1"), milk("1", "low-fat", false)}, plants...)
	}
	for _, x := range []struct {
		what, program, meal, group string
		taken                      []menu.Item
		want                       menu.Verdict
	}{
		{"juice and milk as a snack", "child-adult-care", "snack", "ages-3-5", []menu.Item{juice("Juice", "1/2"), milk("1/2", "low-fat", false)}, menu.NotMet},
		{"fruit and milk as a snack", "child-adult-care", "snack", "ages-3-5", []menu.Item{item("Apple", "fruits", "1/2"), milk("1/2", "low-fat", false)}, menu.Met},
		{"milk of no kind", "child-adult-care", "snack", "ages-3-5", []menu.Item{item("Apple", "fruits", "1/2"), milk("1/2", "", false)}, menu.NotChecked},
		{"one kind of fruit in summer", "summer", "lunch", "summer", lunchOf(item("Apple", "fruits", "3/4")), menu.NotMet},
		{"all juice in summer", "summer", "lunch", "summer", lunchOf(juice("Apple juice", "3/8"), juice("Grape juice", "3/8")), menu.NotMet},
		{"two kinds in summer, half of it juice", "summer", "lunch", "summer", lunchOf(juice("Apple juice", "3/8"), item("Pear", "fruits", "3/8")), menu.Met},
		{"flavored milk, its label not said", "school-lunch", "lunch", "k-5", []menu.Item{item("Roll", "grains", "1"), item("Apple", "fruits", "1/2"), milk("1", "fat-free", true)}, menu.AtRisk},
		{"the same beside enough else", "school-lunch", "lunch", "k-5", []menu.Item{item("Roll", "grains", "1"), item("Egg", "meats", "1"), item("Apple", "fruits", "1/2"), milk("1", "fat-free", true)}, menu.Met},
	} {
		tray := menu.Tray{Program: x.program, Meal: x.meal, AgeGroup: x.group, On: date("2026-07-14")}
		for _, it := range x.taken {
			tray.Taken = append(tray.Taken, menu.Taken{Item: it})
		}
		a, err := reviewer(t).Tray(tray)
		if err != nil {
			t.Fatal(err)
		}
		if a.Verdict != x.want {
			t.Errorf("%s: %v, want %v: %+v", x.what, a.Verdict, x.want, a.Checks)
		}
	}
}

// Two portions of juice are juice.
func TestPortionsOfJuice(t *testing.T) {
	it := item("Juice", "fruits", "1/2")
	it.Juice = true
	milk := item("Milk", "milk", "1/2")
	milk.Milk = &menu.Milk{Fat: "low-fat"}
	a, err := reviewer(t).Tray(menu.Tray{Program: "child-adult-care", Meal: "snack", AgeGroup: "ages-3-5", On: date("2026-09-14"),
		Taken: []menu.Taken{{Item: it, Portions: exact.Int(2)}, {Item: milk}}})
	if err != nil || a.Verdict != menu.NotMet {
		t.Errorf("%+v, %v", a, err)
	}
}

// A day nobody has is answered or left unchecked at once.
func TestDayOfEveryChoiceIsAnsweredAtOnce(t *testing.T) {
	d := menu.Day{On: date("2026-07-14")}
	for c := range menu.MostChoices {
		ch := menu.Choice{Name: strings.Repeat("c", c+1), Take: menu.MostTaken, Same: menu.NotAllowed}
		for i := range menu.MostItems {
			ch.Items = append(ch.Items, item(strings.Repeat("i", i+1)+ch.Name, "other", "1/8", "fruits", "1/8", "grains", "1/4", "meats", "1"))
		}
		d.Choices = append(d.Choices, ch)
	}
	bars := menu.Day{On: d.On} // a vegetable more on each choice
	for c := range 24 {
		name := strings.Repeat("v", c+1)
		bars.Choices = append(bars.Choices, menu.Choice{Name: name, Take: 1, Items: []menu.Item{item("a"+name, "other", "1/8"), item("b"+name, "starchy", "1/8")}})
	}
	for _, d := range []menu.Day{d, bars} {
		for _, m := range []menu.Menu{care("lunch", "ages-3-5", d), care("snack", "ages-3-5", d), {Program: "summer", Meal: "lunch", AgeGroup: "summer", Lines: []menu.Line{{Days: []menu.Day{d}}}}} {
			start := time.Now()
			review(t, m)
			if took := time.Since(start); took > 5*time.Second {
				t.Errorf("%s %s: %s", m.Program, m.Meal, took)
			}
		}
	}
}

// A date before the rules is a fault of that date.
func TestDateBeforeTheRules(t *testing.T) {
	_, err := reviewer(t).Review(lunch("k-5", plate("2005-09-14", item("Roll", "grains", "1"))))
	if err == nil || !pathsOf(t, err)["lines[0].days[0].date"] {
		t.Errorf("%v", err)
	}
	_, err = reviewer(t).Tray(menu.Tray{Program: "school-lunch", AgeGroup: "k-5", On: date("2005-09-14"), Taken: []menu.Taken{{Item: item("Roll", "grains", "1")}}})
	if err == nil || !pathsOf(t, err)["date"] {
		t.Errorf("%v", err)
	}
}

// Of plated meals, one with milk and one without, a child takes one.
func TestMilkOfPlatedMeals(t *testing.T) {
	with := item("Hot plate", "meats", "3/2", "starchy", "1/4", "fruits", "1/4", "grains", "1/2", "milk", "3/4")
	with.Milk = &menu.Milk{Fat: "low-fat"}
	without := item("Cold plate", "meats", "3/2", "red-orange", "1/4", "fruits", "1/4", "grains", "1/2")
	d := menu.Day{On: date("2026-09-14"), Choices: []menu.Choice{{Name: "plate", Take: 1, Items: []menu.Item{with, without}}}}
	if v := verdictOf(t, review(t, care("lunch", "ages-3-5", d)), "least/milk"); v != menu.NotMet {
		t.Errorf("%v", v)
	}
	carton := item("Milk", "milk", "3/4")
	carton.Milk = &menu.Milk{Fat: "low-fat"}
	d.Choices = append(d.Choices, menu.Choice{Name: "milk", Take: 1, Items: []menu.Item{carton, item("Water")}})
	if v := verdictOf(t, review(t, care("lunch", "ages-3-5", d)), "least/milk"); v != menu.Met {
		t.Errorf("with milk beside the plates: %v", v)
	}
}

// A carton of half the milk is no second kind.
func TestSmallCartonIsNoKind(t *testing.T) {
	one, half := item("Low-fat milk", "milk", "1"), item("Fat-free milk", "milk", "1/2")
	one.Milk, half.Milk = &menu.Milk{Fat: "low-fat"}, &menu.Milk{Fat: "fat-free"}
	d := menu.Day{On: date("2026-09-14"), Choices: []menu.Choice{{Name: "milk", Take: 1, Items: []menu.Item{one, half}}}}
	if v := verdictOf(t, review(t, lunch("k-5", d)), "milk/kinds"); v != menu.NotMet {
		t.Errorf("%v", v)
	}
	d.Choices[0].Items[1] = item("Fat-free milk", "milk", "1")
	d.Choices[0].Items[1].Milk = half.Milk
	if v := verdictOf(t, review(t, lunch("k-5", d)), "milk/kinds"); v != menu.Met {
		t.Errorf("%v", v)
	}
}

// What a label says is read as a label prints it.
func TestSugarsAreReadAsPrinted(t *testing.T) {
	n := exact.MustParse("12.1")
	it := item("Yogurt", "meats", "1")
	it.Sugars = []menu.Sugars{{Product: "yogurt", Serving: exact.MustParse("5.3"), Unit: "oz", Added: &n}}
	c, _ := find(review(t, lunch("k-5", plate("2026-09-14", it))), "main", "product/yogurt/added-sugars", "2026-09-14", "")
	if !strings.HasPrefix(c.Because, "12.1 g in a serving of 5.3 oz, where at most 10.6 g credit") {
		t.Error(c.Because)
	}
}

// One mistyped year is one fault, of the day it stands at.
func TestOneMistypedDateIsOneFault(t *testing.T) {
	var days []menu.Day
	for _, on := range []string{"2026-09-14", "2025-09-15", "2026-09-16", "2026-09-17"} {
		days = append(days, plate(on, item("Roll", "grains", "1")))
	}
	_, err := reviewer(t).Review(lunch("k-5", days...))
	if err == nil {
		t.Fatal("no fault")
	}
	if at := pathsOf(t, err); len(at) != 1 || !at["lines[0].days[1].date"] {
		t.Errorf("%v", err)
	}
}
