package kitchen

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
)

// kept is what a component credits: the exact value and what it is rounded down
// to.
type kept struct{ exactly, credited exact.Number }

// holds reports whether a keeps what b credits.
func (a kept) holds(b kept) bool { return !a.exactly.Less(b.exactly) && !a.credited.Less(b.credited) }

func keptOf(credits []credit.Credit, c food.Component) kept {
	for i := range credits {
		if credits[i].Component == c && credits[i].Subgroup == food.NoSubgroup {
			return kept{credits[i].Exact, credits[i].Credited}
		}
	}
	return kept{}
}

// keeping looks for the amount of one swapped line that keeps a component's
// credit.
type keeping struct {
	k    *Kitchen
	req  credit.Request // with the line swapped
	d    *SwapDone
	want kept
	err  error // the first refusal
}

// at is what the component credits with an amount on the line.
func (x *keeping) at(q measure.Quantity) (kept, bool) {
	x.d.lines(&x.req)[x.d.index].Quantity = q
	credits, err := x.k.engine.Credits(x.req)
	if err != nil {
		if x.err == nil {
			x.err = err
		}
		return kept{}, false
	}
	return keptOf(credits, x.d.Component), true
}

// componentKept finds which component's credit a swap keeps, and whether the line
// brings it anything.
func (k *Kitchen) componentKept(d *SwapDone, was *credit.Record, req credit.Request, faults *fault.List) bool {
	refuse := func(field string, value, want, fix string) bool {
		faults.Add(fault.Fault{Reason: fault.Conflicting, Path: d.path + "." + field, Value: value, Want: want, Fix: fix})
		return false
	}
	var earns []string
	for i := range was.Ingredients {
		l := &was.Ingredients[i]
		if l.Path() == d.Path && l.Component != food.NoComponent && l.Credit.Sign() > 0 && !slices.Contains(earns, l.Component.String()) {
			earns = append(earns, l.Component.String())
		}
	}
	switch {
	case d.Component != food.NoComponent && d.Before.SubRecipe == "" && !slices.Contains(earns, d.Component.String()), d.Component == food.NoComponent && len(earns) == 0:
		return refuse("keep", d.Keep.String(), "a line that credits: "+d.NameBefore+" brings "+orNothing(earns)+", so there is no such credit to keep", "Keep the weight or the volume, or give the amount.")
	case d.Component == food.NoComponent && len(earns) > 1:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: d.path + ".component", Want: "the component whose credit is kept: " + strings.Join(earns, " or "), Fix: "The other one is shown before and after."})
		return false
	case d.Component == food.NoComponent:
		d.Component, _ = food.ParseComponent(earns[0])
	}
	if f := d.foodIs; f != nil {
		if !f.CanCredit(d.Component) || f.NoCredit != "" {
			faults.Add(fault.Fault{Reason: fault.CannotCreditAs, Path: d.path + ".food", Value: f.ID, Want: "a food that credits as " + d.Component.String() + "; " + f.Name + " cannot", Fix: "Keep the weight or the volume, or take a food of the same component."})
			return false
		}
		if d.After.CreditAs == "" && f.Components[0] != d.Component {
			d.After.CreditAs = d.Component.String()
		}
	}
	// What the line brings may be left out by a rule, such as too little dried fruit.
	without := withLines(req)
	d.lines(&without)[d.index].NotCrediting = true
	if credits, err := k.engine.Credits(without); err == nil && keptOf(credits, d.Component).holds(keptOf(was.Credits, d.Component)) {
		return refuse("keep", d.Keep.String(), "a line that credits: without "+d.NameBefore+" the dish credits as much "+d.Component.String(), "Keep the weight or the volume, or give the amount.")
	}
	return true
}

func orNothing(words []string) string {
	if len(words) == 0 {
		return "nothing"
	}
	return strings.Join(words, " and ") + " only"
}

// creditUnits are the units a kept credit is looked for in: the line's own first.
func (d *SwapDone) creditUnits() []*measure.Unit {
	units := []*measure.Unit{d.Before.Quantity.Unit()}
	add := func(u *measure.Unit) {
		if u != nil && !slices.Contains(units, u) {
			units = append(units, u)
		}
	}
	add(measure.Ounce)
	add(measure.Cup)
	add(measure.Each)
	if d.foodIs != nil {
		for _, g := range d.foodIs.Figures {
			if g.Kind == food.Servings && g.Unit.Dimension == measure.Container {
				add(g.Unit)
			}
		}
	}
	return units
}

// probes is how often an amount is doubled from a sixteenth of a unit: to some
// 2 million units.
const probes = 26

// solve finds the amount. Where the credit grows evenly with it, the amount is
// exact: the component credits just what it did. Where tables or least amounts
// make it jump, it is the least measure a kitchen has that credits no less.
func (x *keeping) solve() (measure.Quantity, bool) {
	for _, u := range x.d.creditUnits() {
		if q, ok := x.in(u); ok {
			return q, true
		}
		if l, ok := x.err.(*fault.List); ok && slices.ContainsFunc(l.Faults, func(f fault.Fault) bool {
			return f.Reason != fault.UnitDoesNotFit && f.Reason != fault.UnitNeedsDensity && f.Reason != fault.NoFigure
		}) {
			return measure.Quantity{}, false // another unit mends nothing
		}
	}
	return measure.Quantity{}, false
}

