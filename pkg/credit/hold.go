package credit

import (
	"fmt"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
)

// replayed is a record's steps worked out again.
type replayed struct {
	*Record
	work    int // left
	values  []exact.Number
	checked []exact.Number // of each value, what documented figures support
	doubted []bool         // whether an undocumented figure stands behind it
}

// support works out what documented figures support of a step that follows.
func (r *replayed) support(i int) error {
	s := &r.Steps[i]
	for _, t := range s.Terms {
		switch {
		case t.Step >= 0:
			r.doubted[i] = r.doubted[i] || r.doubted[t.Step]
		default:
			r.doubted[i] = r.doubted[i] || !r.Figures[t.Figure].Source.Documented()
		}
	}
	switch {
	case !r.doubted[i]:
		r.checked[i] = r.values[i]
	case s.Operation != Amount:
		var err error
		if r.checked[i], err = r.step(s, r.checked[:i]); err != nil {
			return fmt.Errorf("what is documented of it %w", err)
		}
	}
	return nil
}

// holds checks what must be so of credits and steps that follow: that the last
// step of a credit is its rounding down, that a sum counts nothing twice, that
// no more is claimable than documented figures support, and that the subgroups
// come to no more than their component.
func (r *replayed) holds() error {
	for i := range r.Steps {
		if err := r.stepHolds(&r.Steps[i]); err != nil {
			return fmt.Errorf("step %d: %w", i, err)
		}
	}
	parts := exact.Number{}
	for i := range r.Credits {
		cr := &r.Credits[i]
		if first, _ := r.creditOf(cr.Component, cr.Subgroup); first != cr {
			return fmt.Errorf("credit %d: %s stands there twice", i, subject(cr))
		}
		if err := r.creditHolds(cr); err != nil {
			return fmt.Errorf("credit %d: %w", i, err)
		}
		if cr.Subgroup != food.NoSubgroup {
			if cr.Component != food.Vegetables {
				return fmt.Errorf("credit %d: %s have no subgroups", i, cr.Component)
			}
			parts = parts.Add(cr.Credited)
		}
	}
	if total, ok := r.creditOf(food.Vegetables, food.NoSubgroup); !ok && parts.Sign() > 0 || ok && total.Credited.Less(parts) {
		return fmt.Errorf("the vegetable subgroups come to %s cup, more than the vegetables as a whole", parts)
	}
	return nil
}

func (r *replayed) creditOf(c food.Component, s food.Subgroup) (*Credit, bool) {
	for i := range r.Credits {
		if cr := &r.Credits[i]; cr.Component == c && cr.Subgroup == s {
			return cr, true
		}
	}
	return nil, false
}

// stepHolds checks that an amount is of its own ingredient, and that a batch is
// divided by the servings made.
func (r *replayed) stepHolds(s *Step) error {
	switch n := len(s.Terms); s.Operation {
	case PerServing:
		if n == 0 || s.Terms[n-1].Op != DividedBy || s.Terms[n-1].Figure < 0 || r.Figures[s.Terms[n-1].Figure].ID != servingsID {
			return fmt.Errorf("does not divide by the servings made")
		}
	case SumUp:
		return r.addsOnce(s.Terms, s.Component, s.Subgroup)
	}
	return nil
}

// addsOnce checks that terms add up amounts of one component, or of one subgroup,
// and no ingredient's twice.
func (r *replayed) addsOnce(terms []Term, c food.Component, sub food.Subgroup) error {
	seen := make(map[int]bool, len(terms))
	for _, t := range terms {
		if t.Op != Plus || t.Step < 0 {
			return fmt.Errorf("is no sum of earlier steps")
		}
		s, key := &r.Steps[t.Step], -1-int(t.Step)
		if s.Operation == Amount && s.Ingredient >= 0 {
			key = s.Ingredient
		}
		switch {
		case s.Component != c || sub != food.NoSubgroup && s.Subgroup != sub:
			return fmt.Errorf("adds step %d, which is not of %s", t.Step, c)
		case s.Outcome != Counted:
			return fmt.Errorf("adds step %d, which does not count", t.Step)
		case seen[key]:
			return fmt.Errorf("adds step %d, and with it an ingredient twice", t.Step)
		}
		seen[key] = true
	}
	return nil
}

// creditHolds checks a credit against its exact value, its last step and what
// its papers carry.
func (r *replayed) creditHolds(cr *Credit) error {
	last := &r.Steps[cr.LastStep]
	if cr.Credited.Sign() < 0 || cr.Claimable.Sign() < 0 {
		return fmt.Errorf("%s, claimable %s: below 0", cr.Credited.Fraction(), cr.Claimable.Fraction())
	}
	if cr.Credited.Less(cr.Claimable) {
		return fmt.Errorf("claimable %s is above the credit of %s", cr.Claimable, cr.Credited)
	}
	if none := cr.Status == NoCredit || cr.Status == NeedsPaper; none != cr.Credited.IsZero() {
		return fmt.Errorf("credits %s with status %s", cr.Credited, cr.Status)
	} else if none {
		return nil
	}
	if !fits(cr) {
		return fmt.Errorf("no record credits %s by %q", subject(cr), fault.Clip(string(cr.Basis)))
	}
	switch cr.Basis {
	case Sum, CreditableGrains, OtherFilled, ExhibitADivision:
		if err := r.roundedDown(cr, last); err != nil {
			return err
		}
	case ExhibitAWeight, ExhibitAHeld:
		// A printed weight may lie a little below the division.
		if cr.Step.Sign() <= 0 || !cr.Credited.Less(cr.Exact.Add(cr.Step)) || !cr.Credited.DownTo(cr.Step).Equal(cr.Credited) {
			return fmt.Errorf("%s is no credit in steps of %s for exactly %s", cr.Credited, cr.Step, cr.Exact.Fraction())
		}
	default: // milk, and what subgroups leave of the total
		if cr.Exact.Less(cr.Credited) {
			return fmt.Errorf("credits %s of exactly %s", cr.Credited, cr.Exact.Fraction())
		}
	}
	return r.carried(cr)
}

