package measure

import (
	"strings"
	"testing"

	"example.com/ozeq/pkg/exact"
)

// FuzzParse looks for a text that panics, that is read as nothing or less, that
// reads otherwise when written out again or in capitals, or that is refused
// without saying why.
func FuzzParse(f *testing.F) {
	for _, row := range table(f, "quantities.csv", "text", "amount", "unit") {
		f.Add(row[0])
	}
	for _, row := range table(f, "bad-quantities.csv", "text", "reason") {
		f.Add(row[0])
	}
	f.Add(strings.Repeat("9", MaxText+1))
	f.Add("2\x00lb\xff")
	f.Fuzz(func(t *testing.T, s string) {
		q, err := Parse(s)
		if err != nil {
			refusal(t, s)
			return
		}
		if q.Amount().Sign() <= 0 {
			t.Errorf("Parse(%q) = %s %s", s, q.Amount().Fraction(), q.Unit().ID)
		}
		if base(q.Unit()) != q.Unit() {
			t.Errorf("Parse(%q) is held in %s, which is no base", s, q.Unit().ID)
		}
		for _, again := range []string{q.Text(), strings.ToUpper(s), " " + s + " "} {
			if len(again) > MaxText {
				continue
			}
			o, err := Parse(again)
			if err != nil || o.Unit() != q.Unit() || !o.Amount().Equal(q.Amount()) {
				t.Errorf("Parse(%q) = %s %s, but Parse(%q) = %s, %v", s, q.Amount().Fraction(), q.Unit().ID, again, o.Amount().Fraction(), err)
			}
		}
		if same, ok := q.In(q.Unit()); !ok || !same.Equal(q.Amount()) {
			t.Errorf("Parse(%q) in its own unit = %s, %v", s, same.Fraction(), ok)
		}
		if twice := q.Times(exact.Int(2)); !twice.Amount().Equal(q.Amount().Add(q.Amount())) {
			t.Errorf("Parse(%q) times 2 = %s", s, twice.Amount().Fraction())
		}
		for _, u := range Units() {
			n, ok := q.In(u)
			if ok != (u == q.Unit() || u.Dimension == q.Dimension() && u.Dimension != Container) {
				t.Errorf("Parse(%q) in %s: %v", s, u.ID, ok)
			}
			if ok && n.Sign() <= 0 {
				t.Errorf("Parse(%q) in %s = %s", s, u.ID, n.Fraction())
			}
		}
	})
}
