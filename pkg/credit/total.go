package credit

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

func statusOf(rank int8) Status {
	if rank == 0 {
		return Documented
	}
	return Estimate
}

// grainsCredit works out the grains of a recipe by the method asked for, or by
// grams of creditable grain when it has grain ingredients, or by the weight of
// the portion.
func (w *work) grainsCredit(r *recipe.Recipe) {
	hasGrain := w.brought[food.Grains]
	var weight measure.Quantity
	if len(r.Portions) > 0 {
		first, own := &r.Portions[0], &r.Portions[w.portion]
		weight = own.Weight
		if weight.IsZero() && !first.Weight.IsZero() {
			ratio, _ := own.Ratio(first, r.Servings)
			weight = first.Weight.Times(ratio)
		}
	}
	group := r.ExhibitAGroup
	canWeigh := !weight.IsZero() && group != "" && group <= "G"
	method := r.GrainsMethod
	if method == "" {
		method = recipe.CreditableGrains
		if !hasGrain && canWeigh {
			method = recipe.ExhibitA
		}
	}
	if method == recipe.ExhibitA {
		if !canWeigh {
			w.faults.Add(fault.Fault{Reason: fault.Missing, Path: "recipe.portions", Want: "the portion's weight as served, and an exhibitAGroup from A to G, for the weight method of grains",
				Fix: "Weigh a baked portion and give its group, or leave grainsMethod out."})
			return
		}
		if cr, ok := w.portionWeight(weight, group); ok {
			if hasGrain && w.full {
				exactly, credited := w.ingredientGrains(cr.Step)
				w.alternative(&cr, CreditableGrains, exactly, credited)
			}
			w.rec.Credits = append(w.rec.Credits, cr)
		}
		return
	}
	if !hasGrain {
		return
	}
	w.sumCredit(food.Grains, food.NoSubgroup)
	if len(w.rec.Credits) == 0 {
		return
	}
	cr := &w.rec.Credits[len(w.rec.Credits)-1]
	cr.Basis = CreditableGrains
	printed, held := w.holdToTables(cr)
	if w.full {
		w.eachRounded(cr, printed, held)
	}
	if w.full && canWeigh {
		column := measure.Gram
		if weight.System() == measure.Customary {
			column = measure.Ounce
		}
		if t := w.exhibitA(group, column); t != nil {
			credited, _ := tableCredit(weight.Amount(), t)
			would := credited
			if w.rs.Options["exhibit-a-fractions"] == "division" {
				would = weight.Amount().Quo(t.Steps[0].Least).DownTo(cr.Step)
			}
			if cr.Credited.Less(would) {
				w.find(Finding{Severity: Check, Reason: WeightMore, Component: food.Grains, Ingredient: -1, Words: []string{weight.Text(), group, would.String(), cr.Credited.String()}})
			}
			w.alternativeBy(cr, ExhibitAWeight, weight.Amount().Quo(t.Steps[0].Least), credited, &t.Steps[0].Record)
		}
	}
}

// tableOf returns the table of printed weights a part was divided by, or nil.
func (w *work) tableOf(p *part) *rules.Value {
	c := &p.opt.chain
	if p.component != food.Grains || p.left || p.food.GrainUse != food.Prepared {
		return nil
	}
	t, err := w.rs.Get(c.rule)
	if err != nil || len(t.Steps) == 0 || c.last() != &t.Steps[0].Record {
		return nil
	}
	return t
}

// held is the grain of a portion that one table of printed weights speaks of.
type held struct {
	table   *rules.Value
	row     *rules.Step  // the printed fraction reached, or nil
	exactly exact.Number // by division
	printed exact.Number
	checked exact.Number // what documented figures support
	sure    exact.Number // of exactly, the same
	twin    int          // 1 + the place of the same group's other column; 0 when it is not in the dish
	both    exact.Number // what the two columns credit together
	of      int          // steps of the division
	look    int          // and of the look-up
}

