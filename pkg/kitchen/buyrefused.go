package kitchen

import (
	"errors"
	"slices"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
)

// refused adds what is wrong with the recipes and foods of a request that is refused
// already, so that everything comes back at once. cat is nil when the caller's own
// foods are among what is wrong.
func (p *plan) refused(cat *food.Catalog) error {
	if slices.ContainsFunc(p.faults.Faults, func(f fault.Fault) bool { return f.Reason == fault.TooMany }) {
		return nil // the rest is not looked at
	}
	for i := range p.req.Recipes {
		r := &p.req.Recipes[i]
		if r.Request.Recipe == nil {
			continue
		}
		_, err := p.k.engine.Credits(r.Request)
		var faults *fault.List
		if err != nil && !errors.As(err, &faults) {
			return err
		}
		if err == nil {
			continue
		}
		for _, f := range faults.Faults {
			f.Path = fault.Field(fault.Index("recipes", i), f.Path)
			p.faults.Add(f)
		}
	}
	for i := range p.req.Foods {
		if b := &p.req.Foods[i]; cat != nil && b.Food != "" && len(b.Groups) > 0 {
			p.food(cat, i)
		}
	}
	return nil
}
