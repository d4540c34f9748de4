package kitchen_test

import (
	"math/rand/v2"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// The poster's scoops and ladles, read against the table of the reference.
func TestScoopsAndLadles(t *testing.T) {
	rows := table(t, "published/scoops.csv", "number,printed,printed tbsp,exact tbsp")
	got := kitchen.Scoops()
	if len(got) != len(rows) {
		t.Fatalf("%d scoops, the poster has %d", len(got), len(rows))
	}
	for i, s := range got {
		printed, _ := s.Printed.In(measure.Tablespoon)
		exactly, _ := s.Exact.In(measure.Tablespoon)
		if row := rows[i]; num(row[0]).String() != exact.Int(int64(s.Number)).String() || s.Printed.Text() != row[1] || printed.String() != row[2] || exactly.String() != row[3] {
			t.Errorf("no. %d: printed %s, %s Tbsp, exactly %s; want %v", s.Number, s.Printed, printed, exactly, row)
		}
		if !s.Source.Documented() {
			t.Errorf("no. %d has no source", s.Number)
		}
	}
	for _, l := range kitchen.Ladles() {
		if oz, _ := l.Holds.In(measure.FluidOunce); !oz.Equal(exact.Int(int64(l.FluidOunces))) {
			t.Errorf("the %d fl oz ladle holds %s", l.FluidOunces, l.Holds)
		}
	}
	if _, ok := kitchen.ScoopByNumber(9); ok {
		t.Error("there is no scoop no. 9")
	}
}

// What was read of pans and cans holds together: nothing carries more than it
// holds, and the largest comes first.
func TestPansAndCans(t *testing.T) {
	for _, p := range kitchen.Pans() {
		if !p.Usable.Amount().Less(p.Brim.Amount()) || p.Source.Citation() == "" || p.Source.Documented() {
			t.Errorf("%s carries %s of %s", p.Name, p.Usable, p.Brim)
		}
	}
	cans := kitchen.Cans()
	for i := 1; i < len(cans); i++ {
		if !cans[i].Capacity.Amount().Less(cans[i-1].Capacity.Amount()) || cans[i].Source.Documented() {
			t.Errorf("%s holds %s, %s %s", cans[i].Name, cans[i].Capacity, cans[i-1].Name, cans[i-1].Capacity)
		}
	}
}

func TestCutPan(t *testing.T) {
	c, err := kitchen.CutPan(exact.Int(20), exact.Int(12), 8, 4)
	if err != nil || c.Pieces != 32 || c.Share.String() != "1/32" || c.Length.String() != "2 1/2" || c.Width.String() != "3" {
		t.Errorf("%+v, %v", c, err)
	}
	c, err = kitchen.CutPan(exact.Int(0), exact.Int(-1), 0, 101)
	refused(t, c == kitchen.Cut{}, err, []string{"OUT_OF_RANGE length", "OUT_OF_RANGE width", "OUT_OF_RANGE rows", "OUT_OF_RANGE columns"})
}

func TestPortionWeight(t *testing.T) {
	// 10 lb less a tenth is 9 lb; less 4 oz 140 oz, in 50 portions.
	q, err := kitchen.WeightOfPortion(quantity(t, "10 lb"), exact.Frac(1, 10), quantity(t, "4 oz"), 50)
	if err != nil || q.Amount().String() != "2 4/5" || q.Unit() != measure.Ounce {
		t.Errorf("%s, %v", q, err)
	}
	// A no. 16 scoop of 2 oz batter that loses a tenth weighs 51.03 g: below the
	// 55 g of a full ounce equivalent of group D.
	q, err = kitchen.WeightOfPortion(quantity(t, "2 oz"), exact.Frac(1, 10), measure.Quantity{}, 1)
	g, _ := q.In(measure.Gram)
	if err != nil || g.DecimalText(2) != "51.02" {
		t.Errorf("%s g, %v", g.DecimalText(4), err)
	}
	q, err = kitchen.WeightOfPortion(quantity(t, "2 qt"), exact.Int(1), quantity(t, "1 cup"), 0)
	refused(t, q.IsZero(), err, []string{"UNIT_DOES_NOT_FIT batterWeight", "UNIT_DOES_NOT_FIT panLoss", "OUT_OF_RANGE bakeLoss", "OUT_OF_RANGE servings"})
	q, err = kitchen.WeightOfPortion(quantity(t, "2 lb"), exact.Frac(1, 2), quantity(t, "16 oz"), 4)
	refused(t, q.IsZero(), err, []string{"OUT_OF_RANGE panLoss"})
	q, err = kitchen.WeightOfPortion(measure.Quantity{}, exact.Int(0), measure.Quantity{}, 4)
	refused(t, q.IsZero(), err, []string{"MISSING batterWeight"})
}

func TestMayFallShort(t *testing.T) {
	b := newBench(t)
	// 20 g of whole wheat flour a portion credit 1 1/4 exactly: nothing to spare.
	at := func(flour string, portions ...recipe.Portion) credit.Request {
		return lunch(&recipe.Recipe{Name: "Roll", Servings: 100, ExhibitAGroup: "B", Portions: portions, Ingredients: []recipe.Ingredient{line(t, "whole-wheat-flour", flour)}})
	}
	s, err := b.MayFallShort(at("2 kg", recipe.Portion{Weight: quantity(t, "30 g")}))
	if err != nil || !s.Share.IsZero() || s.Decides.Component != food.Grains || !s.Weight.IsZero() {
		t.Errorf("%+v, %v", s, err)
	}
	// 25 g credit 1 1/2 and need 24: a 25th may be missing, of 4 oz and of a scoop.
	s, err = b.MayFallShort(at("2500 g", recipe.Portion{Weight: quantity(t, "4 oz"), Scoop: 8}))
	if err != nil || s.Share.String() != "1/25" || s.Weight.Amount().String() != "4/25" || s.Scoop.String() != "1/25" || s.Measure.Amount().String() != "1/50" {
		t.Errorf("%+v, %v", s, err)
	}
	// By the printed table 60 g of group D credit 1, and 55 g do.
	byWeight := lunch(&recipe.Recipe{Name: "Muffin", Servings: 10, ExhibitAGroup: "D", GrainsMethod: recipe.ExhibitA, Portions: []recipe.Portion{{Weight: quantity(t, "60 g")}}, Ingredients: []recipe.Ingredient{line(t, "whole-wheat-flour", "1 kg")}})
	s, err = b.MayFallShort(byWeight)
	if err != nil || s.Share.String() != "1/12" || s.Weight.Amount().String() != "5" {
		t.Errorf("%+v, %v", s, err)
	}
	// Nothing credits, so nothing decides.
	s, err = b.MayFallShort(lunch(&recipe.Recipe{Name: "Brine", Servings: 10, Ingredients: []recipe.Ingredient{line(t, "salt", "1 cup")}}))
	if err != nil || !s.Share.IsZero() || s.Decides.Component != food.NoComponent {
		t.Errorf("%+v, %v", s, err)
	}
	s, err = b.MayFallShort(credit.Request{})
	refused(t, s == nil, err, []string{"MISSING recipe"})
}

// What may be missing may be missing, and a millionth of a portion more may not.
func TestMayFallShortIsTheEdge(t *testing.T) {
	b := newBench(t)
	decided := 0
	for i := range recipesToTry(t, 600) {
		req := b.draw(rand.New(rand.NewPCG(20261202, uint64(i))))
		s, err := b.MayFallShort(req)
		if err != nil {
			t.Fatal(err)
		}
		if s.Decides.Component == food.NoComponent {
			continue
		}
		decided++
		rec, err := b.engine.Credit(req)
		if err != nil {
			t.Fatal(err)
		}
		if s.Share.Sign() < 0 || !s.Share.Less(exact.Int(1)) {
			t.Fatalf("%s of a portion may be missing\n%s", s.Share, show(&req))
		}
		keep := exact.Int(1).Sub(s.Share)
		if b.dropsAt(t, req, rec, keep) {
			t.Fatalf("without %s of a portion a credit drops\n%s", s.Share, show(&req))
		}
		if !b.dropsAt(t, req, rec, keep.Sub(exact.Frac(1, 1_000_000))) {
			t.Fatalf("more than %s of a portion may be missing\n%s", s.Share, show(&req))
		}
	}
	if decided < 300 {
		t.Errorf("only %d recipes credited anything", decided)
	}
}

// dropsAt credits the dish with less of everything in a portion, and reports
// whether a credit is lower.
func (b *bench) dropsAt(t *testing.T, req credit.Request, rec *credit.Record, of exact.Number) bool {
	t.Helper()
	if of.Sign() <= 0 {
		return true
	}
	r := *req.Recipe
	r.Portions = append([]recipe.Portion(nil), r.Portions...)
	for i := range r.Portions {
		if !r.Portions[i].Weight.IsZero() {
			r.Portions[i].Weight = r.Portions[i].Weight.Times(of)
		}
	}
	r.Ingredients = append([]recipe.Ingredient(nil), r.Ingredients...)
	for i := range r.Ingredients {
		r.Ingredients[i].Quantity = r.Ingredients[i].Quantity.Times(of)
	}
	req.Recipe = &r
	now, err := b.engine.Credit(req)
	if err != nil {
		return true // a state that makes a difference only now
	}
	for _, c := range rec.Credits {
		if n, _ := now.SubgroupCredit(c.Component, c.Subgroup); n.Credited.Less(c.Credited) {
			return true
		}
	}
	return false
}
