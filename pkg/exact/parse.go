package exact

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Bounds of [Parse].
const (
	// MaxDigits is how many digits a number may have before the point, after
	// it, and in each part of a fraction.
	MaxDigits = 9
	// MaxText is how many bytes of text a number may take.
	MaxText = 40
)

// ParseError says what was wrong with the text of a number.
type ParseError struct {
	// Text found, cut to MaxText bytes.
	Text string
	// Want says what was expected.
	Want string
}

// Error implements error.
func (e *ParseError) Error() string {
	return fmt.Sprintf("%q is not a number: want %s", e.Text, e.Want)
}

// vulgar maps one-character fractions to their parts.
var vulgar = map[rune][2]int64{
	'½': {1, 2}, '⅓': {1, 3}, '⅔': {2, 3}, '¼': {1, 4}, '¾': {3, 4},
	'⅕': {1, 5}, '⅖': {2, 5}, '⅗': {3, 5}, '⅘': {4, 5}, '⅙': {1, 6}, '⅚': {5, 6},
	'⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8},
}

const wantNumber = "a plain number such as 2, 2.25, 1/3 or 2 1/4"

// Parse reads a number as people write it: "2", "2.25", "1/3", "2 1/4",
// "2-1/4", "2¼". It refuses signs, exponents, separators, a zero denominator
// and more than [MaxDigits] digits in a part, with a [*ParseError].
func Parse(s string) (Number, error) {
	fail := func(want string) (Number, error) {
		return Number{}, &ParseError{Text: clip(s), Want: want}
	}
	if len(s) > MaxText {
		return fail(fmt.Sprintf("at most %d characters", MaxText))
	}
	t := strings.TrimSpace(s)
	if t == "" {
		return fail(wantNumber)
	}
	whole, rest, ok := digits(t)
	if !ok {
		return fail(fmt.Sprintf("at most %d digits in a part", MaxDigits))
	}
	hasWhole := len(rest) < len(t)
	switch {
	case rest == "":
		return Int(whole), nil
	case rest[0] == '.':
		if !hasWhole {
			return fail("a digit before the point, such as 0.5")
		}
		frac, tail, ok := digits(rest[1:])
		n := len(rest) - 1 - len(tail)
		switch {
		case !ok:
			return fail(fmt.Sprintf("at most %d digits after the point", MaxDigits))
		case n == 0:
			return fail("a digit after the point, such as 2.5")
		case tail != "":
			return fail(wantNumber)
		}
		p := pow10(n)
		return Number{num: whole*p + frac, den: p}, nil
	case rest[0] == '/':
		if !hasWhole {
			return fail(wantNumber)
		}
		return fraction(s, 0, whole, rest[1:])
	}
	// A mixed number: whole, then space or hyphen or nothing, then a fraction.
	sep := strings.TrimLeft(rest, " ")
	if sep == rest && hasWhole {
		sep = strings.TrimPrefix(rest, "-")
	}
	if r, size := utf8.DecodeRuneInString(sep); size == len(sep) {
		if f, ok := vulgar[r]; ok {
			return Int(whole).Add(Frac(f[0], f[1])), nil
		}
	}
	if !hasWhole || sep == rest {
		return fail(wantNumber)
	}
	num, tail, ok := digits(sep)
	if !ok || len(tail) == len(sep) || !strings.HasPrefix(tail, "/") {
		return fail(wantNumber)
	}
	return fraction(s, whole, num, tail[1:])
}

// fraction finishes whole + num/text, text being the denominator.
func fraction(s string, whole, num int64, text string) (Number, error) {
	den, tail, ok := digits(text)
	if !ok || tail != "" || text == "" {
		return Number{}, &ParseError{Text: clip(s), Want: wantNumber}
	}
	if den == 0 {
		return Number{}, &ParseError{Text: clip(s), Want: "a fraction whose lower part is not 0"}
	}
	return Int(whole).Add(Frac(num, den)), nil
}

// digits reads leading decimal digits; ok is false when there are too many.
func digits(s string) (n int64, rest string, ok bool) {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		if i == MaxDigits {
			return 0, s, false
		}
		n = n*10 + int64(s[i]-'0')
		i++
	}
	return n, s[i:], true
}

// MustParse is Parse for constants in source text; it panics on bad text.
func MustParse(s string) Number {
	n, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return n
}

func clip(s string) string {
	if len(s) <= MaxText {
		return strings.ToValidUTF8(s, "?")
	}
	return strings.ToValidUTF8(s[:MaxText], "?") + "..."
}
