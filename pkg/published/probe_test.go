package published

import (
	"os"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
)

// TestProbesCanFail prints other figures than the publishers did: an answer
// that agreed with those too would prove nothing.
func TestProbesCanFail(t *testing.T) {
	corpus, err := Load(os.DirFS(data))
	if err != nil {
		t.Fatal(err)
	}
	rs, err := rules.Default()
	if err != nil {
		t.Fatal(err)
	}
	cat, err := food.Default()
	if err != nil {
		t.Fatal(err)
	}
	r := NewRunner(corpus, credit.New(rs, cat))
	for _, tc := range []struct {
		id, figure, printed string
		want                Verdict
	}{
		{"app-formula-template", "alternate protein formula", "oz dry x percent protein as-is / 20", Over},
		{"app-formula-template", "alternate protein formula", "oz dry x percent protein as-is / 16", Under},
		{"ct-smoothie-minimums", "least in a smoothie: fruit, cup", "0.25", Over},
		{"ct-smoothie-minimums", "least in a smoothie: milk, cup", "0.125", Under},
		{"ct-smoothie-minimums", "least in a smoothie: yogurt, oz eq", "0.5", Over},
		{"pfs-noncreditable-grain-limit", "limit of non-creditable grain, g, groups A-G", "3.98", Over},
		{"pfs-noncreditable-grain-limit", "limit of non-creditable grain, g, group H", "7", Under},
		{"pfs-veg-tomato-paste-puree", "vegetables", "0.25", Under},
		{"pfs-veg-tomato-paste-puree", "vegetables", "0", Over},
		{"usda-100045-frozen-eggs", "large eggs per batch", "271", Under},
		{"wgr-8g-per-oz-eq", "whole grain-rich", "not by this element", Over},
		{"wgr-7_9g-per-oz-eq", "whole grain-rich", "whole grain-rich", Under},
	} {
		done := false
		for _, c := range corpus.Cases {
			for i := range c.Expected {
				if c.ID != tc.id || c.Expected[i].Figure != tc.figure {
					continue
				}
				done = true
				e := c.Expected[i]
				e.Published = tc.printed
				if o := r.one(c, &e); o.Verdict != tc.want {
					t.Errorf("%s, %s printed as %s: %s (ours %s; %s), want %s", tc.id, tc.figure, tc.printed, o.Verdict, o.Ours, o.Reason, tc.want)
				}
			}
		}
		if !done {
			t.Errorf("%s, %s: no such figure", tc.id, tc.figure)
		}
	}
}
