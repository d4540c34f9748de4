package kitchen

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// Buy works out how much to buy: everything that uses a food or product is
// pooled as purchased, what is on hand is taken off, and the rest goes up to what
// is sold. Sold are, unless packs are given: quarter pounds, 100 g, whole cans,
// pieces, and dozens of what has figures by the dozen; that is common practice.
// Volumes nothing turns into another purchase unit go up to a kitchen measure.
// An error is a [*fault.List].
func (k *Kitchen) Buy(req BuyRequest) (*Purchase, error) {
	p := &plan{k: k, req: &req, byKey: map[string]*want{}}
	req.check(&p.faults)
	cat, err := k.engine.Catalog().With(req.Own)
	if err != nil {
		var faults *fault.List
		if !errors.As(err, &faults) {
			return nil, err
		}
		for _, f := range faults.Faults { // here foods are what is bought
			f.Path = "own" + strings.TrimPrefix(f.Path, "foods")
			p.faults.Add(f)
		}
		cat = nil
	}
	if err := p.faults.Err(); err != nil {
		if err := p.refused(cat); err != nil {
			return nil, err
		}
		return nil, p.faults.Err()
	}
	for i := range req.Recipes {
		if err := p.recipe(i); err != nil {
			return nil, err
		}
	}
	for i := range req.Foods {
		p.food(cat, i)
	}
	for i := range req.Products {
		p.product(i)
	}
	p.checkNamed()
	if err := p.faults.Err(); err != nil {
		return nil, err
	}
	out := p.lines()
	if err := p.faults.Err(); err != nil {
		return nil, err
	}
	return out, nil
}

// plan is a purchase being worked out.
type plan struct {
	k      *Kitchen
	req    *BuyRequest
	faults fault.List
	wants  []*want
	byKey  map[string]*want
}

// want is all that uses one food or product.
type want struct {
	of, name string
	food     *food.Food // nil for a product
	uses     []use
}

// use is one amount of it.
type use struct {
	BuyUse
	state string
	food  *food.Food       // with the figures of the recipe it is in
	each  measure.Quantity // weight of one portion of a product; zero when not known
	table *servingsTable   // of a food bought by its servings
}

// servingsTable is a use of servings per unit.
type servingsTable struct {
	figure     *food.Figure
	servings   exact.Number // of the figure's size
	perHundred exact.Number
	workedOut  bool
}

func (p *plan) add(key, of, name string, f *food.Food, u use) {
	w := p.byKey[key]
	if w == nil {
		w = &want{of: of, name: name, food: f}
		p.byKey[key] = w
		p.wants = append(p.wants, w)
	}
	w.uses = append(w.uses, u)
}

// recipe takes in a recipe's ingredients, once the engine takes the recipe.
func (p *plan) recipe(i int) error {
	r, path := &p.req.Recipes[i], fault.Index("recipes", i)
	if _, err := p.k.engine.Credits(r.Request); err != nil {
		var faults *fault.List
		if !errors.As(err, &faults) {
			return err
		}
		for _, f := range faults.Faults {
			f.Path = fault.Field(path, f.Path)
			p.faults.Add(f)
		}
		return nil
	}
	cat, err := p.k.engine.Catalog().With(r.Request.Foods)
	if err != nil {
		return err // the engine has taken them already
	}
	card := r.Request.Recipe
	batches := exact.Number{}
	for j, n := range r.Portions {
		size := exact.Int(1)
		if j > 0 {
			size, _ = card.Portions[j].Ratio(&card.Portions[0], card.Servings)
		}
		batches = batches.Add(exact.Int(int64(n)).Mul(size))
	}
	p.gather(&r.Request, card, cat, batches.Quo(exact.Int(int64(made(card)))), path, "recipe", card.Name)
	return nil
}

