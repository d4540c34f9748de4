package credit_test

import (
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"
)

// flakes is an alternate protein product of the caller's with its papers.
func flakes(percent string) food.Own {
	return food.Own{ID: "cedar-soy-flakes", Name: "Soy flakes", Components: []string{"meats"},
		Figures: []food.OwnFigure{{Kind: "protein", Value: percent, Document: "Maker's data sheet", Page: "1", Edition: "2026-01"}}}
}

func TestAlternateProtein(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		percent, amount string
		servings        int
		want            string
	}{
		// Reference 4.2: dry ounces x percent as-is / 18; 64.8/18 = 3.6.
		{"90", "1 oz", 1, "5"},         // a published form's own check: 90/18
		{"52", "1 oz", 1, "2 3/4"},     // and 52/18 = 2.889
		{"64.8", "5 lb", 100, "2 3/4"}, // 80 x 3.6 = 288; / 100 = 2.88
		{"64.8", "2.5 oz", 9, "1"},     // 2.5 x 3.6 = 9, exactly
		{"64.8", "2.49 oz", 9, "3/4"},  // 8.964 / 9 = .996
		{"64.8", "70.875 g", 9, "1"},   // 70.875 / 28.35 = 2.5 oz
		{"18", "1 oz", 1, "1"},         // nothing to add: as it is
		{"18", "0.99 oz", 1, "3/4"},
		{"52.5", "60 oz", 100, "1 3/4"}, // 60 x 52.5/18 = 175
		{"100", "18 oz", 100, "1"},      // 18 x 100/18
		{"50", "0.1 lb", 1, "4 1/4"},    // 1.6 x 50/18 = 4.444
	} {
		t.Run(c.percent+" "+c.amount, func(t *testing.T) {
			t.Parallel()
			d := newDesk(t)
			req := d.ask(c.servings, d.in("cedar-soy-flakes", c.amount))
			req.Foods = []food.Own{flakes(c.percent)}
			rec := d.gives(req, "meats "+c.want+" documented")
			d.finds(rec, credit.CheckLabel, credit.OwnDescription)
			if s := report.FindingText(rec, &findings(rec, credit.CheckLabel)[0]); !strings.Contains(s, "18 percent") || !strings.Contains(s, "as-is") || !strings.Contains(s, "80 percent") {
				t.Errorf("to check: %q", s)
			}
		})
	}
}

func TestAlternateProteinWithMeat(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// Lines are not rounded before they are added: .70 oz of cheddar and 2/9 oz dry,
	// 2/9 x 3.6 = .8: 1.5. Rounded by themselves: .5 + .75.
	req := d.ask(1, d.in("cheddar", "0.7 oz"), d.in("cedar-soy-flakes", "2/9 oz"))
	req.Foods = []food.Own{flakes("64.8")}
	d.gives(req, "meats 1 1/2 documented")
	// In a statement, A + B: 1.57 oz of beef x 11.8/16 = 1.1578, .25 oz dry x 3.6 =
	// .9: 2.0578: 2, for a portion that weighs more than that; 1.9 oz caps it at
	// 1 3/4.
	in := []recipe.Ingredient{d.in("ground-beef-20", "1.57 oz"), d.in("cedar-soy-flakes", "0.25 oz")}
	for portion, want := range map[string]string{"2.5 oz": "2", "1.9 oz": "1 3/4"} {
		req = d.askFor(d.statement(portion, in, "meats 2.00"))
		req.Foods = []food.Own{flakes("64.8")}
		d.gives(req, "meats "+want+" documented")
	}
}

func TestAlternateProteinRefused(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	req := d.ask(1, d.in("cedar-soy-flakes", "1 oz"))
	for _, percent := range []string{"17.99", "1", "100.1"} {
		req.Foods = []food.Own{flakes(percent)}
		_, err := d.engine.Credit(req)
		if err == nil || !strings.Contains(err.Error(), "foods[0].figures[0]") || !strings.Contains(err.Error(), "18 to 100") {
			t.Errorf("%s percent: %v", percent, err)
		}
	}
	req.Foods = []food.Own{flakes("64.8")}
	req.Recipe.Ingredients[0].Quantity = d.q("1 cup") // the formula is of weights
	d.refuses(req, "NO_FIGURE recipe.ingredients[0].quantity")
	// Without page and edition its percent is the caller's word.
	own := flakes("64.8")
	own.Figures[0].Page = ""
	req = d.ask(9, d.in("cedar-soy-flakes", "2.5 oz"))
	req.Foods = []food.Own{own}
	d.gives(req, "meats 1 estimate")
	// The catalog's dry product earns nothing without papers, and says so.
	rec := d.gives(d.ask(9, d.in("alternate-protein-dry", "1 lb")), "meats 0 needs paper")
	d.finds(rec, credit.PaperMissing)
}

