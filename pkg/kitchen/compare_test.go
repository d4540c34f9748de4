package kitchen_test

import (
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/source"
)

// readRows reads a table with a header, each row as a map.
func readRows(t testing.TB, file string) []map[string]string {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, r := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = r[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// TestSwapsByHand runs the substitutions of testdata/kitchen/swaps.
func TestSwapsByHand(t *testing.T) {
	b := newBench(t)
	rows := readRows(t, "../../testdata/kitchen/swaps/swaps.csv")
	if len(rows) < 25 {
		t.Fatalf("%d substitutions, want at least 25", len(rows))
	}
	for _, row := range rows {
		t.Run(row["id"], func(t *testing.T) {
			servings, err := strconv.Atoi(row["servings"])
			if err != nil {
				t.Fatal(err)
			}
			swap := kitchen.Swap{Path: "0", Food: row["swap"], State: row["to_state"], Basis: row["to_basis"]}
			swap.Keep, _ = kitchen.ParseKeep(row["keep"])
			if row["amount"] != "" {
				swap.Amount = quantity(t, row["amount"])
			}
			out, err := b.Compare(kitchen.CompareRequest{Swaps: []kitchen.Swap{swap},
				Request: lunch(&recipe.Recipe{Name: "Creek batch", Servings: servings, ExhibitAGroup: row["group"],
					Ingredients: []recipe.Ingredient{{Food: row["food"], State: row["state"], Basis: row["basis"], CreditAs: row["as"], Quantity: quantity(t, row["quantity"])}}})})
			if err != nil {
				t.Fatal(err)
			}
			expect := func(what, got, want string) {
				if got != want {
					t.Errorf("%s: got %s, want %s (%s)", what, got, want, row["why"])
				}
			}
			expect("taken", out.Swaps[0].Kitchen.Text(), row["taken"])
			for _, c := range strings.FieldsFunc(row["credits"], func(r rune) bool { return r == ';' }) {
				key, want, _ := strings.Cut(c, " ")
				comp, sub, _ := strings.Cut(key, "/")
				got := "0>0"
				for i := range out.Credits {
					if s := &out.Credits[i]; s.Component.String() == comp && s.Subgroup.String() == sub {
						got = s.Before.Credited.String() + ">" + s.After.Credited.String()
					}
				}
				expect(key, got, want)
			}
			if row["credits"] == "" && len(out.Credits) > 0 {
				t.Errorf("credits %v, want none", out.Credits)
			}
			expect("gained", strings.Join(out.AllergensGained, " "), row["gained"])
			expect("lost", strings.Join(out.AllergensLost, " "), row["lost"])
			yes := map[bool]string{true: "yes", false: "no"}
			expect("gluten", yes[out.Cautions[0].Gluten.Listed]+">"+yes[out.Cautions[1].Gluten.Listed], row["gluten"])
			var said []string
			for _, f := range out.Findings {
				if !slices.Contains(said, string(f.Reason)) {
					said = append(said, string(f.Reason))
				}
			}
			slices.Sort(said)
			want := strings.Fields(row["said"])
			slices.Sort(want)
			expect("said", strings.Join(said, " "), strings.Join(want, " "))
		})
	}
}

// Several swaps at once, one of them in a sub-recipe.
func TestCompareWithin(t *testing.T) {
	b := newBench(t)
	req := stew(t)
	req.Swaps = []kitchen.Swap{
		{Path: "subRecipes[0].ingredients[0]", Food: "tomatoes-fresh", State: "cooked", Keep: kitchen.SameCredit},
		{Path: "recipe.ingredients[1]", Food: "white-whole-wheat-flour", Keep: kitchen.SameWeight},
		{Path: "4", Food: "rolls-dinner-whole-wheat", Keep: kitchen.SameWeight},
	}
	out, err := b.Compare(req)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: 4 lb of canned at 7.41 quarter cups a lb is 29.64; fresh gives 6.33
	// a lb cooked, so 4.6825 lb, 74.92 oz, up to 75.
	if q := out.Swaps[0].Kitchen.Text(); q != "4 lb 11 oz" {
		t.Errorf("%s fresh tomatoes", q)
	}
	if q := out.After.SubRecipes[0].Ingredients[0].Quantity.Text(); q != "4 lb 11 oz" {
		t.Errorf("the sub-recipe takes %s", q)
	}
	if q := out.Swaps[2].Kitchen; q.Text() != "3 lb 2 oz" {
		t.Errorf("50 rolls of 1 oz are %s", q)
	}
	red, _ := out.Before.Credit(food.Vegetables)
	now, _ := out.Exact.Record.Credit(food.Vegetables)
	if !red.Exact.Equal(now.Exact) {
		t.Errorf("vegetables %s, were %s", now.Exact.Fraction(), red.Exact.Fraction())
	}
	if !out.Weight.Before.IsZero() || !out.Weight.After.IsZero() || len(out.Weight.Unweighed) == 0 {
		t.Errorf("a can and a cup are no weight: %+v", out.Weight)
	}
	stale := false
	for _, f := range out.Findings {
		stale = stale || f.Reason == kitchen.WeighSwapAgain && f.Path == "subRecipes[0]"
	}
	if !stale {
		t.Error("the sub-recipe's batch is not said to be weighed again")
	}
}

func TestCompareWeighs(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		name          string
		lines         []recipe.Ingredient
		swap          kitchen.Swap
		before, after string
		unweighed     int
	}{
		{"all by weight", []recipe.Ingredient{line(t, "whole-wheat-flour", "2 lb"), line(t, "raisins", "8 oz")}, kitchen.Swap{Path: "1", Food: "prunes-dried", Amount: quantity(t, "12 oz")}, "40 oz", "44 oz", 0},
		{"a cup among them", []recipe.Ingredient{line(t, "whole-wheat-flour", "2 lb"), line(t, "raisins", "1 cup")}, kitchen.Swap{Path: "1", Food: "prunes-dried", Amount: quantity(t, "12 oz")}, "", "44 oz", 1},
		{"grams", []recipe.Ingredient{line(t, "whole-wheat-flour", "900 g"), line(t, "raisins", "100 g")}, kitchen.Swap{Path: "1", Food: "prunes-dried", Keep: kitchen.SameWeight}, "1000 g", "1000 g", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			out, err := b.Compare(kitchen.CompareRequest{Request: lunch(&recipe.Recipe{Name: "Bake", Servings: 20, ExhibitAGroup: "D", Ingredients: c.lines}), Swaps: []kitchen.Swap{c.swap}})
			if err != nil {
				t.Fatal(err)
			}
			if out.Weight.Before.Text() != c.before || out.Weight.After.Text() != c.after || len(out.Weight.Unweighed) != c.unweighed {
				t.Errorf("got %q, %q, %v", out.Weight.Before.Text(), out.Weight.After.Text(), out.Weight.Unweighed)
			}
		})
	}
}