// gather takes in so many batches of a recipe.
func (p *plan) gather(req *credit.Request, r *recipe.Recipe, cat *food.Catalog, batches exact.Number, root, at, of string) {
	for i := range r.Ingredients {
		in := &r.Ingredients[i]
		path := root + "." + fault.Index(at+".ingredients", i)
		q := times(in.Quantity, batches)
		switch {
		case in.SubRecipe != "":
			k := slices.IndexFunc(req.SubRecipes, func(s recipe.Recipe) bool { return s.ID == in.SubRecipe })
			sub := &req.SubRecipes[k]
			p.gather(req, sub, cat, batches.Mul(shareOf(in.Quantity, sub)), root, fault.Index("subRecipes", k), of+", "+sub.Name)
		case in.Product != "":
			k := slices.IndexFunc(req.Products, func(x credit.Product) bool { return x.ID == in.Product })
			x := &req.Products[k]
			p.add("product "+x.Name, x.Name, x.Name, nil, use{BuyUse: BuyUse{Path: path, Of: of, Amount: q, Basis: "as-purchased"}, each: x.Weight})
		default:
			f, _ := cat.Food(in.Food)
			basis := in.Basis
			if basis == "" {
				basis = "as-purchased"
				if q.Dimension() == measure.Volume {
					basis = "usable"
				}
			}
			p.add("food "+f.ID, f.ID, f.Name, f, use{BuyUse: BuyUse{Path: path, Of: of, Amount: q, Basis: basis}, state: in.State, food: f})
		}
	}
}

// food takes in a food bought by its servings.
func (p *plan) food(cat *food.Catalog, i int) {
	b, path := &p.req.Foods[i], fault.Index("foods", i)
	f, ok := cat.Food(b.Food)
	if !ok {
		fix := "Find it with `ozeq food search`, or bring it under own."
		if near := cat.Nearest(b.Food, 3); len(near) > 0 {
			fix = "Nearest: " + strings.Join(near, ", ") + "."
		}
		p.faults.Add(fault.Fault{Reason: fault.UnknownFood, Path: path + ".food", Value: b.Food, Want: "a food of the catalog or of own", Fix: fix})
		return
	}
	g := p.figure(f, b, path)
	if g == nil {
		return
	}
	total := exact.Number{}
	var groups []string
	for _, x := range b.Groups {
		total = total.Add(exact.Int(int64(x.Count)).Mul(x.Size))
		groups = append(groups, strings.TrimSpace(fmt.Sprintf("%s %d of %s %s", x.Name, x.Count, x.Size, g.Component.Unit())))
	}
	t := &servingsTable{figure: g, servings: total.Quo(g.Size), perHundred: b.PerHundred}
	if t.perHundred.IsZero() {
		t.perHundred, t.workedOut = exact.Int(100).Quo(g.Value).RoundUp(exact.Frac(1, 10)), true
	}
	amount := measure.New(t.servings.Quo(g.Value), g.Unit)
	p.add("food "+f.ID, f.ID, f.Name, f, use{BuyUse: BuyUse{Path: path, Of: strings.Join(groups, ", "), Amount: amount, Basis: "portions", Figures: []*food.Figure{g}}, food: f, table: t})
}

