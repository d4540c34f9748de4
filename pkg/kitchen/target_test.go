package kitchen_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen"
)

// onEach draws requests until n have been tried, on both cores, the same for each
// run. What fails names its seed.
func onEach(t *testing.T, n int, salt uint64, try func(r *rand.Rand) (bool, string)) {
	var wg sync.WaitGroup
	var tried atomic.Int64
	var bad atomic.Int64
	next := make(chan uint64)
	for range 2 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for seed := range next {
				ok, wrong := try(rand.New(rand.NewPCG(seed, salt)))
				if ok {
					tried.Add(1)
				}
				if wrong != "" && bad.Add(1) < 10 {
					t.Errorf("seed %d: %s", seed, wrong)
				}
			}
		}()
	}
	for seed := uint64(0); tried.Load() < int64(n) && seed < uint64(20*n); seed++ {
		next <- seed
	}
	close(next)
	wg.Wait()
	if int(tried.Load()) < n {
		t.Errorf("%d recipes tried of %d", tried.Load(), n)
	}
}

func describe(req *kitchen.TargetRequest) string {
	var b strings.Builder
	r := req.Credit.Recipe
	fmt.Fprintf(&b, "%s, %d servings, group %q, %s smoothie %v, portion %d of %d", req.Credit.Program, r.Servings, r.ExhibitAGroup, r.GrainsMethod, r.Smoothie, req.Portion, len(r.Portions))
	for i, in := range r.Ingredients {
		fmt.Fprintf(&b, "\n  %d %s%s %s %s hidden %v", i, in.Food, in.Product, in.Quantity, in.State, in.Hidden)
	}
	for _, a := range req.Aims {
		fmt.Fprintf(&b, "\n  aim %s %s to %s", a.Of, a.Least, a.Most)
	}
	fmt.Fprintf(&b, "\n  whole %s claimable %v may drop %v lines %v options %v\n", req.WholeGrain, req.Claimable, req.MayDrop, req.Lines, req.Credit.Options)
	return b.String()
}

// TestTargetHolds: whatever a target promises is what the engine credits for the
// recipe it hands out, in kitchen measures, with nothing else changed.
func TestTargetHolds(t *testing.T) {
	l := stockedLarder(t)
	var reached, met, claims [5]atomic.Int64
	onEach(t, recipesToTry(t, 500), 1, func(r *rand.Rand) (bool, string) {
		req, ok := l.draw(r, 1+r.IntN(6), false)
		if !ok {
			return false, ""
		}
		got, err := l.kitchen.Target(req)
		if err != nil {
			var faults *fault.List
			if errors.As(err, &faults) && !slices.ContainsFunc(faults.Faults, func(f fault.Fault) bool { return f.Reason != fault.Conflicting }) {
				return false, "" // a bound that leaves no step
			}
			return true, describe(&req) + err.Error()
		}
		before, _ := l.engine.Credit(req.Credit)
		w := wanted(&req, portionOf(before, req.Credit.Recipe, req.Portion))
		if got.Met != l.met(&req, req.Credit.Recipe, &w) || got.Met && len(got.Tries) > 0 {
			return true, describe(&req) + fmt.Sprintf("is met: %v", got.Met)
		}
		if got.Met {
			met[0].Add(1)
		}
		last, gone := exact.Number{}, false
		for i := range got.Tries {
			x := &got.Tries[i]
			if !x.Reached {
				if gone = true; x.Because == "" {
					return true, describe(&req) + string(x.Way) + " is not reached without a reason"
				}
				continue
			}
			reached[slices.Index(kitchen.Ways(), x.Way)].Add(1)
			if wrong := l.holds(&req, x, &w); wrong != "" {
				return true, describe(&req) + string(x.Way) + ": " + wrong
			}
			if gone || x.Change.Less(last) || x.Change.Less(x.Exact) {
				return true, describe(&req) + fmt.Sprintf("%s: %s after %s, exactly %s", x.Way, x.Change, last, x.Exact)
			}
			if last = x.Change; len(x.NotClaimable) > 0 {
				claims[0].Add(1)
			}
		}
		return true, ""
	})
	t.Logf("met already %d; reached by servings %d, weight %d, one ingredient %d, several %d; %d of these not claimable", met[0].Load(), reached[0].Load(), reached[1].Load(), reached[2].Load(), reached[3].Load(), claims[0].Load())
}

// holds checks what a try hands out against the engine and the recipe it began with.
func (l *larder) holds(req *kitchen.TargetRequest, x *kitchen.Try, w *wants) string {
	was, now := req.Credit.Recipe, x.Request.Recipe
	if !l.met(req, now, w) {
		return "the engine does not credit that"
	}
	rec, err := l.engine.Credit(x.Request)
	if err != nil {
		return err.Error()
	}
	if rec.IDs != x.After.IDs || len(rec.Credits) != len(x.After.Credits) {
		return "the record after is of something else"
	}
	rec = portionOf(rec, now, req.Portion)
	for _, a := range req.Aims {
		// An estimate is named.
		c, ok := rec.Credit(component(a.Of))
		if ok && a.Least.Sign() > 0 && c.Claimable.Less(a.Least) && len(x.NotClaimable) == 0 {
			return a.Of + " rests on an estimate and is not said to"
		}
	}
	change := exact.Number{}
	for i := range was.Ingredients {
		a, b := was.Ingredients[i], now.Ingredients[i]
		k := slices.IndexFunc(x.Lines, func(c kitchen.LineChange) bool { return c.Line == i })
		if a.Quantity.Amount().Equal(b.Quantity.Amount()) {
			if k >= 0 && !x.Lines[k].Relative.IsZero() {
				return "a change is told of " + a.Food + " that is none"
			}
			continue
		}
		if k < 0 || x.Lines[k].After.Text() != b.Quantity.Text() || len(req.Lines) > 0 && !slices.Contains(req.Lines, i) {
			return "a change of " + a.Food + " is not told, or not allowed"
		}
		m, err := kitchen.InMeasures(b.Quantity, kitchen.Up)
		if err != nil || m.Kitchen.Text() != b.Quantity.Text() {
			return b.Quantity.Text() + " is no kitchen measure"
		}
		rel := b.Quantity.Amount().Quo(a.Quantity.Amount()).Sub(exact.Int(1))
		if !rel.Equal(x.Lines[k].Relative) {
			return "the relative change is " + rel.String()
		}
		change = change.Add(exact.Max(rel, rel.Neg()))
	}
	if (x.Way == kitchen.OneIngredient || x.Way == kitchen.Ingredients) != change.Equal(x.Change) {
		return "the change is " + change.String() + ", not " + x.Change.String()
	}
	return ""
}
