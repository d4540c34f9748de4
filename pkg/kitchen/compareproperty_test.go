package kitchen_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// whole is a request's own bytes, to see that nothing was changed in it.
func whole(req *credit.Request) string {
	b := req.Recipe.AppendCanonical(nil)
	for i := range req.SubRecipes {
		b = req.SubRecipes[i].AppendCanonical(b)
	}
	return string(b)
}

// drawSwaps makes one to three swaps of different lines.
func (b *bench) drawSwaps(rnd *rand.Rand, req *credit.Request) []kitchen.Swap {
	var paths []string
	for i := range req.Recipe.Ingredients {
		paths = append(paths, fmt.Sprintf("recipe.ingredients[%d]", i))
	}
	for k := range req.SubRecipes {
		for i := range req.SubRecipes[k].Ingredients {
			paths = append(paths, fmt.Sprintf("subRecipes[%d].ingredients[%d]", k, i))
		}
	}
	rnd.Shuffle(len(paths), func(i, j int) { paths[i], paths[j] = paths[j], paths[i] })
	var swaps []kitchen.Swap
	for _, p := range paths[:min(len(paths), pick(rnd, 1, 1, 2, 3))] {
		keep := kitchen.Keep(rnd.IntN(8))
		if keep > kitchen.SameCredit {
			keep = kitchen.SameCredit
		}
		in := b.line(rnd)
		// Most foods credit otherwise: a credit is kept by one of the same component.
		for range 12 {
			if keep != kitchen.SameCredit || b.alike(in.Food, at(req.Recipe, req.SubRecipes, p).Food) {
				break
			}
			in = b.line(rnd)
		}
		s := kitchen.Swap{Path: p, Food: in.Food, State: in.State, Keep: keep}
		if s.Keep == 0 {
			s.Amount = in.Quantity
		}
		swaps = append(swaps, s)
	}
	return swaps
}

// alike reports whether a food can credit as another does.
func (b *bench) alike(food, other string) bool {
	f, ok := b.engine.Catalog().Food(food)
	g, also := b.engine.Catalog().Food(other)
	return ok && also && len(g.Components) > 0 && f.CanCredit(g.Components[0])
}

// at returns the line of a path.
func at(r *recipe.Recipe, subs []recipe.Recipe, path string) *recipe.Ingredient {
	for i := range r.Ingredients {
		if path == fmt.Sprintf("recipe.ingredients[%d]", i) {
			return &r.Ingredients[i]
		}
	}
	for k := range subs {
		for i := range subs[k].Ingredients {
			if path == fmt.Sprintf("subRecipes[%d].ingredients[%d]", k, i) {
				return &subs[k].Ingredients[i]
			}
		}
	}
	return nil
}

func creditsText(credits []credit.Credit) string {
	var s strings.Builder
	for _, c := range credits {
		fmt.Fprintf(&s, "%s/%s %s %s %s %s; ", c.Component, c.Subgroup, c.Exact.Fraction(), c.Credited, c.Claimable, c.Status)
	}
	return s.String()
}

