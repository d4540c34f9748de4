package reading_test

import (
	"errors"
	"strings"
	"testing"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen/reading"
	"example.com/ozeq/pkg/measure"
)

const beanBowl = `Bean bowl
Serves 50
2 lb 4 oz flour, whole wheat
2 #10 cans black beans, drained
Salt to taste
1 cup chopped walnuts, optional`

func faultsOf(t *testing.T, err error) string {
	t.Helper()
	var l *fault.List
	if !errors.As(err, &l) {
		return ""
	}
	var out []string
	for _, f := range l.Faults {
		out = append(out, string(f.Reason)+" "+f.Path)
	}
	return strings.Join(out, "; ")
}

// Nothing likely is credited until it is confirmed.
func TestConfirm(t *testing.T) {
	got, err := reader().Text(beanBowl)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := got.Recipe(reading.Confirmation{}); faultsOf(t, err) != "MISSING lines[4]; MISSING lines[5]; MISSING lines[6]" {
		t.Errorf("unconfirmed: %v", err)
	}
	// As read is no answer for a line without an amount.
	c := reading.Confirmation{Lines: []reading.Answer{{Line: 1, AsRead: true}, {Line: 2, AsRead: true}, {Line: 3, LeaveOut: true}}}
	if _, err := got.Recipe(c); faultsOf(t, err) != "MISSING lines[5]" {
		t.Errorf("salt: %v", err)
	}
	q, err := measure.Parse("2 Tbsp")
	if err != nil {
		t.Fatal(err)
	}
	c.Lines[1] = reading.Answer{Line: 2, Own: &reading.Choice{Food: "salt", Quantity: q}}
	rec, err := got.Recipe(c)
	if err != nil {
		t.Fatal(err)
	}
	if len(rec.Ingredients) != 3 || rec.Servings != 50 || rec.Ingredients[1].Food != "black-beans-canned" || rec.Ingredients[1].NotCrediting || rec.Ingredients[2].Quantity.Text() != "2 Tbsp" {
		t.Errorf("got %+v", rec)
	}
	// An alternative in place of what was read.
	c.Lines[0] = reading.Answer{Line: 1, Alternative: 1}
	rec, err = got.Recipe(c)
	if err != nil {
		t.Fatal(err)
	}
	if want := got.Lines[1].Alternatives[0].State; rec.Ingredients[1].State != want || want == got.Lines[1].State {
		t.Errorf("state %q, want %q", rec.Ingredients[1].State, want)
	}
	for name, x := range map[string]struct {
		c    reading.Confirmation
		want string
	}{
		"no such line":        {reading.Confirmation{Lines: []reading.Answer{{Line: 9, AsRead: true}}}, "OUT_OF_RANGE answers[0].line"},
		"nothing said":        {reading.Confirmation{Lines: []reading.Answer{{Line: 0}}}, "CONFLICTING answers[0]"},
		"two things":          {reading.Confirmation{Lines: []reading.Answer{{Line: 0, AsRead: true, LeaveOut: true}}}, "CONFLICTING answers[0]"},
		"no such alternative": {reading.Confirmation{Lines: []reading.Answer{{Line: 0, Alternative: 7}}}, "OUT_OF_RANGE answers[0].alternative"},
		"twice":               {reading.Confirmation{Lines: []reading.Answer{{Line: 0, AsRead: true}, {Line: 0, AsRead: true}}}, "CONFLICTING answers[1].line"},
		"servings":            {reading.Confirmation{Servings: -1}, "OUT_OF_RANGE servings"},
	} {
		if _, err := got.Draft(x.c); faultsOf(t, err) != x.want {
			t.Errorf("%s: %v, want %s", name, err, x.want)
		}
	}
}

// What is open in a draft credits nothing, and is named.
func TestDraftHoldsOut(t *testing.T) {
	got, err := reader().Text(beanBowl)
	if err != nil {
		t.Fatal(err)
	}
	d, err := got.Draft(reading.Confirmation{})
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Open) != 3 || d.Open[0] != (reading.Open{Line: 1, Ingredient: 1}) || d.Open[1] != (reading.Open{Line: 2, Ingredient: -1}) {
		t.Errorf("open %v", d.Open)
	}
	d.Recipe.ExhibitAGroup = "B"
	rec, err := engine().Credit(lunch(d.Recipe))
	if err != nil {
		t.Fatal(err)
	}
	for _, cr := range rec.Credits {
		if cr.Component != food.Grains && !cr.Credited.IsZero() {
			t.Errorf("%v credits %s before anything is confirmed", cr.Component, cr.Credited)
		}
	}
	if g, ok := rec.Credit(food.Grains); !ok || g.Credited.IsZero() {
		t.Error("the certain line credits nothing")
	}
}

// Servings that are doubted or not told are asked for.
func TestServingsAreConfirmed(t *testing.T) {
	for _, head := range []string{"Makes 4 dozen\n", ""} {
		got, err := reader().Text("Rolls\n" + head + "2 lb 4 oz flour, whole wheat")
		if err != nil {
			t.Fatal(err)
		}
		if _, err := got.Recipe(reading.Confirmation{}); faultsOf(t, err) != "MISSING servings" {
			t.Errorf("%q: %v", head, err)
		}
		rec, err := got.Recipe(reading.Confirmation{Servings: 24})
		if err != nil || rec.Servings != 24 {
			t.Errorf("%q: %v", head, err)
		}
	}
}
