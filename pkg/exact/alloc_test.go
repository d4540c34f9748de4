package exact_test

import (
	"testing"

	"github.com/shopspring/decimal"

	"example.com/ozeq/pkg/exact"
)

// A value that is sent to math/big by mistake is still right, so no test of
// values notices: only the allocations do.

var (
	numberSink exact.Number
	cutSink    exact.Number
	intSink    int
	boolSink   bool
)

func TestFastPathDoesNotAllocate(t *testing.T) {
	a, b := exact.MustParse("12.75"), exact.MustParse("28.35")
	third, quarter := exact.Frac(1, 3), exact.Frac(1, 4)
	// Built up as sums of recipes are: fractions far from lowest terms that
	// overflow unless they are reduced on the way.
	long := exact.Number{}
	for range 40 {
		long = long.Add(a.Mul(b).Quo(third).Quo(exact.Int(16)))
	}
	if !long.Small() {
		t.Fatal("a sum of 40 ordinary lines leaves 64 bits")
	}
	for name, f := range map[string]func(){
		"Add":                   func() { numberSink = a.Add(b) },
		"Add of zero":           func() { numberSink = exact.Number{}.Add(b) },
		"Add, reduced":          func() { numberSink = long.Add(third) },
		"Sub":                   func() { numberSink = b.Sub(a) },
		"Neg":                   func() { numberSink = b.Neg() },
		"Mul":                   func() { numberSink = a.Mul(b) },
		"Mul, reduced":          func() { numberSink = exact.Frac(1<<40, 3<<21).Mul(exact.Frac(3<<40, 5<<21)) },
		"Quo":                   func() { numberSink = a.Quo(b) },
		"Quo, reduced":          func() { numberSink = exact.Frac(1<<40, 3<<21).Quo(exact.Frac(5<<21, 3<<40)) },
		"Cmp":                   func() { intSink = a.Cmp(b) },
		"Cmp of large products": func() { intSink = exact.Frac(1<<62, 3).Cmp(exact.Frac(1<<61, 5)) },
		"Equal":                 func() { boolSink = a.Equal(b) },
		"Less":                  func() { boolSink = a.Less(b) },
		"Min":                   func() { numberSink = exact.Min(a, b) },
		"RoundDown":             func() { numberSink, cutSink = b.RoundDown(quarter) },
		"RoundDown, reduced":    func() { numberSink, cutSink = exact.Frac(1<<61, 1<<60).RoundDown(exact.Frac(1<<20, 1<<22)) },
		"RoundDown of a sum":    func() { numberSink, cutSink = long.Quo(exact.Int(100)).RoundDown(quarter) },
		"RoundUp":               func() { numberSink = b.RoundUp(quarter) },
		"Cut":                   func() { numberSink = third.Cut(3) },
		"Sign":                  func() { intSink = b.Sign() },
		"Parse":                 func() { numberSink, _ = exact.Parse("2 1/4") },
		"Parse of a decimal":    func() { numberSink, _ = exact.Parse("28.35") },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s: %v allocations, want none", name, n)
		}
	}
}

// TestAppendDoesNotAllocate: digests and reports append into a buffer they own.
func TestAppendDoesNotAllocate(t *testing.T) {
	x := exact.MustParse("28.35")
	buf := make([]byte, 0, 64)
	if n := testing.AllocsPerRun(100, func() { buf = x.AppendFraction(buf[:0]) }); n != 0 {
		t.Errorf("AppendFraction: %v allocations, want none", n)
	}
}

// TestDecimalEdgeAllocatesLittle bounds the way in at the public edge, which
// every amount of a caller with decimals goes through.
func TestDecimalEdgeAllocatesLittle(t *testing.T) {
	d := decimal.New(2835, -2)
	if n := testing.AllocsPerRun(100, func() { numberSink, _ = exact.FromDecimal(d) }); n > 4 {
		t.Errorf("FromDecimal: %v allocations, want at most 4", n)
	}
}
