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
// ingredient; only the chosen one goes into the ledger. It is copied a lot and
// kept small.
type chain struct {
	start   exact.Number
	unit    *measure.Unit
	value   exact.Number
	figures [maxFigures]*Figure
	ops     [maxFigures]Op
	n       int8
	rank    int8   // how far the worst of its figures is from the handbook
	rule    string // rule that calls for it
}

// maxFigures: a piece, its weight, grams to ounces to pounds, what is usable of it,
// servings per pound, leafy greens halved, and a share of the caller's.
const maxFigures = 7

var ouncesPerPound = fact("unit/oz-per-lb", "Ounces in one pound", "16", "oz", exact.Int(16))

const factOfMeasure = "a fact of measure"

// fact makes a figure that needs no source.
func fact(id, name, text, unit string, value exact.Number) Figure {
	return Figure{ID: id, Name: name, Text: text, Unit: unit, Used: value, Source: source.Ref{Mark: source.Read, Section: factOfMeasure}}
}

func begin(start exact.Number, unit *measure.Unit, rule string) (c chain) {
	c.begin(start, unit, rule)
	return c
}

// begin sets a chain to its start. Figures of a way tried before may stand
// behind n: they mean nothing.
func (c *chain) begin(start exact.Number, unit *measure.Unit, rule string) {
	c.start, c.unit, c.value, c.rule, c.n, c.rank = start, unit, start, rule, 0, 0
}

// plain multiplies or divides by a figure without touching the rank.
func (c *chain) plain(op Op, g *Figure) {
	c.figures[c.n], c.ops[c.n] = g, op
	c.n++
	if op == Times {
		c.value = c.value.Mul(g.Used)
	} else {
		c.value = c.value.Quo(g.Used)
	}
}

// use multiplies or divides by a figure that has a source.
func (c *chain) use(op Op, g *Figure) {
	c.plain(op, g)
	c.rank = max(c.rank, distance(&g.Source))
}

// food multiplies or divides by a figure of the food.
func (c *chain) food(op Op, g *food.Figure) { c.use(op, &g.Record) }

// by multiplies or divides by a rule value.
func (c *chain) by(op Op, v *rules.Value) { c.use(op, &v.Record) }

// byStep divides by the weight of a row of a table.
func (c *chain) byStep(s *rules.Step) { c.use(DividedBy, &s.Record) }

// last returns the figure applied last, a share of the caller's apart, or nil.
func (c *chain) last() *Figure {
	n := c.n
	if n > 0 && c.figures[n-1].ID == shareID {
		n--
	}
	if n == 0 {
		return nil
	}
	return c.figures[n-1]
}

// shareID names the figure of the share of an amount that ends up in the food.
const shareID = "recipe/share"

// distance ranks a source: 0 can carry a claim, more is further from it.
func distance(r *source.Ref) int8 {
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
		w.terms = append(w.terms, w.with(c.ops[i], c.figures[i]))
	}
	at := len(w.rec.Steps)
	w.rec.Steps = oneMore(w.rec.Steps)
	s := &w.rec.Steps[at]
	s.Rule, s.Operation, s.Component, s.Subgroup, s.Ingredient, s.Outcome = c.rule, Amount, comp, sub, ingredient, outcome
	s.Start, s.Unit, s.Terms, s.Value = c.start, c.unit, w.terms[n:len(w.terms):len(w.terms)], c.value
	return at
}
