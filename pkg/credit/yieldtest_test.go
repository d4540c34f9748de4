package credit_test

import (
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"
)

func TestPortionsMadeDecide(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		made  int
		want  string
		found []credit.FindingReason
	}{
		// 100 oz of cheddar; the card says 50.
		{0, "2", nil}, // none counted: 100/50
		{50, "2", nil},
		{40, "2 1/2", []credit.FindingReason{credit.YieldTested}}, // 100/40
		{60, "1 1/2", []credit.FindingReason{credit.YieldTested}}, // 100/60 = 1.667
		{51, "1 3/4", []credit.FindingReason{credit.YieldTested}}, // 1.961
	} {
		d := newDesk(t)
		req := d.ask(50, d.in("cheddar", "100 oz"))
		req.Recipe.YieldTest = &recipe.YieldTest{PortionsMade: c.made}
		rec := d.gives(req, "meats "+c.want+" documented")
		d.finds(rec, c.found...)
		if made := max(c.made, 1); c.made > 0 && rec.Servings != made {
			t.Errorf("the record says %d servings made, want %d", rec.Servings, made)
		}
		for _, f := range findings(rec, credit.YieldTested) {
			if f.Severity != credit.Check || !strings.Contains(report.FindingText(rec, &f), " 50:") {
				t.Errorf("the finding says %q", report.FindingText(rec, &f))
			}
		}
	}
	d := newDesk(t)
	req := d.ask(50, d.in("cheddar", "100 oz"))
	req.Recipe.YieldTest = &recipe.YieldTest{PortionsMade: -1, WeightBefore: d.q("1 cup"), WeightAfter: d.q("1 each"), PanLoss: d.q("1 qt")}
	d.refuses(req, "OUT_OF_RANGE recipe.yieldTest.portionsMade", "UNIT_DOES_NOT_FIT recipe.yieldTest.weightBefore", "UNIT_DOES_NOT_FIT recipe.yieldTest.weightAfter", "UNIT_DOES_NOT_FIT recipe.yieldTest.panLoss")
	req.Recipe.YieldTest = &recipe.YieldTest{PortionsMade: 1_000_001}
	d.refuses(req, "OUT_OF_RANGE recipe.yieldTest.portionsMade")
}

func TestPortionsMadeOfEachSize(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// 100 oz; the card says 50, the batch gave 40 of the first size. The second is
	// half of it: 80: 100/80 = 1.25.
	req := d.ask(50, d.in("cheddar", "100 oz"))
	req.Recipe.Portions = []recipe.Portion{{Name: "large", Weight: d.q("4 oz")}, {Name: "small", Weight: d.q("2 oz")}}
	req.Recipe.YieldTest = &recipe.YieldTest{PortionsMade: 40}
	rec := d.gives(req, "meats 2 1/2 documented")
	if got, want := told(rec.Also[0]), []string{"meats 1 1/4 documented"}; !slices.Equal(got, want) {
		t.Errorf("the small one credits %q, want %q", got, want)
	}
}

func TestPortionsWeighOff(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, portion, after, loss string
		made                       int
		off                        string // what a portion weighs by the batch; empty when near enough
	}{
		// A twentieth of 4 oz is .2 oz: 3.8 to 4.2. For 80 portions that is 304 oz =
		// 19 lb to 336 oz = 21 lb.
		{"right", "4 oz", "20 lb", "", 0, ""},
		{"right without what stuck", "4 oz", "20 lb 6 oz", "6 oz", 0, ""},
		{"lightest", "4 oz", "19 lb", "", 0, ""},
		{"too light", "4 oz", "18 lb 15.9 oz", "", 0, "3.79"},            // 303.9/80 = 3.7987
		{"lightest, but some stuck", "4 oz", "19 lb", "1 oz", 0, "3.78"}, // 303/80 = 3.7875
		{"heaviest", "4 oz", "21 lb", "", 0, ""},
		{"too heavy", "4 oz", "21 lb 0.1 oz", "", 0, "4.20"},        // 336.1/80 = 4.2012
		{"right by the portions made", "4 oz", "15 lb", "", 60, ""}, // 240/60 = 4
		{"off by the portions made", "4 oz", "20 lb", "", 100, "3.20"},
		// 100 g: 95 to 105; 80 portions: 7600 to 8400 g.
		{"grams, lightest", "100 g", "7600 g", "", 0, ""},
		{"grams, too light", "100 g", "7.599 kg", "", 0, "94.98"}, // 7599/80 = 94.9875
		// 17 lb = 272 oz x 28.35 = 7711.2 g / 80 = 96.39 g.
		{"pounds against grams", "100 g", "17 lb", "", 0, ""},
		// 16 lb = 256 x 28.35 = 7257.6 / 80 = 90.72.
		{"pounds against grams, too light", "100 g", "16 lb", "", 0, "90.72"},
		{"nothing weighed", "4 oz", "", "1 oz", 0, ""},
		{"no portion weight", "", "20 lb", "", 0, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := newDesk(t)
			req := d.ask(80, d.in("cheddar", "200 oz"))
			req.Recipe.Portions = []recipe.Portion{{Name: "square", Weight: d.q(c.portion)}}
			req.Recipe.YieldTest = &recipe.YieldTest{PortionsMade: c.made, WeightBefore: d.q("23 lb"), WeightAfter: d.q(c.after), PanLoss: d.q(c.loss)}
			rec := d.credit(req)
			f := findings(rec, credit.PortionOff)
			if (len(f) == 1) != (c.off != "") || len(f) > 1 {
				t.Fatalf("findings %+v, want %q", f, c.off)
			}
			if c.off == "" {
				return
			}
			if s := report.FindingText(rec, &f[0]); f[0].Severity != credit.Check || !strings.Contains(s, "gives "+c.off+" ") || !strings.Contains(s, c.portion) {
				t.Errorf("the finding says %q, want %s against %s", s, c.off, c.portion)
			}
		})
	}
}
