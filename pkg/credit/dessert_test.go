package credit_test

import (
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"
)

// square is a dish of 1 oz eq of grains, 16 g of flour in each of 48, of a kind
// of dessert.
func (d *desk) square(program, on, dessert string) credit.Request {
	d.Helper()
	req := d.ask(48, d.in("flour-all-purpose-enriched", "768 g"))
	req.Recipe.Dessert, req.Program, req.On = dessert, program, d.date(on)
	return req
}

func TestDesserts(t *testing.T) {
	t.Parallel()
	const credits, limited, none = "credits", "limited", "none"
	for _, c := range []struct {
		program, on       string
		three, four, five string
	}{
		// Reference 1.1 notes 3, 4 and 5; 1.3 and 1.5 for the dates; correction 4 for
		// summer, where the record only says in which meals.
		{"school-lunch", "2026-09-14", limited, limited, limited},
		{"school-breakfast", "2026-09-14", none, credits, credits},
		{"afterschool-snack", "2025-06-29", credits, credits, credits},
		{"afterschool-snack", "2025-06-30", credits, credits, credits},
		{"afterschool-snack", "2025-07-01", none, none, none},
		{"afterschool-snack", "2025-07-02", none, none, none},
		{"preschool", "2026-09-14", none, none, credits},
		{"child-adult-care", "2021-10-01", none, none, credits},
		{"child-adult-care", "2026-09-14", none, none, credits},
		{"summer", "2026-07-14", limited, limited, limited},
	} {
		for kind, want := range map[string]string{recipe.Dessert3: c.three, recipe.Dessert4: c.four, recipe.Dessert5: c.five} {
			t.Run(c.program+" "+c.on+" "+kind, func(t *testing.T) {
				t.Parallel()
				d := newDesk(t)
				rec := d.credit(d.square(c.program, c.on, kind))
				cr, ok := rec.Credit(food.Grains)
				if !ok {
					t.Fatal("no grains at all")
				}
				switch want {
				case none:
					d.finds(rec, credit.DessertNone)
					if !cr.Credited.IsZero() || cr.Status != credit.NoCredit || cr.Reason == "" {
						t.Errorf("credits %s, %s, %q", cr.Credited, cr.Status, cr.Reason)
					}
					if got := alternative(rec, food.Grains, credit.LimitNotApplied); got != "1" {
						t.Errorf("without the rule %q, want 1", got)
					}
				case limited:
					d.finds(rec, credit.DessertLimited)
				default:
					d.finds(rec)
				}
				if want != none && cr.Credited.Sign() <= 0 {
					t.Errorf("credits %s", cr.Credited)
				}
			})
		}
		// What is no dessert is none of this.
		d := newDesk(t)
		d.finds(d.credit(d.square(c.program, c.on, "")))
	}
	d := newDesk(t)
	// 768 g / 48 = 16 g: 1 oz eq.
	d.gives(d.square("school-lunch", "2026-09-14", recipe.Dessert3), "grains 1 documented")
	d.refuses(d.square("school-lunch", "2026-09-14", "dessert-6"), "UNKNOWN_VALUE recipe.dessert")
	// Child and adult care: since 2017-10-01, the first day any rule of it is known
	// here; the day before is refused. It counted servings then: 16/14.75 = 1.08.
	d.refuses(d.square("child-adult-care", "2017-09-30", recipe.Dessert3), "RULE_NOT_IN_FORCE serviceDate")
	for _, on := range []string{"2017-10-01", "2017-10-02"} {
		for kind, want := range map[string]bool{recipe.Dessert3: false, recipe.Dessert4: false, recipe.Dessert5: true} {
			rec := d.credit(d.square("child-adult-care", on, kind))
			if cr, _ := rec.Credit(food.Grains); (cr.Credited.String() == "1") != want || rec.GrainsUnit != "serving" {
				t.Errorf("%s %s: %s %s", on, kind, cr.Credited, rec.GrainsUnit)
			}
		}
	}
	// Only grains are taken away.
	req := d.square("school-breakfast", "2026-09-14", recipe.Dessert3)
	req.Recipe.Ingredients = append(req.Recipe.Ingredients, d.in("eggs-large", "24 each"))
	d.gives(req, "grains 0 no credit", "meats 1 documented")
}

