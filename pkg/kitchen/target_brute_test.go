package kitchen_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"sort"
	"strings"
	"sync/atomic"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// measuresWithin lists the kitchen measures of a line whose change is below a bound,
// nearest first: every multiple of the finest measure is tried.
func measuresWithin(q measure.Quantity, bound exact.Number) []measure.Quantity {
	fine := map[*measure.Unit]exact.Number{measure.Ounce: exact.Frac(1, 8), measure.Cup: exact.Frac(1, 384)}[q.Unit()]
	if fine.IsZero() {
		fine = exact.Int(1)
	}
	one := exact.Int(1)
	least := exact.Max(exact.Number{}, q.Amount().Mul(one.Sub(bound)))
	most := q.Amount().Mul(one.Add(bound))
	var list []measure.Quantity
	for x := exact.Max(least.RoundUp(fine), fine); !most.Less(x); x = x.Add(fine) {
		m, err := kitchen.InMeasures(measure.New(x, q.Unit()), kitchen.Down)
		if err == nil && m.Change.IsZero() {
			list = append(list, m.Kitchen)
		}
	}
	sort.Slice(list, func(i, j int) bool { return relative(q, list[i]).Less(relative(q, list[j])) })
	return list
}

// relative is how far an amount is from what it was, as a share of that.
func relative(was, now measure.Quantity) exact.Number {
	d := now.Amount().Quo(was.Amount()).Sub(exact.Int(1))
	return exact.Max(d, d.Neg())
}

// cheaper looks for amounts in kitchen measures that meet a target for less than a
// change, by trying them all. It gives up after too many.
func (l *larder) cheaper(req *kitchen.TargetRequest, w *wants, lines []int, bound exact.Number, most int) (string, bool) {
	r := *req.Credit.Recipe
	r.Ingredients = slices.Clone(r.Ingredients)
	tried := 0
	var found string
	var walk func(k int, spent exact.Number) bool
	walk = func(k int, spent exact.Number) bool {
		if k == len(lines) {
			if tried++; tried > most {
				return false
			}
			if !spent.IsZero() && l.met(req, &r, w) {
				found = fmt.Sprintf("for %s:", spent)
				for _, i := range lines {
					found += " " + r.Ingredients[i].Quantity.Text()
				}
				return false
			}
			return true
		}
		i := lines[k]
		was := req.Credit.Recipe.Ingredients[i].Quantity
		defer func() { r.Ingredients[i].Quantity = was }()
		if !walk(k+1, spent) {
			return false
		}
		for _, q := range measuresWithin(was, bound.Sub(spent)) {
			c := relative(was, q)
			if c.IsZero() || !spent.Add(c).Less(bound) {
				continue
			}
			r.Ingredients[i].Quantity = q
			if !walk(k+1, spent.Add(c)) {
				return false
			}
		}
		return true
	}
	done := walk(0, exact.Number{})
	return found, done || found != ""
}

// portioned is a batch made into portions of a weight, when it has one.
func portioned(was *recipe.Recipe, servings int, weight measure.Quantity) *recipe.Recipe {
	r := *was
	r.Servings = servings
	if len(was.Portions) > 0 {
		r.Portions = []recipe.Portion{{Weight: weight}}
	}
	return &r
}

