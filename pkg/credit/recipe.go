package credit

import (
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/source"
)

// part is what one ingredient brings to one component.
type part struct {
	ingredient int
	food       *food.Food
	component  food.Component
	subgroup   food.Subgroup
	opt        *option      // the way taken: of several states the lowest credit
	highest    exact.Number // the highest credit of several states
	states     []string
	dried      exact.Number // cups of dried fruit as served, in the batch
	shared     *food.Figure // cooked share of a meat, for the other defensible answer
	step       int
	left       bool   // left out of the sum by a rule
	why        string // why it was left out
	hidden     bool   // a puree that cannot be recognized
	lent       bool   // it counts only with what an undocumented figure brings beside it
	repeated   bool   // the same food, or product, stands on another part
	place      spot
}

// rank says how far what a part brings is from the handbook.
func (p *part) rank() int8 {
	if p.lent {
		return max(p.opt.chain.rank, 1)
	}
	return p.opt.chain.rank
}

// sameFood reports whether two parts are of one food, or of one product, which
// is made anew for each line.
func (p *part) sameFood(q *part) bool {
	return p.food == q.food || p.food.ID == "" && q.food.ID == "" && p.food.Name == q.food.Name
}

// barren is grain that does not credit.
type barren struct {
	food     *food.Food
	quantity measure.Quantity
	at       spot
}

// place is where the ingredients of a sub-recipe or product stand in the
// request. The recipe itself has none.
type place struct {
	prefix string // "subRecipes[0]" and so on
	of     string // its name
}

// spot is one ingredient's place.
type spot struct {
	*place
	index int
}

// path names a field of the ingredient in the request.
func (p spot) path(field string) string {
	prefix := "recipe"
	if p.place != nil {
		prefix = p.prefix
	}
	return prefix + ".ingredients[" + strconv.Itoa(p.index) + "]." + field
}

// recipe credits one portion of a recipe.
func (w *work) recipe(r *recipe.Recipe) {
	n := len(r.Ingredients)
	w.rec.Name, w.rec.Servings = r.Name, r.Servings
	if t := r.YieldTest; t != nil && t.PortionsMade > 0 {
		w.rec.Servings = t.PortionsMade
	}
	made := exact.Int(int64(w.rec.Servings))
	if len(r.Portions) > 0 {
		w.rec.Portion = r.Portions[w.portion]
		if w.portion > 0 {
			ratio, _ := r.Portions[w.portion].Ratio(&r.Portions[0], r.Servings)
			made = made.Quo(ratio)
			w.rec.Servings = 0 // not whole, but by chance
			if n, ok := made.Whole(); ok && n <= recipe.MaxServings {
				w.rec.Servings = int(n)
			}
		}
	}
	w.servingsFact(made)
	w.drinks = r.Smoothie
	if w.full {
		w.rec.Ingredients = make([]Line, 0, n)
	}
	w.grainsUnit()
	for i := range r.Ingredients {
		in := &r.Ingredients[i]
		w.shares = w.shares || !in.Share.IsZero()
		switch at := (spot{nil, i}); {
		case in.SubRecipe != "":
			w.subRecipe(in, r.ExhibitAGroup, at, nil)
		case in.Product != "":
			w.bought(in, at)
		default:
			w.ingredient(in, r.ExhibitAGroup, at)
		}
	}
	if len(w.faults.Faults) > 0 {
		return
	}
	w.smoothie = r.Smoothie
	if w.full {
		w.room()
	}
	w.legumesOnce()
	w.hiddenPuree()
	if len(w.faults.Faults) > 0 {
		return
	}
	w.grainsCredit(r)
	w.grainLimits(r)
	w.sumCredit(food.Meats, food.NoSubgroup)
	w.sumCredit(food.Fruits, food.NoSubgroup)
	w.vegetables()
	w.milk()
	w.missingPapers()
	w.ask()
	w.settle()
}

