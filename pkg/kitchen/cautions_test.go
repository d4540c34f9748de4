package kitchen_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// brief writes cautions in a line a test can hold.
func brief(c *kitchen.Cautions) string {
	names := func(lines []kitchen.CautionLine) string {
		var out []string
		for _, l := range lines {
			out = append(out, l.Name)
		}
		return strings.Join(out, ", ")
	}
	var s []string
	for _, a := range c.Allergens {
		s = append(s, a.ID+": "+names(a.Lines))
	}
	for _, x := range []struct {
		head  string
		lines []kitchen.CautionLine
	}{{"not known", c.NotKnown}, {"gluten", c.Gluten.Lines}, {"ask", c.Gluten.Ask}, {"oats", c.Gluten.Oats}, {"choking", c.Choking}, {"honey", c.Honey}, {"juice", c.Juice}} {
		if len(x.lines) > 0 {
			s = append(s, x.head+": "+names(x.lines))
		}
	}
	return strings.Join(s, "\n")
}

func TestCautions(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		name           string
		program, group string
		lines          []recipe.Ingredient
		want           []string
	}{
		{"each allergen with what brings it, in order", "school-lunch", "k-5", []recipe.Ingredient{line(t, "tahini", "1 cup"), line(t, "whole-wheat-flour", "1 lb"), line(t, "eggs-large", "4 each"), line(t, "cheddar", "1 lb"), line(t, "butter", "1 cup")},
			[]string{"milk: cheddar cheese, butter", "eggs: eggs, large, in shell", "wheat: whole wheat flour", "sesame: tahini", "gluten: whole wheat flour"}},
		{"plain foods", "school-lunch", "", []recipe.Ingredient{line(t, "brown-rice-long", "1 lb"), line(t, "salt", "1 tsp")}, nil},
		{"gluten without wheat", "school-lunch", "", []recipe.Ingredient{line(t, "barley-flour-whole", "1 lb")}, []string{"gluten: barley flour, whole"}},
		{"oats are asked about, and their allergens", "school-lunch", "", []recipe.Ingredient{line(t, "oat-flour-whole", "1 lb")},
			[]string{"not known: oat flour, whole", "ask: oat flour, whole", "oats: oat flour, whole"}},
		{"what makers make otherwise is not known", "school-lunch", "", []recipe.Ingredient{line(t, "bread-whole-wheat", "1 lb"), line(t, "mayonnaise", "1 cup"), line(t, "margarine", "1 cup")},
			[]string{"eggs: mayonnaise", "wheat: bread, whole wheat", "not known: bread, whole wheat, mayonnaise, margarine", "gluten: bread, whole wheat", "ask: mayonnaise, margarine"}},
		{"what is left out of the credit is in the dish", "school-lunch", "", []recipe.Ingredient{{Food: "walnuts", Quantity: quantity(t, "1 cup"), NotCrediting: true}}, []string{"tree-nuts: walnuts"}},
		{"choking under 4", "child-adult-care", "ages-3-5", []recipe.Ingredient{{Food: "grapes-fresh", State: "raw", Quantity: quantity(t, "2 lb")}, line(t, "sunflower-seeds", "1 lb"), line(t, "honey", "1 cup")},
			[]string{"choking: grapes, seedless, fresh, sunflower seeds, shelled"}},
		{"not from 6 years on", "child-adult-care", "ages-6-12", []recipe.Ingredient{{Food: "grapes-fresh", State: "raw", Quantity: quantity(t, "2 lb")}, line(t, "honey", "1 cup")}, nil},
		{"no group is any age", "child-adult-care", "", []recipe.Ingredient{line(t, "raisins", "2 lb"), line(t, "honey", "1 cup")},
			[]string{"choking: raisins", "honey: honey"}},
		{"infants", "child-adult-care", "months-6-11", []recipe.Ingredient{line(t, "honey", "1 cup"), line(t, "apple-juice", "1 gal"), line(t, "popcorn", "1 lb")},
			[]string{"not known: popcorn, popped", "choking: popcorn, popped", "honey: honey", "juice: apple juice, 100 percent"}},
		{"grades", "school-lunch", "9-12", []recipe.Ingredient{line(t, "raisins", "2 lb"), line(t, "honey", "1 cup")}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := b.Cautions(credit.Request{Recipe: &recipe.Recipe{Name: "Creek dish", Servings: 10, ExhibitAGroup: "D", Ingredients: c.lines}, On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: c.program, AgeGroup: c.group})
			if err != nil {
				t.Fatal(err)
			}
			if s := brief(got); s != strings.Join(c.want, "\n") {
				t.Errorf("got\n%s\nwant\n%s", s, strings.Join(c.want, "\n"))
			}
		})
	}
}

