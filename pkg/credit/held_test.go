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