func TestSurimi(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ amounts, want string }{
		// E17, for 10: 1.0 oz is 1/4, 3.0 oz is 1, 4.4 oz is 1.5; between them the
		// lower one, above them the highest.
		{"10 oz", "1/4 documented"}, {"9.99 oz", "0 no credit"},
		{"30 oz", "1 documented"}, {"29.99 oz", "1/4 documented"},
		{"44 oz", "1 1/2 documented"}, {"43.99 oz", "1 documented"},
		{"88 oz", "1 1/2 documented"}, {"25 lb", "1 1/2 documented"},
		// Two lines are one weight: 1.5 + 1.5; by themselves 1/4 + 1/4.
		{"15 oz + 15 oz", "1 documented"}, {"15 oz + 14.99 oz", "1/4 documented"},
		{"5 oz + 5 oz", "1/4 documented"}, {"5 oz + 4.99 oz", "0 no credit"},
		{"14 oz + 15 oz + 15 oz", "1 1/2 documented"},
		// 850.5 g / 28.35 = 30 oz.
		{"850.5 g", "1 documented"}, {"850.49 g", "1/4 documented"},
		{"15 oz + 425.25 g", "1 documented"},
	} {
		t.Run(c.amounts, func(t *testing.T) {
			t.Parallel()
			d := newDesk(t)
			req := d.ask(10)
			for s := range strings.SplitSeq(c.amounts, " + ") {
				req.Recipe.Ingredients = append(req.Recipe.Ingredients, d.in("surimi", s))
			}
			d.gives(req, "meats "+c.want)
		})
	}
	d := newDesk(t)
	// With another meat: 1 + 5/10.
	d.gives(d.ask(10, d.in("surimi", "30 oz"), d.in("cheddar", "5 oz")), "meats 1 1/2 documented")
	d.gives(d.ask(10, d.in("cheddar", "5 oz"), d.in("surimi", "14 oz"), d.in("surimi", "15.9 oz")), "meats 3/4 documented") // 2.99 oz: 1/4 + 1/2
	// Through a sub-recipe all of it is one weight: 15 + 30/2 = 30.
	req := d.ask(10, d.in("surimi", "15 oz"), d.sub("salad", "10 each"))
	req.SubRecipes = []recipe.Recipe{{ID: "salad", Name: "Salad", Servings: 20, Ingredients: []recipe.Ingredient{d.in("surimi", "30 oz")}}}
	d.gives(req, "meats 1 documented")
	// Each size of portion has its own look-up: 3 oz, and half of it.
	req = d.ask(10, d.in("surimi", "30 oz"))
	req.Recipe.Portions = []recipe.Portion{{Name: "large", Weight: d.q("4 oz")}, {Name: "small", Weight: d.q("2 oz")}}
	rec := d.gives(req, "meats 1 documented")
	if got := told(rec.Also[0])[0]; got != "meats 1/4 documented" { // 1.5 oz
		t.Errorf("the small one credits %q", got)
	}
	// First day 2019-04-17 (correction 16).
	req = d.ask(10, d.in("surimi", "30 oz"))
	req.On = d.date("2019-04-16")
	d.refuses(req, "RULE_NOT_IN_FORCE serviceDate")
	req.On = d.date("2019-04-17")
	d.gives(req, "meats 1 documented")
	req.On = d.date("2019-04-18")
	d.gives(req, "meats 1 documented")
}

func TestSurimiStatus(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// The weight of a piece is the caller's word: 1 oz eq that rests on it is an
	// estimate, whichever line it stands on. 28.35 g a piece: 15 pieces are 15 oz.
	own := food.Own{ID: "surimi", Figures: []food.OwnFigure{{Kind: "each", Value: "28.35"}}}
	for _, in := range [][]recipe.Ingredient{{d.in("surimi", "15 each"), d.in("surimi", "15 oz")}, {d.in("surimi", "15 oz"), d.in("surimi", "15 each")}} {
		req := d.ask(10, in...)
		req.Foods = []food.Own{own}
		rec := d.gives(req, "meats 1 estimate")
		if c, _ := rec.Credit(food.Meats); !c.Claimable.IsZero() {
			t.Errorf("%s claimable", c.Claimable)
		}
		f := findings(rec, credit.EstimatedFigure)
		if len(f) != 1 || len(f[0].Figures) != 1 || rec.Figures[f[0].Figures[0]].Text != "28.35" {
			t.Errorf("findings %+v, want the weight of a piece to check", f)
		}
	}
}

func TestTofu(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// Reference 4.1: 2.2 oz, or 1/4 cup, with at least 5 g of protein is 1 oz eq.
	// 2.5 cups for 10: 1/4 cup.
	rec := d.gives(d.ask(10, d.in("tofu-firm", "2.5 cup")), "meats 1 documented")
	d.finds(rec, credit.CheckLabel)
	if s := report.FindingText(rec, &findings(rec, credit.CheckLabel)[0]); !strings.Contains(s, "5 g of protein") || !strings.Contains(s, "2.2 oz") {
		t.Errorf("to check: %q", s)
	}
	d.gives(d.ask(10, d.in("tofu-firm", "2.49 cup")), "meats 3/4 documented")
}

func TestStandingOfLabelsAndShares(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// One finding for each tofu, none for a food that needs no label.
	rec := d.credit(d.ask(10, d.in("tofu-firm", "2.5 cup"), d.in("tofu-soft", "2.5 cup"), d.in("cheddar", "1 oz")))
	d.finds(rec, credit.CheckLabel, credit.CheckLabel)
	// A share inside a sub-recipe and one on the card are each told once.
	in, inside := d.in("flour-all-purpose-enriched", "320 g"), d.in("flour-all-purpose-enriched", "320 g")
	in.Share, inside.Share = exact.Frac(1, 2), exact.Frac(3, 4)
	req := d.ask(20, in, d.sub("coat", "20 each"))
	req.SubRecipes = []recipe.Recipe{{ID: "coat", Name: "Coating", Servings: 20, Ingredients: []recipe.Ingredient{inside}}}
	// 160 + 240 = 400 g; / 16 / 20 = 1.25.
	rec = d.gives(req, "grains 1 1/4 documented")
	var shares []string
	for _, f := range findings(rec, credit.ShareGiven) {
		shares = append(shares, rec.Ingredients[f.Ingredient].Path()+" "+f.Words[0])
	}
	slices.Sort(shares)
	if got := strings.Join(shares, ", "); got != "recipe.ingredients[0] 1/2, subRecipes[0].ingredients[0] 3/4" {
		t.Errorf("shares told: %s", got)
	}
}
