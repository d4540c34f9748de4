package kitchen_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// longSearch is a target whose search takes seconds: many dried fruits, each of which
// may count or not.
func longSearch() kitchen.TargetRequest {
	r := &recipe.Recipe{Name: "Copper Creek trail mix", Servings: 400, ExhibitAGroup: "D"}
	for i, n := 0, 0; i < 24; i++ {
		for _, id := range []string{"raisins", "whole-wheat-flour", "flour-all-purpose-enriched"} {
			n++
			q, err := measure.Parse(fmt.Sprintf("%d oz", 11+n*7%40))
			if err != nil {
				panic(err)
			}
			r.Ingredients = append(r.Ingredients, recipe.Ingredient{Food: id, Quantity: q})
		}
	}
	return kitchen.TargetRequest{Credit: credit.Request{Recipe: r, On: rules.Date{Year: 2026, Month: 10, Day: 13}, Program: "school-lunch"},
		Aims: []kitchen.Aim{{Of: "fruits", Least: exact.Frac(1, 4), Most: exact.Frac(1, 4)}, {Of: "grains", Least: exact.Int(2), Most: exact.Int(2)}}}
}

// A search ends with the error of the request it is for.
func TestUntil(t *testing.T) {
	gone := errors.New("nobody waits")
	asked := 0
	out, err := catalogKitchen().Until(func() error {
		if asked++; asked > 20 {
			return gone
		}
		return nil
	}).Target(longSearch())
	if !errors.Is(err, gone) || out != nil {
		t.Errorf("%v after being asked %d times", err, asked)
	}
	if asked > 200 {
		t.Errorf("went on to ask %d times", asked)
	}
	if out, err := catalogKitchen().Until(func() error { return nil }).Target(kitchen.TargetRequest{Credit: longSearch().Credit, Aims: longSearch().Aims, Ways: []kitchen.Way{kitchen.Servings}}); err != nil || len(out.Tries) != 1 {
		t.Errorf("%v %v", out, err)
	}
}

// A search that ended at its bounds does not say that there is nothing.
func TestSearchAtItsBounds(t *testing.T) {
	req := longSearch()
	req.Ways = []kitchen.Way{kitchen.Ingredients}
	out, err := catalogKitchen().Target(req)
	if err != nil {
		t.Fatal(err)
	}
	if x := out.Tries[0]; !x.Reached && !strings.Contains(x.Because, "ended at its bounds") {
		t.Errorf("these amounts can be lowered, and it says %q", x.Because)
	}
}
