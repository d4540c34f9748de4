package kitchen_test

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
)

// usualScaled is how many random recipes an ordinary run scales; OZEQ_RECIPES
// sets another number.
const usualScaled = 3_000

// seenScaling counts what the random recipes reached: a generator that stopped
// reaching a case would pass for ever.
type seenScaling struct{ lost, mended, gained, both, subs, portions, tests int }

// TestScaleKeepsItsPromises holds random recipes to everything Scale says: the
// exact credits are those as written, the kitchen's are what the engine gives for
// the amounts as somebody types them in, there and back is the same recipe,
// rounding up takes nothing, and what is said to mend a lost step does.
func TestScaleKeepsItsPromises(t *testing.T) {
	const workers = 2
	b := newBench(t)
	n := recipesToTry(t, usualScaled)
	var total seenScaling
	var mu sync.Mutex
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			var mine seenScaling
			for i := w; i < n && !t.Failed(); i += workers {
				b.scaleCase(t, rand.New(rand.NewPCG(20261201, uint64(i))), &mine)
			}
			mu.Lock()
			defer mu.Unlock()
			total.lost, total.mended, total.gained, total.both = total.lost+mine.lost, total.mended+mine.mended, total.gained+mine.gained, total.both+mine.both
			total.subs, total.portions, total.tests = total.subs+mine.subs, total.portions+mine.portions, total.tests+mine.tests
		})
	}
	wg.Wait()
	t.Logf("%d recipes: %+v", n, total)
	if t.Failed() {
		return
	}
	for what, count := range map[string]int{"a lost step": total.lost, "a mended one": total.mended, "a gained step": total.gained, "weight and measure": total.both,
		"a sub-recipe": total.subs, "several portions": total.portions, "a yield test": total.tests} {
		if count < n/200 {
			t.Errorf("only %d of %d recipes had %s", count, n, what)
		}
	}
}

func (b *bench) scaleCase(t *testing.T, rnd *rand.Rand, seen *seenScaling) {
	req := b.draw(rnd)
	target := kitchen.ScaleTarget{Servings: 1 + rnd.IntN(pick(rnd, 20, 200, 2000))}
	if rnd.IntN(3) == 0 {
		target = kitchen.ScaleTarget{Factor: exact.Frac(int64(1+rnd.IntN(40)), pick(rnd, int64(1), 2, 3, 4, 10))}
	}
	ask := kitchen.ScaleRequest{Request: req, Target: target, Round: pick(rnd, kitchen.Up, kitchen.Down, kitchen.Nearest)}
	out, err := b.Scale(ask)
	if err != nil {
		var faults *fault.List
		if !errors.As(err, &faults) {
			t.Error(err)
			return
		}
		for _, f := range faults.Faults {
			switch {
			case f.Path == "target.factor" && f.Reason == fault.OutOfRange: // not one serving
			case f.Reason == fault.StateNeeded: // it makes a difference only as measured
			default:
				t.Errorf("%v\n%s", err, show(&req))
			}
		}
		return
	}
	fail := func(format string, args ...any) {
		t.Errorf("to %+v, %s: "+format+"\n%s", append(append([]any{target, ask.Round}, args...), show(&req))...)
	}
	countUp := slices.ContainsFunc(out.Findings, func(f kitchen.ScaleFinding) bool { return f.Reason == kitchen.PortionCountUp })
	if a, z := outcome(out.Before), outcome(out.ExactRecord); a != z && !countUp {
		fail("the exact recipe credits\n%s, as written it was\n%s", z, a)
	}
	for p, was := range out.Before.Also {
		for _, c := range out.ExactRecord.Also[p].Credits {
			if before, _ := was.SubgroupCredit(c.Component, c.Subgroup); before.Exact.Less(c.Exact) {
				fail("portion %d credits %s of %s, was %s", p+1, c.Exact, c.Component, before.Exact)
			}
		}
	}
	// What is promised is what the engine gives for the amounts read from paper.
	typed := out.Kitchen
	typed.Ingredients = slices.Clone(typed.Ingredients)
	for i := range typed.Ingredients {
		q, err := measure.Parse(out.Ingredients[i].Kitchen.Text())
		if err != nil {
			fail("%v", err)
			return
		}
		typed.Ingredients[i].Quantity = q
	}
	again := req
	again.Recipe = &typed
	rec, err := b.engine.Credit(again)
	if err != nil {
		fail("%v", err)
		return
	}
	if a, z := outcome(rec), outcome(out.Record); a != z {
		fail("typed in again it credits\n%s, promised was\n%s", a, z)
	}
	b.thereAndBack(t, &ask, out, countUp)
	if ask.Round == kitchen.Up {
		for i := range out.Lost {
			if !b.mayFall(out, &out.Lost[i]) {
				fail("rounding up lowers %+v", out.Lost[i])
			}
		}
	}
	for i := range out.Lost {
		l := &out.Lost[i]
		seen.lost++
		if len(l.Mend) == 0 {
			continue
		}
		seen.mended++
		mended := out.Kitchen
		mended.Ingredients = slices.Clone(mended.Ingredients)
		for _, m := range l.Mend {
			mended.Ingredients[m.Ingredient].Quantity = m.Kitchen
		}
		again.Recipe = &mended
		rec, err := b.engine.Credit(again)
		if err != nil {
			fail("%v", err)
			return
		}
		if l.Portion > 0 {
			rec = rec.Also[l.Portion-1]
		}
		if c, _ := rec.SubgroupCredit(l.Component, l.Subgroup); c.Credited.Less(l.Exact) {
			fail("mended %+v credits %s", l, c.Credited)
		}
	}
	for _, f := range out.Findings {
		if f.Text == "" || f.Severity == 0 {
			fail("%s says nothing", f.Reason)
		}
		if f.Reason == kitchen.StepGained {
			seen.gained++
		}
	}
	for i := range out.Ingredients {
		if out.Ingredients[i].Also != nil {
			seen.both++
		}
	}
	seen.subs += min(1, len(out.SubRecipes))
	seen.portions += min(1, len(out.Record.Also))
	if req.Recipe.YieldTest != nil {
		seen.tests++
	}
}

