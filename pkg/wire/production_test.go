package wire_test

import (
	"path/filepath"
	"slices"
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// The production records worked by hand come out as they were worked out: the
// verdicts, every check of the record that has something to say, and every
// difference between plan and service.
func TestProductionsWorkedByHand(t *testing.T) {
	files, err := filepath.Glob("../../testdata/production/*.yaml")
	if err != nil || len(files) < 10 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	r := exampleReviewer()
	compared := 0
	for _, file := range files {
		var hand struct {
			Expected struct {
				Verdict string
				Groups  []struct {
					Group, Planned, Served string
					Differences            []handDifference
				}
				Checks []struct{ Rule, Item, Verdict, Needed, There, Short, Because string }
			}
		}
		name := filepath.Base(file)
		data := split(t, file, "expected", &hand)
		m, shape := wire.ReadProduction(data, wire.FormatOf(data))
		p, err := wire.Production(r, m, shape)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		out := wire.ProductionMessage(p)
		if out.GetVerdict() != hand.Expected.Verdict {
			t.Errorf("%s: %s, by hand %s", name, out.GetVerdict(), hand.Expected.Verdict)
		}
		if len(out.GetKeep()) != 3 {
			t.Errorf("%s: what to keep is %v", name, out.GetKeep())
		}
		left := slices.Clone(out.GetChecks())
		for _, want := range hand.Expected.Checks {
			compared++
			i := slices.IndexFunc(left, func(c *pb.ReviewCheck) bool {
				return c.GetRule() == want.Rule && c.GetItem() == want.Item && c.GetVerdict() == want.Verdict
			})
			if i < 0 {
				t.Errorf("%s: no check %s of %q, %s", name, want.Rule, want.Item, want.Verdict)
				continue
			}
			c := left[i]
			left = slices.Delete(left, i, i+1)
			for _, x := range []struct{ what, got, want string }{{"needed", c.GetNeeded(), want.Needed}, {"there", c.GetThere(), want.There}, {"short", c.GetShort(), want.Short}} {
				if x.want != "" && !exact.MustParse(x.got).Equal(exact.MustParse(x.want)) {
					t.Errorf("%s, %s of %s: %s %s, by hand %s", name, want.Rule, want.Item, x.what, x.got, x.want)
				}
			}
			if c.GetBecause() == "" || c.GetCitation() == "" || c.GetMend() == "" && c.GetVerdict() != "met" {
				t.Errorf("%s: %v says not why, by what rule, or how to mend it", name, c)
			}
		}
		for _, c := range left {
			if c.GetVerdict() != "met" {
				t.Errorf("%s: not found by hand: %v", name, c)
			}
		}
		if len(out.GetGroups()) != len(hand.Expected.Groups) {
			t.Errorf("%s: %d groups, by hand %d", name, len(out.GetGroups()), len(hand.Expected.Groups))
			continue
		}
		for i, want := range hand.Expected.Groups {
			g := out.GetGroups()[i]
			if g.GetAgeGroup() != want.Group || g.GetPlanned().GetVerdict() != want.Planned || g.GetServed().GetVerdict() != want.Served {
				t.Errorf("%s: %s planned %s, served %s; by hand %s, %s, %s", name, g.GetAgeGroup(), g.GetPlanned().GetVerdict(), g.GetServed().GetVerdict(), want.Group, want.Planned, want.Served)
			}
			if len(g.GetDifferences()) != len(want.Differences) {
				t.Errorf("%s: %d differences, by hand %d: %v", name, len(g.GetDifferences()), len(want.Differences), g.GetDifferences())
				continue
			}
			for k, d := range want.Differences {
				compareDifference(t, name, g.GetDifferences()[k], d)
				compared++
			}
		}
	}
	if compared < 14 {
		t.Errorf("only %d compared", compared)
	}
}
