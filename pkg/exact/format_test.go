package exact_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"example.com/ozeq/pkg/exact"
)

func TestText(t *testing.T) {
	huge := exact.Int(math.MaxInt64).Mul(exact.Int(4)).Add(exact.Frac(1, 2)) // 36893488147419103228 1/2
	for _, c := range []struct {
		x                              exact.Number
		fraction, mixed, four, trimmed string
	}{
		{exact.Number{}, "0", "0", "0.0000", "0"},
		{exact.Int(3), "3", "3", "3.0000", "3"},
		{exact.Frac(5, 4), "5/4", "1 1/4", "1.2500", "1.25"},
		{exact.Frac(10, 8), "5/4", "1 1/4", "1.2500", "1.25"},
		{exact.Frac(1, 3), "1/3", "1/3", "0.3333", "0.3333"},
		{exact.Frac(2, 3), "2/3", "2/3", "0.6666", "0.6666"}, // cut, not rounded
		{exact.Frac(1, 20000), "1/20000", "1/20000", "0.0000", "0"},
		{exact.Int(100), "100", "100", "100.0000", "100"},
		{exact.Frac(-5, 4), "-5/4", "-5/4", "-1.2500", "-1.25"},
		{exact.Frac(-2, 3), "-2/3", "-2/3", "-0.6666", "-0.6666"},
		{huge, "73786976294838206457/2", "36893488147419103228 1/2", "36893488147419103228.5000", "36893488147419103228.5"},
		{exact.Int(math.MaxInt64), "9223372036854775807", "9223372036854775807", "9223372036854775807.0000", "9223372036854775807"},
	} {
		if got := [4]string{c.x.Fraction(), c.x.String(), c.x.DecimalText(4), c.x.TrimmedDecimal(4)}; got != [4]string{c.fraction, c.mixed, c.four, c.trimmed} {
			t.Errorf("prints as %q, want %q", got, []string{c.fraction, c.mixed, c.four, c.trimmed})
		}
	}
}

// TestDecimalsAreCut compares decimals with long division in math/big.
func TestDecimalsAreCut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := drawPair(t, "a")
		places := rapid.IntRange(0, 18).Draw(t, "places")
		scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil)
		n := new(big.Int).Quo(new(big.Int).Mul(a.r.Num(), scale), a.r.Denom()) // toward zero
		digits := new(big.Int).Abs(n).String()
		if len(digits) <= places {
			digits = strings.Repeat("0", places+1-len(digits)) + digits
		}
		want := digits[:len(digits)-places]
		if places > 0 {
			want += "." + digits[len(digits)-places:]
		}
		if n.Sign() < 0 {
			want = "-" + want
		}
		if got := a.x.DecimalText(places); got != want {
			t.Fatalf("%s at %d places is %s, want %s", a.r, places, got, want)
		}
		if got := string(a.x.AppendDecimal([]byte("x="), places)); got != "x="+want {
			t.Fatalf("appended: %s, want x=%s", got, want)
		}
		d := a.x.Decimal(int32(places))
		if d.StringFixed(int32(places)) != want && n.Sign() != 0 || d.Rat().Cmp(new(big.Rat).SetFrac(n, scale)) != 0 {
			t.Fatalf("%s as a decimal of %d places is %s, want %s", a.r, places, d, want)
		}
		trimmed := want
		if places > 0 {
			trimmed = strings.TrimSuffix(strings.TrimRight(want, "0"), ".")
		}
		if got := a.x.TrimmedDecimal(places); got != trimmed {
			t.Fatalf("%s trimmed at %d places is %s, want %s", a.r, places, got, trimmed)
		}
		if got := a.x.Fraction(); got != a.r.RatString() {
			t.Fatalf("Fraction of %s is %s", a.r, got)
		}
		if got := string(a.x.AppendFraction([]byte("x="))); got != "x="+a.r.RatString() {
			t.Fatalf("appended fraction of %s is %s", a.r, got)
		}
	})
}

// TestMixedNumbers: what cooks read is a whole number and a proper fraction in
// lowest terms that add up to the value, whichever way it is carried.
func TestMixedNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := drawPair(t, "a")
		if a.r.Sign() < 0 {
			a.x, a.r = a.x.Neg(), new(big.Rat).Neg(a.r)
		}
		whole, rest := new(big.Int).QuoRem(a.r.Num(), a.r.Denom(), new(big.Int))
		want := whole.String()
		switch {
		case rest.Sign() == 0:
		case whole.Sign() == 0:
			want = a.r.RatString()
		default:
			want += " " + new(big.Rat).SetFrac(rest, a.r.Denom()).RatString()
		}
		if got := a.x.String(); got != want {
			t.Fatalf("%s prints as %s, want %s", a.r, got, want)
		}
	})
}

// TestKeys: digests run keys together, so two values may not have one key, one
// value may not have two, and no key may begin another.
func TestKeys(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawPair(t, "a"), drawPair(t, "b")
		if rapid.Bool().Draw(t, "one value") {
			// the same value by another way, not in lowest terms
			b.x, b.r = a.x.Mul(exact.Frac(6, 4)).Quo(exact.Frac(3, 2)), a.r
		}
		ka, kb := a.x.AppendKey(nil), b.x.AppendKey(nil)
		switch equal := a.r.Cmp(b.r) == 0; {
		case equal != bytes.Equal(ka, kb):
			t.Fatalf("%s and %s have the keys %x and %x", a.r, b.r, ka, kb)
		case !equal && (bytes.HasPrefix(ka, kb) || bytes.HasPrefix(kb, ka)):
			t.Fatalf("of %s and %s one key begins the other: %x, %x", a.r, b.r, ka, kb)
		}
		if got := a.x.AppendKey([]byte("x")); !bytes.Equal(got, append([]byte("x"), ka...)) {
			t.Fatalf("appended: %x, want x and %x", got, ka)
		}
	})
}

