package report_test

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules"
)

// hostileText draws what somebody may write where a name is asked for: long
// words, line ends, terminal commands, marks that turn the order of reading,
// bytes that are no text.
func hostileText(most int) *rapid.Generator[string] {
	piece := rapid.OneOf(
		rapid.SampledFrom([]string{"flour", "é", "名", "\x1b[2J", "\x1b]0;x\x07", "\n", "\r\n", "\t", "\x00", "\x7f", "\u0085", "\u2028", "\u2029", "\u202e", "\u2066", "\u200f", "\u061c", "\xff", "\xe2\x80", " ", "   ", "a-b", "%s", "<b>"}),
		rapid.String(),
		rapid.StringMatching(`[a-z]{1,120}`),
	)
	return rapid.Map(rapid.SliceOfN(piece, 0, 6), func(p []string) string {
		s := strings.Join(p, "")
		if len(s) > most {
			s = s[:most]
		}
		return s
	})
}

// quantityText draws amounts up to the largest that can be written.
func quantityText() *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		n := rapid.SampledFrom([]string{"1", "3", "1/3", "0.000000001", "12345.678912345", "999999999", "999999999.999999999", "1/999999999", "123456789 1/7"}).Draw(t, "number")
		return n + " " + rapid.SampledFrom([]string{"oz", "lb", "g", "kg", "cup", "gal", "mL", "each", "dozen", "can no. 10", "scoop no. 16"}).Draw(t, "unit")
	})
}

// Whatever a request says, no line of its record is wider than the paper, and
// nothing in it speaks to the terminal.
func TestTextStaysOnPaper(t *testing.T) {
	foods := engine().Catalog().Foods()
	rapid.Check(t, func(t *rapid.T) {
		r := recipe.Recipe{Name: hostileText(recipe.MaxName).Draw(t, "recipe"), Servings: rapid.SampledFrom([]int{1, 7, 48, 999_999, 1_000_000}).Draw(t, "servings")}
		if r.Name == "" {
			r.Name = "x"
		}
		if rapid.Bool().Draw(t, "portion") {
			r.Portions = []recipe.Portion{{Name: hostileText(recipe.MaxName).Draw(t, "portion name"), Weight: amount("3 oz"), Scoop: 16}}
			r.ExhibitAGroup = rapid.SampledFrom([]string{"", "B", "D", "H"}).Draw(t, "group")
		}
		for range rapid.IntRange(1, 4).Draw(t, "ingredients") {
			f := rapid.SampledFrom(foods).Draw(t, "food")
			in := recipe.Ingredient{Food: f.ID, Name: hostileText(recipe.MaxName).Draw(t, "name"), Quantity: amount(quantityText().Draw(t, "quantity"))}
			if states := f.States(food.Vegetables); len(states) > 0 {
				in.State = rapid.SampledFrom(states).Draw(t, "state")
			} else if rapid.Bool().Draw(t, "some state") {
				in.State = hostileText(recipe.MaxState).Draw(t, "state")
			}
			r.Ingredients = append(r.Ingredients, in)
		}
		id := rapid.SampledFrom(foods).Draw(t, "own food").ID
		req := credit.Request{Recipe: &r, On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: rapid.SampledFrom([]string{"school-lunch", "preschool", "summer"}).Draw(t, "program"),
			Foods: []food.Own{{ID: id, Name: hostileText(200).Draw(t, "own name"), Figures: []food.OwnFigure{{Kind: "cup", State: "raw", Value: "130",
				Document: hostileText(200).Draw(t, "document"), Page: hostileText(200).Draw(t, "page"), Edition: hostileText(200).Draw(t, "edition")}}}}}
		rec, err := engine().Credit(req)
		var b bytes.Buffer
		if err != nil {
			var l *fault.List
			if !errors.As(err, &l) {
				t.Fatal(err)
			}
			if err := report.Faults(&b, hostileText(300).Draw(t, "file"), l); err != nil {
				t.Fatal(err)
			}
			onPaper(t, b.String())
			return
		}
		if err := report.Text(&b, rec); err != nil {
			t.Fatal(err)
		}
		if err := report.Steps(&b, rec); err != nil {
			t.Fatal(err)
		}
		onPaper(t, b.String())
	})
}

// onPaper is printable for a draw.
func onPaper(t *rapid.T, s string) {
	var problems recorder
	printable(&problems, s)
	if len(problems.said) > 0 {
		t.Fatalf("%s\nin\n%s", strings.Join(problems.said, "\n"), s)
	}
}

type recorder struct {
	testing.TB
	said []string
}

func (r *recorder) Helper() {}

func (r *recorder) Errorf(format string, args ...any) {
	r.said = append(r.said, fmt.Sprintf(format, args...))
}

// Sub-recipes of sub-recipes make amounts far longer than any column.
func TestTextOfHugeAmounts(t *testing.T) {
	req := lunch(recipe.Recipe{Name: "Tower", Servings: 1, Ingredients: []recipe.Ingredient{{SubRecipe: "s0", Quantity: amount("999999999 each")}}})
	for i := range 4 {
		in := recipe.Ingredient{SubRecipe: fmt.Sprint("s", i+1), Quantity: amount("999999999.999999999 dozen")}
		if i == 3 {
			in = recipe.Ingredient{Food: "white-flour", Quantity: amount("999999999.999999999 lb")}
		}
		beans := recipe.Ingredient{Food: "ridge-beans", Quantity: amount("999999999.999999999 can no. 10"), State: "heated-drained"}
		req.SubRecipes = append(req.SubRecipes, recipe.Recipe{ID: fmt.Sprint("s", i), Name: "Floor", Servings: 1, Ingredients: []recipe.Ingredient{in, beans}})
	}
	rec, err := engine().Credit(req)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := report.Text(&b, rec); err != nil {
		t.Fatal(err)
	}
	if err := report.Steps(&b, rec); err != nil {
		t.Fatal(err)
	}
	printable(t, b.String())
}

// FuzzFaults looks for a fault whose text leaves the paper.
func FuzzFaults(f *testing.F) {
	f.Add("menu.yaml", "recipe.name", "x", "a name", "Write one.")
	f.Add("", "", "", "", "")
	f.Add("\x1b[2J", strings.Repeat("a", 200), "\u202e", "\n\n", "\xff")
	f.Fuzz(func(t *testing.T, name, path, value, want, fix string) {
		l := &fault.List{}
		l.Add(fault.Fault{Reason: fault.BadText, Path: path, Value: value, Want: want, Fix: fix})
		var b bytes.Buffer
		if err := report.Faults(&b, name, l); err != nil {
			t.Fatal(err)
		}
		printable(t, b.String())
	})
}

// FuzzWrapped looks for text that leaves the paper after any lead.
func FuzzWrapped(f *testing.F) {
	f.Add("  ", "some words")
	f.Add(strings.Repeat(" ", 100), "some words")
	f.Add("", strings.Repeat("x", 1000))
	f.Fuzz(func(t *testing.T, lead, s string) {
		var b bytes.Buffer
		if err := report.Wrapped(&b, lead, s); err != nil {
			t.Fatal(err)
		}
		if len([]rune(lead)) < report.Width/2 && b.Len() > 0 {
			printable(t, b.String())
		}
	})
}
