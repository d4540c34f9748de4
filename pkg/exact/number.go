package exact

import (
	"cmp"
	"math"
	"math/big"
	"math/bits"
)

// Number is an exact rational number. The zero value is 0.
type Number struct {
	// While big is nil the value is num/den, with den 0 read as 1. The
	// fraction need not be in lowest terms: reducing is put off until a
	// product would overflow or somebody reads the value.
	num, den int64
	big      *big.Rat
}

// Int returns n as a Number.
func Int(n int64) Number {
	if n == math.MinInt64 {
		return Number{big: new(big.Rat).SetInt64(n)}
	}
	return Number{num: n, den: 1}
}

// Frac returns num/den. It panics when den is 0, as integer division does; it
// is meant for constants. Text goes through [Parse].
func Frac(num, den int64) Number {
	if den == 0 {
		panic("exact: denominator 0")
	}
	if num == math.MinInt64 || den == math.MinInt64 {
		return fromBig(new(big.Rat).SetFrac(big.NewInt(num), big.NewInt(den)))
	}
	if den < 0 {
		num, den = -num, -den
	}
	return Number{num: num, den: den}
}

// FromRat returns the value of r.
func FromRat(r *big.Rat) Number {
	return fromBig(new(big.Rat).Set(r))
}

// fromBig takes ownership of r and brings it back to 64 bits when it fits.
func fromBig(r *big.Rat) Number {
	if r.Num().IsInt64() && r.Denom().IsInt64() {
		n, d := r.Num().Int64(), r.Denom().Int64()
		if n != math.MinInt64 {
			return Number{num: n, den: d}
		}
	}
	return Number{big: r}
}

func (x Number) d() int64 {
	if x.den == 0 {
		return 1
	}
	return x.den
}

// Rat returns the value as a new big.Rat, in lowest terms.
func (x Number) Rat() *big.Rat {
	if x.big != nil {
		return new(big.Rat).Set(x.big)
	}
	return big.NewRat(x.num, x.d())
}

// rat is Rat without the copy, for reading only.
func (x Number) rat() *big.Rat {
	if x.big != nil {
		return x.big
	}
	return big.NewRat(x.num, x.d())
}

// reduced returns x in lowest terms.
func (x Number) reduced() Number {
	if x.big != nil {
		return x
	}
	d := x.d()
	if d == 1 {
		return Number{num: x.num, den: 1}
	}
	if g := gcd(abs(x.num), uint64(d)); g > 1 {
		return Number{num: x.num / int64(g), den: d / int64(g)}
	}
	return Number{num: x.num, den: d}
}

// IsZero reports whether x is 0.
func (x Number) IsZero() bool { return x.big == nil && x.num == 0 }

// Sign returns -1, 0 or 1.
func (x Number) Sign() int {
	switch {
	case x.big != nil:
		return x.big.Sign()
	case x.num < 0:
		return -1
	case x.num > 0:
		return 1
	}
	return 0
}

// BitLen returns the bits of the longer of numerator and denominator as the
// number is held, which bounds what the next operation costs.
func (x Number) BitLen() int {
	if x.big != nil {
		return max(x.big.Num().BitLen(), x.big.Denom().BitLen())
	}
	return 64
}

// Neg returns -x.
func (x Number) Neg() Number {
	if x.big != nil {
		return fromBig(new(big.Rat).Neg(x.big))
	}
	return Number{num: -x.num, den: x.d()}
}

// Mul returns x times y.
func (x Number) Mul(y Number) Number {
	if x.big == nil && y.big == nil {
		if z, ok := mulFast(x, y); ok {
			return z
		}
		// Cross-reduce, then try once more before leaving 64 bits.
		x, y = x.reduced(), y.reduced()
		x, y = Number{num: x.num, den: y.den}.reduced(), Number{num: y.num, den: x.den}.reduced()
		if z, ok := mulFast(x, y); ok {
			return z
		}
	}
	return fromBig(new(big.Rat).Mul(x.rat(), y.rat()))
}

