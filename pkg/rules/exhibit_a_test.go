package rules_test

import (
	"encoding/csv"
	"os"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules"
)

// printed is a row of Exhibit A as typed from the notes: a weight in one unit.
type printed struct {
	credit, least, source, mark string
}

// exhibitA reads the typed table: the rows of each rule id, largest first.
func exhibitA(t *testing.T) map[string][]printed {
	t.Helper()
	f, err := os.Open("testdata/exhibit-a.csv")
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
	if got := strings.Join(rows[0], ","); got != "table,group,credit,g,g_source,g_mark,oz,oz_source,oz_mark" {
		t.Fatalf("header %s", got)
	}
	prefix := map[string]string{"oz-eq": "grains/exhibit-a/", "serving": "grains/exhibit-a-serving/"}
	out := make(map[string][]printed)
	for _, row := range rows[1:] {
		id := prefix[row[0]]
		if id == "" {
			t.Fatalf("table %q", row[0])
		}
		out[id+row[1]+"/g"] = append(out[id+row[1]+"/g"], printed{row[2], row[3], row[4], row[5]})
		out[id+row[1]+"/oz"] = append(out[id+row[1]+"/oz"], printed{row[2], row[6], row[7], row[8]})
	}
	return out
}

// Every weight of Exhibit A in the data, for every program, is the printed
// one, from the paper it is said to be from, read or recalled as it was.
func TestExhibitA(t *testing.T) {
	r := load(t)
	want := exhibitA(t)
	weights := 0
	for id, rows := range want {
		rule, ok := r.Rule(id)
		if !ok {
			t.Errorf("no rule %s in the data", id)
			continue
		}
		if unit := id[strings.LastIndexByte(id, '/')+1:]; rule.Unit != unit {
			t.Errorf("%s is in %s", id, rule.Unit)
		}
		for i, v := range rule.Values {
			var got []printed
			for _, s := range v.Steps {
				weights++
				got = append(got, printed{s.CreditText, s.LeastText, s.Source.Document.ID, s.Source.Mark.String()})
				if !s.Least.Equal(exact.MustParse(s.LeastText)) || !s.Credit.Equal(exact.MustParse(s.CreditText)) {
					t.Errorf("%s, value %d: reckons %s for %s, printed %s for %s", id, i, s.Least, s.Credit, s.LeastText, s.CreditText)
				}
			}
			if !slices.Equal(got, rows) {
				t.Errorf("%s, value %d for %v:\n got %v\nwant %v", id, i, v.Programs, got, rows)
			}
		}
	}
	for _, rule := range r.All() {
		if strings.HasPrefix(rule.ID, "grains/exhibit-a") && want[rule.ID] == nil {
			t.Errorf("%s is in the data and not in the table", rule.ID)
		}
	}
	if len(want) != 2*2*7 || weights < 100 {
		t.Errorf("%d rules and %d weights compared: want groups A to G of two tables, in grams and ounces", len(want), weights)
	}
	t.Logf("%d rules, %d weights compared", len(want), weights)
}

// On every day a program's rules change, it has the whole table of what grains
// are counted in then, in grams and in ounces, and nothing of the other table;
// where grains are not known yet, it has neither.
func TestExhibitAIsCompleteForEveryProgram(t *testing.T) {
	r := load(t)
	seen := make(map[string]int)
	for _, p := range r.Programs() {
		for _, options := range []map[string]string{nil, {"summer-grains": "oz-eq"}} {
			for _, on := range r.Changes(p.ID) {
				rs, err := r.Resolve(on, p.ID, options)
				if err != nil {
					t.Fatal(err)
				}
				unit := ""
				if v := get(t, r, on, p.ID, options, "grains/unit"); v != nil {
					unit = v.Text
				}
				seen[unit]++
				for _, group := range []string{"A", "B", "C", "D", "E", "F", "G"} {
					for _, in := range []string{"g", "oz"} {
						ozEq, serving := "grains/exhibit-a/"+group+"/"+in, "grains/exhibit-a-serving/"+group+"/"+in
						if rs.Has(ozEq) != (unit == "oz-eq") || rs.Has(serving) != (unit == "serving") {
							t.Errorf("%s on %s counts in %q, and has %s: %v, %s: %v", p.ID, on, unit, ozEq, rs.Has(ozEq), serving, rs.Has(serving))
						}
					}
				}
			}
		}
	}
	if seen["oz-eq"] == 0 || seen["serving"] == 0 {
		t.Errorf("counted in: %v, want days of ounce equivalents and days of servings", seen)
	}
}

// How the fractions in grams were formed, worked out anew from the full weight:
// for ounce equivalents always rounded up to a whole gram, so that a printed
// weight never credits more than the division; for servings to the nearest
// gram. A weight typed wrong in both files would show here.
func TestExhibitAFractionsInGrams(t *testing.T) {
	r := load(t)
	one, half := exact.Int(1), exact.Frac(1, 2)
	checked := 0
	for _, rule := range r.All() {
		if !strings.HasPrefix(rule.ID, "grains/exhibit-a") || rule.Unit != "g" {
			continue
		}
		up := strings.HasPrefix(rule.ID, "grains/exhibit-a/")
		for i, v := range rule.Values {
			full := v.Steps[0].Least
			for _, s := range v.Steps[1:] {
				checked++
				want := full.Mul(s.Credit).RoundUp(one)
				if !up {
					want, _ = full.Mul(s.Credit).Add(half).RoundDown(one)
				}
				if !s.Least.Equal(want) {
					t.Errorf("%s, value %d: %s g for %s, worked out from %s g: %s", rule.ID, i, s.LeastText, s.CreditText, full, want)
				}
			}
		}
	}
	if checked < 100 {
		t.Errorf("only %d fractions checked", checked)
	}
	t.Logf("%d fractions worked out", checked)
}

// A step tells what records print of it.
func TestExhibitASteps(t *testing.T) {
	r := load(t)
	var v *rules.Value
	if v = get(t, r, day(t, "2026-09-14"), "school-breakfast", nil, "grains/exhibit-a/D/g"); v == nil {
		t.Fatal("group D is not in force")
	}
	s := v.Steps[1]
	if s.Record.ID != "grains/exhibit-a/D/g/3/4" || s.Record.Text != "42" || s.Record.Unit != "g" || !s.Record.Used.Equal(exact.Int(42)) {
		t.Errorf("the record of 3/4 oz eq of group D: %+v", s.Record)
	}
	if s.Earns.Text != "3/4" || !s.Earns.Used.Equal(exact.Frac(3, 4)) || s.Earns.ID == s.Record.ID {
		t.Errorf("what 42 g of group D earns: %+v", s.Earns)
	}
	if !s.Source.Documented() || !strings.Contains(s.Source.Citation(), "SP 30-2012") {
		t.Errorf("42 g of group D rests on %q, documented %v", s.Source.Citation(), s.Source.Documented())
	}
	// A fraction that was recalled cannot carry a claim.
	v = get(t, r, day(t, "2026-09-14"), "school-breakfast", nil, "grains/exhibit-a/G/g")
	if v == nil || !v.Steps[0].Source.Documented() || v.Steps[1].Source.Documented() {
		t.Error("group G: the full weight was read, its fractions were not")
	}
}
