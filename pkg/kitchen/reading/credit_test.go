package reading_test

import (
	"errors"
	"sync"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen/reading"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

var engine = sync.OnceValue(func() *credit.Engine {
	rs, err := rules.Default()
	if err != nil {
		panic(err)
	}
	return credit.New(rs, catalog())
})

func lunch(r *recipe.Recipe) credit.Request {
	return credit.Request{Recipe: r, On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-lunch"}
}

func reasons(c reading.Choice) map[fault.Reason]string {
	_, err := engine().Credit(lunch(&recipe.Recipe{Name: "x", Servings: 1, Ingredients: []recipe.Ingredient{{Food: c.Food, State: c.State, Basis: c.Basis, Quantity: c.Quantity}}}))
	out := make(map[fault.Reason]string)
	var l *fault.List
	if errors.As(err, &l) {
		for _, f := range l.Faults {
			out[f.Reason] = f.Error()
		}
	}
	return out
}

// A state or basis read from a line never leads the engine to a dead end that
// it would not be in without: what is read can be credited.
func TestWhatIsReadCanBeCredited(t *testing.T) {
	tried := 0
	rows := append(table(t, "../../../testdata/published/lines.csv"), table(t, "testdata/lines.csv")...)
	for _, x := range rows {
		l := reader().Line(x.line)
		if l.Food == "" || l.Quantity.IsZero() {
			continue
		}
		tried++
		plain := l.Choice
		plain.State, plain.Basis = "", ""
		before := reasons(plain)
		check := func(c reading.Choice, what string) {
			for r, s := range reasons(c) {
				if _, also := before[r]; !also && r != fault.StateNeeded {
					t.Errorf("%q, %s: %s %s %s: %s", x.line, what, c.Food, c.State, c.Basis, s)
				}
			}
		}
		check(l.Choice, "as read")
	}
	if tried < 350 {
		t.Errorf("only %d lines tried", tried)
	}
}
