package menu_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/recipe"
)

func of(n exact.Number) *exact.Number { return &n }

// To 2024-06-30 nuts and seeds made no more than half of the meats/meat alternates a
// day asks for; since then all of them.
func TestNuts(t *testing.T) {
	mix, cheese := item("Trail mix", "meats", "1"), item("Cheese", "meats", "1/4")
	mix.Nuts, cheese.Nuts = of(exact.Int(1)), of(exact.Int(0))
	const rule = "nuts/share-of-meats"
	for _, q := range []struct {
		on    string
		want  menu.Verdict
		there string
	}{{"2024-06-30", menu.NotMet, "3/4"}, {"2024-07-01", menu.Met, "1 1/4"}, {"2024-07-02", menu.Met, "1 1/4"}} {
		r := review(t, lunch("k-5", plate(q.on, mix, cheese)))
		wants(t, r, "least/meats", q.on, q.want, q.there)
		if c, ok := find(r, "main", rule, q.on, ""); ok != (q.on < "2024-07-01") || ok && (!c.Note || c.Short.Fraction() != "1/2" || c.Citation() == "") {
			t.Errorf("%s: %+v", q.on, c)
		}
	}
	// In a week each day counts no more than it may.
	wants(t, review(t, lunch("k-5", sameDays([]string{"2024-04-15", "2024-04-16", "2024-04-17"}, mix, cheese)...)), "least/meats", "", menu.NotMet, "2 1/4")
	mix.Nuts = nil
	wants(t, review(t, lunch("k-5", plate("2024-04-15", mix))), rule, "2024-04-15", menu.NotChecked, "0")
	// A recipe without nuts needs no word of them.
	beans := dish("Bean pot", 50, recipe.Ingredient{Food: "black-beans-canned", Quantity: amount("3 can no. 10"), State: "heated", CreditAs: "meats"})
	wants(t, review(t, lunch("k-5", plate("2024-04-15", beans))), rule, "2024-04-15", menu.Met, "0")
	beans.Recipe.Ingredients = append(beans.Recipe.Ingredients, recipe.Ingredient{Food: "almonds", Quantity: amount("2 lb")})
	wants(t, review(t, lunch("k-5", plate("2024-04-15", beans))), rule, "2024-04-15", menu.NotChecked, "0")
	// And so on a tray.
	mix.Nuts = of(exact.Int(1))
	for on, want := range map[string]int{"2024-06-30": 2, "2024-07-01": 3} {
		a := tray(t, menu.Tray{Program: "school-lunch", AgeGroup: "k-5", On: date(on), Taken: taken(mix, item("Pear", "fruits", "1/2"), item("Milk", "milk", "1"))})
		if a.Counted != want {
			t.Errorf("%s: %d %s %v, want %d", on, a.Counted, a.Of, a.Names, want)
		}
	}
}

// To 2024-06-30 the label of every product showed 0 g of trans fat, less than half a
// gram in a serving.
func TestTransFat(t *testing.T) {
	roll := item("Roll", "grains", "2")
	week := func(on ...string) *menu.Review { return review(t, lunch("k-5", sameDays(on, roll)...)) }
	old := []string{"2024-06-26", "2024-06-27", "2024-06-28"}
	const rule = "nutrient/trans-fat"
	wants(t, week(old...), rule, "", menu.NotChecked, "0")
	if c, _ := find(week(old...), "main", rule, "", ""); !strings.Contains(c.Mend, "natural in meat and dairy is left out") {
		t.Errorf("what the limit leaves out is not said: %q", c.Mend)
	}
	roll.Nutrients = &menu.Nutrients{TransFat: of(exact.MustParse("0.4"))}
	wants(t, week(old...), rule, "", menu.Met, "2/5")
	roll.Nutrients = &menu.Nutrients{TransFat: of(exact.MustParse("0.5"))}
	wants(t, week(old...), rule, "", menu.NotMet, "1/2")
	if c, ok := find(week("2024-07-01", "2024-07-02", "2024-07-03"), "main", rule, "", ""); ok {
		t.Errorf("%+v", c)
	}
}

