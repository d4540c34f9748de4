package credit_test

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"os"
	"regexp"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// The oracle credits recipes a second time, on math/big. It was written from
// the rules, not from the engine: it takes every figure, every rule value and
// every amount as the text they are printed in, reads them itself, and shares
// no arithmetic with the library. Where a card leaves a choice open it declines
// to answer, so the recipes put to both have one right answer.

// factor is one figure on the way from an amount to a credit, as printed.
type factor struct {
	text   string
	divide bool
}

// reading is what one ingredient says: the numbers of its amount, each with its
// unit's size, and the figures between the amount and the credit.
type reading struct {
	component, subgroup string // empty component: it earns nothing
	amount              []factored
	by                  []factor
	dried               string      // factor of dried fruit measured as served, to be applied last; or empty
	table               *printedRow // rows of Exhibit A, for bought grain products
}

type factored struct{ number, unitSize string }

// printedRow is a table of least weights, largest credit first.
type printedRow struct {
	group           string
	credits, leasts []string
}

// unitSizes is how many of the base unit (oz, g, cup, mL, each) one unit is.
var unitSizes = map[string]struct{ kind, size string }{
	"oz": {"oz", "1"}, "lb": {"oz", "16"}, "g": {"g", "1"}, "kg": {"g", "1000"},
	"cup": {"cup", "1"}, "tsp": {"cup", "1/48"}, "Tbsp": {"cup", "1/16"}, "fl oz": {"cup", "1/8"}, "pt": {"cup", "2"}, "qt": {"cup", "4"}, "gal": {"cup", "16"},
	"half-gal": {"cup", "8"}, "half-pt": {"cup", "1"}, "mL": {"mL", "1"}, "L": {"mL", "1000"},
	"each": {"each", "1"}, "dozen": {"each", "12"},
}

// A US gallon is 231 cubic inches of 2.54 cm, a sixteenth of it a cup.
const millilitersInCup = "236.5882365"

var (
	amountPattern = regexp.MustCompile(`^([0-9]+(?:\.[0-9]+)?(?: [0-9]+/[0-9]+)?|[0-9]+/[0-9]+) (.*)$`)
	cookedStates  = []string{"cooked", "heated", "baked", "roasted", "steamed", "boiled", "reconstituted"}
)

// readAmount reads "2 lb 4 oz" into its numbers and what they measure: oz, g,
// cup, mL, each, or the name of a package.
func readAmount(text string) (parts []factored, kind string, ok bool) {
	for text != "" {
		m := amountPattern.FindStringSubmatch(text)
		if m == nil {
			return nil, "", false
		}
		rest, unit, size := m[2], "", ""
		for name, u := range unitSizes { // the longest name that fits
			if (rest == name || strings.HasPrefix(rest, name+" ")) && len(name) > len(unit) {
				unit, size = name, u.size
				if kind != "" && kind != u.kind {
					return nil, "", false
				}
				kind = u.kind
			}
		}
		if unit == "" { // a package: nothing follows its name
			unit, size, kind = rest, "1", rest
		}
		parts = append(parts, factored{m[1], size})
		text = strings.TrimPrefix(strings.TrimPrefix(rest, unit), " ")
	}
	return parts, kind, len(parts) > 0
}

// uncooked reports whether a state is one of food before cooking.
func uncooked(state string) bool {
	broad, _, _ := strings.Cut(state, "-")
	return !slices.Contains(cookedStates, broad)
}

// law is the text of the rules in force.
type law struct {
	rs *rules.RuleSet
}

func (l law) text(id string) string {
	v, err := l.rs.Get(id)
	if err != nil {
		return ""
	}
	return v.Text
}

func (l law) ounceEquivalents() bool { return l.text("grains/unit") == "oz-eq" }

// rows returns the printed weights of an Exhibit A group in a column.
func (l law) rows(group, column string) *printedRow {
	id := "grains/exhibit-a/"
	if !l.ounceEquivalents() {
		id = "grains/exhibit-a-serving/"
	}
	v, err := l.rs.Get(id + group + "/" + column)
	if err != nil {
		return nil
	}
	if row, ok := rowsOf.Load(v); ok {
		return row.(*printedRow)
	}
	row := &printedRow{group: group}
	for i := range v.Steps {
		row.credits = append(row.credits, v.Steps[i].CreditText)
		row.leasts = append(row.leasts, v.Steps[i].LeastText)
	}
	kept, _ := rowsOf.LoadOrStore(v, row)
	return kept.(*printedRow)
}

// only returns the one figure of a kind, or nil and whether there is none.
func only(f *food.Food, keep func(*food.Figure) bool) (one *food.Figure, none bool) {
	none = true
	for _, g := range f.Figures {
		if !keep(g) {
			continue
		}
		if !none {
			return nil, false
		}
		one, none = g, false
	}
	return one, none
}

