package menu_test

import (
	"fmt"
	"testing"
	"time"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// mostOfCrediting is how many times the cost of crediting its items a review may
// come to.
const mostOfCrediting = 5

// yearDishes are the offerings of a cafeteria, by what they bring; portions
// differ by the servings a batch makes.
func yearDishes(group string, cycle int) map[string][]menu.Item {
	more := map[string]int{"k-5": 10, "6-8": 5, "k-8": 5, "9-12": 0}[group]
	dish := func(name string, servings int, nutrients int64, in ...recipe.Ingredient) menu.Item {
		name = fmt.Sprint(name, " ", cycle)
		return menu.Item{Name: name, Planned: 100, WholeGrainRich: true,
			Nutrients: &menu.Nutrients{Calories: exact.Int(nutrients), Sodium: exact.Int(nutrients), SaturatedFat: exact.Int(1), AddedSugars: exact.Int(1)},
			Recipe:    &recipe.Recipe{Name: name, Servings: servings + more + cycle%3, Ingredients: in}}
	}
	of := func(food, quantity, state, as string) recipe.Ingredient {
		return recipe.Ingredient{Food: food, Quantity: amount(quantity), State: state, CreditAs: as}
	}
	flour := of("whole-wheat-flour", "2 lb 8 oz", "", "")
	beans := of("black-beans-canned", "3 can no. 10", "heated", "meats")
	carrots := of("carrots-frozen", "12 lb", "", "")
	legumes := of("black-beans-canned", "2 can no. 10", "heated", "vegetables")
	grain := func(it menu.Item) menu.Item { it.Recipe.ExhibitAGroup = "B"; return it }
	milk := func(name, fat string, flavored bool) menu.Item {
		it := item(name, "milk", "1")
		it.Milk, it.Planned, it.Nutrients = &menu.Milk{Fat: fat, Flavored: flavored}, 50, &menu.Nutrients{Calories: exact.Int(100), Sodium: exact.Int(100)}
		return it
	}
	return map[string][]menu.Item{
		"entree":     {grain(dish("Bean burrito", 40, 300, flour, beans)), grain(dish("Bean pie", 42, 320, flour, beans, carrots)), grain(dish("Bean wrap", 44, 310, flour, beans, carrots))},
		"grain":      {grain(dish("Roll", 50, 90, flour)), grain(dish("Flatbread", 48, 95, flour))},
		"vegetables": {dish("Carrots", 50, 40, carrots), dish("Bean salad", 50, 60, legumes), dish("Carrots and beans", 50, 50, carrots, legumes)},
		"soup":       {dish("Bean soup", 60, 80, legumes, carrots), dish("Carrot soup", 60, 70, carrots)},
		"fruit":      {item("Apple", "fruits", "1/2"), item("Pear", "fruits", "1/2")},
		"milk":       {milk("Low-fat milk", "low-fat", false), milk("Fat-free chocolate milk", "fat-free", true)},
	}
}

var yearOrder = []string{"entree", "grain", "vegetables", "soup", "fruit", "milk"}

// yearMenus are 36 school weeks of lunch and breakfast for four groups: on each day
// six offerings, with choices, of a cycle of three weeks.
func yearMenus() []menu.Menu {
	var out []menu.Menu
	for _, meal := range []string{"school-lunch", "school-breakfast"} {
		for _, group := range []string{"k-5", "6-8", "k-8", "9-12"} {
			on := date("2026-08-17")
			var cycle []map[string][]menu.Item
			for i := range 15 {
				cycle = append(cycle, yearDishes(group, i))
			}
			for w := range 36 {
				l := menu.Line{Name: "main"}
				for d := range 5 {
					day := menu.Day{On: on, Meals: 100}
					dishes := cycle[(w*5+d)%len(cycle)]
					for i, name := range yearOrder {
						c := menu.Choice{Name: name, Take: 1, MainDish: i == 0, Items: dishes[name]}
						if name == "vegetables" {
							c.Take, c.Same = 2, menu.NotAllowed
						}
						for k := range c.Items {
							c.Items[k].Planned = 100 * c.Take / len(c.Items)
						}
						day.Choices = append(day.Choices, c)
					}
					l.Days = append(l.Days, day)
					on = on.Next()
				}
				on = on.Next().Next()
				out = append(out, menu.Menu{Program: meal, AgeGroup: group, Lines: []menu.Line{l}})
			}
		}
	}
	return out
}

// reviewAll and creditAll do the two halves of the comparison.
func reviewAll(tb testing.TB, r *menu.Reviewer, menus []menu.Menu) (checks int) {
	for i := range menus {
		got, err := r.Review(menus[i])
		if err != nil {
			tb.Fatal(err)
		}
		checks += len(got.Checks)
	}
	return checks
}

func creditAll(tb testing.TB, e *credit.Engine, menus []menu.Menu) (items int) {
	for i := range menus {
		m := &menus[i]
		for _, d := range m.Lines[0].Days {
			for _, c := range d.Choices {
				for _, it := range c.Items {
					if it.Recipe == nil {
						continue
					}
					items++
					if _, err := e.Credit(credit.Request{Recipe: it.Recipe, On: d.On, Program: m.Program, AgeGroup: m.AgeGroup}); err != nil {
						tb.Fatal(err)
					}
				}
			}
		}
	}
	return items
}

// BenchmarkReviewOfAYear reviews a school year of 180 days, four groups and two
// meals, and credits the same items bare, in turns; it fails when the review
// costs more than five times as much. `times` is the ratio.
func BenchmarkReviewOfAYear(b *testing.B) {
	menus, r, e := yearMenus(), reviewer(b), engineOf(b)
	days := make(map[rules.Date]bool)
	for i := range menus {
		for _, d := range menus[i].Lines[0].Days {
			days[d.On] = true
		}
	}
	if len(days) != 180 {
		b.Fatalf("a year of %d days", len(days))
	}
	var reviewing, crediting time.Duration
	checks, items := reviewAll(b, r, menus), creditAll(b, e, menus) // and what is cached is
	for b.Loop() {
		for i := range menus { // week by week, so that a busy machine slows both alike
			start := time.Now()
			reviewAll(b, r, menus[i:i+1])
			reviewing += time.Since(start)
			start = time.Now()
			creditAll(b, e, menus[i:i+1])
			crediting += time.Since(start)
		}
	}
	times := float64(reviewing) / float64(crediting)
	b.ReportMetric(times, "times")
	b.ReportMetric(float64(reviewing.Milliseconds())/float64(b.N), "ms-review")
	b.ReportMetric(float64(crediting.Milliseconds())/float64(b.N), "ms-credit")
	b.ReportMetric(float64(checks), "checks")
	b.ReportMetric(float64(items), "credits")
	if times > mostOfCrediting {
		b.Errorf("a review costs %.1f times as much as crediting its items, more than %d", times, mostOfCrediting)
	}
}
