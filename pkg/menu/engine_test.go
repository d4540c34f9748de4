package menu_test

import (
	"fmt"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

func amount(text string) measure.Quantity {
	q, err := measure.Parse(text)
	if err != nil {
		panic(err)
	}
	return q
}

// dish is a recipe of one food.
func dish(name string, servings int, in ...recipe.Ingredient) menu.Item {
	return menu.Item{Name: name, Recipe: &recipe.Recipe{Name: name, Servings: servings, Ingredients: in}}
}

// Items that are recipes are credited by the engine under the rules of their day.
func TestItemsCreditedByTheEngine(t *testing.T) {
	biscuit := dish("Biscuit", 40, recipe.Ingredient{Food: "whole-wheat-flour", Quantity: amount("2 lb 4 oz")})
	biscuit.Recipe.ExhibitAGroup = "B"
	beans := dish("Bean pot", 50, recipe.Ingredient{Food: "black-beans-canned", Quantity: amount("3 can no. 10"), State: "heated", CreditAs: "meats"})
	carrots := dish("Carrots", 50, recipe.Ingredient{Food: "carrots-frozen", Quantity: amount("12 lb")})
	r, err := reviewer(t).Review(lunch("k-5", sameDays(schoolWeek[:3], biscuit, beans, carrots)...))
	if err != nil {
		t.Fatal(err)
	}
	wants(t, r, "least/grains", schoolWeek[0], menu.Met, "1 1/2")
	wants(t, r, "least/grains", "", menu.NotMet, "4 1/2")
	wants(t, r, "whole-grain-rich/share-least", "", menu.Met, "4 1/2")
	meats := wants(t, r, "least/meats", schoolWeek[0], menu.Met, "")
	cups := check(t, r, "main", "least/vegetables/beans-peas-lentils", "")
	if cups.Verdict != menu.Met || meats.There.Sign() == 0 {
		t.Errorf("beans as meat alternate: %+v, %+v", meats, cups)
	}
	for _, c := range r.Checks {
		if c.Rule == "least/vegetables" && c.On.IsZero() && len(c.Taken) > 0 {
			t.Errorf("%v", c.Taken)
		}
	}
}

// A bought product without its papers does not pass silently.
func TestProductWithoutPapers(t *testing.T) {
	nuggets := menu.Item{Name: "Roll", Product: &credit.Product{Name: "Roll", Weight: amount("2 oz"), ExhibitAGroup: "B"}}
	r := review(t, lunch("k-5", plate("2026-09-14", nuggets)))
	rec, err := engineOf(t).Credit(credit.Request{Product: nuggets.Product, On: date("2026-09-14"), Program: "school-lunch"})
	if err != nil {
		t.Fatal(err)
	}
	c, _ := rec.Credit(food.Grains)
	want := menu.Met
	if c.Claimable.Less(exact.Int(1)) {
		want = menu.AtRisk
	}
	wants(t, r, "least/grains", "2026-09-14", want, c.Credited.Fraction())
}

func engineOf(t testing.TB) *credit.Engine {
	t.Helper()
	rs, err := rules.Default()
	if err != nil {
		t.Fatal(err)
	}
	cat, err := food.Default()
	if err != nil {
		t.Fatal(err)
	}
	return credit.New(rs, cat)
}

// weekOfRecipes is a school week with two lunches to choose from, four recipes
// beside them and as many groups of choices.
func weekOfRecipes() menu.Menu {
	var days []menu.Day
	for i, on := range schoolWeek {
		name := func(s string) string { return fmt.Sprint(s, " ", i) }
		roll := func(n string, oz string) menu.Item {
			it := dish(name(n), 40, recipe.Ingredient{Food: "whole-wheat-flour", Quantity: amount(oz)}, recipe.Ingredient{Food: "black-beans-canned", Quantity: amount("2 can no. 10"), State: "heated", CreditAs: "meats"})
			it.Recipe.ExhibitAGroup = "B"
			return it
		}
		veg := func(n, lb string) menu.Item {
			return dish(name(n), 50, recipe.Ingredient{Food: "carrots-frozen", Quantity: amount(lb)})
		}
		days = append(days, menu.Day{On: date(on), Choices: []menu.Choice{
			{Name: "entree", Take: 1, MainDish: true, Items: []menu.Item{roll("Roll", "2 lb 4 oz"), roll("Large roll", "3 lb")}},
			{Name: "vegetables", Take: 2, Same: menu.NotAllowed, Items: []menu.Item{veg("Carrots", "12 lb"), veg("Glazed carrots", "11 lb"), veg("Carrot salad", "10 lb")}},
			{Name: "more", Take: 1, Items: []menu.Item{veg("Soup", "6 lb")}},
		}})
	}
	return lunch("k-5", days...)
}

// A review costs little beside crediting the same items.
func BenchmarkReview(b *testing.B) {
	m := weekOfRecipes()
	r := reviewer(b)
	b.Run("review", func(b *testing.B) {
		for b.Loop() {
			if _, err := r.Review(m); err != nil {
				b.Fatal(err)
			}
		}
	})
	eng := engineOf(b)
	b.Run("crediting", func(b *testing.B) {
		for b.Loop() {
			for _, d := range m.Lines[0].Days {
				for _, c := range d.Choices {
					for _, it := range c.Items {
						if _, err := eng.Credit(credit.Request{Recipe: it.Recipe, On: d.On, Program: "school-lunch"}); err != nil {
							b.Fatal(err)
						}
					}
				}
			}
		}
	})
}
