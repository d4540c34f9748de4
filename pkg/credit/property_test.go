package credit_test

import (
	"flag"
	"fmt"
	"math/big"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// Properties of credits are cheap to check and their edges are rare: more draws
// than rapid's hundred, and no files left in the tree. The command line still
// decides.
func init() {
	for name, value := range map[string]string{"rapid.checks": "1000", "rapid.nofailfile": "true"} {
		if err := flag.Set(name, value); err != nil {
			panic(err)
		}
	}
}

// chooser is where random recipes take their choices from: a seeded generator
// for long runs, rapid for properties, which then shrinks the recipe.
type chooser interface{ pick(n int) int }

type random struct{ *rand.Rand }

func (r random) pick(n int) int { return r.IntN(n) }

type drawn struct{ t *rapid.T }

func (d drawn) pick(n int) int { return rapid.IntRange(0, n-1).Draw(d.t, "choice") }

func one[T any](c chooser, of ...T) T { return of[c.pick(len(of))] }

// kitchen is an engine, and everything recipes are drawn from.
type kitchen struct {
	rules   *rules.Rules
	catalog *food.Catalog // the library's, and the pantry over it
	engine  *credit.Engine
	pools   map[string][][]template // by class, then by what the amount measures
	classes []string
}

// template is an ingredient without its amount.
type template struct {
	in   recipe.Ingredient
	kind string // of the amount: oz, g, cup, mL, each or a package
}

var stocked = sync.OnceValues(stock)

func newKitchen(t testing.TB) *kitchen {
	t.Helper()
	k, err := stocked()
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func stock() (*kitchen, error) {
	rs, err := rules.Default()
	if err != nil {
		return nil, err
	}
	cat, err := food.Default()
	if err != nil {
		return nil, err
	}
	own := pantry()
	over, err := cat.With(own)
	if err != nil {
		return nil, err
	}
	k := &kitchen{rules: rs, catalog: over, engine: credit.New(rs, over), pools: map[string][][]template{}}
	ids := make([]string, 0, 1200)
	for _, f := range cat.Foods() {
		ids = append(ids, f.ID)
	}
	for i := range own {
		ids = append(ids, own[i].ID)
	}
	return k, k.stock(ids)
}

// pantry is foods of the caller's, each with the one figure its route needs, so
// that every route has foods whatever the catalog comes to hold.
func pantry() []food.Own {
	paper := func(g food.OwnFigure) food.OwnFigure {
		g.Document, g.Page, g.Edition = "Test card", "1", "first"
		return g
	}
	usable := func(value string) food.OwnFigure {
		return paper(food.OwnFigure{State: "ready-to-use", Kind: "usable", Value: value})
	}
	servings := func(state, component, unit, value, size string) food.OwnFigure {
		return paper(food.OwnFigure{State: state, Component: component, Kind: "servings", Unit: unit, Value: value, Size: size})
	}
	plain := func(kind, unit, value string) food.OwnFigure {
		return paper(food.OwnFigure{Kind: kind, Unit: unit, Value: value})
	}
	var own []food.Own
	add := func(id string, f food.Own, figures ...food.OwnFigure) {
		f.ID, f.Name, f.Figures = "pantry-"+id, "pantry "+id, figures
		own = append(own, f)
	}
	grain := func(use, group string) food.Own {
		return food.Own{Components: []string{"grains"}, GrainKind: "enriched", GrainUse: use, ExhibitAGroup: group}
	}
	for i, share := range []string{"0.87", "0.56", "0.65", "0.9", "0.333", "2/3", "0.0625", "1"} {
		for _, use := range []string{"baked", "cooked", "cereal", "either"} {
			add(fmt.Sprintf("%s-%d", use, i), grain(use, ""), plain("grain-share", "", share), plain("cup", "", one(random{rand.New(rand.NewPCG(7, uint64(i)))}, "119", "126.5", "87.3", "185")),
				plain("each", "", fmt.Sprint(20+7*i)), plain("net", "can no. 10", fmt.Sprint(70+i)))
		}
	}
	for _, group := range []string{"A", "B", "C", "D", "E", "F", "G"} {
		add("product-"+strings.ToLower(group), grain("product", group), plain("each", "", "57.3"))
		add("product-2-"+strings.ToLower(group), grain("product", group), plain("cup", "", "41.7"))
	}
	for i, sub := range subgroupOrder {
		v := food.Own{Components: []string{"vegetables"}, Subgroup: sub}
		add("by-pound-"+sub, v, servings("cooked", "vegetables", "lb", fmt.Sprintf("%d.%d", 7+i, 3+i), "1/4 cup"), usable(fmt.Sprintf("0.%d", 61+7*i)))
		add("by-ounce-"+sub, v, servings("raw-diced", "vegetables", "oz", fmt.Sprintf("0.%d", 571+i), "1/4 cup"))
		add("by-can-"+sub, v, servings("heated", "vegetables", "can no. 10", fmt.Sprintf("4%d.%d", i, i), "1/4 cup"), plain("net", "can no. 10", fmt.Sprintf("10%d.5", i)))
		add("by-piece-"+sub, v, servings("raw-whole", "vegetables", "each", "1.5", "1/4 cup"))
		add("weighed-piece-"+sub, v, servings("raw-cut", "vegetables", "lb", "11.3", "1/8 cup"), plain("each", "", "143"), usable("0.81"))
		leafy := v
		leafy.Traits = []string{"leafy"}
		add("leafy-"+sub, leafy, servings("raw-torn", "vegetables", "lb", "31.7", "1/4 cup"))
	}
	add("mixed-vegetables", food.Own{Components: []string{"vegetables"}, Subgroup: "mixed"}, servings("cooked", "vegetables", "lb", "9.7", "1/4 cup"))
	fruit := food.Own{Components: []string{"fruits"}}
	add("fruit-by-pound", fruit, servings("raw-cut", "fruits", "lb", "9.1", "1/4 cup"), usable("0.77"))
	add("fruit-by-can", fruit, servings("drained", "fruits", "can no. 10", "49.3", "1/4 cup"), plain("net", "can no. 10", "105.5"))
	add("fruit-by-quart", fruit, servings("thawed", "fruits", "qt", "15.9", "1/4 cup"))
	add("fruit-by-dozen", fruit, servings("raw-whole", "fruits", "dozen", "23.4", "1/4 cup"))
	dried := fruit
	dried.Traits = []string{"dried-fruit"}
	add("dried", dried, servings("as-is", "fruits", "lb", "12.6", "1/4 cup"))
	add("dried-2", dried, servings("as-is", "fruits", "oz", "0.79", "1/4 cup"))
	meat := food.Own{Components: []string{"meats"}}
	for i, per := range []string{"11.8", "11.5", "12.0", "7.04", "9.92", "13.3", "16", "8", "5.12"} {
		add(fmt.Sprint("meat-by-pound-", i), meat, servings("cooked", "meats", "lb", per, "1 oz eq"))
	}
	add("meat-by-ounce", meat, servings("as-is", "meats", "oz", "0.6", "1 oz eq"))
	add("meat-by-ounce-2", meat, servings("as-is", "meats", "oz", "1", "1 oz eq"))
	add("meat-by-piece", meat, servings("cooked", "meats", "each", "2", "1 oz eq"))
	add("meat-by-cup", meat, servings("as-is", "meats", "cup", "8", "1 oz eq"))
	add("meat-by-can", meat, servings("drained", "meats", "can 66.5 oz", "51.2", "1 oz eq"), plain("net", "can 66.5 oz", "66.5"))
	add("legume", food.Own{Components: []string{"vegetables", "meats"}, Subgroup: "beans-peas-lentils", Traits: []string{"legume"}},
		servings("cooked", "vegetables", "lb", "18.3", "1/4 cup"), servings("cooked", "meats", "lb", "18.3", "1 oz eq"))
	return own
}

// stock fills the pools with every ingredient the oracle finds one reading of.
func (k *kitchen) stock(ids []string) error {
	d, err := rules.ParseDate("2026-09-14")
	if err != nil {
		return err
	}
	rs, err := k.rules.Resolve(d, "school-lunch", nil)
	if err != nil {
		return err
	}
	l := law{rs}
	byKind := map[string]map[string][]template{}
	for _, id := range ids {
		f, _ := k.catalog.Food(id)
		kinds := []string{"oz", "g", "cup", "mL", "each"}
		states, groups := []string{""}, []string{""}
		for _, g := range f.Figures {
			if u := g.Unit; u != nil && u.Dimension == measure.Container && !slices.Contains(kinds, u.ID) {
				kinds = append(kinds, u.ID)
			}
			if g.Kind == food.Servings && !slices.Contains(states, g.State) {
				states = append(states, g.State)
			}
		}
		as := []string{""}
		if len(f.Components) > 1 {
			as = append(as, f.Components[1].String())
		}
		if f.CanCredit(food.Grains) {
			states = []string{"", "cooked"}
			groups = []string{"", "D", "H"}
		}
		for _, in := range combinations(id, as, states, groups) {
			for _, kind := range kinds {
				q, err := measure.Parse("1 " + kind)
				if err != nil {
					return err
				}
				in.Quantity = q
				rd, ok := l.read(&recipe.Recipe{ExhibitAGroup: "D"}, &in, f)
				if !ok {
					continue
				}
				class := classOf(f, &rd)
				if byKind[class] == nil {
					byKind[class] = map[string][]template{}
					k.classes = append(k.classes, class)
				}
				if !slices.Contains([]string{"oz", "g", "cup", "mL", "each"}, kind) {
					byKind[class]["package"] = append(byKind[class]["package"], template{in, kind})
					continue
				}
				byKind[class][kind] = append(byKind[class][kind], template{in, kind})
			}
		}
	}
	slices.Sort(k.classes)
	for class, m := range byKind {
		for _, kind := range []string{"oz", "g", "cup", "mL", "each", "package"} {
			if len(m[kind]) > 0 {
				k.pools[class] = append(k.pools[class], m[kind])
			}
		}
	}
	return nil
}

func combinations(id string, as, states, groups []string) []recipe.Ingredient {
	var out []recipe.Ingredient
	for _, a := range as {
		for _, s := range states {
			for _, g := range groups {
				for _, b := range []string{"", "usable", "as-served"} {
					out = append(out, recipe.Ingredient{Food: id, CreditAs: a, State: s, ExhibitAGroup: g, Basis: b})
				}
			}
		}
	}
	return out
}

// classOf sorts ingredients so that rare ones are drawn as often as common
// ones.
func classOf(f *food.Food, rd *reading) string {
	pantry := ""
	if strings.HasPrefix(f.ID, "pantry-") {
		pantry = "pantry "
	}
	switch {
	case rd.component == "":
		return "nothing"
	case rd.component == "grains":
		return pantry + "grains " + f.GrainUse.String()
	case rd.dried != "":
		return pantry + "dried"
	case f.Traits.Has(food.Leafy):
		return pantry + "leafy"
	}
	return pantry + rd.component
}

// setting is a program, a day and the State's options.
type setting struct {
	program, on string
	options     map[string]string
}

var settings = []setting{
	{"school-lunch", "2026-09-14", nil},
	{"school-breakfast", "2015-03-02", map[string]string{"non-table-exhibit-a": "pooled"}},
	{"school-lunch", "2026-09-14", nil},
	{"child-adult-care", "2024-10-01", nil},
	{"preschool", "2019-11-04", nil}, // servings still
	{"afterschool-snack", "2025-06-30", nil},
	{"afterschool-snack", "2025-07-01", nil},
	{"summer", "2026-07-06", nil},
	{"summer", "2026-07-06", map[string]string{"summer-grains": "oz-eq", "summer-dried-fruit": "double", "summer-leafy": "as-served"}},
	{"school-lunch", "2026-09-14", map[string]string{"grams-per-ounce": "exact", "other-vegetables": "alone"}},
	{"school-lunch", "2026-09-14", map[string]string{"dried-fruit-least": "none", "exhibit-a-fractions": "division"}},
}

var servingsMade = []int{1, 1, 6, 10, 12, 24, 25, 48, 50, 50, 60, 72, 96, 100, 100, 100, 120, 150, 200, 250, 333, 400, 500, 999, 1000, 1_000_000}

// edge says how a request was built to meet a step.
type edge struct {
	built               bool
	off                 int // smallest units beside the step
	component, subgroup string
	target              *big.Rat // exact value of a portion on the step; nil when the edge is the least of dried fruit
}

// draw makes a request; with atEdge its last amount lands a credit exactly on a
// step, or one smallest unit beside it.
func (k *kitchen) draw(c chooser, atEdge bool) (credit.Request, edge) {
	s := settings[c.pick(len(settings))]
	on, err := rules.ParseDate(s.on)
	if err != nil {
		panic(err)
	}
	req := credit.Request{On: on, Program: s.program, Options: s.options}
	rs, err := k.rules.Resolve(on, s.program, s.options)
	if err != nil {
		panic(err)
	}
	switch c.pick(16) {
	case 0:
		group := string(rune('A' + c.pick(7)))
		w, e := k.weight(c, law{rs}, group, atEdge)
		req.Product = &credit.Product{Name: "Product", Weight: w, ExhibitAGroup: group}
		return req, e
	case 1:
		r := k.base(c, law{rs}, c.pick(4), true)
		r.ExhibitAGroup = string(rune('A' + c.pick(7)))
		r.GrainsMethod = recipe.ExhibitA
		w, e := k.weight(c, law{rs}, r.ExhibitAGroup, atEdge)
		r.Portions = []recipe.Portion{{Weight: w}}
		if len(r.Ingredients) == 0 {
			r.Ingredients = append(r.Ingredients, k.pantryFlour())
		}
		req.Recipe = r
		return req, e
	}
	if !atEdge {
		req.Recipe = k.base(c, law{rs}, 1+c.pick(12), false)
		return req, edge{}
	}
	// Not every sum can be completed by an amount a card can print. Fewer and
	// plainer ingredients always can.
	for most := 8; ; most-- {
		req.Recipe = k.base(c, law{rs}, c.pick(max(most, 1)), most < 8)
		if e, ok := k.complete(c, rs, &req); ok {
			return req, e
		}
		if most < -200 {
			panic("no edge found")
		}
	}
}

func (k *kitchen) pantryFlour() recipe.Ingredient {
	q, err := measure.Parse("5 lb")
	if err != nil {
		panic(err)
	}
	return recipe.Ingredient{Food: "pantry-baked-0", Quantity: q}
}

// base draws n ingredients; plain ones have amounts of few digits.
func (k *kitchen) base(c chooser, l law, n int, plain bool) *recipe.Recipe {
	r := &recipe.Recipe{Name: "Batch", Servings: servingsMade[c.pick(len(servingsMade))], ExhibitAGroup: one(c, "", "B", "D", "H", "I", "G")}
	for range n {
		if in, ok := k.ingredient(c, l, r, plain); ok {
			r.Ingredients = append(r.Ingredients, in)
		}
	}
	if n > 0 && len(r.Ingredients) == 0 {
		r.Ingredients = append(r.Ingredients, k.pantryFlour())
	}
	return r
}

// ingredient draws one ingredient, unless the recipe around it leaves it with
// more than one reading.
func (k *kitchen) ingredient(c chooser, l law, r *recipe.Recipe, plain bool) (recipe.Ingredient, bool) {
	t := k.template(c)
	in := t.in
	in.NotCrediting = !plain && c.pick(40) == 0
	in.Quantity = amount(c, t.kind, plain)
	f, _ := k.catalog.Food(in.Food)
	_, ok := l.read(r, &in, f)
	return in, ok && !k.mixesLegumes(r, &in)
}

// mixesLegumes reports whether the ingredient is a legume credited otherwise
// than one the recipe has already: the engine refuses such a dish.
func (k *kitchen) mixesLegumes(r *recipe.Recipe, in *recipe.Ingredient) bool {
	legume := func(in *recipe.Ingredient) bool {
		f, ok := k.catalog.Food(in.Food)
		return ok && !in.NotCrediting && f.Traits.Has(food.Legume)
	}
	meats := func(in *recipe.Ingredient) bool {
		f, _ := k.catalog.Food(in.Food)
		return in.CreditAs == "meats" || in.CreditAs == "" && f.Components[0] == food.Meats
	}
	if !legume(in) {
		return false
	}
	for i := range r.Ingredients {
		if x := &r.Ingredients[i]; legume(x) && meats(x) != meats(in) {
			return true
		}
	}
	return false
}

func (k *kitchen) template(c chooser) template {
	kinds := k.pools[k.classes[c.pick(len(k.classes))]]
	pool := kinds[c.pick(len(kinds))]
	return pool[c.pick(len(pool))]
}

// sizes are the amounts a kitchen uses of each unit, at most.
var sizes = map[string]int{"oz": 400, "lb": 60, "g": 20_000, "kg": 30, "cup": 200, "qt": 60, "gal": 20, "pt": 100, "Tbsp": 200, "tsp": 100, "fl oz": 300, "mL": 30_000, "L": 40, "each": 500, "dozen": 40}

func units(kind string) []string {
	switch kind {
	case "oz":
		return []string{"oz", "lb", "lb", "lb+oz"}
	case "g":
		return []string{"g", "g", "kg"}
	case "cup":
		return []string{"cup", "cup", "qt", "gal", "pt", "Tbsp", "tsp", "fl oz", "qt+cup"}
	case "mL":
		return []string{"mL", "L"}
	case "each":
		return []string{"each", "each", "dozen"}
	}
	return []string{kind}
}

// amount draws an amount as a card would print it.
func amount(c chooser, kind string, plain bool) measure.Quantity {
	unit := one(c, units(kind)...)
	a, b, two := strings.Cut(unit, "+")
	text := number(c, sizes[a], plain) + " " + a
	if two {
		text += " " + number(c, 15, plain) + " " + b
	}
	q, err := measure.Parse(text)
	if err != nil {
		panic(fmt.Sprintf("%s: %v", text, err))
	}
	return q
}

// number draws a number above 0 and not far above most, in one of the forms
// people write.
func number(c chooser, most int, plain bool) string {
	if most == 0 {
		most = 20 // packages
	}
	whole := 1 + c.pick(most)
	if plain {
		return one(c, fmt.Sprint(whole), fmt.Sprintf("%d.%d", whole, c.pick(10)), fmt.Sprintf("%d 1/2", whole), fmt.Sprintf("%d.%02d", whole, c.pick(100)))
	}
	switch c.pick(16) {
	case 0, 1, 2:
		return fmt.Sprint(whole)
	case 3, 4, 5:
		return fmt.Sprintf("%d.%d", whole, c.pick(10))
	case 6, 7:
		return fmt.Sprintf("%d.%03d", whole, c.pick(1000))
	case 8:
		return fmt.Sprintf("0.%03d", 1+c.pick(999))
	case 9, 10, 11:
		return fmt.Sprintf("%d %s", whole, one(c, "1/2", "1/3", "2/3", "1/4", "3/4", "1/8", "7/8", "5/6"))
	case 12:
		return one(c, "1/2", "1/3", "2/3", "1/4", "3/4", "1/8")
	case 13: // what a conversion leaves behind
		return fmt.Sprintf("%d.%09d", whole, c.pick(1_000_000_000))
	case 14:
		d := 2 + c.pick(999_999_997)
		return fmt.Sprintf("%d %d/%d", whole, 1+c.pick(d-1), d)
	}
	return fmt.Sprintf("%d.%02d", whole, c.pick(100))
}

// weight draws the weight of a portion, at a printed weight or beside it when
// asked to.
func (k *kitchen) weight(c chooser, l law, group string, atEdge bool) (measure.Quantity, edge) {
	kind := one(c, "g", "oz")
	rows := l.rows(group, kind)
	if !atEdge {
		q, err := measure.Parse(number(c, map[string]int{"g": 300, "oz": 12}[kind], false) + " " + kind)
		if err != nil {
			panic(err)
		}
		return q, edge{}
	}
	full := readRat(rows.leasts[0])
	at := new(big.Rat).Mul(full, new(big.Rat).SetInt64(int64(c.pick(4))))
	if l.rs.Options["exhibit-a-fractions"] == "division" {
		at.Add(at, new(big.Rat).Mul(full, big.NewRat(int64(1+c.pick(4)), 4)))
	} else {
		at.Add(at, readRat(rows.leasts[c.pick(len(rows.leasts))]))
	}
	off := one(c, 0, 0, -1, 1)
	text, ok := beside(at, off)
	if !ok {
		panic("a printed weight that does not print: " + at.RatString())
	}
	q, err := measure.Parse(text + " " + kind)
	if err != nil {
		panic(err)
	}
	return q, edge{built: true, off: off, component: "grains", target: new(big.Rat).Quo(at, full)}
}

// beside writes the amount at, moved by off thousandths of a unit, or by the
// smallest part the number is written in when that is smaller.
func beside(at *big.Rat, off int) (string, bool) {
	text, ok := write(new(big.Rat).Add(at, big.NewRat(int64(off), 1000)))
	if !ok && off != 0 {
		text, ok = write(new(big.Rat).Add(at, new(big.Rat).SetFrac(big.NewInt(int64(off)), at.Denom())))
	}
	return text, ok
}

// write writes a number in the grammar of amounts, or says that it has too many
// digits.
func write(r *big.Rat) (string, bool) {
	const most = 999_999_999
	if r.Sign() <= 0 {
		return "", false
	}
	whole, rest := new(big.Int).QuoRem(r.Num(), r.Denom(), new(big.Int))
	if whole.Cmp(big.NewInt(most)) > 0 {
		return "", false
	}
	if n, finite := r.FloatPrec(); finite && n <= 9 {
		return r.FloatString(n), true
	}
	if r.Denom().Cmp(big.NewInt(most)) > 0 {
		return "", false
	}
	if whole.Sign() == 0 {
		return rest.String() + "/" + r.Denom().String(), true
	}
	return whole.String() + " " + rest.String() + "/" + r.Denom().String(), true
}

// complete adds a last ingredient that brings one credit to a step.
func (k *kitchen) complete(c chooser, rs *rules.RuleSet, req *credit.Request) (edge, bool) {
	l, r := law{rs}, req.Recipe
	t := k.template(c)
	in := t.in
	unit := one(c, units(t.kind)...)
	if strings.Contains(unit, "+") {
		unit = t.kind
	}
	set := func(text string) {
		q, err := measure.Parse(text + " " + unit)
		if err != nil {
			panic(err)
		}
		in.Quantity = q
	}
	set("1")
	f, _ := k.catalog.Food(in.Food)
	rd, ok := l.read(r, &in, f)
	base, ok2 := readCard(k.catalog, rs, req)
	if !ok || !ok2 || rd.component == "" || k.mixesLegumes(r, &in) {
		return edge{}, false
	}
	servings := readRat(base.servings)
	rate := worth(&rationals, &rd)
	e := edge{built: true, component: rd.component, off: one(c, 0, 0, -1, 1)}
	if rd.component == "vegetables" && slices.Contains(subgroupOrder, rd.subgroup) && c.pick(2) == 0 {
		e.subgroup = rd.subgroup
	}
	has := new(big.Rat) // of the batch, toward the target, without the last ingredient
	answers := credits(&rationals, base)
	match := func(a answer[*big.Rat]) bool { return a.component == e.component && a.subgroup == e.subgroup }
	for _, a := range answers {
		switch {
		case match(a):
			has.Mul(a.exactly, servings)
		case e.subgroup == "other" && slices.Contains(base.fillOther, a.subgroup) && !slices.ContainsFunc(answers, match):
			over := new(big.Rat).Sub(a.exactly, a.credited) // will fill it
			has.Add(has, over.Mul(over, servings))
		}
	}
	if rd.dried != "" {
		dried := new(big.Rat)
		for i := range base.lines {
			if base.lines[i].dried != "" {
				dried.Add(dried, worth(&rationals, &base.lines[i]))
			}
		}
		least := new(big.Rat).Mul(readRat(base.least), servings)
		if dried.Cmp(least) < 0 { // meet the least of dried fruit itself
			text, ok := beside(new(big.Rat).Quo(new(big.Rat).Sub(least, dried), rate), e.off)
			if !ok {
				return edge{}, false
			}
			set(text)
			r.Ingredients = append(r.Ingredients, in)
			return e, true
		}
		rate = new(big.Rat).Mul(rate, readRat(rd.dried))
	}
	step := readRat(base.steps[e.component])
	e.target = new(big.Rat).Quo(has, servings)
	e.target = new(big.Rat).Add(rationals.floor(e.target, step), new(big.Rat).Mul(step, new(big.Rat).SetInt64(int64(1+c.pick(5)))))
	if rd.table != nil && c.pick(2) == 0 { // a printed weight in place of a quarter
		whole := rationals.floor(e.target, readRat("1"))
		e.target = whole.Add(whole, new(big.Rat).Quo(readRat(one(c, rd.table.leasts...)), readRat(rd.table.leasts[0])))
	}
	text, ok := beside(new(big.Rat).Quo(new(big.Rat).Sub(new(big.Rat).Mul(e.target, servings), has), rate), e.off)
	if !ok {
		return edge{}, false
	}
	set(text)
	r.Ingredients = append(r.Ingredients, in)
	return e, true
}

// missed says how an answer misses the edge its request was built for, or
// nothing.
func (e *edge) missed(answers []answer[*big.Rat]) string {
	if !e.built || e.target == nil {
		return ""
	}
	for _, a := range answers {
		if a.component == e.component && a.subgroup == e.subgroup {
			if a.exactly.Cmp(e.target) != e.off {
				return fmt.Sprintf("%s %s is %s, built to be %d beside %s", e.component, e.subgroup, a.exactly.RatString(), e.off, e.target.RatString())
			}
			return ""
		}
	}
	return "no credit toward " + e.component + " " + e.subgroup
}

// must credits a request that the generator made, which has no faults.
func (k *kitchen) must(t rapid.TB, req credit.Request) *credit.Record {
	t.Helper()
	rec, err := k.engine.Credit(req)
	if err != nil {
		t.Fatalf("%v\n%s", err, show(&req))
	}
	return rec
}

// outcome is what two requests that say the same must agree on.
func outcome(credits []credit.Credit, alternatives bool) string {
	var b strings.Builder
	for i := range credits {
		c := &credits[i]
		fmt.Fprintf(&b, "%s %s: %s of exactly %s, %s, %s\n", c.Component, c.Subgroup, c.Credited.Fraction(), c.Exact.Fraction(), c.Status, c.Basis)
		if !alternatives {
			continue
		}
		alts := slices.Clone(c.Alternatives)
		slices.SortFunc(alts, func(a, b credit.Alternative) int { return strings.Compare(string(a.Basis), string(b.Basis)) })
		for _, a := range alts {
			fmt.Fprintf(&b, "  %s: %s of exactly %s\n", a.Basis, a.Credited.Fraction(), a.Exact.Fraction())
		}
	}
	return b.String()
}

// recipeOf draws a request for a recipe, and the same changed by change; bought
// products are drawn again.
func (k *kitchen) recipeOf(t *rapid.T, change func(*recipe.Recipe)) (credit.Request, credit.Request) {
	var req credit.Request
	for req.Recipe == nil {
		req, _ = k.draw(drawn{t}, rapid.Bool().Draw(t, "at an edge"))
	}
	r := *req.Recipe
	r.Ingredients = slices.Clone(r.Ingredients)
	change(&r)
	other := req
	other.Recipe = &r
	return req, other
}

func TestScalingChangesNoCredit(t *testing.T) {
	k := newKitchen(t)
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 40).Draw(t, "times")
		req, more := k.recipeOf(t, func(*recipe.Recipe) {})
		// Both ways from one recipe, so that a million servings do not scale
		// past the bound.
		req.Recipe.Servings = min(req.Recipe.Servings, recipe.MaxServings/n)
		more.Recipe.Servings = req.Recipe.Servings * n
		for i := range more.Recipe.Ingredients {
			in := &more.Recipe.Ingredients[i]
			in.Quantity = in.Quantity.Times(exact.Int(int64(n)))
		}
		if a, b := outcome(k.must(t, req).Credits, false), outcome(k.must(t, more).Credits, false); a != b {
			t.Fatalf("%d batches differ from one:\n%s---\n%s%s", n, a, b, show(&req))
		}
	})
}

