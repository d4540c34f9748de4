package kitchen

import (
	"fmt"
	"slices"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
)

// CreditChange is a credit that kitchen measures change.
type CreditChange struct {
	Portion   int // index of the portion of the batch
	Component food.Component
	Subgroup  food.Subgroup
	Exact     exact.Number // credited with the exact amounts
	Kitchen   exact.Number // credited with the kitchen's
}

// LostStep is a credit that kitchen measures lower, and what mends it.
type LostStep struct {
	CreditChange
	// Because are the ingredients, by index, whose measures take it away: any one of
	// the first ten measured otherwise brings it back, or all of Mend together do.
	Because []int
	// Mend is which measures to take instead. Empty when no other measure of the
	// same ingredients brings the credit back.
	Mend []Mend
}

// Mend is another measure for an ingredient.
type Mend struct {
	Ingredient int // index
	Measured
}

// changed lists the credits that differ, those lowered or those raised. What
// subgroups leave of the total of vegetables is not one of them: it falls when
// a subgroup rises.
func (out *Scaled) changed(lowered bool) []CreditChange {
	var list []CreditChange
	of := max(1, len(out.Exact.Portions))
	for p := range of {
		a, b := portion(out.ExactRecord, p, of), portion(out.Record, p, of)
		for i := range a.Credits {
			c := &a.Credits[i]
			if c.Subgroup == food.Additional {
				continue
			}
			now, _ := b.SubgroupCredit(c.Component, c.Subgroup)
			if lowered && now.Credited.Less(c.Credited) || !lowered && c.Credited.Less(now.Credited) {
				list = append(list, CreditChange{p, c.Component, c.Subgroup, c.Credited, now.Credited})
			}
		}
	}
	return list
}

// portion is the record of one of the portions of a batch that has so many.
// Records of statements stand before those of further portions.
func portion(r *credit.Record, i, of int) *credit.Record {
	if i == 0 {
		return r
	}
	return r.Also[len(r.Also)-of+i]
}

// name says which credit it is.
func (c *CreditChange) name(out *Scaled) string {
	s := c.Component.Title()
	if c.Subgroup != food.NoSubgroup {
		s = c.Subgroup.Title() + " of " + strings.ToLower(s)
	}
	if len(out.Exact.Portions) > 1 {
		name := out.Exact.Portions[c.Portion].Name
		if name == "" {
			name = fmt.Sprint("portion ", c.Portion+1)
		}
		s += " of " + name
	}
	return s
}

// lost finds the credits the kitchen's measures lower, which ingredients lower
// them, and the measures that mend it.
func (k *Kitchen) lost(req *ScaleRequest, out *Scaled) {
	tries := maxMends
	for _, c := range out.changed(true) {
		l := LostStep{CreditChange: c}
		l.Because, l.Mend = k.mend(req, out, &c, &tries)
		out.Lost = append(out.Lost, l)
	}
}

// maxMends bounds how many recipes are credited in search of mends: cards with
// hundreds of ingredients and ten portions would take many seconds.
const maxMends = 400

// maxBecause bounds how many ingredients are named as the cause.
const maxBecause = 10

// mend tries the other measure of each ingredient that was changed, one at a
// time; when none is enough, all at once, and leaves out those it does without.
// When left has run out, all at once is all that is tried.
func (k *Kitchen) mend(req *ScaleRequest, out *Scaled, c *CreditChange, left *int) (because []int, mends []Mend) {
	var tries []Mend
	for i := range out.Ingredients {
		in := &out.Ingredients[i]
		d := Up
		switch sign := in.Change.Sign(); {
		case sign == 0 || !counts(out, i, c.Component):
			continue
		case sign > 0:
			d = Down
		}
		m, err := InMeasures(in.Exact, d)
		if err == nil && !m.Kitchen.Amount().Equal(in.Kitchen.Amount()) {
			tries = append(tries, Mend{i, m})
		}
	}
	restores := func(ms ...Mend) bool {
		*left--
		return !k.creditWith(req, out, c, ms).Less(c.Exact)
	}
	// What stands furthest off is named first.
	slices.SortStableFunc(tries, func(a, b Mend) int {
		return share(b.Kitchen, out.Ingredients[b.Ingredient].Kitchen).Cmp(share(a.Kitchen, out.Ingredients[a.Ingredient].Kitchen))
	})
	for _, m := range tries {
		if *left <= 0 || len(because) == maxBecause {
			break
		}
		if restores(m) && (mends != nil || k.asksNothing(req, out, []Mend{m})) {
			if mends == nil {
				mends = []Mend{m}
			}
			because = append(because, m.Ingredient)
		}
	}
	if mends != nil || !restores(tries...) {
		return because, mends
	}
	mends = tries
	for i := len(mends) - 1; i >= 0; i-- {
		if fewer := slices.Delete(slices.Clone(mends), i, i+1); *left > 0 && restores(fewer...) {
			mends = fewer
		}
	}
	if !k.asksNothing(req, out, mends) {
		return nil, nil
	}
	for _, m := range mends {
		because = append(because, m.Ingredient)
	}
	return because, mends
}

