package kitchen

import (
	"errors"
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

// CompareRequest asks what swaps change.
type CompareRequest struct {
	Request credit.Request // with a recipe; also says on what day and in what program it is credited
	Swaps   []Swap
}

// MaxSwaps is how many swaps a request may ask about.
const MaxSwaps = 50

// Comparison is a recipe before and after its swaps.
type Comparison struct {
	Before *credit.Record // of the recipe as written
	Exact  Swapped        // with the amounts as worked out
	After  Swapped        // with those amounts in measures a kitchen has: the recipe to cook by
	Swaps  []SwapDone     // in the order asked
	// Credits are those of the first portion, before and after; those of further
	// portions are in the records' Also.
	Credits         []SwapCredit
	WholeGrain      [2]WholeGrain // before and after
	AllergensGained []string      // listed after and not before, by id
	AllergensLost   []string      // listed before and not after: not the same as absent
	Cautions        [2]*Cautions  // before and after
	Weight          SwapWeight
	// Checks are what the record after asks to be checked and the one before did
	// not: papers, labels, figures. They are findings of After.Record.
	Checks   []credit.Finding
	Findings []SwapFinding
}

// Swapped is a recipe with its swaps, and what the engine credits for it.
type Swapped struct {
	Recipe     recipe.Recipe
	SubRecipes []recipe.Recipe
	Record     *credit.Record
}

// SwapCredit is a component or subgroup before and after. A credit that is not
// there has no step.
type SwapCredit struct {
	Component food.Component
	Subgroup  food.Subgroup
	Unit      string
	Before    credit.Credit
	Exact     credit.Credit // with the amounts as worked out
	After     credit.Credit
}

// WholeGrain is how much of the creditable grain is whole.
type WholeGrain struct {
	Known bool // the record tells
	Share exact.Number
}

// SwapWeight is what the ingredients weigh as they are listed, before anything is
// trimmed, drained or cooked away.
type SwapWeight struct {
	Before, After measure.Quantity // zero when not known
	Unweighed     []string         // paths of lines not written by weight, before or after
}

// Compare works out what swaps change. The recipe after them credits just what
// is shown: both its records come from the engine. Swaps whose credit is kept are
// worked out after all others, in the order asked. A swap that upsets the recipe
// is done and said. An error is a [*fault.List].
func (k *Kitchen) Compare(req CompareRequest) (*Comparison, error) {
	var faults fault.List
	base := req.Request
	if base.Recipe == nil {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "recipe", Want: "a recipe", Fix: "Give the recipe to change; a bought product is compared as an ingredient."})
		return nil, faults.Err()
	}
	switch n := len(req.Swaps); {
	case n == 0:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "swaps", Want: "at least one swap", Fix: "Say which line is swapped for which food."})
	case n > MaxSwaps:
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: "swaps", Value: strconv.Itoa(n), Want: "at most " + strconv.Itoa(MaxSwaps) + " swaps", Fix: "Compare them in several requests."})
		return nil, faults.Err()
	}
	out := &Comparison{}
	var err error
	if out.Before, err = k.engine.Credit(base); err != nil && !faults.Append(err) {
		return nil, err
	}
	k.checkGroup(&base, &faults)
	cat, err := k.engine.Catalog().With(base.Foods)
	if err != nil {
		return nil, faults.Err() // among what the record refused
	}
	checked := true
	for i := range req.Swaps {
		d, ok := req.Swaps[i].check(&base, cat, fault.Index("swaps", i), &faults)
		if d.Path != "" && slices.ContainsFunc(out.Swaps, func(e SwapDone) bool { return e.Path == d.Path }) {
			faults.Add(fault.Fault{Reason: fault.Conflicting, Path: d.path + ".path", Value: d.Path, Want: "each line swapped once", Fix: "Leave one of the two out."})
			ok = false
		}
		checked = checked && ok
		out.Swaps = append(out.Swaps, d)
	}
	for i := range out.Swaps {
		switch d := &out.Swaps[i]; {
		case d.Path == "":
		case d.Keep == SameCredit, d.Keep == 0 && req.Swaps[i].Amount.IsZero() && req.Swaps[i].Food != "":
			d.unsettled = true
		default:
			before := len(faults.Faults) + faults.Omitted
			d.keepAmount(&base, &faults)
			d.unsettled = len(faults.Faults)+faults.Omitted > before
		}
	}
	if out.Before == nil || !checked || len(faults.Faults) > 0 {
		// What the engine says of the foods swapped in comes in the same answer.
		after := withLines(base)
		for i := range out.Swaps {
			if d := &out.Swaps[i]; d.Path != "" && d.After.Food != "" {
				d.lines(&after)[d.index] = d.After
			}
		}
		if _, err := k.engine.Credits(after); err != nil {
			out.append(&faults, err, true)
		}
		return nil, faults.Err()
	}
	if err := k.swap(base, out); err != nil {
		return nil, err
	}
	out.compare(&base)
	return out, nil
}