func TestOrderChangesNoCredit(t *testing.T) {
	k := newKitchen(t)
	rapid.Check(t, func(t *rapid.T) {
		req, other := k.recipeOf(t, func(r *recipe.Recipe) {
			r.Ingredients = rapid.Permutation(r.Ingredients).Draw(t, "order")
		})
		if a, b := outcome(k.must(t, req).Credits, true), outcome(k.must(t, other).Credits, true); a != b {
			t.Fatalf("another order differs:\n%s---\n%s%s", a, b, show(&req))
		}
	})
}

func TestSplittingChangesNoCreditAndNoAlternative(t *testing.T) {
	k := newKitchen(t)
	rapid.Check(t, func(t *rapid.T) {
		part := exact.Frac(1, 1)
		den := rapid.Int64Range(2, 12).Draw(t, "parts")
		part = exact.Frac(rapid.Int64Range(1, den-1).Draw(t, "part"), den)
		req, other := k.recipeOf(t, func(r *recipe.Recipe) {
			i := rapid.IntRange(0, len(r.Ingredients)-1).Draw(t, "ingredient")
			rest := r.Ingredients[i]
			rest.Quantity = rest.Quantity.Times(exact.Int(1).Sub(part))
			r.Ingredients[i].Quantity = r.Ingredients[i].Quantity.Times(part)
			r.Ingredients = slices.Insert(r.Ingredients, rapid.IntRange(0, len(r.Ingredients)).Draw(t, "place"), rest)
		})
		if a, b := outcome(k.must(t, req).Credits, true), outcome(k.must(t, other).Credits, true); a != b {
			t.Fatalf("two lines differ from one:\n%s---\n%s%s", a, b, show(&other))
		}
	})
}