// checkFromDecimal holds FromDecimal to its bound and to the exact value.
func checkFromDecimal(t rapid.TB, d decimal.Decimal) {
	t.Helper()
	start := time.Now()
	got, err := exact.FromDecimal(d)
	if took := time.Since(start); took > 5*time.Second {
		t.Fatalf("FromDecimal(...E%d) took %v", d.Exponent(), took)
	}
	// The bound, worked out on the digits: at most nine stand before the point
	// and nine behind it in the plain form.
	digits := len(new(big.Int).Abs(d.Coefficient()).String())
	in := d.Sign() == 0 || d.Sign() > 0 && digits+int(d.Exponent()) <= exact.MaxDigits && int(d.Exponent()) >= -exact.MaxDigits
	if (err == nil) != in {
		t.Fatalf("FromDecimal of %d digits E%d: %v", digits, d.Exponent(), err)
	}
	if err != nil {
		var pe *exact.ParseError
		if !errors.As(err, &pe) || len(err.Error()) > 500 || !got.IsZero() {
			t.Fatalf("FromDecimal of %d digits E%d gives %s and %v", digits, d.Exponent(), got.Fraction(), err)
		}
		return
	}
	if d.Sign() == 0 {
		if !got.IsZero() {
			t.Fatalf("FromDecimal of 0 E%d = %s", d.Exponent(), got.Fraction())
		}
		return // its big.Rat would expand the exponent
	}
	same(t, "FromDecimal", got, d.Rat())
}

func TestFromDecimalBounds(t *testing.T) {
	for _, d := range []decimal.Decimal{
		decimal.Zero, decimal.New(0, 1_000_000_000), decimal.New(0, -1_000_000_000),
		decimal.New(1, 8), decimal.New(1, 9), decimal.New(999_999_999, 0), decimal.New(1_000_000_000, 0), decimal.New(99_999_999_9, 1),
		decimal.New(1, -9), decimal.New(1, -10), decimal.New(999_999_999_999_999_999, -9), decimal.New(999_999_999_999_999_999, -10), decimal.New(1_000_000_000_000_000_000, -9),
		decimal.New(math.MaxInt64, -9), decimal.New(math.MaxInt64, -10), decimal.New(100, -11),
		decimal.NewFromBigInt(new(big.Int).SetUint64(math.MaxUint64), -9), decimal.NewFromBigInt(new(big.Int).SetUint64(1<<63), -10),
		decimal.New(-1, 0), decimal.New(-1, -9), decimal.New(-1, 1_000_000_000), decimal.New(math.MinInt64, 0),
		decimal.New(1, 1_000_000_000), decimal.New(1, -1_000_000_000), decimal.New(1, math.MaxInt32), decimal.New(1, math.MinInt32),
	} {
		checkFromDecimal(t, d)
	}
}

// TestFromDecimalOfMillionsOfDigits: the refusal may not cost what reading the
// digits would.
func TestFromDecimalOfMillionsOfDigits(t *testing.T) {
	coefficient := new(big.Int).Lsh(big.NewInt(1), 30_000_000) // some nine million digits
	for _, d := range []decimal.Decimal{decimal.NewFromBigInt(coefficient, 0), decimal.NewFromBigInt(coefficient, -9_000_000), decimal.NewFromBigInt(new(big.Int).Neg(coefficient), 0)} {
		start := time.Now()
		_, err := exact.FromDecimal(d)
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("refusing nine million digits took %v", took)
		}
		if err == nil || len(err.Error()) > 500 {
			t.Errorf("nine million digits: %.100v", err)
		}
	}
}

func TestDecimalRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		places := rapid.Int32Range(0, 9).Draw(t, "places")
		d := decimal.New(rapid.Int64Range(0, 999_999_999_999_999_999).Draw(t, "coefficient"), -places)
		checkFromDecimal(t, d)
		x, err := exact.FromDecimal(d)
		if err != nil {
			return
		}
		if back := x.Decimal(places); !back.Equal(d) {
			t.Fatalf("%s comes back as %s", d, back)
		}
		// Text and decimals are two doors to one value.
		if y, err := exact.Parse(d.StringFixed(places)); err != nil || !y.Equal(x) {
			t.Fatalf("%s is %s as a decimal and %s, %v as text", d, x.Fraction(), y.Fraction(), err)
		}
	})
}

func ExampleNumber_RoundDown() {
	// 12.7 lb at 11.8 oz eq a pound, over 100 servings
	x := exact.MustParse("12.7").Mul(exact.MustParse("11.8")).Quo(exact.Int(100))
	down, cut := x.RoundDown(exact.Frac(1, 4))
	fmt.Println(x.TrimmedDecimal(4), down, cut.TrimmedDecimal(4))
	// Output: 1.4986 1 1/4 0.2486
}
