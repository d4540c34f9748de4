package kitchen_test

import (
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

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