func ofKind(kinds ...food.Kind) func(*food.Figure) bool {
	return func(g *food.Figure) bool { return slices.Contains(kinds, g.Kind) }
}

// inGrams brings an amount to grams of the food, or declines.
func (l law) inGrams(f *food.Food, kind string) ([]factor, bool) {
	times := func(g *food.Figure) []factor { return []factor{{g.Text, false}} }
	switch kind {
	case "g":
		return nil, true
	case "oz":
		return []factor{{l.text("measure/grams-per-ounce"), false}}, true
	case "cup", "mL":
		g, _ := only(f, func(g *food.Figure) bool { return g.Kind == food.CupWeight && uncooked(g.State) })
		if g == nil {
			return nil, false
		}
		if kind == "mL" {
			return append([]factor{{millilitersInCup, true}}, times(g)...), true
		}
		return times(g), true
	case "each":
		g, _ := only(f, ofKind(food.PieceWeight))
		if g == nil {
			return nil, false
		}
		return times(g), true
	}
	g, _ := only(f, func(g *food.Figure) bool { return g.Kind == food.NetWeight && g.Unit.ID == kind })
	if g == nil {
		return nil, false
	}
	return append(times(g), factor{l.text("measure/grams-per-ounce"), false}), true
}

// read reads one ingredient, or declines when the card leaves a choice open.
func (l law) read(r *recipe.Recipe, in *recipe.Ingredient, f *food.Food) (reading, bool) {
	parts, kind, ok := readAmount(in.Quantity.Text())
	if !ok {
		return reading{}, false
	}
	rd := reading{amount: parts}
	if f.NoCredit == "refined-not-enriched" || in.NotCrediting && f.GrainKind == food.NotCreditableGrain {
		return rd, false // may deny the rest its credit, left out or not
	}
	if in.NotCrediting || f.NoCredit != "" && in.CreditAs == "" {
		return rd, true
	}
	comp := in.CreditAs
	if comp == "" {
		comp = f.Components[0].String()
	}
	if _, none := only(f, ofKind(food.Protein)); !none || f.GrainKind == food.NotCreditableGrain {
		return rd, false // alternate protein, and grain that may deny the rest its credit
	}
	switch {
	case (comp == "milk" || f.Traits.Has(food.Juice)) && in.CreditAs != "":
		return rd, false // asked for as a drink
	case comp == "milk", f.Traits.Has(food.NeedsPapers), f.Traits.Has(food.Juice):
		return rd, true
	case f.Traits.Has(food.Coconut), f.Traits.Has(food.TomatoConcentrate), f.Traits.Has(food.MixedUnknown), f.Traits.Has(food.Surimi), f.Traits.Has(food.Popcorn):
		return rd, false
	}
	rd.component = comp
	if comp == "grains" {
		return l.readGrain(rd, r, in, f, kind)
	}
	if comp == "vegetables" {
		rd.subgroup = f.Subgroup.String()
	}
	return l.readServed(rd, in, f, kind)
}

func (l law) readGrain(rd reading, r *recipe.Recipe, in *recipe.Ingredient, f *food.Food, kind string) (reading, bool) {
	use := f.GrainUse.String()
	served := in.Basis == "as-served" || in.State != "" && !uncooked(in.State)
	if served && (use == "cooked" || use == "either" || in.Basis != "as-served") {
		// measured cooked: 1/2 cup is one
		if kind != "cup" || use == "product" || use == "baked" {
			return rd, false
		}
		id := "grains/cups/cooked"
		if !l.ounceEquivalents() {
			id = "grains/cups/serving-cooked"
		}
		rd.by = []factor{{l.text(id), true}}
		return rd, l.text(id) != ""
	}
	if in.State != "" {
		return rd, false
	}
	if use == "product" {
		group, column := in.ExhibitAGroup, "g"
		if group == "" && f.ExhibitAGroup != 0 {
			group = string(f.ExhibitAGroup)
		}
		if group == "" || group > "G" {
			return rd, false
		}
		if kind == "oz" {
			column = "oz"
		} else if rd.by, _ = l.inGrams(f, kind); kind != "g" && rd.by == nil {
			return rd, false
		}
		if rd.table = l.rows(group, column); rd.table == nil {
			return rd, false
		}
		rd.by = append(rd.by, factor{rd.table.leasts[0], true})
		return rd, true
	}
	// The divisor follows the use of the ingredient: flour is baked in, breaded
	// or thickens; pasta, rice and cereal grains are cooked; oats are either,
	// as the dish is.
	baked := use == "baked"
	switch group := in.ExhibitAGroup + r.ExhibitAGroup; {
	case in.ExhibitAGroup != "":
		baked = in.ExhibitAGroup < "H"
	case use == "either" && group == "":
		return rd, false
	case use == "either":
		baked = group < "H"
	}
	id := ""
	switch {
	case l.ounceEquivalents() && baked:
		id = "grains/grams/baked"
	case l.ounceEquivalents() && use == "cereal":
		id = "grains/grams/cereal"
	case l.ounceEquivalents():
		id = "grains/grams/cooked"
	case baked:
		id = "grains/grams/serving"
	default:
		id = "grains/grams/serving-dry"
	}
	by, ok := l.inGrams(f, kind)
	share, none := only(f, ofKind(food.GrainShare))
	if !ok || share == nil && !none || l.text(id) == "" {
		return rd, false
	}
	rd.by = by
	if share != nil {
		rd.by = append(rd.by, factor{share.Text, false})
	}
	rd.by = append(rd.by, factor{l.text(id), true})
	return rd, true
}

