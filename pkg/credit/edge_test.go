package credit_test

import (
	"errors"
	"fmt"
	"math/big"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// Cases whose answers stand in the reference notes or follow from them on
// paper. Each names where it comes from; none was taken from the engine.

const aDay = "2026-09-14"

func day(t testing.TB, s string) rules.Date {
	t.Helper()
	d, err := rules.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func qty(t testing.TB, s string) measure.Quantity {
	t.Helper()
	q, err := measure.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// line is an ingredient on the card: amount, food, and how it is served.
type line struct{ amount, food, state, basis, as, group string }

func batch(t testing.TB, servings int, lines ...line) *recipe.Recipe {
	t.Helper()
	r := &recipe.Recipe{Name: "Card", Servings: servings}
	for _, l := range lines {
		r.Ingredients = append(r.Ingredients, recipe.Ingredient{Food: l.food, Quantity: qty(t, l.amount), State: l.state, Basis: l.basis, CreditAs: l.as, ExhibitAGroup: l.group})
	}
	return r
}

func lunch(t testing.TB, r *recipe.Recipe, own ...food.Own) credit.Request {
	t.Helper()
	return credit.Request{Recipe: r, On: day(t, aDay), Program: "school-lunch", Foods: own}
}

func product(t testing.TB, group, weight string) credit.Request {
	t.Helper()
	return credit.Request{Product: &credit.Product{Name: "Product", Weight: qty(t, weight), ExhibitAGroup: group}, On: day(t, aDay), Program: "school-lunch"}
}

// expect checks one credit: the credited value, the exact one unless it is "",
// and the alternatives named, "" meaning that there is none of the kind.
func expect(t *testing.T, req credit.Request, component food.Component, subgroup food.Subgroup, credited, exactly string, alternatives map[credit.Basis]string) {
	t.Helper()
	rec := newKitchen(t).must(t, req)
	c, ok := rec.SubgroupCredit(component, subgroup)
	if !ok || c.Credited.Rat().Cmp(readRat(credited)) != 0 || exactly != "" && c.Exact.Rat().Cmp(readRat(exactly)) != 0 {
		t.Errorf("%s %s: credits %s of exactly %s (%v), want %s of %s\n%s", component, subgroup, c.Credited, c.Exact, ok, credited, exactly, show(&req))
	}
	for basis, want := range alternatives {
		i := slices.IndexFunc(c.Alternatives, func(a credit.Alternative) bool { return a.Basis == basis })
		switch {
		case i < 0 && want != "":
			t.Errorf("no alternative by %s, want %s\n%s", basis, want, show(&req))
		case i >= 0 && want == "":
			t.Errorf("an alternative by %s: %s\n%s", basis, c.Alternatives[i].Credited, show(&req))
		case i >= 0 && c.Alternatives[i].Credited.Rat().Cmp(readRat(want)) != 0:
			t.Errorf("the alternative by %s is %s, want %s\n%s", basis, c.Alternatives[i].Credited, want, show(&req))
		}
	}
	if err := credit.Replay(rec); err != nil {
		t.Errorf("replay: %v\n%s", err, show(&req))
	}
}

// CORRECTIONS.md, row 12.
func TestCasesWithoutAnswers(t *testing.T) {
	expect(t, product(t, "D", "41.5 g"), food.Grains, food.NoSubgroup, "1/2", "83/110", map[credit.Basis]string{credit.ExhibitADivision: "3/4"})
	expect(t, product(t, "G", "4.4 oz"), food.Grains, food.NoSubgroup, "1", "1", map[credit.Basis]string{credit.ExhibitAGrams: "3/4"})
	beef := line{amount: "12.7 lb", food: "ground-beef-20"}
	expect(t, lunch(t, batch(t, 100, beef)), food.Meats, food.NoSubgroup, "1 1/4", "1.4986", map[credit.Basis]string{credit.CookedShareWeight: "1 1/2"})
}

// crediting.md, section 6, "Where early rounding changes the answer", and row 6
// of CORRECTIONS.md: a portion that bakes to 51 g stays below 55 g.
func TestEarlyRoundingChangesAnswers(t *testing.T) {
	dish := batch(t, 1, line{amount: "0.7 oz", food: "cheddar", state: "as-is"}, line{amount: "0.2 cup", food: "pinto-beans-canned", basis: "as-served", state: "heated-drained", as: "meats"})
	expect(t, lunch(t, dish), food.Meats, food.NoSubgroup, "1 1/2", "1.5", nil)
	expect(t, product(t, "E", "2.4 oz"), food.Grains, food.NoSubgroup, "1", "1", map[credit.Basis]string{credit.ExhibitAGrams: "3/4"})
	expect(t, product(t, "D", "51 g"), food.Grains, food.NoSubgroup, "3/4", "51/55", nil)
}

// grainFood is a grain of the caller's, its share of creditable grain given.
func grainFood(id, use, share string) food.Own {
	f := food.Own{ID: id, Name: id, Components: []string{"grains"}, GrainKind: "enriched", GrainUse: use}
	if share != "" {
		f.Figures = []food.OwnFigure{{Kind: "grain-share", Value: share, Document: "Test card", Page: "1", Edition: "first"}}
	}
	return f
}

func meatFood(id, perOunce string) food.Own {
	return food.Own{ID: id, Name: id, Components: []string{"meats"}, Figures: []food.OwnFigure{
		{State: "cooked", Component: "meats", Kind: "servings", Unit: "oz", Value: perOunce, Size: "1 oz eq", Document: "Test card", Page: "1", Edition: "first"}}}
}

// toolchain.md, section 5, "Concrete inputs": sums on which float64 or decimals
// divided line by line lose a quarter. The mutants must lose it as the notes
// say, or they are not the arithmetics the notes measured.
func TestInputsThatInexactArithmeticLoses(t *testing.T) {
	for _, c := range []struct {
		grams, shares []string // sum of grams x share
		divisor       string   // over the grams in one
		servings      int
		want          string
		byFloat       float64 // 0: not in the notes
		byDecimal     string
	}{
		{[]string{"2268"}, []string{"0.6"}, "28.35", 48, "1.00", 0.75, ""},
		{[]string{"1747.1", "1036.3", "2204.3", "157.8", "195.954"}, []string{"0.85", "0.90", "0.83", "0.74", "1"}, "16", 60, "4.75", 4.5, ""},
		{[]string{"9.45", "9.45", "9.45"}, []string{"1", "1", "1"}, "28.35", 1, "1.00", 0, "0.75"},
		{[]string{"2598.1", "248.4", "2144.7", "0.494"}, []string{"0.87", "0.56", "0.65", "1"}, "28", 1, "135.50", 0, "135.25"},
	} {
		component, use := food.Grains, map[string]string{"16": "baked", "28": "cooked"}[c.divisor]
		if use == "" {
			component = food.Meats
		}
		sum := &card{servings: fmt.Sprint(c.servings), steps: map[string]string{"grains": "1/4", "meats": "1/4"}, least: "1/8"}
		var own []food.Own
		r := &recipe.Recipe{Name: "Card", Servings: c.servings}
		for i, g := range c.grams {
			id := fmt.Sprintf("own-%d", i)
			if use == "" {
				own = append(own, meatFood(id, c.shares[i]))
			} else {
				own = append(own, grainFood(id, use, c.shares[i]))
			}
			r.Ingredients = append(r.Ingredients, recipe.Ingredient{Food: id, Quantity: qty(t, g+" g")})
			sum.lines = append(sum.lines, reading{component: component.String(), amount: []factored{{g, "1"}}, by: []factor{{c.shares[i], false}, {c.divisor, true}}})
		}
		expect(t, lunch(t, r, own...), component, food.NoSubgroup, c.want, c.want, nil)
		if got := credits(&rationals, sum)[0].credited; got.Cmp(readRat(c.want)) != 0 {
			t.Errorf("%v: the oracle credits %s, want %s", c.grams, got, c.want)
		}
		if got := credits(&floats, sum)[0].credited; c.byFloat != 0 && got != c.byFloat {
			t.Errorf("%v: float64 credits %v, the notes have %v", c.grams, got, c.byFloat)
		}
		if got := credits(&decimals, sum)[0].credited; c.byDecimal != "" && !got.Equal(decimal.RequireFromString(c.byDecimal)) {
			t.Errorf("%v: decimals credit %s, the notes have %s", c.grams, got, c.byDecimal)
		}
	}
}

// TestBigNumbers: 500 lines of nine-digit fractions over a million servings. The
// common denominator has thousands of digits; the answer is exact all the same,
// and there in time.
func TestBigNumbers(t *testing.T) {
	k := newKitchen(t)
	r := &recipe.Recipe{Name: "Card", Servings: recipe.MaxServings}
	for i := range recipe.MaxIngredients {
		d := 999_999_937 - 2*i
		in := recipe.Ingredient{Food: fmt.Sprintf("pantry-meat-by-pound-%d", i%9), Quantity: qty(t, fmt.Sprintf("999999999 %d/%d lb", d-1, d))}
		if i%3 == 0 {
			in = recipe.Ingredient{Food: "pantry-baked-" + fmt.Sprint(i%8), Quantity: qty(t, fmt.Sprintf("%d.%09d kg", 999_999_999-i, 123_456_789+i))}
		}
		r.Ingredients = append(r.Ingredients, in)
	}
	req := lunch(t, r)
	start := time.Now()
	rec := k.must(t, req)
	if took := time.Since(start); took > 5*time.Second {
		t.Errorf("took %v", took)
	}
	if d := differs(rec.Credits, credits(&rationals, mustRead(t, k, &req))); d != "" {
		t.Error(d)
	}
	if m, _ := rec.Credit(food.Meats); m.Exact.Small() {
		t.Error("the sum stayed in 64 bits: the case is not big")
	}
	if err := credit.Replay(rec); err != nil {
		t.Error(err)
	}
}

// crediting.md, section 1.1: the printed weights, group by group, grams and
// ounces. One thousandth less earns the step below.
func TestPrintedWeightsOfExhibitA(t *testing.T) {
	steps := []string{"1", "3/4", "1/2", "1/4", "0"}
	for _, row := range []struct{ group, grams, ounces string }{
		{"A", "22 17 11 6", "0.8 0.6 0.4 0.2"},
		{"B", "28 21 14 7", "1.0 0.75 0.5 0.25"},
		{"C", "34 26 17 9", "1.2 0.9 0.6 0.3"},
		{"D", "55 42 28 14", "2.0 1.5 1.0 0.5"},
		{"E", "69 52 35 18", "2.4 1.8 1.2 0.6"},
		{"F", "82 62 41 21", "2.9 2.2 1.5 0.7"},
		{"G", "125 94 63 32", "4.4 3.3 2.2 1.1"},
	} {
		for unit, weights := range map[string]string{"g": row.grams, "oz": row.ounces} {
			least := strings.Fields(weights)
			full := readRat(least[0])
			for i, w := range least {
				below := new(big.Rat).Sub(readRat(w), big.NewRat(1, 1000)).FloatString(3)
				expect(t, product(t, row.group, w+" "+unit), food.Grains, food.NoSubgroup, steps[i], "", nil)
				expect(t, product(t, row.group, below+" "+unit), food.Grains, food.NoSubgroup, steps[i+1], "", nil)
				// Two whole ones below it, and it: 2 and the same fraction.
				more := new(big.Rat).Add(new(big.Rat).Add(full, full), readRat(w)).FloatString(3)
				expect(t, product(t, row.group, more+" "+unit), food.Grains, food.NoSubgroup, "2 "+steps[i], "", nil)
			}
		}
	}
}

// CORRECTIONS.md, row 5: the divisor follows the use of the ingredient.
func TestDivisorFollowsUse(t *testing.T) {
	expect(t, lunch(t, batch(t, 1, line{amount: "28 g", food: "pasta-elbow-enriched"}, line{amount: "16 g", food: "flour-all-purpose-enriched"})), food.Grains, food.NoSubgroup, "2", "2", nil)
	oats := line{amount: "28 g", food: "oats-rolled", group: "H"}
	expect(t, lunch(t, batch(t, 1, oats)), food.Grains, food.NoSubgroup, "1", "1", nil)
	oats.group = "D"
	expect(t, lunch(t, batch(t, 1, oats)), food.Grains, food.NoSubgroup, "1 3/4", "1.75", nil)
	// 28.35 g in an ounce: 16 oz are 453.6 g, not 453.59237.
	expect(t, lunch(t, batch(t, 1, line{amount: "1 lb", food: "flour-all-purpose-enriched"})), food.Grains, food.NoSubgroup, "28 1/4", "28.35", nil)
}

// crediting.md, section 2: dried fruit counts twice, from 1/8 cup as served on;
// section 3: raw leafy greens count half, cooked greens in full.
func TestDriedFruitAndLeafyGreens(t *testing.T) {
	dried := func(amount string) credit.Request {
		return lunch(t, batch(t, 16, line{amount: amount, food: "raisins", state: "as-is"}))
	}
	expect(t, dried("2 cup"), food.Fruits, food.NoSubgroup, "1/4", "1/4", nil)
	expect(t, dried("4 cup"), food.Fruits, food.NoSubgroup, "1/2", "1/2", nil)
	expect(t, dried("1.999 cup"), food.Fruits, food.NoSubgroup, "0", "0", map[credit.Basis]string{credit.DriedFruitCounted: "1/8"})
	expect(t, dried("1 cup"), food.Fruits, food.NoSubgroup, "0", "0", nil)
	leafy := func(amount, state, basis string) credit.Request {
		return lunch(t, batch(t, 100, line{amount: amount, food: "spinach-fresh", state: state, basis: basis}))
	}
	expect(t, leafy("25 cup", "raw", "as-served"), food.Vegetables, food.DarkGreen, "1/8", "1/8", nil)
	expect(t, leafy("24.999 cup", "raw", "as-served"), food.Vegetables, food.DarkGreen, "0", "", nil)
	expect(t, leafy("25 cup", "cooked", "as-served"), food.Vegetables, food.DarkGreen, "1/4", "1/4", nil)
}

// CORRECTIONS.md, row 1: a large egg of about 50 g credits 2 oz eq in a recipe;
// crediting.md, section 1.3: 3 cups of popped popcorn make 1, 3/4 cup makes 1/4;
// section 4.1: 1/4 cup of cooked beans makes 1 oz eq.
func TestEverydayAmounts(t *testing.T) {
	expect(t, lunch(t, batch(t, 12, line{amount: "1 dozen", food: "eggs-large", state: "cooked"})), food.Meats, food.NoSubgroup, "2", "2", nil)
	expect(t, lunch(t, batch(t, 1, line{amount: "3 cup", food: "popcorn"})), food.Grains, food.NoSubgroup, "1", "1", nil)
	expect(t, lunch(t, batch(t, 1, line{amount: "3/4 cup", food: "popcorn"})), food.Grains, food.NoSubgroup, "1/4", "1/4", nil)
	for _, beans := range []string{"pinto-beans-dry", "black-beans-canned"} {
		cooked := line{amount: "25 cup", food: beans, state: "cooked", basis: "as-served", as: "meats"}
		if beans == "black-beans-canned" {
			cooked.state = "heated-drained"
		}
		expect(t, lunch(t, batch(t, 100, cooked)), food.Meats, food.NoSubgroup, "1", "1", nil)
		cooked.as = "vegetables"
		r := lunch(t, batch(t, 100, cooked))
		expect(t, r, food.Vegetables, food.BeansPeasLentils, "1/4", "1/4", nil)
		if _, both := newKitchen(t).must(t, r).Credit(food.Meats); both {
			t.Errorf("%s credit as both components", beans)
		}
	}
}

// crediting.md, section 3: beans are a vegetable or a meat alternate, never both
// in one dish since the 2024 rule; either order of the lines is refused.
func TestBeansAreNeverBoth(t *testing.T) {
	vegetable := line{amount: "20 lb", food: "pinto-beans-dry", as: "vegetables"}
	meat := line{amount: "20 lb", food: "kidney-beans-dry", as: "meats"}
	for _, lines := range [][]line{{vegetable, meat}, {meat, vegetable}} {
		_, err := newKitchen(t).engine.Credit(lunch(t, batch(t, 100, lines...)))
		var faults *fault.List
		if !errors.As(err, &faults) || faults.Faults[0].Reason != fault.Conflicting {
			t.Errorf("%v, want %s", err, fault.Conflicting)
		}
	}
	meat.food = vegetable.food
	vegetable.as = "meats"
	expect(t, lunch(t, batch(t, 100, vegetable, meat)), food.Meats, food.NoSubgroup, "8 1/4", "8.4", nil) // 40 lb at 21
}

// DESIGN.md, the engine: a no. 10 can of black beans gives 27.8 quarter cups
// heated, 45.0 not; the engine asks when that matters and only then.
func TestCannedBeansAskWhenItMatters(t *testing.T) {
	can := line{amount: "1 can no. 10", food: "black-beans-canned"}
	_, err := newKitchen(t).engine.Credit(lunch(t, batch(t, 40, can))) // 0.17 or 0.28 cup
	var faults *fault.List
	if !errors.As(err, &faults) || faults.Faults[0].Reason != fault.StateNeeded || faults.Faults[0].Path != "recipe.ingredients[0].state" {
		t.Errorf("40 servings of a can: %v, want a question about the state", err)
	}
	expect(t, lunch(t, batch(t, 50, can)), food.Vegetables, food.NoSubgroup, "1/8", "0.139", nil) // or 0.225
	can.state = "drained-unheated"
	expect(t, lunch(t, batch(t, 40, can)), food.Vegetables, food.NoSubgroup, "1/4", "0.28125", nil)
	can.state = "heated-drained"
	expect(t, lunch(t, batch(t, 40, can)), food.Vegetables, food.NoSubgroup, "1/8", "0.17375", nil)
}

// gaps.md, section 8: the vegetable total and each subgroup are rounded down
// once on their own exact sums; floored subgroups are never added up.
func TestFlooredSubgroupsAreNeverAddedUp(t *testing.T) {
	greens := line{amount: "15 cup", food: "spinach-fresh", state: "cooked", basis: "as-served"}  // 0.15
	carrots := line{amount: "11 cup", food: "carrots-fresh", state: "cooked", basis: "as-served"} // 0.11
	r := lunch(t, batch(t, 100, greens, carrots))
	r.Program = "school-breakfast" // at lunch what is left over counts as other
	expect(t, r, food.Vegetables, food.NoSubgroup, "1/4", "0.26", nil)
	expect(t, r, food.Vegetables, food.DarkGreen, "1/8", "0.15", nil)
	expect(t, r, food.Vegetables, food.RedOrange, "0", "0.11", nil)
	expect(t, r, food.Vegetables, food.Additional, "1/8", "1/8", nil)
}

// crediting.md, section 1.5, and row 16 of CORRECTIONS.md: the day grains turn
// from servings of 14.75 g into ounce equivalents of 16 g.
func TestGrainsOnTheDayTheyChange(t *testing.T) {
	r := batch(t, 1, line{amount: "14.75 g", food: "flour-all-purpose-enriched"})
	for _, c := range []struct{ program, before, from string }{
		{"school-lunch", "2012-06-30", "2012-07-01"}, {"school-breakfast", "2012-06-30", "2012-07-01"},
		{"child-adult-care", "2021-09-30", "2021-10-01"}, {"preschool", "2021-09-30", "2021-10-01"}, {"afterschool-snack", "2025-06-30", "2025-07-01"},
	} {
		expect(t, credit.Request{Recipe: r, On: day(t, c.before), Program: c.program}, food.Grains, food.NoSubgroup, "1", "1", nil)
		expect(t, credit.Request{Recipe: r, On: day(t, c.from), Program: c.program}, food.Grains, food.NoSubgroup, "3/4", "0.921875", nil)
	}
}

// gaps.md, section 1: the serving chart of summer meals is rounded to the
// nearest gram, so the chart binds and not the division.
func TestServingChartOfSummerMeals(t *testing.T) {
	for _, c := range []struct{ group, weight, want string }{{"B", "6 g", "1/4"}, {"B", "5.999 g", "0"}, {"C", "23 g", "3/4"}, {"C", "22.999 g", "1/2"}, {"D", "38 g", "3/4"}, {"D", "37.999 g", "0"}} {
		req := product(t, c.group, c.weight)
		req.Program = "summer"
		expect(t, req, food.Grains, food.NoSubgroup, c.want, "", nil)
	}
}

// The same chart binds where the product is the only grain of a dish, or held
// beside other grain.
func TestServingChartInADish(t *testing.T) {
	for _, c := range []struct {
		lines []line
		want  string
	}{
		{[]line{{amount: "6 g", food: "pantry-product-b"}}, "1/4"},
		{[]line{{amount: "5.999 g", food: "pantry-product-b"}}, "0"},
		{[]line{{amount: "3 g", food: "pantry-product-b"}, {amount: "3 g", food: "pantry-product-b"}}, "1/4"},
		{[]line{{amount: "23 g", food: "pantry-product-c"}}, "3/4"},
		{[]line{{amount: "22.999 g", food: "pantry-product-c"}}, "1/2"},
		{[]line{{amount: "6 g", food: "pantry-product-b"}, {amount: "1 g", food: "flour-all-purpose-enriched"}}, "1/4"},
		// One product in two columns: 0.24 + 0.222 by division, not 1/4 twice.
		{[]line{{amount: "6 g", food: "pantry-product-b"}, {amount: "0.2 oz", food: "pantry-product-b"}}, "1/4"},
		{[]line{{amount: "6 g", food: "pantry-product-b"}, {amount: "0.001 oz", food: "pantry-product-b"}}, "1/4"},
		{[]line{{amount: "19 g", food: "pantry-product-b"}, {amount: "0.2 oz", food: "pantry-product-b"}}, "3/4"},
		{[]line{{amount: "19 g", food: "pantry-product-b"}, {amount: "0.5 oz", food: "pantry-product-b"}}, "1 1/4"},
		{[]line{{amount: "6 g", food: "pantry-product-b"}, {amount: "0.25 oz", food: "pantry-product-b"}, {amount: "3 g", food: "pantry-product-b"}}, "1/2"},
	} {
		req := lunch(t, batch(t, 1, c.lines...))
		req.Program = "summer"
		expect(t, req, food.Grains, food.NoSubgroup, c.want, "", nil)
	}
}

// Where each ingredient rounded down before adding credits another step, the
// record prints that beside its own: crediting.md, section 6. One food on two
// lines is one ingredient, and foods that bring a step each change nothing.
func TestEachIngredientRoundedDown(t *testing.T) {
	cheese, beans := line{amount: "7 oz", food: "cheddar"}, line{amount: "2 cup", food: "black-beans-dry", state: "cooked", basis: "as-served", as: "meats"}
	each := func(want string) map[credit.Basis]string { return map[credit.Basis]string{credit.EachRounded: want} }
	expect(t, lunch(t, batch(t, 10, cheese, beans)), food.Meats, food.NoSubgroup, "1 1/2", "1.5", each("1 1/4")) // 0.70 + 0.80
	half := line{amount: "3.5 oz", food: "cheddar"}
	expect(t, lunch(t, batch(t, 10, half, beans, half)), food.Meats, food.NoSubgroup, "1 1/2", "1.5", each("1 1/4"))
	expect(t, lunch(t, batch(t, 10, half, half)), food.Meats, food.NoSubgroup, "1/2", "0.7", each(""))
	expect(t, lunch(t, batch(t, 10, line{amount: "7.5 oz", food: "cheddar"}, line{amount: "5 oz", food: "mozzarella"})), food.Meats, food.NoSubgroup, "1 1/4", "1.25", each(""))
	// Vegetables and fruits by eighths, whatever their subgroups: 0.2 + 0.2.
	expect(t, lunch(t, batch(t, 10, served("2 cup", "carrots-fresh"), served("2 cup", "corn-frozen"))), food.Vegetables, food.NoSubgroup, "3/8", "0.4", each("1/4"))
	expect(t, lunch(t, batch(t, 10, line{amount: "2 cup", food: "apples-fresh", state: "raw"}, line{amount: "2 cup", food: "pears-fresh", state: "raw"})), food.Fruits, food.NoSubgroup, "3/8", "0.4", each("1/4"))
	// A food in two states is two ingredients: 0.07 + 0.07.
	raw := line{amount: "0.7 cup", food: "carrots-fresh", state: "raw", basis: "as-served"}
	expect(t, lunch(t, batch(t, 10, served("0.7 cup", "carrots-fresh"), raw)), food.Vegetables, food.NoSubgroup, "1/8", "0.14", each("0"))
	expect(t, lunch(t, batch(t, 10, raw, raw)), food.Vegetables, food.NoSubgroup, "1/8", "0.14", each(""))
	// Grains; a bought product by its printed weight: 1/2 + 0.2 + 0.1, or 1/2 alone.
	muffin, flour, rice := line{amount: "415 g", food: "pantry-product-d"}, line{amount: "32 g", food: "flour-all-purpose-enriched"}, line{amount: "28 g", food: "brown-rice-long"}
	expect(t, lunch(t, batch(t, 10, muffin, flour, rice)), food.Grains, food.NoSubgroup, "3/4", "", each("1/2"))
	expect(t, lunch(t, batch(t, 10, muffin)), food.Grains, food.NoSubgroup, "1/2", "", each(""))
}

// A bought product keeps to its printed step whatever stands beside it: 41.5 g of
// group D are below the 42 g of 3/4, with a milligram of flour as without, and in
// grams and ounces as in grams alone.
func TestACrumbLiftsNoProduct(t *testing.T) {
	muffin := line{amount: "41.5 g", food: "pantry-product-d"}
	pooled := map[credit.Basis]string{credit.ExhibitAPooled: "3/4"}
	expect(t, lunch(t, batch(t, 1, muffin)), food.Grains, food.NoSubgroup, "1/2", "83/110", pooled)
	expect(t, lunch(t, batch(t, 1, muffin, line{amount: "1/1000 g", food: "flour-all-purpose-enriched"})), food.Grains, food.NoSubgroup, "1/2", "", pooled)
	expect(t, lunch(t, batch(t, 1, muffin, line{amount: "1/1000 oz", food: "pantry-product-d"})), food.Grains, food.NoSubgroup, "1/2", "", pooled)
	expect(t, lunch(t, batch(t, 1, muffin, line{amount: "1/1000 g", food: "pantry-product-a"})), food.Grains, food.NoSubgroup, "1/2", "", pooled)
	// What is beside it counts in full: 1/2 + 1/4.
	expect(t, lunch(t, batch(t, 1, muffin, line{amount: "4 g", food: "flour-all-purpose-enriched"})), food.Grains, food.NoSubgroup, "3/4", "", map[credit.Basis]string{credit.ExhibitAPooled: "1"})
	// By division nothing is held.
	r := lunch(t, batch(t, 1, muffin, line{amount: "1/1000 g", food: "flour-all-purpose-enriched"}))
	for _, options := range []map[string]string{{"exhibit-a-fractions": "division"}, {"non-table-exhibit-a": "pooled"}} {
		r.Options = options
		expect(t, r, food.Grains, food.NoSubgroup, "3/4", "", nil)
	}
}

// A printed weight from memory credits, and nothing of it is claimable: 0.7 oz of
// group F, alone and beside what is documented.
func TestHeldByAWeightFromMemory(t *testing.T) {
	for _, x := range []struct{ flour, credited, claimable string }{{"", "1/4", "0"}, {"8 g", "3/4", "1/2"}} {
		lines := []line{{amount: "0.7 oz", food: "pantry-product-f"}}
		if x.flour != "" {
			lines = append(lines, line{amount: x.flour, food: "flour-all-purpose-enriched"})
		}
		c, _ := newKitchen(t).must(t, lunch(t, batch(t, 1, lines...))).Credit(food.Grains)
		if c.Status != credit.Estimate || c.Credited.String() != x.credited || c.Claimable.String() != x.claimable {
			t.Errorf("with %q of flour: credits %s, %s, claimable %s; want %s, estimate, %s", x.flour, c.Credited, c.Status, c.Claimable, x.credited, x.claimable)
		}
	}
}

// How oats are used decides nothing where the product beside them is held: 1/2 +
// 0.125 baked in, 1/2 + 0.071 cooked. The most they bring stands beside the held
// product too, not beside its division of 0.7545.
func TestNoQuestionAboutOatsBesideAHeldProduct(t *testing.T) {
	lines := []line{{amount: "41.5 g", food: "pantry-product-d"}, {amount: "2 g", food: "oats-rolled"}}
	expect(t, lunch(t, batch(t, 1, lines...)), food.Grains, food.NoSubgroup, "1/2", "", nil)
	lines[1].amount = "4 g" // 1/2 + 1/4, or 1/2 + 1/7
	if _, err := newKitchen(t).engine.Credit(lunch(t, batch(t, 1, lines...))); err == nil {
		t.Error("no question, and the use of the oats decides a step")
	}
}

// What is to spare, and what is missing, at places where the credit is no plain
// share of the amount: Exhibit A by its printed weights, where 17 g of group A
// is the least for 3/4; the serving chart, whose least weights are no shares of
// the whole; and dried fruit at its least.
func TestToSpareWhereTheCreditIsNoShare(t *testing.T) {
	k := newKitchen(t)
	spare := func(req credit.Request, c food.Component, spare, next string) {
		t.Helper()
		k.checkSpares(t, req)
		got, _ := k.must(t, req).Credit(c)
		if got.ToSpare.Amount.Rat().Cmp(readRat(spare)) != 0 || next != "" && got.ToNext.Amount.Rat().Cmp(readRat(next)) != 0 {
			t.Errorf("%s to spare and %s to the next step, want %s and %s\n%s", got.ToSpare.Amount, got.ToNext.Amount, spare, next, show(&req))
		}
	}
	spare(lunch(t, batch(t, 1, line{amount: "17 g", food: "pantry-product-a"})), food.Grains, "0", "5")
	spare(lunch(t, batch(t, 1, line{amount: "45 g", food: "pantry-product-d"})), food.Grains, "3", "10")
	spare(lunch(t, batch(t, 1, line{amount: "30 g", food: "pantry-product-d"})), food.Grains, "2", "12")
	spare(lunch(t, batch(t, 100, line{amount: "12.5 cup", food: "raisins", state: "as-is"}, line{amount: "5 cup", food: "apples-fresh", state: "raw"})), food.Fruits, "0", "3.75")
	servings := credit.Request{Recipe: batch(t, 1, line{amount: "2 oz", food: "pantry-product-a"}), On: day(t, "2019-11-04"), Program: "preschool"}
	spare(servings, food.Grains, "0.1", "0.1") // 2 of 0.7 oz and the 0.5 oz of 3/4 are 1.9 oz; 2.1 oz make 3
	// Beside a quarter of flour: of a muffin of 43 g what is above the 42 g of 3/4.
	spare(lunch(t, batch(t, 1, line{amount: "43 g", food: "pantry-product-d"}, line{amount: "4 g", food: "flour-all-purpose-enriched"})), food.Grains, "1", "12")
	// Flour that is the most of the grain: 3/4 + 0.0625 beside the muffin's 0.
	spare(lunch(t, batch(t, 1, line{amount: "13 g", food: "pantry-product-d"}, line{amount: "13 g", food: "flour-all-purpose-enriched"})), food.Grains, "1", "3")
}

// An answer equal to the credit is none beside it, also after the printed
// weights have lowered the credit.
func TestNoAlternativeEqualsTheCredit(t *testing.T) {
	req := lunch(t, batch(t, 1, line{amount: "55/417 cup", food: "pantry-product-2-a"})) // 5.5 g, exactly 1/4 by division, 0.249 by hand, 6 g printed
	c, _ := newKitchen(t).must(t, req).Credit(food.Grains)
	if !c.Credited.IsZero() {
		t.Fatalf("credits %s", c.Credited)
	}
	for _, a := range c.Alternatives {
		if a.Credited.Equal(c.Credited) {
			t.Errorf("%s credits %s as well", a.Basis, a.Credited)
		}
	}
}

// A usable share of the caller's that names no state is the share of the food:
// a pound as bought is half a pound usable, in both directions.
func TestUsableShareOfTheCaller(t *testing.T) {
	own := food.Own{ID: "own-fruit", Name: "own fruit", Components: []string{"fruits"}, Figures: []food.OwnFigure{
		{State: "cooked", Component: "fruits", Kind: "servings", Unit: "lb", Value: "10", Size: "1/4 cup"},
		{Kind: "usable", Value: "0.5"}, {State: "raw", Kind: "cup", Value: "226.8"}}}
	usable := line{amount: "1 lb", food: "own-fruit", basis: "usable", state: "cooked"}
	expect(t, lunch(t, batch(t, 1, usable), own), food.Fruits, food.NoSubgroup, "5", "5", nil)
	bought := line{amount: "1 lb", food: "own-fruit", state: "raw"} // 453.6 g, half of it eaten, 226.8 g a cup
	expect(t, lunch(t, batch(t, 1, bought), own), food.Fruits, food.NoSubgroup, "1", "1", nil)
}

// A usable share of one cut alone says that something is trimmed away, not how
// much of another cut: the whole weight as bought may not be credited.
func TestUsableShareOfOneCut(t *testing.T) {
	own := food.Own{ID: "own-fruit", Name: "own fruit", Components: []string{"fruits"}, Figures: []food.OwnFigure{
		{State: "raw-peeled", Kind: "usable", Value: "0.5"}, {State: "raw", Kind: "cup", Value: "226.8"}}}
	k := newKitchen(t)
	bought := lunch(t, batch(t, 1, line{amount: "1 lb", food: "own-fruit", state: "raw"}), own)
	if rec, err := k.engine.Credit(bought); err == nil {
		c, _ := rec.Credit(food.Fruits)
		if !c.Credited.IsZero() {
			t.Errorf("untrimmed, credits %s cup", c.Credited)
		}
	}
	usable := line{amount: "1 lb", food: "own-fruit", basis: "usable", state: "raw"} // 453.6 g trimmed, 226.8 g a cup
	expect(t, lunch(t, batch(t, 1, usable), own), food.Fruits, food.NoSubgroup, "2", "2", nil)
}

// A volume as served is what is on the plate. It may not be read as a volume of
// the food as bought: a cup of reconstituted egg is no cup of egg powder.
func TestVolumeAsServedIsNotAsBought(t *testing.T) {
	k := newKitchen(t)
	for _, f := range []struct{ id, state string }{{"eggs-dried", "reconstituted"}, {"eggs-frozen", "cooked"}} {
		r := batch(t, 100, line{amount: "25 cup", food: f.id, state: f.state, basis: "as-served"})
		rec, err := k.engine.Credit(lunch(t, r))
		if err != nil {
			continue // no figure leads there: asking for another amount is right
		}
		for _, s := range rec.Steps {
			for _, term := range s.Terms {
				if term.Figure >= 0 && term.Step < 0 && rec.Figures[term.Figure].Unit == "g per cup" {
					c, _ := rec.Credit(food.Meats)
					t.Errorf("%s as served, %s: credits %s through the cup weight of %s", f.id, f.state, c.Credited, rec.Figures[term.Figure].Name)
				}
			}
		}
	}
}

// hazards are amounts that programs read and people do not write.
var hazards = []string{
	"1E1000000000", "1e9", "1E-1000000000", "0x10", "1_000", "1e+5", "NaN", "Inf", "-Inf", "Infinity", "∞", "-1", "+1", "−1", "--1", "1.5.2", "1,000,000,0",
	"١", "٣٫٥", "१२", "１２", "²", "½½", "1/0", "0/0", "0", "0.0", "1/", "9999999999", "0.0000000001", "1\x00", "\xff", "\u202e1",
	strings.Repeat("9", 10<<20), "0." + strings.Repeat("3", 10<<20), strings.Repeat("1/", 5<<20), strings.Repeat("-", 10<<20),
}

func name(s string) string {
	if len(s) > 20 {
		return fmt.Sprintf("%q and %d bytes more", s[:10], len(s)-10)
	}
	return fmt.Sprintf("%q", s)
}

// toolchain.md, section 5: numbers are refused before anything is made of them.
func TestHazardousAmounts(t *testing.T) {
	k := newKitchen(t)
	for _, h := range hazards {
		texts := []string{h, h + " lb", h + "lb", "1 lb " + h + " oz", "1/" + h + " lb"}
		if h == "0" || h == "0.0" {
			texts = texts[:3] // "1 lb 0 oz" is an amount
		}
		for _, text := range texts {
			start := time.Now()
			q, err := measure.Parse(text)
			if took := time.Since(start); took > 5*time.Second {
				t.Errorf("%s: took %v to refuse", name(text), took)
			}
			if err == nil {
				t.Errorf("%s is read as %s", name(text), q.Amount())
			} else if len(err.Error()) > 2000 {
				t.Errorf("%s: a message of %d bytes", name(text), len(err.Error()))
			}
		}
		// The same as a figure of the caller's: refused with its path, quickly.
		own := meatFood("own-meat", h)
		start := time.Now()
		_, err := k.engine.Credit(lunch(t, batch(t, 1, line{amount: "1 lb", food: "own-meat"}), own))
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("figure %s: took %v to refuse", name(h), took)
		}
		var faults *fault.List
		if !errors.As(err, &faults) || !strings.HasPrefix(faults.Faults[0].Path, "foods[0].figures[0]") {
			t.Errorf("figure %s: %.200v, want a fault at foods[0].figures[0]", name(h), err)
			continue
		}
		if n := len(err.Error()); n > 2000 {
			t.Errorf("figure %s: a message of %d bytes", name(h), n)
		}
	}
}

// The same request gets the same answer when the answer is no: every fault, in
// the same order, with this request's own date, whoever asked before.
func TestSameFaults(t *testing.T) {
	k := newKitchen(t)
	long := strings.Repeat("x", 1000)
	own := meatFood("own-meat", "1")
	own.Figures[0].Document, own.Figures[0].Page, own.Figures[0].Edition = long, long, long
	r := batch(t, 1, line{amount: "1 lb", food: "own-meat"}, line{amount: "3 cup", food: "popcorn"})
	faults := func(on string, own ...food.Own) *fault.List {
		req := lunch(t, r, own...)
		req.On = day(t, on)
		_, err := k.engine.Credit(req)
		var l *fault.List
		if !errors.As(err, &l) {
			t.Fatalf("%v", err)
		}
		return l
	}
	first := faults(aDay, own)
	for range 50 {
		if again := faults(aDay, own); !reflect.DeepEqual(first, again) {
			t.Fatalf("asked again:\n%v\n---\n%v", first, again)
		}
	}
	own = meatFood("own-meat", "1")
	for _, on := range []string{"2018-01-02", "2018-03-05", "2018-01-02"} { // popcorn credits from 2019-04-17
		if l := faults(on, own); l.Faults[0].Reason != fault.RuleNotInForce || l.Faults[0].Value != on {
			t.Errorf("served on %s: %v", on, l)
		}
	}
}

// A record that was changed by hand does not replay.
func TestReplayNoticesChanges(t *testing.T) {
	k := newKitchen(t)
	req := lunch(t, batch(t, 100, line{amount: "5 lb", food: "flour-all-purpose-enriched"}, line{amount: "12.7 lb", food: "ground-beef-20"},
		line{amount: "15 cup", food: "spinach-fresh", state: "cooked", basis: "as-served"}))
	quarter := exact.Frac(1, 4)
	for what, change := range map[string]func(*credit.Record){
		"a credit":           func(r *credit.Record) { r.Credits[0].Credited = r.Credits[0].Credited.Add(quarter) },
		"an exact value":     func(r *credit.Record) { r.Credits[0].Exact = r.Credits[0].Exact.Add(quarter) },
		"a step's value":     func(r *credit.Record) { r.Steps[0].Value = r.Steps[0].Value.Add(quarter) },
		"a step's start":     func(r *credit.Record) { r.Steps[0].Start = r.Steps[0].Start.Add(quarter) },
		"an amount":          func(r *credit.Record) { r.Ingredients[0].Quantity = qty(t, "6 lb") },
		"an amount's unit":   func(r *credit.Record) { r.Ingredients[0].Quantity = qty(t, "5 cup") },
		"the servings":       func(r *credit.Record) { r.Servings = 50 },
		"a line's credit":    func(r *credit.Record) { r.Ingredients[0].Credit = r.Ingredients[0].Credit.Add(quarter) },
		"a forgotten step":   func(r *credit.Record) { r.Steps = r.Steps[:len(r.Steps)-1] },
		"the last step":      func(r *credit.Record) { r.Credits[0].LastStep = -1 },
		"a step too far":     func(r *credit.Record) { r.Credits[0].LastStep = len(r.Steps) },
		"a later step":       func(r *credit.Record) { r.Steps[0].Terms = []credit.Term{{Op: credit.Plus, Figure: -1, Step: 5}} },
		"no operand":         func(r *credit.Record) { r.Steps[0].Terms = []credit.Term{{Op: credit.Plus, Figure: -1, Step: -1}} },
		"a missing figure":   func(r *credit.Record) { r.Steps[0].Terms = []credit.Term{{Op: credit.Times, Figure: 999, Step: -1}} },
		"another operation":  func(r *credit.Record) { r.Steps[0].Terms[0].Op = 99 },
		"a start's unit":     func(r *credit.Record) { r.Steps[0].Unit = nil },
		"no such ingredient": func(r *credit.Record) { r.Steps[0].Ingredient = 99 },
		"no amount":          func(r *credit.Record) { r.Ingredients[0].Quantity = measure.Quantity{} },
		"a figure": func(r *credit.Record) {
			g := *r.Figures[0]
			g.Used = g.Used.Add(quarter)
			r.Figures[0] = &g
		},
		"a figure by 0": func(r *credit.Record) {
			g := *r.Figures[1]
			g.Used = exact.Number{}
			r.Figures[1] = &g
		},
	} {
		t.Run(what, func(t *testing.T) {
			rec := k.must(t, req)
			if err := credit.Replay(rec); err != nil {
				t.Fatal(err)
			}
			defer func() {
				if p := recover(); p != nil {
					t.Errorf("panics: %v", p)
				}
			}()
			change(rec)
			if credit.Replay(rec) == nil {
				t.Error("replays")
			}
		})
	}
}
