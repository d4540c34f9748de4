package exact_test

import (
	"flag"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/exact"
)

// The reference for every operation is math/big.Rat. Values are drawn where
// the two carriers meet: at the ends of int64, at powers of two and ten, with
// fractions that are not in lowest terms, and beyond 64 bits.

// More draws than rapid's hundred, which are too few to meet two limits at once,
// and no files left in the tree. The command line still decides.
func init() {
	for name, value := range map[string]string{"rapid.checks": "3000", "rapid.nofailfile": "true"} {
		if err := flag.Set(name, value); err != nil {
			panic(err)
		}
	}
}

// limits are numerators and denominators on which fast paths break.
var limits = []int64{
	0, 1, 2, 3, 4, 5, 7, 8, 10, 12, 16, 28, 48, 100, 567, 1_000, 2_835, 1 << 20,
	1<<31 - 1, 1 << 31, 1<<32 - 1, 1 << 32, 3_037_000_499, 3_037_000_500, 1<<53 - 1, 1 << 53, 1<<53 + 1,
	1_000_000_000, 999_999_999, 1_000_000_000_000_000_000, 1 << 62,
	math.MaxInt64/2 - 1, math.MaxInt64 / 2, math.MaxInt64/2 + 1, math.MaxInt64 / 3,
	math.MaxInt64 - 2, math.MaxInt64 - 1, math.MaxInt64,
	math.MinInt64, math.MinInt64 + 1, math.MinInt64 + 2, -1 << 32, -3_037_000_500, -28, -16, -3, -1,
}

// pair is one value in both forms.
type pair struct {
	x exact.Number
	r *big.Rat
}

func drawInt(t *rapid.T, label string) int64 {
	if rapid.Bool().Draw(t, label+" at a limit") {
		return rapid.SampledFrom(limits).Draw(t, label)
	}
	return rapid.Int64().Draw(t, label)
}

// drawPair draws a value that 64 bits hold, or one that they do not.
func drawPair(t *rapid.T, label string) pair {
	n, d := drawInt(t, label+" num"), drawInt(t, label+" den")
	if d == 0 {
		d = 1
	}
	r := new(big.Rat).SetFrac(big.NewInt(n), big.NewInt(d))
	switch rapid.IntRange(0, 4).Draw(t, label+" form") {
	case 0: // the zero value, which nobody built
		return pair{exact.Number{}, new(big.Rat)}
	case 1: // carried by math/big
		f := new(big.Rat).SetFrac(big.NewInt(drawInt(t, label+" factor")), big.NewInt(rapid.Int64Range(1, 1<<40).Draw(t, label+" divisor")))
		r.Mul(r, f)
		return pair{exact.FromRat(r), r}
	case 2:
		return pair{exact.Int(n), new(big.Rat).SetInt64(n)}
	}
	return pair{exact.Frac(n, d), r}
}

// fits reports whether 64-bit integers hold r, the least int64 apart, which has
// no counterpart above zero.
func fits(r *big.Rat) bool {
	return r.Num().IsInt64() && r.Denom().IsInt64() && r.Num().Int64() != math.MinInt64
}

func same(t rapid.TB, what string, got exact.Number, want *big.Rat) {
	t.Helper()
	if got.Rat().Cmp(want) != 0 {
		t.Fatalf("%s = %s, want %s", what, got.Fraction(), want.RatString())
	}
	// A value that fits must come back from math/big, or one slow number makes
	// everything after it slow; one that does not fit must not be truncated.
	if got.Small() && !fitsUnreduced(got) || !got.Small() && fits(want) {
		t.Fatalf("%s = %s is carried in 64 bits: %v, it fits them: %v", what, want.RatString(), got.Small(), fits(want))
	}
	if got.Sign() != want.Sign() || got.IsZero() != (want.Sign() == 0) {
		t.Fatalf("%s = %s has sign %d and is zero: %v", what, want.RatString(), got.Sign(), got.IsZero())
	}
}

// fitsUnreduced checks that what a 64-bit value says of itself is consistent:
// its fraction in lowest terms is one 64 bits hold.
func fitsUnreduced(x exact.Number) bool { return fits(x.Rat()) }

