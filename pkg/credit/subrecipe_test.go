package credit_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"
)

// sauce is a sub-recipe of 40 oz of cheddar: 40 oz eq in 40 servings, 10 lb or
// 2 gal.
func (d *desk) sauce() recipe.Recipe {
	d.Helper()
	return recipe.Recipe{ID: "sauce", Name: "Cheese sauce", Servings: 40, BatchWeight: d.q("10 lb"), BatchMeasure: d.q("2 gal"),
		Ingredients: []recipe.Ingredient{d.in("cheddar", "40 oz"), d.in("salt", "1 Tbsp")}}
}

// with adds sub-recipes to a request.
func (d *desk) with(req credit.Request, subs ...recipe.Recipe) credit.Request {
	req.SubRecipes = subs
	return req
}

func TestSubRecipeAmounts(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ quantity, want string }{
		// For 12 servings, of 40 oz eq in the whole batch.
		{"4 lb 8 oz", "1 1/2"},      // 4.5/10 x 40 = 18; / 12 = 1.5
		{"4 lb 7.9 oz", "1 1/4"},    // a hair less
		{"3 qt", "1 1/4"},           // 3/8 x 40 = 15; / 12 = 1.25
		{"24 scoop no. 8", "1 1/4"}, // 24 x 1/2 cup = 12 of 32 cups, the same
		{"30 each", "2 1/2"},        // 30/40 x 40 = 30; / 12 = 2.5
		{"2 dozen", "2"},            // 24/40 x 40 = 24; / 12 = 2
		{"20 lb", "6 1/2"},          // two batches: 80 / 12 = 6.667
		{"2267.96185 g", "1 1/2"},   // 5 lb = 5 x 453.59237 g: 20 / 12 = 1.667
	} {
		t.Run(c.quantity, func(t *testing.T) {
			t.Parallel()
			d := newDesk(t)
			d.gives(d.with(d.ask(12, d.sub("sauce", c.quantity)), d.sauce()), "meats "+c.want+" documented")
		})
	}
}

func TestSubRecipeScalesExactly(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// .7 of 2.1 lb of a batch with 3 oz: 3 x .7 / 2.1 = 1 exactly. In float64 it is
	// below 1, and would step down to 3/4.
	base := recipe.Recipe{ID: "base", Name: "Base", Servings: 1, BatchWeight: d.q("2.1 lb"), Ingredients: []recipe.Ingredient{d.in("cheddar", "3 oz")}}
	d.gives(d.with(d.ask(1, d.sub("base", "0.7 lb")), base), "meats 1 documented")
	// 1/3 of a third, nine times over: 9 oz x 1/3 x 1/3 = 1 oz.
	inner := recipe.Recipe{ID: "inner", Name: "Inner", Servings: 3, Ingredients: []recipe.Ingredient{d.in("cheddar", "9 oz")}}
	outer := recipe.Recipe{ID: "outer", Name: "Outer", Servings: 3, Ingredients: []recipe.Ingredient{d.sub("inner", "1 each")}}
	d.gives(d.with(d.ask(1, d.sub("outer", "1 each")), inner, outer), "meats 1 documented")
	// The lines stand in the record with their own amounts and where they came from.
	rec := d.gives(d.with(d.ask(12, d.in("eggs-large", "3 each"), d.sub("sauce", "5 lb")), d.sauce()), "meats 2 documented") // (6 + 20) / 12 = 2.17
	var lines []string
	for i := range rec.Ingredients {
		l := &rec.Ingredients[i]
		n, _ := l.Quantity.In(l.Quantity.Unit())
		lines = append(lines, fmt.Sprint(l.Path(), " ", l.Food.ID, " ", n.Fraction(), " ", l.Quantity.Unit().ID))
	}
	want := []string{"recipe.ingredients[0] eggs-large 3 each", "subRecipes[0].ingredients[0] cheddar 20 oz", "subRecipes[0].ingredients[1] salt 1/32 cup"}
	if !slices.Equal(lines, want) {
		t.Errorf("lines %q, want %q", lines, want)
	}
}

