package report_test

import (
	"bytes"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"
)

// scalings are the cook's cards that are held fast.
func scalings() map[string]kitchen.ScaleRequest {
	biscuit := lunch(recipe.Recipe{Name: "Ridge biscuit", Servings: 40, ExhibitAGroup: "B", BatchWeight: amount("5 lb 8 oz"),
		Portions:    []recipe.Portion{{Name: "large", Scoop: 16}, {Name: "small", Servings: 80}},
		YieldTest:   &recipe.YieldTest{PortionsMade: 39},
		Ingredients: []recipe.Ingredient{line("white-flour", "2 lb"), line("salt-plain", "2 tsp"), line("ridge-beef", "12 oz")}})
	filled := lunch(recipe.Recipe{Name: "Ridge wrap", Servings: 24, Ingredients: []recipe.Ingredient{{SubRecipe: "filling", Name: "Ridge filling", Quantity: amount("6 lb")}, line("white-flour", "5 cup")}})
	filled.SubRecipes = []recipe.Recipe{{ID: "filling", Name: "Ridge filling", Servings: 30, BatchWeight: amount("8 lb"), Ingredients: []recipe.Ingredient{line("ridge-beef", "4 lb"), {Food: "ridge-corn", State: "cooked", Quantity: amount("3 lb")}}}}
	return map[string]kitchen.ScaleRequest{
		// A step is lost to a measure, a yield test left out, the pans counted.
		"scale-biscuit": {Request: biscuit, Pans: exact.Int(2), Target: kitchen.ScaleTarget{Servings: 65}},
		// Another scoop, of a size the poster prints otherwise.
		"scale-scoop": {Request: biscuit, Target: kitchen.ScaleTarget{Servings: 30, Scoop: 20}, Round: kitchen.Up},
		// A sub-recipe is made so often; weight beside measure.
		"scale-wrap": {Request: filled, Target: kitchen.ScaleTarget{Factor: exact.Frac(7, 3)}, Round: kitchen.Down},
	}
}

func TestScaleGolden(t *testing.T) {
	for name, req := range scalings() {
		t.Run(name, func(t *testing.T) {
			s, err := kitchen.New(engine()).Scale(req)
			if err != nil {
				t.Fatal(err)
			}
			var b bytes.Buffer
			if err := report.Scale(&b, s); err != nil {
				t.Fatal(err)
			}
			printable(t, b.String())
			golden(t, name, b.Bytes())
		})
	}
}

func TestBuyGolden(t *testing.T) {
	salad := lunch(recipe.Recipe{Name: "Ridge salad", Servings: 100, Ingredients: []recipe.Ingredient{
		{Food: "ridge-romaine", State: "raw", Quantity: amount("2 gal")}, {Food: "ridge-carrots", State: "raw-shredded", Quantity: amount("8 lb")}, line("salt-plain", "1 Tbsp"),
		{Product: "patty", Quantity: amount("100 each")}}})
	salad.Products = []credit.Product{{ID: "patty", Name: "Ridge patty", Weight: amount("2.5 oz"), ExhibitAGroup: "B"}}
	p, err := kitchen.New(engine()).Buy(kitchen.BuyRequest{
		Recipes: []kitchen.BuyRecipe{{Request: salad, Portions: []int{260}}},
		Foods: []kitchen.BuyFood{
			{Food: "ridge-beef", Groups: []kitchen.BuyGroup{{Name: "K-5", Count: 153, Size: exact.Int(2)}, {Name: "6-8", Count: 157, Size: exact.Int(2)}, {Name: "9-12", Count: 90, Size: exact.Int(2)}}},
			{Food: "ridge-beans", State: "heated-drained", PerHundred: exact.MustParse("3.6"), Groups: []kitchen.BuyGroup{{Count: 245, Size: exact.Frac(1, 4)}}},
		},
		Products: []kitchen.BuyProduct{{Name: "Ridge rolls", Groups: []kitchen.BuyGroup{{Name: "K-6", Count: 30}, {Name: "7-12", Count: 60}, {Name: "adults", Count: 7}}}},
		Packs:    []kitchen.BuyPack{{Of: "Ridge rolls", Name: "bag", Holds: amount("12 each")}, {Of: "ridge-beans", Name: "case", Holds: amount("6 can no. 10")}},
		OnHand:   []kitchen.BuyStock{{Of: "ridge-beef", Quantity: amount("10 lb")}, {Of: "ridge-carrots", Quantity: amount("30 lb")}},
	})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := report.Buy(&b, p); err != nil {
		t.Fatal(err)
	}
	printable(t, b.String())
	golden(t, "buy-salad", b.Bytes())
}

func TestKitchenWriteErrors(t *testing.T) {
	s, err := kitchen.New(engine()).Scale(scalings()["scale-wrap"])
	if err != nil {
		t.Fatal(err)
	}
	if report.Scale(full{}, s) == nil || report.Buy(full{}, &kitchen.Purchase{}) == nil {
		t.Error("a full disk is not told")
	}
}