// TestMoreFoodNeverLowersACredit holds for the component and each
// subgroup. What the subgroups leave of the total may shrink, and the weight of
// a portion is no sum: recipes that go by it keep doing so.
func TestMoreFoodNeverLowersACredit(t *testing.T) {
	k := newKitchen(t)
	rapid.Check(t, func(t *rapid.T) {
		req, more := k.recipeOf(t, func(r *recipe.Recipe) {})
		rs, err := k.rules.Resolve(req.On, req.Program, req.Options)
		if err != nil {
			t.Fatal(err)
		}
		in, ok := k.ingredient(drawn{t}, law{rs}, more.Recipe, rapid.Bool().Draw(t, "plain"))
		for !ok { // the dish leaves that one more than one reading
			in, ok = k.ingredient(drawn{t}, law{rs}, more.Recipe, true)
		}
		more.Recipe.Ingredients = append(more.Recipe.Ingredients, in)
		before, after := k.must(t, req), k.must(t, more)
		for _, a := range before.Credits {
			if a.Subgroup == food.Additional {
				continue
			}
			if a.Subgroup == food.OtherVegetables { // what fills it may turn into a step of its own subgroup
				if b := otherAndFillers(after); b.Less(otherAndFillers(before)) {
					t.Fatalf("other vegetables and what fills them fall from %s to %s\n%s", otherAndFillers(before), b, show(&more))
				}
				continue
			}
			b, ok := after.SubgroupCredit(a.Component, a.Subgroup)
			if !ok || b.Exact.Less(a.Exact) || b.Credited.Less(a.Credited) {
				t.Fatalf("%s %s falls from %s of %s to %s of %s (%v)\n%s", a.Component, a.Subgroup, a.Credited, a.Exact, b.Credited, b.Exact, ok, show(&more))
			}
		}
	})
}

