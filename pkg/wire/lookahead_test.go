package wire_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// split takes a file worked by hand apart: what is asked, and what is expected,
// which begins with a line of its own.
func split(t *testing.T, file, expected string, into any) []byte {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	asked, rest, ok := strings.Cut(string(data), "\n"+expected+":")
	if !ok {
		t.Fatalf("%s expects nothing", file)
	}
	if err := yaml.Unmarshal([]byte(expected+":"+rest), into); err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return []byte(asked + "\n")
}

// handDifference is a difference as the files write it.
type handDifference struct {
	Kind, Rule, Date, Was, Is   string
	Needed, There, Short        string
	Change, Before, After, Item string
	Line, Because               string
	Group                       string
}

func verdictOf(c *pb.ReviewCheck) string { return c.GetVerdict() }

// compareDifference holds one difference to what was worked out by hand.
func compareDifference(t *testing.T, where string, got *pb.ReviewDifference, want handDifference) {
	t.Helper()
	c := got.GetIs()
	if c == nil {
		c = got.GetWas()
	}
	if got.GetKind() != want.Kind || c.GetRule() != want.Rule || got.GetDate() != want.Date || verdictOf(got.GetWas()) != want.Was || verdictOf(got.GetIs()) != want.Is {
		t.Errorf("%s: %s %s %q, %s to %s; by hand %+v", where, got.GetKind(), c.GetRule(), got.GetDate(), verdictOf(got.GetWas()), verdictOf(got.GetIs()), want)
		return
	}
	for _, x := range []struct{ what, got, want string }{{"needed", c.GetNeeded(), want.Needed}, {"there", c.GetThere(), want.There}, {"short", c.GetShort(), want.Short}} {
		if x.want != "" && !exact.MustParse(x.got).Equal(exact.MustParse(x.want)) {
			t.Errorf("%s, %s: %s %s, by hand %s", where, want.Rule, x.what, x.got, x.want)
		}
	}
	if want.Item != "" && !slices.Contains(got.GetItems(), want.Item) {
		t.Errorf("%s, %s: to change %v, by hand %s", where, want.Rule, got.GetItems(), want.Item)
	}
	if want.Line != "" && c.GetLine() != want.Line {
		t.Errorf("%s, %s: line %s, by hand %s", where, want.Rule, c.GetLine(), want.Line)
	}
	if want.Change == "" {
		return
	}
	i := slices.IndexFunc(got.GetChanges(), func(c *pb.RuleChange) bool { return c.GetRule() == want.Change })
	if i < 0 {
		t.Errorf("%s, %s: put down to %v, by hand to %s", where, want.Rule, got.GetChanges(), want.Change)
		return
	}
	if x := got.GetChanges()[i]; x.GetCitation() == "" || want.Before != "" && !begins(x.GetWas(), want.Before) || want.After != "" && !begins(x.GetIs(), want.After) {
		t.Errorf("%s, %s: from %q to %q (%s), by hand from %q to %q", where, want.Rule, x.GetWas(), x.GetIs(), x.GetCitation(), want.Before, want.After)
	}
}

// begins reports whether a value with its unit is the printed one.
func begins(got, printed string) bool { return got == printed || strings.HasPrefix(got, printed+" ") }

