package report

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/fault"
)

// Faults writes everything wrong with a request for a person: what and where,
// what was expected, how to mend it. name says which file it was.
func Faults(w io.Writer, name string, l *fault.List) error {
	t := &text{}
	n := len(l.Faults) + l.Omitted
	things := "things"
	if n == 1 {
		things = "thing"
	}
	t.para("", fmt.Sprintf("%s: no answer yet, %d %s to mend", clean(name), n, things))
	for i := range l.Faults {
		f := &l.Faults[i]
		where := f.Path
		if where == "" {
			where = "the request"
		}
		if f.Reason == fault.UnknownField {
			where += " is no field here"
		} else if f.Value != "" {
			where += " is " + strconv.Quote(f.Value)
		}
		lead := fmt.Sprintf("%3d. ", i+1)
		t.para(lead, clean(where))
		t.para("     expected: ", clean(f.Want))
		if f.Fix != "" {
			t.para("     to mend:  ", clean(f.Fix))
		}
		t.line("     (" + string(f.Reason) + ")")
	}
	if l.Omitted > 0 {
		t.para("     ", fmt.Sprintf("and %d more", l.Omitted))
	}
	_, err := io.WriteString(w, t.b.String())
	return err
}

// Wrapped writes text of at most [Width] columns, every line after lead.
func Wrapped(w io.Writer, lead, s string) error {
	t := &text{}
	t.para(lead, clean(strings.TrimSpace(s)))
	_, err := io.WriteString(w, t.b.String())
	return err
}
