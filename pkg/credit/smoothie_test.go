package credit_test

import (
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
)

// smoothie is a request for a smoothie at school breakfast.
func (d *desk) smoothie(servings int, in ...recipe.Ingredient) credit.Request {
	d.Helper()
	req := d.ask(servings, in...)
	req.Program, req.Recipe.Name, req.Recipe.Smoothie = "school-breakfast", "Marsh Street smoothie", true
	return req
}

func TestSmoothieMilk(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ milk, want string }{
		// Reference 5: from 1/4 cup, the amount itself (correction 2). 20 servings.
		{"5 cup", "milk 1/4 documented"},
		{"4.99 cup", "milk 0 no credit"}, // .2495
		{"7 cup", "milk 7/20 documented"},
		{"1 gal 1 qt", "milk 1 documented"}, // 20 cups
		{"25 half-pt", "milk 1 1/4 documented"},
		{"1182.941 mL", "milk 0 no credit"}, // 5 cups are 5 x 236.5882365 = 1182.9411825 mL
		{"1182.9411825 mL", "milk 1/4 documented"},
		// By weight it needs what a cup weighs, which is not the handbook's:
		// 1220 g / 244 = 5 cups; 1219 g are below.
		{"1220 g", "milk 1/4 estimate"},
		{"1219 g", "milk 0 no credit"},
	} {
		t.Run(c.milk, func(t *testing.T) {
			t.Parallel()
			d := newDesk(t)
			rec := d.gives(d.smoothie(20, d.in("milk-1pct", c.milk)), c.want)
			if cr := rec.Credits[0]; cr.Basis != credit.SmoothieMilk || (cr.Reason == "") != (cr.Credited.Sign() > 0) {
				t.Errorf("by %s, because %q", cr.Basis, cr.Reason)
			}
		})
	}
	d := newDesk(t)
	// Two milks are one: 2.5 + 2.5 cups.
	d.gives(d.smoothie(20, d.in("milk-1pct", "2.5 cup"), d.in("milk-fat-free", "2.5 cup")), "milk 1/4 documented")
	// From a sub-recipe: half of 10 cups.
	req := d.smoothie(20, d.sub("base", "10 each"))
	req.SubRecipes = []recipe.Recipe{{ID: "base", Name: "Base", Servings: 20, Ingredients: []recipe.Ingredient{d.in("milk-1pct", "10 cup")}}}
	d.gives(req, "milk 1/4 documented")
	// In each program.
	for _, program := range []string{"school-lunch", "school-breakfast", "afterschool-snack", "preschool", "child-adult-care", "summer"} {
		for milk, want := range map[string]string{"5 cup": "milk 1/4 documented", "4.999 cup": "milk 0 no credit"} {
			req := d.smoothie(20, d.in("milk-1pct", milk))
			req.Program = program
			d.gives(req, want)
		}
	}
	// What is no milk is none in a smoothie either.
	rec := d.gives(d.smoothie(20, d.in("almond-milk", "2 gal"), d.in("evaporated-milk", "2 gal"), d.in("coconut-milk", "2 gal")))
	for i := range rec.Ingredients {
		if rec.Ingredients[i].Reason == "" {
			t.Errorf("%s has no reason", rec.Ingredients[i].Food.Name)
		}
	}
}

func TestSmoothieJuiceAndPuree(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// Reference 2: both by volume, and both count as juice: 10 cups of juice and
	// 2.5 cups of puree for 20: 1/2 + 1/8.
	rec := d.gives(d.smoothie(20, d.in("orange-juice", "10 cup"), d.in("strawberry-puree", "2.5 cup"), d.in("milk-1pct", "5 cup")),
		"fruits 5/8 documented", "milk 1/4 documented")
	d.finds(rec, credit.CountsAsJuice, credit.CountsAsJuice)
	for _, f := range findings(rec, credit.CountsAsJuice) {
		if l := rec.Ingredients[f.Ingredient]; l.Food.ID != "orange-juice" && l.Food.ID != "strawberry-puree" {
			t.Errorf("%s counts as juice", l.Food.Name)
		}
	}
	// A vegetable juice is a vegetable: 5 cups: 1/4.
	d.finds(d.gives(d.smoothie(20, d.in("carrot-juice", "5 cup")), "vegetables 1/4 documented", "vegetables/red-orange 1/4 documented"), credit.CountsAsJuice)
	// A published smoothie: 1 cup of strawberries pureed to 1/2 cup, and 1 cup of
	// milk: 1/2 cup of fruit, 1 cup of milk.
	d.gives(d.smoothie(1, d.in("milk-1pct", "1 cup"), d.in("strawberry-puree", "1/2 cup")), "fruits 1/2 documented", "milk 1 documented")
}