// The upper ends of the ranges were limits in the autumn of 2012 only.
func TestUpperEndsOf2012(t *testing.T) {
	big := item("Plate", "grains", "3", "meats", "3")
	for _, q := range []struct {
		days []string
		want menu.Verdict
	}{{[]string{"2012-12-04", "2012-12-05", "2012-12-06"}, menu.NotMet}, {[]string{"2012-12-07", "2012-12-08", "2012-12-09"}, 0}, {[]string{"2014-01-03", "2014-01-04", "2014-01-05"}, 0}} {
		r := review(t, lunch("k-5", sameDays(q.days, big)...))
		for _, rule := range []string{"upper/grains", "upper/meats"} {
			if c, _ := find(r, "main", rule, "", ""); c.Verdict != q.want {
				t.Errorf("%s in the week of %s: %+v", rule, q.days[0], c)
			}
		}
	}
}

// To 2024-06-30, where it was enforced, 2 cups of the week came from other subgroups
// before starchy vegetables stood for fruit.
func TestNotStarchyFirst(t *testing.T) {
	potatoes, carrots := item("Potatoes", "starchy", "1"), item("Carrots", "red-orange", "1")
	const rule = "vegetables-for-fruits/not-starchy-first"
	week := func(on []string, of ...menu.Item) *menu.Review {
		return review(t, breakfast("k-5", plate(on[0], of[0]), plate(on[1], of[1]), plate(on[2], of[2])))
	}
	then := []string{"2018-09-10", "2018-09-11", "2018-09-12"}
	wants(t, week(then, carrots, potatoes, potatoes), rule, "", menu.NotMet, "1")
	wants(t, week(then, carrots, carrots, potatoes), rule, "", menu.Met, "2")
	wants(t, week(then, carrots, item("Melon", "fruits", "1"), carrots), rule, "", menu.Met, "2")
	if c, ok := find(week([]string{"2019-09-09", "2019-09-10", "2019-09-11"}, potatoes, potatoes, potatoes), "main", rule, "", ""); ok {
		t.Errorf("%+v", c)
	}
}

// Where vegetables may stand for grains, what is short of grains is not checked: how
// much of them makes an ounce equivalent was not read.
func TestVegetablesForGrains(t *testing.T) {
	yams := item("Yams", "red-orange", "1")
	for _, q := range []struct {
		place, on string
		want      menu.Verdict
	}{{"", "2026-09-14", menu.NotMet}, {"islands", "2026-09-14", menu.NotChecked}, {"islands", "2023-09-11", menu.NotChecked},
		{"since-2024", "2024-06-30", menu.NotMet}, {"since-2024", "2024-07-01", menu.NotChecked}, {"since-2024", "2024-07-02", menu.NotChecked}} {
		m := lunch("k-5", plate(q.on, yams))
		if q.place != "" {
			m.Options = map[string]string{"vegetables-for-grains": q.place}
		}
		wants(t, review(t, m), "least/grains", q.on, q.want, "0")
		m.Lines[0].Days[0] = plate(q.on, item("Milk", "milk", "1"))
		wants(t, review(t, m), "least/grains", q.on, menu.NotMet, "0")
	}
}

