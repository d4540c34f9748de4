package kitchen_test

import (
	"math/rand/v2"
	"slices"
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

// larder is an engine, and lines of recipes it credits, sorted by what they bring.
type larder struct {
	engine  *credit.Engine
	kitchen *kitchen.Kitchen
	classes []string
	lines   map[string][]recipe.Ingredient // with an amount of 1 of a unit
}

var stocked = sync.OnceValues(func() (*larder, error) {
	rs, err := rules.Default()
	if err != nil {
		return nil, err
	}
	cat, err := food.Default()
	if err != nil {
		return nil, err
	}
	l := &larder{engine: credit.New(rs, cat), lines: make(map[string][]recipe.Ingredient)}
	l.kitchen = kitchen.New(l.engine)
	for _, f := range cat.Foods() {
		kinds := []string{"oz", "g", "cup", "each"}
		for _, g := range f.Figures {
			if g.Unit != nil && g.Unit.Dimension == measure.Container && !slices.Contains(kinds, g.Unit.ID) {
				kinds = append(kinds, g.Unit.ID)
			}
		}
		for _, kind := range kinds {
			l.stock(f, kind)
		}
	}
	slices.Sort(l.classes)
	return l, nil
})

func stockedLarder(t testing.TB) *larder {
	t.Helper()
	l, err := stocked()
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// stock takes a food in a unit when the engine credits it by itself.
func (l *larder) stock(f *food.Food, kind string) {
	q, err := measure.Parse("1 " + kind)
	if err != nil {
		return
	}
	states := []string{""}
	for _, g := range f.Figures {
		if g.Kind == food.Servings && !slices.Contains(states, g.State) {
			states = append(states, g.State)
		}
	}
	for _, state := range states {
		in := recipe.Ingredient{Food: f.ID, Quantity: q, State: state}
		rec, err := l.engine.Credit(credit.Request{Recipe: &recipe.Recipe{Name: "one", Servings: 7, ExhibitAGroup: "D", Ingredients: []recipe.Ingredient{in}}, On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-lunch"})
		if err != nil || len(rec.Ingredients) == 0 {
			continue
		}
		class := "nothing"
		if line := &rec.Ingredients[0]; line.Step >= 0 {
			class = strings.TrimSpace(line.Component.String() + " " + line.Subgroup.String() + " " + f.GrainKind.String() + " " + f.GrainUse.String())
			if t := f.Traits & (food.DriedFruit | food.Surimi | food.Leafy | food.Legume); t != 0 {
				class += " " + t.String()
			}
			if rec.Steps[line.Step].Unit == nil {
				continue
			}
		} else if f.GrainKind == food.NotCreditableGrain || f.NoCredit == "refined-not-enriched" {
			class = "refined"
		}
		if l.lines[class] == nil {
			l.classes = append(l.classes, class)
		}
		l.lines[class] = append(l.lines[class], in)
		return
	}
}

func oneOf[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }

// amountOf draws an amount a card may have, in kitchen measures or not.
func amountOf(r *rand.Rand, kind string, small bool) measure.Quantity {
	n := exact.Frac(int64(1+r.IntN(400)), oneOf[int64](r, 1, 1, 2, 4, 8, 3))
	switch kind {
	case "g":
		n = exact.Int(int64(1 + r.IntN(6000)))
	case "oz", "cup":
	default:
		n = exact.Int(int64(1 + r.IntN(12)))
	}
	if small {
		n = exact.Frac(int64(1+r.IntN(12)), oneOf[int64](r, 1, 1, 2, 4))
		switch kind {
		case "g":
			n = exact.Int(int64(5 + r.IntN(60)))
		case "oz", "cup":
		default:
			n = exact.Int(int64(1 + r.IntN(6)))
		}
	}
	u, _ := measure.UnitByID(kind)
	return measure.New(n, u)
}

var programs = []credit.Request{
	{Program: "school-lunch", On: rules.Date{Year: 2026, Month: 9, Day: 14}},
	{Program: "school-lunch", On: rules.Date{Year: 2026, Month: 9, Day: 14}},
	{Program: "school-lunch", On: rules.Date{Year: 2026, Month: 9, Day: 14}, Options: map[string]string{"exhibit-a-fractions": "division"}},
	{Program: "school-breakfast", On: rules.Date{Year: 2026, Month: 9, Day: 14}},
	{Program: "child-adult-care", On: rules.Date{Year: 2026, Month: 9, Day: 14}},
	{Program: "summer", On: rules.Date{Year: 2026, Month: 7, Day: 6}},
}

// draw makes a request for a target. A small one has few lines in few measures.
func (l *larder) draw(r *rand.Rand, lines int, small bool) (kitchen.TargetRequest, bool) {
	req := kitchen.TargetRequest{Credit: oneOf(r, programs...)}
	rec := &recipe.Recipe{Name: "Copper Creek batch", Servings: oneOf(r, 10, 24, 48, 50, 100, 250), ExhibitAGroup: oneOf(r, "", "B", "D", "D", "H")}
	if small {
		rec.Servings = oneOf(r, 1, 2, 3, 4, 6, 8)
	}
	rec.Smoothie = r.IntN(15) == 0
	class := ""
	for range lines {
		// Lines of one class are what a solver has to choose among.
		if class == "" || r.IntN(3) > 0 {
			class = oneOf(r, l.classes...)
		}
		in := oneOf(r, l.lines[class]...)
		in.Quantity = amountOf(r, in.Quantity.Unit().ID, small)
		in.Hidden = r.IntN(12) == 0
		rec.Ingredients = append(rec.Ingredients, in)
	}
	if r.IntN(8) == 0 {
		req.Credit.Products = []credit.Product{{ID: "roll", Name: "Copper Creek roll", Weight: quantityOf("28 g"), ExhibitAGroup: oneOf(r, "A", "B", "D", "F")}}
		rec.Ingredients = append(rec.Ingredients, recipe.Ingredient{Product: "roll", Quantity: amountOf(r, oneOf(r, "g", "oz", "each"), small)})
	}
	switch r.IntN(24) {
	case 0: // part of another batch
		base := oneOf(r, l.lines[oneOf(r, l.classes...)]...)
		base.Quantity = amountOf(r, base.Quantity.Unit().ID, false)
		base.Hidden = r.IntN(3) == 0
		req.Credit.SubRecipes = []recipe.Recipe{{ID: "base", Name: "Copper Creek base", Servings: 20, Ingredients: append([]recipe.Ingredient{base}, rec.Ingredients[:1]...), Dessert: oneOf(r, "", "", recipe.Dessert3)}}
		rec.Ingredients = append(rec.Ingredients, recipe.Ingredient{SubRecipe: "base", Quantity: amountOf(r, "each", small)})
	case 1: // by its label
		req.Credit.Products = append(req.Credit.Products, credit.Product{ID: "patty", Name: "Copper Creek patty", Weight: quantityOf("2.5 oz"),
			Label: &credit.Label{Number: "123456", Approved: "2024-02", Portion: quantityOf("2.5 oz"), Claims: []credit.Claim{{Component: food.Meats, Amount: exact.Frac(3, 2), Text: "1.50"}, {Component: food.Grains, Amount: exact.Frac(1, 2), Text: "0.50"}}}})
		rec.Ingredients = append(rec.Ingredients, recipe.Ingredient{Product: "patty", Quantity: amountOf(r, oneOf(r, "oz", "each"), small)})
	case 2:
		rec.YieldTest = &recipe.YieldTest{PortionsMade: rec.Servings + 1}
	case 3:
		rec.Ingredients[0].Share = exact.Frac(2, 3)
	case 4:
		rec.Dessert = recipe.Dessert4
	}
	if r.IntN(10) == 0 {
		rec.ExhibitAGroup = oneOf(r, "B", "D", "G")
		rec.GrainsMethod = recipe.ExhibitA
		rec.Portions = []recipe.Portion{{Weight: oneOf(r, quantityOf("34 g"), quantityOf("2.1 oz"), quantityOf("61 g"))}}
	} else if r.IntN(10) == 0 {
		rec.Portions = []recipe.Portion{{Name: "large"}, {Name: "small", Servings: rec.Servings * 2}}
		req.Portion = r.IntN(2)
	}
	req.Credit.Recipe = rec
	before, err := l.engine.Credit(req.Credit)
	if err != nil {
		return req, false
	}
	if req.Portion > 0 {
		before = before.Also[len(before.Also)-1]
	}
	for i := range before.Credits {
		c := &before.Credits[i]
		if c.Subgroup == food.Additional || c.Step.IsZero() || r.IntN(2) == 0 && i > 0 || len(req.Aims) > 2 {
			continue
		}
		of := c.Component.String()
		if c.Subgroup != food.NoSubgroup {
			of = c.Subgroup.String()
		}
		a := kitchen.Aim{Of: of, Least: c.Credited.Add(c.Step.Mul(exact.Int(int64(r.IntN(4)))))}
		if r.IntN(10) == 0 {
			a.Least = a.Least.Add(exact.Frac(1, 10))
		}
		if r.IntN(8) == 0 {
			a.Most = a.Least.Add(c.Step.Mul(exact.Int(int64(1 + r.IntN(2)))))
		}
		if r.IntN(12) == 0 && c.Credited.Sign() > 0 {
			a.Least, a.Most = exact.Number{}, exact.Max(c.Credited.Sub(c.Step), c.Step)
		}
		if a.Least.IsZero() && a.Most.IsZero() || exact.Int(kitchen.MaxAim).Less(exact.Max(a.Least, a.Most)) {
			continue
		}
		req.Aims = append(req.Aims, a)
	}
	if r.IntN(6) == 0 {
		req.WholeGrain = oneOf(r, exact.Frac(1, 2), exact.Frac(2, 3))
	}
	req.Claimable = r.IntN(8) == 0
	if r.IntN(4) == 0 {
		req.MayDrop = []string{oneOf(r, kitchen.Everything, "vegetables", "other", "grains", kitchen.WholeGrainRich)}
	}
	if r.IntN(10) == 0 {
		req.Lines = []int{r.IntN(len(rec.Ingredients))}
	}
	return req, len(req.Aims) > 0 || !req.WholeGrain.IsZero()
}

func quantityOf(s string) measure.Quantity {
	q, err := measure.Parse(s)
	if err != nil {
		panic(err)
	}
	return q
}

// wants is a target read again, apart from the library: what each component and
// subgroup must credit, and what must stay claimable.
type wants struct {
	least, sure, most map[[2]int]exact.Number
	whole             exact.Number
}

func wanted(req *kitchen.TargetRequest, before *credit.Record) wants {
	w := wants{map[[2]int]exact.Number{}, map[[2]int]exact.Number{}, map[[2]int]exact.Number{}, req.WholeGrain}
	may := func(name string) bool {
		return slices.Contains(req.MayDrop, name) || slices.Contains(req.MayDrop, kitchen.Everything)
	}
	for _, a := range req.Aims {
		k := [2]int{}
		if c, ok := food.ParseComponent(a.Of); ok {
			k[0] = int(c)
		} else {
			s, _ := food.ParseSubgroup(a.Of)
			k = [2]int{int(food.Vegetables), int(s)}
		}
		w.least[k] = a.Least
		if req.Claimable {
			w.sure[k] = a.Least
		}
		if !a.Most.IsZero() {
			w.most[k] = a.Most
		}
	}
	for _, c := range before.Credits {
		k := [2]int{int(c.Component), int(c.Subgroup)}
		name := c.Component.String()
		if c.Subgroup != food.NoSubgroup {
			name = c.Subgroup.String()
		}
		if _, aimed := w.least[k]; !aimed && c.Subgroup != food.Additional && !may(name) {
			w.least[k], w.sure[k] = c.Credited, c.Claimable
		}
	}
	for _, f := range before.Findings {
		if f.Reason == credit.WholeGrainShare && w.whole.IsZero() && !f.Share.Less(exact.Frac(1, 2)) && !may(kitchen.WholeGrainRich) {
			w.whole = exact.Frac(1, 2)
		}
	}
	return w
}

func portionOf(rec *credit.Record, r *recipe.Recipe, portion int) *credit.Record {
	if portion == 0 {
		return rec
	}
	return rec.Also[len(rec.Also)-len(r.Portions)+portion]
}

// met reports whether the engine credits a recipe what is wanted.
func (l *larder) met(req *kitchen.TargetRequest, r *recipe.Recipe, w *wants) bool {
	ask := req.Credit
	ask.Recipe = r
	var credits []credit.Credit
	if req.Portion == 0 && w.whole.IsZero() {
		var err error
		if credits, err = l.engine.Credits(ask); err != nil {
			return false
		}
	} else {
		rec, err := l.engine.Credit(ask)
		if err != nil {
			return false
		}
		rec = portionOf(rec, r, req.Portion)
		credits = rec.Credits
		if !w.whole.IsZero() && !slices.ContainsFunc(rec.Findings, func(f credit.Finding) bool { return f.Reason == credit.WholeGrainShare && !f.Share.Less(w.whole) }) {
			return false
		}
	}
	got, sure := map[[2]int]exact.Number{}, map[[2]int]exact.Number{}
	for _, c := range credits {
		k := [2]int{int(c.Component), int(c.Subgroup)}
		got[k], sure[k] = c.Credited, c.Claimable
	}
	for k, n := range w.least {
		if got[k].Less(n) {
			return false
		}
	}
	for k, n := range w.sure {
		if sure[k].Less(n) {
			return false
		}
	}
	for k, n := range w.most {
		if n.Less(got[k]) {
			return false
		}
	}
	return true
}

func component(of string) food.Component {
	c, _ := food.ParseComponent(of)
	return c
}