func TestSubRecipeRoundsDownOnce(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// Three fillings with 5 oz eq each for 12: 15/12 = 1.25. Rounded down by
	// themselves they would give 3 x 1/4 = 3/4.
	var in []recipe.Ingredient
	var subs []recipe.Recipe
	for _, id := range []string{"one", "two", "three"} {
		in = append(in, d.sub(id, "10 each"))
		subs = append(subs, recipe.Recipe{ID: id, Name: id, Servings: 20, Ingredients: []recipe.Ingredient{d.in("cheddar", "10 oz")}})
	}
	d.gives(d.with(d.ask(12, in...), subs...), "meats 1 1/4 documented")
}

func TestSubRecipeNests(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// Each level takes half of the next: 64 oz, so five levels give
	// 64 x (1/2)^5 = 2.
	chain := func(n int) []recipe.Recipe {
		subs := make([]recipe.Recipe, n)
		for i := range subs {
			subs[i] = recipe.Recipe{ID: fmt.Sprint("level-", i), Name: "Level", Servings: 2, Ingredients: []recipe.Ingredient{d.sub(fmt.Sprint("level-", i+1), "1 each")}}
		}
		subs[n-1].Ingredients[0] = d.in("cheddar", "64 oz")
		return subs
	}
	req := d.ask(1, d.sub("level-0", "1 each"))
	d.gives(d.with(req, chain(2)...), "meats 16 documented")
	d.gives(d.with(req, chain(5)...), "meats 2 documented")
	d.refuses(d.with(req, chain(6)...), "TOO_DEEP subRecipes[4].ingredients[0].subRecipe")
}

func TestSubRecipeRefusals(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	bare := recipe.Recipe{ID: "bare", Name: "Bare", Servings: 10, Ingredients: []recipe.Ingredient{d.in("cheddar", "10 oz")}}
	d.refuses(d.with(d.ask(1, d.sub("bare", "1 lb"), d.sub("bare", "1 qt"), d.sub("bare", "1 can no. 10")), bare),
		"UNIT_DOES_NOT_FIT recipe.ingredients[0].quantity", "UNIT_DOES_NOT_FIT recipe.ingredients[1].quantity", "UNIT_DOES_NOT_FIT recipe.ingredients[2].quantity")
	d.refuses(d.ask(1, d.sub("nowhere", "1 each")), "UNKNOWN_VALUE recipe.ingredients[0].subRecipe")
	// A circle of one and of two.
	self := bare
	self.Ingredients = []recipe.Ingredient{d.in("cheddar", "1 oz"), d.sub("bare", "1 each")}
	d.refuses(d.with(d.ask(1, d.sub("bare", "1 each")), self), "CONFLICTING subRecipes[0].ingredients[1].subRecipe")
	a := recipe.Recipe{ID: "a", Name: "A", Servings: 1, Ingredients: []recipe.Ingredient{d.sub("b", "1 each")}}
	b := recipe.Recipe{ID: "b", Name: "B", Servings: 1, Ingredients: []recipe.Ingredient{d.in("cheddar", "1 oz"), d.sub("a", "1 each")}}
	d.refuses(d.with(d.ask(1, d.sub("a", "1 each")), a, b), "CONFLICTING subRecipes[1].ingredients[1].subRecipe")
	// Twice on the same level is no circle: 2 x 1/10 x 10 oz = 2.
	d.gives(d.with(d.ask(1, d.sub("bare", "1 each"), d.sub("bare", "1 each")), bare), "meats 2 documented")
	// A food, a sub-recipe and a product are one each.
	both := d.sub("bare", "1 each")
	both.Food = "cheddar"
	d.refuses(d.with(d.ask(1, both), bare), "CONFLICTING recipe.ingredients[0].food")
	// Shape.
	d.refuses(d.with(d.ask(1, d.in("cheddar", "1 oz")), recipe.Recipe{}, bare, bare),
		"MISSING subRecipes[0].name", "MISSING subRecipes[0].servings", "MISSING subRecipes[0].ingredients", "MISSING subRecipes[0].id", "CONFLICTING subRecipes[2].id")
	odd := bare
	odd.BatchWeight, odd.BatchMeasure = d.q("1 qt"), d.q("1 lb")
	d.refuses(d.with(d.ask(1, d.in("cheddar", "1 oz")), odd), "UNIT_DOES_NOT_FIT subRecipes[0].batchWeight", "UNIT_DOES_NOT_FIT subRecipes[0].batchMeasure")
	d.refuses(d.with(d.ask(1, d.in("cheddar", "1 oz")), make([]recipe.Recipe, credit.MaxSubRecipes+1)...), "TOO_MANY subRecipes")
	// What is wrong inside is told where it stands, once for each use.
	bad := bare
	bad.Ingredients = []recipe.Ingredient{d.in("cheddar", "1 oz"), d.in("chedar", "1 oz")}
	d.refuses(d.with(d.ask(1, d.sub("bare", "1 each")), bad), "UNKNOWN_FOOD subRecipes[0].ingredients[1].food")
}

