package wire_test

import (
	"errors"
	"testing"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules/patterns"
)

func exampleReviewer() *menu.Reviewer {
	p, err := patterns.Default()
	if err != nil {
		panic(err)
	}
	return menu.New(exampleEngine(), p)
}

// holds checks that an error is just these faults, each a reason and a path, in any
// order, and that each says what was expected.
func holds(t *testing.T, err error, want ...string) {
	t.Helper()
	var faults *fault.List
	if !errors.As(err, &faults) {
		t.Errorf("%v, want %v", err, want)
		return
	}
	found := make(map[string]bool)
	for _, f := range faults.Faults {
		found[string(f.Reason)+" "+f.Path] = true
		if f.Want == "" {
			t.Errorf("%s %s says not what was expected: %+v", f.Reason, f.Path, f)
		}
	}
	for _, w := range want {
		if !found[w] {
			t.Errorf("%s is not told in %v", w, err)
		}
		delete(found, w)
	}
	for f := range found {
		t.Errorf("%s is told too: %v", f, err)
	}
}
