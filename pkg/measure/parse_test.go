package measure

import (
	"encoding/csv"
	"errors"
	"maps"
	"math/big"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
)

// table reads a CSV file of testdata and checks its header.
func table(t testing.TB, name string, header ...string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	r.FieldsPerRecord = len(header)
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if len(rows) < 2 || strings.Join(rows[0], ",") != strings.Join(header, ",") {
		t.Fatalf("%s: want the header %q and rows below it", name, header)
	}
	return rows[1:]
}

// refusal returns the fault Parse gives for s and checks what every fault of
// an amount must hold: a reason it may use, what was wanted, how to mend it,
// and a value fit to be shown.
func refusal(t testing.TB, s string) fault.Fault {
	t.Helper()
	q, err := Parse(s)
	if err == nil {
		t.Fatalf("Parse(%q) = %s %s, want a refusal", fault.Clip(s), q.Amount().Fraction(), q.Unit().ID)
	}
	if !q.IsZero() {
		t.Errorf("Parse(%q) refuses and returns an amount", fault.Clip(s))
	}
	var f fault.Fault
	if !errors.As(err, &f) {
		t.Fatalf("Parse(%q): %T is not a fault", fault.Clip(s), err)
	}
	switch f.Reason {
	case fault.Missing, fault.TooLong, fault.BadQuantity, fault.UnknownUnit, fault.OutOfRange:
	default:
		t.Errorf("Parse(%q): reason %s is not one of an amount", fault.Clip(s), f.Reason)
	}
	if f.Want == "" || f.Fix == "" {
		t.Errorf("Parse(%q): want %q, fix %q: both must be said", fault.Clip(s), f.Want, f.Fix)
	}
	if f.Path != "" {
		t.Errorf("Parse(%q): path %q, but only the caller knows it", fault.Clip(s), f.Path)
	}
	if f.Value != fault.Clip(s) || len(f.Value) > fault.MaxValue || !utf8.ValidString(f.Value) {
		t.Errorf("Parse(%q): value %q is not the text, clipped", fault.Clip(s), f.Value)
	}
	return f
}