// readServed reads what credits by servings per purchase unit or by volume as
// served.
func (l law) readServed(rd reading, in *recipe.Ingredient, f *food.Food, kind string) (reading, bool) {
	volume := kind == "cup" || kind == "mL"
	basis := in.Basis
	if basis == "" {
		basis = "as-purchased"
		if volume {
			basis = "usable"
		}
	}
	_, undrained := only(f, func(g *food.Figure) bool { return g.Kind == food.Servings && g.Basis == food.Drained })
	just := slices.ContainsFunc(f.Figures, func(g *food.Figure) bool {
		return g.Kind == food.Servings && g.Component.String() == rd.component && g.State == in.State
	})
	var ways []reading
	states := map[string]bool{}
	for _, g := range f.Figures {
		if g.Kind != food.Servings || g.Component.String() != rd.component || in.State != "" && g.State != in.State && !strings.HasPrefix(g.State, in.State+"-") || smallerServing(f, g) {
			continue
		}
		if just && g.State != in.State {
			continue // a figure for just this state goes before those of its cuts
		}
		states[g.State] = true
		if basis == "usable" && !uncooked(g.State) && (volume || !undrained) {
			return rd, false // measured before cooking or heating: another rule's business
		}
		if by, ok := l.toUnit(f, g, kind, basis); ok {
			size, _, _ := strings.Cut(g.SizeText, " oz eq")
			size, _, _ = strings.Cut(size, " cup")
			way := rd
			way.by = append(by, factor{g.Text, false}, factor{size, false})
			ways = append(ways, l.special(way, f, g.State))
		}
	}
	if len(states) > 1 {
		return rd, false
	}
	wet := basis == "as-served" || f.Form != "dry" && f.Form != "dehydrated" && f.Form != "concentrate"
	if volume && wet && (basis == "as-served" || uncooked(in.State)) && (rd.component != "meats" || f.Traits.Has(food.Legume)) {
		way := rd
		if kind == "mL" {
			way.by = append(way.by, factor{millilitersInCup, true})
		}
		if rd.component == "meats" {
			way.by = append(way.by, factor{l.text("legumes/cups-per-oz-eq"), true})
		}
		ways = append(ways, l.special(way, f, in.State))
	}
	if len(ways) == 0 {
		return rd, false
	}
	for _, way := range ways[1:] { // two figures that say the same are no choice
		if worth(&rationals, &way).Cmp(worth(&rationals, &ways[0])) != 0 {
			return rd, false
		}
	}
	return ways[0], true
}

// smallerServing reports whether g's row is printed for a smaller serving too.
func smallerServing(f *food.Food, g *food.Figure) bool {
	number := func(size string) *big.Rat {
		return rationals.read(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(size, " oz eq"), " cups"), " cup"))
	}
	for _, h := range f.Figures {
		if h.Kind == food.Servings && h.State == g.State && h.Component == g.Component && h.Unit == g.Unit && h.Basis == g.Basis && h.SizeText != g.SizeText &&
			number(h.SizeText).Cmp(number(g.SizeText)) < 0 {
			return true
		}
	}
	return false
}