func TestSubRecipeLineBound(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	lines := func(id, food string, n int) recipe.Recipe {
		r := recipe.Recipe{ID: id, Name: id, Servings: 1}
		for range n {
			r.Ingredients = append(r.Ingredients, d.in(food, "1 oz"))
		}
		return r
	}
	// 250 lines of cheddar twice are 500 lines, 500 oz: 500/100 = 5.
	d.gives(d.with(d.ask(100, d.sub("half", "1 each"), d.sub("half", "1 each")), lines("half", "cheddar", 250)), "meats 5 documented")
	// One more is one too many, whether it credits or not.
	for _, food := range []string{"cheddar", "salt"} {
		d.refuses(d.with(d.ask(100, d.sub("half", "1 each"), d.in(food, "1 oz"), d.sub("half", "1 each")), lines("half", food, 250)), "TOO_MANY recipe.ingredients[2].subRecipe")
	}
	// Lines that credit nothing count as they multiply: 100 x 100 x 100 of salt,
	// refused before any of it is worked out.
	wide := func(id, inner string) recipe.Recipe {
		r := recipe.Recipe{ID: id, Name: id, Servings: 1}
		for range 100 {
			r.Ingredients = append(r.Ingredients, d.sub(inner, "1 each"))
		}
		return r
	}
	d.refuses(d.with(d.ask(1, d.sub("a", "1 each")), wide("a", "b"), wide("b", "c"), lines("c", "salt", 100)), "TOO_MANY recipe.ingredients[0].subRecipe")
}

func TestSubRecipeLeftOut(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	req := d.with(d.ask(12, d.in("eggs-large", "12 each"), d.sub("sauce", "20 each")), d.sauce())
	d.gives(req, "meats 3 1/2 documented") // (24 + 20) / 12 = 3.67
	req.Recipe.Ingredients[1].NotCrediting = true
	rec := d.gives(req, "meats 2 documented") // 24 / 12
	// What is in it is still in the dish: the milk of the cheese stays among the
	// allergens.
	f := findings(rec, credit.AllergensListed)
	if len(f) != 1 || !slices.Contains(f[0].Words, "milk") || !slices.Contains(f[0].Words, "eggs") {
		t.Errorf("allergens %+v, want milk and eggs", f)
	}
	for i := range rec.Ingredients {
		if l := &rec.Ingredients[i]; l.Food.ID == "cheddar" && (l.Reason == "" || !l.Credit.IsZero()) {
			t.Errorf("the cheddar left out stands as %+v", l)
		}
	}
	// Left out inside a sub-recipe.
	req.Recipe.Ingredients[1].NotCrediting = false
	sauce := d.sauce()
	sauce.Ingredients[0].NotCrediting = true
	d.gives(d.with(req, sauce), "meats 2 documented")
}