// heldBy looks a portion's grain of one table up in it, beginning at the table's
// first part.
func (w *work) heldBy(t *rules.Value, first int) held {
	h, checked := held{table: t}, exact.Number{}
	for i := first; i < len(w.parts); i++ {
		if p := &w.parts[i]; w.tableOf(p) == t {
			h.exactly = h.exactly.Add(p.opt.chain.value)
			if p.opt.chain.rank == 0 {
				checked = checked.Add(p.opt.chain.value)
			}
		}
	}
	full := t.Steps[0].Least
	h.exactly = h.exactly.Quo(w.servingsMade())
	h.printed, h.row = tableCredit(h.exactly.Mul(full), t)
	var row *rules.Step
	h.sure = checked.Quo(w.servingsMade())
	h.checked, row = tableCredit(h.sure.Mul(full), t)
	if row != nil && distance(&row.Source) > 0 {
		h.checked = h.checked.Sub(row.Credit)
	}
	return h
}

// printedWeights turns the exact grains of a portion into what is rounded down:
// bought products count what the printed least weights say of a portion's share,
// as if it were served alone, and the rest is added exactly. So a crumb of
// something else never lifts a product past its printed step.
func (w *work) printedWeights(room []held, exactly, step exact.Number) (tables []held, sum exact.Number) {
	tables, sum = room, exactly
	for i := range w.parts {
		t := w.tableOf(&w.parts[i])
		if t != nil && (w.rs.Options["exhibit-a-fractions"] == "division" || w.rs.Options["non-table-exhibit-a"] == "pooled") {
			return room, exactly
		}
		if t == nil || slices.ContainsFunc(tables, func(h held) bool { return h.table == t }) {
			continue
		}
		h := w.heldBy(t, i)
		tables, sum = append(tables, h), sum.Sub(h.exactly).Add(h.printed)
	}
	for i := range tables {
		for k := range i {
			if group(tables[i].table) == group(tables[k].table) {
				sum = sum.Sub(pair(tables, k, i, step))
			}
		}
	}
	return tables, sum
}

// holdToTables holds the bought grain products of a dish to the printed least
// weights. It returns what those print, and whether there are any.
func (w *work) holdToTables(cr *Credit) (printed exact.Number, any bool) {
	var room [4]held
	tables, sum := w.printedWeights(room[:0], cr.Exact, cr.Step)
	if len(tables) == 0 {
		return exact.Number{}, false
	}
	w.lift = sum.Sub(cr.Exact)
	only := true
	for i := range w.parts {
		p := &w.parts[i]
		only = only && (p.component != food.Grains || p.left || w.tableOf(p) == tables[0].table)
	}
	credited := sum.DownTo(cr.Step)
	doubt := slices.ContainsFunc(tables, func(h held) bool { return h.row != nil && distance(&h.row.Source) > 0 })
	if doubt || !credited.Equal(cr.Credited) {
		pooled := cr.Credited
		cr.Credited, cr.Basis = credited, ExhibitAHeld
		if only {
			cr.Basis = ExhibitAWeight
		}
		w.alternative(cr, ExhibitAPooled, cr.Exact, pooled)
		w.heldStatus(cr, tables)
		if w.full {
			w.ledgerOfTables(cr, tables, only)
		}
		w.reason(cr)
	} else if cr.Status == Estimate {
		// What is documented of it is looked up too.
		divided := cr.Claimable
		w.heldStatus(cr, tables)
		cr.Claimable = exact.Min(cr.Claimable, divided)
	}
	if w.full {
		w.spareOfTables(cr, tables, sum)
	}
	printed = sum.Sub(cr.Exact)
	for i := range tables {
		printed = printed.Add(tables[i].exactly)
	}
	return printed, true
}

// group returns what the tables of a group's two columns have in common.
func group(t *rules.Value) string { return t.Rule.ID[:strings.LastIndexByte(t.Rule.ID, '/')] }

