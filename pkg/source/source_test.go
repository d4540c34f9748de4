package source_test

import (
	"fmt"
	"testing"

	"example.com/ozeq/pkg/source"
)

// Every mark against every tier: a claim stands on what somebody read, or
// worked out from it, in the handbook, a rule or the facts of measure, or on
// the caller's paper. All else is an estimate.
func TestDocumented(t *testing.T) {
	const none = source.Mark(0)
	tiers := []source.Tier{source.Fact, source.Handbook, source.PublicRecipe, source.OpenData}
	for mark, want := range map[source.Mark][4]bool{
		none:                  {false, false, false, false},
		source.Read:           {true, true, false, false},
		source.Derived:        {true, true, false, false},
		source.CommonPractice: {false, false, false, false},
		source.Memory:         {false, false, false, false},
		source.Caller:         {true, true, true, true},
		source.Caller + 1:     {false, false, false, false},
	} {
		for i, tier := range tiers {
			if got := (source.Ref{Mark: mark, Tier: tier}).Documented(); got != want[i] {
				t.Errorf("mark %q (%d) of tier %d: documented %v, want %v", mark, mark, tier, got, want[i])
			}
		}
	}
	if (source.Ref{}).Documented() {
		t.Error("a value that says nothing of its source is documented")
	}
}

func TestMarks(t *testing.T) {
	for mark, id := range map[source.Mark]string{
		source.Read: "read", source.Derived: "derived", source.CommonPractice: "common-practice", source.Memory: "memory", source.Caller: "caller",
	} {
		if mark.String() != id {
			t.Errorf("mark %d is written %q, want %q", mark, mark, id)
		}
		if got, ok := source.ParseMark(id); !ok || got != mark {
			t.Errorf("ParseMark(%q) = %v, %v", id, got, ok)
		}
	}
	for _, s := range []string{"", "Read", "read ", "skimmed", "common practice"} {
		if got, ok := source.ParseMark(s); ok || got != 0 {
			t.Errorf("ParseMark(%q) = %v, %v", s, got, ok)
		}
	}
	if s := source.Mark(0).String(); s != "" {
		t.Errorf("no mark is written %q", s)
	}
}

func TestCitation(t *testing.T) {
	whole := &source.Document{ID: "X", Title: "A memo", Section: "part 2", Edition: "2019-04-17", Publisher: "an agency"}
	for _, c := range []struct {
		ref  source.Ref
		want string
	}{
		{source.Ref{Document: whole}, "A memo, part 2, 2019-04-17, an agency"},
		{source.Ref{Document: whole, Section: "(c)"}, "A memo, part 2, (c), 2019-04-17, an agency"},
		{source.Ref{Document: &source.Document{Title: "A memo"}}, "A memo"},
		{source.Ref{Document: &source.Document{Title: "A memo", Edition: "2024"}, Section: "(c)"}, "A memo, (c), 2024"},
		{source.Ref{Section: "product statement, page 2"}, "product statement, page 2"},
		{source.Ref{}, ""},
	} {
		if got := c.ref.Citation(); got != c.want {
			t.Errorf("cited as %q, want %q", got, c.want)
		}
	}
}

func TestFigureFact(t *testing.T) {
	for tier, want := range map[source.Tier]bool{source.Fact: true, source.Handbook: false, source.PublicRecipe: false, source.OpenData: false} {
		if got := (&source.Figure{Source: source.Ref{Mark: source.Read, Tier: tier}}).Fact(); got != want {
			t.Errorf("a figure of tier %d is a fact: %v, want %v", tier, got, want)
		}
	}
}

func ExampleRef() {
	memo := &source.Document{ID: "SP23-2019", Title: "Memo SP 23-2019", Edition: "2019-04-17", Mark: source.Read, Tier: source.Handbook}
	read := source.Ref{Document: memo, Section: "question 2", Mark: source.Read, Tier: memo.Tier}
	recalled := source.Ref{Document: memo, Mark: source.Memory, Tier: memo.Tier}
	fmt.Println(read.Citation(), read.Documented())
	fmt.Println(recalled.Citation(), recalled.Documented())
	// Output:
	// Memo SP 23-2019, question 2, 2019-04-17 true
	// Memo SP 23-2019, 2019-04-17 false
}

func ExampleDocument_Citation() {
	d := source.Document{Title: "7 CFR 210.10", Section: "(c)", Edition: "as amended 2024"}
	fmt.Println(d.Citation())
	// Output: 7 CFR 210.10, (c), as amended 2024
}

func ExampleParseMark() {
	m, ok := source.ParseMark("memory")
	fmt.Println(m, m == source.Memory, ok)
	_, ok = source.ParseMark("sure")
	fmt.Println(ok)
	// Output:
	// memory true true
	// false
}

func ExampleFigure_Fact() {
	pound := source.Figure{Text: "16", Unit: "oz per lb"}
	rule := source.Figure{Text: "16", Unit: "g", Source: source.Ref{Mark: source.Read, Tier: source.Handbook}}
	fmt.Println(pound.Fact(), rule.Fact())
	// Output: true false
}