func TestParse(t *testing.T) {
	for _, row := range table(t, "quantities.csv", "text", "amount", "unit") {
		text, amount, unit := row[0], row[1], row[2]
		q, err := Parse(text)
		if err != nil {
			t.Errorf("Parse(%q): %v", text, err)
			continue
		}
		if q.Amount().Fraction() != amount || q.Unit().ID != unit {
			t.Errorf("Parse(%q) = %s %s, want %s %s", text, q.Amount().Fraction(), q.Unit().ID, amount, unit)
		}
		if want := strings.Join(strings.Fields(text), " "); q.Text() != want || q.String() != want {
			t.Errorf("Parse(%q).Text() = %q, String() = %q, want it as written: %q", text, q.Text(), q, want)
		}
		if q.Dimension() != q.Unit().Dimension || q.System() != q.Unit().System {
			t.Errorf("Parse(%q): %v of system %v, but its unit is %v of %v", text, q.Dimension(), q.System(), q.Unit().Dimension, q.Unit().System)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, row := range table(t, "bad-quantities.csv", "text", "reason") {
		if f := refusal(t, row[0]); string(f.Reason) != row[1] {
			t.Errorf("Parse(%q): reason %s, want %s", row[0], f.Reason, row[1])
		}
	}
}

// A cook who wrote a word that is close to an amount is told what would be one.
func TestParseSaysHowToMend(t *testing.T) {
	for text, want := range map[string]string{
		"2 T":            "Tbsp",
		"1 can":          "can no. 10",
		"3 scoops":       "scoop no. 16",
		"2 cloves":       "no fixed size",
		"5 #":            "lb",
		"2 furlongs":     "tsp",
		"12":             "Add the unit",
		"1 lb (16 oz)":   "parentheses",
		"1 lb 200 g":     "apart",
		"1 lb of barley": `"1 lb"`,
		"0 lb":           "Leave the ingredient out",
	} {
		if f := refusal(t, text); !strings.Contains(f.Fix, want) {
			t.Errorf("Parse(%q): fix %q does not speak of %q", text, f.Fix, want)
		}
	}
}

func TestParseAtItsLengthLimit(t *testing.T) {
	const text = "2 lb 4 oz"
	fits := text + strings.Repeat(" ", MaxText-len(text))
	if q, err := Parse(fits); err != nil || q.Amount().Fraction() != "36" {
		t.Errorf("Parse of %d bytes: %v %v, want 36 oz", len(fits), q.Amount().Fraction(), err)
	}
	for _, long := range []string{fits + " ", strings.Repeat("é", MaxText/2+1), strings.Repeat("\xff", MaxText+1)} {
		if f := refusal(t, long); f.Reason != fault.TooLong {
			t.Errorf("Parse of %d bytes: reason %s, want %s", len(long), f.Reason, fault.TooLong)
		}
	}
}

// The length is looked at first: however long a text, refusing it takes neither
// time nor memory that grows with it.
func TestParseRefusesHugeTextsCheaply(t *testing.T) {
	for name, piece := range map[string]string{
		"digits": "7", "zeros": "0", "spaces": " ", "fractions": "1/", "parts": "1 lb ", "letters": "é", "broken": "\xc3",
	} {
		text := strings.Repeat(piece, 10<<20/len(piece))
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		refused := make(chan error, 1)
		go func() {
			_, err := Parse(text)
			refused <- err
		}()
		var err error
		select {
		case err = <-refused:
		case <-time.After(5 * time.Second): // not to wait for a parser that reads it all
			t.Fatalf("10 MiB of %s: not refused in 5 s", name)
		}
		runtime.ReadMemStats(&after)
		var f fault.Fault
		if !errors.As(err, &f) || f.Reason != fault.TooLong {
			t.Errorf("10 MiB of %s: %v, want %s", name, err, fault.TooLong)
		}
		if grew := after.TotalAlloc - before.TotalAlloc; grew > 64<<10 {
			t.Errorf("10 MiB of %s: %d bytes taken to refuse it, want at most 64 KiB", name, grew)
		}
	}
}

// Every number of the grammar next to every unit, in any number of parts,
// compared with big.Rat, which shares nothing with the parser.
func TestParseAddsUpLikeBigRat(t *testing.T) {
	families := map[string]map[string]*big.Rat{
		"oz":  {"oz": big.NewRat(1, 1), "lb": big.NewRat(16, 1), "lbs.": big.NewRat(16, 1), "[oz_av]": big.NewRat(1, 1)},
		"g":   {"g": big.NewRat(1, 1), "kg": big.NewRat(1000, 1), "mg": big.NewRat(1, 1000)},
		"cup": {"cups": big.NewRat(1, 1), "tsp": big.NewRat(1, 48), "Tbsp": big.NewRat(1, 16), "fl oz": big.NewRat(1, 8), "pt": big.NewRat(2, 1), "qt": big.NewRat(4, 1), "gal": big.NewRat(16, 1), "no. 30 scoops": big.NewRat(4, 30)},
		"mL":  {"mL": big.NewRat(1, 1), "dL": big.NewRat(100, 1), "L": big.NewRat(1000, 1)},
	}
	small := map[string]*big.Rat{"½": big.NewRat(1, 2), "⅓": big.NewRat(1, 3), "⅞": big.NewRat(7, 8)}
	number := rapid.Custom(func(t *rapid.T) string {
		whole := strconv.Itoa(rapid.IntRange(0, 9999).Draw(t, "whole"))
		fraction := strconv.Itoa(rapid.IntRange(1, 99).Draw(t, "over")) + "/" + strconv.Itoa(rapid.IntRange(1, 99).Draw(t, "under"))
		switch rapid.IntRange(0, 6).Draw(t, "form") {
		case 0:
			return whole
		case 1:
			return whole + "." + strconv.Itoa(rapid.IntRange(0, 999999).Draw(t, "decimals"))
		case 2:
			return fraction
		case 3:
			return whole + " " + fraction
		case 4:
			return whole + "-" + fraction
		case 5:
			return whole + " " + rapid.SampledFrom([]string{"½", "⅓", "⅞"}).Draw(t, "one character")
		}
		return whole + rapid.SampledFrom([]string{"½", "⅓", "⅞"}).Draw(t, "one character")
	})
	value := func(s string) *big.Rat {
		sum := new(big.Rat)
		for one, v := range small {
			if rest, ok := strings.CutSuffix(s, one); ok {
				sum.Set(v)
				s = strings.TrimSpace(rest)
			}
		}
		for _, part := range strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '-' }) {
			r, ok := new(big.Rat).SetString(part)
			if !ok {
				panic("the test wrote " + part)
			}
			sum.Add(sum, r)
		}
		return sum
	}
	rapid.Check(t, func(t *rapid.T) {
		base := rapid.SampledFrom([]string{"oz", "g", "cup", "mL"}).Draw(t, "family")
		spellings := slices.Sorted(maps.Keys(families[base])) // in one order, so that a failure can be replayed
		want := new(big.Rat)
		var text []string
		for range rapid.IntRange(1, 3).Draw(t, "parts") {
			n := number.Draw(t, "number")
			u := rapid.SampledFrom(spellings).Draw(t, "unit")
			text = append(text, n+" "+u)
			v := value(n)
			want.Add(want, v.Mul(v, families[base][u]))
		}
		s := strings.Join(text, rapid.SampledFrom([]string{" ", ", ", "  "}).Draw(t, "between"))
		q, err := Parse(s)
		if want.Sign() == 0 {
			var f fault.Fault
			if !errors.As(err, &f) || f.Reason != fault.OutOfRange {
				t.Fatalf("Parse(%q): %v, want %s", s, err, fault.OutOfRange)
			}
			return
		}
		if err != nil {
			t.Fatalf("Parse(%q): %v", s, err)
		}
		if q.Unit().ID != base || q.Amount().Rat().Cmp(want) != 0 {
			t.Fatalf("Parse(%q) = %s %s, want %s %s", s, q.Amount().Fraction(), q.Unit().ID, want.RatString(), base)
		}
	})
}

