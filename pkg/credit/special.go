package credit

import (
	"slices"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// surimiTable is the rule of surimi's printed weights.
const surimiTable = "meats/surimi/oz"

// surimiAmount brings surimi to ounces; its credit is a table, not a ratio, and
// waits for the whole batch.
func (w *work) surimiAmount(a *amount, opts []option) []option {
	c, ok := w.inUnit(a, measure.Ounce, food.AsPurchased, "")
	if !ok {
		return opts
	}
	c.rule = surimiTable
	return offer(opts, "by the table", &c)
}

// alternateProtein credits an alternate protein product: dry ounces times its
// percent protein as-is, over 18.
func (w *work) alternateProtein(a *amount, opts []option) []option {
	c, ok := w.inUnit(a, measure.Ounce, food.AsPurchased, "")
	if !ok {
		return opts
	}
	v, err := w.rs.Get("meats/app-divisor")
	if err != nil {
		w.notInForce(err)
		return opts
	}
	c.rule = v.Rule.ID
	c.food(Times, a.f.Figure(food.Protein, nil))
	c.by(DividedBy, v)
	return offer(opts, "fully hydrated", &c)
}

// surimi turns the ounces of surimi in the batch into credit: the largest
// printed weight a portion reaches. All of it is pooled first.
func (w *work) surimi() {
	ounces, last := exact.Number{}, -1
	var terms []Term
	for i := range w.parts {
		p := &w.parts[i]
		if !p.food.Traits.Has(food.Surimi) || p.component != food.Meats || p.left || p.step >= 0 || p.opt.chain.rule != surimiTable {
			continue
		}
		ounces, last = ounces.Add(p.opt.chain.value), i
		if w.full {
			p.step = w.write(&p.opt.chain, food.Meats, food.NoSubgroup, p.ingredient, Counted)
			terms = append(terms, from(Plus, p.step))
		}
	}
	if last < 0 {
		return
	}
	v, err := w.rs.Get(surimiTable)
	if err != nil {
		w.notInForce(err)
		return
	}
	portion := ounces.Quo(w.servingsMade())
	credit, row := exact.Number{}, -1
	for i := range v.Steps {
		if !portion.Less(v.Steps[i].Least) {
			credit, row = v.Steps[i].Credit, i
			break
		}
	}
	// The batch's worth stands at the last of the lines; the others carry none. It
	// rests on the figures of all of them.
	worst := int8(0)
	if row >= 0 {
		worst = distance(&v.Steps[row].Source)
	}
	for i := range w.parts {
		if p := &w.parts[i]; p.component == food.Meats && p.opt.chain.rule == surimiTable {
			worst = max(worst, p.opt.chain.rank)
		}
	}
	for i := range w.parts {
		p := &w.parts[i]
		if p.component == food.Meats && p.opt.chain.rule == surimiTable {
			p.opt.chain.value, p.highest = exact.Number{}, exact.Number{}
			if i == last {
				p.opt.chain.value = credit.Mul(w.servingsMade())
				p.highest = p.opt.chain.value
			}
			p.opt.chain.rank = worst
		}
	}
	if !w.full {
		return
	}
	w.step(Step{Rule: v.Rule.ID, Operation: PerServing, Component: food.Meats, Ingredient: -1,
		Terms: append(terms, w.with(DividedBy, w.made)), Value: portion, Outcome: Counted})
	look := Step{Rule: v.Rule.ID, Operation: LookUp, Component: food.Meats, Ingredient: -1, Value: credit.Mul(w.servingsMade()), Outcome: Counted}
	if row >= 0 {
		look.Terms = w.take(w.with(Plus, &v.Steps[row].Earns), w.with(Times, w.made))
	}
	at := w.step(look)
	for i := range w.parts {
		p := &w.parts[i]
		if p.component != food.Meats || p.opt.chain.rule != surimiTable {
			continue
		}
		line := &w.rec.Ingredients[p.ingredient]
		line.Step, line.Credit = -1, p.opt.chain.value
		if i == last {
			p.step, line.Step = at, at
		} else {
			p.left = true // its weight is in the table's look-up
		}
	}
}

// legumesOnce refuses a dish that credits beans, peas or lentils as a vegetable
// and as a meat alternate: in one dish they are one or the other (7 CFR 210.10(c)
// since 2024-07-01; before that in one meal, which is wider).
func (w *work) legumesOnce() {
	if !w.brought[food.Vegetables] || !w.brought[food.Meats] {
		return
	}
	var vegetable, meat *part
	for i := range w.parts {
		p := &w.parts[i]
		switch {
		case !p.food.Traits.Has(food.Legume):
		case p.component == food.Vegetables:
			vegetable = p
		case p.component == food.Meats:
			meat = p
		}
	}
	if vegetable == nil || meat == nil {
		return
	}
	w.faults.Add(fault.Fault{Reason: fault.Conflicting, Path: vegetable.place.path("creditAs"), Value: vegetable.food.ID,
		Want: "the beans, peas and lentils of a dish credited all as vegetables or all as meats",
		Fix:  "Give them the same creditAs, or leave some out with notCrediting: " + meat.food.ID + " is credited as meats."})
}

// eachItself leaves out of a smoothie what does not reach the least amount by
// itself: foods below it do not add up to a credit there.
func (w *work) eachItself() {
	for i := range w.parts {
		p := &w.parts[i]
		if p.component != food.Meats && p.component != food.Fruits && p.component != food.Vegetables {
			continue
		}
		step := w.inForce(stepOf(p.component))
		if step == nil {
			return
		}
		all := exact.Number{}
		for k := range w.parts {
			q := &w.parts[k]
			same := q.food == p.food || p.food.ID == "" && q.food.ID == "" && q.food.Name == p.food.Name // a product is made anew for each line
			if same && q.component == p.component {
				all = all.Add(q.opt.chain.value)
			}
		}
		if all.Quo(w.servingsMade()).Less(step.Number) {
			p.left, p.why = true, "less than "+step.Text+" "+w.rec.Unit(p.component)+" of it in a portion; each food of a smoothie must reach that by itself"
		}
	}
}

// hiddenPuree leaves puree that cannot be recognized out unless the dish shows
// the least recognizable fruit or vegetable beside it. A smoothie is apart.
func (w *work) hiddenPuree() {
	if w.smoothie {
		w.eachItself()
		return
	}
	if !w.brought[food.Fruits] && !w.brought[food.Vegetables] {
		return
	}
	hidden := false
	for i := range w.parts {
		hidden = hidden || w.parts[i].hidden && (w.parts[i].component == food.Fruits || w.parts[i].component == food.Vegetables)
	}
	if !hidden {
		return
	}
	v, err := w.rs.Get("produce/recognizable-least")
	if err != nil {
		w.notInForce(err)
		return
	}
	enough := !w.shown(false).Less(v.Number)
	if enough && !w.shown(true).Less(v.Number) {
		return
	}
	for i := range w.parts {
		if p := &w.parts[i]; p.hidden && (p.component == food.Fruits || p.component == food.Vegetables) {
			if enough {
				p.lent = true
				continue
			}
			p.left, p.why = true, "a hidden puree, and the portion shows less than "+v.Text+" cup of recognizable fruit or vegetable"
		}
	}
}

// shown returns the recognizable fruit and vegetable of a portion, all of it or
// what documented figures support. It must credit: dried fruit does from its own
// least amount on.
func (w *work) shown(documented bool) exact.Number {
	var shown, shownDried, dried exact.Number
	for i := range w.parts {
		p := &w.parts[i]
		if p.component != food.Fruits && p.component != food.Vegetables || documented && p.opt.chain.rank > 0 {
			continue
		}
		dried = dried.Add(p.dried)
		switch {
		case p.hidden:
		case !p.dried.IsZero():
			shownDried = shownDried.Add(p.opt.chain.value)
		default:
			shown = shown.Add(p.opt.chain.value)
		}
	}
	if least := w.value(driedLeast); least == nil || !dried.Quo(w.servingsMade()).Less(least.Number) {
		shown = shown.Add(shownDried)
	}
	return shown.Quo(w.servingsMade())
}

// milkAmount brings milk to cups.
func (w *work) milkAmount(a *amount, opts []option) []option {
	if a.q.Dimension() == measure.Volume {
		cups, _ := a.q.In(measure.Cup)
		c := begin(cups, measure.Cup, "milk/volume")
		return offer(opts, "fluid", &c)
	}
	cup := a.f.HeaviestCup("")
	if cup == nil {
		return opts
	}
	var c chain
	if !w.grams(&c, a, "milk/volume") {
		return opts
	}
	c.food(DividedBy, cup)
	return offer(opts, "fluid", &c)
}

// milk credits fluid milk, which is not rounded down in steps: in a smoothie
// the amount itself from the least one on, as a drink the full serving of the
// age group or nothing.
func (w *work) milk() {
	if !w.brought[food.Milk] {
		return
	}
	total, rank, first := exact.Number{}, int8(0), len(w.rec.Steps)
	for i := range w.parts {
		p := &w.parts[i]
		if p.component != food.Milk {
			continue
		}
		total, rank = total.Add(p.opt.chain.value), max(rank, p.opt.chain.rank)
		if w.full {
			p.step = w.write(&p.opt.chain, food.Milk, food.NoSubgroup, p.ingredient, Counted)
			w.rec.Ingredients[p.ingredient].Step = p.step
		}
	}
	cr := Credit{Component: food.Milk, Exact: total.Quo(w.servingsMade()), FirstStep: first, Basis: SmoothieMilk}
	rule := "milk/smoothie-least"
	if !w.smoothie {
		cr.Basis = FullServing
		rule = "milk/serving/" + w.req.AgeGroup
		if w.rs.Program.ID == "summer" {
			rule = "milk/serving/summer"
		} else if w.req.AgeGroup == "" || !w.rs.Has(rule) {
			w.faults.Add(fault.Fault{Reason: fault.Missing, Path: "ageGroup", Value: w.req.AgeGroup, Want: "an age/grade group of " + w.rs.Program.ID + ": " + join(w.rs.AgeGroups(), ", ", " or "),
				Fix: "Milk as a drink credits as the full serving of the group."})
			return
		}
	}
	v, err := w.rs.Get(rule)
	if err != nil {
		w.notInForce(err)
		return
	}
	cr.Status = statusOf(max(rank, distance(&v.Source)))
	switch {
	case cr.Exact.Less(v.Number):
		cr.Status, cr.Reason = NoCredit, "less than "+v.Text+" cup of milk in a portion"
	case w.smoothie:
		cr.Credited = cr.Exact
	default:
		cr.Credited = v.Number
	}
	if cr.Status == Documented {
		cr.Claimable = cr.Credited
	}
	if w.full {
		k := len(w.terms)
		for i := range w.parts {
			if p := &w.parts[i]; p.component == food.Milk {
				w.terms = append(w.terms, from(Plus, p.step))
			}
		}
		w.terms = append(w.terms, w.with(DividedBy, w.made))
		per := w.step(Step{Rule: "recipe/servings-made", Operation: PerServing, Component: food.Milk, Ingredient: -1, Terms: w.terms[k:len(w.terms):len(w.terms)], Value: cr.Exact, Outcome: Counted})
		cr.ExactStep = per
		last := Step{Rule: rule, Operation: LookUp, Component: food.Milk, Ingredient: -1, Value: cr.Credited, Outcome: Counted}
		switch {
		case cr.Status == NoCredit:
			w.figure(&v.Record)
		case w.smoothie:
			w.figure(&v.Record)
			last.Terms = w.take(from(Plus, per))
		default:
			last.Terms = w.take(w.with(Plus, &v.Record))
		}
		cr.LastStep = w.step(last)
	}
	w.rec.Credits = append(w.rec.Credits, cr)
}

// grainLimits applies what keeps grains from crediting: a dessert the program
// does not credit, and more grain that does not credit than a form allows.
func (w *work) grainLimits(r *recipe.Recipe) {
	if len(w.rec.Credits) == 0 || w.rec.Credits[0].Component != food.Grains {
		return
	}
	cr := &w.rec.Credits[0]
	w.dessert(cr, r.Dessert)
	key := "grains/noncreditable/baked"
	if r.ExhibitAGroup >= "H" {
		key = "grains/noncreditable/cooked"
	}
	noted := w.rs.Options["noncreditable-grain"] == "note"
	if len(w.barren) == 0 || !w.rs.Has(key) && !noted {
		return
	}
	grams := exact.Number{}
	for i := range w.barren {
		b := &w.barren[i]
		if c := new(chain); w.grams(c, &amount{f: b.food, q: b.quantity, basis: food.AsPurchased}, key) {
			grams = grams.Add(c.value)
			continue
		}
		f := fault.Fault{Reason: fault.UnitNeedsDensity, Path: b.at.path("quantity"), Value: b.quantity.Text(),
			Want: "a weight: grain that does not credit counts toward a limit, and no figure says what " + b.quantity.Text() + " of " + b.food.Name + " weighs",
			Fix:  "Weigh it, or bring a figure of kind cup or each under foods."}
		if !noted && !slices.Contains(w.faults.Faults, f) {
			w.faults.Add(f)
		}
	}
	per := grams.Quo(w.servingsMade())
	if noted {
		w.find(Finding{Severity: Note, Reason: NonCreditable, Component: food.Grains, Ingredient: -1, Share: per})
		return
	}
	v, _ := w.rs.Get(key)
	if v.Number.Less(per) {
		w.deny(cr, v.Rule.ID, LimitNotApplied, "more than "+v.Text+" g of grain that does not credit in a portion")
		w.find(Finding{Severity: Check, Reason: NonCreditable, Component: food.Grains, Ingredient: -1, Share: per, Words: []string{v.Text}})
	}
}

// dessert applies what the program says of a kind of grain-based dessert.
func (w *work) dessert(cr *Credit, kind string) {
	if kind == "" {
		return
	}
	v, err := w.rs.Get("grains/dessert/" + kind)
	if err != nil {
		w.notInForce(err)
		return
	}
	if w.dessertRule(v) {
		w.deny(cr, v.Rule.ID, LimitNotApplied, w.dessertDenied())
	}
}

// dessertWithin applies it to a dessert that goes into another dish: to the
// grains it brought, the parts from a number on.
func (w *work) dessertWithin(kind string, from int) {
	if kind == "" {
		return
	}
	v, err := w.rs.Get("grains/dessert/" + kind)
	if err != nil {
		w.notInForce(err)
		return
	}
	denied, told := false, false
	for i := from; i < len(w.parts); i++ {
		p := &w.parts[i]
		if p.component != food.Grains {
			continue
		}
		if !told {
			denied, told = w.dessertRule(v), true
		}
		if denied {
			p.left, p.why = true, w.dessertDenied()
		}
	}
}

// dessertRule notes what a rule says of desserts, and reports whether it denies
// them.
func (w *work) dessertRule(v *rules.Value) bool {
	switch v.Text {
	case "none":
		w.find(Finding{Severity: Note, Reason: DessertNone, Component: food.Grains, Ingredient: -1, Words: []string{v.Source.Citation()}})
		return true
	case "limited":
		w.find(Finding{Severity: Note, Reason: DessertLimited, Component: food.Grains, Ingredient: -1, Words: []string{v.Note, v.Source.Citation()}})
	}
	return false
}

func (w *work) dessertDenied() string {
	return "a grain-based dessert, which " + w.rs.Program.Name + " does not credit"
}

// deny takes a credit away, and keeps what it would have been beside it.
func (w *work) deny(cr *Credit, rule string, b Basis, why string) {
	// No other way to the same credit stands either.
	cr.Alternatives = nil
	w.rec.Findings = slices.DeleteFunc(w.rec.Findings, func(f Finding) bool { return f.Reason == WeightMore && f.Component == cr.Component })
	if cr.Credited.Sign() > 0 {
		before := cr.Credited
		cr.Credited = exact.Number{}
		w.alternative(cr, b, cr.Exact, before)
		if w.full {
			cr.LastStep = w.step(Step{Rule: rule, Operation: Remains, Component: cr.Component, Ingredient: -1,
				Terms: w.take(from(Plus, cr.LastStep), from(Minus, cr.LastStep)), Outcome: Nothing})
		}
	}
	cr.Status, cr.Reason, cr.ToSpare, cr.ToNext, cr.Claimable = NoCredit, why, Spare{}, Spare{}, exact.Number{}
}
