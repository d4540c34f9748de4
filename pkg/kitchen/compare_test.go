package kitchen_test

import (
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/recipe"
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
