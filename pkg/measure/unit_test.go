package measure

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.com/ozeq/pkg/exact"
)

// The legal definitions and the customary tables, each fact written as the
// number of the second unit in one of the first.
func TestExactFacts(t *testing.T) {
	for _, c := range []struct {
		one  *Unit
		is   string
		many *Unit
	}{
		{Pound, "453.59237", Gram},
		{Ounce, "28.349523125", Gram},
		{Pound, "16", Ounce},
		{Kilogram, "1000", Gram},
		{Gram, "1000", Milligram},
		{Gallon, "3785.411784", Milliliter},
		{Quart, "946.352946", Milliliter},
		{Cup, "236.5882365", Milliliter},
		{Liter, "1000", Milliliter},
		{Liter, "10", Deciliter},
		{Gallon, "4", Quart},
		{Quart, "2", Pint},
		{Pint, "2", Cup},
		{Cup, "8", FluidOunce},
		{Cup, "16", Tablespoon},
		{Tablespoon, "3", Teaspoon},
		{FluidOunce, "2", Tablespoon},
		{Gallon, "128", FluidOunce},
		{Dozen, "12", Each},
	} {
		r, ok := c.one.Ratio(c.many)
		if !ok || !r.Equal(exact.MustParse(c.is)) {
			t.Errorf("1 %s = %s %s (%v), want %s", c.one.ID, r.Fraction(), c.many.ID, ok, c.is)
		}
	}
}

// 1 US gallon is 231 cubic inches and an inch is 2.54 cm, so the cup follows.
func TestCupFromTheInch(t *testing.T) {
	inch := exact.MustParse("2.54")
	cup := exact.Int(231).Mul(inch).Mul(inch).Mul(inch).Quo(exact.Int(16))
	if r, _ := Cup.Ratio(Milliliter); !r.Equal(cup) {
		t.Errorf("a cup is %s mL, but a sixteenth of 231 cubic inches is %s", r.Fraction(), cup.Fraction())
	}
}

// Converting there and back changes nothing, and going by a third unit makes no
// difference: a unit that breaks either has a wrong figure.
func TestRatiosAgreeWithEachOther(t *testing.T) {
	units := Units()
	pairs := 0
	for _, u := range units {
		for _, v := range units {
			r, ok := u.Ratio(v)
			back, okBack := v.Ratio(u)
			alike := u == v || u.Dimension == v.Dimension && u.Dimension != Container
			if ok != alike || okBack != alike {
				t.Errorf("%s to %s: %v and back %v, want %v", u.ID, v.ID, ok, okBack, alike)
				continue
			}
			if !ok {
				continue
			}
			pairs++
			if r.Sign() <= 0 || !r.Mul(back).Equal(exact.Int(1)) {
				t.Errorf("%s to %s is %s and back %s: their product is not 1", u.ID, v.ID, r.Fraction(), back.Fraction())
			}
			for _, w := range units {
				direct, ok1 := u.Ratio(w)
				second, ok2 := v.Ratio(w)
				if ok1 != ok2 || ok1 && !r.Mul(second).Equal(direct) {
					t.Errorf("%s to %s: %s, but by way of %s %s", u.ID, w.ID, direct.Fraction(), v.ID, r.Mul(second).Fraction())
				}
			}
		}
	}
	if pairs < 500 {
		t.Errorf("only %d pairs of units measure the same thing", pairs)
	}
}

func TestUnits(t *testing.T) {
	units := Units()
	seen := make(map[string]bool)
	for _, u := range units {
		if u.ID == "" || seen[u.ID] {
			t.Errorf("unit id %q is empty or stands twice", u.ID)
		}
		seen[u.ID] = true
		if got, ok := UnitByID(u.ID); !ok || got != u {
			t.Errorf("UnitByID(%q) does not find the unit", u.ID)
		}
		if got, ok := UnitByID("  " + strings.ToUpper(u.ID) + " "); !ok || got != u {
			t.Errorf("UnitByID does not find %q in capitals between spaces", u.ID)
		}
		if u.Dimension.String() == "nothing" {
			t.Errorf("%s measures nothing", u.ID)
		}
		if got := base(u); got.Dimension != u.Dimension || got.System != u.System {
			t.Errorf("%s is held in %s, which is of another kind", u.ID, got.ID)
		}
	}
	units[0] = nil
	if Units()[0] == nil {
		t.Error("a caller changed the units of the package")
	}
	if _, ok := UnitByID("furlong"); ok {
		t.Error("UnitByID finds a furlong")
	}
	if _, ok := UnitByID(""); ok {
		t.Error("UnitByID finds a unit without a name")
	}
	if got := Dimension(0).String(); got != "nothing" {
		t.Errorf("dimension 0 is called %q", got)
	}
}

