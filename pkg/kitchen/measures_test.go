package kitchen_test

import (
	"encoding/csv"
	"errors"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
)

// table reads a CSV file of testdata and checks its header.
func table(t testing.TB, name, header string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if len(rows) < 2 || strings.Join(rows[0], ",") != header {
		t.Fatalf("%s: want the header %q and rows below it", name, header)
	}
	return rows[1:]
}

func quantity(t testing.TB, text string) measure.Quantity {
	t.Helper()
	q, err := measure.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func TestInMeasures(t *testing.T) {
	for _, row := range table(t, "measures.csv", "amount,down,nearest,up") {
		q := quantity(t, row[0])
		for i, d := range []kitchen.Direction{kitchen.Down, kitchen.Nearest, kitchen.Up} {
			m, err := kitchen.InMeasures(q, d)
			if err != nil || m.Kitchen.Text() != row[i+1] {
				t.Errorf("%s %s: %q, %v, want %q", row[0], d, m.Kitchen.Text(), err, row[i+1])
			}
		}
	}
}

// anyAmount draws an amount of every kind of unit, from crumbs to truckloads.
func anyAmount(t *rapid.T) measure.Quantity {
	units := measure.Units()
	u := units[rapid.IntRange(0, len(units)-1).Draw(t, "unit")]
	return measure.New(exact.Frac(rapid.Int64Range(1, 1_000_000).Draw(t, "amount"), rapid.Int64Range(1, 5_000).Draw(t, "of")), u)
}

// TestInMeasuresIsABracket: down and up enclose the amount with nothing between,
// nearest is one of them and nearer, the text reads back, and what is on the
// ladder stays.
func TestInMeasuresIsABracket(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := anyAmount(t)
		got := map[kitchen.Direction]kitchen.Measured{}
		for _, d := range []kitchen.Direction{kitchen.Down, kitchen.Nearest, kitchen.Up} {
			m, err := kitchen.InMeasures(q, d)
			if err != nil {
				t.Fatalf("%s: %v", q, err)
			}
			k := m.Kitchen
			if k.Amount().Sign() <= 0 || k.Unit() != q.Unit() {
				t.Fatalf("%s %s: %s", q, d, k)
			}
			back, err := measure.Parse(k.Text())
			if err != nil || !back.Amount().Equal(k.Amount()) || back.Unit() != k.Unit() {
				t.Fatalf("%s %s: %q reads back as %s, %v", q, d, k.Text(), back, err)
			}
			if !q.Amount().Mul(exact.Int(1).Add(m.Change)).Equal(k.Amount()) {
				t.Fatalf("%s %s: %s is no change of %s", q, d, k, m.Change)
			}
			again, err := kitchen.InMeasures(k, d)
			if err != nil || again.Kitchen.Text() != k.Text() || !again.Change.IsZero() {
				t.Fatalf("%s %s: %s, and again %s, %v", q, d, k, again.Kitchen, err)
			}
			got[d] = m
		}
		down, near, up := got[kitchen.Down].Kitchen.Amount(), got[kitchen.Nearest].Kitchen.Amount(), got[kitchen.Up].Kitchen.Amount()
		x := q.Amount()
		if up.Less(x) || x.Less(down) != got[kitchen.Down].BelowLeast {
			t.Fatalf("%s: %s to %s", q, down, up)
		}
		if got[kitchen.Down].BelowLeast {
			if !down.Equal(up) || !near.Equal(up) {
				t.Fatalf("%s, below the least measure: %s, %s, %s", q, down, near, up)
			}
			return
		}
		if gap := x.Sub(down).Cmp(up.Sub(x)); gap < 0 && !near.Equal(down) || gap >= 0 && !near.Equal(up) {
			t.Fatalf("%s: %s of %s and %s", q, near, down, up)
		}
		// Nothing lies between: a point between them goes to the same two.
		if !down.Equal(up) {
			mid := measure.New(down.Add(up).Quo(exact.Int(2)), q.Unit())
			lo, _ := kitchen.InMeasures(mid, kitchen.Down)
			hi, _ := kitchen.InMeasures(mid, kitchen.Up)
			if !lo.Kitchen.Amount().Equal(down) || !hi.Kitchen.Amount().Equal(up) {
				t.Fatalf("%s: between %s and %s lies %s or %s", q, down, up, lo.Kitchen, hi.Kitchen)
			}
		}
	})
}

// More is never measured as less.
func TestInMeasuresKeepsOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := anyAmount(t)
		more := q.Times(exact.Frac(rapid.Int64Range(1000, 1100).Draw(t, "thousandths"), 1000))
		for _, d := range []kitchen.Direction{kitchen.Down, kitchen.Nearest, kitchen.Up} {
			a, err := kitchen.InMeasures(q, d)
			b, err2 := kitchen.InMeasures(more, d)
			if err != nil || err2 != nil || b.Kitchen.Amount().Less(a.Kitchen.Amount()) {
				t.Fatalf("%s is %s %s, %s is %s: %v %v", q, a.Kitchen, d, more, b.Kitchen, err, err2)
			}
		}
	})
}

func TestInMeasuresRefuses(t *testing.T) {
	for _, q := range []measure.Quantity{{}, measure.New(exact.Int(0), measure.Pound), measure.New(exact.Int(1_000_000_000), measure.Pound), measure.New(exact.Int(1_000_000_000), measure.Each)} {
		m, err := kitchen.InMeasures(q, kitchen.Up)
		var f fault.Fault
		if !errors.As(err, &f) || f.Reason != fault.OutOfRange || f.Want == "" || f.Fix == "" {
			t.Errorf("%q: %v, %v", q.Text(), m, err)
		}
	}
}

func TestParseDirection(t *testing.T) {
	for _, d := range []kitchen.Direction{kitchen.Up, kitchen.Down, kitchen.Nearest} {
		if got, ok := kitchen.ParseDirection(d.String()); !ok || got != d {
			t.Errorf("%s reads as %s, %v", d, got, ok)
		}
	}
	for _, s := range []string{"", "UP", "sideways"} {
		if got, ok := kitchen.ParseDirection(s); ok {
			t.Errorf("%q reads as %s", s, got)
		}
	}
}