// figure is the row of the table to use: of the state and unit asked for, of the
// size of the portions when all are of one, else of the smallest size printed.
func (p *plan) figure(f *food.Food, b *BuyFood, path string) *food.Figure {
	var unit *measure.Unit
	if b.Unit != "" {
		var ok bool
		if unit, ok = measure.UnitByID(b.Unit); !ok {
			p.faults.Add(fault.Fault{Reason: fault.UnknownUnit, Path: path + ".unit", Value: b.Unit, Want: "a purchase unit, such as lb or can no. 10", Fix: "Use one the food has figures by."})
			return nil
		}
	}
	comp := b.Component
	if comp == food.NoComponent && len(f.Components) > 0 {
		comp = f.Components[0]
	}
	var rows []*food.Figure
	for _, g := range f.Figures {
		if g.Kind == food.Servings && g.Component == comp && g.Basis == food.AsPurchased && g.Rate.Sign() > 0 && (unit == nil || g.Unit == unit) && food.Matches(g.State, b.State) {
			rows = append(rows, g)
		}
	}
	if len(rows) == 0 {
		p.faults.Add(fault.Fault{Reason: fault.NoFigure, Path: path + ".food", Value: strings.TrimSpace(strings.Join([]string{b.Food, b.State, b.Unit}, " ")), Want: "a food with servings of " + comp.Title() + " per purchase unit",
			Fix: "It has them by " + list(f.UnitsFor(comp)) + ", in the states " + list(f.States(comp)) + ". Or bring a figure under own."})
		return nil
	}
	if unit == nil { // as it is packed, else the nearest to the handbook, by the pound before others
		packed := p.pack(b.Food)
		best := slices.MinFunc(rows, func(a, c *food.Figure) int {
			rank := func(g *food.Figure) int {
				switch {
				case packed != nil && sameKind(g.Unit, packed.Holds.Unit()):
					return 0
				case g.Unit == measure.Pound:
					return 1
				}
				return 2
			}
			if n := cmp.Compare(min(rank(a), 1), min(rank(c), 1)); n != 0 {
				return n
			}
			return cmp.Or(cmp.Compare(a.Source.Tier, c.Source.Tier), cmp.Compare(rank(a), rank(c)))
		})
		unit = best.Unit
		rows = slices.DeleteFunc(rows, func(g *food.Figure) bool { return g.Unit != unit })
	}
	if just := slices.DeleteFunc(slices.Clone(rows), func(g *food.Figure) bool { return g.State != b.State }); len(just) > 0 {
		rows = just
	}
	var states []string
	for _, g := range rows {
		if !slices.Contains(states, g.State) {
			states = append(states, g.State)
		}
	}
	if len(states) > 1 {
		p.faults.Add(fault.Fault{Reason: fault.StateNeeded, Path: path + ".state", Value: b.State, Want: "how " + f.Name + " is served: " + list(states), Fix: "Add one of them: each takes another amount."})
		return nil
	}
	size := b.Groups[0].Size
	for _, x := range b.Groups {
		if !x.Size.Equal(size) {
			size = exact.Number{}
		}
	}
	return slices.MinFunc(rows, func(a, c *food.Figure) int {
		fit := func(g *food.Figure) int {
			switch {
			case g.Size.Equal(size):
				return 0
			case !g.Larger:
				return 1
			}
			return 2
		}
		return cmp.Or(cmp.Compare(a.Source.Tier, c.Source.Tier), cmp.Compare(fit(a), fit(c)), a.Rate.Cmp(c.Rate))
	})
}

func list(words []string) string {
	if len(words) == 0 {
		return "none"
	}
	return strings.Join(words, ", ")
}

// product takes in something bought ready.
func (p *plan) product(i int) {
	b := &p.req.Products[i]
	each := b.Each
	if each.IsZero() {
		each = measure.New(exact.Int(1), measure.Each)
	}
	n := 0
	var groups []string
	for _, x := range b.Groups {
		n += x.Count
		groups = append(groups, strings.TrimSpace(fmt.Sprintf("%s %d", x.Name, x.Count)))
	}
	p.add("product "+b.Name, b.Name, b.Name, nil, use{BuyUse: BuyUse{Path: fault.Index("products", i), Of: strings.Join(groups, ", "), Amount: each.Times(exact.Int(int64(n))), Basis: "portions"}})
}

func (p *plan) pack(of string) *BuyPack {
	for i := range p.req.Packs {
		if p.req.Packs[i].Of == of {
			return &p.req.Packs[i]
		}
	}
	return nil
}

// checkNamed refuses packs and stock of what nothing uses: a misspelled name
// would be left out in silence.
func (p *plan) checkNamed() {
	if len(p.faults.Faults) > 0 {
		return // what was refused may be what they are of
	}
	used := func(of string) bool {
		return slices.ContainsFunc(p.wants, func(w *want) bool { return w.of == of })
	}
	for i := range p.req.Packs {
		if of := p.req.Packs[i].Of; !used(of) {
			p.faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: fault.Index("packs", i) + ".of", Value: of, Want: "a food or product that is bought here", Fix: "Write it as it stands in the recipe or under foods or products."})
		}
	}
	for i := range p.req.OnHand {
		if of := p.req.OnHand[i].Of; !used(of) {
			p.faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: fault.Index("onHand", i) + ".of", Value: of, Want: "a food or product that is bought here", Fix: "Write it as it stands in the recipe or under foods or products."})
		}
	}
}