// TestACrumbAddsNoMoreThanItself puts a little more grain beside bought products:
// they keep to their printed steps, and the crumb adds no more than it is worth.
func TestACrumbAddsNoMoreThanItself(t *testing.T) {
	k := newKitchen(t)
	lifted := 0
	rapid.Check(t, func(t *rapid.T) {
		c := drawn{t}
		s := settings[c.pick(len(settings))]
		if s.options["exhibit-a-fractions"]+s.options["non-table-exhibit-a"] != "" {
			return // nothing is held
		}
		on, err := rules.ParseDate(s.on)
		if err != nil {
			t.Fatal(err)
		}
		rs, err := k.rules.Resolve(on, s.program, s.options)
		if err != nil {
			t.Fatal(err)
		}
		l := law{rs}
		bought := func(group, amount string) recipe.Ingredient {
			q, err := measure.Parse(amount)
			if err != nil {
				t.Fatal(err)
			}
			return recipe.Ingredient{Food: "pantry-product-" + strings.ToLower(group), Quantity: q}
		}
		req := credit.Request{On: on, Program: s.program, Options: s.options, Recipe: &recipe.Recipe{Name: "Batch", Servings: 1, ExhibitAGroup: "D"}}
		taken := map[string]bool{}
		for range 1 + c.pick(3) {
			group := string(rune('A' + c.pick(7)))
			q, _ := k.weight(c, l, group, c.pick(3) > 0)
			taken[group+q.Unit().ID] = true
			req.Recipe.Ingredients = append(req.Recipe.Ingredients, bought(group, q.Text()))
		}
		crumb := bought("A", number(c, 30, false)+" g")
		switch c.pick(4) {
		case 0:
			group, kind := string(rune('A'+c.pick(7))), one(chooser(c), "g", "oz")
			if taken[group+kind] {
				return // more of the product itself
			}
			crumb = bought(group, number(c, 3, false)+" "+kind)
		case 1:
			crumb.Food, crumb.Quantity = "pantry-baked-7", crumb.Quantity.Times(exact.Frac(1, 1000))
		default:
			crumb.Food = one(chooser(c), "pantry-baked-7", "pantry-cooked-3", "flour-all-purpose-enriched")
		}
		alone, with := req, req
		alone.Recipe, with.Recipe = new(recipe.Recipe), new(recipe.Recipe)
		*alone.Recipe, *with.Recipe = *req.Recipe, *req.Recipe
		alone.Recipe.Ingredients = []recipe.Ingredient{crumb}
		with.Recipe.Ingredients = append(slices.Clone(req.Recipe.Ingredients), crumb)
		before, _ := k.must(t, req).Credit(food.Grains)
		itself, _ := k.must(t, alone).Credit(food.Grains)
		after, _ := k.must(t, with).Credit(food.Grains)
		most := before.Credited.Add(exact.Max(itself.Exact, itself.Credited))
		if after.Credited.Less(before.Credited) || most.Less(after.Credited) {
			t.Fatalf("%s alone, the crumb %s (%s), together %s\n%s", before.Credited, itself.Credited, itself.Exact, after.Credited, show(&with))
		}
		if down, _ := after.Exact.RoundDown(after.Step); after.Credited.Less(down) {
			lifted++
		}
	})
	if lifted < 50 {
		t.Errorf("only %d crumbs would have lifted a product by division", lifted)
	}
}

