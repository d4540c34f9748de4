package kitchen_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// bench is a kitchen, its engine, and the ingredients random recipes take: every
// food of the catalog in every state and unit it credits in by itself.
type bench struct {
	*kitchen.Kitchen
	engine *credit.Engine
	pools  [][]recipe.Ingredient // by what they credit, so that rare ones come up too
}

var benches = sync.OnceValues(func() (*bench, error) {
	rs, err := rules.Default()
	if err != nil {
		return nil, err
	}
	cat, err := food.Default()
	if err != nil {
		return nil, err
	}
	b := &bench{engine: credit.New(rs, cat)}
	b.Kitchen = kitchen.New(b.engine)
	byClass := map[string][]recipe.Ingredient{}
	var classes []string
	for _, f := range cat.Foods() {
		units := []string{"oz", "g", "cup", "mL", "each"}
		states := []string{""}
		for _, g := range f.Figures {
			if u := g.Unit; u != nil && u.Dimension == measure.Container && !slices.Contains(units, u.ID) {
				units = append(units, u.ID)
			}
			if g.Kind == food.Servings && !slices.Contains(states, g.State) {
				states = append(states, g.State)
			}
		}
		for _, state := range states {
			for _, unit := range units {
				q, err := measure.Parse("3 " + unit)
				if err != nil {
					return nil, err
				}
				in := recipe.Ingredient{Food: f.ID, State: state, Quantity: q}
				credits, err := b.engine.Credits(lunch(&recipe.Recipe{Name: "One", Servings: 1, ExhibitAGroup: "D", Ingredients: []recipe.Ingredient{in}}))
				if err != nil {
					continue
				}
				class := unit + " nothing"
				if len(credits) > 0 {
					class = unit + " " + credits[0].Component.String()
				}
				if byClass[class] == nil {
					classes = append(classes, class)
				}
				byClass[class] = append(byClass[class], in)
			}
		}
	}
	for _, c := range classes {
		b.pools = append(b.pools, byClass[c])
	}
	return b, nil
})