// room makes room for the ledger of the parts found: a step for each, then sum,
// division and rounding for each component and vegetable subgroup, and what is
// left over.
func (w *work) room() {
	var components, subgroups, terms int
	var seen [food.Milk + 1]bool
	var parted [food.Additional + 1]bool
	for i := range w.parts {
		p := &w.parts[i]
		if !seen[p.component] {
			seen[p.component] = true
			components++
		}
		terms += int(p.opt.chain.n) + 1
		if p.component == food.Vegetables {
			terms++
			if !parted[p.subgroup] {
				parted[p.subgroup] = true
				subgroups++
			}
		}
	}
	if subgroups > 0 {
		subgroups++ // other may be filled
	}
	sums := components + subgroups
	w.rec.Steps = slices.Grow(w.rec.Steps, len(w.parts)+3*sums+min(subgroups, 2))
	w.terms = make([]Term, 0, terms+4*sums)
}

// missingPapers notes a component that only food without its paper would have
// credited toward.
func (w *work) missingPapers() {
	for _, comp := range w.waiting {
		if _, ok := w.rec.Credit(comp); ok {
			continue
		}
		step := exact.Number{} // milk is not rounded in steps
		if comp != food.Milk {
			v := w.inForce(stepOf(comp))
			if v == nil {
				return
			}
			step = v.Number
		}
		at := 0
		if w.full {
			at = w.step(Step{Rule: "papers/claim", Operation: LookUp, Component: comp, Ingredient: -1, Outcome: Nothing})
		}
		w.rec.Credits = append(w.rec.Credits, Credit{Component: comp, Step: step, Status: NeedsPaper, Basis: Sum, Reason: needsPapers, FirstStep: at, ExactStep: at, LastStep: at})
	}
}

// needsPapers is why a food earns nothing that credits only with its paper.
const needsPapers = "credits only with a CN label or product statement"

// settle drops alternatives that have become the credit itself.
func (w *work) settle() {
	for i := range w.rec.Credits {
		cr := &w.rec.Credits[i]
		cr.Alternatives = slices.DeleteFunc(cr.Alternatives, func(a Alternative) bool { return a.Credited.Equal(cr.Credited) })
	}
}

// ingredient finds what one ingredient brings and adds it to the parts.
func (w *work) ingredient(in *recipe.Ingredient, dish string, at spot) {
	f, ok := w.cat.Food(in.Food)
	if !ok {
		w.unknownFood(at, in.Food)
		return
	}
	w.traits |= f.Traits
	a := &amount{f: f, q: in.Quantity, basis: basisOf(in)}
	comp, reason := w.componentOf(f, in, at)
	if comp == food.NoComponent {
		w.setAside = w.setAside || in.NotCrediting && f.CanCredit(food.Grains) && f.GrainKind != food.WholeGrain && f.GrainKind != food.Nixtamalized
		if reason == needsPapers {
			w.waiting = append(w.waiting, f.Components[0])
		}
		// Also where the planner leaves it out: it is in the portion all the same.
		if f.NoCredit == "refined-not-enriched" || f.GrainKind == food.NotCreditableGrain && f.CanCredit(food.Grains) {
			q := in.Quantity
			if !in.Share.IsZero() {
				q = q.Times(in.Share)
			}
			w.barren = append(w.barren, barren{f, q, at})
		}
		w.noLine(Line{Food: f, Name: in.Name, Quantity: in.Quantity, Basis: a.basis, State: in.State, Reason: reason, at: at.place, index: int32(at.index)})
		return
	}
	if in.State != "" && !f.KnownState(in.State) {
		w.faults.Add(fault.Fault{Reason: fault.UnknownState, Path: at.path("state"), Value: in.State, Want: "a state food is served in: " + stateWords(f, comp),
			Fix: "Use one of these, a cut after it if it matters, such as raw-diced."})
		return
	}
	if cap(w.free) == 0 {
		w.free = make([]option, 0, waysAtOnce)
	}
	opts := w.free
	switch {
	case comp == food.Grains:
		opts = w.grain(a, in.ExhibitAGroup, dish, in.State, opts)
	case comp == food.Milk:
		opts = w.milkAmount(a, opts)
	case f.Traits.Has(food.Surimi):
		opts = w.surimiAmount(a, opts)
	case comp == food.Meats && f.Figure(food.Protein, nil) != nil:
		opts = w.alternateProtein(a, opts)
	default:
		opts = w.served(a, comp, in.State, opts)
	}
	w.free = opts[len(opts):] // the parts keep what stands before
	if len(opts) == 0 {
		w.noWay(a, comp, in, at)
		return
	}
	if !in.Share.IsZero() {
		share := fact(shareID, "Share of the amount that ends up in the food", in.Share.String(), "", in.Share)
		for k := range opts {
			opts[k].chain.plain(Times, &share)
		}
	}
	p := w.part(f, comp, at, opts)
	p.hidden = in.Hidden
	if w.full {
		w.rec.Ingredients = oneMore(w.rec.Ingredients)
		l := &w.rec.Ingredients[p.ingredient]
		l.Food, l.Name, l.Quantity, l.Basis, l.State, l.Step = f, in.Name, in.Quantity, a.basis, p.opt.state, -1
		l.Component, l.Subgroup, l.Credit, l.at, l.index = comp, p.subgroup, p.opt.chain.value, at.place, int32(at.index)
	}
}