// otherAndFillers is the exact value of other vegetables and what the
// subgroups that may fill them credit themselves.
func otherAndFillers(r *credit.Record) exact.Number {
	sum := exact.Number{}
	for _, c := range r.Credits {
		switch c.Subgroup {
		case food.DarkGreen, food.RedOrange, food.BeansPeasLentils:
			sum = sum.Add(c.Credited)
		case food.OtherVegetables:
			sum = sum.Add(c.Exact)
		}
	}
	return sum
}

func TestRoundingDownOnce(t *testing.T) {
	k := newKitchen(t)
	rapid.Check(t, func(t *rapid.T) {
		req, _ := k.draw(drawn{t}, rapid.Bool().Draw(t, "at an edge"))
		rec := k.must(t, req)
		for _, c := range rec.Credits {
			if _, off := c.Credited.RoundDown(c.Step); !off.IsZero() || c.Credited.Sign() < 0 {
				t.Fatalf("%s %s credits %s, which is no step of %s\n%s", c.Component, c.Subgroup, c.Credited, c.Step, show(&req))
			}
			if c.Credited.Less(c.Claimable) || c.Status == credit.Documented && !c.Claimable.Equal(c.Credited) {
				t.Fatalf("%s %s credits %s, %s, and %s of it is claimable\n%s", c.Component, c.Subgroup, c.Credited, c.Status, c.Claimable, show(&req))
			}
			if c.Basis == credit.ExhibitAWeight || c.Basis == credit.ExhibitAHeld {
				// Printed weights are a table: a least weight may stand below
				// or above its share of the whole, but never by a step.
				if !c.Credited.Less(c.Exact.Add(c.Step)) {
					t.Fatalf("held to printed weights, %s credits %s\n%s", c.Exact, c.Credited, show(&req))
				}
				continue
			}
			if cut := c.Exact.Sub(c.Credited); cut.Sign() < 0 || !cut.Less(c.Step) {
				t.Fatalf("%s %s: %s credits %s, step %s\n%s", c.Component, c.Subgroup, c.Exact, c.Credited, c.Step, show(&req))
			}
		}
	})
}