func TestBoughtDesserts(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	// A brownie of 125 g, group G: 1 oz eq by weight, 1.00 by label or statement.
	byWeight := credit.Product{ID: "brownie", Name: "Brownie", Weight: d.q("125 g"), ExhibitAGroup: "G", Dessert: recipe.Dessert3}
	byLabel := d.label("125 g", "grains 1.00")
	byLabel.ID, byLabel.Dessert = "brownie", recipe.Dessert3
	byStatement := d.statement("125 g", []recipe.Ingredient{d.in("flour-all-purpose-enriched", "16 g")}, "grains 1.00")
	byStatement.ID, byStatement.Dessert = "brownie", recipe.Dessert3
	for name, p := range map[string]credit.Product{"by weight": byWeight, "by label": byLabel, "by statement": byStatement} {
		t.Run(name, func(t *testing.T) {
			d := newDesk(t)
			in := d.ask(20, d.bought("brownie", "20 each"), d.in("cheddar", "20 oz"))
			in.Products = []credit.Product{p}
			for _, req := range []credit.Request{d.askFor(p), in} {
				rec := d.credit(req)
				if cr, _ := rec.Credit(food.Grains); cr.Credited.String() != "1" || cr.Status != credit.Documented {
					t.Errorf("at lunch %s %s, want 1", cr.Credited, cr.Status)
				}
				d.finds(rec, credit.DessertLimited)
				req.Program = "school-breakfast"
				rec = d.credit(req)
				if cr, _ := rec.Credit(food.Grains); !cr.Credited.IsZero() {
					t.Errorf("at breakfast %s, want nothing", cr.Credited)
				}
				d.finds(rec, credit.DessertNone)
				if cr, ok := rec.Credit(food.Meats); ok && cr.Credited.String() != "1" {
					t.Errorf("the cheese credits %s", cr.Credited)
				}
			}
		})
	}
	// One left out says nothing of the grain that counts: 256 g of whole wheat for 16
	// are 1 oz eq, all of it whole.
	req := d.ask(16, d.bought("brownie", "16 each"), d.in("whole-wheat-flour", "256 g"))
	req.Products, req.Program = []credit.Product{byWeight}, "school-breakfast"
	rec := d.gives(req, "grains 1 documented")
	if f := findings(rec, credit.WholeGrainShare); len(f) != 1 || f[0].Share.String() != "1" {
		t.Errorf("whole share %+v, want all of it", f)
	}
	bad := byWeight
	bad.Dessert = "dessert-6"
	d.refuses(d.askFor(bad), "UNKNOWN_VALUE product.dessert")
}