// fits reports whether a basis is one of a component, or subgroup.
func fits(cr *Credit) bool {
	switch cr.Basis {
	case Sum:
		return cr.Component != food.Milk && cr.Subgroup != food.Additional
	case CreditableGrains, ExhibitAWeight, ExhibitAHeld, ExhibitADivision:
		return cr.Component == food.Grains
	case OtherFilled:
		return cr.Subgroup == food.OtherVegetables
	case Remainder:
		return cr.Subgroup == food.Additional
	case FullServing, SmoothieMilk:
		return cr.Component == food.Milk
	}
	return false
}

// roundedDown checks a credit that is its exact value rounded down once.
func (r *replayed) roundedDown(cr *Credit, last *Step) error {
	if cr.Step.Sign() <= 0 || !cr.Exact.DownTo(cr.Step).Equal(cr.Credited) {
		return fmt.Errorf("%s is not %s rounded down to a multiple of %s", cr.Credited, cr.Exact.Fraction(), cr.Step)
	}
	t := last.Terms
	if last.Operation != RoundDown || len(t) != 2 || t[0] != from(Plus, cr.ExactStep) || t[1].Op != DownTo || !r.Operand(t[1]).Equal(cr.Step) {
		return fmt.Errorf("its last step does not round its exact value down to a multiple of %s", cr.Step)
	}
	per := &r.Steps[cr.ExactStep]
	if cr.Basis == OtherFilled {
		if per.Operation != FillUp || len(per.Terms) == 0 || per.Terms[0].Op != Plus || per.Terms[0].Step < 0 || !r.fills(cr, per.Terms[1:]) {
			return fmt.Errorf("it is filled with what no subgroup leaves over")
		}
		per = &r.Steps[per.Terms[0].Step]
	}
	if cr.Basis == ExhibitADivision {
		return nil
	}
	if per.Operation != PerServing || len(per.Terms) != 2 || per.Terms[0].Op != Plus || per.Terms[0].Step < 0 || r.Steps[per.Terms[0].Step].Operation != SumUp {
		return fmt.Errorf("its exact value is no sum divided by the servings made")
	}
	if sum := &r.Steps[per.Terms[0].Step]; sum.Component != cr.Component || sum.Subgroup != cr.Subgroup {
		return fmt.Errorf("it rests on a sum of something else")
	}
	return nil
}

// fills reports whether terms add what other vegetable subgroups leave over, each
// once.
func (r *replayed) fills(cr *Credit, terms []Term) bool {
	used := make(map[food.Subgroup]bool, 3)
	for len(terms) >= 2 {
		found := false
		for i := range r.Credits {
			c := &r.Credits[i]
			if c.Component != cr.Component || !fillsOther(c.Subgroup) || used[c.Subgroup] {
				continue
			}
			if terms[0] == from(Plus, c.ExactStep) && terms[1] == from(Minus, c.LastStep) {
				used[c.Subgroup], found = true, true
				break
			}
		}
		if !found {
			return false
		}
		terms = terms[2:]
	}
	return len(terms) == 0
}

// fillsOther reports whether other vegetables may be met with a subgroup.
func fillsOther(s food.Subgroup) bool {
	return s == food.DarkGreen || s == food.RedOrange || s == food.BeansPeasLentils
}

// carried checks what may be claimed against the documented figures.
func (r *replayed) carried(cr *Credit) error {
	if cr.Status == Documented {
		// What fills other vegetables need not be, when other alone credits as much.
		if !cr.Claimable.Equal(cr.Credited) || cr.Basis != OtherFilled && r.doubted[cr.LastStep] {
			return fmt.Errorf("is called documented and rests on figures that are not")
		}
	}
	most := cr.Credited
	switch cr.Basis {
	case Sum, CreditableGrains:
		most = r.checked[cr.LastStep]
	case OtherFilled:
		// What the others may not claim of their documented figures is left over.
		most = r.checked[r.Steps[cr.ExactStep].Terms[0].Step]
		for i := range r.Credits {
			if c := &r.Credits[i]; c.Component == cr.Component && fillsOther(c.Subgroup) {
				most = most.Add(r.checked[c.ExactStep].Sub(c.Claimable))
			}
		}
		most = most.DownTo(cr.Step)
	case ExhibitAWeight, ExhibitAHeld, ExhibitADivision, FullServing, SmoothieMilk:
		if r.checked[cr.ExactStep].IsZero() {
			most = exact.Number{}
		}
	}
	if most.Less(cr.Claimable) {
		return fmt.Errorf("claimable %s: documented figures support %s", cr.Claimable, most)
	}
	return nil
}