// Sub-recipes and products are gone through too.
func TestCautionsWithin(t *testing.T) {
	b := newBench(t)
	req := stew(t).Request
	req.SubRecipes[0].Ingredients = append(req.SubRecipes[0].Ingredients, line(t, "cheddar", "1 lb"))
	c, err := b.Cautions(req)
	if err != nil {
		t.Fatal(err)
	}
	want := "milk: cheddar cheese\nwheat: whole wheat flour\nnot known: Creek roll, chocolate chips\ngluten: whole wheat flour\nask: Creek roll, chocolate chips"
	if s := brief(c); s != want {
		t.Errorf("got\n%s\nwant\n%s", s, want)
	}
	if l := c.Allergens[0].Lines[0]; l.Path != "subRecipes[0].ingredients[2]" || l.PartOf != "Red sauce" {
		t.Errorf("cheddar stands at %+v", l)
	}
	// A product by itself: nothing is known of it.
	alone := credit.Request{Product: &req.Products[0], On: req.On, Program: req.Program}
	if c, err = b.Cautions(alone); err != nil || brief(c) != "not known: Creek roll\nask: Creek roll" {
		t.Errorf("a product alone: %v\n%s", err, brief(c))
	}
	// Nor of what is no food of the catalog, whatever else it says.
	if c = kitchen.CautionsOf(&credit.Record{Ingredients: []credit.Line{{Food: &food.Food{Name: "Mix", Gluten: "none-listed"}}}}); brief(c) != "not known: Mix" {
		t.Errorf("what has no entry is taken for known: %s", brief(c))
	}
	_, err = b.Cautions(credit.Request{Recipe: &recipe.Recipe{}})
	if l, ok := err.(*fault.List); !ok || len(l.Faults) < 2 {
		t.Errorf("an empty recipe: %v", err)
	}
}

// No food of the catalog is ever without its allergens, or said to be free of
// gluten that its entry has.
func TestCautionsMissNothing(t *testing.T) {
	b := newBench(t)
	for _, f := range b.engine.Catalog().Foods() {
		rec := &credit.Record{Name: "One", Ingredients: []credit.Line{{Food: f}}}
		c := kitchen.CautionsOf(rec)
		if got := c.Listed(); !slices.Equal(got, f.Contains.Names()) {
			t.Errorf("%s: %v, the catalog has %v", f.ID, got, f.Contains.Names())
		}
		if c.Gluten.Listed != (f.Gluten == "contains") || (len(c.Gluten.Ask) == 1) != (f.Gluten == "ask") {
			t.Errorf("%s: gluten %+v, the catalog says %s", f.ID, c.Gluten, f.Gluten)
		}
		if f.Gluten == "ask" && len(c.NotKnown) == 0 || f.Traits.Has(food.NeedsPapers) && len(c.NotKnown) == 0 {
			t.Errorf("%s is taken for known", f.ID)
		}
		if strings.HasPrefix(f.ID, "oat") && f.ID != "oat-fiber" && len(c.Gluten.Oats) == 0 {
			t.Errorf("%s is not said to be oats", f.ID)
		}
	}
}

func week(t *testing.T) *menu.Menu {
	t.Helper()
	bowl := &recipe.Recipe{Name: "Grape bowl", Servings: 20, Ingredients: []recipe.Ingredient{{Food: "grapes-fresh", State: "raw", Quantity: quantity(t, "4 lb")}, line(t, "yogurt-plain-low-fat", "5 lb"), line(t, "honey", "1 cup")}}
	item := func(name string, r *recipe.Recipe) menu.Choice {
		return menu.Choice{Name: name, Take: 1, Items: []menu.Item{{Name: name, Recipe: r}}}
	}
	monday, tuesday := rules.Date{Year: 2026, Month: 9, Day: 14}, rules.Date{Year: 2026, Month: 9, Day: 15}
	return &menu.Menu{Program: "child-adult-care", Meal: "breakfast", AgeGroup: "ages-3-5", Site: "Creek House", Lines: []menu.Line{{Days: []menu.Day{
		{On: monday, Choices: []menu.Choice{item("Grape bowl", bowl), {Name: "Milk", Take: 1, Items: []menu.Item{{Name: "Low-fat milk", Milk: &menu.Milk{Fat: "low-fat"}}}}, item("Soup of the day", nil)}},
		{On: tuesday, Choices: []menu.Choice{item("Grape bowl", bowl), item("Toast", &recipe.Recipe{Name: "Toast", Servings: 20, Ingredients: []recipe.Ingredient{line(t, "bread-whole-wheat", "2 lb")}})}},
	}}}}
}