// The look-aheads worked by hand come out as they were worked out: the dates, the
// days moved to, and every difference with the rule behind it.
func TestLookAheadsWorkedByHand(t *testing.T) {
	files, err := filepath.Glob("../../testdata/ahead/*.yaml")
	if err != nil || len(files) < 6 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	r := exampleReviewer()
	compared := 0
	for _, file := range files {
		var hand struct {
			Coming []struct {
				On, First, Last string
				Differences     *[]handDifference
				Same            []string
			}
		}
		name := filepath.Base(file)
		data := split(t, file, "coming", &hand)
		m, shape := wire.ReadLookAhead(data, wire.FormatOf(data))
		a, err := wire.LookAhead(r, m, shape)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		out := wire.LookAheadMessage(a)
		if len(out.GetComing()) != len(hand.Coming) {
			t.Errorf("%s: %d dates, by hand %d", name, len(out.GetComing()), len(hand.Coming))
			continue
		}
		if out.GetLastChange() == "" || out.GetNewestPaper() == "" {
			t.Errorf("%s: does not say how far the data speak", name)
		}
		for i, want := range hand.Coming {
			got := out.GetComing()[i]
			where := name + ", " + want.On
			if got.GetOn() != want.On || got.GetFirst() != want.First || got.GetLast() != want.Last {
				t.Errorf("%s: %s, moved to %s to %s; by hand %s to %s", where, got.GetOn(), got.GetFirst(), got.GetLast(), want.First, want.Last)
			}
			for _, rule := range want.Same {
				if !slices.ContainsFunc(got.GetChecks(), func(c *pb.ReviewCheck) bool { return c.GetRule() == rule }) {
					t.Errorf("%s: %s is not asked", where, rule)
				}
				if slices.ContainsFunc(got.GetDifferences(), func(d *pb.ReviewDifference) bool { return d.GetWas().GetRule() == rule || d.GetIs().GetRule() == rule }) {
					t.Errorf("%s: %s differs", where, rule)
				}
				compared++
			}
			if want.Differences == nil {
				continue
			}
			var differs []*pb.ReviewDifference
			for _, d := range got.GetDifferences() {
				if !d.GetIs().GetNote() && (d.GetIs() != nil || !d.GetWas().GetNote()) {
					differs = append(differs, d)
				}
			}
			if len(differs) != len(*want.Differences) {
				for _, d := range differs {
					t.Log(d)
				}
				t.Errorf("%s: %d differences, by hand %d", where, len(differs), len(*want.Differences))
				continue
			}
			for k, d := range *want.Differences {
				compareDifference(t, where, differs[k], d)
				compared++
			}
		}
	}
	if compared < 25 {
		t.Errorf("only %d compared", compared)
	}
}

// Everything wrong with a look-ahead comes back at once: of the dates, of the menu,
// and of the shape of the file.
func TestFaultsOfLookAheads(t *testing.T) {
	data := []byte(`{"menu": {"program": "school-lunch", "ageGroup": "k5", "lines": [{"name": "main", "days": [{"date": "2026-09-14", "choices": [{"take": 1, "items": [{"name": "Pear", "credits": {"fruits": "1"}}]}]}]}]},
  "on": ["2026-02-30", "", "soon"], "onn": 1}`)
	m, shape := wire.ReadLookAhead(data, wire.JSON)
	_, err := wire.LookAhead(exampleReviewer(), m, shape)
	holds(t, err, "UNKNOWN_FIELD onn", "BAD_DATE on[0]", "MISSING on[1]", "BAD_DATE on[2]", "UNKNOWN_VALUE menu.ageGroup")

	data = []byte(`{"menu": {"program": "school-lunch", "ageGroup": "k-5", "lines": [{"name": "main", "days": [{"date": "2026-09-14", "choices": [{"take": 1, "items": [{"name": "Pear", "credits": {"fruits": "1"}}]}]}]}]},
  "on": ["2026-09-13", "9999-01-01", "2026-09-14"]}`)
	m, shape = wire.ReadLookAhead(data, wire.JSON)
	_, err = wire.LookAhead(exampleReviewer(), m, shape)
	holds(t, err, "OUT_OF_RANGE on[0]", "OUT_OF_RANGE on[1]")

	m = &pb.LookAheadRequest{Menu: &pb.Menu{}, On: make([]string, wire.MaxAhead+1)}
	_, err = wire.LookAhead(exampleReviewer(), m, nil)
	holds(t, err, "TOO_MANY on")
	_, err = wire.LookAhead(exampleReviewer(), &pb.LookAheadRequest{}, nil)
	holds(t, err, "MISSING menu")
}