func TestOperationsAgreeWithRat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawPair(t, "a"), drawPair(t, "b")
		r := func() *big.Rat { return new(big.Rat) }
		same(t, "a", a.x, a.r)
		same(t, "-a", a.x.Neg(), r().Neg(a.r))
		same(t, "a+b", a.x.Add(b.x), r().Add(a.r, b.r))
		same(t, "a-b", a.x.Sub(b.x), r().Sub(a.r, b.r))
		same(t, "a*b", a.x.Mul(b.x), r().Mul(a.r, b.r))
		if b.r.Sign() != 0 {
			same(t, "a/b", a.x.Quo(b.x), r().Quo(a.r, b.r))
		}
		c := a.r.Cmp(b.r)
		if got := a.x.Cmp(b.x); got != c {
			t.Fatalf("Cmp(%s, %s) = %d, want %d", a.r, b.r, got, c)
		}
		if a.x.Equal(b.x) != (c == 0) || a.x.Less(b.x) != (c < 0) {
			t.Fatalf("Equal or Less of %s and %s do not follow Cmp", a.r, b.r)
		}
		least := a.r
		if c > 0 {
			least = b.r
		}
		same(t, "min", exact.Min(a.x, b.x), least)
		most := b.r
		if c > 0 {
			most = a.r
		}
		same(t, "max", exact.Max(a.x, b.x), most)
		n, ok := a.x.Whole()
		if want := a.r.IsInt() && a.r.Num().IsInt64(); ok != want || ok && n != a.r.Num().Int64() {
			t.Fatalf("Whole of %s is %d, %v", a.r, n, ok)
		}
		// The operands are values: no operation may have changed them.
		same(t, "a afterwards", a.x, a.r)
		same(t, "b afterwards", b.x, b.r)
	})
}

// TestLimitsAgainstLimits pairs fractions of the limits at random, far more of
// them than the test above draws.
func TestLimitsAgainstLimits(t *testing.T) {
	n := 40_000
	if testing.Short() {
		n = 4_000
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	one := func() pair {
		a, b := limits[rnd.IntN(len(limits))], limits[rnd.IntN(len(limits))]
		if rnd.IntN(3) == 0 {
			a = rnd.Int64() >> rnd.IntN(63)
		}
		if rnd.IntN(3) == 0 {
			b = rnd.Int64() >> rnd.IntN(63)
		}
		if b == 0 {
			b = 1
		}
		return pair{exact.Frac(a, b), new(big.Rat).SetFrac(big.NewInt(a), big.NewInt(b))}
	}
	var beyond int
	for range n {
		a, b := one(), one()
		if !a.x.Add(b.x).Small() {
			beyond++
		}
		r := new(big.Rat)
		same(t, "a+b", a.x.Add(b.x), r.Add(a.r, b.r))
		same(t, "a-b", a.x.Sub(b.x), r.Sub(a.r, b.r))
		same(t, "a*b", a.x.Mul(b.x), r.Mul(a.r, b.r))
		if a.x.Cmp(b.x) != a.r.Cmp(b.r) {
			t.Fatalf("Cmp(%s, %s) = %d", a.r, b.r, a.x.Cmp(b.x))
		}
		if b.r.Sign() != 0 {
			same(t, "a/b", a.x.Quo(b.x), r.Quo(a.r, b.r))
		}
		if b.r.Sign() > 0 {
			down, _ := a.x.RoundDown(b.x)
			same(t, fmt.Sprintf("%s down to %s", a.r, b.r), down, floorOf(a.r, b.r))
		}
	}
	// Both carriers must have had their share.
	if beyond < n/10 || beyond > n*9/10 {
		t.Errorf("%d of %d sums left 64 bits, want a fair share of each", beyond, n)
	}
}

// floorOf is the largest multiple of step not above x, by definition.
func floorOf(x, step *big.Rat) *big.Rat {
	q := new(big.Rat).Quo(x, step)
	k, m := new(big.Int).DivMod(q.Num(), q.Denom(), new(big.Int))
	_ = m // DivMod rounds toward the smaller quotient for a positive divisor
	return new(big.Rat).Mul(new(big.Rat).SetInt(k), step)
}

func TestRoundingAgreesWithRat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, s := drawPair(t, "a"), drawPair(t, "step")
		if s.r.Sign() < 0 {
			s.x, s.r = s.x.Neg(), new(big.Rat).Neg(s.r)
		}
		if s.r.Sign() == 0 {
			s.x, s.r = exact.Frac(1, 8), big.NewRat(1, 8)
		}
		down, cut := a.x.RoundDown(s.x)
		if to := a.x.DownTo(s.x); !to.Equal(down) {
			t.Fatalf("%s down to a multiple of %s is %s and %s", a.r, s.r, down.Fraction(), to.Fraction())
		}
		want := floorOf(a.r, s.r)
		same(t, fmt.Sprintf("%s down to %s", a.r, s.r), down, want)
		same(t, "cut", cut, new(big.Rat).Sub(a.r, want))
		if cut.Sign() < 0 || !cut.Less(s.x) {
			t.Fatalf("%s down to %s cuts off %s, want 0 <= cut < step", a.r, s.r, cut.Fraction())
		}
		up := new(big.Rat).Neg(floorOf(new(big.Rat).Neg(a.r), s.r))
		same(t, fmt.Sprintf("%s up to %s", a.r, s.r), a.x.RoundUp(s.x), up)
		// A multiple stays where it is, or rounding twice would lose a step.
		again, none := down.RoundDown(s.x)
		if !again.Equal(down) || !none.IsZero() {
			t.Fatalf("%s is a multiple of %s and rounds down to %s", down.Fraction(), s.r, again.Fraction())
		}
		places := rapid.IntRange(0, 18).Draw(t, "places")
		p := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
		same(t, fmt.Sprintf("%s cut to %d places", a.r, places), a.x.Cut(places), floorOf(a.r, new(big.Rat).SetFrac(big.NewInt(1), p)))
	})
}

