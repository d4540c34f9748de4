package credit_test

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// tray is a batch of 200 oz eq of cheddar, 1600 g of flour and 50 cups of
// applesauce for 100 servings: 2 oz eq, 1 oz eq and 1/2 cup each.
func (d *desk) tray(portions ...recipe.Portion) credit.Request {
	d.Helper()
	sauce := d.in("applesauce-canned", "50 cup")
	sauce.Basis = "as-served"
	req := d.ask(100, d.in("cheddar", "12 lb 8 oz"), d.in("flour-all-purpose-enriched", "1600 g"), sauce)
	req.Recipe.Portions = portions
	return req
}

func TestPortionsOfOneBatch(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	weighed := func(s string) recipe.Portion { return recipe.Portion{Name: s, Weight: d.q(s)} }
	measured := func(s string) recipe.Portion { return recipe.Portion{Name: s, Measure: d.q(s)} }
	scoop := func(n int) recipe.Portion { return recipe.Portion{Name: fmt.Sprint("no. ", n), Scoop: n} }
	counted := func(n int) recipe.Portion { return recipe.Portion{Name: fmt.Sprint(n), Servings: n} }
	for _, c := range []struct {
		name          string
		first, second recipe.Portion
		servings      int // the batch makes at the second size; 0 when not whole
		grains, meats string
		fruits        string
	}{
		{"half, by weight", weighed("4 oz"), weighed("2 oz"), 200, "1/2", "1", "1/4"},
		{"double, by weight", weighed("4 oz"), weighed("8 oz"), 50, "2", "4", "1"},
		{"half, ounces and pounds", weighed("4 oz"), weighed("0.125 lb"), 200, "1/2", "1", "1/4"},
		{"160, by weight", weighed("4 oz"), weighed("2.5 oz"), 160, "1/2", "1 1/4", "1/4"},     // .625, 1.25, .3125
		{"not whole, by weight", weighed("3 oz"), weighed("2.8 oz"), 0, "3/4", "1 3/4", "3/8"}, // x 14/15: .9333, 1.8667, .4667
		{"exactly half as much again", weighed("3 oz"), weighed("4.5 oz"), 0, "1 1/2", "3", "3/4"},
		{"by servings", counted(0), counted(160), 160, "1/2", "1 1/4", "1/4"},
		{"servings go before the weight", weighed("4 oz"), recipe.Portion{Name: "both", Weight: d.q("4 oz"), Servings: 200}, 200, "1/2", "1", "1/4"},
		{"by measure", measured("1/2 cup"), measured("3/8 cup"), 0, "3/4", "1 1/2", "3/8"}, // x 3/4
		{"by scoop", scoop(8), scoop(16), 200, "1/2", "1", "1/4"},                          // 1/2 cup and 1/4 cup
		{"scoop and measure", scoop(8), measured("1/4 cup"), 200, "1/2", "1", "1/4"},
		{"by scoop, not whole", scoop(10), scoop(12), 120, "3/4", "1 1/2", "3/8"}, // x 10/12: .8333, 1.6667, .4167
		{"grams and grams", weighed("113 g"), weighed("56.5 g"), 200, "1/2", "1", "1/4"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := newDesk(t)
			req := d.tray(c.first, c.second)
			rec := d.gives(req, "grains 1 documented", "meats 2 documented", "fruits 1/2 documented")
			if len(rec.Also) != 1 {
				t.Fatalf("%d further records, want 1", len(rec.Also))
			}
			also := rec.Also[0]
			want := []string{"grains " + c.grains + " documented", "meats " + c.meats + " documented", "fruits " + c.fruits + " documented"}
			if got := told(also); !slices.Equal(got, want) {
				t.Errorf("the second credits %q, want %q", got, want)
			}
			if also.Portion.Name != c.second.Name {
				t.Errorf("the second record is of the portion %q", also.Portion.Name)
			}
			if c.servings == 0 {
				return
			}
			// A separate request with that many servings.
			alone := d.tray()
			alone.Recipe.Servings = c.servings
			single := d.credit(alone)
			for i := range single.Credits {
				a, b := &single.Credits[i], &also.Credits[i]
				if !a.Exact.Equal(b.Exact) || !a.Credited.Equal(b.Credited) || a.Status != b.Status || a.ToSpare.Amount.Cmp(b.ToSpare.Amount) != 0 {
					t.Errorf("%s: %s credits %s with %s to spare, alone %s credits %s with %s", a.Component, b.Exact.Fraction(), b.Credited, b.ToSpare.Amount.Fraction(), a.Exact.Fraction(), a.Credited, a.ToSpare.Amount.Fraction())
				}
			}
		})
	}
}

func TestManyPortions(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// Ten sizes, ten records: of 200 oz eq for 100 of 10 oz, n oz gives 2n/10.
	req := d.tray()
	for n := 10; n >= 1; n-- {
		req.Recipe.Portions = append(req.Recipe.Portions, recipe.Portion{Name: fmt.Sprint(n), Weight: measure.New(exact.Int(int64(n)), measure.Ounce)})
	}
	rec := d.credit(req)
	if len(rec.Also) != 9 {
		t.Fatalf("%d further records, want 9", len(rec.Also))
	}
	for i, also := range rec.Also {
		want, _ := exact.Frac(int64(2*(9-i)), 10).RoundDown(exact.Frac(1, 4))
		if c, _ := also.Credit(food.Meats); !c.Credited.Equal(want) {
			t.Errorf("%d oz credits %s, want %s", 9-i, c.Credited, want)
		}
	}
	req.Recipe.Portions = append(req.Recipe.Portions, recipe.Portion{Name: "one more", Servings: 7})
	d.refuses(req, "TOO_MANY recipe.portions")
}