// TestTargetIsNeverBeaten: on small recipes no kitchen measures of one line or of
// all, no number of servings and no weight of a portion meet the target with less
// change than the one told, and none at all where it is told that none do. The
// measures are all tried, by code that knows nothing of how they were found.
func TestTargetIsNeverBeaten(t *testing.T) {
	l := stockedLarder(t)
	var ones, mixes, servings, weights, nones, open atomic.Int64
	onEach(t, recipesToTry(t, 25), 2, func(r *rand.Rand) (bool, string) {
		req, ok := l.draw(r, 1+r.IntN(3), true)
		if !ok {
			return false, ""
		}
		got, err := l.kitchen.Target(req)
		if err != nil || got.Met {
			return false, ""
		}
		before, _ := l.engine.Credit(req.Credit)
		before = portionOf(before, req.Credit.Recipe, req.Portion)
		w := wanted(&req, before)
		free := req.Lines
		if len(free) == 0 {
			for i := range req.Credit.Recipe.Ingredients {
				free = append(free, i)
			}
		}
		far := exact.Int(3) // how far to look where nothing is said to reach it
		for _, way := range kitchen.Ways() {
			bound, least, reached := far, true, false
			for i := range got.Tries {
				if x := &got.Tries[i]; x.Way == way && x.Reached {
					bound, least, reached = x.Change, x.Least, true
					break
				}
			}
			if !least {
				open.Add(1)
			}
			var better string
			switch way {
			case kitchen.OneIngredient:
				for _, i := range free {
					s, done := l.cheaper(&req, &w, []int{i}, bound, 3000)
					if s != "" {
						better = fmt.Sprint("line ", i, " ", s)
					}
					if done {
						ones.Add(1)
					}
				}
			case kitchen.Ingredients:
				s, done := l.cheaper(&req, &w, free, bound, 6000)
				if better = s; done {
					mixes.Add(1)
				}
				if s != "" && !least {
					better = "" // it does not say that it is the least
				}
			case kitchen.Servings, kitchen.PortionWeight:
				was := req.Credit.Recipe
				if len(was.Portions) > 1 || was.YieldTest != nil {
					continue
				}
				if way == kitchen.PortionWeight {
					if len(was.Portions) == 0 {
						continue
					}
					w0 := was.Portions[0].Weight
					for _, q := range measuresWithin(w0, exact.Min(bound, far)) {
						n, _ := exact.Int(int64(was.Servings)).Mul(w0.Amount()).Quo(q.Amount()).DownTo(exact.Int(1)).Whole()
						if n > 0 && relative(w0, q).Less(bound) && l.met(&req, portioned(was, int(n), q), &w) {
							better = q.Text()
							break
						}
					}
					weights.Add(1)
					break
				}
				for n := 1; n < 4*was.Servings+8; n++ {
					d := exact.Frac(int64(n), int64(was.Servings)).Sub(exact.Int(1))
					q := measure.Quantity{}
					if len(was.Portions) > 0 {
						q = was.Portions[0].Weight.Times(exact.Frac(int64(was.Servings), int64(n)))
					}
					if d = exact.Max(d, d.Neg()); (d.Less(bound) || !reached) && l.met(&req, portioned(was, n, q), &w) {
						better = fmt.Sprint(n, " servings")
						break
					}
				}
				servings.Add(1)
			}
			if better != "" {
				return true, describe(&req) + fmt.Sprintf("%s (reached %v for %s) is beaten by %s", way, reached, bound, better)
			}
			if !reached {
				nones.Add(1)
			}
		}
		return true, ""
	})
	t.Logf("all measures tried of one line %d times, of all lines %d times, servings %d times, weights %d times; %d of these where none is told; %d not told to be the least", ones.Load(), mixes.Load(), servings.Load(), weights.Load(), nones.Load(), open.Load())
}

// TestTargetOfOtherVegetablesIsNeverBeaten: the same where what rounding dark green
// and red/orange down leaves over may fill other vegetables, and may be used up.
func TestTargetOfOtherVegetablesIsNeverBeaten(t *testing.T) {
	l := stockedLarder(t)
	var of [3][]string
	for _, c := range l.classes {
		for i, sub := range []string{"vegetables dark-green", "vegetables red-orange", "vegetables other"} {
			if strings.HasPrefix(c, sub) {
				of[i] = append(of[i], c)
			}
		}
	}
	var filled, mixes atomic.Int64
	onEach(t, recipesToTry(t, 8), 4, func(r *rand.Rand) (bool, string) {
		rec := &recipe.Recipe{Name: "Copper Creek vegetables", Servings: oneOf(r, 3, 4, 6)}
		for i := range of {
			if i == 2 && r.IntN(2) == 0 {
				continue
			}
			in := oneOf(r, l.lines[oneOf(r, of[i]...)]...)
			in.Quantity = amountOf(r, in.Quantity.Unit().ID, true)
			rec.Ingredients = append(rec.Ingredients, in)
		}
		req := kitchen.TargetRequest{Credit: programs[0], Ways: []kitchen.Way{kitchen.OneIngredient, kitchen.Ingredients}}
		req.Credit.Recipe = rec
		req.Aims = []kitchen.Aim{{Of: "other", Least: exact.Frac(int64(1+r.IntN(3)), 8)}}
		if r.IntN(2) == 0 {
			req.MayDrop = []string{kitchen.Everything}
		}
		got, err := l.kitchen.Target(req)
		if err != nil || got.Met {
			return false, ""
		}
		w := wanted(&req, got.Before)
		for _, x := range got.Tries {
			if x.Way != kitchen.Ingredients {
				continue
			}
			bound := exact.Int(2)
			if x.Reached {
				bound = x.Change
				if c, ok := x.After.SubgroupCredit(food.Vegetables, food.OtherVegetables); ok && c.Basis == credit.OtherFilled {
					filled.Add(1)
				}
			}
			lines := make([]int, len(rec.Ingredients))
			for i := range lines {
				lines[i] = i
			}
			s, done := l.cheaper(&req, &w, lines, bound, 5000)
			if done {
				mixes.Add(1)
			}
			if s != "" && (x.Least || !x.Reached) {
				return true, describe(&req) + fmt.Sprintf("reached %v for %s, beaten %s", x.Reached, bound, s)
			}
		}
		return true, ""
	})
	t.Logf("all measures tried %d times; %d of the answers are filled", mixes.Load(), filled.Load())
}