// The same food in another state keeps its amount.
func TestCompareState(t *testing.T) {
	out, err := newBench(t).Compare(kitchen.CompareRequest{Swaps: []kitchen.Swap{{Path: "0", State: "drained-unheated"}},
		Request: lunch(&recipe.Recipe{Name: "Bean salad", Servings: 50, Ingredients: []recipe.Ingredient{{Food: "black-beans-canned", State: "heated-drained", Quantity: quantity(t, "2 can no. 10")}}})})
	if err != nil {
		t.Fatal(err)
	}
	// 2 x 27.8 / 4 / 50 = 0.278 heated, 2 x 45 / 4 / 50 = 0.45 unheated.
	if c := out.Credits[0]; c.Before.Credited.String() != "1/4" || c.After.Credited.String() != "3/8" || out.Swaps[0].Kitchen.Text() != "2 can no. 10" {
		t.Errorf("%s, then %s by %s", c.Before.Credited, c.After.Credited, out.Swaps[0].Kitchen)
	}
}

// What may choke, or is not for infants, is said where the ages make it matter.
func TestCompareHazards(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		program, group, food, to, want string
	}{
		{"child-adult-care", "ages-3-5", "applesauce-canned", "raisins", "raisins can choke children under 4."},
		{"child-adult-care", "ages-6-12", "applesauce-canned", "raisins", ""},
		{"child-adult-care", "ages-3-5", "raisins", "prunes-dried", "prunes, pitted, dried can choke children under 4."},
		{"child-adult-care", "months-6-11", "maple-syrup", "honey", "honey: never before 12 months of age, cooked or not."},
		{"child-adult-care", "ages-3-5", "maple-syrup", "honey", ""},
		{"child-adult-care", "months-6-11", "applesauce-canned", "apple-juice", "apple juice, 100 percent: juice is no food of the infant pattern."},
		{"school-lunch", "k-5", "applesauce-canned", "raisins", ""},
	} {
		t.Run(c.food+" "+c.to+" "+c.group, func(t *testing.T) {
			req := lunch(&recipe.Recipe{Name: "Bowl", Servings: 20, Ingredients: []recipe.Ingredient{line(t, c.food, "1 qt")}})
			req.Program, req.AgeGroup = c.program, c.group
			out, err := b.Compare(kitchen.CompareRequest{Request: req, Swaps: []kitchen.Swap{{Path: "0", Food: c.to, Keep: kitchen.SameVolume}}})
			if err != nil {
				t.Fatal(err)
			}
			got := ""
			for _, f := range out.Findings {
				if f.Reason == kitchen.HazardGained {
					got += f.Text
				}
			}
			if got != c.want {
				t.Errorf("said %q, want %q", got, c.want)
			}
		})
	}
}

