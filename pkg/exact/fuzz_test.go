package exact_test

import (
	"encoding/binary"
	"math/big"
	"testing"

	"github.com/shopspring/decimal"

	"example.com/ozeq/pkg/exact"
)

// FuzzParse looks for text that panics, runs away, or is read otherwise than
// the written grammar and math/big read it.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"", "2", "2.25", "1/3", "2 1/4", "2-1/4", "2¼", "-1", "+1", "1e9", "1E1000000000", "NaN", "0x1", "1_0", "1/0", "١٢",
		"999999999.999999999", "1000000000", "½ ", "2--1/4", "1\xff", "2 -½"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		checkParse(t, s)
		n, err := exact.Parse(s)
		if err != nil {
			return
		}
		// Whatever is accepted is an amount: not negative, bounded, printable,
		// and the same once printed in full.
		if n.Sign() < 0 || n.Rat().Cmp(new(big.Rat).SetInt64(2_000_000_000)) >= 0 {
			t.Fatalf("Parse(%q) = %s, out of bounds", s, n.Fraction())
		}
		if r, ok := new(big.Rat).SetString(n.Fraction()); !ok || r.Cmp(n.Rat()) != 0 {
			t.Fatalf("Parse(%q) prints as %s", s, n.Fraction())
		}
	})
}

// FuzzArithmetic runs two fractions through every operation and compares them
// with math/big.
func FuzzArithmetic(f *testing.F) {
	for _, a := range limits {
		f.Add(a, int64(3), int64(7), a)
		f.Add(int64(1), a, a, int64(28))
	}
	f.Fuzz(func(t *testing.T, an, ad, bn, bd int64) {
		if ad == 0 || bd == 0 {
			return
		}
		a, b := exact.Frac(an, ad), exact.Frac(bn, bd)
		ra, rb := new(big.Rat).SetFrac(big.NewInt(an), big.NewInt(ad)), new(big.Rat).SetFrac(big.NewInt(bn), big.NewInt(bd))
		r := func() *big.Rat { return new(big.Rat) }
		same(t, "a+b", a.Add(b), r().Add(ra, rb))
		same(t, "a-b", a.Sub(b), r().Sub(ra, rb))
		same(t, "a*b", a.Mul(b), r().Mul(ra, rb))
		if a.Cmp(b) != ra.Cmp(rb) {
			t.Fatalf("Cmp(%s, %s) = %d", ra, rb, a.Cmp(b))
		}
		if rb.Sign() == 0 {
			return
		}
		same(t, "a/b", a.Quo(b), r().Quo(ra, rb))
		if rb.Sign() > 0 {
			down, cut := a.RoundDown(b)
			same(t, "down", down, floorOf(ra, rb))
			same(t, "cut", cut, r().Sub(ra, floorOf(ra, rb)))
		}
	})
}

// FuzzFromDecimal builds decimals of any coefficient and exponent.
func FuzzFromDecimal(f *testing.F) {
	for _, e := range []int32{0, 1, 9, 10, -1, -9, -10, 1_000_000_000, -1_000_000_000, 1<<31 - 1, -1 << 31} {
		f.Add([]byte{1}, e)
		f.Add([]byte{0}, e)
		f.Add(binary.BigEndian.AppendUint64(nil, 1<<63), e)
		f.Add(binary.BigEndian.AppendUint64(nil, 999_999_999_999_999_999), e)
	}
	f.Fuzz(func(t *testing.T, coefficient []byte, exponent int32) {
		checkFromDecimal(t, decimal.NewFromBigInt(new(big.Int).SetBytes(coefficient), exponent))
	})
}