func TestPortionSizesMissing(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	first := recipe.Portion{Name: "first", Weight: d.q("4 oz")}
	d.refuses(d.tray(first, recipe.Portion{Name: "larger"}), "MISSING recipe.portions[1]")
	d.refuses(d.tray(first, recipe.Portion{Name: "cup", Measure: d.q("1/2 cup")}), "MISSING recipe.portions[1]")
	d.refuses(d.tray(first, recipe.Portion{Name: "half", Servings: 200}, recipe.Portion{Name: "scoop", Scoop: 8}), "MISSING recipe.portions[2]")
	d.refuses(d.tray(recipe.Portion{Name: "first"}, recipe.Portion{Name: "weighed", Weight: d.q("4 oz")}), "MISSING recipe.portions[1]")
	d.refuses(d.tray(first, recipe.Portion{Name: "few", Servings: -1}), "OUT_OF_RANGE recipe.portions[1].servings", "MISSING recipe.portions[1]")
	d.refuses(d.tray(first, recipe.Portion{Name: "many", Servings: 1_000_001}), "OUT_OF_RANGE recipe.portions[1].servings")
	d.refuses(d.tray(recipe.Portion{Name: "first", Scoop: 8}, recipe.Portion{Name: "odd", Scoop: 9}), "UNKNOWN_VALUE recipe.portions[1].scoop", "MISSING recipe.portions[1]")
	d.refuses(d.tray(recipe.Portion{Name: "first", Weight: d.q("1 cup"), Measure: d.q("1 oz")}), "UNIT_DOES_NOT_FIT recipe.portions[0].weight", "UNIT_DOES_NOT_FIT recipe.portions[0].measure")
}

// TestPortionByItsOwnWeight: where grains go by the weight of the portion, each
// size goes by its own.
func TestPortionByItsOwnWeight(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// Group D: 55 g is 1 oz eq, 28 g is 1/2.
	req := d.ask(100, d.in("cheddar", "100 oz"))
	req.Recipe.ExhibitAGroup, req.Recipe.GrainsMethod = "D", recipe.ExhibitA
	req.Recipe.Portions = []recipe.Portion{{Name: "large", Weight: d.q("55 g")}, {Name: "small", Weight: d.q("28 g")}}
	rec := d.gives(req, "grains 1 documented", "meats 1 documented")
	if got, want := told(rec.Also[0]), []string{"grains 1/2 documented", "meats 1/2 documented"}; !slices.Equal(got, want) {
		t.Errorf("the small one credits %q, want %q", got, want)
	}
	// A size told by its servings has its share of the first one's weight: 200 in
	// place of 100, 27.5 g: 1/4, for 28 g are 1/2.
	req.Recipe.Portions[1] = recipe.Portion{Name: "half", Servings: 200}
	rec = d.gives(req, "grains 1 documented", "meats 1 documented")
	if got, want := told(rec.Also[0]), []string{"grains 1/4 documented", "meats 1/2 documented"}; !slices.Equal(got, want) {
		t.Errorf("half of it credits %q, want %q", got, want)
	}
}

// TestPortionsShareTheBatch: whatever the sizes, a portion that is n/m of the
// first credits, before rounding, n/m of what the first does.
func TestPortionsShareTheBatch(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	rapid.Check(t, func(t *rapid.T) {
		n := func(name string, most int64) int64 { return rapid.Int64Range(1, most).Draw(t, name) }
		a, b := n("first", 300), n("second", 300)
		req := credit.Request{On: d.date("2026-09-14"), Program: "school-lunch", Recipe: &recipe.Recipe{Name: "Tray", Servings: int(n("servings", 500)),
			Ingredients: []recipe.Ingredient{{Food: "cheddar", Quantity: measure.New(exact.Frac(n("cheddar", 9000), 10), measure.Ounce)}, {Food: "ground-beef-20", Quantity: measure.New(exact.Frac(n("beef", 9000), 16), measure.Pound)}},
			Portions:    []recipe.Portion{{Weight: measure.New(exact.Frac(a, 10), measure.Ounce)}, {Weight: measure.New(exact.Frac(b, 10), measure.Ounce)}}}}
		rec, err := d.engine.Credit(req)
		if err != nil {
			t.Fatal(err)
		}
		first, _ := rec.Credit(food.Meats)
		second, _ := rec.Also[0].Credit(food.Meats)
		if want := first.Exact.Mul(exact.Frac(b, a)); !second.Exact.Equal(want) {
			t.Fatalf("%d tenths of an ounce after %d: %s, want %s", b, a, second.Exact.Fraction(), want.Fraction())
		}
		if down, _ := second.Exact.RoundDown(exact.Frac(1, 4)); !down.Equal(second.Credited) {
			t.Fatalf("%s credits %s", second.Exact.Fraction(), second.Credited)
		}
		if err := credit.Replay(rec.Also[0]); err != nil {
			t.Fatal(err)
		}
	})
}
