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

const maxLinks = 6

var ouncesPerPound = fact("unit/oz-per-lb", "Ounces in one pound", "16", "oz", exact.Int(16))

// fact makes a figure that needs no source.
func fact(id, name, text, unit string, value exact.Number) Figure {
	return Figure{ID: id, Name: name, Text: text, Unit: unit, Used: value, Source: source.Ref{Mark: source.Read, Section: "a fact of measure"}}
}

// link is one factor. What it points to gives the value: a *food.Figure, a
// *rules.Value, a *rules.Step (its least weight) or a *Figure of a fact.
type link struct {
	figure any
	op     Op
}

// record returns the figure as records carry it.
func (l *link) record() *Figure {
	switch g := l.figure.(type) {
	case *food.Figure:
		return &g.Record
	case *rules.Value:
		return &g.Record
	case *rules.Step:
		return &g.Record
	}
	return l.figure.(*Figure)
}

func begin(start exact.Number, unit *measure.Unit, rule string) chain {
	return chain{start: start, unit: unit, value: start, rule: rule}
}

func (c *chain) add(op Op, figure any, v exact.Number) {
	c.links[c.n] = link{figure, op}
	c.n++
	if op == Times {
		c.value = c.value.Mul(v)
	} else {
		c.value = c.value.Quo(v)
	}
}

// plain multiplies or divides by a fact of measure.
func (c *chain) plain(op Op, f *Figure) { c.add(op, f, f.Used) }

// food multiplies or divides by a figure of the food.
func (c *chain) food(op Op, g *food.Figure) {
	c.add(op, g, g.Rate)
	c.rank = max(c.rank, distance(&g.Source))
}

// by multiplies or divides by a rule value.
func (c *chain) by(op Op, v *rules.Value) {
	c.add(op, v, v.Number)
	c.rank = max(c.rank, distance(&v.Source))
}

// byStep divides by the weight of a row of a table.
func (c *chain) byStep(s *rules.Step) {
	c.add(DividedBy, s, s.Least)
	c.rank = max(c.rank, distance(&s.Source))
}

// distance ranks a source: 0 can carry a claim, more is further from it.
func distance(r *source.Ref) int {
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
		w.terms = append(w.terms, w.with(c.links[i].op, c.links[i].record()))
	}
	return w.step(Step{Rule: c.rule, Operation: Amount, Component: comp, Subgroup: sub, Ingredient: ingredient,
		Start: c.start, Unit: c.unit, Terms: w.terms[n:len(w.terms):len(w.terms)], Value: c.value, Outcome: outcome})
}
