package credit_test

import (
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
)

// TestLeftOutGrainIsNotWhole: grain that is left out of the credit is still in the
// dish, so leaving it out never makes the dish look whole grain-rich.
func TestLeftOutGrainIsNotWhole(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	for name, c := range map[string]struct {
		counted, left string
		share         string // empty when the record does not tell
	}{
		"whole counted, enriched left out":      {"whole-wheat-flour", "flour-all-purpose-enriched", ""},
		"whole counted, bran left out":          {"whole-wheat-flour", "oat-bran", ""},
		"whole counted, whole left out":         {"whole-wheat-flour", "brown-rice-flour", "1"},
		"whole counted, what is no grain":       {"whole-wheat-flour", "cheddar", "1"},
		"enriched counted, more enriched aside": {"flour-all-purpose-enriched", "flour-all-purpose-enriched", "0"},
	} {
		left := d.in(c.left, "480 g")
		left.NotCrediting = true
		req := d.ask(10, d.in(c.counted, "480 g"), left)
		d.share(t, name, req, c.share)
		// Within a sub-recipe, or a sub-recipe left out as a whole.
		part := recipe.Recipe{ID: "part", Name: "Part", Servings: 10, ExhibitAGroup: "B", Ingredients: []recipe.Ingredient{left}}
		d.share(t, name+", in a sub-recipe", d.with(d.ask(10, d.in(c.counted, "480 g"), d.sub("part", "10 each")), part), c.share)
		part.Ingredients = []recipe.Ingredient{d.in(c.left, "480 g")}
		aside := d.sub("part", "10 each")
		aside.NotCrediting = true
		d.share(t, name+", a sub-recipe left out", d.with(d.ask(10, d.in(c.counted, "480 g"), aside), part), c.share)
	}
}

// TestLeftOutProductIsNotWhole: of a bought product's grain it is not known what is
// whole, left out or not.
func TestLeftOutProductIsNotWhole(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	roll := d.bought("roll", "10 each")
	roll.NotCrediting = true
	req := d.ask(10, d.in("whole-wheat-flour", "480 g"), roll)
	req.Products = []credit.Product{{ID: "roll", Name: "Roll", Weight: d.q("2 oz"), ExhibitAGroup: "B"}}
	d.share(t, "a product left out", req, "")
}

// share holds what a record says of the whole grain.
func (d *desk) share(t *testing.T, name string, req credit.Request, want string) {
	t.Helper()
	rec, err := d.engine.Credit(req)
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return
	}
	got := ""
	for _, f := range findings(rec, credit.WholeGrainShare) {
		got += f.Share.String()
	}
	if got != want {
		t.Errorf("%s: whole share %q, want %q", name, got, want)
	}
}

// TestGrainInOtherUnits: a fault about a unit says what would do, and never ends
// in an empty list.
func TestGrainInOtherUnits(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	for _, food := range []string{"oats-rolled", "whole-wheat-flour", "bread-whole-wheat"} {
		_, err := d.engine.Credit(d.ask(10, d.in(food, "2 can no. 10")))
		l, ok := err.(*fault.List)
		if !ok || len(l.Faults) != 1 || l.Faults[0].Reason != fault.UnitDoesNotFit || !strings.HasPrefix(l.Faults[0].Want, "a weight of ") {
			t.Errorf("%s by the can: %v", food, err)
		}
	}
}

// TestLeftOutGrainCountsToTheLimit: grain that is not enriched is in the portion
// whether or not the planner leaves it out, so leaving it out wins no credit back.
func TestLeftOutGrainCountsToTheLimit(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	for _, c := range []struct{ amount, want string }{
		{"160 g", "0"}, // 16 g in a portion
		{"20 g", "1"},  // 2 g in a portion, which a form allows
	} {
		for _, left := range []bool{false, true} {
			in := d.in("flour-all-purpose-unenriched", c.amount)
			in.NotCrediting = left
			req := d.ask(10, d.in("whole-wheat-flour", "160 g"), in)
			req.Recipe.ExhibitAGroup = "B"
			rec := d.credit(req)
			if got, _ := rec.Credit(food.Grains); got.Credited.String() != c.want || got.Claimable.String() != c.want {
				t.Errorf("%s left out %v: %s credited, %s claimable, want %s", c.amount, left, got.Credited, got.Claimable, c.want)
			}
		}
	}
}

// TestUnweighedGrainIsNoZero: grain that counts toward the limit and cannot be
// weighed is asked for, and does not count as none.
func TestUnweighedGrainIsNoZero(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	for _, amount := range []string{"3 qt", "40 each", "2 can no. 10"} {
		req := d.ask(48, d.in("whole-wheat-flour", "3 lb"), d.in("ramen-noodles", amount))
		req.Recipe.ExhibitAGroup = "B"
		d.refuses(req, "UNIT_NEEDS_DENSITY recipe.ingredients[1].quantity")
		// Where nothing of it credits, the limit asks nothing.
		req.Recipe.Ingredients = req.Recipe.Ingredients[1:]
		d.credit(req)
	}
}