// TestLongSums runs sums as recipes do, where the running value is never in
// lowest terms and leaves 64 bits and comes back.
func TestLongSums(t *testing.T) {
	left, back := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		x, r := exact.Number{}, new(big.Rat)
		small := true
		for i := range rapid.IntRange(1, 60).Draw(t, "terms") {
			p := drawPair(t, fmt.Sprint("term ", i))
			switch op := rapid.IntRange(0, 3).Draw(t, "op"); {
			case op == 0:
				x, r = x.Mul(p.x), new(big.Rat).Mul(r, p.r)
			case op == 1 && p.r.Sign() != 0:
				x, r = x.Quo(p.x), new(big.Rat).Quo(r, p.r)
			case op == 2:
				x, r = x.Sub(p.x), new(big.Rat).Sub(r, p.r)
			default:
				x, r = x.Add(p.x), new(big.Rat).Add(r, p.r)
			}
			same(t, "running value", x, r)
			if r.Num().BitLen()+r.Denom().BitLen() > 1000 {
				x, r = exact.Int(1), big.NewRat(1, 1)
			}
			if small && !x.Small() {
				left++
			}
			if !small && x.Small() {
				back++
			}
			small = x.Small()
		}
	})
	// Without crossings both ways the test would say nothing about them.
	if left == 0 || back == 0 {
		t.Errorf("the sums left 64 bits %d times and came back %d times, want both above 0", left, back)
	}
}

func TestWholeAtTheLimits(t *testing.T) {
	for _, n := range []int64{math.MinInt64, math.MinInt64 + 1, math.MaxInt64} {
		if got, ok := exact.Int(n).Whole(); !ok || got != n {
			t.Errorf("Whole of %d is %d, %v", n, got, ok)
		}
	}
	for _, x := range []exact.Number{exact.Int(math.MinInt64).Sub(exact.Int(1)), exact.Int(math.MaxInt64).Add(exact.Int(1)), exact.Int(math.MinInt64).Quo(exact.Int(3))} {
		if got, ok := x.Whole(); ok {
			t.Errorf("Whole of %s is %d", x.Fraction(), got)
		}
	}
}