// thereAndBack scales the exact recipe back to what was made before.
func (b *bench) thereAndBack(t *testing.T, ask *kitchen.ScaleRequest, out *kitchen.Scaled, countUp bool) {
	was := *ask.Request.Recipe
	if was.YieldTest != nil {
		was.Servings, was.YieldTest = was.YieldTest.PortionsMade, nil
		if len(was.Portions) > 1 && was.Portions[1].Servings > 0 {
			return // its count was of the servings on the card
		}
	}
	if countUp {
		return
	}
	back := *ask
	back.Request.Recipe, back.Target = &out.Exact, kitchen.ScaleTarget{Servings: was.Servings}
	again, err := b.Scale(back)
	if err != nil && strings.Contains(err.Error(), string(fault.StateNeeded)) {
		return // as above
	}
	if err != nil {
		t.Errorf("back: %v\n%s", err, show(&ask.Request))
		return
	}
	if a, z := was.AppendCanonical(nil), again.Exact.AppendCanonical(nil); !bytes.Equal(a, z) {
		t.Errorf("there and back it is\n%s\nand was\n%s", show(&credit.Request{Recipe: &again.Exact}), show(&credit.Request{Recipe: &was}))
	}
}

// mayFall reports whether a credit may fall though every ingredient was rounded
// up: other vegetables are filled with what the rest of the subgroups leave
// over, and grain that does not credit can deny the credit of grain that does.
func (b *bench) mayFall(out *kitchen.Scaled, l *kitchen.LostStep) bool {
	if l.Subgroup == food.OtherVegetables {
		before, after := out.ExactRecord, out.Record
		if l.Portion > 0 {
			before, after = before.Also[l.Portion-1], after.Also[l.Portion-1]
		}
		for _, s := range []food.Subgroup{food.DarkGreen, food.RedOrange, food.BeansPeasLentils} {
			was, _ := before.SubgroupCredit(food.Vegetables, s)
			if now, _ := after.SubgroupCredit(food.Vegetables, s); was.Credited.Less(now.Credited) {
				return true
			}
		}
		return false
	}
	return l.Component == food.Grains && slices.ContainsFunc(out.Record.Findings, func(f credit.Finding) bool { return f.Reason == credit.NonCreditable })
}

// outcome writes the credits of every portion.
func outcome(r *credit.Record) string {
	var s strings.Builder
	for _, c := range r.Credits {
		fmt.Fprintf(&s, "%s %s %s of %s, %s; ", c.Component, c.Subgroup, c.Credited, c.Exact, c.Status)
	}
	for _, o := range r.Also {
		s.WriteString("| " + outcome(o))
	}
	return s.String()
}