// oneMore lengthens a slice by one, to be set in place: a large value is dear to
// build beside it and copy in.
func oneMore[T any](s []T) []T {
	if len(s) == cap(s) {
		s = slices.Grow(s, 1)
	}
	return s[:len(s)+1]
}

// part adds what an ingredient brings: of several states the lowest credit,
// with the highest beside it.
func (w *work) part(f *food.Food, comp food.Component, at spot, opts []option) *part {
	n := len(w.parts)
	w.parts = oneMore(w.parts)
	p := &w.parts[n]
	// Field by field: a literal would be built elsewhere and copied.
	p.ingredient, p.food, p.component, p.subgroup, p.step, p.place = len(w.rec.Ingredients), f, comp, 0, -1, at
	p.states, p.dried, p.shared = nil, exact.Number{}, nil
	p.left, p.why, p.hidden, p.lent, p.repeated = false, "", false, false, false
	w.brought[comp] = true
	for k := range n {
		if q := &w.parts[k]; q.food == f || f.ID == "" && q.sameFood(p) {
			q.repeated, p.repeated = true, true
		}
	}
	if comp == food.Vegetables {
		p.subgroup = w.subgroup(f)
	}
	lo, hi := 0, 0
	for k := 1; k < len(opts); k++ {
		if opts[k].chain.value.Less(opts[lo].chain.value) {
			lo = k
		}
		if opts[hi].chain.value.Less(opts[k].chain.value) {
			hi = k
		}
	}
	p.opt, p.highest = &opts[lo], opts[hi].chain.value
	if lo != hi {
		w.unsure = true
		for k := range opts {
			p.states = append(p.states, opts[k].state)
		}
	}
	p.dried = w.driedServed(f, p.opt.state, p.opt.chain.value)
	if w.full && comp == food.Meats {
		p.shared = f.CookedShareFigure()
	}
	return p
}

// subgroup returns the vegetable subgroup of a food. Where lists disagree the
// State option decides.
func (w *work) subgroup(f *food.Food) food.Subgroup {
	if !f.Traits.Has(food.DisputedSubgroup) {
		return f.Subgroup
	}
	name, _, _ := strings.Cut(f.ID, "-")
	v, err := w.rs.Get("vegetables/subgroup/" + name)
	if err != nil {
		return f.Subgroup
	}
	s, ok := food.ParseSubgroup(v.Text)
	if !ok {
		return f.Subgroup
	}
	return s
}

// noLine notes an ingredient that earns nothing.
func (w *work) noLine(l Line) {
	if w.full {
		l.Step = -1
		w.rec.Ingredients = append(w.rec.Ingredients, l)
	}
}

// basisOf returns what an ingredient's amount measures: what the request says,
// else as purchased for weights, counts and cans, and usable for volumes.
func basisOf(in *recipe.Ingredient) food.Basis {
	switch in.Basis {
	case "as-purchased":
		return food.AsPurchased
	case "usable":
		return food.ReadyToUse
	case "as-served":
		return food.AsServed
	}
	if in.Quantity.Dimension() == measure.Volume {
		return food.ReadyToUse
	}
	return food.AsPurchased
}