// in is how much of a unit has to be bought for a use.
func (u *use) in(unit *measure.Unit) (bought, bool) {
	switch {
	case u.food == nil:
		b := bought{amount: u.Amount.Amount(), unit: u.Amount.Unit()}
		if to, ok := b.same(unit); ok {
			return to, true
		}
		if u.each.IsZero() || u.each.Amount().Sign() <= 0 {
			return bought{}, false
		}
		switch { // by the weight of one portion
		case unit.Dimension == measure.Count && b.unit.Dimension == measure.Mass:
			return bought{amount: share(u.Amount, u.each), unit: measure.Each}.same(unit)
		case unit.Dimension == measure.Mass && b.unit.Dimension == measure.Count:
			return bought{amount: u.each.Amount().Mul(b.amount), unit: u.each.Unit()}.same(unit)
		}
		return bought{}, false
	case u.table != nil:
		b := bought{amount: u.Amount.Amount(), unit: u.Amount.Unit(), by: []*food.Figure{u.table.figure}}
		return b.equivalent(u.food, unit)
	}
	return asPurchased(u.food, u.Amount, u.Basis, u.state, unit)
}

// units lists what a food or product may be bought by, the likeliest first.
func (p *plan) units(w *want) []*measure.Unit {
	var us []*measure.Unit
	add := func(u *measure.Unit) {
		if !slices.Contains(us, u) {
			us = append(us, u)
		}
	}
	pack := p.pack(w.of)
	if pack != nil {
		add(pack.Holds.Unit())
	}
	metric, customary, counted := false, false, false
	for i := range w.uses {
		q := w.uses[i].Amount
		switch {
		case w.uses[i].table != nil, q.Dimension() == measure.Container:
			add(q.Unit())
		case q.Dimension() == measure.Count:
			counted = true
		}
		metric = metric || q.System() == measure.Metric
		customary = customary || q.System() == measure.Customary
	}
	weight, volume := measure.Ounce, measure.Cup
	if metric && !customary {
		weight, volume = measure.Gram, measure.Milliliter
	}
	if counted {
		add(measure.Each)
	}
	if w.food != nil && (w.food.Traits.Has(food.MilkFluid) || w.food.Traits.Has(food.Juice)) {
		add(volume)
	}
	add(weight)
	if w.food != nil { // sold by the can or the piece, and only so
		for _, g := range w.food.Figures {
			if g.Kind == food.Servings && g.Unit != nil && g.Unit.Dimension == measure.Container {
				add(g.Unit)
			}
		}
	}
	add(measure.Each)
	add(volume)
	return us
}

// lines pools the uses of each food and product.
func (p *plan) lines() *Purchase {
	out := &Purchase{}
	slices.SortStableFunc(p.wants, func(a, b *want) int {
		if (a.food == nil) != (b.food == nil) {
			if a.food != nil {
				return -1
			}
			return 1
		}
		return strings.Compare(a.name, b.name)
	})
	for _, w := range p.wants {
		units := p.units(w)
		pooled := slices.IndexFunc(units, func(u *measure.Unit) bool {
			return !slices.ContainsFunc(w.uses, func(x use) bool { _, ok := x.in(u); return !ok })
		})
		if pooled >= 0 {
			p.line(out, w, w.uses, units[pooled])
			continue
		}
		// Not all uses meet in one unit: each goes by the first it can.
		first := len(out.Lines)
		left := w.uses
		for _, u := range append(units, measure.Gram, measure.Milliliter) {
			var these, others []use
			for _, x := range left {
				if _, ok := x.in(u); ok {
					these = append(these, x)
				} else {
					others = append(others, x)
				}
			}
			if len(these) > 0 {
				p.line(out, w, these, u)
			}
			left = others
		}
		if n := len(out.Lines) - first; n > 1 {
			out.find(credit.Check, BuySeveralUnits, first, "%s is on %d lines: no figure says what one of them is in the unit of the other.", w.name, n)
		}
	}
	p.useUp(out)
	return out
}

