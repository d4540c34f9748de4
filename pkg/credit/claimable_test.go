package credit_test

import (
	"bytes"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/report"
)

// What is claimable of a dish with estimates is no more than the dish credits
// without the foods that make them.
func TestClaimableStandsWithoutTheEstimates(t *testing.T) {
	k := newKitchen(t)
	tried := 0
	rapid.Check(t, func(t *rapid.T) {
		req, _ := k.draw(drawn{t}, rapid.Bool().Draw(t, "at an edge"))
		if req.Recipe == nil {
			return
		}
		rec := k.must(t, req)
		estimated := map[int]bool{}
		for _, s := range rec.Steps {
			for _, m := range s.Terms {
				if s.Operation == credit.Amount && s.Ingredient >= 0 && m.Figure >= 0 && !rec.Figures[m.Figure].Source.Documented() {
					estimated[s.Ingredient] = true
				}
			}
		}
		bare := req
		r := *req.Recipe
		bare.Recipe, r.Ingredients = &r, nil
		for i := range req.Recipe.Ingredients {
			if !estimated[i] {
				r.Ingredients = append(r.Ingredients, req.Recipe.Ingredients[i])
			}
		}
		if len(estimated) == 0 || len(r.Ingredients) == 0 || len(rec.Ingredients) != len(req.Recipe.Ingredients) {
			return
		}
		documented, err := k.engine.Credit(bare)
		if err != nil {
			return // a state that matters only there
		}
		tried++
		for _, c := range rec.Credits {
			alone, _ := documented.SubgroupCredit(c.Component, c.Subgroup)
			if c.Subgroup != food.Additional && alone.Credited.Less(c.Claimable) {
				t.Fatalf("%s %s: claimable %s, and without the estimates it credits %s\n%s", c.Component, c.Subgroup, c.Claimable, alone.Credited, show(&req))
			}
		}
	})
	if tried < 100 {
		t.Errorf("%d dishes with estimates", tried)
	}
}

// Dried apples of 1/16 cup credit only with enough apricots beside them, and how
// many cups those are was never read: nothing is claimable. A hidden puree counts
// with carrots shown beside it, whose figure was never read.
func TestWhatCountsOnlyWithAnEstimateIsNotClaimable(t *testing.T) {
	k := newKitchen(t)
	puree := batch(t, 1, line{amount: "1/2 cup", food: "pumpkin-canned"}, line{amount: "1/4 lb", food: "carrots-fresh", state: "raw-shredded"})
	puree.Ingredients[0].Hidden = true
	for _, x := range []struct {
		req       credit.Request
		component food.Component
	}{
		{lunch(t, batch(t, 1, line{amount: "1 Tbsp", food: "apples-dried"}, line{amount: "0.3 oz", food: "apricots-dried"})), food.Fruits},
		{lunch(t, puree), food.Vegetables},
	} {
		rec := k.must(t, x.req)
		c, _ := rec.Credit(x.component)
		if c.Credited.IsZero() || !c.Claimable.IsZero() || c.Status != credit.Estimate {
			t.Errorf("credits %s, claimable %s, %s\n%s", c.Credited, c.Claimable, c.Status, show(&x.req))
		}
		for _, f := range rec.Findings {
			if f.Reason == credit.EstimatedFigure && len(f.Figures) == 0 {
				t.Error("no figure is named to check")
			}
		}
	}
}

// Every option there is goes on paper.
func TestOptionsStayOnPaper(t *testing.T) {
	k := newKitchen(t)
	r := batch(t, 1, line{amount: "1 lb", food: "pantry-by-pound-other", state: "cooked"})
	for _, p := range k.rules.Programs() {
		req := credit.Request{Recipe: r, On: day(t, aDay), Program: p.ID, Options: map[string]string{}}
		rs, err := k.rules.Resolve(req.On, p.ID, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range k.rules.Options() {
			if rs.Options[o.ID] != "" {
				req.Options[o.ID] = o.Choices[len(o.Choices)-1].ID
			}
		}
		var b bytes.Buffer
		report.Text(&b, k.must(t, req))
		for _, l := range bytes.Split(b.Bytes(), []byte("\n")) {
			if utf8.RuneCount(l) > report.Width {
				t.Errorf("%s: %s", p.ID, l)
			}
		}
	}
}