func TestSubRecipeShareAndHidden(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// The whole of a breading with 640 g of flour, .6 of which adheres: 384 g on 24
	// pieces: 16 g each: 1.
	breading := recipe.Recipe{ID: "breading", Name: "Breading", Servings: 40, Ingredients: []recipe.Ingredient{d.in("flour-all-purpose-enriched", "640 g")}}
	in := d.sub("breading", "40 each")
	in.Share = exact.MustParse("0.6")
	rec := d.gives(d.with(d.ask(24, in), breading), "grains 1 documented")
	d.finds(rec, credit.ShareGiven)
	if s := report.FindingText(rec, &findings(rec, credit.ShareGiven)[0]); !strings.HasPrefix(s, "Breading: the request says that 3/5 of it") {
		t.Errorf("the share is told as %q", s)
	}
	in.Share = exact.MustParse("0.59")
	d.gives(d.with(d.ask(24, in), breading), "grains 3/4 documented") // .9833
	// A share inside the sub-recipe counts with the one outside: .6 x .5 = .3:
	// 640 x .3 = 192 g / 24 = 8 g: 1/2.
	in.Share = exact.MustParse("0.6")
	breading.Ingredients[0].Share = exact.Frac(1, 2)
	rec = d.gives(d.with(d.ask(24, in), breading), "grains 1/2 documented")
	d.finds(rec, credit.ShareGiven, credit.ShareGiven) // one of the breading, one of its flour
}

func TestSubRecipeGroup(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// 28 g of oats each: baked in 28/16 = 1.75, cooked 28/28 = 1. The group of the
	// sub-recipe goes before the dish's, that of the ingredient before both.
	for _, c := range []struct{ dish, sub, in, want string }{
		{"D", "", "", "1 3/4"}, {"D", "H", "", "1"}, {"H", "D", "", "1 3/4"}, {"D", "D", "H", "1"}, {"H", "", "D", "1 3/4"},
	} {
		in := d.sub("oats", "16 each")
		in.ExhibitAGroup = c.in
		req := d.with(d.ask(16, in), recipe.Recipe{ID: "oats", Name: "Oats", Servings: 16, ExhibitAGroup: c.sub, Ingredients: []recipe.Ingredient{d.in("oats-rolled", "448 g")}})
		req.Recipe.ExhibitAGroup = c.dish
		d.gives(req, "grains "+c.want+" documented")
	}
	// What goes with a food only is refused, not passed over.
	in := d.sub("sauce", "1 each")
	in.CreditAs, in.State, in.Basis = "vegetables", "cooked", "as-served"
	d.refuses(d.with(d.ask(1, in), d.sauce()), "CONFLICTING recipe.ingredients[0].creditAs", "CONFLICTING recipe.ingredients[0].state", "CONFLICTING recipe.ingredients[0].basis")
}

func TestSubRecipeCountsPortionsMade(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// The card says 40 servings, the weighed batch gave 50: a count of its servings
	// is of those made. 30/50 x 40 oz = 24; / 12 = 2.
	sauce := d.sauce()
	sauce.YieldTest = &recipe.YieldTest{PortionsMade: 50}
	d.gives(d.with(d.ask(12, d.sub("sauce", "30 each")), sauce), "meats 2 documented")
	// By weight nothing changes: 4.5/10 x 40 / 12 = 1.5.
	d.gives(d.with(d.ask(12, d.sub("sauce", "4 lb 8 oz")), sauce), "meats 1 1/2 documented")
}