func TestSmoothieYogurt(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// Correction 19: from 1/8 cup, which is 1/4 oz eq at 1/2 cup an oz eq.
	d.gives(d.smoothie(20, d.in("yogurt-plain-low-fat", "2.5 cup")), "meats 1/4 documented")
	d.gives(d.smoothie(20, d.in("yogurt-plain-low-fat", "2.49 cup")), "meats 0 no credit") // .1245 x 2 = .249
	d.gives(d.smoothie(20, d.in("yogurt-plain-low-fat", "10 cup"), d.in("milk-1pct", "20 cup")), "meats 1 documented", "milk 1 documented")
	// Drinkable yogurt is none.
	d.gives(d.smoothie(20, d.in("yogurt-drinkable", "10 cup")))
}

// TestSmoothieEachFoodItself: correction 19: each food of a blend must itself
// reach 1/8 cup or 1/4 oz eq.
func TestSmoothieEachFoodItself(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	puree := func(s string) recipe.Ingredient { return d.in("strawberry-puree", s) }
	juice := func(s string) recipe.Ingredient { return d.in("orange-juice", s) }
	// For 16: 1 cup is 1/16 cup each. Two such fruits are 1/8 together and nothing
	// by themselves.
	rec := d.credit(d.smoothie(16, puree("1 cup"), juice("1 cup")))
	if c, _ := rec.Credit(food.Fruits); !c.Credited.IsZero() {
		t.Errorf("two fruits of 1/16 cup credit %s", c.Credited)
	}
	for i := range rec.Ingredients {
		if rec.Ingredients[i].Reason == "" {
			t.Errorf("%s has no reason", rec.Ingredients[i].Food.Name)
		}
	}
	d.finds(rec)
	// 1/8 and 2 x 1/16: only the first: 1/8, and not 1/4.
	d.gives(d.smoothie(16, puree("2 cup"), juice("1 cup"), d.in("apple-juice", "1 cup")), "fruits 1/8 documented")
	// The same food on two lines is one food: 1/16 + 1/16 = 1/8.
	d.gives(d.smoothie(16, puree("1 cup"), puree("1 cup")), "fruits 1/8 documented")
	// 1/8 + 3/16: both: 5/16, so 1/4.
	d.gives(d.smoothie(16, puree("2 cup"), juice("3 cup")), "fruits 1/4 documented")
	// Meats: two yogurts of 1/16 cup are 1/8 oz eq each.
	rec = d.credit(d.smoothie(16, d.in("yogurt-plain-low-fat", "1 cup"), d.in("yogurt-vanilla-low-fat", "1 cup")))
	if c, _ := rec.Credit(food.Meats); !c.Credited.IsZero() {
		t.Errorf("two yogurts of 1/16 cup credit %s", c.Credited)
	}
	// 1/8 cup of one and 3/16 cup of the other: 1/4 + 3/8 = 5/8, so 1/2.
	d.gives(d.smoothie(16, d.in("yogurt-plain-low-fat", "2 cup"), d.in("yogurt-vanilla-low-fat", "3 cup")), "meats 1/2 documented")
	// A fruit and a vegetable are each their own food.
	d.gives(d.smoothie(16, juice("2 cup"), d.in("carrot-juice", "2 cup")), "fruits 1/8 documented", "vegetables 1/8 documented", "vegetables/red-orange 1/8 documented")
	// Outside smoothies parts below 1/8 cup add up: 1/16 + 1/16.
	d.gives(d.ask(16, puree("1 cup"), d.in("blackberries-frozen", "2 lb")), "fruits 1/4 documented") // 1/16 + 2 x 8 x 1/4 / 16 = .3125
}

