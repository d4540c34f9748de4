//go:build solver

package kitchen_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
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

// The amounts of several lines, put as a linear program to a solver that knows
// nothing of this package: glpsol of Debian's glpk-utils, which `make test-solver`
// installs. What a line brings is the engine's own exact value for it alone, one
// call for each ingredient. glpsol works in doubles: it may be off by a millionth.
const solverTolerance = 1e-6

// glpsol returns the least value of a program in CPLEX LP form, and whether there
// is any.
func glpsol(t *testing.T, text, name string) (float64, bool) {
	dir := t.TempDir()
	lp, out := filepath.Join(dir, name+".lp"), filepath.Join(dir, name+".out")
	if err := os.WriteFile(lp, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	if said, err := exec.Command("glpsol", "--lp", lp, "--write", out).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s\n%s", err, said, text)
	}
	answer, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(answer), "\n") {
		f := strings.Fields(line) // s bas ROWS COLUMNS primal dual OBJECTIVE, or s mip ROWS COLUMNS o OBJECTIVE
		switch {
		case len(f) == 7 && f[1] == "bas":
			n, err := strconv.ParseFloat(f[6], 64)
			return n, err == nil && f[4] == "f"
		case len(f) == 6 && f[1] == "mip":
			n, err := strconv.ParseFloat(f[5], 64)
			return n, err == nil && f[4] == "o"
		}
	}
	t.Fatalf("no answer: %s\n%s", answer, text)
	return 0, false
}

// decimal writes a number for a solver that takes doubles.
func decimal(n exact.Number) string {
	f, _ := n.Rat().Float64()
	return strconv.FormatFloat(f, 'g', 17, 64)
}

func bare(n exact.Number) string {
	return strings.ReplaceAll(signed(n), " ", "")
}

func signed(n exact.Number) string {
	if n.Sign() < 0 {
		return "- " + decimal(n.Neg())
	}
	return "+ " + decimal(n)
}

// plainLines are recipes whose credits are linear in their amounts: nothing but
// lines whose credit is a sum, and no other vegetables, which others may fill.
func (l *larder) plainLines(r *rand.Rand, n int, counted bool) (kitchen.TargetRequest, []map[string]exact.Number, bool) {
	req, ok := l.draw(r, 2, false)
	rec := *req.Credit.Recipe
	if !ok || rec.Smoothie || len(rec.Portions) > 0 || rec.GrainsMethod != "" {
		return req, nil, false
	}
	rec.Ingredients, rec.YieldTest, rec.Dessert = nil, nil, ""
	req.Credit.Products, req.Credit.SubRecipes, req.Lines, req.MayDrop = nil, nil, nil, []string{kitchen.Everything}
	req.Claimable, req.WholeGrain = false, exact.Number{}
	var brings []map[string]exact.Number
	class := ""
	for len(rec.Ingredients) < n {
		if class == "" || r.IntN(3) == 0 {
			if class = oneOf(r, l.classes...); strings.Contains(class, "product") || strings.Contains(class, "dried") || strings.Contains(class, "other") || strings.Contains(class, "surimi") ||
				class == "refined" || strings.Contains(class, "legume") || strings.Contains(class, "milk") || class == "nothing" {
				class = ""
				continue
			}
		}
		in := oneOf(r, l.lines[class]...)
		in.Quantity = amountOf(r, in.Quantity.Unit().ID, counted)
		if counted {
			if in.Quantity.Dimension() == measure.Mass || in.Quantity.Dimension() == measure.Volume {
				class = ""
				if r.IntN(200) == 0 {
					return req, nil, false
				}
				continue
			}
		}
		alone := req.Credit
		one := rec
		one.Servings, one.Ingredients = 1, []recipe.Ingredient{in}
		one.Ingredients[0].Quantity = in.Quantity.Times(exact.Int(1000))
		alone.Recipe = &one
		got, err := l.engine.Credits(alone)
		if err != nil {
			return req, nil, false
		}
		b := map[string]exact.Number{}
		for _, c := range got {
			if c.Basis != credit.Sum && c.Basis != credit.CreditableGrains && c.Subgroup != food.Additional {
				return req, nil, false
			}
			b[aimOf(&c)] = c.Exact.Quo(exact.Int(1000))
		}
		switch f, _ := l.engine.Catalog().Food(in.Food); f.GrainKind {
		case food.WholeGrain, food.Nixtamalized:
			b["whole"] = b["grains"]
		case food.MixedGrain:
			return req, nil, false
		}
		rec.Ingredients, brings = append(rec.Ingredients, in), append(brings, b)
	}
	req.Credit.Recipe = &rec
	now, err := l.engine.Credit(req.Credit)
	if err != nil {
		return req, nil, false
	}
	req.Aims = nil
	for i := range now.Credits {
		c := &now.Credits[i]
		if c.Subgroup == food.Additional || c.Subgroup == food.OtherVegetables || c.Step.IsZero() || r.IntN(3) == 0 && len(req.Aims) > 0 {
			continue
		}
		a := kitchen.Aim{Of: aimOf(c), Least: c.Credited.Add(c.Step.Mul(exact.Int(int64(r.IntN(6)))))}
		if a.Least.Sign() > 0 && !exact.Int(kitchen.MaxAim).Less(a.Least) {
			req.Aims = append(req.Aims, a)
		}
	}
	if c, ok := now.Credit(food.Grains); ok && c.Credited.Sign() > 0 && r.IntN(2) == 0 && slices.ContainsFunc(brings, func(b map[string]exact.Number) bool { return !b["whole"].IsZero() }) {
		req.WholeGrain = oneOf(r, exact.Frac(1, 2), exact.Frac(4, 5))
	}
	return req, brings, len(req.Aims) > 0
}

