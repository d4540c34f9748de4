package source_test

import (
	"fmt"
	"slices"
	"testing"

	"example.com/ozeq/pkg/source"
)

// Papers are filed once, complete and with a mark, and cited as far as they were read.
func TestPapers(t *testing.T) {
	p := make(source.Papers)
	var said []string
	fail := func(format string, args ...any) { said = append(said, fmt.Sprintf(format, args...)) }
	p.Add(source.Document{ID: "A", Title: "Rule", Edition: "2024"}, "read", fail)
	p.Add(source.Document{ID: "B", Title: "Memo", Edition: "2024"}, "memory", fail)
	if r := p.Ref("value", "A", "(c)", "read", fail); r.Document != p["A"] || r.Section != "(c)" || r.Mark != source.Read || r.Tier != source.Handbook {
		t.Errorf("%+v", r)
	}
	if len(said) > 0 {
		t.Fatalf("%q", said)
	}
	p.Add(source.Document{ID: "A", Title: "Rule"}, "guess", fail)
	p.Ref("value", "C", "", "read", fail)
	p.Ref("value", "B", "", "read", fail)
	p.Ref("value", "B", "", "guess", fail)
	if want := []string{`document "A": id, title, edition and a known mark are required`, `document "A" stands twice`, `value: source "C" is not a document`,
		"value: marked read, but nobody read B", `value: mark "guess" is not known`}; !slices.Equal(said, want) {
		t.Errorf("%q", said)
	}
}

func ExamplePapers() {
	p := make(source.Papers)
	fail := func(format string, args ...any) { fmt.Printf(format+"\n", args...) }
	p.Add(source.Document{ID: "CFR", Title: "7 CFR 210.10", Edition: "2024"}, "memory", fail)
	p.Ref("value 1", "CFR", "(c)", "read", fail)
	// Output:
	// value 1: marked read, but nobody read CFR
}