func TestEveryRecordReplays(t *testing.T) {
	k := newKitchen(t)
	rapid.Check(t, func(t *rapid.T) {
		req, _ := k.draw(drawn{t}, rapid.Bool().Draw(t, "at an edge"))
		if err := credit.Replay(k.must(t, req)); err != nil {
			t.Fatalf("%v\n%s", err, show(&req))
		}
	})
}

func TestShortWayGivesTheSameCredits(t *testing.T) {
	k := newKitchen(t)
	rapid.Check(t, func(t *rapid.T) {
		req, _ := k.draw(drawn{t}, rapid.Bool().Draw(t, "at an edge"))
		short, err := k.engine.Credits(req)
		if err != nil {
			t.Fatal(err)
		}
		if a, b := outcome(short, false), outcome(k.must(t, req).Credits, false); a != b {
			t.Fatalf("Credits and Credit differ:\n%s---\n%s%s", a, b, show(&req))
		}
	})
}

// TestSameRequestSameRecord asks one engine again and again, others' requests
// and faulty ones in between, and an engine nobody asked anything before.
func TestSameRequestSameRecord(t *testing.T) {
	k := newKitchen(t)
	rapid.Check(t, func(t *rapid.T) {
		req, _ := k.draw(drawn{t}, rapid.Bool().Draw(t, "at an edge"))
		first := k.must(t, req)
		kept := outcome(first.Credits, true)
		for range rapid.IntRange(0, 3).Draw(t, "others") {
			other, _ := k.draw(drawn{t}, false)
			k.must(t, other)
			if other.Recipe != nil { // a fault on the way must leave nothing behind
				bad := *other.Recipe
				bad.Ingredients = append(slices.Clone(bad.Ingredients), recipe.Ingredient{Food: "no-such-food", Quantity: bad.Ingredients[0].Quantity})
				other.Recipe = &bad
				if _, err := k.engine.Credit(other); err == nil {
					t.Fatal("an unknown food is credited")
				}
			}
		}
		if outcome(first.Credits, true) != kept {
			t.Fatalf("a later request changed a record already handed out\n%s", show(&req))
		}
		for name, rec := range map[string]*credit.Record{"asked again": k.must(t, req), "a new engine": mustOf(t, credit.New(k.rules, k.catalog), req)} {
			if !reflect.DeepEqual(first, rec) {
				t.Fatalf("%s: another record\n%s", name, show(&req))
			}
		}
	})
}