func TestGrainThatDoesNotCredit(t *testing.T) {
	t.Parallel()
	// Reference 1.3: at most 3.99 g in a portion of groups A to G, 6.99 g of H. For
	// 48: 191.52 g and 335.52 g. The creditable flour or pasta makes 1 oz eq: 16 g
	// and 28 g.
	for _, c := range []struct {
		name, program, group, good, bad, amount string
		options                                 map[string]string
		want                                    string
		found                                   []credit.FindingReason
	}{
		{"baked, at the limit", "school-lunch", "D", "flour-all-purpose-enriched 768 g", "flour-all-purpose-unenriched", "191.52 g", nil, "1", nil},
		{"baked, just above", "school-lunch", "D", "flour-all-purpose-enriched 768 g", "flour-all-purpose-unenriched", "191.53 g", nil, "0", []credit.FindingReason{credit.NonCreditable}},
		{"no group", "school-lunch", "", "flour-all-purpose-enriched 768 g", "flour-all-purpose-unenriched", "191.53 g", nil, "0", []credit.FindingReason{credit.NonCreditable}},
		{"cooked, at the limit", "school-lunch", "H", "pasta-elbow-enriched 1344 g", "pasta-unenriched", "335.52 g", nil, "1", nil},
		{"cooked, just above", "school-lunch", "H", "pasta-elbow-enriched 1344 g", "pasta-unenriched", "335.53 g", nil, "0", []credit.FindingReason{credit.NonCreditable}},
		{"above, breakfast", "school-breakfast", "D", "flour-all-purpose-enriched 768 g", "flour-all-purpose-unenriched", "191.53 g", nil, "0", []credit.FindingReason{credit.NonCreditable}},
		{"above, snack", "afterschool-snack", "D", "flour-all-purpose-enriched 768 g", "flour-all-purpose-unenriched", "191.53 g", nil, "0", []credit.FindingReason{credit.NonCreditable}},
		// The State may take the limit for products only: it credits, and is told.
		{"above, noted", "school-lunch", "D", "flour-all-purpose-enriched 768 g", "flour-all-purpose-unenriched", "480 g", map[string]string{"noncreditable-grain": "note"}, "1", []credit.FindingReason{credit.NonCreditable}},
		// The form is of schools.
		{"child and adult care", "child-adult-care", "D", "flour-all-purpose-enriched 768 g", "flour-all-purpose-unenriched", "480 g", nil, "1", nil},
		// 1 lb = 453.6 g / 48 = 9.45 g.
		{"pounds", "school-lunch", "D", "flour-all-purpose-enriched 768 g", "flour-all-purpose-unenriched", "1 lb", nil, "0", []credit.FindingReason{credit.NonCreditable}},
		// 1 1/2 cups x 125 g = 187.5 g: 3.90625 g each; 1 5/8 cups: 203.1 g: 4.23.
		{"cups, below", "school-lunch", "D", "flour-all-purpose-enriched 768 g", "flour-all-purpose-unenriched", "1 1/2 cup", nil, "1", nil},
		{"cups, above", "school-lunch", "D", "flour-all-purpose-enriched 768 g", "flour-all-purpose-unenriched", "1 5/8 cup", nil, "0", []credit.FindingReason{credit.NonCreditable}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := newDesk(t)
			id, amount, _ := strings.Cut(c.good, " ")
			req := d.ask(48, d.in(id, amount), d.in(c.bad, c.amount))
			req.Program, req.Options, req.Recipe.ExhibitAGroup = c.program, c.options, c.group
			rec := d.credit(req)
			cr, _ := rec.Credit(food.Grains)
			if cr.Credited.String() != c.want || (cr.Reason == "") != (c.want != "0") {
				t.Errorf("credits %s, because %q, want %s", cr.Credited, cr.Reason, c.want)
			}
			d.finds(rec, c.found...)
			if c.want == "0" {
				if got := alternative(rec, food.Grains, credit.LimitNotApplied); got != "1" {
					t.Errorf("without the limit %q, want 1", got)
				}
			}
			for _, f := range findings(rec, credit.NonCreditable) {
				if s := report.FindingText(rec, &f); strings.Contains(s, "earns no grains") != (c.want == "0") {
					t.Errorf("it says %q", s)
				}
			}
		})
	}
	d := newDesk(t)
	// In a sub-recipe it counts as well: half of 400 g is 200 g: 4.17 g each.
	req := d.ask(48, d.in("flour-all-purpose-enriched", "768 g"), d.sub("mix", "10 each"))
	req.SubRecipes = []recipe.Recipe{{ID: "mix", Name: "Mix", Servings: 20, Ingredients: []recipe.Ingredient{d.in("flour-all-purpose-unenriched", "400 g")}}}
	d.finds(d.gives(req, "grains 0 no credit"), credit.NonCreditable)
	// A smaller portion holds less of it: 4.17 g, and half of that: 8 g: 1/2.
	req = d.ask(48, d.in("flour-all-purpose-enriched", "768 g"), d.in("flour-all-purpose-unenriched", "200 g"))
	req.Recipe.Portions = []recipe.Portion{{Name: "large", Weight: d.q("2 oz")}, {Name: "small", Weight: d.q("1 oz")}}
	rec := d.gives(req, "grains 0 no credit")
	if got := told(rec.Also[0])[0]; got != "grains 1/2 documented" {
		t.Errorf("the small one credits %q", got)
	}
	// In a statement too: 16 g of enriched and 4 g of other flour claim 1.00.
	flours := func(bad string) []recipe.Ingredient {
		return []recipe.Ingredient{d.in("flour-all-purpose-enriched", "16 g"), d.in("flour-all-purpose-unenriched", bad)}
	}
	d.finds(d.gives(d.askFor(d.statement("1 oz", flours("3.99 g"), "grains 1.00")), "grains 1 documented"))
	d.finds(d.gives(d.askFor(d.statement("1 oz", flours("4 g"), "grains 1.00"))), credit.OverClaim)
}
