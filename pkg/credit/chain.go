package credit

import (
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/source"
)

// chain is a way from an ingredient's amount to a credit: a starting value and
// the figures it is multiplied and divided by. Several are tried for one
// ingredient; only the chosen one goes into the ledger.
type chain struct {
	start exact.Number
	unit  *measure.Unit
	value exact.Number
	links [maxLinks]link
	n     int
	rank  int    // how far the worst of its figures is from the handbook
	rule  string // rule that calls for it
}

const maxLinks = 8

type link struct {
	op     Op
	figure any // *food.Figure, *rules.Value, *rules.Step, or nil for a plain number
	value  exact.Number
}

func begin(start exact.Number, unit *measure.Unit, rule string) chain {
	return chain{start: start, unit: unit, value: start, rule: rule}
}

func (c *chain) add(l link) {
	c.links[c.n] = l
	c.n++
	if l.op == Times {
		c.value = c.value.Mul(l.value)
	} else {
		c.value = c.value.Quo(l.value)
	}
}

// plain multiplies or divides by a fact of measure.
func (c *chain) plain(op Op, v exact.Number) { c.add(link{op, nil, v}) }

// food multiplies or divides by a figure of the food.
func (c *chain) food(op Op, g *food.Figure) {
	c.add(link{op, g, g.Rate})
	c.rank = max(c.rank, distance(g.Source))
}

// by multiplies or divides by a rule value.
func (c *chain) by(op Op, v *rules.Value) {
	c.add(link{op, v, v.Number})
	c.rank = max(c.rank, distance(v.Source))
}

// byStep divides by the weight of a row of a table.
func (c *chain) byStep(s *rules.Step) {
	c.add(link{DividedBy, s, s.Least})
	c.rank = max(c.rank, distance(s.Source))
}

// distance ranks a source: 0 can carry a claim, more is further from it.
func distance(r source.Ref) int {
	switch {
	case r.Documented():
		return 0
	case r.Tier == source.Handbook:
		return 1
	case r.Tier == source.PublicRecipe:
		return 2
	}
	return 3
}

// better reports whether c is a better way than d: nearer to the handbook
// first, then shorter.
func (c *chain) better(d *chain) bool {
	if c.rank != d.rank {
		return c.rank < d.rank
	}
	return c.n < d.n
}

// write puts the chain into the ledger as a step and returns its index.
func (w *work) write(c *chain, comp food.Component, sub food.Subgroup, ingredient int, outcome Outcome) int {
	n := len(w.terms)
	for i := range c.n {
		l := &c.links[i]
		fig := -1
		if l.figure != nil {
			fig = w.figure(l.figure)
		}
		w.terms = append(w.terms, Term{Op: l.op, Figure: fig, Step: -1, Value: l.value})
	}
	return w.step(Step{Rule: c.rule, Operation: Amount, Component: comp, Subgroup: sub, Ingredient: ingredient,
		Start: c.start, Unit: c.unit, Terms: w.terms[n:len(w.terms):len(w.terms)], Value: c.value, Outcome: outcome})
}