func (out *Purchase) find(sev credit.Severity, reason BuyReason, line int, format string, args ...any) {
	out.Findings = append(out.Findings, BuyFinding{sev, reason, line, fmt.Sprintf(format, args...)})
}

// readable writes an amount of a base unit in the unit it is bought by.
func readable(n exact.Number, u *measure.Unit) measure.Quantity {
	switch {
	case u == measure.Ounce:
		return measure.New(n.Quo(exact.Int(16)), measure.Pound)
	case u == measure.Gram && !n.Less(exact.Int(1000)):
		return measure.New(n.Quo(exact.Int(1000)), measure.Kilogram)
	}
	return measure.New(n, u)
}

// line adds a line of uses, all in one base unit.
func (p *plan) line(out *Purchase, w *want, uses []use, u *measure.Unit) {
	u = measure.New(exact.Int(1), u).Unit()
	l := BuyLine{Of: w.of, Name: w.name, Food: w.food}
	need, asMeasured := exact.Number{}, false
	var byTable []int
	for i := range uses {
		x := &uses[i]
		b, _ := x.in(u)
		x.Bought, x.Figures, x.AsMeasured = readable(b.amount, u), b.by, b.asMeasured
		asMeasured = asMeasured || b.asMeasured
		need = need.Add(b.amount)
		for _, g := range b.by {
			l.Estimate = l.Estimate || !g.Source.Documented()
		}
		if x.table != nil {
			byTable = append(byTable, i)
		}
		l.Uses = append(l.Uses, x.BuyUse)
	}
	l.Need = readable(need, u)
	if pack := p.pack(w.of); pack != nil {
		if sameKind(pack.Holds.Unit(), u) {
			l.Pack = pack
		} else if i := slices.IndexFunc(p.req.Packs, func(x BuyPack) bool { return x.Of == w.of }); true {
			p.faults.Add(fault.Fault{Reason: fault.UnitDoesNotFit, Path: fault.Index("packs", i) + ".holds", Value: pack.Holds.Text(), Want: "an amount that figures of the food turn into " + u.ID, Fix: "Give the pack in pounds, cans or pieces, as the recipe takes it, or bring the figure."})
		}
	}
	stock := exact.Number{}
	for i := range p.req.OnHand {
		s := &p.req.OnHand[i]
		if s.Of != w.of {
			continue
		}
		x := use{BuyUse: BuyUse{Amount: s.Quantity, Basis: "as-purchased"}, food: w.food}
		b, ok := x.in(u)
		if !ok {
			p.faults.Add(fault.Fault{Reason: fault.UnitDoesNotFit, Path: fault.Index("onHand", i) + ".quantity", Value: s.Quantity.Text(), Want: "an amount that figures of the food turn into " + u.ID, Fix: "Weigh or count it as it is bought."})
			continue
		}
		stock = stock.Add(b.amount)
	}
	if !stock.IsZero() {
		l.OnHand = readable(stock, u)
	}
	l.Step = step(&l, w, u)
	buy := p.sold(&l, need.Sub(stock), u)
	l.Buy = buy
	left := stock.Sub(need)
	if !buy.IsZero() {
		n, _ := buy.In(u)
		left = left.Add(n)
		if l.Pack != nil {
			l.Packs, _ = n.Quo(l.Step).Whole()
		}
	}
	l.LeftOver = readable(left, u)
	if len(byTable) == 1 {
		p.methods(&l, &uses[byTable[0]], need, stock, u)
	}
	out.Lines = append(out.Lines, l)
	at := len(out.Lines) - 1
	if len(l.Methods) == 2 && l.Methods[0].Buy.Text() != l.Methods[1].Buy.Text() {
		a, b := &l.Methods[0], &l.Methods[1]
		out.find(credit.Note, BuyMethodsDiffer, at, "By %s servings per %s %s are bought; by %s %s per 100 servings %s. Both cover the portions; tables are cut to few figures.",
			a.Value, a.Figure.Unit.ID, orNone(a.Buy), b.Value, a.Figure.Unit.ID, orNone(b.Buy))
	}
	if asMeasured {
		out.find(credit.Check, BuyAsMeasured, at, "%s: no figure says how much as purchased gives what is measured trimmed, drained or as served. More may have to be bought.", l.Name)
	}
	if l.Step.IsZero() {
		out.find(credit.Note, BuyNotSold, at, "%s: no figure turns its measure into a purchase unit. Buy at least %s.", l.Name, orNone(l.Buy))
	}
	if l.Estimate {
		out.find(credit.Check, BuyEstimate, at, "%s: a figure is not the handbook's or was not read. Check it before you order.", l.Name)
	}
}

