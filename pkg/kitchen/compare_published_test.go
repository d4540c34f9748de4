package kitchen_test

import (
	"encoding/json"
	"os"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/recipe"
)

// A published substitution prints canned black beans, drained, and dry ones for
// the same number of servings, each for 3 oz eq of meat alternate.
func TestPublishedSubstitutions(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		id, dryExact, dryCredited string // by hand: 4 lb 11 oz x 18.3 / 25 is 549/160
		canCredits                string
		dryStepped                string // cups cut to 1/8 first, as the publisher does
	}{
		{"sub-black-beans-dry-25", "549/160", "3 1/4", "3", "3"},
		{"sub-black-beans-dry-50", "549/160", "3 1/4", "3", "3"},
	} {
		t.Run(c.id, func(t *testing.T) {
			data, err := os.ReadFile("../../testdata/published/cases/" + c.id + ".json")
			if err != nil {
				t.Fatal(err)
			}
			var card struct {
				Servings    int
				Source      struct{ Title, Section, URL string }
				Ingredients []struct{ Name, Quantity string }
				Expected    []struct{ Published string }
			}
			if err := json.Unmarshal(data, &card); err != nil {
				t.Fatal(err)
			}
			if card.Source.Title == "" || card.Source.URL == "" || len(card.Ingredients) != 2 || card.Ingredients[1].Name != "black beans, dry" {
				t.Fatalf("the case reads otherwise: %+v", card)
			}
			canned := recipe.Ingredient{Food: "black-beans-canned", CreditAs: "meats", Basis: "usable", State: "heated-drained", Quantity: quantity(t, card.Ingredients[0].Quantity)}
			out, err := b.Compare(kitchen.CompareRequest{
				Request: lunch(&recipe.Recipe{Name: "Creek bean stew", Servings: card.Servings, Ingredients: []recipe.Ingredient{canned}}),
				Swaps:   []kitchen.Swap{{Path: "0", Food: "black-beans-dry", Amount: quantity(t, card.Ingredients[1].Quantity)}}})
			if err != nil {
				t.Fatal(err)
			}
			was, _ := out.Before.Credit(food.Meats)
			is, _ := out.After.Record.Credit(food.Meats)
			if got := was.Credited.String(); got != c.canCredits || got != card.Expected[0].Published {
				t.Errorf("canned credits %s (%s), published %s", got, was.Exact.Fraction(), card.Expected[0].Published)
			}
			if is.Exact.Fraction() != c.dryExact || is.Credited.String() != c.dryCredited {
				t.Errorf("dry credits %s (%s), want %s (%s)", is.Credited, is.Exact.Fraction(), c.dryCredited, c.dryExact)
			}
			stepped := ""
			for _, a := range is.Alternatives {
				if a.Basis == credit.LegumesStepped {
					stepped = a.Credited.String()
				}
			}
			if stepped != c.dryStepped || stepped != card.Expected[1].Published {
				t.Errorf("with cups cut first dry credits %q, want %s, published %s", stepped, c.dryStepped, card.Expected[1].Published)
			}
			// The other way: how much dry keeps what the canned credit.
			kept, err := b.Compare(kitchen.CompareRequest{Request: lunch(&recipe.Recipe{Name: "Creek bean stew", Servings: card.Servings, Ingredients: []recipe.Ingredient{canned}}),
				Swaps: []kitchen.Swap{{Path: "recipe.ingredients[0]", Food: "black-beans-dry", Keep: kitchen.SameCredit}}})
			if err != nil {
				t.Fatal(err)
			}
			e, _ := kept.Exact.Record.Credit(food.Meats)
			if !e.Exact.Equal(was.Exact) {
				t.Errorf("%s of dry credit %s, canned %s", kept.Swaps[0].Exact, e.Exact.Fraction(), was.Exact.Fraction())
			}
			// 4 lb 2 1/2 oz for 25, and twice that less a rounding for 50.
			if k, _ := kept.After.Record.Credit(food.Meats); k.Exact.Less(was.Exact) || k.Credited.Less(was.Credited) {
				t.Errorf("%s of dry credit %s in measures, canned %s", kept.Swaps[0].Kitchen, k.Exact.Fraction(), was.Exact.Fraction())
			}
		})
	}
}