func TestQuantityIn(t *testing.T) {
	for _, c := range []struct{ text, unit, want string }{
		{"2 lb 4 oz", "lb", "9/4"},
		{"2 lb 4 oz", "oz", "36"},
		{"1 lb", "g", "45359237/100000"},
		{"453.59237 g", "lb", "1"},
		{"1 gal", "mL", "473176473/125000"}, // 3785.411784
		{"1 gal", "tsp", "768"},
		{"1 L", "cup", "2000000000/473176473"},
		{"2 dozen", "each", "24"},
		{"6 each", "dozen", "1/2"},
		{"3 can no. 10", "can no. 10", "3"},
		{"1 scoop no. 16", "Tbsp", "4"},
	} {
		q, err := Parse(c.text)
		if err != nil {
			t.Errorf("Parse(%q): %v", c.text, err)
			continue
		}
		u, ok := UnitByID(c.unit)
		if !ok {
			t.Fatalf("no unit %q", c.unit)
		}
		got, ok := q.In(u)
		if !ok || got.Fraction() != c.want {
			t.Errorf("%s in %s = %s (%v), want %s", c.text, c.unit, got.Fraction(), ok, c.want)
		}
	}
	for _, c := range [][2]string{
		{"1 lb", "cup"}, {"1 cup", "oz"}, {"1 each", "oz"}, {"1 can no. 10", "oz"}, {"1 can no. 10", "cup"},
		{"1 can no. 10", "each"}, {"1 can no. 10", "can no. 300"}, {"1 fl oz", "oz"}, {"1 g", "mL"},
	} {
		q, err := Parse(c[0])
		if err != nil {
			t.Fatal(err)
		}
		u, ok := UnitByID(c[1])
		if !ok {
			t.Fatalf("no unit %q", c[1])
		}
		if n, ok := q.In(u); ok {
			t.Errorf("%s in %s = %s: only a food's own figure can say that", c[0], c[1], n.Fraction())
		}
	}
}

func TestQuantityTimes(t *testing.T) {
	q, err := Parse("2 lb 4 oz")
	if err != nil {
		t.Fatal(err)
	}
	third := q.Times(exact.Frac(1, 3))
	if third.Amount().Fraction() != "12" || third.Unit() != Ounce || third.Text() != "12 oz" {
		t.Errorf("a third of 2 lb 4 oz = %s, written %q, want 12 oz", third.Amount().Fraction(), third)
	}
	if q.Amount().Fraction() != "36" || q.Text() != "2 lb 4 oz" {
		t.Errorf("Times changed what it was called on: %s, %q", q.Amount().Fraction(), q)
	}
	// What Times writes reads back as the same amount: a scaled recipe is a recipe.
	for _, n := range []exact.Number{exact.Int(7), exact.Frac(5, 6), exact.MustParse("0.037")} {
		for _, text := range []string{"2 lb 4 oz", "1 1/2 qt", "57 g", "250 mL", "3 dozen", "2 #10 cans", "1 scoop no. 30"} {
			q, err := Parse(text)
			if err != nil {
				t.Fatal(err)
			}
			scaled := q.Times(n)
			back, err := Parse(scaled.Text())
			if err != nil || !back.Amount().Equal(scaled.Amount()) || back.Unit() != scaled.Unit() {
				t.Errorf("%s times %s is written %q, which reads as %s %v", text, n, scaled, back.Amount().Fraction(), err)
			}
		}
	}
}

func TestNoAmount(t *testing.T) {
	var q Quantity
	if !q.IsZero() || q.Text() != "" || q.Unit() != nil {
		t.Errorf("the zero Quantity: IsZero %v, text %q, unit %v, want no amount", q.IsZero(), q.Text(), q.Unit())
	}
	if New(exact.Int(0), Ounce).IsZero() {
		t.Error("0 oz is an amount of nothing, not no amount")
	}
}