// componentOf decides which component an ingredient credits as, or why none.
func (w *work) componentOf(f *food.Food, in *recipe.Ingredient, at spot) (food.Component, string) {
	switch {
	case in.NotCrediting:
		return food.NoComponent, "left out by the menu planner"
	case f.NoCredit != "":
		if in.CreditAs != "" {
			w.cannotCreditAs(f, in, at)
		}
		return food.NoComponent, f.NoCreditReason()
	}
	comp := f.Components[0]
	if in.CreditAs != "" {
		c, ok := food.ParseComponent(in.CreditAs)
		if !ok || !f.CanCredit(c) {
			w.cannotCreditAs(f, in, at)
			return food.NoComponent, ""
		}
		comp = c
	}
	switch {
	case comp == food.Milk && !w.drinks && in.CreditAs != "milk":
		return food.NoComponent, "milk in a dish does not credit; it credits as a drink, or in a smoothie"
	case f.Traits.Has(food.NeedsPapers) && !f.HasPapers(comp):
		return food.NoComponent, needsPapers
	case f.Traits.Has(food.Juice) && !w.drinks && in.CreditAs == "":
		return food.NoComponent, "juice in a dish does not credit; it credits as a drink, or in a smoothie"
	case f.Traits.Has(food.Coconut) && f.Traits.Has(food.DriedFruit):
		return comp, ""
	case comp == food.Grains && f.GrainKind == food.NotCreditableGrain:
		return food.NoComponent, "refined and not enriched grain does not credit"
	}
	return comp, ""
}

func (w *work) cannotCreditAs(f *food.Food, in *recipe.Ingredient, at spot) {
	can := make([]string, 0, 2)
	for _, c := range f.Components {
		can = append(can, c.String())
	}
	want := "leave it out: " + f.Name + " does not credit"
	if len(can) > 0 {
		want = join(can, ", ", " or ") + ", which " + f.Name + " can credit as"
	}
	w.faults.Add(fault.Fault{Reason: fault.CannotCreditAs, Path: at.path("creditAs"), Value: in.CreditAs, Want: want, Fix: "Leave it out to take the usual one."})
}

// stateWords lists the states a food has figures in, or the broad ones.
func stateWords(f *food.Food, comp food.Component) string {
	if states := f.States(comp); len(states) > 0 {
		return join(states, ", ", " or ")
	}
	return "raw, cooked, heated, drained or dry"
}

// noWay reports why an amount cannot be turned into a credit.
func (w *work) noWay(a *amount, comp food.Component, in *recipe.Ingredient, at spot) {
	if len(w.faults.Faults) > 0 && w.faults.Faults[len(w.faults.Faults)-1].Reason == fault.RuleNotInForce {
		return // that is why
	}
	states := a.f.States(comp)
	if in.State != "" && len(states) > 0 && !slices.ContainsFunc(states, func(s string) bool { return food.Matches(s, in.State) }) && comp != food.Grains {
		w.faults.Add(fault.Fault{Reason: fault.UnknownState, Path: at.path("state"), Value: in.State, Want: "a state that " + a.f.Name + " has figures for: " + join(states, ", ", " or "),
			Fix: "Use one of these, or bring the figure under foods with its page and edition."})
		return
	}
	f := fault.Fault{Path: at.path("quantity"), Value: in.Quantity.Text()}
	units := a.f.UnitsFor(comp)
	switch {
	case len(units) == 0 && comp != food.Grains:
		f.Reason = fault.NoFigure
		f.Want = "a food the catalog has a crediting figure for; it has none for " + a.f.Name + " as " + comp.String()
		f.Fix = "Bring the handbook's figure under foods with page and edition, or set notCrediting."
	case in.Quantity.Dimension() == measure.Volume || in.Quantity.Dimension() == measure.Count:
		f.Reason = fault.UnitNeedsDensity
		f.Want = "a weight: no figure says what " + in.Quantity.Text() + " of " + a.f.Name + " weighs"
		f.Fix = "Weigh it, or bring a figure of kind cup or each under foods."
	case len(units) == 0: // grain, which goes by weight
		f.Reason = fault.UnitDoesNotFit
		f.Want = "a weight of " + a.f.Name + "; no figure says what " + in.Quantity.Text() + " of it credits"
		f.Fix = "Weigh what is in it, and write pounds and ounces or grams."
	default:
		f.Reason = fault.UnitDoesNotFit
		f.Want = "an amount in a unit that " + a.f.Name + " has figures for: " + join(units, ", ", " or ")
		f.Fix = "Write it in one of these, or give basis: usable for trimmed or drained weight, as-served for what is on the plate."
	}
	w.faults.Add(f)
}

