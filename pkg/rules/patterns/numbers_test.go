package patterns_test

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/source"
)

// number is a line of testdata/numbers.csv.
type number struct {
	where, number                   string
	programs, meals, groups, on     []string
	rule, options, document, marked string
	span                            patterns.Span
}

func numbers(t *testing.T) []number {
	t.Helper()
	f, err := os.Open("testdata/numbers.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []number
	for _, l := range lines[1:] {
		out = append(out, number{where: l[0], number: l[1], programs: strings.Fields(l[2]), meals: strings.Fields(l[3]), groups: strings.Fields(l[4]),
			rule: l[5], span: patterns.Span(l[6]), on: strings.Fields(l[7]), options: l[8], document: l[9], marked: l[10]})
	}
	return out
}

// Every number of the reference stands in the rules on its days, for its
// groups, with its document and mark; and every figure in the rules stands in
// the copy of the reference. A number changed, added or dropped on either side
// fails.
func TestNumbersOfTheReference(t *testing.T) {
	ps := load(t)
	seen := make(map[*patterns.Value]bool)
	compared, places := 0, make(map[string]bool)
	for _, n := range numbers(t) {
		places[n.where] = true
		want, err := exact.Parse(n.number)
		if err != nil {
			t.Fatalf("%s: %v", n.where, err)
		}
		var options map[string]string
		if id, choice, ok := strings.Cut(n.options, "="); ok {
			options = map[string]string{id: choice}
		}
		for _, program := range n.programs {
			for _, meal := range n.meals {
				for _, group := range n.groups {
					for _, on := range n.on {
						p := at(t, ps, on, patterns.Key{Program: program, Meal: meal, Group: group}, options)
						v, err := p.Get(n.rule, n.span)
						if err != nil {
							t.Errorf("%s: %v", n.where, err)
							continue
						}
						compared++
						seen[v] = true
						switch {
						case v.None() || !v.Number.Equal(want):
							t.Errorf("%s is %s, but %s says %s", n.where, n.number, v.ID(), v.Text)
						case v.Source.Document.ID != n.document || v.Source.Mark.String() != n.marked:
							t.Errorf("%s: %s is cited as %s, %s, want %s, %s", n.where, v.ID(), v.Source.Document.ID, v.Source.Mark, n.document, n.marked)
						}
					}
				}
			}
		}
	}
	figures := 0
	for _, k := range ps.List() {
		for _, v := range ps.History(k) {
			if v.Source.Document == nil || v.Source.Citation() == "" || v.Source.Mark == 0 || v.Source.Tier != source.Handbook {
				t.Errorf("%s has no citation", v.ID())
			}
			if v.Rule.Kind == patterns.Word || v.Rule.Kind == patterns.Set || v.None() || v.Unknown() {
				continue
			}
			figures++
			if !seen[v] {
				t.Errorf("%s says %s, which is not in the copy of the reference", v.ID(), v.Text)
			}
		}
	}
	if len(places) < 600 || compared < 4000 {
		t.Errorf("only %d places compared %d times", len(places), compared)
	}
	t.Logf("%d places of the reference compared in %d patterns and days; %d figures in the rules", len(places), compared, figures)
}