// pair holds a group that is in a dish by grams and by ounces: looked up twice
// it credits no more than by division, unless one column alone does. It returns
// what that takes away.
func pair(tables []held, k, i int, step exact.Number) exact.Number {
	a, b := &tables[k], &tables[i]
	a.twin, b.twin = i+1, k+1
	a.both = together(a.printed, b.printed, a.exactly.Add(b.exactly), step)
	return a.printed.Add(b.printed).Sub(a.both)
}

// together is what the two columns of a group credit, exactly being what they
// come to by division.
func together(a, b, exactly, step exact.Number) exact.Number {
	sum, divided := a.Add(b), exactly.DownTo(step)
	return exact.Max(exact.Min(sum, divided), exact.Max(a, b))
}

// heldStatus works out how far papers carry a credit held to printed weights.
func (w *work) heldStatus(cr *Credit, tables []held) {
	checked, rank := exact.Number{}, int8(0)
	for i := range w.parts {
		p := &w.parts[i]
		if p.component != food.Grains || p.left {
			continue
		}
		rank = max(rank, p.opt.chain.rank)
		if p.opt.chain.rank == 0 && w.tableOf(p) == nil {
			checked = checked.Add(p.opt.chain.value)
		}
	}
	checked = checked.Quo(w.servingsMade())
	for i := range tables {
		switch h := &tables[i]; {
		case h.twin == 0:
			checked = checked.Add(h.checked)
		case h.twin > i+1: // once for the two
			twin := &tables[h.twin-1]
			checked = checked.Add(together(h.checked, twin.checked, h.sure.Add(twin.sure), cr.Step))
		}
		if row := tables[i].row; row != nil {
			rank = max(rank, distance(&row.Source))
		}
	}
	cr.Claimable = cr.Credited
	if rank > 0 {
		down := checked.DownTo(cr.Step)
		cr.Claimable = exact.Min(down, cr.Credited)
	}
	cr.Status = statusOf(max(rank, distance(&w.value(grainsStep).Source)))
}

// ledgerOfTables writes what each table makes of its grain, and the sum with it.
func (w *work) ledgerOfTables(cr *Credit, tables []held, only bool) {
	sum := []Term{from(Plus, cr.ExactStep)}
	for i := range tables {
		h := &tables[i]
		rule, full := h.table.Rule.ID, &h.table.Steps[0].Record
		of := cr.ExactStep
		if !only {
			n := len(w.terms)
			for k := range w.parts {
				if p := &w.parts[k]; w.tableOf(p) == h.table {
					w.terms = append(w.terms, from(Plus, p.step))
				}
			}
			w.terms = append(w.terms, w.with(DividedBy, w.made))
			of = w.step(Step{Rule: rule, Operation: PerServing, Component: food.Grains, Ingredient: -1, Terms: w.terms[n:len(w.terms):len(w.terms)], Value: h.exactly, Outcome: Counted})
		}
		n := len(w.terms)
		w.terms = append(w.terms, from(Plus, of), w.with(Times, full), w.with(DownTo, full), w.with(DividedBy, full))
		if h.row != nil {
			w.terms = append(w.terms, w.with(Plus, &h.row.Earns))
		}
		look := w.step(Step{Rule: rule, Operation: LookUp, Component: food.Grains, Ingredient: -1, Terms: w.terms[n:len(w.terms):len(w.terms)], Value: h.printed, Outcome: RoundedDown})
		h.of, h.look = of, look
		if h.twin == 0 {
			sum = append(sum, from(Minus, of), from(Plus, look))
		}
	}
	step := w.value(grainsStep)
	for i := range tables {
		a := &tables[i]
		if a.twin <= i+1 {
			continue
		}
		b := &tables[a.twin-1]
		sum = append(sum, from(Minus, a.of), from(Minus, b.of))
		switch {
		case a.both.Equal(a.printed.Add(b.printed)):
			sum = append(sum, from(Plus, a.look), from(Plus, b.look))
		case a.both.Equal(a.printed):
			sum = append(sum, from(Plus, a.look))
		case a.both.Equal(b.printed):
			sum = append(sum, from(Plus, b.look))
		default:
			sum = append(sum, from(Plus, w.step(Step{Rule: step.Rule.ID, Operation: RoundDown, Component: food.Grains, Ingredient: -1,
				Terms: w.take(from(Plus, a.of), from(Plus, b.of), w.with(DownTo, &step.Record)), Value: a.both, Outcome: RoundedDown})))
		}
	}
	cr.LastStep = len(w.rec.Steps) - 1
	if only {
		return
	}
	cr.LastStep = w.step(Step{Rule: step.Rule.ID, Operation: RoundDown, Component: food.Grains, Ingredient: -1,
		Terms: append(sum, w.with(DownTo, &step.Record)), Value: cr.Credited, Outcome: RoundedDown})
}

