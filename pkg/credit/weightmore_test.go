package credit_test

import (
	"slices"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
)

// A grain ingredient, however little, makes grams of creditable grain the
// method. Where the weight of the portion would credit a step more, the list is
// likely to lack something, and the record says so. The credit stays.
func TestIncompleteGrainListIsFound(t *testing.T) {
	k := newKitchen(t)
	of := func(weight, method string, lines ...line) credit.Request {
		r := batch(t, 1, lines...)
		r.ExhibitAGroup, r.GrainsMethod, r.Portions = "D", method, []recipe.Portion{{Weight: qty(t, weight)}}
		return lunch(t, r)
	}
	flour := func(amount string) line { return line{amount: amount, food: "flour-all-purpose-enriched"} }
	for _, x := range []struct {
		req    credit.Request
		grains string
		words  []string
	}{
		{of("55 g", "", flour("1 g")), "0", []string{"55 g", "D", "1", "0"}},
		{of("55 g", "", flour("12 g")), "3/4", []string{"55 g", "D", "1", "3/4"}},
		{of("55 g", "", flour("16 g")), "1", nil},
		{of("55 g", "", flour("20 g")), "1 1/4", nil},
		{of("55 g", recipe.ExhibitA, flour("1 g")), "1", nil},
		{of("55 g", "", line{amount: "10 g", food: "sugar-white"}), "1", nil},
	} {
		expect(t, x.req, food.Grains, food.NoSubgroup, x.grains, "", nil)
		rec := k.must(t, x.req)
		i := slices.IndexFunc(rec.Findings, func(f credit.Finding) bool { return f.Reason == credit.WeightMore })
		switch {
		case x.words == nil && i >= 0:
			t.Errorf("found %q\n%s", rec.Findings[i].Words, show(&x.req))
		case x.words != nil && (i < 0 || rec.Findings[i].Severity != credit.Check || !slices.Equal(rec.Findings[i].Words, x.words)):
			t.Errorf("nothing to check of %q: %v\n%s", x.words, rec.Findings, show(&x.req))
		}
	}
}

// What a rule denies is denied by every method: no weight that would credit more
// is pointed to, as a check or as another answer.
func TestDeniedGrainPointsToNoWeight(t *testing.T) {
	k := newKitchen(t)
	for _, flour := range []string{"1 g", "12 g"} {
		r := batch(t, 1, line{amount: flour, food: "flour-all-purpose-enriched"})
		r.ExhibitAGroup, r.Dessert, r.Portions = "D", recipe.Dessert4, []recipe.Portion{{Weight: qty(t, "55 g")}}
		rec := k.must(t, credit.Request{Recipe: r, On: day(t, aDay), Program: "child-adult-care"})
		c, _ := rec.Credit(food.Grains)
		for _, a := range c.Alternatives {
			if a.Basis != credit.LimitNotApplied {
				t.Errorf("%s of flour: %s stands beside a denied credit", flour, a.Basis)
			}
		}
		if slices.ContainsFunc(rec.Findings, func(f credit.Finding) bool { return f.Reason == credit.WeightMore }) {
			t.Errorf("%s of flour: a weight to check", flour)
		}
	}
}

// By option the weight is divided, and only what that credits is pointed to: 0.7
// / 2.9 oz of group F is no quarter, 14 / 55 g of group D is one.
func TestWeightMoreFollowsTheOption(t *testing.T) {
	k := newKitchen(t)
	for _, x := range []struct {
		group, weight, option string
		found                 bool
	}{{"F", "0.7 oz", "printed", true}, {"F", "0.7 oz", "division", false}, {"D", "14 g", "division", true}, {"D", "13.9 g", "printed", false}, {"D", "13.9 g", "division", true}} {
		r := batch(t, 1, line{amount: "1 g", food: "flour-all-purpose-enriched"})
		r.ExhibitAGroup, r.Portions = x.group, []recipe.Portion{{Weight: qty(t, x.weight)}}
		req := lunch(t, r)
		req.Options = map[string]string{"exhibit-a-fractions": x.option}
		found := slices.ContainsFunc(k.must(t, req).Findings, func(f credit.Finding) bool { return f.Reason == credit.WeightMore })
		if found != x.found {
			t.Errorf("%v: found %v", x, found)
		}
	}
}