// ask reports the ingredients whose state is needed: those whose other states
// would change a credit.
func (w *work) ask() {
	if !w.unsure {
		return
	}
	for k := range w.rec.Credits {
		cr := &w.rec.Credits[k]
		if cr.Subgroup == food.Additional || cr.Basis == ExhibitAWeight || cr.Basis == ExhibitADivision {
			continue
		}
		hi := exact.Number{}
		for i := range w.parts {
			p := &w.parts[i]
			if p.component != cr.Component || p.left || cr.Subgroup != food.NoSubgroup && p.subgroup != cr.Subgroup {
				continue
			}
			hi = hi.Add(p.highest)
		}
		if cr.Step.IsZero() {
			continue
		}
		hi = hi.Quo(w.servingsMade())
		if cr.Component == food.Grains {
			hi = hi.Add(w.lift)
		}
		filled := cr.Subgroup == food.OtherVegetables
		for sub := food.DarkGreen; filled && sub < food.OtherVegetables; sub++ {
			if w.meetsOther(sub) {
				hi = hi.Add(w.mostLeft(sub, cr.Step))
			}
		}
		down, _ := hi.RoundDown(cr.Step)
		if down.Equal(cr.Credited) {
			continue
		}
		for i := range w.parts {
			p := &w.parts[i]
			if p.states != nil && p.component == cr.Component && (cr.Subgroup == food.NoSubgroup || p.subgroup == cr.Subgroup || filled && w.meetsOther(p.subgroup)) {
				w.askState(p, cr, down)
			}
		}
	}
}

// mostLeft returns what a vegetable subgroup leaves over of a portion's sum if
// each of its foods credits the most.
func (w *work) mostLeft(sub food.Subgroup, step exact.Number) exact.Number {
	most := exact.Number{}
	for i := range w.parts {
		if p := &w.parts[i]; p.component == food.Vegetables && p.subgroup == sub && !p.left {
			most = most.Add(p.highest)
		}
	}
	_, over := most.Quo(w.servingsMade()).RoundDown(step)
	return over
}

func (w *work) askState(p *part, cr *Credit, high exact.Number) {
	f := fault.Fault{Reason: fault.StateNeeded, Path: p.place.path("state"),
		Want: "how " + p.food.Name + " is served: " + join(p.states, ", ", " or "),
		Fix: "Add one of them to the ingredient, such as state: " + p.states[0] + ". It decides whether a portion credits " + cr.Credited.String() + " or up to " + high.String() + " " + w.rec.Unit(cr.Component) + " of " +
			subject(cr) + "."}
	if p.component == food.Grains {
		f.Path = p.place.path("exhibitAGroup")
		f.Want = "how the grain is used: a group A to G when it is baked in, H when it is cooked as cereal"
	}
	for _, g := range w.faults.Faults {
		if g.Path == f.Path {
			return
		}
	}
	w.faults.Add(f)
}

func subject(cr *Credit) string {
	if cr.Subgroup != food.NoSubgroup {
		return cr.Subgroup.Title() + " vegetables"
	}
	return cr.Component.String()
}

// servingsID names the figure of the servings made.
const servingsID = "recipe/servings"

// servingsFact makes the servings made a figure of the record. It is not whole
// for a portion that is a share of another.
func (w *work) servingsFact(n exact.Number) {
	m := w.made
	m.ID, m.Name, m.Unit, m.Used = servingsID, "Servings made", "servings", n
	m.Source.Mark, m.Source.Section = source.Read, factOfMeasure
	if w.full {
		m.Text = n.String()
	}
}

// servingsMade is the number of portions.
func (w *work) servingsMade() exact.Number { return w.made.Used }