func newBench(t testing.TB) *bench {
	t.Helper()
	b, err := benches()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func lunch(r *recipe.Recipe) credit.Request {
	return credit.Request{Recipe: r, On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-lunch"}
}

// recipesToTry is how many random recipes a run takes: the environment variable
// OZEQ_RECIPES if it is set.
func recipesToTry(t *testing.T, usual int) int {
	s := os.Getenv("OZEQ_RECIPES")
	if s == "" {
		return usual
	}
	n, err := strconv.Atoi(s)
	if err != nil || n <= 0 {
		t.Fatalf("OZEQ_RECIPES is %q, want a number of recipes", s)
	}
	return n
}

func pick[T any](rnd *rand.Rand, of ...T) T { return of[rnd.IntN(len(of))] }

// amount draws an amount of a unit as a card has it.
func amount(rnd *rand.Rand, u *measure.Unit) measure.Quantity {
	units := map[*measure.Unit][]*measure.Unit{
		measure.Ounce: {measure.Ounce, measure.Pound}, measure.Cup: {measure.Cup, measure.Quart, measure.Gallon, measure.Tablespoon, measure.Teaspoon, measure.FluidOunce},
		measure.Gram: {measure.Gram, measure.Kilogram}, measure.Milliliter: {measure.Milliliter, measure.Liter}, measure.Each: {measure.Each, measure.Dozen},
	}[u]
	n := exact.Frac(int64(1+rnd.IntN(pick(rnd, 4, 40, 400))), pick(rnd, int64(1), 1, 2, 3, 4, 8, 16, 10))
	if units == nil {
		return measure.New(n, u)
	}
	return measure.New(n, pick(rnd, units...))
}

// draw makes a request that credits, of ordinary recipes and of such with
// sub-recipes, products, several portions and yield tests.
func (b *bench) draw(rnd *rand.Rand) credit.Request {
	for {
		r := &recipe.Recipe{Name: "Batch", Servings: pick(rnd, 1, 6, 10, 12, 24, 25, 48, 50, 50, 72, 96, 100, 100, 120, 333, 1000), ExhibitAGroup: pick(rnd, "", "B", "D", "H")}
		req := lunch(r)
		if rnd.IntN(3) == 0 {
			req.Program = pick(rnd, "school-breakfast", "child-adult-care", "afterschool-snack")
		}
		for range 1 + rnd.IntN(8) {
			r.Ingredients = append(r.Ingredients, b.line(rnd))
		}
		if rnd.IntN(5) == 0 {
			sub := recipe.Recipe{ID: "inner", Name: "Inner", Servings: 1 + rnd.IntN(60), BatchWeight: amount(rnd, measure.Ounce), BatchMeasure: amount(rnd, measure.Cup)}
			for range 1 + rnd.IntN(3) {
				sub.Ingredients = append(sub.Ingredients, b.line(rnd))
			}
			req.SubRecipes = []recipe.Recipe{sub}
			r.Ingredients = append(r.Ingredients, recipe.Ingredient{SubRecipe: "inner", Quantity: amount(rnd, pick(rnd, measure.Ounce, measure.Cup, measure.Each))})
		}
		if rnd.IntN(6) == 0 {
			req.Products = []credit.Product{{ID: "roll", Name: "Roll", Weight: amount(rnd, pick(rnd, measure.Ounce, measure.Gram)), ExhibitAGroup: pick(rnd, "A", "B", "D")}}
			r.Ingredients = append(r.Ingredients, recipe.Ingredient{Product: "roll", Quantity: amount(rnd, pick(rnd, measure.Ounce, measure.Each))})
		}
		if rnd.IntN(3) == 0 {
			r.Portions = []recipe.Portion{{Name: "large", Weight: amount(rnd, measure.Ounce), Scoop: 8}}
			if rnd.IntN(2) == 0 {
				r.Portions = append(r.Portions, pick(rnd, recipe.Portion{Name: "small", Servings: 2 * r.Servings}, recipe.Portion{Name: "small", Weight: measure.New(exact.Int(1), measure.Ounce)}, recipe.Portion{Name: "small", Scoop: 16}))
			}
			r.BatchWeight = amount(rnd, measure.Ounce)
		}
		if rnd.IntN(8) == 0 {
			r.YieldTest = &recipe.YieldTest{PortionsMade: max(1, r.Servings-rnd.IntN(5))}
		}
		rec, err := b.engine.Credit(req)
		if err != nil {
			continue // such as beans credited two ways
		}
		if rnd.IntN(2) == 0 {
			b.toTheEdge(rnd, &req, rec)
			if _, err := b.engine.Credit(req); err != nil {
				continue
			}
		}
		return req
	}
}

// toTheEdge takes out of an ingredient what its record says is to spare, so that
// a credit stands exactly on its step.
func (b *bench) toTheEdge(rnd *rand.Rand, req *credit.Request, rec *credit.Record) {
	if len(rec.Credits) == 0 {
		return
	}
	s := rec.Credits[rnd.IntN(len(rec.Credits))].ToSpare
	if s.Unit == nil || s.Ingredient < 0 || s.Ingredient >= len(rec.Ingredients) || !strings.HasPrefix(rec.Ingredients[s.Ingredient].Path(), "recipe.") {
		return
	}
	for i := range req.Recipe.Ingredients {
		if fmt.Sprintf("recipe.ingredients[%d]", i) != rec.Ingredients[s.Ingredient].Path() || req.Recipe.Ingredients[i].Product != "" {
			continue
		}
		q := &req.Recipe.Ingredients[i].Quantity
		if n, ok := q.In(s.Unit); ok && s.Amount.Less(n) {
			*q = measure.New(n.Sub(s.Amount), s.Unit)
		}
	}
}

func (b *bench) line(rnd *rand.Rand) recipe.Ingredient {
	pool := pick(rnd, b.pools...)
	in := pick(rnd, pool...)
	in.Quantity = amount(rnd, in.Quantity.Unit())
	in.NotCrediting = rnd.IntN(30) == 0
	return in
}

// show writes a request so that somebody can type it in.
func show(req *credit.Request) string {
	var s strings.Builder
	r := req.Recipe
	fmt.Fprintf(&s, "%s, %d servings, group %q, portions %v, yield test %v", req.Program, r.Servings, r.ExhibitAGroup, r.Portions, r.YieldTest)
	for _, in := range r.Ingredients {
		fmt.Fprintf(&s, "\n  %s %s%s%s %s", in.Quantity, in.Food, in.SubRecipe, in.Product, in.State)
		if in.NotCrediting {
			s.WriteString(" not crediting")
		}
	}
	for _, sub := range req.SubRecipes {
		fmt.Fprintf(&s, "\n%s: %d servings, %s, %s", sub.ID, sub.Servings, sub.BatchWeight, sub.BatchMeasure)
		for _, in := range sub.Ingredients {
			fmt.Fprintf(&s, "\n  %s %s %s", in.Quantity, in.Food, in.State)
		}
	}
	return s.String()
}
