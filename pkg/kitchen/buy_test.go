package kitchen_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// creek are foods of the caller's with round figures, so that amounts can be
// followed by hand.
func creek() []food.Own {
	g := func(state, component, kind, unit, value, size string) food.OwnFigure {
		return food.OwnFigure{State: state, Component: component, Kind: kind, Unit: unit, Value: value, Size: size, Document: "Copper Creek kitchen test", Page: "sheet 4", Edition: "2026-08-20"}
	}
	veg := []string{"vegetables"}
	return []food.Own{
		{ID: "creek-squash", Name: "Creek squash", Components: veg, Subgroup: "red-orange", Figures: []food.OwnFigure{
			g("raw-diced", "vegetables", "servings", "lb", "10", "1/4 cup"), g("cooked", "vegetables", "servings", "lb", "8", "1/4 cup"), g("ready-to-use", "", "usable", "", "0.8", "")}},
		{ID: "creek-beans", Name: "Creek beans, canned", Components: veg, Subgroup: "beans-peas-lentils", Figures: []food.OwnFigure{
			g("drained", "vegetables", "servings", "can no. 10", "40", "1/4 cup"), g("", "", "net", "can no. 10", "108", "")}},
		{ID: "creek-beef", Name: "Creek beef", Components: []string{"meats"}, Figures: []food.OwnFigure{
			g("cooked", "meats", "servings", "lb", "12", "1 oz eq"), g("cooked", "", "cooked-share", "", "0.75", "")}},
	}
}

// card is a recipe of the creek kitchen.
func card(t testing.TB, name string, servings int, ins ...recipe.Ingredient) credit.Request {
	t.Helper()
	req := lunch(&recipe.Recipe{Name: name, Servings: servings, Ingredients: ins})
	req.Foods = creek()
	return req
}

func of(t testing.TB, id, state, basis, amount string) recipe.Ingredient {
	t.Helper()
	in := line(t, id, amount)
	in.State, in.Basis = state, basis
	return in
}

// shopping writes a purchase in short.
func shopping(p *kitchen.Purchase) string {
	var s strings.Builder
	for _, l := range p.Lines {
		fmt.Fprintf(&s, "%s: need %s, buy %s", l.Of, l.Need, l.Buy)
		if !l.OnHand.IsZero() {
			fmt.Fprintf(&s, ", on hand %s", l.OnHand)
		}
		if l.Packs > 0 {
			fmt.Fprintf(&s, ", %d %s", l.Packs, l.Pack.Name)
		}
		fmt.Fprintf(&s, ", left %s\n", l.LeftOver)
		for _, u := range l.Uses {
			fmt.Fprintf(&s, "  %s: %s %s is %s", u.Path, u.Amount, u.Basis, u.Bought)
			for _, g := range u.Figures {
				fmt.Fprintf(&s, ", %s %s", g.Kind, g.Text)
			}
			s.WriteString("\n")
		}
	}
	return s.String()
}