// A nondairy drink counts as milk with the nutrients of milk; to 2026-01-13 only for
// children for whom it was asked for.
func TestNondairyDrinks(t *testing.T) {
	soy := item("Soy drink", "milk", "1")
	drink := func(requested bool) menu.Item {
		soy.Nondairy = &menu.Nondairy{Requested: requested, Nutrients: map[string]exact.Number{"calcium": exact.Int(276), "protein": exact.Int(8), "vitamin-a": exact.Int(150), "vitamin-d": exact.MustParse("2.5"),
			"magnesium": exact.Int(24), "phosphorus": exact.Int(222), "potassium": exact.Int(349), "riboflavin": exact.MustParse("0.44"), "vitamin-b12": exact.MustParse("1.1")}}
		return soy
	}
	for _, q := range []struct {
		on                string
		requested         bool
		nondairy, milkDay menu.Verdict
	}{{"2026-01-13", false, menu.NotMet, menu.NotMet}, {"2026-01-13", true, menu.Met, menu.NotMet}, {"2026-01-14", false, menu.Met, menu.Met}, {"2026-01-15", false, menu.Met, menu.Met}} {
		r := review(t, lunch("k-5", plate(q.on, drink(q.requested))))
		wants(t, r, "milk/nondairy", q.on, q.nondairy, "")
		wants(t, r, "least/milk", q.on, q.milkDay, "")
		wants(t, r, "milk/kinds", q.on, menu.NotMet, "0") // it is no kind of milk
	}
	// The child who asked for it has milk on the tray.
	for _, q := range []struct {
		requested bool
		want      menu.Verdict
	}{{true, menu.Met}, {false, menu.NotMet}} {
		if a := tray(t, menu.Tray{Program: "school-lunch", AgeGroup: "k-5", On: date("2026-01-13"), Taken: taken(drink(q.requested), item("Pear", "fruits", "1/2"), item("Roll", "grains", "1"))}); a.Verdict != q.want {
			t.Errorf("asked for %v: %s with %v", q.requested, a.Verdict, a.Names)
		}
	}
	poor := drink(false)
	poor.Nondairy.Nutrients["protein"] = exact.Int(1)
	r := review(t, lunch("k-5", plate("2026-09-14", poor)))
	wants(t, r, "nondairy/protein", "2026-09-14", menu.NotMet, "1")
	wants(t, r, "least/milk", "2026-09-14", menu.NotMet, "0")
	delete(poor.Nondairy.Nutrients, "protein")
	wants(t, review(t, lunch("k-5", plate("2026-09-14", poor))), "milk/nondairy", "2026-09-14", menu.NotChecked, "")
	wants(t, review(t, breakfast("k-5", plate("2026-09-14", drink(false)))), "milk/nondairy", "2026-09-14", menu.NotChecked, "")
}

// Yogurt stands for the milk of adults at one meal a day, and then is no meat
// alternate.
func TestYogurtForMilk(t *testing.T) {
	yogurt := item("Yogurt", "meats", "1 1/2")
	yogurt.YogurtForMilk = exact.Int(6)
	adults := func(meal, group string, items ...menu.Item) menu.Menu {
		return menu.Menu{Program: "child-adult-care", Meal: meal, AgeGroup: group, Lines: []menu.Line{{Name: "main", Days: []menu.Day{plate("2026-09-14", items...)}}}}
	}
	r := review(t, adults("lunch", "adults", yogurt))
	wants(t, r, "least/milk", "2026-09-14", menu.Met, "1")
	wants(t, r, "least/meats", "2026-09-14", menu.NotMet, "0")
	r = review(t, adults("lunch", "ages-6-12", yogurt))
	wants(t, r, "least/milk", "2026-09-14", menu.NotMet, "0")
	days := func(menus ...menu.Menu) menu.Verdict {
		r, err := reviewer(t).CareDays(menus...)
		if err != nil {
			t.Fatal(err)
		}
		c, _ := find(r, "", "yogurt-for-milk/times-a-day", "2026-09-14", "")
		return c.Verdict
	}
	if got := days(adults("lunch", "adults", yogurt), adults("breakfast", "adults", item("Milk", "milk", "1"))); got != menu.Met {
		t.Errorf("once: %s", got)
	}
	if got := days(adults("lunch", "adults", yogurt), adults("breakfast", "adults", yogurt)); got != menu.NotMet {
		t.Errorf("twice: %s", got)
	}
	yogurt.YogurtForMilk = exact.Int(5)
	wants(t, review(t, adults("lunch", "adults", yogurt)), "least/milk", "2026-09-14", menu.NotMet, "0")
}

// Sources differ on cold cereal at summer lunch: pointed out, and not failed.
func TestColdCerealInSummer(t *testing.T) {
	cereal := item("Corn flakes", "grains", "1")
	cereal.ColdCereal = true
	for meal, want := range map[string]menu.Verdict{"breakfast": menu.Met, "lunch": menu.AtRisk} {
		m := menu.Menu{Program: "summer", Meal: meal, AgeGroup: "summer", Lines: []menu.Line{{Name: "main", Days: []menu.Day{plate("2026-07-06", cereal)}}}}
		r := review(t, m)
		if c := wants(t, r, "cereal/cold", "2026-07-06", want, ""); !c.Note {
			t.Errorf("%s: it fails the menu", meal)
		}
		wants(t, r, "least/grains", "2026-07-06", menu.Met, "1")
	}
}