// toUnit brings an amount to the purchase unit of a figure.
func (l law) toUnit(f *food.Food, g *food.Figure, kind, basis string) ([]factor, bool) {
	unit, known := unitSizes[g.Unit.ID]
	if !known {
		unit.kind, unit.size = g.Unit.ID, "1"
	}
	per := func(by ...factor) []factor {
		if unit.size != "1" {
			by = append(by, factor{unit.size, true})
		}
		return by
	}
	ounce := l.text("measure/grams-per-ounce")
	drained := g.Basis == food.Drained
	// A usable weight was bought as usable / share. A share of some cut alone
	// is not the share of another.
	trimmed := func(by []factor) ([]factor, bool) {
		share, none := only(f, ofKind(food.Usable))
		if share == nil {
			return by, none
		}
		return append(by, factor{share.Text, true}), share.State == "ready-to-use" || share.State == g.State
	}
	switch kind {
	case "oz", "g":
		var by []factor
		switch {
		case unit.kind == kind:
		case unit.kind == "oz":
			by = append(by, factor{ounce, true})
		case unit.kind == "g":
			by = append(by, factor{ounce, false})
		case known:
			return nil, false
		default: // sold by the package: its net weight says how many
			net, _ := only(f, func(n *food.Figure) bool { return n.Kind == food.NetWeight && n.Unit == g.Unit })
			if net == nil || basis != "as-purchased" {
				return nil, false
			}
			if kind == "g" {
				by = append(by, factor{ounce, true})
			}
			return append(by, factor{net.Text, true}), true
		}
		switch {
		case basis == "as-served", drained && basis != "usable":
			return nil, false
		case basis == "usable" && !drained:
			return trimmed(per(by...))
		}
		return per(by...), true
	case "each":
		if unit.kind == "each" {
			return per(), true
		}
		piece, _ := only(f, ofKind(food.PieceWeight))
		if piece == nil || drained || unit.kind != "oz" && unit.kind != "g" {
			return nil, false
		}
		by := []factor{{piece.Text, false}}
		if unit.kind == "oz" {
			by = append(by, factor{ounce, true})
		}
		return trimmed(per(by...)) // a piece is weighed ready to eat
	case "cup":
		return per(), unit.kind == "cup"
	case "mL":
		return per(factor{millilitersInCup, true}), unit.kind == "cup"
	}
	if unit.kind == kind {
		return nil, true
	}
	net, _ := only(f, func(n *food.Figure) bool { return n.Kind == food.NetWeight && n.Unit.ID == kind })
	if net == nil || drained || unit.kind != "oz" {
		return nil, false
	}
	return per(factor{net.Text, false}), true
}

// special applies the rules for raw leafy greens and dried fruit.
func (l law) special(rd reading, f *food.Food, state string) reading {
	if !uncooked(state) {
		return rd
	}
	switch {
	case f.Traits.Has(food.Leafy) && f.CanCredit(food.Vegetables):
		rd.by = append(rd.by, factor{l.text("vegetables/raw-leafy-factor"), false})
	case f.Traits.Has(food.DriedFruit) && f.CanCredit(food.Fruits):
		rd.dried = l.text("fruits/dried-factor")
	}
	return rd
}

// numbers is an arithmetic. The oracle's is exact; the mutants' are what people
// write instead.
type numbers[T any] struct {
	read          func(string) T
	add, mul, quo func(a, b T) T
	less          func(a, b T) bool
	floor         func(x, step T) T
}

// memo keeps texts already read; printed figures come up again and again.
type memo[T any] struct {
	mu sync.RWMutex
	m  map[string]T
}

func (c *memo[T]) get(text string, read func(string) T) T {
	c.mu.RLock()
	v, ok := c.m[text]
	c.mu.RUnlock()
	if ok {
		return v
	}
	v = read(text)
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.m == nil || len(c.m) > 20_000 {
		c.m = make(map[string]T)
	}
	c.m[text] = v
	return v
}

var (
	rowsOf sync.Map // *printedRow by *rules.Value: one table is one pointer

	ratMemo   memo[*big.Rat]
	rationals = numbers[*big.Rat]{
		read: func(s string) *big.Rat { return ratMemo.get(s, readRat) },
		add:  func(a, b *big.Rat) *big.Rat { return new(big.Rat).Add(a, b) },
		mul:  func(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) },
		quo:  func(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) },
		less: func(a, b *big.Rat) bool { return a.Cmp(b) < 0 },
		floor: func(x, step *big.Rat) *big.Rat {
			q := new(big.Rat).Quo(x, step)
			k := new(big.Int).Quo(q.Num(), q.Denom())
			return new(big.Rat).Mul(new(big.Rat).SetInt(k), step)
		},
	}
)

// readRat reads a number as printed: 3, 2.25, 1/3, 2 1/4.
func readRat(s string) *big.Rat {
	whole, part, mixed := strings.Cut(s, " ")
	sum, ok := new(big.Rat).SetString(whole)
	if mixed {
		p, ok2 := new(big.Rat).SetString(part)
		if !ok2 {
			panic("oracle: " + s)
		}
		sum.Add(sum, p)
	}
	if !ok {
		panic("oracle: " + strconv.Quote(s))
	}
	return sum
}

// worth works one reading out, in credit of the whole batch; dried fruit stays
// in cups as served.
func worth[T any](n *numbers[T], rd *reading) T {
	v := n.mul(n.read(rd.amount[0].number), n.read(rd.amount[0].unitSize))
	for _, p := range rd.amount[1:] {
		v = n.add(v, n.mul(n.read(p.number), n.read(p.unitSize)))
	}
	for _, f := range rd.by {
		if f.divide {
			v = n.quo(v, n.read(f.text))
		} else {
			v = n.mul(v, n.read(f.text))
		}
	}
	return v
}