func TestMilkAndJuiceInADish(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// Reference 5 and 2: milk cooked into food and juice in food do not credit,
	// smoothies apart.
	rec := d.gives(d.ask(20, d.in("milk-1pct", "2 gal"), d.in("orange-juice", "2 gal"), d.in("carrot-juice", "1 gal"), d.in("cheddar", "20 oz")), "meats 1 documented")
	for i := range 3 {
		l := &rec.Ingredients[i]
		what, _, _ := strings.Cut(l.Food.Name, ",")
		if !strings.Contains(l.Reason, "smoothie") || !strings.Contains(l.Reason, strings.Fields(what)[len(strings.Fields(what))-1]) || !l.Credit.IsZero() {
			t.Errorf("%s: %q", l.Food.Name, l.Reason)
		}
	}
	// A smoothie inside another dish is no smoothie.
	req := d.ask(20, d.sub("smoothie", "20 each"), d.in("cheddar", "20 oz"))
	req.SubRecipes = []recipe.Recipe{{ID: "smoothie", Name: "Smoothie", Servings: 20, Smoothie: true, Ingredients: []recipe.Ingredient{d.in("milk-1pct", "20 cup"), d.in("orange-juice", "20 cup")}}}
	d.gives(req, "meats 1 documented")
}

func TestMilkAsADrink(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	drink := func(program, age, cups string) credit.Request {
		in := d.in("milk-1pct", cups)
		in.CreditAs = "milk"
		req := d.ask(20, in)
		req.Program, req.AgeGroup = program, age
		return req
	}
	for _, c := range []struct{ program, age, full, below, serving string }{
		// Reference 5 and the patterns: 8 fl oz in schools; 4, 6 and 8 fl oz in child
		// and adult care. 20 servings.
		{"school-lunch", "k-5", "20 cup", "19.99 cup", "1"},
		{"school-lunch", "6-8", "20 cup", "19.99 cup", "1"},
		{"school-lunch", "9-12", "20 cup", "19.99 cup", "1"},
		{"school-breakfast", "k-12", "20 cup", "19.99 cup", "1"},
		{"afterschool-snack", "k-8", "20 cup", "19.99 cup", "1"},
		{"preschool", "ages-1-2", "10 cup", "9.99 cup", "1/2"},
		{"preschool", "ages-3-5", "15 cup", "14.99 cup", "3/4"},
		{"child-adult-care", "ages-1-2", "10 cup", "9.99 cup", "1/2"},
		{"child-adult-care", "ages-3-5", "15 cup", "14.99 cup", "3/4"},
		{"child-adult-care", "ages-6-12", "20 cup", "19.99 cup", "1"},
		{"child-adult-care", "ages-13-18", "20 cup", "19.99 cup", "1"},
		{"child-adult-care", "adults", "20 cup", "19.99 cup", "1"},
	} {
		d.gives(drink(c.program, c.age, c.full), "milk "+c.serving+" documented")
		d.gives(drink(c.program, c.age, c.below), "milk 0 no credit")
		// More than the serving is still the serving.
		rec := d.gives(drink(c.program, c.age, "2 gal"), "milk "+c.serving+" documented")
		if got := rec.Credits[0].Basis; got != credit.FullServing {
			t.Errorf("%s: by %s", c.program, got)
		}
	}
	// Summer has one serving, which is from memory: an estimate.
	d.gives(drink("summer", "", "20 cup"), "milk 1 estimate")
	d.gives(drink("summer", "", "19.99 cup"), "milk 0 no credit")
	// Elsewhere the group must be said, and be one of the program.
	d.refuses(drink("school-lunch", "", "20 cup"), "MISSING ageGroup")
	d.refuses(drink("school-lunch", "ages-3-5", "20 cup"), "MISSING ageGroup")
	d.refuses(drink("preschool", "k-5", "20 cup"), "MISSING ageGroup")
	d.refuses(drink("preschool", "ages-6-12", "20 cup"), "MISSING ageGroup")
	d.refuses(drink("child-adult-care", "grown", "20 cup"), "MISSING ageGroup")
	// Not for a smoothie, nor where milk is only cooked with.
	req := drink("school-lunch", "", "20 cup")
	req.Recipe.Smoothie = true
	d.gives(req, "milk 1 documented")
	req = d.ask(20, d.in("milk-1pct", "20 cup"), d.in("cheddar", "20 oz"))
	d.gives(req, "meats 1 documented")
	// Juice as a drink: 10 cups for 20.
	juice := d.in("orange-juice", "10 cup")
	juice.CreditAs = "fruits"
	d.gives(d.ask(20, juice), "fruits 1/2 documented")
}

