package exact

import (
	"encoding/binary"
	"math/big"
	"strconv"

	"github.com/shopspring/decimal"
)

// Fraction writes the value as a whole number or a fraction in lowest terms:
// "3", "5/4".
func (x Number) Fraction() string {
	var room [40]byte
	return string(x.AppendFraction(room[:0]))
}

// AppendFraction appends what [Number.Fraction] returns.
func (x Number) AppendFraction(b []byte) []byte {
	if x.big != nil {
		if x.big.IsInt() {
			return x.big.Num().Append(b, 10)
		}
		b = x.big.Num().Append(b, 10)
		b = append(b, '/')
		return x.big.Denom().Append(b, 10)
	}
	x = x.reduced()
	b = strconv.AppendInt(b, x.num, 10)
	if x.den != 1 {
		b = append(b, '/')
		b = strconv.AppendInt(b, x.den, 10)
	}
	return b
}

// AppendKey appends a compact form in which equal values are equal bytes and
// no key is the beginning of another. It is for digests, not for reading.
func (x Number) AppendKey(b []byte) []byte {
	if x.big == nil && x.num >= 0 {
		x = x.reduced()
		return binary.AppendUvarint(binary.AppendUvarint(b, uint64(x.den)), uint64(x.num))
	}
	text := x.AppendFraction(nil)
	b = append(b, 0) // no denominator is 0
	b = binary.AppendUvarint(b, uint64(len(text)))
	return append(b, text...)
}

// String writes the value as cooks do: "2", "1/3", "2 1/4".
func (x Number) String() string {
	switch {
	case x.big != nil && x.big.Sign() > 0:
		w, rest := new(big.Int).QuoRem(x.big.Num(), x.big.Denom(), new(big.Int))
		if w.Sign() > 0 && rest.Sign() > 0 {
			return w.String() + " " + fromBig(new(big.Rat).SetFrac(rest, x.big.Denom())).Fraction()
		}
	case x.big == nil && x.num >= 0:
		x = x.reduced()
		if w := x.num / x.den; w > 0 && x.den > 1 {
			return strconv.FormatInt(w, 10) + " " + Number{num: x.num % x.den, den: x.den}.Fraction()
		}
	}
	return x.Fraction()
}

// Decimal returns the value cut, not rounded, to the given number of decimal
// places (0 to 18). It is for reading and for the public edge; arithmetic
// stays with Number.
func (x Number) Decimal(places int32) decimal.Decimal {
	r := x.rat()
	n := new(big.Int).Mul(r.Num(), big.NewInt(pow10(int(places))))
	n.Quo(n, r.Denom())
	return decimal.NewFromBigInt(n, -places)
}

// DecimalText writes the value cut to the given number of places, trailing
// zeros kept: 5/4 at 4 places is "1.2500".
func (x Number) DecimalText(places int) string {
	return string(x.AppendDecimal(nil, places))
}

// AppendDecimal appends what [Number.DecimalText] returns.
func (x Number) AppendDecimal(b []byte, places int) []byte {
	if x.big == nil && x.num >= 0 {
		if n, ok := mul64(x.num, pow10(places)); ok {
			v := n / x.d()
			p := pow10(places)
			b = strconv.AppendInt(b, v/p, 10)
			if places == 0 {
				return b
			}
			b = append(b, '.')
			f := strconv.AppendInt(nil, v%p, 10)
			for range places - len(f) {
				b = append(b, '0')
			}
			return append(b, f...)
		}
	}
	return append(b, x.Decimal(int32(places)).StringFixed(int32(places))...)
}

// TrimmedDecimal writes the value as a plain decimal without trailing zeros
// when it has at most the given places, and cut to them when it has more.
func (x Number) TrimmedDecimal(places int) string {
	s := x.DecimalText(places)
	if places == 0 {
		return s
	}
	for s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	if s[len(s)-1] == '.' {
		s = s[:len(s)-1]
	}
	return s
}

// FromDecimal returns the exact value of d. It refuses a negative value and
// one whose plain form has more than [MaxDigits] digits before or after the
// point, before it expands an exponent.
func FromDecimal(d decimal.Decimal) (Number, error) {
	fail := func(want string) (Number, error) {
		// The coefficient alone, never the expanded form: an exponent can
		// make that gigabytes long. Writing out a long coefficient takes
		// longer still than carrying it, so only its size is told.
		c := d.Coefficient()
		text := "a coefficient of " + strconv.Itoa(c.BitLen()) + " bits "
		if c.BitLen() <= 3*MaxText {
			text = clip(c.String())
		}
		return Number{}, &ParseError{Text: text + "E" + strconv.Itoa(int(d.Exponent())), Want: want}
	}
	if d.Sign() < 0 {
		return fail("a number that is not negative")
	}
	if d.Sign() == 0 {
		return Number{}, nil
	}
	c, e := d.Coefficient(), int(d.Exponent())
	if c.BitLen() > 64 || e < -MaxDigits*2 || e > MaxDigits {
		return fail("at most 9 digits before and after the point")
	}
	n := len(c.String())
	if n+e > MaxDigits || -e > MaxDigits {
		return fail("at most 9 digits before and after the point")
	}
	v := Number{num: c.Int64(), den: 1}
	if e >= 0 {
		return v.Mul(Int(pow10(e))), nil
	}
	return v.Quo(Int(pow10(-e))), nil
}