func TestSubRecipeDessert(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// Reference 1.1, note 3: such a dessert credits no grains at breakfast, inside
	// another dish or not; the cheese beside it does.
	crust := recipe.Recipe{ID: "crust", Name: "Brownie layer", Servings: 10, Dessert: recipe.Dessert3,
		Ingredients: []recipe.Ingredient{d.in("flour-all-purpose-enriched", "160 g"), d.in("cheddar", "10 oz")}}
	req := d.with(d.ask(10, d.sub("crust", "10 each")), crust)
	d.finds(d.gives(req, "grains 1 documented", "meats 1 documented"), credit.DessertLimited)
	req.Program = "school-breakfast"
	rec := d.credit(req)
	if c, _ := rec.Credit(food.Grains); !c.Credited.IsZero() {
		t.Errorf("the dessert inside credits %s of grains at breakfast", c.Credited)
	}
	if c, _ := rec.Credit(food.Meats); c.Credited.String() != "1" {
		t.Errorf("the cheese credits %s, want 1", c.Credited)
	}
	d.finds(rec, credit.DessertNone)
	for i := range rec.Ingredients {
		if l := &rec.Ingredients[i]; (l.Food.ID == "cheddar") != (l.Reason == "") {
			t.Errorf("%s: %q", l.Food.Name, l.Reason)
		}
	}
	// Of the grain that is counted, none is whole: that of the dessert is not.
	crust.Ingredients[0] = d.in("whole-wheat-flour", "160 g")
	req = d.with(d.ask(10, d.sub("crust", "10 each"), d.in("flour-all-purpose-enriched", "160 g")), crust)
	req.Program = "school-breakfast"
	rec = d.gives(req, "grains 1 documented", "meats 1 documented")
	if f := findings(rec, credit.WholeGrainShare); len(f) != 1 || !f[0].Share.IsZero() {
		t.Errorf("whole share %+v, want 0", f)
	}
	// With 40 of 160 g counted whole it is a quarter.
	req.Recipe.Ingredients = append(req.Recipe.Ingredients[:1:1], d.in("flour-all-purpose-enriched", "120 g"), d.in("whole-wheat-flour", "40 g"))
	rec = d.gives(req, "grains 1 documented", "meats 1 documented")
	if f := findings(rec, credit.WholeGrainShare); len(f) != 1 || !f[0].Share.Equal(exact.Frac(1, 4)) {
		t.Errorf("whole share %+v, want 1/4", f)
	}
}