func mulFast(x, y Number) (Number, bool) {
	n, ok := mul64(x.num, y.num)
	if !ok {
		return Number{}, false
	}
	d, ok := mul64(x.d(), y.d())
	if !ok {
		return Number{}, false
	}
	return Number{num: n, den: d}, true
}

// Quo returns x divided by y. It panics when y is 0, as integer division does:
// callers refuse zero divisors while they still know what to call them.
func (x Number) Quo(y Number) Number {
	if y.IsZero() {
		panic("exact: division by zero")
	}
	if y.big != nil {
		return x.Mul(fromBig(new(big.Rat).Inv(y.big)))
	}
	n, d := y.d(), y.num
	if d < 0 {
		n, d = -n, -d
	}
	return x.Mul(Number{num: n, den: d})
}

// Add returns x plus y.
func (x Number) Add(y Number) Number {
	if x.big == nil && y.big == nil {
		if z, ok := addFast(x, y); ok {
			return z
		}
		if z, ok := addFast(x.reduced(), y.reduced()); ok {
			return z
		}
	}
	return fromBig(new(big.Rat).Add(x.rat(), y.rat()))
}

func addFast(x, y Number) (Number, bool) {
	xd, yd := x.d(), y.d()
	switch {
	case xd == yd:
		n, ok := add64(x.num, y.num)
		return Number{num: n, den: xd}, ok
	case x.num == 0:
		return y, true
	case y.num == 0:
		return x, true
	}
	if k := xd / yd; k*yd == xd { // as most sums do
		b, ok1 := mul64(y.num, k)
		n, ok2 := add64(x.num, b)
		return Number{num: n, den: xd}, ok1 && ok2
	}
	g := int64(gcd(uint64(xd), uint64(yd)))
	a, ok1 := mul64(x.num, yd/g)
	b, ok2 := mul64(y.num, xd/g)
	d, ok3 := mul64(xd, yd/g)
	if !ok1 || !ok2 || !ok3 {
		return Number{}, false
	}
	n, ok := add64(a, b)
	return Number{num: n, den: d}, ok
}

// Sub returns x minus y.
func (x Number) Sub(y Number) Number { return x.Add(y.Neg()) }

// Cmp returns -1, 0 or 1 as x is below, equal to or above y.
func (x Number) Cmp(y Number) int {
	if x.big != nil || y.big != nil {
		return x.rat().Cmp(y.rat())
	}
	switch {
	case x.num >= 0 && y.num >= 0:
		return cross(uint64(x.num), uint64(x.d()), uint64(y.num), uint64(y.d()))
	case x.num < 0 && y.num < 0:
		return cross(abs(y.num), uint64(y.d()), abs(x.num), uint64(x.d()))
	case x.num < 0:
		return -1
	}
	return 1
}

// cross compares a/b with c/d.
func cross(a, b, c, d uint64) int {
	if b == d {
		return cmp.Compare(a, c)
	}
	ah, al := bits.Mul64(a, d)
	bh, bl := bits.Mul64(c, b)
	if ah != bh {
		return cmp.Compare(ah, bh)
	}
	return cmp.Compare(al, bl)
}

// Whole returns the value as an integer, when it is one that fits in 64 bits.
func (x Number) Whole() (int64, bool) {
	if x.big != nil { // the least of them is kept there
		return x.big.Num().Int64(), x.big.IsInt() && x.big.Num().IsInt64()
	}
	x = x.reduced()
	return x.num, x.den == 1
}

// Equal reports whether x and y are the same value.
func (x Number) Equal(y Number) bool { return x.Cmp(y) == 0 }

// Less reports whether x is below y.
func (x Number) Less(y Number) bool { return x.Cmp(y) < 0 }

// Min returns the smaller of x and y.
func Min(x, y Number) Number {
	if y.Less(x) {
		return y
	}
	return x
}

// Max returns the larger of x and y.
func Max(x, y Number) Number {
	if x.Less(y) {
		return y
	}
	return x
}