// card is a request as the oracle reads it: text only.
type card struct {
	servings string
	lines    []reading
	weight   *reading    // of the portion, in the unit of rows; nil when the grains go by ingredients
	rows     *printedRow // of the portion's group
	division bool        // State option: Exhibit A by division
	pooled   bool        // State option: so within a dish
	least    string      // dried fruit a portion must hold
	// subgroups whose additional amounts may count as other vegetables
	fillOther []string
	steps     map[string]string
}

// answer is what a portion credits toward a component or subgroup.
type answer[T any] struct {
	component, subgroup string
	exactly, credited   T
}

var componentOrder = []string{"grains", "meats", "fruits", "vegetables"}
var subgroupOrder = []string{"dark-green", "red-orange", "beans-peas-lentils", "starchy", "other"}

// credits works a card out.
func credits[T any](n *numbers[T], c *card) []answer[T] {
	var out []answer[T]
	zero, servings := n.read("0"), n.read(c.servings)
	portion := func(sum T, component, subgroup string) *answer[T] {
		e := n.quo(sum, servings)
		out = append(out, answer[T]{component, subgroup, e, n.floor(e, n.read(c.steps[component]))})
		return &out[len(out)-1]
	}
	type sum struct {
		total T
		any   bool
	}
	sums := make(map[string]*sum)
	add := func(key string, v T) {
		if sums[key] == nil {
			sums[key] = &sum{total: zero}
		}
		sums[key].total, sums[key].any = n.add(sums[key].total, v), true
	}
	dried, anyDried, driedFactor := zero, false, ""
	products, loose := map[*printedRow]T{}, zero // grain by the table it was bought under, and without one
	for i := range c.lines {
		rd := &c.lines[i]
		switch {
		case rd.component == "":
			continue
		case rd.component == "grains" && c.weight != nil:
			continue
		}
		v := worth(n, rd)
		if rd.dried != "" {
			dried, anyDried, driedFactor = n.add(dried, v), true, rd.dried
			add("fruits", zero)
			continue
		}
		add(rd.component, v)
		if rd.component == "vegetables" {
			add(rd.subgroup, v)
		}
		switch weight, known := products[rd.table]; {
		case rd.component != "grains":
		case rd.table == nil:
			loose = n.add(loose, v)
		case known:
			products[rd.table] = n.add(weight, n.mul(v, n.read(rd.table.leasts[0])))
		default:
			products[rd.table] = n.mul(v, n.read(rd.table.leasts[0]))
		}
	}
	// Less dried fruit than 1/8 cup in a portion as served does not credit.
	if anyDried && !n.less(n.quo(dried, servings), n.read(c.least)) {
		add("fruits", n.mul(dried, n.read(driedFactor)))
	}
	if c.weight != nil {
		w := worth(n, c.weight)
		e := n.quo(w, n.read(c.rows.leasts[0]))
		credited := n.floor(e, n.read(c.steps["grains"]))
		if !c.division {
			credited = printed(n, w, c.rows)
		}
		out = append(out, answer[T]{"grains", "", e, credited})
	}
	for _, component := range componentOrder {
		s := sums[component]
		if s == nil || !s.any {
			continue
		}
		a := portion(s.total, component, "")
		if component == "grains" && len(products) > 0 && !c.division && !c.pooled {
			// Printed weights bind as if what a portion holds of a table were
			// served alone; the rest of the grain comes on top.
			all := n.quo(loose, servings)
			columns := map[string][]column[T]{}
			for table, weight := range products {
				w := n.quo(weight, servings)
				columns[table.group] = append(columns[table.group], column[T]{n.quo(w, n.read(table.leasts[0])), printed(n, w, table)})
			}
			for _, cs := range columns {
				all = n.add(all, together(n, cs, n.read(c.steps["grains"])))
			}
			a.credited = n.floor(all, n.read(c.steps["grains"]))
		}
	}
	if s := sums["vegetables"]; s != nil {
		minus := func(a, b T) T { return n.add(a, n.mul(n.read("-1"), b)) } // the arithmetics have no minus
		left, unclaimed := out[len(out)-1].credited, zero
		for _, sub := range subgroupOrder {
			batch := zero
			switch own := sums[sub]; {
			case own != nil:
				batch = own.total
			case sub != "other" || n.less(unclaimed, n.read(c.steps["vegetables"])):
				continue
			}
			if sub == "other" {
				// What the subgroups before it could not use may count here.
				batch = n.add(batch, n.mul(unclaimed, servings))
			}
			a := portion(batch, "vegetables", sub)
			left = minus(left, a.credited)
			if slices.Contains(c.fillOther, sub) {
				unclaimed = n.add(unclaimed, minus(a.exactly, a.credited))
			}
		}
		if n.less(zero, left) {
			out = append(out, answer[T]{"vegetables", "additional", left, left})
		}
	}
	return out
}