// What upsets the recipe is marked as common practice, and says what to do.
func TestCompareMarksPractice(t *testing.T) {
	out, err := newBench(t).Compare(kitchen.CompareRequest{Swaps: []kitchen.Swap{{Path: "0", Food: "grapes-fresh", State: "raw", Keep: kitchen.SameWeight}, {Path: "1", Food: "sorghum-flour-whole", Keep: kitchen.SameWeight}},
		Request: lunch(&recipe.Recipe{Name: "Square", Servings: 48, ExhibitAGroup: "D", Ingredients: []recipe.Ingredient{line(t, "raisins", "3 lb"), line(t, "whole-wheat-flour", "3 lb")}})})
	if err != nil {
		t.Fatal(err)
	}
	practice := 0
	for _, f := range out.Findings {
		switch f.Reason {
		case kitchen.MoistureForm, kitchen.GlutenRole:
			practice++
			if f.Mark != source.CommonPractice || f.Path == "" {
				t.Errorf("%s: mark %s, path %q", f.Reason, f.Mark, f.Path)
			}
		default:
			if f.Mark != 0 {
				t.Errorf("%s: mark %s", f.Reason, f.Mark)
			}
		}
		if f.Text == "" || f.Do == "" || f.Severity == 0 {
			t.Errorf("%s says too little: %+v", f.Reason, f)
		}
	}
	if practice != 2 {
		t.Errorf("%d findings of common practice, want 2", practice)
	}
}

// FuzzSwapPath reads any text as a line: one that is there, or a fault.
func FuzzSwapPath(f *testing.F) {
	for _, s := range []string{"0", "recipe.ingredients[1]", "ingredients[0]", "subRecipes[0].ingredients[0]", "subRecipes[0", "subRecipes[].ingredients[0]", "recipe.", "-1", "99999999999999999999", "ingredients[0]]", "+0", "subRecipes[0].0"} {
		f.Add(s)
	}
	b := newBench(f)
	f.Fuzz(func(t *testing.T, path string) {
		req := stew(t)
		req.Swaps = []kitchen.Swap{{Path: path, Food: "salt", Amount: quantity(t, "1 oz")}}
		out, err := b.Compare(req)
		if err != nil {
			if l, ok := err.(*fault.List); !ok || len(l.Faults) == 0 || l.Faults[0].Path != "swaps[0].path" {
				t.Fatalf("%q: %v", path, err)
			}
			return
		}
		if in := at(&out.After.Recipe, out.After.SubRecipes, out.Swaps[0].Path); in == nil || in.Food != "salt" {
			t.Fatalf("%q is taken for %s", path, out.Swaps[0].Path)
		}
	})
}