// TestCompareKeepsItsPromises swaps foods at random.
func TestCompareKeepsItsPromises(t *testing.T) {
	b := newBench(t)
	rnd := rand.New(rand.NewPCG(6, 1))
	kept, lowered := map[string]int{}, 0
	for done, most := 0, recipesToTry(t, 1200); done < most; { // those that are not refused
		req := kitchen.CompareRequest{Request: b.draw(rnd)}
		req.Swaps = b.drawSwaps(rnd, &req.Request)
		was := whole(&req.Request)
		say := func() string {
			s := show(&req.Request)
			for _, w := range req.Swaps {
				s += fmt.Sprintf("\n  swap %s %s %s %s %s", w.Path, w.Food, w.State, w.Keep, w.Amount)
			}
			return s
		}
		out, err := b.Compare(req)
		if whole(&req.Request) != was {
			t.Fatalf("the request was changed\n%s", say())
		}
		if err != nil {
			var l *fault.List
			if !errors.As(err, &l) || len(l.Faults) == 0 {
				t.Fatalf("%v\n%s", err, say())
			}
			for _, f := range l.Faults {
				if f.Path == "" || f.Want == "" {
					t.Fatalf("%v\n%s", f, say())
				}
				kept["refused "+string(f.Reason)]++
			}
			continue
		}
		done++
		for _, x := range []*kitchen.Swapped{&out.Exact, &out.After} {
			again := req.Request
			again.Recipe, again.SubRecipes = &x.Recipe, x.SubRecipes
			rec, err := b.engine.Credit(again)
			if err != nil || !reflect.DeepEqual(rec.Credits, x.Record.Credits) || rec.IDs != x.Record.IDs {
				t.Fatalf("credits otherwise than shown: %v\n%s", err, say())
			}
		}
		b.checkSwapLines(t, &req, out, say)
		shown := creditsText(out.After.Record.Credits)
		for _, c := range out.Credits {
			for _, y := range []struct {
				rec *credit.Record
				c   credit.Credit
			}{{out.Before, c.Before}, {out.Exact.Record, c.Exact}, {out.After.Record, c.After}} {
				real, _ := y.rec.SubgroupCredit(c.Component, c.Subgroup)
				if !real.Credited.Equal(y.c.Credited) || !real.Exact.Equal(y.c.Exact) || real.Status != y.c.Status {
					t.Fatalf("%s/%s is shown as %s: %s\n%s", c.Component, c.Subgroup, y.c.Credited, shown, say())
				}
			}
			if c.After.Credited.Less(c.Before.Credited) {
				lowered++
				if !slices.ContainsFunc(out.Findings, func(f kitchen.SwapFinding) bool { return f.Reason == kitchen.CreditLost }) {
					t.Fatalf("a lower credit is not said\n%s", say())
				}
			}
		}
		if len(out.Credits) < len(out.Before.Credits) || len(out.Credits) < len(out.After.Record.Credits) {
			t.Fatalf("credits are missing\n%s", say())
		}
		for _, s := range out.Swaps {
			name := s.Keep.String()
			if s.Keep == kitchen.SameCredit && len(out.Swaps) == 1 {
				name += b.checkKept(t, &req, out, say)
			}
			kept[name]++
		}
	}
	t.Log(kept, "lowered", lowered)
	for _, k := range []string{"", "weight", "volume", "purchase-unit", "credit", "credit exactly"} {
		if kept[k] == 0 {
			t.Errorf("no swap kept %q", k)
		}
	}
}