// withLines is a request whose lines may be changed.
func withLines(req credit.Request) credit.Request {
	r := *req.Recipe
	r.Ingredients = slices.Clone(r.Ingredients)
	req.Recipe = &r
	req.SubRecipes = slices.Clone(req.SubRecipes)
	for i := range req.SubRecipes {
		req.SubRecipes[i].Ingredients = slices.Clone(req.SubRecipes[i].Ingredients)
	}
	return req
}

// swap works out the amounts, exactly and in measures, and credits both.
func (k *Kitchen) swap(base credit.Request, out *Comparison) error {
	var faults fault.List
	exactly, cooked := withLines(base), withLines(base)
	put := func(req *credit.Request, d *SwapDone, q measure.Quantity) {
		in := d.After
		in.Quantity = q
		d.lines(req)[d.index] = in
	}
	for i := range out.Swaps {
		d := &out.Swaps[i]
		if d.Keep == SameCredit {
			continue
		}
		d.Measured = Measured{Exact: d.After.Quantity, Kitchen: d.After.Quantity}
		if d.worked {
			m, err := InMeasures(d.After.Quantity, Up) // so that the measure costs no credit
			if err != nil {
				out.append(&faults, d.faultOf(err), false)
				continue
			}
			d.Measured = m
		}
		put(&exactly, d, d.Exact)
		put(&cooked, d, d.Kitchen)
	}
	if len(faults.Faults) > 0 {
		return faults.Err()
	}
	for i := range out.Swaps {
		if d := &out.Swaps[i]; d.Keep == SameCredit {
			if err := k.keepCredit(d, &exactly, &cooked, out); err != nil {
				if !out.append(&faults, err, false) {
					return err
				}
				continue
			}
			put(&exactly, d, d.Exact)
			put(&cooked, d, d.Kitchen)
		}
	}
	if len(faults.Faults) > 0 {
		return faults.Err()
	}
	for _, x := range []struct {
		req *credit.Request
		to  *Swapped
	}{{&exactly, &out.Exact}, {&cooked, &out.After}} {
		rec, err := k.engine.Credit(*x.req)
		if err != nil {
			out.append(&faults, err, false)
			return faults.Err()
		}
		*x.to = Swapped{*x.req.Recipe, x.req.SubRecipes, rec}
	}
	for i := range out.Swaps {
		d := &out.Swaps[i]
		d.After.Quantity = d.Kitchen
	}
	return nil
}

// keepCredit works out the amount of one swap that keeps the credit.
func (k *Kitchen) keepCredit(d *SwapDone, exactly, cooked *credit.Request, out *Comparison) error {
	var faults fault.List
	was, err := k.engine.Credit(*exactly)
	if err != nil {
		return err
	}
	if !k.componentKept(d, was, *exactly, &faults) {
		return faults.Err()
	}
	on := func(req *credit.Request) *keeping {
		x := &keeping{k: k, req: withLines(*req), d: d}
		if credits, err := k.engine.Credits(*req); err == nil {
			x.want = keptOf(credits, d.Component)
		}
		d.lines(&x.req)[d.index] = d.After
		return x
	}
	x := on(exactly)
	q, ok := x.solve()
	if !ok {
		if x.err != nil {
			return x.err
		}
		faults.Add(x.noAmount())
		return faults.Err()
	}
	d.After.Quantity = q
	y := on(cooked)
	m, held, err := y.measuresThatKeep(q)
	if err != nil {
		return d.faultOf(err)
	}
	if !held {
		out.Findings = append(out.Findings, SwapFinding{Severity: credit.Check, Reason: CreditNotKept, Path: d.Path,
			Text: "In kitchen measures no amount near " + m.Kitchen.Text() + " of " + d.Name + " keeps the credit of " + d.Component.String() + ".", Do: "Take the exact amount, or more of it."})
	}
	d.Measured = m
	return nil
}

// faultOf gives a fault of rounding its place.
func (d *SwapDone) faultOf(err error) error {
	var f fault.Fault
	if !errors.As(err, &f) {
		return err
	}
	f.Path = d.path + ".amount"
	l := &fault.List{}
	l.Add(f)
	return l
}

