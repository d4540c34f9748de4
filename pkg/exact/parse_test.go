package exact_test

import (
	"errors"
	"math/big"
	"regexp"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/exact"
)

func TestParseReads(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"0", "0"}, {"2", "2"}, {"007", "7"}, {"999999999", "999999999"},
		{"2.25", "9/4"}, {"0.5", "1/2"}, {"0.000000001", "1/1000000000"}, {"999999999.999999999", "999999999999999999/1000000000"},
		{"28.349523125", "45359237/1600000"}, {"236.5882365", "473176473/2000000"}, {"2.50", "5/2"}, {"0.0", "0"},
		{"1/3", "1/3"}, {"6/4", "3/2"}, {"0/5", "0"}, {"1/010", "1/10"}, {"0/0080", "0"}, {"010/08", "5/4"}, {"999999999/999999998", "999999999/999999998"},
		{"2 1/4", "9/4"}, {"2-1/4", "9/4"}, {"2   1/4", "9/4"}, {"0 1/2", "1/2"}, {"999999999 999999998/999999999", "999999998999999999/999999999"},
		{"½", "1/2"}, {"2¼", "9/4"}, {"2 ¼", "9/4"}, {"2-¼", "9/4"},
		{"⅓", "1/3"}, {"⅔", "2/3"}, {"¾", "3/4"}, {"⅕", "1/5"}, {"⅖", "2/5"}, {"⅗", "3/5"}, {"⅘", "4/5"}, {"⅙", "1/6"}, {"⅚", "5/6"},
		{"⅛", "1/8"}, {"⅜", "3/8"}, {"⅝", "5/8"}, {"⅞", "7/8"},
		{" 2.25\t", "9/4"}, {"\u00a02\u2003", "2"},
	} {
		n, err := exact.Parse(c.text)
		if err != nil || n.Fraction() != c.want {
			t.Errorf("Parse(%q) = %s, %v; want %s", c.text, n.Fraction(), err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, text := range []string{
		"", " ", "\t\n", "x", "-", ".", "/", "1/", "/2", "1/0", "0/0", "2 1/0",
		// signs: amounts of food are not negative
		"-1", "+1", "−1", "－1", "-½", "-1/2", "1/-2", "2 -1/4", "--2", "2--1/4", "- 1",
		// exponents and other notations
		"1e3", "1E3", "1e-3", "1E1000000000", "1e+1000000000", "1p4", "0x10", "0b1", "1_000", "1'000", "1,000", "1,5", "1.2.3", "1..2",
		"NaN", "nan", "Inf", "+Inf", "-Inf", "inf", "Infinity", "∞",
		// half-written numbers
		"2.", ".5", "2. 5", "2 .5", "1/2/3", "1 /2", "1/ 2", "1 2", "1 2 3/4", "2.5 1/2", "2 1/2.5", "2- 1/4", "2 - 1/4", "½ 2", "½½", "2½½", "1/½",
		"10-12", "2\t1/4", "2\u00a01/4", "1⁄2",
		// digits of other scripts are not digits a cook types: 1 and 12 in
		// Arabic-Indic, Devanagari, full-width, superscript, mathematical, circled
		"١", "١٢", "१२", "１２", "²", "2²", "𝟏𝟐", "①", "⅟2", "Ⅻ", "1٢", "1.٥", "1/２",
		// one-character fractions the kitchen does not use
		"⅐", "⅑", "⅒", "↉",
		// control characters and bytes that are no text
		"1\x00", "\x002", "1\x7f", "\xff", "1\xff", "\xc2", "1\xc2\xbd\xff", "1\u202e2", "\ufeff1",
		// one digit too many in each part
		"1000000000", "0000000000", "1.0000000000", "1/1000000000", "1000000000/1", "1 1000000000/2", "1 1/1000000000",
		"99999999999999999999", strings.Repeat("9", 40), strings.Repeat(" ", 40) + "1",
	} {
		n, err := exact.Parse(text)
		var pe *exact.ParseError
		if !errors.As(err, &pe) {
			t.Errorf("Parse(%q) = %s, %v; want a *ParseError", text, n.Fraction(), err)
			continue
		}
		if !n.IsZero() {
			t.Errorf("Parse(%q) refuses and gives %s as well", text, n.Fraction())
		}
		if pe.Want == "" || strings.ContainsRune(pe.Text, '\ufffd') {
			t.Errorf("Parse(%q): says %q was found and %q wanted", text, pe.Text, pe.Want)
		}
	}
}

// TestParseIsBounded holds reading to its bounds: text of any length costs the
// same, and the error does not carry the text on.
func TestParseIsBounded(t *testing.T) {
	const big10MB = 10 << 20
	for name, text := range map[string]string{
		"10 MB of digits":       strings.Repeat("9", big10MB),
		"10 MB of zeros":        strings.Repeat("0", big10MB),
		"10 MB behind a point":  "0." + strings.Repeat("3", big10MB),
		"10 MB of denominator":  "1/" + strings.Repeat("3", big10MB),
		"10 MB of blanks":       strings.Repeat(" ", big10MB) + "1",
		"10 MB of signs":        strings.Repeat("-", big10MB),
		"10 MB of half signs":   strings.Repeat("½", big10MB/2),
		"10 MB of cut sequence": strings.Repeat("\xc2", big10MB),
	} {
		start := time.Now()
		_, err := exact.Parse(text)
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("%s: took %v", name, took)
		}
		if err == nil {
			t.Errorf("%s: accepted", name)
			continue
		}
		if n := len(err.Error()); n > 1000 {
			t.Errorf("%s: the error is %d bytes long", name, n)
		}
		if got := testing.AllocsPerRun(5, func() { _, _ = exact.Parse(text) }); got > 20 {
			t.Errorf("%s: %v allocations", name, got)
		}
	}
}

func TestMustParse(t *testing.T) {
	if got := exact.MustParse("2 1/4").Fraction(); got != "9/4" {
		t.Errorf("MustParse(2 1/4) = %s", got)
	}
	defer func() {
		if recover() == nil {
			t.Error("MustParse(1e3) does not panic")
		}
	}()
	exact.MustParse("1e3")
}

// The grammar once more, as a pattern; it shares nothing with the reader.
var (
	plainNumber    = regexp.MustCompile(`^([0-9]{1,9})(?:\.([0-9]{1,9}))?$`)
	fractionNumber = regexp.MustCompile(`^(?:([0-9]{1,9})(?: +|-))?([0-9]{1,9})/([0-9]{1,9})$`)
	vulgarNumber   = regexp.MustCompile(`^(?:([0-9]{1,9})(?: *|-))?([½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞])$`)
	vulgarParts    = map[string]string{"½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5",
		"⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
)

// reference reads text by the pattern, with math/big doing the reading.
func reference(s string) (*big.Rat, bool) {
	if len(s) > 40 {
		return nil, false
	}
	t := strings.TrimSpace(s)
	sum := new(big.Rat)
	add := func(text string) bool {
		if num, den, ok := strings.Cut(text, "/"); ok {
			// Not Rat.SetString, which takes a denominator of 010 for octal.
			n, _ := new(big.Int).SetString(num, 10)
			d, _ := new(big.Int).SetString(den, 10)
			if d.Sign() == 0 {
				return false
			}
			sum.Add(sum, new(big.Rat).SetFrac(n, d))
			return true
		}
		r, ok := new(big.Rat).SetString(text)
		if ok {
			sum.Add(sum, r)
		}
		return ok
	}
	if plainNumber.MatchString(t) {
		return sum, add(t)
	}
	if m := fractionNumber.FindStringSubmatch(t); m != nil {
		return sum, (m[1] == "" || add(m[1])) && add(m[2]+"/"+m[3])
	}
	if m := vulgarNumber.FindStringSubmatch(t); m != nil {
		return sum, (m[1] == "" || add(m[1])) && add(vulgarParts[m[2]])
	}
	return nil, false
}

// checkParse compares one text with the reference.
func checkParse(t rapid.TB, s string) {
	t.Helper()
	got, err := exact.Parse(s)
	want, ok := reference(s)
	switch {
	case ok && err != nil:
		t.Fatalf("Parse(%q): %v; the grammar has it as %s", s, err, want.RatString())
	case !ok && err == nil:
		t.Fatalf("Parse(%q) = %s; the grammar refuses it", s, got.Fraction())
	case ok && got.Rat().Cmp(want) != 0:
		t.Fatalf("Parse(%q) = %s, want %s", s, got.Fraction(), want.RatString())
	case ok && !got.Small():
		t.Fatalf("Parse(%q) = %s leaves 64 bits", s, got.Fraction())
	case err != nil && len(err.Error()) > 1000:
		t.Fatalf("Parse(%q): an error of %d bytes", s, len(err.Error()))
	}
}

// TestParseFollowsTheGrammar feeds texts made of the pieces numbers are made
// of, so that most are nearly numbers.
func TestParseFollowsTheGrammar(t *testing.T) {
	pieces := []string{"0", "1", "2", "12", "999999999", "1000000000", "/", ".", " ", "  ", "-", "+", "½", "⅞", "010", "08", "e", "E9", "٣", "\u00a0", ",", "_", "00", "8"}
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		for _, p := range rapid.SliceOfN(rapid.SampledFrom(pieces), 0, 7).Draw(t, "pieces") {
			b.WriteString(p)
		}
		checkParse(t, b.String())
	})
}

// TestParseReadsItsOwnText: what a Number prints is read back as itself, as
// long as its parts keep to the bound on digits.
func TestParseReadsItsOwnText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := exact.Frac(rapid.Int64Range(0, 999_999_999).Draw(t, "num"), rapid.Int64Range(1, 999_999_999).Draw(t, "den"))
		for _, text := range []string{x.String(), x.Fraction()} {
			if y, err := exact.Parse(text); err != nil || !y.Equal(x) {
				t.Fatalf("%s is read back as %s, %v", text, y.Fraction(), err)
			}
		}
	})
}