// Amounts kept by weight, measure and purchase, by hand. The basis is what the
// amount taken measures.
func TestCompareKeepsAmounts(t *testing.T) {
	b := newBench(t)
	own := food.Own{ID: "black-beans-canned", Figures: []food.OwnFigure{{State: "drained", Kind: "usable", Unit: "lb", Value: "0.56", Document: "Copper Creek yield test", Page: "1", Edition: "2026"}}}
	for _, c := range []struct {
		name         string
		was          recipe.Ingredient
		swap         kitchen.Swap
		taken, basis string
		figures      int
	}{
		// 48 oz x 28.349523125 / 120 g = 11.34 cups, up to 11 1/2.
		{"a weight by measure", line(t, "whole-wheat-flour", "3 lb"), kitchen.Swap{Food: "oat-flour-whole", Keep: kitchen.SameVolume}, "2 qt 3 1/2 cup", "", 1},
		// 12 x 50 g = 600 g = 21.16 oz.
		{"a count by weight", line(t, "eggs-large", "12 each"), kitchen.Swap{Food: "tofu-firm", Keep: kitchen.SameWeight}, "1 lb 5 1/4 oz", "usable", 1},
		{"a can by weight", line(t, "applesauce-canned", "1 can no. 10"), kitchen.Swap{Food: "pumpkin-canned", State: "heated", Keep: kitchen.SameWeight}, "6 lb 12 oz", "", 1},
		// 110 oz x 0.56 = 61.6 oz.
		{"a drained can by weight, with its share", recipe.Ingredient{Food: "black-beans-canned", State: "heated-drained", Quantity: quantity(t, "1 can no. 10")}, kitchen.Swap{Food: "ground-beef-20", Keep: kitchen.SameWeight}, "3 lb 13 3/4 oz", "usable", 2},
		// 64 oz / 0.64 = 100 oz.
		{"what is trimmed, as bought", recipe.Ingredient{Food: "romaine-fresh", State: "raw", Basis: "usable", Quantity: quantity(t, "4 lb")}, kitchen.Swap{Food: "spinach-fresh", State: "raw", Keep: kitchen.SamePurchase}, "6 lb 4 oz", "as-purchased", 1},
		// 500 / 236.588 x 120 = 253.6 g, up to 255; 1000 / 145 x 236.588 = 1631.7 mL, up to 1640.
		{"metric by weight", line(t, "whole-wheat-flour", "500 mL"), kitchen.Swap{Food: "oat-flour-whole", Keep: kitchen.SameWeight}, "255 g", "usable", 1},
		{"metric by measure", line(t, "raisins", "1 kg"), kitchen.Swap{Food: "blueberries-fresh", Keep: kitchen.SameVolume}, "1.64 L", "", 1},
		{"bought rolls by weight", recipe.Ingredient{Product: "roll", Quantity: quantity(t, "30 each")}, kitchen.Swap{Food: "bread-whole-wheat", Keep: kitchen.SameWeight}, "1 lb 14 oz", "", 0},
		{"as many pieces", line(t, "eggs-large", "12 each"), kitchen.Swap{Food: "egg-hard-cooked", Keep: kitchen.SamePurchase}, "12 each", "as-purchased", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			req := lunch(&recipe.Recipe{Name: "Batch", Servings: 40, ExhibitAGroup: "D", Ingredients: []recipe.Ingredient{c.was}})
			req.Foods = []food.Own{own}
			req.Products = []credit.Product{{ID: "roll", Name: "Creek roll", Weight: quantity(t, "1 oz"), ExhibitAGroup: "B"}}
			c.swap.Path = "0"
			out, err := b.Compare(kitchen.CompareRequest{Request: req, Swaps: []kitchen.Swap{c.swap}})
			if err != nil {
				t.Fatal(err)
			}
			if d := &out.Swaps[0]; d.Kitchen.Text() != c.taken || d.After.Basis != c.basis || len(d.Figures) != c.figures {
				t.Errorf("takes %s %s by %d figures, want %s %s by %d", d.Kitchen, d.After.Basis, len(d.Figures), c.taken, c.basis, c.figures)
			}
		})
	}
	_, err := b.Compare(kitchen.CompareRequest{Swaps: []kitchen.Swap{{Path: "0", Food: "ground-beef-20", Keep: kitchen.SameWeight}},
		Request: lunch(&recipe.Recipe{Name: "Batch", Servings: 40, Ingredients: []recipe.Ingredient{{Food: "black-beans-canned", State: "heated-drained", Quantity: quantity(t, "1 can no. 10")}}})})
	refused(t, true, err, []string{"UNIT_NEEDS_DENSITY swaps[0].keep"})
}