// Meats/meat alternates stand for the grains of a breakfast in care three times a week.
func TestMeatsForGrainsThreeTimesAWeek(t *testing.T) {
	egg, toast := item("Egg", "meats", "1/2"), item("Toast", "grains", "1/2")
	for n, want := range map[int]menu.Verdict{0: menu.Met, 3: menu.Met, 4: menu.NotMet} {
		m := menu.Menu{Program: "child-adult-care", Meal: "breakfast", AgeGroup: "ages-3-5", Lines: []menu.Line{{Name: "main"}}}
		for i, on := range schoolWeek {
			it := toast
			if i < n {
				it = egg
			}
			m.Lines[0].Days = append(m.Lines[0].Days, plate(on, it))
		}
		if c := check(t, review(t, m), "main", "meats-for-grains/times-a-week", ""); c.Verdict != want || !c.There.Equal(exact.Int(int64(n))) {
			t.Errorf("%d times: %+v", n, c)
		}
	}
}

// One menu for two groups: the pattern of K-8 is as strict as those of K-5 and 6-8, so
// whatever amount a menu meets by it, it meets by each of them.
func TestOneMenuForTwoGroups(t *testing.T) {
	r := reviewer(t)
	met := 0
	rapid.Check(t, func(t *rapid.T) {
		m := drawWeek(t)
		for d := range m.Lines[0].Days { // and enough of everything to meet some of it
			more := item("More", "grains", "2", "meats", "2", "fruits", "1/2", "milk", "1", "dark-green", "1/2", "red-orange", "1/4", "beans-peas-lentils", "1/4", "starchy", "1/4")
			more.Planned, more.Nutrients = 100, &menu.Nutrients{Calories: exact.Int(int64(rapid.IntRange(550, 700).Draw(t, "kcal"))), Sodium: exact.Int(int64(rapid.IntRange(900, 1300).Draw(t, "mg")))}
			m.Lines[0].Days[d].Meals = 100
			m.Lines[0].Days[d].Choices = []menu.Choice{{Name: "more", Take: 1, Items: []menu.Item{more}}}
		}
		for _, program := range []string{"school-lunch", "school-breakfast"} {
			m.Program = program
			ask := func(group string) *menu.Review {
				m.AgeGroup = group
				got, err := r.Review(m)
				if err != nil {
					t.Fatal(err)
				}
				return got
			}
			wide := ask("k-8")
			for _, group := range []string{"k-5", "6-8"} {
				for _, c := range ask(group).Checks {
					w, ok := find(wide, c.Line, c.Rule, c.On.String(), c.Item)
					if !ok {
						t.Fatalf("%s of %s is not asked of k-8", c.Rule, group)
					}
					if w.Verdict == menu.Met && c.Verdict != menu.Met {
						t.Fatalf("%s on %q is met by k-8 and %s by %s", c.Rule, c.On, c.Verdict, group)
					}
					if w.Verdict == menu.Met {
						met++
					}
				}
			}
		}
	})
	if met == 0 {
		t.Error("nothing is met")
	}
}