// noAmount says why no amount keeps the credit, in the engine's words where the
// food earns nothing at all.
func (x *keeping) noAmount() fault.Fault {
	d := x.d
	if rec, err := x.k.engine.Credit(x.req); err == nil {
		for i := range rec.Ingredients {
			if l := &rec.Ingredients[i]; l.Path() == d.Path && l.Reason != "" {
				return fault.Fault{Reason: fault.CannotCreditAs, Path: d.path + ".food", Value: d.After.Food, Want: "a food that credits as " + d.Component.String() + " here; of " + d.Name + " the record says: " + l.Reason,
					Fix: "Take another food, bring its paper under foods, or give the amount."}
			}
		}
	}
	return fault.Fault{Reason: fault.OutOfRange, Path: d.path + ".keep", Value: d.Keep.String(), Want: "a credit that some amount of " + d.Name + " keeps", Fix: "Give the amount."}
}

// in looks for the amount in one unit.
func (x *keeping) in(u *measure.Unit) (measure.Quantity, bool) {
	first := x.err
	x.err = nil
	n := exact.Frac(1, 16)
	var low exact.Number // credits less
	for range probes {
		got, ok := x.at(measure.New(n, u))
		switch {
		case ok && got.holds(x.want):
			if q, ok := x.even(n, u); ok {
				return q, true
			}
			return x.least(low, n, u)
		case ok:
			low = n
		case x.d.refusedByUnit(x.err):
			if first != nil {
				x.err = first // of the line's own unit
			}
			return measure.Quantity{}, false
		}
		n = n.Add(n)
	}
	if x.err == nil {
		x.err = first
	}
	return measure.Quantity{}, false
}

// refusedByUnit reports whether a refusal is of the line itself, so that no other
// amount in the unit goes through.
func (d *SwapDone) refusedByUnit(err error) bool {
	l, ok := err.(*fault.List)
	return ok && slices.ContainsFunc(l.Faults, func(f fault.Fault) bool { return strings.HasPrefix(f.Path, d.Path+".") })
}

// even takes the credit to grow evenly around n, and checks what comes out.
func (x *keeping) even(n exact.Number, u *measure.Unit) (measure.Quantity, bool) {
	a, ok := x.at(measure.New(n, u))
	b, also := x.at(measure.New(n.Add(n), u))
	if !ok || !also || !a.exactly.Less(b.exactly) {
		return measure.Quantity{}, false
	}
	per := b.exactly.Sub(a.exactly).Quo(n)
	take := n.Sub(a.exactly.Sub(x.want.exactly).Quo(per))
	if take.Sign() <= 0 {
		return measure.Quantity{}, false
	}
	q := measure.New(take, u)
	got, ok := x.at(q)
	return q, ok && got.exactly.Equal(x.want.exactly) && got.holds(x.want)
}

// least finds the least kitchen measure between an amount that credits less and
// one that does not.
func (x *keeping) least(low, high exact.Number, u *measure.Unit) (measure.Quantity, bool) {
	up := func(n exact.Number) (measure.Quantity, bool) {
		m, err := InMeasures(measure.New(n, u), Up)
		return m.Kitchen, err == nil
	}
	best, ok := up(high)
	if !ok {
		return measure.Quantity{}, false
	}
	if got, ok := x.at(best); !ok || !got.holds(x.want) {
		return measure.Quantity{}, false
	}
	// No measure from high to best is left to try, and none up to low keeps it.
	for range 40 {
		if !low.Less(high) {
			break
		}
		mid := low.Add(high).Quo(exact.Int(2))
		q, ok := up(mid)
		if !ok {
			break
		}
		if !q.Amount().Less(best.Amount()) {
			high = mid
			continue
		}
		if got, ok := x.at(q); ok && got.holds(x.want) {
			best, high = q, mid
			continue
		}
		low, _ = q.In(u)
	}
	return best, true
}

// measuresThatKeep rounds an amount up to a measure that keeps the credit.
func (x *keeping) measuresThatKeep(q measure.Quantity) (Measured, bool, error) {
	m, err := InMeasures(q, Up)
	if err != nil {
		return m, false, err
	}
	for range 40 {
		if got, ok := x.at(m.Kitchen); ok && got.holds(x.want) {
			return m, true, nil
		}
		// A hair above the measure, up again: the next one.
		next, err := InMeasures(m.Kitchen.Times(exact.Frac(100_001, 100_000)), Up)
		if err != nil {
			break
		}
		m.Kitchen, m.Change = next.Kitchen, next.Kitchen.Amount().Quo(q.Amount()).Sub(exact.Int(1))
	}
	return m, false, nil
}