func TestMenuCautions(t *testing.T) {
	b := newBench(t)
	c, err := b.MenuCautions(week(t))
	if err != nil {
		t.Fatal(err)
	}
	want := "milk: yogurt, plain, low fat, Low-fat milk\nwheat: bread, whole wheat\nnot known: bread, whole wheat\ngluten: bread, whole wheat\nchoking: grapes, seedless, fresh"
	if s := brief(&c.Cautions); s != want {
		t.Errorf("got\n%s\nwant\n%s", s, want)
	}
	unread := fmt.Sprint(len(c.Unread))
	for _, l := range c.Unread {
		unread += ", " + l.Name
	}
	if unread != "2, Low-fat milk, Soup of the day" {
		t.Errorf("unread %s", unread)
	}
	l := c.Choking[0]
	if l.Item != "Grape bowl" || l.On.Day != 14 || l.Path != "lines[0].days[0].choices[0].items[0].recipe.ingredients[0]" {
		t.Errorf("grapes stand at %+v", l)
	}
	if _, err := b.MenuCautions(nil); err == nil {
		t.Error("no menu is no answer")
	}
	bad := week(t)
	bad.Lines[0].Days[1].Choices[1].Items[0].Recipe.Ingredients[0].Food = "bred"
	_, err = b.MenuCautions(bad)
	if f, ok := err.(*fault.List); !ok || len(f.Faults) != 1 || f.Faults[0].Path != "lines[0].days[1].choices[1].items[0].recipe.ingredients[0].food" {
		t.Errorf("an unknown food: %v", err)
	}
}

// TestCautionsRefuseOtherGroups: an age group the program does not have is refused
// with all else that is wrong, and never taken for one where nothing matters.
func TestCautionsRefuseOtherGroups(t *testing.T) {
	b := newBench(t)
	day := rules.Date{Year: 2026, Month: 9, Day: 14}
	for _, c := range []struct{ program, group, want string }{
		{"child-adult-care", "infants", "UNKNOWN_VALUE ageGroup"},
		{"child-adult-care", "k-5", "UNKNOWN_VALUE ageGroup"},
		{"preschool", "k-5", "UNKNOWN_VALUE ageGroup"},
		{"school-lunch", "months-6-11", "UNKNOWN_VALUE ageGroup"},
		{"school-lunch", "K-5", "UNKNOWN_VALUE ageGroup"},
		{"creek-lunch", "k-5", "UNKNOWN_PROGRAM program"},
		{"preschool", "months-6-11", ""},
		{"summer", "summer", ""},
		{"school-breakfast", "k-12", ""},
	} {
		req := credit.Request{Recipe: &recipe.Recipe{Name: "Creek dish", Servings: 10, Ingredients: []recipe.Ingredient{line(t, "raisins", "2 lb"), line(t, "honey", "1 cup")}}, On: day, Program: c.program, AgeGroup: c.group}
		_, err := b.Cautions(req)
		_, swapped := b.Compare(kitchen.CompareRequest{Request: req, Swaps: []kitchen.Swap{{Path: "0", Food: "dates-dried", Keep: kitchen.SameWeight}}})
		for door, err := range map[string]error{"cautions": err, "compare": swapped} {
			got := ""
			if l, ok := err.(*fault.List); ok {
				for _, f := range l.Faults {
					got += string(f.Reason) + " " + f.Path
				}
			}
			if got != c.want {
				t.Errorf("%s of %s for %s: %q, want %q", door, c.program, c.group, got, c.want)
			}
		}
		m := lunchMenu(c.program, c.group)
		if c.program == "creek-lunch" {
			continue // what a menu says of its program is held by its own tests
		}
		_, err = b.MenuCautions(m)
		if l, ok := err.(*fault.List); ok != (c.want != "") || ok && l.Faults[0].Path != "ageGroup" {
			t.Errorf("menu of %s for %s: %v", c.program, c.group, err)
		}
	}
	// At once with what else is wrong.
	_, err := b.Cautions(credit.Request{Recipe: &recipe.Recipe{Name: "Creek dish", Servings: 10, Ingredients: []recipe.Ingredient{line(t, "raisin", "2 lb")}}, On: day, Program: "preschool", AgeGroup: "k-5"})
	if l, ok := err.(*fault.List); !ok || len(l.Faults) != 2 {
		t.Errorf("%v, want two faults", err)
	}
}

// lunchMenu is a menu of one day with an item of which no foods are given.
func lunchMenu(program, group string) *menu.Menu {
	return &menu.Menu{Program: program, Meal: "lunch", AgeGroup: group, Lines: []menu.Line{{Days: []menu.Day{{On: rules.Date{Year: 2026, Month: 9, Day: 14}, Choices: []menu.Choice{{Items: []menu.Item{{Name: "Soup"}}}}}}}}}
}