// A meal of care that has what a meal needs is met; the rules of the day are pointed
// out until the day is asked about.
func TestMealOfCareCanBeMet(t *testing.T) {
	milk := item("Milk", "milk", "1")
	milk.Milk = &menu.Milk{Fat: "low-fat"}
	bread := item("Bread", "grains", "1/2")
	meal := careMeal("lunch", "2026-09-14", item("Chicken", "meats", "2"), bread, item("Carrots", "red-orange", "1/2"), item("Pear", "fruits", "1/2"), milk)
	r := review(t, meal)
	if r.Verdict() != menu.Met {
		t.Errorf("%s: %+v", r.Verdict(), r.Of(r.Verdict()))
	}
	if c, _ := find(r, "room", "whole-grain-rich/servings-a-day", "2026-09-14", ""); c.Verdict != menu.NotChecked || !c.Note || c.Mend == "" {
		t.Errorf("%+v", c)
	}
	bread.WholeGrainRich = true
	meal.Lines[0].Days[0] = plate("2026-09-14", item("Chicken", "meats", "2"), bread, item("Carrots", "red-orange", "1/2"), item("Pear", "fruits", "1/2"), milk)
	if c, _ := find(review(t, meal), "room", "whole-grain-rich/servings-a-day", "2026-09-14", ""); c.Verdict != menu.Met {
		t.Errorf("%+v", c)
	}
}

// A product over its limit does not credit, and the child who takes it in place of
// another is the one with least; beside another it does no harm.
func TestProductOverItsLimitInAChoice(t *testing.T) {
	added := exact.Int(13)
	sweet := item("Sweet yogurt", "meats", "1")
	sweet.Sugars = []menu.Sugars{{Product: "yogurt", Serving: exact.Int(6), Unit: "oz", Added: &added}}
	cheese := item("Cheese", "meats", "1")
	either := menu.Day{On: date("2026-09-14"), Choices: []menu.Choice{{Name: "side", Take: 1, Items: []menu.Item{sweet, cheese}}}}
	c := wants(t, review(t, lunch("k-5", either)), "least/meats", "2026-09-14", menu.NotMet, "0")
	if len(c.Taken) != 1 || c.Taken[0] != "Sweet yogurt" {
		t.Errorf("%v", c.Taken)
	}
	r := review(t, lunch("k-5", plate("2026-09-14", sweet, cheese)))
	wants(t, r, "least/meats", "2026-09-14", menu.Met, "1")
	if c := wants(t, r, "product/yogurt/added-sugars", "2026-09-14", menu.NotMet, "13"); !c.Note {
		t.Error("the limit fails the menu by itself")
	}
	// Milk is there for every child where one that credits is in the cooler.
	low, chocolate := item("Low-fat milk", "milk", "1"), item("Chocolate milk", "milk", "1")
	low.Milk, chocolate.Milk = &menu.Milk{Fat: "low-fat"}, &menu.Milk{Fat: "fat-free", Flavored: true}
	chocolate.Sugars = []menu.Sugars{{Product: "flavored-milk", Serving: exact.Int(8), Unit: "fl oz", Added: &added}}
	cooler := menu.Day{On: date("2026-09-14"), Choices: []menu.Choice{{Name: "milk", Take: 1, Items: []menu.Item{low, chocolate}}}}
	r = review(t, lunch("k-5", cooler))
	wants(t, r, "least/milk", "2026-09-14", menu.Met, "1")
	wants(t, r, "milk/kinds", "2026-09-14", menu.NotMet, "1")
}

// What is wrong with the newer fields of an item.
func TestBadSubstitutes(t *testing.T) {
	less := exact.Int(1).Neg()
	bad := menu.Item{Name: "Cup", Credits: []credit.Claim{}, Nuts: &less, YogurtForMilk: less, Milk: &menu.Milk{Fat: "whole"},
		Nondairy: &menu.Nondairy{Nutrients: map[string]exact.Number{"iron": exact.Int(1), "calcium": less}}, Nutrients: &menu.Nutrients{TransFat: &less}}
	few := item("Mix", "meats", "1")
	few.Nuts = of(exact.Int(2))
	m := lunch("k-5", plate("2026-09-14", bad, few))
	_, err := reviewer(t).Review(m)
	paths := pathsOf(t, err)
	at := "lines[0].days[0].choices[0].items[0]"
	for _, want := range []string{at + ".nuts", at + ".yogurtForMilk", at + ".nondairy", at + ".nondairy.nutrients.iron", at + ".nondairy.nutrients.calcium", at + ".nutrients.transFat", "lines[0].days[0].choices[1].items[0].nuts"} {
		if !paths[want] {
			t.Errorf("no fault at %s in %v", want, err)
		}
	}
}
