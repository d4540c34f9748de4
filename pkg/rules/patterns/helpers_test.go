package patterns_test

import (
	"errors"
	"testing"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

func load(t testing.TB) *patterns.Patterns {
	t.Helper()
	ps, err := patterns.Default()
	if err != nil {
		t.Fatal(err)
	}
	return ps
}

func day(t testing.TB, s string) rules.Date {
	t.Helper()
	d, err := rules.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// at resolves a pattern that is known on the day.
func at(t testing.TB, ps *patterns.Patterns, on string, k patterns.Key, options map[string]string) *patterns.Pattern {
	t.Helper()
	p, err := ps.Pattern(patterns.Query{On: day(t, on), Program: k.Program, Meal: k.Meal, Group: k.Group, Options: options})
	if err != nil {
		t.Fatalf("%s on %s: %v", k, on, err)
	}
	return p
}

// says returns what a rule says in a pattern on a day: its text, or "not known"
// where Get refuses.
func says(t testing.TB, ps *patterns.Patterns, on string, k patterns.Key, options map[string]string, rule string, span patterns.Span) string {
	t.Helper()
	p, err := ps.Pattern(patterns.Query{On: day(t, on), Program: k.Program, Meal: k.Meal, Group: k.Group, Options: options})
	var list *fault.List
	if errors.As(err, &list) && len(list.Faults) == 1 && list.Faults[0].Reason == fault.RuleNotInForce {
		return notKnown
	}
	if err != nil {
		t.Fatalf("%s on %s: %v", k, on, err)
	}
	v, err := p.Get(rule, span)
	if err == nil {
		return v.Text
	}
	var f fault.Fault
	if !errors.As(err, &f) || f.Reason != fault.RuleNotInForce || f.Path != "serviceDate" || f.Value != on || f.Want == "" || f.Fix == "" {
		t.Fatalf("%s on %s: %v, want a fault that %s is not known then", k, on, err, rule)
	}
	return notKnown
}

const notKnown = "not known"

// reasons lists the reasons and paths of everything wrong with a query.
func reasons(t testing.TB, err error) []string {
	t.Helper()
	var list *fault.List
	if !errors.As(err, &list) {
		t.Fatalf("%v (%T) is not a list of faults", err, err)
	}
	var out []string
	for _, f := range list.Faults {
		if f.Want == "" || f.Fix == "" {
			t.Errorf("%v: what was wanted and how to mend it must be said", f)
		}
		out = append(out, string(f.Reason)+" "+f.Path)
	}
	return out
}