// spareOfTables works out again what of the largest ingredient could be left
// out, or is missing: of a product, what lies between printed weights. sum is
// what is rounded down.
func (w *work) spareOfTables(cr *Credit, tables []held, sum exact.Number) {
	most := w.largest(cr)
	if most == nil {
		return
	}
	q := w.rec.Ingredients[most.ingredient].Quantity
	perCredit := q.Amount().Mul(w.servingsMade()).Quo(most.opt.chain.value)
	spare, missing := sum.Sub(cr.Credited), cr.Credited.Add(cr.Step).Sub(sum)
	for i := range tables {
		h := &tables[i]
		switch {
		case h.table != w.tableOf(most):
			continue
		case h.twin > 0: // the other column may step in
			cr.ToSpare, cr.ToNext = Spare{}, Spare{}
			return
		}
		full := h.table.Steps[0].Least
		rest := sum.Sub(h.printed)
		weight := func(credit exact.Number) exact.Number {
			return leastWeight(exact.Max(credit.Sub(rest), exact.Number{}).RoundUp(cr.Step), h.table).Quo(full)
		}
		spare, missing = h.exactly.Sub(weight(cr.Credited)), weight(cr.Credited.Add(cr.Step)).Sub(h.exactly)
	}
	cr.ToSpare, cr.ToNext = Spare{}, Spare{Ingredient: most.ingredient, Unit: q.Unit(), Amount: missing.Mul(perCredit)}
	if cr.Credited.Sign() > 0 {
		cr.ToSpare = Spare{Ingredient: most.ingredient, Unit: q.Unit(), Amount: exact.Min(spare.Mul(perCredit), q.Amount())}
	}
}

// ingredientGrains works out the grains of a portion by its ingredients, without
// a ledger.
func (w *work) ingredientGrains(step exact.Number) (exactly, credited exact.Number) {
	total := exact.Number{}
	for i := range w.parts {
		if p := &w.parts[i]; p.component == food.Grains && !p.left {
			total = total.Add(p.opt.chain.value)
		}
	}
	exactly = total.Quo(w.servingsMade())
	_, sum := w.printedWeights(nil, exactly, step)
	credited = sum.DownTo(step)
	return exactly, credited
}