// checkSwapLines holds the recipes to what was asked: the swapped lines have the
// food and the amount, all others are as they were.
func (b *bench) checkSwapLines(t *testing.T, req *kitchen.CompareRequest, out *kitchen.Comparison, say func() string) {
	t.Helper()
	asWas := func(x *kitchen.Swapped) {
		r, subs := x.Recipe, slices.Clone(x.SubRecipes)
		r.Ingredients = slices.Clone(r.Ingredients)
		for i := range subs {
			subs[i].Ingredients = slices.Clone(subs[i].Ingredients)
		}
		for _, s := range req.Swaps {
			*at(&r, subs, s.Path) = *at(req.Request.Recipe, req.Request.SubRecipes, s.Path)
		}
		back := req.Request
		back.Recipe, back.SubRecipes = &r, subs
		if whole(&back) != whole(&req.Request) {
			t.Fatalf("more than the swapped lines changed\n%s", say())
		}
	}
	asWas(&out.Exact)
	asWas(&out.After)
	for i, s := range req.Swaps {
		d := &out.Swaps[i]
		before := at(req.Request.Recipe, req.Request.SubRecipes, s.Path)
		exactly, cooked := at(&out.Exact.Recipe, out.Exact.SubRecipes, s.Path), at(&out.After.Recipe, out.After.SubRecipes, s.Path)
		if exactly.Food != s.Food || cooked.Food != s.Food || exactly.State != s.State && !(s.State == "" && s.Food == before.Food) || !exactly.Quantity.Amount().Equal(d.Exact.Amount()) || cooked.Quantity != d.Kitchen || d.Before != *before || d.After != *cooked {
			t.Fatalf("swap %d is %+v and %+v\n%s", i, exactly, cooked, say())
		}
		if cooked.NotCrediting != before.NotCrediting || !cooked.Share.Equal(before.Share) {
			t.Fatalf("swap %d counts otherwise\n%s", i, say())
		}
		d1, d2 := before.Quantity.Dimension(), exactly.Quantity.Dimension()
		switch {
		case s.Keep == 0 && cooked.Quantity != s.Amount,
			s.Keep == kitchen.SameWeight && d2 != measure.Mass, s.Keep == kitchen.SameVolume && d2 != measure.Volume,
			s.Keep == kitchen.SameWeight && d1 == measure.Mass && cooked.Quantity != before.Quantity,
			s.Keep == kitchen.SameVolume && d1 == measure.Volume && cooked.Quantity != before.Quantity,
			s.Keep == kitchen.SamePurchase && d1 != d2,
			s.Keep != 0 && d.Kitchen.Unit() == d.Exact.Unit() && d.Kitchen.Amount().Less(d.Exact.Amount()):
			t.Fatalf("swap %d keeps %s: %s, exactly %s, was %s\n%s", i, s.Keep, cooked.Quantity, exactly.Quantity, before.Quantity, say())
		}
		if again, err := measure.Parse(d.Kitchen.Text()); s.Keep == kitchen.SameCredit && (err != nil || !again.Amount().Equal(d.Kitchen.Amount())) {
			t.Fatalf("%s reads back as %s, %v\n%s", d.Kitchen.Text(), again, err, say())
		}
	}
}

// checkKept holds a single swap to its kept credit, and to the least amount that
// keeps it. It says whether the exact credit is just what it was.
func (b *bench) checkKept(t *testing.T, req *kitchen.CompareRequest, out *kitchen.Comparison, say func() string) string {
	t.Helper()
	d := &out.Swaps[0]
	was, _ := out.Before.Credit(d.Component)
	exactly, _ := out.Exact.Record.Credit(d.Component)
	cooked, _ := out.After.Record.Credit(d.Component)
	below := func(a, b credit.Credit) bool { return a.Exact.Less(b.Exact) || a.Credited.Less(b.Credited) }
	lost := slices.ContainsFunc(out.Findings, func(f kitchen.SwapFinding) bool { return f.Reason == kitchen.CreditNotKept })
	if below(exactly, was) || below(cooked, was) != lost {
		t.Fatalf("%s was %s, is %s and in measures %s; said %v\n%s", d.Component, was.Exact.Fraction(), exactly.Exact.Fraction(), cooked.Exact.Fraction(), lost, say())
	}
	if lost {
		return " not kept"
	}
	// A thousandth less does not keep it, or the next measure below.
	less := d.Exact.Times(exact.Frac(999, 1000))
	word := " exactly"
	if !exactly.Exact.Equal(was.Exact) {
		word = " by measures"
		m, err := kitchen.InMeasures(less, kitchen.Down)
		if err != nil || m.BelowLeast || !m.Kitchen.Amount().Less(d.Exact.Amount()) {
			return word
		}
		less = m.Kitchen
	}
	again := req.Request
	r, subs := out.Exact.Recipe, slices.Clone(out.Exact.SubRecipes)
	r.Ingredients = slices.Clone(r.Ingredients)
	for i := range subs {
		subs[i].Ingredients = slices.Clone(subs[i].Ingredients)
	}
	at(&r, subs, d.Path).Quantity = less
	again.Recipe, again.SubRecipes = &r, subs
	credits, err := b.engine.Credits(again)
	if err != nil {
		return word
	}
	for _, c := range credits {
		if c.Component == d.Component && c.Subgroup == food.NoSubgroup && !below(c, was) {
			t.Fatalf("%s of it keep %s too, %s are taken\n%s", less, d.Component, d.Exact, say())
		}
	}
	return word
}