// column is what a portion holds of one group in one column of Exhibit A: its
// share of the whole, and the credit printed for it.
type column[T any] struct{ share, credit T }

// together is what the columns of a group credit: grams and ounces of it looked
// up apart may add up, up to the plain division.
func together[T any](n *numbers[T], cs []column[T], step T) T {
	if len(cs) == 1 {
		return cs[0].credit
	}
	sum, most := n.add(cs[0].credit, cs[1].credit), n.floor(n.add(cs[0].share, cs[1].share), step)
	for _, c := range cs { // no less than one of them alone
		if n.less(most, c.credit) {
			most = c.credit
		}
	}
	if n.less(most, sum) {
		return most
	}
	return sum
}

// printed looks a weight up: whole ounce equivalents, then the largest printed
// fraction that what is left reaches.
func printed[T any](n *numbers[T], weight T, rows *printedRow) T {
	full := n.read(rows.leasts[0])
	whole := n.floor(weight, full)
	rest := n.add(weight, n.mul(n.read("-1"), whole))
	credited := n.quo(whole, full)
	for i := range rows.leasts {
		if !n.less(rest, n.read(rows.leasts[i])) {
			return n.add(credited, n.read(rows.credits[i]))
		}
	}
	return credited
}

// readCard reads a request, or declines.
func readCard(cat *food.Catalog, rs *rules.RuleSet, req *credit.Request) (*card, bool) {
	l := law{rs}
	c := &card{servings: "1", division: rs.Options["exhibit-a-fractions"] == "division", pooled: rs.Options["non-table-exhibit-a"] == "pooled", least: l.text("fruits/dried-least"),
		steps: map[string]string{"grains": l.text("credit/step/grains"), "meats": l.text("credit/step/meats"), "fruits": l.text("credit/step/fruits"), "vegetables": l.text("credit/step/vegetables")}}
	for _, sub := range strings.Split(l.text("vegetables/other-met-with"), ", ") {
		if slices.Contains(subgroupOrder, sub) {
			c.fillOther = append(c.fillOther, sub)
		}
	}
	byWeight := func(text, group string) bool {
		parts, kind, ok := readAmount(text)
		if !ok || kind != "g" && kind != "oz" {
			return false
		}
		c.weight, c.rows = &reading{amount: parts}, l.rows(group, kind)
		return c.rows != nil
	}
	if p := req.Product; p != nil {
		return c, byWeight(p.Weight.Text(), p.ExhibitAGroup)
	}
	r := req.Recipe
	c.servings = strconv.Itoa(r.Servings)
	grains := false
	for i := range r.Ingredients {
		f, ok := cat.Food(r.Ingredients[i].Food)
		if !ok {
			return nil, false
		}
		rd, ok := l.read(r, &r.Ingredients[i], f)
		if !ok {
			return nil, false
		}
		grains = grains || rd.component == "grains"
		c.lines = append(c.lines, rd)
	}
	if len(r.Portions) > 0 && !r.Portions[0].Weight.IsZero() && r.ExhibitAGroup != "" && r.ExhibitAGroup <= "G" &&
		(r.GrainsMethod == recipe.ExhibitA || r.GrainsMethod == "" && !grains) {
		return c, byWeight(r.Portions[0].Weight.Text(), r.ExhibitAGroup)
	}
	return c, r.GrainsMethod != recipe.ExhibitA
}

// show writes a request so that somebody can type it in.
func show(req *credit.Request) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s on %s", req.Program, req.On)
	for k, v := range req.Options {
		fmt.Fprintf(&b, ", %s=%s", k, v)
	}
	if p := req.Product; p != nil {
		fmt.Fprintf(&b, "\n  product of group %s, %s", p.ExhibitAGroup, p.Weight.Text())
		return b.String()
	}
	r := req.Recipe
	fmt.Fprintf(&b, "\n  %d servings", r.Servings)
	if r.ExhibitAGroup != "" {
		fmt.Fprintf(&b, ", group %s", r.ExhibitAGroup)
	}
	if r.GrainsMethod != "" {
		fmt.Fprintf(&b, ", grains by %s", r.GrainsMethod)
	}
	for _, p := range r.Portions {
		fmt.Fprintf(&b, ", a portion weighs %s", p.Weight.Text())
	}
	for _, in := range r.Ingredients {
		fmt.Fprintf(&b, "\n  %s of %s", in.Quantity.Text(), in.Food)
		for _, x := range []struct{ name, value string }{{"basis", in.Basis}, {"state", in.State}, {"credited as", in.CreditAs}, {"group", in.ExhibitAGroup}} {
			if x.value != "" {
				fmt.Fprintf(&b, ", %s %s", x.name, x.value)
			}
		}
		if in.NotCrediting {
			b.WriteString(", not crediting")
		}
	}
	return b.String()
}