// sumCredit adds up a component, or one subgroup of vegetables, divides by the
// servings made and rounds down.
func (w *work) sumCredit(comp food.Component, sub food.Subgroup) {
	if !w.brought[comp] {
		return
	}
	total, unchecked, rank, n := exact.Number{}, exact.Number{}, int8(0), 0
	first := len(w.rec.Steps)
	switch comp {
	case food.Fruits:
		w.leastDried()
	case food.Meats:
		w.surimi()
	}
	for i := range w.parts {
		p := &w.parts[i]
		if p.component != comp || sub != food.NoSubgroup && p.subgroup != sub {
			continue
		}
		n++
		if w.full && p.step < 0 {
			outcome := Counted
			if p.left {
				outcome = Nothing
			}
			p.step = w.write(&p.opt.chain, comp, p.subgroup, p.ingredient, outcome)
			line := &w.rec.Ingredients[p.ingredient]
			line.Step = p.step
			if p.left {
				line.Component, line.Credit, line.Reason = food.NoComponent, exact.Number{}, p.why
			}
		}
		if p.left {
			continue
		}
		total = total.Add(p.opt.chain.value)
		if far := p.rank(); far > 0 {
			rank = max(rank, far)
			unchecked = unchecked.Add(p.opt.chain.value)
		}
	}
	fill := sub == food.OtherVegetables && w.surplus.over.Sign() > 0
	if n == 0 && !fill {
		return
	}
	step := w.inForce(stepOf(comp))
	if step == nil {
		return
	}
	cr := Credit{Component: comp, Subgroup: sub, Basis: Sum, Step: step.Number, FirstStep: first}
	cr.Exact = total.Quo(w.servingsMade())
	checked := cr.Exact
	if rank > 0 {
		checked = total.Sub(unchecked).Quo(w.servingsMade())
	}
	own := cr.Exact
	if fill {
		cr.Basis, cr.Exact, checked = OtherFilled, own.Add(w.surplus.over), checked.Add(w.surplus.checked)
		if n == 0 && cr.Exact.Less(cr.Step) {
			return // no other vegetable, and too little of the rest to be one
		}
	}
	cr.Credited = cr.Exact.DownTo(cr.Step)
	if fill && own.Less(cr.Credited) {
		rank = max(rank, w.surplus.rank, distance(&w.value(otherMetWith).Source))
	}
	cr.Status = statusOf(max(rank, distance(&step.Source)))
	cr.Claimable = cr.Credited
	if rank > 0 {
		cr.Claimable = checked.DownTo(cr.Step)
		cr.Claimable = exact.Min(cr.Claimable, cr.Credited)
	}
	switch {
	case comp == food.Grains:
		w.total = total
	case w.meetsOther(sub):
		w.surplus.add(&cr, checked, rank)
	}
	if w.full {
		w.ledgerOfSum(&cr, total, own)
		w.spare(&cr)
		if fill {
			down := own.DownTo(cr.Step)
			w.alternative(&cr, OtherAlone, own, down)
		}
		w.alternatives(&cr)
	}
	w.reason(&cr)
	w.rec.Credits = append(w.rec.Credits, cr)
}

// surplus is what rounding vegetable subgroups down leaves over in a portion, and
// the other vegetables may be met with. It is nobody else's: the subgroups that
// leave it never count it, so with it the subgroups still credit no more than the
// vegetables as a whole.
type surplus struct {
	over    exact.Number
	checked exact.Number // of it, what documented figures support
	taken   exact.Number // what the same subgroups credit themselves
	rank    int8
}

// add adds what a subgroup leaves over. checked is what its documented figures
// come to.
func (s *surplus) add(cr *Credit, checked exact.Number, rank int8) {
	over := cr.Exact.Sub(cr.Credited)
	s.over, s.taken = s.over.Add(over), s.taken.Add(cr.Credited)
	s.checked = s.checked.Add(checked.Sub(cr.Claimable))
	if !over.IsZero() {
		s.rank = max(s.rank, rank)
	}
}

// meetsOther reports whether additional amounts of a subgroup may meet the
// other vegetables.
func (w *work) meetsOther(sub food.Subgroup) bool {
	if sub == food.NoSubgroup || sub == food.OtherVegetables {
		return false
	}
	v := w.value(otherMetWith)
	return v != nil && strings.Contains(v.Text, sub.String())
}

// reason says why a credit is nothing.
func (w *work) reason(cr *Credit) {
	if cr.Credited.Sign() > 0 {
		cr.Reason = ""
		return
	}
	cr.Status = NoCredit
	cr.Reason = "less than " + cr.Step.String() + " " + w.rec.Unit(cr.Component) + " in a portion"
}