// TestBuyPools brings a food that two dishes measure three ways, and serve by
// itself, to one line as purchased.
func TestBuyPools(t *testing.T) {
	b := newBench(t)
	beef := of(t, "creek-beef", "", "as-served", "3 lb")
	beef.NotCrediting = true // bought all the same
	out, err := b.Buy(kitchen.BuyRequest{
		Own: creek(),
		Recipes: []kitchen.BuyRecipe{
			{Portions: []int{100}, Request: card(t, "Hash", 50, of(t, "creek-squash", "", "", "5 lb"), of(t, "creek-squash", "raw-diced", "", "5 cup"), of(t, "creek-squash", "cooked", "usable", "4 lb"))},
			{Portions: []int{30}, Request: card(t, "Soup", 60, of(t, "creek-squash", "cooked", "as-served", "8 cup"), of(t, "creek-beans", "drained", "", "15 cup"), of(t, "creek-beans", "drained", "", "2 can no. 10"), beef)},
		},
		Foods:    []kitchen.BuyFood{{Food: "creek-squash", State: "cooked", Groups: []kitchen.BuyGroup{{Count: 40, Size: exact.Frac(1, 2)}}}},
		Products: []kitchen.BuyProduct{{Name: "Rolls", Groups: []kitchen.BuyGroup{{Count: 70}, {Count: 60}}}},
		Packs:    []kitchen.BuyPack{{Of: "Rolls", Name: "bag", Holds: quantity(t, "24 each")}},
		OnHand:   []kitchen.BuyStock{{Of: "creek-squash", Quantity: quantity(t, "3 lb")}, {Of: "Rolls", Quantity: quantity(t, "1 dozen")}},
	})
	if err != nil {
		t.Fatal(err)
	}
	// Squash: 10 lb; 10 cups at 2 1/2 cups a lb; 8 lb usable of 0.8; 4 cups cooked
	// at 2 cups a lb; 20 cups of portions at the same: 10 + 4 + 10 + 2 + 10 = 36.
	// Beans: 7 1/2 cups of 10 a can, and a can. Beef: 1 1/2 lb cooked of 0.75.
	const want = `creek-beans: need 1 3/4 can no. 10, buy 2 can no. 10, left 1/4 can no. 10
  recipes[1].recipe.ingredients[1]: 7 1/2 cup usable is 3/4 can no. 10, servings 40
  recipes[1].recipe.ingredients[2]: 1 can no. 10 as-purchased is 1 can no. 10
creek-beef: need 2 lb, buy 2 lb, left 0 lb
  recipes[1].recipe.ingredients[3]: 24 oz as-served is 2 lb, cooked-share 0.75
creek-squash: need 36 lb, buy 33 lb, on hand 3 lb, left 0 lb
  recipes[0].recipe.ingredients[0]: 160 oz as-purchased is 10 lb
  recipes[0].recipe.ingredients[1]: 10 cup usable is 4 lb, servings 10
  recipes[0].recipe.ingredients[2]: 128 oz usable is 10 lb, usable 0.8
  recipes[1].recipe.ingredients[0]: 4 cup as-served is 2 lb, servings 8
  foods[0]: 10 lb portions is 10 lb, servings 8
Rolls: need 130 each, buy 120 each, on hand 12 each, 5 bag, left 2 each
  products[0]: 130 each portions is 130 each
`
	if got := shopping(out); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	for i := range out.Lines {
		if out.Lines[i].Estimate {
			t.Errorf("%s is called an estimate, and every figure has its paper", out.Lines[i].Of)
		}
	}
}