func mustOf(t rapid.TB, e *credit.Engine, req credit.Request) *credit.Record {
	t.Helper()
	rec, err := e.Credit(req)
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// TestUnitsCommute writes every ingredient that has one in another unit of the
// same system.
func TestUnitsCommute(t *testing.T) {
	k := newKitchen(t)
	rewritten := 0
	rapid.Check(t, func(t *rapid.T) {
		req, other := k.recipeOf(t, func(r *recipe.Recipe) {
			for i := range r.Ingredients {
				if q, ok := inAnotherUnit(t, r.Ingredients[i].Quantity); ok {
					r.Ingredients[i].Quantity = q
					rewritten++
				}
			}
		})
		if a, b := outcome(k.must(t, req).Credits, true), outcome(k.must(t, other).Credits, true); a != b {
			t.Fatalf("another unit differs:\n%s---\n%s%s\n%s", a, b, show(&req), show(&other))
		}
	})
	if rewritten < 100 {
		t.Errorf("only %d amounts were rewritten", rewritten)
	}
}

// inAnotherUnit writes an amount in a unit drawn from its system, unless it is
// of packages or the number would have too many digits.
func inAnotherUnit(t *rapid.T, q measure.Quantity) (measure.Quantity, bool) {
	parts, kind, ok := readAmount(q.Text())
	if !ok {
		t.Fatalf("%s does not read", q.Text())
	}
	sum := new(big.Rat)
	for _, p := range parts {
		sum.Add(sum, new(big.Rat).Mul(readRat(p.number), readRat(p.unitSize)))
	}
	unit := one(chooser(drawn{t}), units(kind)...)
	size := unitSizes[unit].size
	if size == "" {
		return q, false
	}
	text, ok := write(sum.Quo(sum, readRat(size)))
	if !ok {
		return q, false
	}
	other, err := measure.Parse(text + " " + unit)
	if err != nil {
		t.Fatal(err)
	}
	return other, true
}

func TestSubgroupsAndAdditionalMakeTheTotal(t *testing.T) {
	k := newKitchen(t)
	rapid.Check(t, func(t *rapid.T) {
		req, _ := k.draw(drawn{t}, rapid.Bool().Draw(t, "at an edge"))
		rec := k.must(t, req)
		total, ok := rec.Credit(food.Vegetables)
		filled, _ := rec.SubgroupCredit(food.Vegetables, food.OtherVegetables)
		sum, exactly, claimable := exact.Number{}, exact.Number{}, exact.Number{}
		for _, c := range rec.Credits {
			if c.Component == food.Vegetables && c.Subgroup != food.NoSubgroup {
				sum, claimable = sum.Add(c.Credited), claimable.Add(c.Claimable)
				switch {
				case c.Subgroup == food.Additional:
				case filled.Basis == credit.OtherFilled && c.Subgroup != food.OtherVegetables && c.Subgroup != food.Starchy:
					exactly = exactly.Add(c.Credited) // the rest is in other
				default:
					exactly = exactly.Add(c.Exact)
				}
			}
		}
		if total.Claimable.Less(claimable) {
			t.Fatalf("of the parts %s is claimable, of the total %s\n%s", claimable, total.Claimable, show(&req))
		}
		if !ok && !sum.IsZero() || !sum.Equal(total.Credited) || total.Exact.Less(exactly) {
			t.Fatalf("the parts credit %s of %s, the total %s of %s\n%s", sum, exactly, total.Credited, total.Exact, show(&req))
		}
	})
}

// TestSubRecipesAreTheirIngredients moves some ingredients into a sub-recipe and
// takes them back by servings, weight or volume: the dish is the same.
func TestSubRecipesAreTheirIngredients(t *testing.T) {
	k := newKitchen(t)
	rapid.Check(t, func(t *rapid.T) {
		sub := recipe.Recipe{ID: "inner", Name: "Inner", Servings: rapid.IntRange(1, 60).Draw(t, "servings of the inner")}
		taken, made := rapid.Int64Range(1, 90).Draw(t, "taken"), int64(sub.Servings)
		unit := rapid.SampledFrom([]string{"each", "lb", "qt"}).Draw(t, "unit")
		q, err := measure.Parse(fmt.Sprint(taken, " ", unit))
		if err != nil {
			t.Fatal(err)
		}
		batch, err := measure.Parse(fmt.Sprint(made, " ", unit))
		if err != nil {
			t.Fatal(err)
		}
		switch unit {
		case "lb":
			sub.BatchWeight = batch
		case "qt":
			sub.BatchMeasure = batch
		}
		flat, nested := k.recipeOf(t, func(r *recipe.Recipe) {
			sub.ExhibitAGroup = r.ExhibitAGroup
			n := rapid.IntRange(1, len(r.Ingredients)).Draw(t, "moved")
			for _, in := range r.Ingredients[:n] {
				in.Quantity = in.Quantity.Times(exact.Frac(made, taken))
				sub.Ingredients = append(sub.Ingredients, in)
			}
			r.Ingredients = append(r.Ingredients[n:], recipe.Ingredient{SubRecipe: sub.ID, Quantity: q})
		})
		nested.SubRecipes = []recipe.Recipe{sub}
		if a, b := outcome(k.must(t, flat).Credits, true), outcome(k.must(t, nested).Credits, true); a != b {
			t.Fatalf("the sub-recipe differs from its ingredients:\n%s---\n%s%s", a, b, show(&flat))
		}
		if err := credit.Replay(k.must(t, nested)); err != nil {
			t.Fatalf("%v\n%s", err, show(&flat))
		}
	})
}

// TestAlternativesDiffer: an answer that is the credit is no alternative to it.
func TestAlternativesDiffer(t *testing.T) {
	k := newKitchen(t)
	rapid.Check(t, func(t *rapid.T) {
		req, _ := k.draw(drawn{t}, rapid.Bool().Draw(t, "at an edge"))
		for _, c := range k.must(t, req).Credits {
			for i, a := range c.Alternatives {
				if a.Credited.Equal(c.Credited) {
					t.Fatalf("%s %s credits %s and has %s as an alternative, which is the same\n%s", c.Component, c.Subgroup, c.Credited, a.Basis, show(&req))
				}
				if a.Basis == credit.EachRounded && c.Credited.Less(a.Credited) {
					t.Fatalf("%s each rounded down credits %s, the sum %s\n%s", c.Component, a.Credited, c.Credited, show(&req))
				}
				if slices.ContainsFunc(c.Alternatives[:i], func(b credit.Alternative) bool { return a.Basis == b.Basis }) {
					t.Fatalf("%s stands twice\n%s", a.Basis, show(&req))
				}
			}
		}
	})
}

// TestToSpareAndToNext does what the record says: leaves the amount to spare
// out, and adds the amount to the next step. A millionth of a unit more or less
// must decide, or the figure on the card is not the edge it claims to be.
func TestToSpareAndToNext(t *testing.T) {
	k := newKitchen(t)
	rapid.Check(t, func(t *rapid.T) {
		req, _ := k.draw(drawn{t}, rapid.Bool().Draw(t, "at an edge"))
		k.checkSpares(t, req)
	})
}

var millionth = exact.Frac(1, 1_000_000)

// with returns the request with an ingredient, the portion or the product of
// another amount.
func with(req credit.Request, s credit.Spare, change func(exact.Number) exact.Number) (credit.Request, bool) {
	moved := func(q measure.Quantity) (measure.Quantity, bool) {
		a := change(q.Amount())
		if a.Sign() <= 0 {
			return q, false
		}
		return measure.New(a, q.Unit()), true
	}
	var ok bool
	switch {
	case req.Product != nil:
		p := *req.Product
		p.Weight, ok = moved(p.Weight)
		req.Product = &p
	case s.Ingredient < 0:
		r := *req.Recipe
		r.Portions = slices.Clone(r.Portions)
		r.Portions[0].Weight, ok = moved(r.Portions[0].Weight)
		req.Recipe = &r
	default:
		r := *req.Recipe
		r.Ingredients = slices.Clone(r.Ingredients)
		r.Ingredients[s.Ingredient].Quantity, ok = moved(r.Ingredients[s.Ingredient].Quantity)
		req.Recipe = &r
	}
	return req, ok
}

func (k *kitchen) checkSpares(t rapid.TB, req credit.Request) {
	t.Helper()
	for _, c := range k.must(t, req).Credits {
		after := func(s credit.Spare, change func(exact.Number) exact.Number) (exact.Number, bool) {
			moved, ok := with(req, s, change)
			if !ok {
				return exact.Number{}, false
			}
			got, _ := k.must(t, moved).SubgroupCredit(c.Component, c.Subgroup)
			return got.Credited, true
		}
		if s := c.ToSpare; s.Unit != nil {
			if got, ok := after(s, func(a exact.Number) exact.Number { return a.Sub(s.Amount) }); ok && !got.Equal(c.Credited) {
				t.Fatalf("%s %s credits %s with %s %s to spare; without them it credits %s\n%s", c.Component, c.Subgroup, c.Credited, s.Amount, s.Unit.ID, got, show(&req))
			}
			if got, ok := after(s, func(a exact.Number) exact.Number { return a.Sub(s.Amount).Sub(millionth) }); ok && !got.Less(c.Credited) &&
				!k.subgroupDrops(t, req, c, func(a exact.Number) exact.Number { return a.Sub(s.Amount).Sub(millionth) }) {
				t.Fatalf("%s %s credits %s with only %s %s to spare; with more left out it still credits %s\n%s", c.Component, c.Subgroup, c.Credited, s.Amount, s.Unit.ID, got, show(&req))
			}
		}
		if s := c.ToNext; s.Unit != nil {
			if got, ok := after(s, func(a exact.Number) exact.Number { return a.Add(s.Amount) }); ok && !c.Credited.Less(got) {
				t.Fatalf("%s %s credits %s and %s %s more make the next step; with them it credits %s\n%s", c.Component, c.Subgroup, c.Credited, s.Amount, s.Unit.ID, got, show(&req))
			}
			if got, ok := after(s, func(a exact.Number) exact.Number { return a.Add(s.Amount).Sub(millionth) }); ok && c.Credited.Less(got) {
				t.Fatalf("%s %s credits %s and less than %s %s more make it %s\n%s", c.Component, c.Subgroup, c.Credited, s.Amount, s.Unit.ID, got, show(&req))
			}
		}
	}
}

// subgroupDrops reports whether the credit is of vegetables and the change
// lowers a subgroup: what can be spared of an ingredient ends where another
// credit it counts toward drops.
func (k *kitchen) subgroupDrops(t rapid.TB, req credit.Request, c credit.Credit, change func(exact.Number) exact.Number) bool {
	t.Helper()
	if c.Component != food.Vegetables {
		return false
	}
	moved, ok := with(req, c.ToSpare, change)
	if !ok {
		return false
	}
	rec := k.must(t, moved)
	for _, before := range k.must(t, req).Credits {
		if before.Component != food.Vegetables || before.Subgroup == food.NoSubgroup || before.Subgroup == food.Additional {
			continue
		}
		if after, _ := rec.SubgroupCredit(before.Component, before.Subgroup); after.Credited.Less(before.Credited) {
			return true
		}
	}
	return false
}