// append adds what the engine refuses about the changed recipe, at the swaps that
// are the cause. With onlySwaps set, what is about other lines has been said.
func (out *Comparison) append(faults *fault.List, err error, onlySwaps bool) bool {
	l, ok := err.(*fault.List)
	if !ok {
		return false
	}
	for _, f := range l.Faults {
		mine := strings.HasPrefix(f.Path, "swaps[")
		for i := range out.Swaps {
			d := &out.Swaps[i]
			field, found := strings.CutPrefix(f.Path, d.Path+".")
			if d.Path == "" || !found {
				continue
			}
			if onlySwaps && d.unsettled && (field == "quantity" || f.Reason == fault.StateNeeded) {
				mine = false // of an amount that is not the one asked for
				break
			}
			if field == "quantity" {
				field = "amount"
				if d.Keep != 0 {
					field = "keep"
				}
			}
			f.Path, mine = d.path+"."+field, true
		}
		if (mine || !onlySwaps) && !slices.Contains(faults.Faults, f) {
			faults.Add(f)
		}
	}
	faults.Omitted += l.Omitted
	return true
}

// compare fills in what stands before and after.
func (out *Comparison) compare(base *credit.Request) {
	after := out.After.Record
	for _, rec := range []*credit.Record{out.Before, out.Exact.Record, after} {
		for i := range rec.Credits {
			c := &rec.Credits[i]
			k := slices.IndexFunc(out.Credits, func(s SwapCredit) bool { return s.Component == c.Component && s.Subgroup == c.Subgroup })
			if k < 0 {
				k = len(out.Credits)
				out.Credits = append(out.Credits, SwapCredit{Component: c.Component, Subgroup: c.Subgroup, Unit: rec.Unit(c.Component)})
			}
			switch rec {
			case out.Before:
				out.Credits[k].Before = *c
			case after:
				out.Credits[k].After = *c
			default:
				out.Credits[k].Exact = *c
			}
		}
	}
	slices.SortStableFunc(out.Credits, func(a, b SwapCredit) int {
		if a.Component != b.Component {
			return int(a.Component) - int(b.Component)
		}
		return int(a.Subgroup) - int(b.Subgroup)
	})
	for i, rec := range []*credit.Record{out.Before, after} {
		out.Cautions[i] = CautionsOf(rec)
		out.Cautions[i].forGroup(base.AgeGroup, rec)
		for k := range rec.Findings {
			if f := &rec.Findings[k]; f.Reason == credit.WholeGrainShare {
				out.WholeGrain[i] = WholeGrain{true, f.Share}
			}
		}
	}
	was, is := out.Cautions[0].Listed(), out.Cautions[1].Listed()
	out.AllergensGained = notIn(is, was)
	out.AllergensLost = notIn(was, is)
	out.Weight = weigh(base.Recipe, &out.After.Recipe)
	out.Checks = newChecks(out.Before, after)
	out.find(base)
}

// newChecks are the findings to check that a record has and another has not.
func newChecks(was, is *credit.Record) []credit.Finding {
	about := func(rec *credit.Record, f *credit.Finding) string {
		s := string(f.Reason) + "|" + f.Component.String() + "|"
		if f.Ingredient >= 0 && f.Ingredient < len(rec.Ingredients) {
			l := &rec.Ingredients[f.Ingredient]
			return s + l.Path() + "|" + l.Food.ID
		}
		return s + strings.Join(f.Words, "|")
	}
	known := map[string]bool{}
	for i := range was.Findings {
		known[about(was, &was.Findings[i])] = true
	}
	var added []credit.Finding
	for i := range is.Findings {
		if f := &is.Findings[i]; f.Severity == credit.Check && !known[about(is, f)] {
			added = append(added, *f)
		}
	}
	return added
}

func notIn(list, other []string) []string {
	var left []string
	for _, x := range list {
		if !slices.Contains(other, x) {
			left = append(left, x)
		}
	}
	return left
}

// weigh adds up the lines where all are written by weight.
func weigh(was, is *recipe.Recipe) SwapWeight {
	var w SwapWeight
	sum := func(r *recipe.Recipe) measure.Quantity {
		if len(r.Ingredients) == 0 {
			return measure.Quantity{}
		}
		unit, total, all := measure.Ounce, exact.Number{}, true
		if q := r.Ingredients[0].Quantity; q.Dimension() == measure.Mass {
			unit = q.Unit()
		}
		for i := range r.Ingredients {
			n, ok := r.Ingredients[i].Quantity.In(unit)
			if !ok {
				all = false
				if p := linePath(-1, i); !slices.Contains(w.Unweighed, p) {
					w.Unweighed = append(w.Unweighed, p)
				}
			}
			total = total.Add(n)
		}
		if !all {
			return measure.Quantity{}
		}
		return measure.New(total, unit)
	}
	w.Before, w.After = sum(was), sum(is)
	return w
}
