package credit

import (
	"slices"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/rules"
)

// grain finds the ways an ingredient's grain counts. There are two only for
// foods that can be baked in or cooked as cereal, when the dish does not say.
func (w *work) grain(a *amount, group, dish, wanted string, opts []option) []option {
	f := a.f
	if wanted != "" && !food.Uncooked(wanted) || a.basis == food.AsServed && (f.GrainUse == food.Cooked || f.GrainUse == food.Either) {
		return w.cookedGrain(*a, wanted, opts)
	}
	if f.GrainUse == food.Prepared {
		return w.preparedGrain(*a, group, opts)
	}
	if rule, ok := cupsOf(f); ok && a.q.Dimension() == measure.Volume && (w.ozEq() || rule == popcornCups) {
		cups, _ := a.q.In(measure.Cup)
		c := begin(cups, measure.Cup, rule.id())
		w.rule(&c, DividedBy, rule)
		return offer(opts, "by volume", &c)
	}
	baked, cooked := "baked in", "cooked as cereal"
	switch use := f.GrainUse; {
	case group != "":
		if group >= "H" {
			return w.creditableGrain(a, cooked, use, opts)
		}
		return w.creditableGrain(a, baked, use, opts)
	case use == food.Baked:
		return w.creditableGrain(a, baked, use, opts)
	case use == food.Cooked || use == food.Cereal:
		return w.creditableGrain(a, cooked, use, opts)
	case dish != "" && dish < "H":
		return w.creditableGrain(a, baked, use, opts)
	case dish != "":
		return w.creditableGrain(a, cooked, use, opts)
	}
	return w.creditableGrain(a, baked, f.GrainUse, w.creditableGrain(a, cooked, f.GrainUse, opts))
}

// cupsOf returns the rule of the cups in 1 oz eq, for the foods that credit by
// volume as they are.
func cupsOf(f *food.Food) (ruleKey, bool) {
	switch {
	case f.Traits.Has(food.Popcorn):
		return popcornCups, true
	case f.Traits.Has(food.Flakes):
		return flakesCups, true
	case f.Traits.Has(food.Puffed):
		return puffedCups, true
	case f.Traits.Has(food.Granola):
		return granolaCups, true
	}
	return 0, false
}

// creditableGrain divides grams of creditable grain by the grams in one ounce
// equivalent, or in one serving, for the way the grain is used.
func (w *work) creditableGrain(a *amount, how string, use food.GrainUse, opts []option) []option {
	rule := bakedGrams
	switch {
	case !w.ozEq() && how == "baked in":
		rule = servingGrams
	case !w.ozEq():
		rule = servingDryGrams
	case how == "baked in":
	case use == food.Cereal:
		rule = cerealGrams
	default:
		rule = cookedGrams
	}
	// There is no other way to the same state to offer it beside: it is built
	// where it stays.
	n := len(opts)
	opts = slices.Grow(opts, 1)[:n+1]
	opts[n].state = how
	c := &opts[n].chain
	if !w.grams(c, a, rule.id()) {
		return opts[:n]
	}
	for _, g := range a.f.Figures {
		if g.Kind == food.GrainShare {
			c.food(Times, g)
			break
		}
	}
	w.rule(c, DividedBy, rule)
	return opts
}

// cookedGrain credits grain measured cooked.
func (w *work) cookedGrain(a amount, wanted string, opts []option) []option {
	rule := cookedCups
	if !w.ozEq() {
		rule = servingCookedCups
	}
	switch a.q.Dimension() {
	case measure.Volume:
		cups, _ := a.q.In(measure.Cup)
		c := begin(cups, measure.Cup, rule.id())
		w.rule(&c, DividedBy, rule)
		return offer(opts, "cooked", &c)
	case measure.Mass:
		state := wanted
		if state == "" {
			state = "cooked"
		}
		cup := a.f.HeaviestCup(state)
		if cup == nil {
			return opts
		}
		var c chain
		w.weigh(&c, &a.q, measure.Gram, rule.id())
		c.food(DividedBy, cup)
		w.rule(&c, DividedBy, rule)
		return offer(opts, "cooked", &c)
	}
	return opts
}

// preparedGrain divides the weight of a bought grain product by the weight of 1
// ounce equivalent in its Exhibit A group: ounces by the ounce column, grams by
// the gram column.
func (w *work) preparedGrain(a amount, group string, opts []option) []option {
	if group == "" {
		group = string(a.f.ExhibitAGroup)
	}
	column := measure.Gram
	if a.q.Dimension() == measure.Mass && a.q.System() == measure.Customary {
		column = measure.Ounce
	}
	table := w.exhibitA(group, column)
	if table == nil {
		return opts
	}
	var c chain
	if column == measure.Ounce {
		c = begin(a.q.Amount(), measure.Ounce, table.Rule.ID)
	} else {
		if !w.grams(&c, &a, table.Rule.ID) {
			return opts
		}
	}
	c.byStep(&table.Steps[0])
	return offer(opts, "group "+group, &c)
}

// exhibitA returns the printed weights of a group in a column, or nil with a
// fault when no such table is in force.
func (w *work) exhibitA(group string, column *measure.Unit) *rules.Value {
	id := "grains/exhibit-a/"
	if !w.ozEq() {
		id = "grains/exhibit-a-serving/"
	}
	v, err := w.rs.Get(id + group + "/" + column.ID)
	if err != nil {
		w.notInForce(err)
		return nil
	}
	return v
}

// ozEq reports whether the program counts grains in ounce equivalents on the
// day.
func (w *work) ozEq() bool {
	v := w.value(grainsUnit)
	return v == nil || v.Text == "oz-eq"
}