func orNone(q measure.Quantity) string {
	if q.IsZero() {
		return "none"
	}
	return q.Text()
}

// step is what is sold: a pack, a quarter pound, 100 g, a can, a piece or a
// dozen; 0 for volumes.
func step(l *BuyLine, w *want, u *measure.Unit) exact.Number {
	switch {
	case l.Pack != nil:
		n, _ := l.Pack.Holds.In(u)
		return n
	case u == measure.Ounce:
		return exact.Int(4)
	case u == measure.Gram:
		return exact.Int(100)
	case u == measure.Each && w.food != nil && slices.ContainsFunc(w.food.Figures, func(g *food.Figure) bool { return g.Unit == measure.Dozen }):
		return exact.Int(12)
	case u == measure.Each, u.Dimension == measure.Container:
		return exact.Int(1)
	}
	return exact.Number{}
}

// sold brings an amount up to what is sold; zero when nothing is needed.
func (p *plan) sold(l *BuyLine, n exact.Number, u *measure.Unit) measure.Quantity {
	if n.Sign() <= 0 {
		return measure.Quantity{}
	}
	tooMuch := func() measure.Quantity {
		p.faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: l.Uses[0].Path, Value: n.DecimalText(0) + " " + u.ID, Want: "a purchase of at most 9 digits", Fix: "Plan fewer portions at a time."})
		return measure.Quantity{}
	}
	if l.Step.IsZero() {
		m, err := InMeasures(measure.New(n, u), Up)
		if err != nil {
			return tooMuch()
		}
		return m.Kitchen
	}
	n = n.RoundUp(l.Step)
	text := cookText(n, u)
	if l.Pack == nil && l.Step.Equal(exact.Int(12)) {
		text = n.Quo(l.Step).String() + " dozen"
	}
	q, err := measure.Parse(text)
	if err != nil {
		return tooMuch()
	}
	if !q.Amount().Equal(n) { // a pack of an odd weight, in grams to more than three places
		q = measure.New(n, u)
	}
	return q
}

// methods works out both ways of using the table, the rest of the line added to
// each.
func (p *plan) methods(l *BuyLine, x *use, need, stock exact.Number, u *measure.Unit) {
	t := x.table
	one, _ := x.in(u)
	rest := need.Sub(one.amount)
	per, _ := x.Amount.In(t.figure.Unit)
	scale := one.amount.Quo(per) // of the line's unit in one of the table's
	for _, m := range []BuyMethod{
		{Method: ServingsPerUnit, Value: t.figure.Value},
		{Method: UnitsPerHundred, Value: t.perHundred, WorkedOut: t.workedOut},
	} {
		units := t.servings.Quo(t.figure.Value)
		if m.Method == UnitsPerHundred {
			units = t.servings.Mul(t.perHundred).Quo(exact.Int(100))
		}
		m.Figure, m.Units = t.figure, units
		m.Buy = p.sold(l, units.Mul(scale).Add(rest).Sub(stock), u)
		l.Methods = append(l.Methods, m)
	}
}

// useUp refuses stock and packs that stand on several lines of one food: it is
// not known which of them they go with.
func (p *plan) useUp(out *Purchase) {
	lines := map[string]int{}
	for i := range out.Lines {
		lines[out.Lines[i].Of]++
	}
	for i := range p.req.OnHand {
		if of := p.req.OnHand[i].Of; lines[of] > 1 {
			p.faults.Add(fault.Fault{Reason: fault.Conflicting, Path: fault.Index("onHand", i), Value: of, Want: "a food all of whose uses meet in one unit", Fix: "It is bought in " + strconv.Itoa(lines[of]) + " units here: take what is on hand off by hand."})
		}
	}
}