func TestAroundTheLimits(t *testing.T) {
	const most, least = math.MaxInt64, math.MinInt64
	for _, c := range []struct {
		name  string
		got   exact.Number
		want  string
		small bool
	}{
		{"most+1", exact.Int(most).Add(exact.Int(1)), "9223372036854775808", false},
		{"most+1-1", exact.Int(most).Add(exact.Int(1)).Sub(exact.Int(1)), "9223372036854775807", true},
		{"least", exact.Int(least), "-9223372036854775808", false},
		{"least+1", exact.Int(least).Add(exact.Int(1)), "-9223372036854775807", true},
		{"-least", exact.Int(least).Neg(), "9223372036854775808", false},
		{"least-1", exact.Int(least).Sub(exact.Int(1)), "-9223372036854775809", false},
		{"-most-1", exact.Int(-most).Sub(exact.Int(1)), "-9223372036854775808", false},
		{"most*most", exact.Int(most).Mul(exact.Int(most)), "85070591730234615847396907784232501249", false},
		{"most*most/most", exact.Int(most).Mul(exact.Int(most)).Quo(exact.Int(most)), "9223372036854775807", true},
		{"least/least", exact.Int(least).Quo(exact.Int(least)), "1", true},
		{"1/least", exact.Int(1).Quo(exact.Int(least)), "-1/9223372036854775808", false},
		{"least over least", exact.Frac(least, least), "1", true},
		{"least over 2", exact.Frac(least, 2), "-4611686018427387904", true},
		{"1 over least", exact.Frac(1, least), "-1/9223372036854775808", false},
		{"most over -1", exact.Frac(most, -1), "-9223372036854775807", true},
		{"-4 over -6", exact.Frac(-4, -6), "2/3", true},
		{"2^32 * 2^31", exact.Int(1 << 32).Mul(exact.Int(1 << 31)), "9223372036854775808", false},
		{"2^62 * 2", exact.Int(1 << 62).Mul(exact.Int(2)), "9223372036854775808", false},
		{"cross-reduced product", exact.Frac(most, 1<<62).Mul(exact.Frac(1<<62, most)), "1", true},
		{"1/most + 1/(most-1)", exact.Frac(1, most).Add(exact.Frac(1, most-1)), "18446744073709551613/85070591730234615838173535747377725442", false},
		{"zero value + zero value", exact.Number{}.Add(exact.Number{}), "0", true},
		{"zero value / 3", exact.Number{}.Quo(exact.Int(3)), "0", true},
		{"half + half of the range", exact.Int(1 << 62).Add(exact.Int(1 << 62)), "9223372036854775808", false},
	} {
		if got := c.got.Fraction(); got != c.want || c.got.Small() != c.small {
			t.Errorf("%s = %s, in 64 bits %v; want %s, %v", c.name, got, c.got.Small(), c.want, c.small)
		}
	}
}

// TestComparesBeyond64Bits compares values whose cross products need all 128
// bits: fractions next to each other.
func TestComparesBeyond64Bits(t *testing.T) {
	const most = math.MaxInt64
	a, b := exact.Frac(most-1, most), exact.Frac(most-2, most-1) // 1-1/most is above 1-1/(most-1)
	if !b.Less(a) || a.Less(b) || a.Equal(b) {
		t.Errorf("%s and %s compare as %d", a, b, a.Cmp(b))
	}
	if a.Neg().Cmp(b.Neg()) != -1 {
		t.Errorf("-%s is not below -%s", a, b)
	}
	if !exact.Frac(most-1, most).Equal(exact.FromRat(big.NewRat(most-1, most))) {
		t.Error("one value in two forms is not equal to itself")
	}
}

func TestRatIsACopy(t *testing.T) {
	src := big.NewRat(5, 4)
	x := exact.FromRat(src)
	src.SetInt64(9)
	huge := new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), 100))
	y := exact.FromRat(huge)
	huge.SetInt64(9)
	x.Rat().SetInt64(7)
	y.Rat().SetInt64(7)
	if x.Fraction() != "5/4" || y.Fraction() != "1267650600228229401496703205376" {
		t.Errorf("somebody else's big.Rat changed a Number: %s, %s", x, y)
	}
}

func TestPanicsOnWhatCallersRefuse(t *testing.T) {
	for name, f := range map[string]func(){
		"denominator 0":         func() { exact.Frac(1, 0) },
		"division by 0":         func() { exact.Int(1).Quo(exact.Number{}) },
		"division by 0/5":       func() { exact.Int(1).Quo(exact.Frac(0, 5)) },
		"step 0":                func() { exact.Int(1).RoundDown(exact.Number{}) },
		"step below 0":          func() { exact.Int(1).RoundDown(exact.Int(-1)) },
		"step below 0, upwards": func() { exact.Int(1).RoundUp(exact.Frac(-1, 4)) },
		"19 places":             func() { exact.Int(1).Cut(19) },
		"-1 places":             func() { exact.Int(1).Cut(-1) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f()
		}()
	}
}