// TestSubRecipeEqualsByHand: a recipe with its sub-recipes written out by hand,
// each amount times the share that goes in, gives the same credits.
func TestSubRecipeEqualsByHand(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	foods := []struct {
		id, unit, state, basis string
	}{
		{"cheddar", "oz", "", ""}, {"eggs-large", "each", "", ""}, {"flour-all-purpose-enriched", "g", "", ""}, {"flour-all-purpose-unenriched", "g", "", ""},
		{"whole-wheat-flour", "oz", "", ""}, {"applesauce-canned", "can no. 10", "", ""}, {"pinto-beans-dry", "oz", "", ""}, {"salt", "cup", "", ""},
		{"orange-juice", "cup", "", ""}, {"surimi", "oz", "", ""}, {"raisins", "cup", "", ""}, {"pumpkin-canned", "cup", "", "as-served"}, {"tomato-paste-canned", "oz", "", ""},
		{"ground-beef-20", "oz", "", ""}, {"yogurt-plain-low-fat", "cup", "", ""},
	}
	rapid.Check(t, func(t *rapid.T) {
		n := func(name string, most int64) int64 { return rapid.Int64Range(1, most).Draw(t, name) }
		// amount of a food: tenths of its unit, times num/den.
		written := func(unit string, tenths, num, den int64) measure.Quantity {
			u, ok := measure.UnitByID(unit)
			if !ok {
				t.Fatal(unit)
			}
			return measure.New(exact.Frac(tenths*num, 10*den), u)
		}
		made := int(n("servings", 60))
		byHand := credit.Request{On: d.date("2026-09-14"), Program: "school-lunch", Recipe: &recipe.Recipe{Name: "Tray", Servings: made}}
		withSub := byHand
		withSub.Recipe = &recipe.Recipe{Name: "Tray", Servings: made}
		inner := recipe.Recipe{ID: "inner", Name: "Inner", Servings: int(n("inner servings", 30)), BatchWeight: measure.New(exact.Int(n("inner weight", 40)), measure.Pound)}
		outer := recipe.Recipe{ID: "outer", Name: "Outer", Servings: int(n("outer servings", 30)), BatchMeasure: measure.New(exact.Int(n("outer measure", 40)), measure.Quart)}
		// The inner one goes into the outer one by weight, the outer one into the
		// dish by volume, and the inner one again by servings.
		lb, qt, each := n("pounds", 20), n("quarts", 20), n("count", 40)
		innerLb, _ := inner.BatchWeight.In(measure.Pound)
		outerQt, _ := outer.BatchMeasure.In(measure.Quart)
		weight, volume := whole(t, innerLb), whole(t, outerQt)
		for range n("lines", 5) {
			f := foods[n("food", int64(len(foods)))-1]
			tenths := n("tenths", 400)
			in := recipe.Ingredient{Food: f.id, State: f.state, Basis: f.basis}
			line := func(num, den int64) recipe.Ingredient {
				x := in
				x.Quantity = written(f.unit, tenths, num, den)
				return x
			}
			switch n("where", 3) {
			case 1:
				withSub.Recipe.Ingredients = append(withSub.Recipe.Ingredients, line(1, 1))
				byHand.Recipe.Ingredients = append(byHand.Recipe.Ingredients, line(1, 1))
			case 2:
				inner.Ingredients = append(inner.Ingredients, line(1, 1))
				byHand.Recipe.Ingredients = append(byHand.Recipe.Ingredients, line(lb*qt, weight*volume), line(each, int64(inner.Servings)))
			case 3:
				outer.Ingredients = append(outer.Ingredients, line(1, 1))
				byHand.Recipe.Ingredients = append(byHand.Recipe.Ingredients, line(qt, volume))
			}
		}
		if len(inner.Ingredients) == 0 {
			inner.Ingredients = []recipe.Ingredient{{Food: "salt", Quantity: measure.New(exact.Int(1), measure.Ounce)}}
		}
		outer.Ingredients = append(outer.Ingredients, recipe.Ingredient{SubRecipe: "inner", Quantity: measure.New(exact.Int(lb), measure.Pound)})
		withSub.Recipe.Ingredients = append(withSub.Recipe.Ingredients, recipe.Ingredient{SubRecipe: "outer", Quantity: measure.New(exact.Int(qt), measure.Quart)},
			recipe.Ingredient{SubRecipe: "inner", Quantity: measure.New(exact.Int(each), measure.Each)})
		withSub.SubRecipes = []recipe.Recipe{inner, outer}
		if len(byHand.Recipe.Ingredients) == 0 {
			byHand.Recipe.Ingredients = []recipe.Ingredient{{Food: "salt", Quantity: measure.New(exact.Int(1), measure.Ounce)}}
		}
		a, err := d.engine.Credits(withSub)
		if err != nil {
			t.Fatal(err)
		}
		b, err := d.engine.Credits(byHand)
		if err != nil {
			t.Fatal(err)
		}
		tell := func(cs []credit.Credit) string {
			s := ""
			for i := range cs {
				s += fmt.Sprintln(cs[i].Component, cs[i].Subgroup, cs[i].Exact.Fraction(), cs[i].Credited.Fraction(), cs[i].Status, cs[i].Reason)
			}
			return s
		}
		if tell(a) != tell(b) {
			t.Fatalf("with sub-recipes\n%s\nby hand\n%s", tell(a), tell(b))
		}
		rec, err := d.engine.Credit(withSub)
		if err != nil {
			t.Fatal(err)
		}
		if err := credit.Replay(rec); err != nil {
			t.Fatal(err)
		}
	})
}

// whole reads a whole number.
func whole(t *rapid.T, n exact.Number) int64 {
	var v int64
	if _, err := fmt.Sscan(n.Fraction(), &v); err != nil {
		t.Fatal(err)
	}
	return v
}
