package credit_test

import (
	"testing"

	"example.com/ozeq/pkg/credit"
)

// A request without a program is a fault, also after one with options of its own
// for the same day, whose scratch space it is given.
func TestNoProgramIsAFaultAfterOptions(t *testing.T) {
	k := newKitchen(t)
	e := credit.New(k.rules, k.catalog)
	req := lunch(t, batch(t, 1, line{amount: "1 cup", food: "quinoa", state: "cooked"}))
	req.Options = map[string]string{"grams-per-ounce": "exact"}
	none := req
	none.Program, none.Options = "", nil
	for range 50 { // the pool may let go of what it holds
		if _, err := e.Credit(req); err != nil {
			t.Fatal(err)
		}
		if rec, err := e.Credit(none); err == nil {
			t.Fatalf("credited for %s with options %v", rec.Program.ID, rec.Options)
		}
	}
}
