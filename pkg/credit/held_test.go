package credit_test

import (
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
)

// A product between printed weights claims no more beside other food than alone,
// though the division would come to the same credit: group F's fractions were
// never read. And what documented products support is what is printed for them.
func TestHeldClaimsRestOnPrintedWeights(t *testing.T) {
	k := newKitchen(t)
	for _, x := range []struct {
		lines               []line
		credited, claimable string
		status              credit.Status
	}{
		// 62 / 82 = 0.756: 3/4 by division too, but 62 g is remembered; documented is
		// only the whole, 82 g.
		{[]line{{amount: "62 g", food: "pantry-product-f"}}, "3/4", "0", credit.Estimate},
		{[]line{{amount: "62 g", food: "pantry-product-f"}, {amount: "16 g", food: "flour-all-purpose-enriched"}}, "1 3/4", "1", credit.Estimate},
		// 82 g is printed for 1, and was read.
		{[]line{{amount: "82 g", food: "pantry-product-f"}}, "1", "1", credit.Documented},
		// 41.3 / 55 = 0.7509, printed 1/2; 0.7 / 2.9 = 0.2414, remembered 1/4: both
		// ways 3/4, of which 1/2 is documented.
		{[]line{{amount: "41.3 g", food: "pantry-product-d"}, {amount: "0.7 oz", food: "pantry-product-f"}}, "3/4", "1/2", credit.Estimate},
	} {
		req := lunch(t, batch(t, 1, x.lines...))
		cr, _ := k.must(t, req).Credit(food.Grains)
		if !cr.Credited.Equal(exact.MustParse(x.credited)) || !cr.Claimable.Equal(exact.MustParse(x.claimable)) || cr.Status != x.status {
			t.Errorf("credited %s, claimable %s, %s; want %s, %s, %s\n%s", cr.Credited, cr.Claimable, cr.Status, x.credited, x.claimable, x.status, show(&req))
		}
	}
}

// One group in ounces and in grams is held together in what is claimable too: 0.5
// oz of group A are printed 3/4 serving and 5 g 1/4, and both together no more than
// their division, 0.964. The flour, by a cup weight that is not the handbook's, adds
// the rest. The muffin keeps the dish from crediting by division.
func TestTwoColumnsClaimNoMoreThanTheyCredit(t *testing.T) {
	k := newKitchen(t)
	lines := []line{{amount: "0.5 oz", food: "pantry-product-a"}, {amount: "5 g", food: "pantry-product-a"}, {amount: "37 g", food: "pantry-product-d"}}
	req := credit.Request{Recipe: batch(t, 1, lines...), On: day(t, aDay), Program: "summer"}
	alone, _ := k.must(t, req).Credit(food.Grains)
	req.Recipe = batch(t, 1, append(lines, line{amount: "1 1/2 tsp", food: "flour-all-purpose-enriched"})...)
	with, _ := k.must(t, req).Credit(food.Grains)
	if alone.Status != credit.Documented || with.Status != credit.Estimate || !alone.Credited.Less(with.Credited) {
		t.Fatalf("%s %s, %s %s", alone.Credited, alone.Status, with.Credited, with.Status)
	}
	if alone.Credited.Less(with.Claimable) {
		t.Errorf("claimable %s, and without the flour it credits %s", with.Claimable, alone.Credited)
	}
}