// A share of the amount that ends up in the food stays with the line: without it
// breading that falls off would be credited.
func TestCompareKeepsTheShare(t *testing.T) {
	in := line(t, "flour-all-purpose-enriched", "4 lb")
	in.Share = exact.Frac(3, 5)
	out, err := newBench(t).Compare(kitchen.CompareRequest{Swaps: []kitchen.Swap{{Path: "0", Food: "whole-wheat-flour", Keep: kitchen.SameWeight}},
		Request: lunch(&recipe.Recipe{Name: "Breaded fish", Servings: 50, ExhibitAGroup: "A", Ingredients: []recipe.Ingredient{in}})})
	if err != nil {
		t.Fatal(err)
	}
	// 64 oz x 28.35 x 3/5 / 16 / 50 = 1.3608 both times.
	if c := out.Credits[0]; !c.Before.Exact.Equal(c.After.Exact) || c.After.Credited.String() != "1 1/4" || !out.Swaps[0].After.Share.Equal(in.Share) {
		t.Errorf("%s, then %s", c.Before.Exact, c.After.Exact)
	}
}

// TestCompareSaysOats: oats that come in are said, as gluten that comes in is.
func TestCompareSaysOats(t *testing.T) {
	for _, c := range []struct{ food, to, want string }{
		{"brown-rice-long", "oats-rolled", "oats, rolled, quick or regular comes in: oats are gluten-free only when labeled so."},
		{"oats-steel-cut", "oats-rolled", ""},
		{"brown-rice-long", "quinoa", ""},
		{"oats-rolled", "brown-rice-long", ""},
	} {
		out, err := newBench(t).Compare(kitchen.CompareRequest{Swaps: []kitchen.Swap{{Path: "0", Food: c.to, Keep: kitchen.SameWeight}},
			Request: lunch(&recipe.Recipe{Name: "Bowl", Servings: 20, ExhibitAGroup: "H", Ingredients: []recipe.Ingredient{line(t, c.food, "2 lb")}})})
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, f := range out.Findings {
			if f.Reason == kitchen.GlutenChanged {
				got += f.Text
			}
		}
		if got != c.want {
			t.Errorf("%s for %s: %q, want %q", c.to, c.food, got, c.want)
		}
	}
}

// TestCompareKeepsVolumeOfDry: a weight of dried apples is measured by the cup of
// dried ones, 86 g, not by that of stewed ones.
func TestCompareKeepsVolumeOfDry(t *testing.T) {
	in := line(t, "apples-dried", "43 oz")
	in.NotCrediting = true // no figure credits it
	out, err := newBench(t).Compare(kitchen.CompareRequest{Swaps: []kitchen.Swap{{Path: "0", Food: "raisins", Keep: kitchen.SameVolume}},
		Request: lunch(&recipe.Recipe{Name: "Mix", Servings: 20, Ingredients: []recipe.Ingredient{in}})})
	if err != nil {
		t.Fatal(err)
	}
	// 43 oz of 28.349523125 g, over 86 g a cup.
	if got := out.Swaps[0].Exact; got.Text() != "45359237/3200000 cup" && got.Amount().DecimalText(4) != "14.1747" {
		t.Errorf("%s, want 14.1747 cups", got.Text())
	}
}