// steps returns the largest whole k with k*step <= x. x must not be negative
// and step must be positive.
func (x Number) steps(step Number) (int64, bool) {
	if x.big != nil || step.big != nil {
		return 0, false
	}
	n, ok1 := mul64(x.num, step.d())
	d, ok2 := mul64(x.d(), step.num)
	if !ok1 || !ok2 {
		x, step = x.reduced(), step.reduced()
		n, ok1 = mul64(x.num, step.den)
		d, ok2 = mul64(x.den, step.num)
		if !ok1 || !ok2 {
			return 0, false
		}
	}
	return n / d, true
}

// RoundDown returns the largest multiple of step that is not above x, and what
// was cut off: x = down + cut, 0 <= cut < step. It panics when step is not
// positive. A negative x rounds away from zero, toward the smaller multiple.
func (x Number) RoundDown(step Number) (down, cut Number) {
	down = x.DownTo(step)
	return down, x.Sub(down)
}

// DownTo is [Number.RoundDown] without what was cut off, which costs more to
// work out.
func (x Number) DownTo(step Number) Number {
	if step.Sign() <= 0 {
		panic("exact: step not positive")
	}
	if x.Sign() >= 0 {
		if k, ok := x.steps(step); ok {
			return Int(k).Mul(step)
		}
	}
	q := new(big.Rat).Quo(x.rat(), step.rat())
	k := new(big.Int).Div(q.Num(), q.Denom()) // Euclidean: floors for a positive denominator
	return fromBig(new(big.Rat).Mul(new(big.Rat).SetInt(k), step.rat()))
}

// RoundUp returns the smallest multiple of step that is not below x. It panics
// when step is not positive.
func (x Number) RoundUp(step Number) Number {
	down, cut := x.RoundDown(step)
	if cut.IsZero() {
		return down
	}
	return down.Add(step)
}

// Cut drops every decimal place after the given number of places, toward zero
// for values that are not negative. It is the "cut, never round up" of hand
// worksheets.
func (x Number) Cut(places int) Number {
	p := pow10(places)
	if x.big == nil && x.num >= 0 {
		if p%x.d() == 0 {
			return x
		}
		if n, ok := mul64(x.num, p); ok {
			return Number{num: n / x.d(), den: p}
		}
	}
	down, _ := x.RoundDown(Frac(1, pow10(places)))
	return down
}

func pow10(places int) int64 {
	if places < 0 || places > 18 {
		panic("exact: places out of range 0 to 18")
	}
	return powers[places]
}

var powers = func() (p [19]int64) {
	p[0] = 1
	for i := 1; i < len(p); i++ {
		p[i] = 10 * p[i-1]
	}
	return p
}()

// Small reports whether x is carried in 64-bit integers. It exists for tests
// of the fast path; no result depends on it.
func (x Number) Small() bool { return x.big == nil }

func abs(n int64) uint64 {
	if n < 0 {
		return uint64(-n)
	}
	return uint64(n)
}

func add64(a, b int64) (int64, bool) {
	c := a + b
	if (a^c)&(b^c) < 0 || c == math.MinInt64 {
		return 0, false
	}
	return c, true
}

func mul64(a, b int64) (int64, bool) {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	// The upper half of the signed product; it fits when that repeats its sign.
	over := int64(hi) - a>>63&b - b>>63&a
	c := int64(lo)
	return c, over == c>>63 && c != math.MinInt64
}

// gcd of two positive numbers by Stein's method: shifts and subtractions, no
// division.
func gcd(a, b uint64) uint64 {
	if a == 0 {
		return b
	}
	if b == 0 {
		return a
	}
	sa, sb := bits.TrailingZeros64(a), bits.TrailingZeros64(b)
	a, b = a>>sa, b>>sb
	for a != b {
		if a > b {
			a -= b
			a >>= bits.TrailingZeros64(a)
		} else {
			b -= a
			b >>= bits.TrailingZeros64(b)
		}
	}
	return a << min(sa, sb)
}