// leastDried leaves dried fruit out when a portion holds less of it, as
// served, than the least that credits.
func (w *work) leastDried() {
	var dried, checked exact.Number
	for i := range w.parts {
		if p := &w.parts[i]; p.component == food.Fruits {
			dried = dried.Add(p.dried)
			if p.opt.chain.rank == 0 {
				checked = checked.Add(p.dried)
			}
		}
	}
	v := w.value(driedLeast)
	if v == nil || dried.IsZero() {
		return
	}
	if !dried.Quo(w.servingsMade()).Less(v.Number) {
		if checked.Quo(w.servingsMade()).Less(v.Number) {
			for i := range w.parts {
				w.parts[i].lent = w.parts[i].lent || !w.parts[i].dried.IsZero()
			}
		}
		return
	}
	for i := range w.parts {
		if p := &w.parts[i]; !p.dried.IsZero() {
			p.left, p.why = true, "less dried fruit than "+v.Text+" cup in a portion as served"
		}
	}
	if w.full {
		w.step(Step{Rule: v.Rule.ID, Operation: LookUp, Component: food.Fruits, Ingredient: -1, Start: dried, Unit: measure.Cup,
			Terms: w.take(w.with(DividedBy, w.made), w.with(Minus, &v.Record)),
			Value: dried.Quo(w.servingsMade()).Sub(v.Number), Outcome: Nothing})
	}
}

// ledgerOfSum writes the sum, the division, what fills it up and the rounding
// down.
func (w *work) ledgerOfSum(cr *Credit, total, own exact.Number) {
	n := len(w.terms)
	for i := range w.parts {
		p := &w.parts[i]
		if p.component == cr.Component && !p.left && (cr.Subgroup == food.NoSubgroup || p.subgroup == cr.Subgroup) {
			w.terms = append(w.terms, from(Plus, p.step))
		}
	}
	sum := w.step(Step{Rule: "recipe/sum", Operation: SumUp, Component: cr.Component, Subgroup: cr.Subgroup, Ingredient: -1,
		Terms: w.terms[n:len(w.terms):len(w.terms)], Value: total, Outcome: Counted})
	per := w.step(Step{Rule: "recipe/servings-made", Operation: PerServing, Component: cr.Component, Subgroup: cr.Subgroup, Ingredient: -1,
		Terms: w.take(from(Plus, sum), w.with(DividedBy, w.made)),
		Value: own, Outcome: Counted})
	if cr.Basis == OtherFilled {
		v := w.value(otherMetWith)
		w.figure(&v.Record)
		terms := append(make([]Term, 0, 7), from(Plus, per))
		for i := range w.rec.Credits {
			if c := &w.rec.Credits[i]; c.Component == cr.Component && w.meetsOther(c.Subgroup) && !c.Exact.Equal(c.Credited) {
				terms = append(terms, from(Plus, c.ExactStep), from(Minus, c.LastStep))
			}
		}
		per = w.step(Step{Rule: v.Rule.ID, Operation: FillUp, Component: cr.Component, Subgroup: cr.Subgroup, Ingredient: -1, Terms: terms, Value: cr.Exact, Outcome: Counted})
	}
	cr.ExactStep = per
	w.roundDown(cr, per)
}

// roundDown writes the one rounding of a credit.
func (w *work) roundDown(cr *Credit, of int) {
	step := w.inForce(stepOf(cr.Component))
	if step == nil {
		return
	}
	w.step(Step{Rule: step.Rule.ID, Operation: RoundDown, Component: cr.Component, Subgroup: cr.Subgroup, Ingredient: -1,
		Terms: w.take(from(Plus, of), w.with(DownTo, &step.Record)),
		Value: cr.Credited, Outcome: RoundedDown})
	cr.LastStep = len(w.rec.Steps) - 1
}