// differs compares the engine's credits with the oracle's and says how they
// differ, or nothing.
func differs(got []credit.Credit, want []answer[*big.Rat]) string {
	var b strings.Builder
	// A component nothing was counted for, that waits for a paper, is no answer
	// of the oracle's.
	got = slices.DeleteFunc(slices.Clone(got), func(c credit.Credit) bool { return c.Status == credit.NeedsPaper && c.Exact.IsZero() })
	if len(got) != len(want) {
		fmt.Fprintf(&b, "the engine has %d credits, the oracle %d; ", len(got), len(want))
	}
	for _, w := range want {
		i := slices.IndexFunc(got, func(c credit.Credit) bool {
			return c.Component.String() == w.component && c.Subgroup.String() == w.subgroup
		})
		if i < 0 {
			fmt.Fprintf(&b, "%s %s: %s (%s) is missing; ", w.component, w.subgroup, w.credited.RatString(), w.exactly.RatString())
			continue
		}
		if g := &got[i]; g.Exact.Rat().Cmp(w.exactly) != 0 || g.Credited.Rat().Cmp(w.credited) != 0 {
			fmt.Fprintf(&b, "%s %s: credits %s of exactly %s, the oracle has %s of %s; ", w.component, w.subgroup,
				g.Credited.Fraction(), g.Exact.Fraction(), w.credited.RatString(), w.exactly.RatString())
		}
	}
	return b.String()
}

// recipesToTry is how many random recipes a run takes: the environment variable
// OZEQ_RECIPES if it is set, so that a night's run can do a million.
func recipesToTry(t *testing.T) int {
	if s := os.Getenv("OZEQ_RECIPES"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || n <= 0 {
			t.Fatalf("OZEQ_RECIPES is %q, want a number of recipes", s)
		}
		return n
	}
	if testing.Short() || racing() {
		return racingRecipes
	}
	return usualRecipes
}

// Random requests in an ordinary run. The race detector makes them fourteen
// times slower, and finds what it looks for in fewer.
const (
	usualRecipes  = 200_000
	racingRecipes = 20_000
)

// racing reports whether this test was built with the race detector.
func racing() bool {
	info, ok := debug.ReadBuildInfo()
	return ok && slices.ContainsFunc(info.Settings, func(s debug.BuildSetting) bool { return s.Key == "-race" && s.Value == "true" })
}

// TestOracleAgrees puts random recipes to the engine and to the oracle. Every
// second one is built to land exactly on a step or one smallest unit beside it,
// where any arithmetic that rounds on the way goes wrong. None may differ.
func TestOracleAgrees(t *testing.T) {
	const workers = 2
	n := recipesToTry(t)
	k := newKitchen(t)
	var seen tally
	start := time.Now()
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			var mine tally
			for i := w; i < n && !t.Failed(); i += workers {
				mine.oracleCase(t, k, uint64(i))
			}
			seen.add(&mine)
		})
	}
	wg.Wait()
	t.Logf("%d recipes in %v: %s", n, time.Since(start).Round(time.Millisecond), seen.String())
	if t.Failed() || n < 10_000 {
		return
	}
	// A generator that stopped reaching a case would pass for ever.
	for what, count := range seen.counts() {
		if count < n/2_000 {
			t.Errorf("only %d of %d recipes had %s", count, n, what)
		}
	}
	if seen.built < n*9/20 {
		t.Errorf("%d of %d recipes were built to an edge, want nearly half", seen.built, n)
	}
}

// oracleCase compares one recipe, chosen by its number alone.
func (s *tally) oracleCase(t *testing.T, k *kitchen, i uint64) {
	rnd := rand.New(rand.NewPCG(20260914, i))
	req, edge := k.draw(random{rnd}, i%2 == 1)
	rs, err := k.rules.Resolve(req.On, req.Program, req.Options)
	if err != nil {
		t.Errorf("recipe %d: %v", i, err)
		return
	}
	c, ok := readCard(k.catalog, rs, &req)
	if !ok {
		t.Errorf("recipe %d: the oracle declines what was drawn for it\n%s", i, show(&req))
		return
	}
	want := credits(&rationals, c)
	if m := edge.missed(want); m != "" {
		t.Errorf("recipe %d: %s\n%s", i, m, show(&req))
	}
	rec, err := k.engine.Credit(req)
	if err != nil {
		t.Errorf("recipe %d: %v\n%s", i, err, show(&req))
		return
	}
	if d := differs(rec.Credits, want); d != "" {
		t.Errorf("recipe %d: %s\n%s", i, d, show(&req))
	}
	if i%8 < 2 { // the short way and the ledger, for a share of them
		short, err := k.engine.Credits(req)
		if d := differs(short, want); err != nil || d != "" {
			t.Errorf("recipe %d: Credits: %v %s\n%s", i, err, d, show(&req))
		}
		if err := credit.Replay(rec); err != nil {
			t.Errorf("recipe %d: replay: %v\n%s", i, err, show(&req))
		}
	}
	s.count(c, rec, edge)
}