// ---- puree that cannot be recognized ----

// garden is foods credited by the volume served, so that each line is plain.
var garden = []food.Own{
	{ID: "cedar-carrot-puree", Name: "Carrot puree", Components: []string{"vegetables"}, Subgroup: "red-orange"},
	{ID: "cedar-peas", Name: "Peas", Components: []string{"vegetables"}, Subgroup: "starchy"},
	{ID: "cedar-apple-puree", Name: "Apple puree", Components: []string{"fruits"}},
	{ID: "cedar-raisins", Name: "Raisins", Components: []string{"fruits"}, Traits: []string{"dried-fruit"}},
}

func TestHiddenPuree(t *testing.T) {
	t.Parallel()
	// Correction 7, for 8 servings: 1 cup is 1/8 cup each.
	for _, c := range []struct {
		name  string
		lines []string // "food cups", hidden after a star
		want  []string
	}{
		{"1/8 beside 1/8", []string{"*cedar-carrot-puree 1", "cedar-peas 1"}, []string{"vegetables 1/4 documented", "vegetables/red-orange 1/8 documented", "vegetables/starchy 1/8 documented"}},
		{"in full", []string{"*cedar-carrot-puree 4", "cedar-peas 1"}, []string{"vegetables 5/8 documented", "vegetables/red-orange 1/2 documented", "vegetables/starchy 1/8 documented"}},
		{"alone", []string{"*cedar-carrot-puree 4"}, []string{"vegetables 0 no credit", "vegetables/red-orange 0 no credit"}},
		{"a fruit alone", []string{"*cedar-apple-puree 4"}, []string{"fruits 0 no credit"}},
		{"beside too little", []string{"*cedar-carrot-puree 4", "cedar-peas 0.99"}, []string{"vegetables 0 no credit", "vegetables/red-orange 0 no credit", "vegetables/starchy 0 no credit"}},
		{"two hidden", []string{"*cedar-carrot-puree 2", "*cedar-peas 2"}, []string{"vegetables 0 no credit", "vegetables/red-orange 0 no credit", "vegetables/starchy 0 no credit"}},
		{"a fruit beside a vegetable", []string{"*cedar-apple-puree 1", "cedar-peas 1"}, []string{"fruits 1/8 documented", "vegetables 1/8 documented", "vegetables/starchy 1/8 documented"}},
		{"a vegetable beside a fruit", []string{"*cedar-carrot-puree 2", "cedar-apple-puree 1"}, []string{"fruits 1/8 documented", "vegetables 1/4 documented", "vegetables/red-orange 1/4 documented"}},
		{"shown", []string{"cedar-carrot-puree 1"}, []string{"vegetables 1/8 documented", "vegetables/red-orange 1/8 documented"}},
		{"two halves shown", []string{"*cedar-carrot-puree 1", "cedar-peas 0.5", "cedar-apple-puree 0.5"}, []string{"fruits 0 no credit", "vegetables 1/8 documented", "vegetables/red-orange 1/8 documented", "vegetables/starchy 0 no credit"}},
		// Dried fruit that does not credit shows nothing: .66/8 = .0825 cup as served,
		// twice that credited were it enough; the least is 1/8 as served.
		{"beside too little dried fruit", []string{"*cedar-carrot-puree 2", "cedar-raisins 0.66"}, []string{"fruits 0 no credit", "vegetables 0 no credit", "vegetables/red-orange 0 no credit"}},
		{"beside dried fruit", []string{"*cedar-carrot-puree 2", "cedar-raisins 1"}, []string{"fruits 1/4 documented", "vegetables 1/4 documented", "vegetables/red-orange 1/4 documented"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := newDesk(t)
			req := d.ask(8)
			req.Foods = garden
			for _, l := range c.lines {
				id, cups, _ := strings.Cut(l, " ")
				id, hidden := strings.CutPrefix(id, "*")
				in := d.in(id, cups+" cup")
				in.Basis, in.Hidden = "as-served", hidden
				req.Recipe.Ingredients = append(req.Recipe.Ingredients, in)
			}
			rec := d.gives(req, c.want...)
			for i := range rec.Ingredients {
				l := &rec.Ingredients[i]
				if l.Credit.IsZero() != (l.Reason != "") {
					t.Errorf("%s credits %s, because %q", l.Food.Name, l.Credit.Fraction(), l.Reason)
				}
			}
			// The other answers are those of the trade; a hidden puree is none of them.
			for _, comp := range []food.Component{food.Fruits, food.Vegetables} {
				if got := alternative(rec, comp, credit.DriedFruitCounted); got != "" && !slices.ContainsFunc(c.lines, func(l string) bool { return strings.HasPrefix(l, "cedar-raisins") }) {
					t.Errorf("with dried fruit counted %q, and there is none", got)
				}
			}
		})
	}
	d := newDesk(t)
	// In a smoothie it credits without: as juice.
	req := d.smoothie(8, d.in("cedar-carrot-puree", "1 cup"))
	req.Recipe.Ingredients[0].Hidden = true
	req.Foods = garden
	d.finds(d.gives(req, "vegetables 1/8 documented", "vegetables/red-orange 1/8 documented"), credit.CountsAsJuice, credit.OwnDescription)
	// A hidden sub-recipe hides what is in it, a hidden product too.
	sub := d.sub("base", "8 each")
	sub.Hidden = true
	req = d.ask(8, sub)
	req.Foods = garden
	in := d.in("cedar-carrot-puree", "2 cup")
	in.Basis = "as-served"
	req.SubRecipes = []recipe.Recipe{{ID: "base", Name: "Base", Servings: 8, Ingredients: []recipe.Ingredient{in}}}
	d.gives(req, "vegetables 0 no credit", "vegetables/red-orange 0 no credit")
	puree := d.bought("patty", "8 each")
	puree.Hidden = true
	req = d.ask(8, puree)
	req.Products = []credit.Product{d.label("2 oz", "vegetables/red-orange 1/4")}
	d.gives(req, "vegetables 0 no credit", "vegetables/red-orange 0 no credit")
	puree.Hidden = false
	req.Recipe.Ingredients[0] = puree
	d.gives(req, "vegetables 1/4 documented", "vegetables/red-orange 1/4 documented")
	// The day before the rule is known it can say neither yes nor no.
	req = d.ask(8, in)
	req.Recipe.Ingredients[0].Hidden = true
	req.Foods, req.Program = garden, "child-adult-care"
	req.On = d.date("2017-11-30")
	d.refuses(req, "RULE_NOT_IN_FORCE serviceDate")
	req.On = d.date("2017-12-01")
	d.gives(req, "vegetables 0 no credit", "vegetables/red-orange 0 no credit")
}