func aimOf(c *credit.Credit) string {
	if c.Subgroup != food.NoSubgroup {
		return c.Subgroup.String()
	}
	return c.Component.String()
}

// lp writes the program: the sum of what amounts go up and down, as shares of what
// they are, least.
func lp(req *kitchen.TargetRequest, brings []map[string]exact.Number, whole bool) string {
	var min, rules, bounds, general strings.Builder
	for i := range brings {
		unit := "1"
		top := fmt.Sprint(kitchen.MaxGrowth - 1)
		down := "0.999999" // no line is left out
		if whole {         // counted in pieces and cans: a step is one of them
			amount := req.Credit.Recipe.Ingredients[i].Quantity.Amount()
			unit, down = decimal(exact.Int(1).Quo(amount)), decimal(amount.Sub(exact.Int(1)))
			top = decimal(amount.Mul(exact.Int(kitchen.MaxGrowth - 1)))
			fmt.Fprintf(&general, " u%d v%d\n", i, i)
		}
		fmt.Fprintf(&min, " + %s u%d + %s v%d", unit, i, unit, i)
		fmt.Fprintf(&bounds, " 0 <= u%d <= %s\n 0 <= v%d <= %s\n", i, top, i, down)
	}
	servings := exact.Int(int64(req.Credit.Recipe.Servings))
	rule := func(k int, least exact.Number, of func(map[string]exact.Number) exact.Number) {
		fixed, any := exact.Number{}, false
		fmt.Fprintf(&rules, " r%d:", k)
		for i, b := range brings {
			n := of(b).Quo(servings)
			if n.IsZero() {
				continue
			}
			per := n
			if whole {
				per = n.Quo(req.Credit.Recipe.Ingredients[i].Quantity.Amount())
			}
			fmt.Fprintf(&rules, " %s u%d %s v%d", signed(per), i, signed(per.Neg()), i)
			fixed, any = fixed.Add(n), true
		}
		if !any {
			rules.WriteString(" 0 u0")
		}
		fmt.Fprintf(&rules, " >= %s\n", bare(least.Sub(fixed)))
	}
	for k, a := range req.Aims {
		rule(k, a.Least, func(b map[string]exact.Number) exact.Number { return b[a.Of] })
	}
	if !req.WholeGrain.IsZero() {
		rule(len(req.Aims), exact.Number{}, func(b map[string]exact.Number) exact.Number { return b["whole"].Sub(b["grains"].Mul(req.WholeGrain)) })
	}
	s := "Minimize\n obj:" + min.String() + "\nSubject To\n" + rules.String() + "Bounds\n" + bounds.String()
	if whole {
		s += "General\n" + general.String()
	}
	return s + "End\n"
}

func TestSolverFindsNoLessChange(t *testing.T) {
	if _, err := exec.LookPath("glpsol"); err != nil {
		t.Fatal("glpsol is missing: run make test-solver, or install Debian's glpk-utils")
	}
	l := stockedLarder(t)
	for _, kind := range []struct {
		name    string
		lines   int
		cases   int
		counted bool
	}{{"exact amounts", 14, 1500, false}, {"whole pieces and cans", 5, 500, true}} {
		t.Run(kind.name, func(t *testing.T) {
			var worst, several, unsure atomic.Uint64
			onEach(t, kind.cases, 3, func(r *rand.Rand) (bool, string) {
				req, brings, ok := l.plainLines(r, 2+r.IntN(kind.lines-1), kind.counted)
				if !ok {
					return false, ""
				}
				req.Ways = []kitchen.Way{kitchen.OneIngredient, kitchen.Ingredients}
				got, err := l.kitchen.Target(req)
				if err != nil || got.Met {
					return false, ""
				}
				k := slices.IndexFunc(got.Tries, func(x kitchen.Try) bool { return x.Way == kitchen.Ingredients })
				x := &got.Tries[k]
				least, is := glpsol(t, lp(&req, brings, kind.counted), "recipe")
				if is != x.Reached {
					return true, describe(&req) + fmt.Sprintf("reached %v (%s), by glpsol %v for %v", x.Reached, x.Because, is, least)
				}
				if !is {
					return true, ""
				}
				told := x.Exact
				if kind.counted {
					told = x.Change
				}
				f, _ := told.Rat().Float64()
				off := math.Abs(f-least) / math.Max(1, least)
				if off > solverTolerance && (x.Least || !kind.counted) || f < least-solverTolerance {
					return true, describe(&req) + fmt.Sprintf("for %s = %v (least %v), by glpsol for %v", told, f, x.Least, least)
				}
				if !x.Least {
					unsure.Add(1) // of kitchen measures the search ended at its bounds
				}
				if b := math.Float64bits(off); b > worst.Load() {
					worst.Store(b)
				}
				if len(x.Lines) > 1 {
					several.Add(1)
				}
				return true, ""
			})
			if int(unsure.Load()) > kind.cases/50 {
				t.Errorf("%d of %d are not told to be the least", unsure.Load(), kind.cases)
			}
			t.Logf("%d recipes with up to %d lines; %d change several lines; the widest difference is %.2g of the change, %.0g allowed; %d not told to be the least in kitchen measures", kind.cases, kind.lines, several.Load(), math.Float64frombits(worst.Load()), solverTolerance, unsure.Load())
		})
	}
}