// counts reports whether an ingredient can have to do with a component. Grain
// that does not credit may deny the credit of grain that does.
func counts(out *Scaled, i int, comp food.Component) bool {
	if out.Exact.Ingredients[i].Food == "" {
		return true // a sub-recipe or product
	}
	for j := range out.ExactRecord.Ingredients {
		if l := &out.ExactRecord.Ingredients[j]; l.Path() == out.Ingredients[i].Path {
			return l.Component == comp || l.Component == food.NoComponent && comp == food.Grains
		}
	}
	return true
}

// mended is the kitchen's recipe with some ingredients measured otherwise.
func (out *Scaled) mended(ms []Mend) recipe.Recipe {
	r := out.Kitchen
	r.Ingredients = slices.Clone(r.Ingredients)
	for _, m := range ms {
		r.Ingredients[m.Ingredient].Quantity = m.Kitchen
	}
	return r
}

// creditWith is the credit when some ingredients are measured otherwise; 0 when
// such a recipe cannot be credited. The engine's short way credits first portions
// only, so a further one is put in its place, all amounts for its size.
func (k *Kitchen) creditWith(req *ScaleRequest, out *Scaled, c *CreditChange, ms []Mend) exact.Number {
	r := out.mended(ms)
	if len(r.Portions) > 0 {
		first, p := &r.Portions[0], r.Portions[c.Portion]
		if c.Portion > 0 {
			size, _ := p.Ratio(first, r.Servings)
			if p.Weight.IsZero() {
				p.Weight = times(first.Weight, size)
			}
			for i := range r.Ingredients {
				r.Ingredients[i].Quantity = times(r.Ingredients[i].Quantity, size)
			}
		}
		r.Portions = []recipe.Portion{p}
	}
	credits, err := k.engine.Credits(with(req.Request, &r))
	if err != nil {
		return exact.Number{}
	}
	for i := range credits {
		if credits[i].Component == c.Component && credits[i].Subgroup == c.Subgroup {
			return credits[i].Credited
		}
	}
	return exact.Number{}
}

// asksNothing reports whether the recipe can be credited as it is, all portions,
// when some ingredients are measured otherwise: a state that was left open may
// come to matter.
func (k *Kitchen) asksNothing(req *ScaleRequest, out *Scaled, ms []Mend) bool {
	r := out.mended(ms)
	_, err := k.engine.Credit(with(req.Request, &r))
	return err == nil
}

// text says what is lost, by which measure, and how to mend it.
func (l *LostStep) text(out *Scaled) string {
	unit := portion(out.ExactRecord, l.Portion, max(1, len(out.Exact.Portions))).Unit(l.Component)
	s := fmt.Sprintf("%s credits %s %s exactly, and %s as measured. ", l.name(out), l.Exact, unit, l.Kitchen)
	if len(l.Mend) == 0 {
		return s + "No other measure of the same ingredients brings it back: weigh the exact amounts, or make a batch that takes whole measures."
	}
	var cause, mend []string
	for _, m := range l.Mend {
		in := &out.Ingredients[m.Ingredient]
		cause = append(cause, fmt.Sprintf("%s is measured as %s for %s", in.Name, in.Kitchen, in.Exact))
		mend = append(mend, fmt.Sprintf("%s of %s", m.Kitchen, in.Name))
	}
	return s + strings.Join(cause, "; ") + ". Take " + strings.Join(mend, " and ") + "."
}