// ---- shares ----

func TestShareThatAdheres(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// 640 g of flour, .6 of it adheres: 384 g on 24 pieces: 16 g: 1. A hair less:
	// 3/4.
	flour := d.in("flour-all-purpose-enriched", "640 g")
	flour.Share = exact.MustParse("0.6")
	rec := d.gives(d.ask(24, flour, d.in("cheddar", "24 oz")), "grains 1 documented", "meats 1 documented")
	f := findings(rec, credit.ShareGiven)
	if len(f) != 1 || f[0].Ingredient != 0 || f[0].Severity != credit.Check {
		t.Errorf("findings %+v, want one on the flour", f)
	}
	flour.Share = exact.MustParse("0.5999")
	d.gives(d.ask(24, flour), "grains 3/4 documented")
	flour.Share = exact.Int(1)
	d.gives(d.ask(24, flour), "grains 1 1/2 documented") // 640/16/24 = 1.667
	flour.Share = exact.MustParse("1.01")
	d.refuses(d.ask(24, flour), "OUT_OF_RANGE recipe.ingredients[0].share")
	// Crumbs, the only grain, are held to the printed weights of group A, 17 g for
	// 3/4 and 11 g for 1/2: 24 x 33.2 g, half of it: 16.6 g, though 16.6/22 = .7545.
	crumbs := d.in("breadcrumbs-dry", "796.8 g")
	crumbs.Share = exact.Frac(1, 2)
	d.gives(d.ask(24, crumbs), "grains 1/2 documented")
	// Grain that does not credit counts by what is left of it: half of 7.98 g is
	// 3.99 g, the most there may be.
	good, bad := d.in("flour-all-purpose-enriched", "16 g"), d.in("flour-all-purpose-unenriched", "7.98 g")
	bad.Share = exact.Frac(1, 2)
	d.gives(d.ask(1, good, bad), "grains 1 documented")
	bad.Quantity = d.q("7.99 g")
	d.gives(d.ask(1, good, bad), "grains 0 no credit")
	// The longest way there is, and a share at its end: 3 heads of 500 g, of which
	// .8 is usable, at 20 quarter cups a pound, half for leafy greens, half for the
	// share: 3 x 500 / 28.35 / 16 / .8 x 20 x 1/4 x 1/2 x 1/2 = 5.167 cups; / 10 =
	// .5167: 1/2.
	heads := d.in("cedar-lettuce", "3 each")
	heads.Share, heads.State = exact.Frac(1, 2), "raw"
	req := d.ask(10, heads)
	paper := func(g food.OwnFigure) food.OwnFigure {
		g.Document, g.Page, g.Edition = "Handbook, Section 2", "p. 2-44", "2022"
		return g
	}
	req.Foods = []food.Own{{ID: "cedar-lettuce", Name: "Lettuce", Components: []string{"vegetables"}, Subgroup: "dark-green", Traits: []string{"leafy"},
		Figures: []food.OwnFigure{paper(food.OwnFigure{Kind: "each", Value: "500"}), paper(food.OwnFigure{Kind: "usable", Value: "0.8", State: "ready-to-use"}),
			paper(food.OwnFigure{Kind: "servings", State: "raw", Component: "vegetables", Unit: "lb", Value: "20", Size: "1/4 cup"})}}}
	d.gives(req, "vegetables 1/2 documented", "vegetables/dark-green 1/2 documented")
	// Of meats and of surimi, whose table is entered with what is left:
	// 60 oz x 1/2 / 10 = 3 oz: 1.
	surimi := d.in("surimi", "60 oz")
	surimi.Share = exact.Frac(1, 2)
	d.gives(d.ask(10, surimi), "meats 1 documented")
	surimi.Share = exact.MustParse("0.4999")
	d.gives(d.ask(10, surimi), "meats 1/4 documented")
}

// Soy milk credits only with its paper: without it, it waits for that, in a smoothie
// as elsewhere.
func TestSmoothieMilkWithoutItsPaper(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	rec := d.gives(d.smoothie(20, d.in("soy-milk", "5 cup")), "milk 0 needs paper")
	if c, ok := rec.Credit(food.Milk); !ok || c.Status != credit.NeedsPaper || !c.Step.IsZero() {
		t.Errorf("%+v", c)
	}
	if err := credit.Replay(rec); err != nil {
		t.Error(err)
	}
}