// Every spelling the package knows reads as its unit, also written onto a
// fraction and in capitals, and no spelling belongs to two units.
func TestEverySpellingReads(t *testing.T) {
	owner := make(map[string]*Unit)
	for _, u := range Units() {
		spellings := append([]string{u.ID}, u.aliases...)
		if u.UCUM != "" {
			spellings = append(spellings, u.UCUM)
		}
		for _, s := range spellings {
			if o := owner[strings.ToLower(s)]; o != nil && o != u {
				t.Errorf("%q is both %s and %s", s, o.ID, u.ID)
			}
			owner[strings.ToLower(s)] = u
			for _, text := range []string{"2 1/2 " + s, "2½ " + strings.ToUpper(s), "2 ½ " + s} {
				q, err := Parse(text)
				if err != nil {
					t.Errorf("Parse(%q): %v", text, err)
					continue
				}
				want := exact.MustParse("2 1/2").Mul(u.ratio)
				if q.Unit() != base(u) || !q.Amount().Equal(want) {
					t.Errorf("Parse(%q) = %s %s, want %s %s", text, q.Amount().Fraction(), q.Unit().ID, want.Fraction(), base(u).ID)
				}
			}
		}
	}
}

// Scoop no. n holds a quart divided by n; the kitchen poster prints sizes of
// its own. The table says where the two part, and which way: a printed size
// above the exact one would over-credit, so neither is taken for the other.
func TestScoopsAgainstThePoster(t *testing.T) {
	f, err := os.Open("testdata/scoops.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows)-1 != len(ScoopNumbers()) {
		t.Fatalf("the poster has %d scoops, the package %d", len(rows)-1, len(ScoopNumbers()))
	}
	for i, row := range rows[1:] {
		n, err := strconv.Atoi(row[0])
		if err != nil || n != ScoopNumbers()[i] {
			t.Errorf("row %d is scoop no. %s, want %d", i, row[0], ScoopNumbers()[i])
			continue
		}
		q, ok := Scoop(n)
		if !ok {
			t.Errorf("no scoop no. %d", n)
			continue
		}
		quarts, _ := q.In(Quart)
		if !quarts.Equal(exact.Frac(1, int64(n))) {
			t.Errorf("scoop no. %d holds %s quart, want 1/%d", n, quarts.Fraction(), n)
		}
		tbsp, _ := q.In(Tablespoon)
		// The table rounds the exact size to three places; DecimalText cuts.
		if got := tbsp.Add(exact.MustParse("0.0005")).DecimalText(3); got != exact.MustParse(row[3]).DecimalText(3) {
			t.Errorf("scoop no. %d holds %s Tbsp, the table works out %s", n, got, row[3])
		}
		printed, err := Parse(row[1])
		if err != nil {
			t.Errorf("printed size of scoop no. %d: %v", n, err)
			continue
		}
		var way string
		switch printed.Amount().Cmp(q.Amount()) {
		case -1:
			way = "below"
		case 0:
			way = "equal"
		case 1:
			way = "above"
		}
		if way != row[2] {
			t.Errorf("scoop no. %d: %s as printed is %s the exact %s cup, the table says %s", n, row[1], way, q.Amount().Fraction(), row[2])
		}
	}
}

// The published worked example: eight no. 8 scoops make a quart.
func TestEightNumberEightScoopsMakeAQuart(t *testing.T) {
	q, err := Parse("8 no. 8 scoops")
	if err != nil {
		t.Fatal(err)
	}
	if n, ok := q.In(Quart); !ok || !n.Equal(exact.Int(1)) {
		t.Errorf("8 no. 8 scoops = %s quart, want 1", n.Fraction())
	}
	for _, n := range ScoopNumbers() {
		one, _ := Scoop(n)
		if all, _ := one.Times(exact.Int(int64(n))).In(Quart); !all.Equal(exact.Int(1)) {
			t.Errorf("%d no. %d scoops = %s quart, want 1", n, n, all.Fraction())
		}
	}
}

func TestScoopNumbers(t *testing.T) {
	for _, n := range []int{-8, 0, 1, 7, 9, 32, 101} {
		if q, ok := Scoop(n); ok || !q.IsZero() {
			t.Errorf("Scoop(%d) = %v, %v: kitchens have no such scoop", n, q, ok)
		}
	}
	numbers := ScoopNumbers()
	for i := 1; i < len(numbers); i++ {
		if numbers[i-1] >= numbers[i] {
			t.Errorf("scoop no. %d stands before no. %d: want the largest scoop first", numbers[i-1], numbers[i])
		}
	}
	numbers[0] = 7
	if ScoopNumbers()[0] == 7 {
		t.Error("a caller changed the scoops of the package")
	}
}
