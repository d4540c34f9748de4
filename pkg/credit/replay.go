package credit

import (
	"fmt"

	"example.com/ozeq/pkg/exact"
)

// Bounds of what Replay works out, above what any request within bounds gives: a
// record may have been made by hand to keep a machine busy. The longest numbers
// are sums of 500 fractions with denominators of 9 digits each.
const (
	maxReplayTerms = 100_000
	maxReplayBits  = 32_768
	maxReplayWork  = 1 << 27 // words times words of the numbers worked with
)

// Replay works a record's credits out again from the record alone: the steps,
// the figures they name and the amounts of its ingredients. It needs no rules
// and no catalog, so a filed record can be checked years later. It returns the
// first step or credit that does not follow, or that no record would hold: one
// not rounded down, one that counts an ingredient twice, one claimable beyond
// what its documented figures support. It takes the figures themselves, the
// amounts and the list of ingredients as they stand: whether those are the
// request's and the catalog's, only the request credited again can tell.
func Replay(r *Record) error {
	terms := 0
	for i := range r.Steps {
		terms += len(r.Steps[i].Terms)
	}
	if terms > maxReplayTerms {
		return fmt.Errorf("%d terms: at most %d can be checked", terms, maxReplayTerms)
	}
	values := make([]exact.Number, len(r.Steps))
	again := replayed{r, maxReplayWork, values, make([]exact.Number, len(r.Steps)), make([]bool, len(r.Steps))}
	for i := range r.Steps {
		s := &r.Steps[i]
		v, err := again.step(s, values[:i])
		if err != nil {
			return fmt.Errorf("step %d: %w", i, err)
		}
		if !v.Equal(s.Value) {
			return fmt.Errorf("step %d: works out to %s, the record says %s", i, v.Fraction(), s.Value.Fraction())
		}
		values[i] = v
		if err := again.support(i); err != nil {
			return fmt.Errorf("step %d: %w", i, err)
		}
	}
	for i := range r.Ingredients {
		l := &r.Ingredients[i]
		if l.Step < 0 || l.Reason != "" {
			continue
		}
		if l.Step >= len(values) || !values[l.Step].Equal(l.Credit) {
			return fmt.Errorf("ingredient %d: its step does not end in its credit of %s", i, l.Credit.Fraction())
		}
	}
	for _, g := range r.Figures {
		if g.ID == servingsID && r.Servings > 0 && !g.Used.Equal(exact.Int(int64(r.Servings))) {
			return fmt.Errorf("the work divides by %s servings, the record says %d", g.Used.Fraction(), r.Servings)
		}
	}
	for i := range r.Credits {
		cr := &r.Credits[i]
		if cr.LastStep < 0 || cr.LastStep >= len(values) || cr.ExactStep < 0 || cr.ExactStep >= len(values) {
			return fmt.Errorf("credit %d: no step ends in it", i)
		}
		if v := values[cr.ExactStep]; !v.Equal(cr.Exact) {
			return fmt.Errorf("credit %d: exactly %s, the record says %s", i, v.Fraction(), cr.Exact.Fraction())
		}
		if v := values[cr.LastStep]; !v.Equal(cr.Credited) {
			return fmt.Errorf("credit %d: works out to %s, the record says %s", i, v.Fraction(), cr.Credited.Fraction())
		}
	}
	return again.holds()
}

// step works one step out again from the values of those before it.
func (r *replayed) step(s *Step, values []exact.Number) (exact.Number, error) {
	v := s.Start
	if s.Ingredient >= 0 {
		if s.Ingredient >= len(r.Ingredients) {
			return v, fmt.Errorf("no ingredient %d", s.Ingredient)
		}
		q := r.Ingredients[s.Ingredient].Quantity
		if q.IsZero() || s.Unit == nil {
			return v, fmt.Errorf("has no amount or no unit to start from")
		}
		n, ok := q.In(s.Unit)
		if !ok || !n.Equal(s.Start) {
			return v, fmt.Errorf("starts from %s %s, the ingredient's amount is %s", s.Start.Fraction(), s.Unit.ID, q.Text())
		}
	}
	for _, t := range s.Terms {
		var x exact.Number
		switch {
		case int(t.Step) >= len(values) || int(t.Figure) >= len(r.Figures) || t.Step < 0 && t.Figure < 0:
			return v, fmt.Errorf("refers to what comes later or is not there")
		case t.Step >= 0:
			x = values[t.Step]
		default:
			x = r.Figures[t.Figure].Used
		}
		switch t.Op {
		case Times:
			v = v.Mul(x)
		case DividedBy:
			if x.IsZero() {
				return v, fmt.Errorf("divides by 0")
			}
			v = v.Quo(x)
		case Plus:
			v = v.Add(x)
		case Minus:
			v = v.Sub(x)
		case DownTo:
			if x.Sign() <= 0 {
				return v, fmt.Errorf("rounds down to %s", x.Fraction())
			}
			v, _ = v.RoundDown(x)
		default:
			return v, fmt.Errorf("operation %d is not known", t.Op)
		}
		if v.BitLen() > maxReplayBits {
			return v, fmt.Errorf("works out to a number of more than %d bits", maxReplayBits)
		}
		words := v.BitLen() / 64
		if r.work -= words * words; r.work < 0 {
			return v, fmt.Errorf("takes more work to check than any recipe within bounds")
		}
	}
	return v, nil
}