// tableCredit looks a portion's weight up in a table of least weights: whole
// ounce equivalents first, then the largest printed fraction the rest reaches,
// whose row it returns, or nil.
func tableCredit(weight exact.Number, t *rules.Value) (exact.Number, *rules.Step) {
	full := &t.Steps[0]
	whole, rest := weight.RoundDown(full.Least)
	credit := whole.Quo(full.Least)
	for i := range t.Steps {
		if s := &t.Steps[i]; !rest.Less(s.Least) {
			return credit.Add(s.Credit), s
		}
	}
	return credit, nil
}

// portionWeight credits a portion by its weight in Exhibit A.
func (w *work) portionWeight(weight measure.Quantity, group string) (Credit, bool) {
	column := measure.Gram
	if weight.System() == measure.Customary {
		column = measure.Ounce
	}
	t := w.exhibitA(group, column)
	step := w.inForce(stepOf(food.Grains))
	if t == nil || step == nil {
		return Credit{}, false
	}
	full := &t.Steps[0]
	cr := Credit{Component: food.Grains, Step: step.Number, Basis: ExhibitAWeight, Exact: weight.Amount().Quo(full.Least)}
	divided, _ := cr.Exact.RoundDown(step.Number)
	printed, row := tableCredit(weight.Amount(), t)
	rank := distance(&full.Source)
	if row != nil {
		rank = max(rank, distance(&row.Source))
	}
	if w.rs.Options["exhibit-a-fractions"] == "division" {
		cr.Basis, cr.Credited = ExhibitADivision, divided
		w.alternative(&cr, ExhibitAWeight, cr.Exact, printed)
	} else {
		cr.Credited = printed
		w.alternative(&cr, ExhibitADivision, cr.Exact, divided)
	}
	cr.Status, cr.Claimable = statusOf(rank), cr.Credited
	if rank > 0 {
		cr.Claimable = exact.Number{}
		if whole, _ := cr.Exact.RoundDown(one); distance(&full.Source) == 0 {
			cr.Claimable = exact.Min(whole, cr.Credited)
		}
	}
	cr.FirstStep = len(w.rec.Steps)
	if w.full {
		w.otherColumn(&cr, weight, group)
		w.ledgerOfWeight(&cr, weight, t, row)
	}
	w.reason(&cr)
	return cr, true
}

// otherColumn adds the answer of the column the portion was not declared in.
func (w *work) otherColumn(cr *Credit, weight measure.Quantity, group string) {
	column, basis := measure.Ounce, ExhibitAOunces
	if weight.System() == measure.Customary {
		column, basis = measure.Gram, ExhibitAGrams
	}
	t := w.exhibitA(group, column)
	if t == nil {
		return
	}
	var c chain
	w.weigh(&c, &weight, column, "")
	credited, _ := tableCredit(c.value, t)
	if w.rs.Options["exhibit-a-fractions"] == "division" {
		credited, _ = c.value.Quo(t.Steps[0].Least).RoundDown(cr.Step)
	}
	w.alternative(cr, basis, c.value.Quo(t.Steps[0].Least), credited)
}

// ledgerOfWeight writes the division, then the look-up or the rounding down.
func (w *work) ledgerOfWeight(cr *Credit, weight measure.Quantity, t *rules.Value, row *rules.Step) {
	full := &t.Steps[0]
	c := begin(weight.Amount(), weight.Unit(), t.Rule.ID)
	c.byStep(full)
	divided := w.write(&c, food.Grains, food.NoSubgroup, -1, Counted)
	cr.ExactStep = divided
	if cr.Basis == ExhibitADivision {
		w.roundDown(cr, divided)
	} else {
		// Whole ounce equivalents, and the printed fraction the rest reaches.
		terms := w.take(w.with(DownTo, &full.Record), w.with(DividedBy, &full.Record))
		if row != nil {
			terms = w.take(terms[0], terms[1], w.with(Plus, &row.Earns))
		}
		w.step(Step{Rule: t.Rule.ID, Operation: LookUp, Component: food.Grains, Ingredient: -1, Start: weight.Amount(), Unit: weight.Unit(),
			Terms: terms, Value: cr.Credited, Outcome: RoundedDown})
	}
	cr.LastStep = len(w.rec.Steps) - 1
	// What the portion could lose, and what it lacks, in its own weight.
	least, next := whereItDrops(cr.Credited, t, cr.Step, cr.Basis == ExhibitADivision)
	if cr.Credited.Sign() > 0 {
		cr.ToSpare = Spare{Ingredient: -1, Amount: weight.Amount().Sub(least), Unit: weight.Unit()}
	}
	cr.ToNext = Spare{Ingredient: -1, Amount: next.Sub(weight.Amount()), Unit: weight.Unit()}
}

// whereItDrops returns the least weight of a credit and of the next.
func whereItDrops(credited exact.Number, t *rules.Value, step exact.Number, division bool) (least, next exact.Number) {
	if division {
		full := t.Steps[0].Least
		return credited.Mul(full), credited.Add(step).Mul(full)
	}
	return leastWeight(credited, t), leastWeight(credited.Add(step), t)
}

// leastWeight returns the least weight for which a table prints a credit, or
// more.
func leastWeight(credit exact.Number, t *rules.Value) exact.Number {
	full := t.Steps[0].Least
	whole, part := credit.RoundDown(one)
	weight := whole.Mul(full)
	if part.IsZero() {
		return weight
	}
	// Of fractions the table does not print, the next one it does.
	for i := len(t.Steps) - 1; i >= 0; i-- {
		if !t.Steps[i].Credit.Less(part) {
			return weight.Add(t.Steps[i].Least)
		}
	}
	return weight.Add(full)
}

func (w *work) grainsUnit() {
	w.rec.GrainsUnit = "oz eq"
	if !w.ozEq() {
		w.rec.GrainsUnit = "serving"
	}
}
