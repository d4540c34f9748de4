package report_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/report"
)

// constants reads the text constants of a type out of package credit, so that
// one added there without words here is found.
func constants(t *testing.T, typ string) []string {
	t.Helper()
	const dir = "../credit"
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), dir+"/"+e.Name(), nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range file.Decls {
			g, ok := d.(*ast.GenDecl)
			if !ok || g.Tok != token.CONST {
				continue
			}
			for _, s := range g.Specs {
				v := s.(*ast.ValueSpec)
				if id, ok := v.Type.(*ast.Ident); !ok || id.Name != typ {
					continue
				}
				text, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
				if err != nil {
					t.Fatal(err)
				}
				out = append(out, text)
			}
		}
	}
	if len(out) < 10 {
		t.Fatalf("only %d constants of type %s found", len(out), typ)
	}
	return out
}

// record is one that findings of every kind can be about.
func record(t *testing.T) *credit.Record {
	t.Helper()
	rec, err := engine().Credit(requests()["breakfast-bake"])
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// Every cause of a finding has a sentence, whatever the finding holds.
func TestFindingsHaveWords(t *testing.T) {
	rec := record(t)
	for _, reason := range constants(t, "FindingReason") {
		for _, f := range []credit.Finding{
			{Ingredient: -1, Component: food.Grains, Words: []string{"1", "2", "3", "4"}, Share: exact.Frac(1, 3)},
			{Ingredient: 0, Component: food.Vegetables, Words: []string{"1", "2", "3", "4"}, Share: exact.Frac(2, 3)},
		} {
			f.Reason = credit.FindingReason(reason)
			text := report.FindingText(rec, &f)
			if !strings.HasSuffix(text, ".") || len(text) < 20 {
				t.Errorf("%s reads %q", reason, text)
			}
		}
	}
	if text := report.FindingText(rec, &credit.Finding{Reason: "NO_SUCH_CAUSE", Ingredient: -1}); text != "" {
		t.Errorf("a cause nobody knows reads %q", text)
	}
}

// Allergen and gluten notes never say that a food is free of anything.
func TestCautionsPromiseNothing(t *testing.T) {
	rec := record(t)
	for _, reason := range []credit.FindingReason{credit.AllergensListed, credit.GlutenNotListed, credit.ChokingHazard} {
		for _, words := range [][]string{nil, {"oats"}} {
			text := report.FindingText(rec, &credit.Finding{Reason: reason, Ingredient: 0, Words: words})
			if !strings.Contains(text, "label") && !strings.Contains(text, "never replaces") {
				t.Errorf("%s does not send anybody to the label: %q", reason, text)
			}
		}
	}
}

// Every basis has words of its own, and every one that can stand beside a
// credit says why it is not the credit.
func TestBasesHaveWords(t *testing.T) {
	seen := make(map[string]string)
	// These are only ever a credit's own.
	own := map[credit.Basis]bool{credit.Sum: true, credit.Remainder: true, credit.FullServing: true, credit.OtherFilled: true, credit.ExhibitAHeld: true, credit.SmoothieMilk: true}
	for _, id := range constants(t, "Basis") {
		b := credit.Basis(id)
		words := report.BasisText(b)
		if words == "" {
			t.Errorf("%s has no words", id)
		}
		if with, ok := seen[words]; ok {
			t.Errorf("%s and %s both read %q", with, id, words)
		}
		seen[words] = id
		if why := report.AlternativeReason(b); (why == "") != own[b] {
			t.Errorf("%s beside a credit: %q", id, why)
		}
	}
}

// Statuses are never empty, and those nobody may claim say so.
func TestStatusesHaveWords(t *testing.T) {
	rec := record(t)
	for s := credit.NoCredit; s <= credit.Estimate; s++ {
		cr := credit.Credit{Component: food.Grains, Status: s, Reason: "less than 1/4 oz eq in a portion", Step: exact.Frac(1, 4)}
		text := report.StatusText(rec, &cr)
		if text == "" || strings.Contains(text, "NOT VERIFIED") != (s == credit.NeedsPaper || s == credit.Estimate) {
			t.Errorf("%s reads %q", s, text)
		}
	}
}

// Credits read as the trade writes them.
func TestCreditText(t *testing.T) {
	rec := &credit.Record{GrainsUnit: "oz eq"}
	servings := &credit.Record{GrainsUnit: "serving"}
	for _, c := range []struct {
		rec  *credit.Record
		comp food.Component
		n    string
		want string
	}{
		{rec, food.Grains, "1 1/4", "1 1/4 oz eq"}, {rec, food.Meats, "2", "2 oz eq"}, {rec, food.Fruits, "3/8", "3/8 cup"}, {rec, food.Fruits, "1", "1 cup"},
		{rec, food.Vegetables, "1 1/8", "1 1/8 cups"}, {servings, food.Grains, "1", "1 serving"}, {servings, food.Grains, "1 1/2", "1 1/2 servings"}, {rec, food.Vegetables, "0", "0 cup"},
	} {
		cr := &credit.Credit{Component: c.comp, Credited: exact.MustParse(c.n)}
		if got := report.CreditText(c.rec, cr); got != c.want {
			t.Errorf("%s of %s reads %q, want %q", c.n, c.comp, got, c.want)
		}
	}
}

// What is to spare is cut and what is missing is rounded up, so that neither
// promises a credit the kitchen does not reach.
func TestSpareText(t *testing.T) {
	rec := record(t)
	for _, c := range []struct {
		amount string
		unit   *measure.Unit
		up     bool
		want   string
	}{
		{"5.829", measure.Ounce, false, "5.82 oz of Stone-ground sorghum"},
		{"5.821", measure.Ounce, true, "5.83 oz of Stone-ground sorghum"},
		{"16", measure.Ounce, false, "1 lb of Stone-ground sorghum"},
		{"15.999", measure.Ounce, false, "15.99 oz of Stone-ground sorghum"},
		{"1/8", measure.Cup, false, "2 Tbsp of Stone-ground sorghum"},
		{"1/4", measure.Cup, false, "0.25 cup of Stone-ground sorghum"},
		{"1500", measure.Gram, false, "1.5 kg of Stone-ground sorghum"},
		{"999.999", measure.Gram, true, "1000 g of Stone-ground sorghum"},
		{"1/300", measure.Each, true, "0.01 each of Stone-ground sorghum"},
	} {
		got := report.SpareText(rec, credit.Spare{Ingredient: 0, Amount: exact.MustParse(c.amount), Unit: c.unit}, c.up)
		if got != c.want {
			t.Errorf("%s %s, up %v: %q, want %q", c.amount, c.unit.ID, c.up, got, c.want)
		}
	}
	if got := report.SpareText(rec, credit.Spare{}, false); got != "" {
		t.Errorf("nothing to spare reads %q", got)
	}
	if got := report.SpareText(rec, credit.Spare{Ingredient: -1, Amount: exact.Int(2), Unit: measure.Gram}, false); got != "2 g of the portion" {
		t.Errorf("of the portion reads %q", got)
	}
}

// Each step is a sentence; none is empty.
func TestStepsHaveWords(t *testing.T) {
	for name, req := range requests() {
		rec, err := engine().Credit(req)
		if err != nil {
			t.Fatal(err)
		}
		for i := range rec.Steps {
			if text := report.StepText(rec, i); len(text) < 10 {
				t.Errorf("%s: step %d, %s, reads %q", name, i, rec.Steps[i].Operation, text)
			}
		}
	}
}

// What would verify an estimate is named, and nothing is asked of what is
// documented.
func TestVerifyText(t *testing.T) {
	rec := record(t)
	for i := range rec.Credits {
		cr := &rec.Credits[i]
		text := report.VerifyText(rec, cr)
		if (text != "") != (cr.Status == credit.Estimate) {
			t.Errorf("%s, %s: %q", cr.Component, cr.Status, text)
		}
		if cr.Status == credit.Estimate && !strings.Contains(text, "dried plums, as is, 10.2") {
			t.Errorf("%q does not name the figure to look up", text)
		}
	}
}

// A writer that fails is not passed over.
func TestWriteErrors(t *testing.T) {
	rec := record(t)
	if err := report.Text(full{}, rec); err == nil {
		t.Error("Text says nothing of it")
	}
	if err := report.Steps(full{}, rec); err == nil {
		t.Error("Steps says nothing of it")
	}
	if err := report.Faults(full{}, "x", &fault.List{}); err == nil {
		t.Error("Faults says nothing of it")
	}
	if err := report.Wrapped(full{}, "", "x"); err == nil {
		t.Error("Wrapped says nothing of it")
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, os.ErrClosed }
