package rules_test

import (
	"errors"
	"testing"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
)

func load(t testing.TB) *rules.Rules {
	t.Helper()
	r, err := rules.Default()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func day(t testing.TB, s string) rules.Date {
	t.Helper()
	d, err := rules.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// get returns the value of a rule on a day, or nil when it is not in force
// then. Any other fault, and a fault that names another day, fails the test.
func get(t testing.TB, r *rules.Rules, on rules.Date, program string, options map[string]string, id string) *rules.Value {
	t.Helper()
	rs, err := r.Resolve(on, program, options)
	if err == nil {
		var v *rules.Value
		if v, err = rs.Get(id); err == nil {
			if !rs.Has(id) {
				t.Errorf("%s on %s for %s: Get finds it, Has does not", id, on, program)
			}
			return v
		}
		if rs.Has(id) {
			t.Errorf("%s on %s for %s: Has finds it, Get does not", id, on, program)
		}
	}
	var f fault.Fault
	var list *fault.List
	switch {
	case errors.As(err, &list) && len(list.Faults) == 1:
		f = list.Faults[0]
	case errors.As(err, &f):
	default:
		t.Fatalf("%s on %s for %s: %v", id, on, program, err)
	}
	if f.Reason != fault.RuleNotInForce || f.Path != "serviceDate" || f.Value != on.String() || f.Want == "" || f.Fix == "" {
		t.Fatalf("%s on %s for %s: %+v, want a fault that the rule is not in force on that day", id, on, program, f)
	}
	return nil
}

// reasons lists the reasons and paths of everything wrong with a request.
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