// A batch with sub-recipes and products is bought down to their ingredients, each
// size of portion for what it is.
func TestBuyLooksInside(t *testing.T) {
	b := newBench(t)
	req := card(t, "Tray", 10, recipe.Ingredient{SubRecipe: "sauce", Quantity: quantity(t, "2 qt")}, recipe.Ingredient{Product: "patty", Quantity: quantity(t, "10 each")})
	req.Recipe.Portions = []recipe.Portion{{Name: "large"}, {Name: "small", Servings: 20}}
	req.SubRecipes = []recipe.Recipe{{ID: "sauce", Name: "Sauce", Servings: 1, BatchMeasure: quantity(t, "1 gal"), Ingredients: []recipe.Ingredient{of(t, "creek-squash", "raw-diced", "", "8 lb")}}}
	req.Products = []credit.Product{{ID: "patty", Name: "Creek patty", Weight: quantity(t, "2.5 oz"), ExhibitAGroup: "B"}}
	out, err := b.Buy(kitchen.BuyRequest{
		Recipes: []kitchen.BuyRecipe{{Request: req, Portions: []int{30, 20}}}, // 30 + 20/2 = 40 large ones, 4 batches
		Packs:   []kitchen.BuyPack{{Of: "Creek patty", Name: "case", Holds: quantity(t, "5 lb")}},
	})
	if err != nil {
		t.Fatal(err)
	}
	const want = `creek-squash: need 16 lb, buy 16 lb, left 0 lb
  recipes[0].subRecipes[0].ingredients[0]: 256 oz as-purchased is 16 lb
Creek patty: need 6 1/4 lb, buy 10 lb, 2 case, left 3 3/4 lb
  recipes[0].recipe.ingredients[1]: 40 each as-purchased is 6 1/4 lb
`
	if got := shopping(out); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// The row of the portions' own size is used when all are of one size; else the
// smallest printed. The two ways of the table are shown where they part.
func TestBuyByTheTable(t *testing.T) {
	b := newBench(t)
	beef := func(id string, groups ...kitchen.BuyGroup) *kitchen.Purchase {
		out, err := b.Buy(kitchen.BuyRequest{Own: creek(), Foods: []kitchen.BuyFood{{Food: id, Groups: groups}}})
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	// 62/7.89 = 7.858; 100/7.89 = 12.674, so 12.7 per 100: 7.874.
	one := beef("ground-beef-20", kitchen.BuyGroup{Count: 62, Size: exact.Frac(3, 2)})
	if l := one.Lines[0]; l.Methods[0].Figure.SizeText != "1 1/2 oz eq" || l.Methods[0].Units.DecimalText(3) != "7.858" || l.Methods[1].Value.String() != "12 7/10" || !l.Methods[1].WorkedOut || l.Methods[1].Units.DecimalText(3) != "7.874" || l.Buy.Text() != "8 lb" || l.Methods[1].Buy.Text() != "8 lb" {
		t.Errorf("%s %+v", l.Need, l.Methods)
	}
	// 240 ounces by the row of 1 oz, 11.8: 20.34.
	if l := beef("ground-beef-20", kitchen.BuyGroup{Count: 100, Size: exact.Frac(3, 2)}, kitchen.BuyGroup{Count: 90, Size: exact.Int(1)}).Lines[0]; l.Methods[0].Units.DecimalText(2) != "20.33" {
		t.Errorf("%s %+v", l.Need, l.Methods)
	}
	// 240/12 = 20; 100/12 is 8.4 up to a tenth: 20.16.
	mixed := beef("creek-beef", kitchen.BuyGroup{Count: 100, Size: exact.Frac(3, 2)}, kitchen.BuyGroup{Count: 90, Size: exact.Int(1)})
	l := mixed.Lines[0]
	if l.Need.Text() != "20 lb" || l.Buy.Text() != "20 lb" || l.Methods[1].Value.String() != "8 2/5" || l.Methods[1].Units.DecimalText(2) != "20.16" || l.Methods[1].Buy.Text() != "20 lb 4 oz" {
		t.Errorf("%s %+v", l.Need, l.Methods)
	}
	if !slices.ContainsFunc(mixed.Findings, func(f kitchen.BuyFinding) bool { return f.Reason == kitchen.BuyMethodsDiffer }) {
		t.Errorf("findings %+v", mixed.Findings)
	}
}

// Enough on hand: nothing to buy, and nothing is taken away from anybody.
func TestBuyNothing(t *testing.T) {
	b := newBench(t)
	out, err := b.Buy(kitchen.BuyRequest{Own: creek(), Foods: []kitchen.BuyFood{{Food: "creek-beef", Groups: []kitchen.BuyGroup{{Count: 12, Size: exact.Int(1)}}}},
		OnHand: []kitchen.BuyStock{{Of: "creek-beef", Quantity: quantity(t, "1 lb 8 oz")}, {Of: "creek-beef", Quantity: quantity(t, "8 oz")}}})
	if err != nil {
		t.Fatal(err)
	}
	if l := out.Lines[0]; !l.Buy.IsZero() || l.OnHand.Text() != "2 lb" || l.LeftOver.Text() != "1 lb" {
		t.Errorf("%+v", l)
	}
}

// What no figure turns into a purchase unit is listed as it is measured, and
// what was measured drained or cooked is not taken for as much bought.
func TestBuySaysWhatItDoesNotKnow(t *testing.T) {
	b := newBench(t)
	plain := []food.Own{{ID: "creek-drops", Name: "Creek drops"}, {ID: "creek-roast", Name: "Creek roast", Components: []string{"meats"}, Figures: []food.OwnFigure{
		{State: "as-is", Component: "meats", Kind: "servings", Unit: "oz", Value: "1", Size: "1 oz eq", Document: "Copper Creek kitchen test", Page: "sheet 5", Edition: "2026-08-20"}}}}
	plain[0].Components = []string{"fruits"}
	req := lunch(&recipe.Recipe{Name: "Mix", Servings: 10, Ingredients: []recipe.Ingredient{line(t, "creek-drops", "7 tsp"), of(t, "creek-roast", "", "as-served", "20 oz"), line(t, "creek-drops", "3 each")}})
	req.Recipe.Ingredients[0].NotCrediting, req.Recipe.Ingredients[2].NotCrediting = true, true
	req.Foods = plain
	out, err := b.Buy(kitchen.BuyRequest{Recipes: []kitchen.BuyRecipe{{Request: req, Portions: []int{10}}}})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range out.Findings {
		got = append(got, fmt.Sprint(f.Reason, " ", out.Lines[f.Line].Of, " ", out.Lines[f.Line].Buy))
	}
	want := []string{"NO_PURCHASE_UNIT creek-drops 2 Tbsp 1 tsp", "SEVERAL_UNITS creek-drops 3 each", "AS_MEASURED creek-roast 1 lb 4 oz"}
	if !slices.Equal(got, want) {
		t.Errorf("findings %q, want %q\n%s", got, want, shopping(out))
	}
	if use := out.Lines[2].Uses[0]; !use.AsMeasured {
		t.Errorf("%+v", use)
	}
}

// TestBuyUsableWithoutShare: a drained or trimmed weight is never bought as it is
// without a word.
func TestBuyUsableWithoutShare(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		food, state string
		said        bool
	}{
		{"green-beans-canned", "heated-drained", true}, // no figure says what is drained away
		{"kiwifruit-fresh", "raw", true},               // nor what is peeled away
		{"onions-fresh", "cooked", false},              // a usable share does
		{"corn-frozen", "cooked", false},               // nothing is taken off
	} {
		req := lunch(&recipe.Recipe{Name: "Side", Servings: 50, Ingredients: []recipe.Ingredient{of(t, c.food, c.state, "usable", "6 lb")}})
		req.Recipe.Ingredients[0].NotCrediting = true // whether it credits is not asked
		out, err := b.Buy(kitchen.BuyRequest{Recipes: []kitchen.BuyRecipe{{Request: req, Portions: []int{50}}}})
		if err != nil {
			t.Errorf("%s: %v", c.food, err)
			continue
		}
		said := slices.ContainsFunc(out.Findings, func(f kitchen.BuyFinding) bool { return f.Reason == kitchen.BuyAsMeasured })
		if said != c.said || out.Lines[0].Uses[0].AsMeasured != c.said {
			t.Errorf("%s: said %v, use %v, want %v\n%s", c.food, said, out.Lines[0].Uses[0].AsMeasured, c.said, shopping(out))
		}
	}
}

func TestBuyRefuses(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		name string
		req  kitchen.BuyRequest
		want []string
	}{
		{"nothing", kitchen.BuyRequest{}, []string{"MISSING recipes"}},
		{"shapes, all at once", kitchen.BuyRequest{
			Recipes:  []kitchen.BuyRecipe{{}, {Request: card(t, "Hash", 5, line(t, "creek-squash", "1 lb"))}, {Request: card(t, "Hash", 5, line(t, "creek-squash", "1 lb")), Portions: []int{-1, 4}}, {Request: card(t, "Hash", 5, line(t, "creek-squash", "1 lb")), Portions: []int{0}}},
			Foods:    []kitchen.BuyFood{{PerHundred: exact.Int(-1)}, {Food: "creek-beef", Groups: []kitchen.BuyGroup{{Count: recipe.MaxServings + 1}, {Count: 1, Size: exact.Int(1)}}}},
			Products: []kitchen.BuyProduct{{Each: measure.New(exact.Int(0), measure.Ounce), Groups: []kitchen.BuyGroup{{Count: 0}}}},
			Packs:    []kitchen.BuyPack{{}, {Of: "x", Holds: quantity(t, "1 lb")}, {Of: "x", Holds: quantity(t, "2 lb")}},
			OnHand:   []kitchen.BuyStock{{}},
		}, []string{"MISSING recipes[0].recipe", "MISSING recipes[1].portions", "TOO_MANY recipes[2].portions", "OUT_OF_RANGE recipes[2].portions[0]", "OUT_OF_RANGE recipes[3].portions",
			"MISSING foods[0].food", "OUT_OF_RANGE foods[0].perHundred", "MISSING foods[0].groups", "OUT_OF_RANGE foods[1].groups[0].count", "OUT_OF_RANGE foods[1].groups[0].size",
			"MISSING products[0].name", "OUT_OF_RANGE products[0].each", "OUT_OF_RANGE products[0].groups",
			"MISSING packs[0].of", "MISSING packs[0].holds", "CONFLICTING packs[2].of", "MISSING onHand[0].of", "MISSING onHand[0].quantity"}},
		{"foods, all at once", kitchen.BuyRequest{Own: creek(),
			Recipes: []kitchen.BuyRecipe{{Portions: []int{5}, Request: card(t, "Hash", 5, line(t, "creek-sqash", "1 lb"), line(t, "creek-beef", "1 can no. 10"))}},
			Foods: []kitchen.BuyFood{{Food: "creek-bef", Groups: []kitchen.BuyGroup{{Count: 1, Size: exact.Int(1)}}}, {Food: "creek-beef", Unit: "pnd", Groups: []kitchen.BuyGroup{{Count: 1, Size: exact.Int(1)}}},
				{Food: "creek-beef", Unit: "can no. 10", Groups: []kitchen.BuyGroup{{Count: 1, Size: exact.Int(1)}}}, {Food: "creek-squash", Groups: []kitchen.BuyGroup{{Count: 1, Size: exact.Int(1)}}}},
		}, []string{"UNKNOWN_FOOD recipes[0].recipe.ingredients[0].food", "UNIT_DOES_NOT_FIT recipes[0].recipe.ingredients[1].quantity", "UNKNOWN_FOOD foods[0].food", "UNKNOWN_UNIT foods[1].unit", "NO_FIGURE foods[2].food", "STATE_NEEDED foods[3].state"}},
		{"names that nothing uses", kitchen.BuyRequest{Products: []kitchen.BuyProduct{{Name: "Rolls", Groups: []kitchen.BuyGroup{{Count: 1}}}},
			Packs: []kitchen.BuyPack{{Of: "rolls", Holds: quantity(t, "12 each")}}, OnHand: []kitchen.BuyStock{{Of: "Buns", Quantity: quantity(t, "2 each")}}},
			[]string{"UNKNOWN_VALUE packs[0].of", "UNKNOWN_VALUE onHand[0].of"}},
		{"packs and stock in other units", kitchen.BuyRequest{Products: []kitchen.BuyProduct{{Name: "Rolls", Groups: []kitchen.BuyGroup{{Count: 1}}}},
			Packs: []kitchen.BuyPack{{Of: "Rolls", Holds: quantity(t, "12 lb")}}, OnHand: []kitchen.BuyStock{{Of: "Rolls", Quantity: quantity(t, "2 cup")}}},
			[]string{"UNIT_DOES_NOT_FIT packs[0].holds", "UNIT_DOES_NOT_FIT onHand[0].quantity"}},
		{"own figures", kitchen.BuyRequest{Own: []food.Own{{ID: "creek-new"}}, Products: []kitchen.BuyProduct{{Name: "Rolls", Groups: []kitchen.BuyGroup{{Count: 1}}}}}, []string{"MISSING own[0].name"}},
		{"too much", kitchen.BuyRequest{Products: []kitchen.BuyProduct{{Name: "Rolls", Each: quantity(t, "999999 each"), Groups: []kitchen.BuyGroup{{Count: 1_000_000}}}}}, []string{"OUT_OF_RANGE products[0]"}},
		{"too many", kitchen.BuyRequest{Packs: make([]kitchen.BuyPack, kitchen.MaxBuyPacks+1), Products: make([]kitchen.BuyProduct, 1)}, []string{"TOO_MANY packs"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			out, err := b.Buy(c.req)
			refused(t, out == nil, err, c.want)
		})
	}
}
