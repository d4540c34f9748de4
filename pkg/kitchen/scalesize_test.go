package kitchen_test

import (
	"fmt"
	"testing"
	"time"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// A card as large as any, all of whose portions lose steps, is scaled in bounded
// time.
func TestScaleOfTheLargestCard(t *testing.T) {
	b := newBench(t)
	r := &recipe.Recipe{Name: "Large", Servings: 100}
	for i := range recipe.MaxPortions {
		r.Portions = append(r.Portions, recipe.Portion{Name: fmt.Sprint("size ", i), Servings: 100 + 10*i})
	}
	foods := []string{"whole-wheat-flour", "cheddar", "ground-beef-20", "raisins", "kale-fresh", "broccoli-frozen", "onions-fresh"}
	for i := range recipe.MaxIngredients {
		in := line(t, foods[i%len(foods)], "1 lb")
		if i%len(foods) > 3 {
			in.State = "cooked"
		}
		in.Quantity = measure.New(exact.Frac(int64(1_000+37*i), 997), measure.Ounce)
		r.Ingredients = append(r.Ingredients, in)
	}
	start := time.Now()
	out, err := b.Scale(kitchen.ScaleRequest{Request: lunch(r), Target: kitchen.ScaleTarget{Servings: 7}, Round: kitchen.Down})
	if err != nil {
		t.Fatal(err)
	}
	if len(out.Lost) < 20 {
		t.Errorf("only %d steps are lost", len(out.Lost))
	}
	if d := time.Since(start); d > time.Minute { // unbounded, it takes minutes; bounded, a second or two on an idle machine
		t.Errorf("it took %v", d)
	} else {
		t.Logf("%d lost steps in %v", len(out.Lost), d)
	}
}

func BenchmarkScale(b *testing.B) {
	k := newBench(b)
	req := kitchen.ScaleRequest{Target: kitchen.ScaleTarget{Servings: 348}, Request: lunch(&recipe.Recipe{Name: "Biscuit", Servings: 50, ExhibitAGroup: "B",
		Ingredients: []recipe.Ingredient{line(b, "whole-wheat-flour", "5 lb"), line(b, "cheddar", "2 lb"), line(b, "eggs-large", "12 each"), line(b, "raisins", "3 lb 4 oz"), line(b, "salt", "2 Tbsp")}})}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := k.Scale(req); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBuy(b *testing.B) {
	k := newBench(b)
	r := lunch(&recipe.Recipe{Name: "Biscuit", Servings: 50, ExhibitAGroup: "B",
		Ingredients: []recipe.Ingredient{line(b, "whole-wheat-flour", "5 lb"), line(b, "cheddar", "2 lb"), line(b, "eggs-large", "12 each"), line(b, "raisins", "3 lb 4 oz"), line(b, "salt", "2 Tbsp")}})
	req := kitchen.BuyRequest{Recipes: []kitchen.BuyRecipe{{Request: r, Portions: []int{348}}, {Request: r, Portions: []int{60}}}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := k.Buy(req); err != nil {
			b.Fatal(err)
		}
	}
}