// vegetables works out the total, then each subgroup on its own exact sum, other
// last and with what it is filled with, then what the subgroups leave of the
// total. Floored subgroups are never added up.
func (w *work) vegetables() {
	at := len(w.rec.Credits)
	w.sumCredit(food.Vegetables, food.NoSubgroup)
	if len(w.rec.Credits) == at || len(w.faults.Faults) > 0 {
		return
	}
	left, claimable := w.rec.Credits[at].Credited, w.rec.Credits[at].Claimable
	terms := append(make([]Term, 0, 6), from(Plus, w.rec.Credits[at].LastStep))
	for sub := food.DarkGreen; sub < food.Additional; sub++ {
		k := len(w.rec.Credits)
		w.sumCredit(food.Vegetables, sub)
		if len(w.rec.Credits) > k {
			cr := &w.rec.Credits[k]
			left, claimable = left.Sub(cr.Credited), claimable.Sub(cr.Claimable)
			terms = append(terms, from(Minus, cr.LastStep))
		}
	}
	w.tightest(at)
	if left.Sign() <= 0 {
		return
	}
	total := &w.rec.Credits[at]
	cr := Credit{Component: food.Vegetables, Subgroup: food.Additional, Exact: left, Credited: left, Claimable: exact.Min(claimable, left), Step: total.Step, Basis: Remainder, Status: total.Status}
	if w.full {
		cr.FirstStep = w.step(Step{Rule: "vegetables/additional", Operation: Remains, Component: food.Vegetables, Subgroup: food.Additional, Ingredient: -1,
			Terms: terms, Value: left, Outcome: Counted})
		cr.LastStep, cr.ExactStep = cr.FirstStep, cr.FirstStep
	}
	w.rec.Credits = append(w.rec.Credits, cr)
}

// tightest holds what a credit of vegetables could spare of an ingredient to
// what the others that it counts toward could: below that their credit would
// drop first.
func (w *work) tightest(at int) {
	for i := at; i < len(w.rec.Credits); i++ {
		cr := &w.rec.Credits[i]
		if cr.ToSpare.Unit == nil {
			continue
		}
		line := &w.rec.Ingredients[cr.ToSpare.Ingredient]
		for k := at + 1; k < len(w.rec.Credits); k++ {
			sub := &w.rec.Credits[k]
			own, fills := sub.Subgroup == line.Subgroup, sub.Basis == OtherFilled && w.meetsOther(line.Subgroup)
			if k == i || !own && !fills || sub.Credited.Sign() <= 0 || line.Credit.IsZero() {
				continue
			}
			over := sub.Exact.Sub(sub.Credited).Mul(w.servingsMade())
			cr.ToSpare.Amount = exact.Min(cr.ToSpare.Amount, over.Mul(line.Quantity.Amount()).Quo(line.Credit))
		}
	}
}

// spare works out what of the largest ingredient could be left out before the
// credit drops, and what of it is missing for the next step.
func (w *work) spare(cr *Credit) {
	most := w.largest(cr)
	if most == nil {
		return
	}
	q := w.rec.Ingredients[most.ingredient].Quantity
	if most.opt.chain.rule == surimiTable {
		return // a table, not a ratio
	}
	perCredit := q.Amount().Mul(w.servingsMade()).Quo(most.opt.chain.value)
	if cr.Credited.Sign() > 0 {
		spare := exact.Min(cr.Exact.Sub(cr.Credited).Mul(perCredit), q.Amount())
		if v := w.value(driedLeast); v != nil && !most.dried.IsZero() {
			// Below the least dried fruit all of it would drop out.
			over := exact.Number{}
			for i := range w.parts {
				over = over.Add(w.parts[i].dried)
			}
			over = over.Sub(v.Number.Mul(w.servingsMade()))
			spare = exact.Min(spare, over.Mul(q.Amount()).Quo(most.dried))
		}
		cr.ToSpare = Spare{Ingredient: most.ingredient, Unit: q.Unit(), Amount: spare}
	}
	cr.ToNext = Spare{Ingredient: most.ingredient, Unit: q.Unit(), Amount: cr.Credited.Add(cr.Step).Sub(cr.Exact).Mul(perCredit)}
}

// largest returns the part that brings most to a credit, the first by food id
// of equals, or nil when none brings anything.
func (w *work) largest(cr *Credit) *part {
	var most *part
	for i := range w.parts {
		p := &w.parts[i]
		if !w.belongs(p, cr) {
			continue
		}
		if most == nil {
			most = p
			continue
		}
		if c := p.opt.chain.value.Cmp(most.opt.chain.value); c > 0 || c == 0 && p.food.ID < most.food.ID {
			most = p
		}
	}
	if most == nil || most.opt.chain.value.IsZero() {
		return nil
	}
	return most
}