// tally counts what the random recipes reached.
type tally struct {
	mu                                                                                                  sync.Mutex
	built, onStep, beside                                                                               int
	product, portion, held, heldBeside, filled, leafy, driedIn, driedOut, subgroups, additional, usable int
	packages, pieces, volumes, metric, legume, servings, beyond, nothing                                int
}

func (s *tally) count(c *card, rec *credit.Record, e edge) {
	if e.built {
		s.built++
		if e.off == 0 {
			s.onStep++
		} else {
			s.beside++
		}
	}
	inc := func(n *int, yes bool) {
		if yes {
			*n++
		}
	}
	inc(&s.product, rec.Ingredients == nil)
	inc(&s.portion, c.weight != nil && rec.Ingredients != nil)
	inc(&s.servings, rec.GrainsUnit == "serving")
	var dried, left, leafy, packages, pieces, volumes, metric, legume, usable bool
	for i := range rec.Ingredients {
		l := &rec.Ingredients[i]
		d := l.Component == food.NoComponent && strings.Contains(l.Reason, "dried")
		dried, left = dried || l.Food.Traits.Has(food.DriedFruit) && l.Component == food.Fruits, left || d
		leafy = leafy || l.Food.Traits.Has(food.Leafy) && l.Component == food.Vegetables
		legume = legume || l.Food.Traits.Has(food.Legume) && l.Component == food.Meats
		_, kind, _ := readAmount(l.Quantity.Text())
		switch kind {
		case "cup", "mL":
			volumes = true
		case "each":
			pieces = true
		case "oz", "g":
			usable = usable || l.Basis == food.ReadyToUse && l.Component != food.Grains
		default:
			packages = true
		}
		metric = metric || kind == "g" || kind == "mL"
	}
	inc(&s.driedIn, dried)
	inc(&s.driedOut, left)
	inc(&s.leafy, leafy)
	inc(&s.packages, packages)
	inc(&s.pieces, pieces)
	inc(&s.volumes, volumes)
	inc(&s.metric, metric)
	inc(&s.legume, legume)
	inc(&s.usable, usable)
	var subs, additional, filled, held, heldBeside, beyond, nothing bool
	for i := range rec.Credits {
		cr := &rec.Credits[i]
		subs = subs || cr.Subgroup != food.NoSubgroup && cr.Subgroup != food.Additional
		additional = additional || cr.Subgroup == food.Additional
		filled = filled || cr.Basis == credit.OtherFilled && slices.ContainsFunc(cr.Alternatives, func(a credit.Alternative) bool { return a.Basis == credit.OtherAlone })
		held = held || cr.Basis == credit.ExhibitAWeight && c.weight == nil
		heldBeside = heldBeside || cr.Basis == credit.ExhibitAHeld
		beyond = beyond || !cr.Exact.Small()
		nothing = nothing || cr.Credited.IsZero()
	}
	inc(&s.subgroups, subs)
	inc(&s.additional, additional)
	inc(&s.held, held)
	inc(&s.heldBeside, heldBeside)
	inc(&s.filled, filled)
	inc(&s.beyond, beyond)
	inc(&s.nothing, nothing)
}

func (s *tally) add(o *tally) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i, p := range s.all() {
		*p += *o.all()[i]
	}
}

func (s *tally) all() []*int {
	return []*int{&s.built, &s.onStep, &s.beside, &s.product, &s.portion, &s.held, &s.heldBeside, &s.filled, &s.leafy, &s.driedIn, &s.driedOut, &s.subgroups, &s.additional, &s.usable,
		&s.packages, &s.pieces, &s.volumes, &s.metric, &s.legume, &s.servings, &s.beyond, &s.nothing}
}

func (s *tally) counts() map[string]int {
	names := []string{"an edge", "a last ingredient that lands on a step", "one that lands beside it", "a bought product", "a weighed portion", "printed weights that bind", "printed weights that bind beside other grain", "other vegetables filled by the rest",
		"leafy greens", "dried fruit that counts", "dried fruit that does not", "subgroups", "additional vegetables", "a usable weight", "packages", "pieces", "volumes",
		"metric units", "legumes as meat alternate", "grains/breads servings", "an exact value beyond 64 bits", "a credit of nothing"}
	m := make(map[string]int, len(names))
	for i, p := range s.all() {
		m[names[i]] = *p
	}
	return m
}

func (s *tally) String() string {
	var b strings.Builder
	m := s.counts()
	for _, name := range slices.Sorted(func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}) {
		fmt.Fprintf(&b, "\n  %8d with %s", m[name], name)
	}
	return b.String()
}
