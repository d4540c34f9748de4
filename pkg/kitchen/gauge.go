package kitchen

import (
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
)

// gauge is a sum over the lines whose marks are where a credit can change. of is
// what each line adds for a whole batch; marks are of a portion.
type gauge struct {
	of     []exact.Number
	fixed  exact.Number // what goes with no line: the weight of all portions
	marks  marks
	strict bool // what changes does so beyond the mark, not on it
}

// marks are points in order.
type marks interface {
	above(exact.Number) (exact.Number, bool) // the first above x
	below(exact.Number) (exact.Number, bool) // the last below x
}

// multiples are the multiples of a step above 0.
type multiples struct{ step exact.Number }

func (m multiples) above(x exact.Number) (exact.Number, bool) {
	return exact.Max(x.DownTo(m.step), exact.Number{}).Add(m.step), true
}

func (m multiples) below(x exact.Number) (exact.Number, bool) {
	n := x.RoundUp(m.step).Sub(m.step)
	return n, n.Sign() > 0
}

// points are a few marks.
type points []exact.Number

func (p points) above(x exact.Number) (n exact.Number, ok bool) {
	for _, m := range p {
		if x.Less(m) && (!ok || m.Less(n)) {
			n, ok = m, true
		}
	}
	return n, ok
}

func (p points) below(x exact.Number) (n exact.Number, ok bool) {
	for _, m := range p {
		if m.Less(x) && (!ok || n.Less(m)) {
			n, ok = m, true
		}
	}
	return n, ok
}

// sum adds up what parts bring, by line.
func (s *search) sum(of func(*worth) exact.Number) []exact.Number {
	sums := make([]exact.Number, len(s.base.Ingredients))
	for i := range s.linear.parts {
		p := &s.linear.parts[i]
		if n := of(p); !n.IsZero() {
			sums[p.line] = sums[p.line].Add(n)
		}
	}
	return sums
}

// in reports whether a part counts toward a component or subgroup.
func (p *worth) in(k key) bool {
	return p.component == k.component && (k.subgroup == food.NoSubgroup || p.subgroup == k.subgroup)
}

// produce reports whether a part is fruit or vegetable.
func (p *worth) produce() bool {
	return p.component == food.Fruits || p.component == food.Vegetables
}

// fills reports whether what rounding a subgroup down leaves may meet the other
// vegetables.
func (s *search) fills(sub food.Subgroup) bool {
	const id = "vegetables/other-met-with"
	if sub == food.NoSubgroup || sub == food.OtherVegetables || !s.rs.Has(id) {
		return false
	}
	v, _ := s.rs.Get(id)
	return strings.Contains(v.Text, sub.String())
}

// gauges lists every sum at whose marks a needed credit can change. In a smoothie
// foods count or not, each by itself: counts tells which. watched tells which needs
// matter.
func (s *search) gauges(counts func(*worth) bool, watched func(*need) bool) []gauge {
	var list []gauge
	add := func(m marks, strict bool, of func(*worth) exact.Number) {
		sums := s.sum(of)
		for i := range sums {
			if !sums[i].IsZero() {
				list = append(list, gauge{of: sums, marks: m, strict: strict})
				return
			}
		}
	}
	var dried, hidden, unsure, tables, mixed bool
	for i := range s.linear.parts {
		p := &s.linear.parts[i]
		dried, hidden = dried || !p.dried.IsZero(), hidden || p.hidden && p.produce()
		unsure, tables = unsure || !p.sure, tables || p.table != nil
		mixed = mixed || p.grain == mixedGrain
	}
	worlds := []bool{false}
	if unsure {
		worlds = append(worlds, true)
	}
	yes := func(is bool) []bool {
		if is {
			return []bool{false, true}
		}
		return []bool{false}
	}
	for _, sure := range worlds {
		// total adds the credit of a component or subgroup in each case of what counts.
		total := func(m marks, belongs func(*worth) bool) {
			for _, noDried := range yes(dried) {
				for _, noHidden := range yes(hidden) {
					add(m, false, func(p *worth) exact.Number {
						if sure && !p.sure || p.table != nil || noDried && !p.dried.IsZero() || noHidden && p.hidden && p.produce() || !counts(p) || !belongs(p) {
							return exact.Number{}
						}
						return p.value
					})
				}
			}
		}
		for i := range s.needs {
			n := &s.needs[i]
			if !watched(n) {
				continue
			}
			if n.step.IsZero() {
				marks := points{n.least, n.sure}
				if !n.most.IsZero() {
					marks = append(marks, n.most)
				}
				total(append(marks, s.milkLeast()...), func(p *worth) bool { return p.in(n.key) })
				continue
			}
			total(multiples{n.step}, func(p *worth) bool { return p.in(n.key) })
			if n.subgroup == food.OtherVegetables {
				for sub := food.DarkGreen; sub < food.OtherVegetables; sub++ {
					if s.fills(sub) {
						total(multiples{n.step}, func(p *worth) bool { return p.component == food.Vegetables && p.subgroup == sub })
					}
				}
				total(multiples{n.step}, func(p *worth) bool {
					return p.component == food.Vegetables && (p.subgroup == food.OtherVegetables || s.fills(p.subgroup))
				})
			}
			if n.component == food.Grains && tables {
				for _, id := range s.groups() {
					add(multiples{n.step}, false, func(p *worth) exact.Number {
						if sure && !p.sure || p.table == nil || p.table.surimi || groupOf(p.table) != id {
							return exact.Number{}
						}
						return p.value
					})
				}
			}
		}
		if least := s.number("fruits/dried-least"); dried && !least.IsZero() {
			add(points{least}, false, func(p *worth) exact.Number {
				if sure && !p.sure || p.component != food.Fruits {
					return exact.Number{}
				}
				return p.dried
			})
		}
		if least := s.number("produce/recognizable-least"); hidden {
			for _, noDried := range yes(dried) {
				add(points{least}, false, func(p *worth) exact.Number {
					if sure && !p.sure || !p.produce() || p.hidden || noDried && !p.dried.IsZero() {
						return exact.Number{}
					}
					return p.value
				})
			}
		}
		for _, t := range s.linear.tables {
			add(t, false, func(p *worth) exact.Number {
				if sure && !p.sure || p.table != t {
					return exact.Number{}
				}
				return p.weight
			})
		}
	}
	if s.base.Smoothie {
		seen := make(map[string]bool)
		for i := range s.linear.parts {
			q := &s.linear.parts[i]
			if !seen[q.food] {
				seen[q.food] = true
				add(points{s.number("credit/step/" + q.component.String())}, false, func(p *worth) exact.Number {
					if p.food != q.food {
						return exact.Number{}
					}
					return p.value
				})
			}
		}
	}
	if !s.share.IsZero() && !mixed {
		add(points{{}}, false, func(p *worth) exact.Number { return s.wholeOver(p) })
	}
	if s.linear.limit != nil {
		list = append(list, gauge{of: s.linear.barren, marks: points{*s.linear.limit}, strict: true})
	}
	return list
}

// wholeOver is what a part adds to whole grain above the share asked for.
func (s *search) wholeOver(p *worth) exact.Number {
	if p.component != food.Grains {
		return exact.Number{}
	}
	over := p.value.Mul(s.share).Neg()
	if p.grain == wholeGrain {
		over = over.Add(p.value)
	}
	return over
}

// milkLeast lists the amounts from which milk credits.
func (s *search) milkLeast() []exact.Number {
	id := "milk/serving/" + s.req.Credit.AgeGroup
	switch {
	case s.base.Smoothie:
		id = "milk/smoothie-least"
	case s.req.Credit.Program == "summer":
		id = "milk/serving/summer"
	}
	return []exact.Number{s.number(id)}
}

// groupOf returns what the tables of a group's two columns have in common.
func groupOf(t *table) string {
	id := t.rule.Rule.ID
	return id[:strings.LastIndexByte(id, '/')]
}

// groups lists the Exhibit A groups that are in the dish by both columns.
func (s *search) groups() []string {
	var twice []string
	for _, a := range s.linear.tables {
		for _, b := range s.linear.tables {
			if a.rule.Rule.ID < b.rule.Rule.ID && !a.surimi && !b.surimi && groupOf(a) == groupOf(b) {
				twice = append(twice, groupOf(a))
			}
		}
	}
	return twice
}

// path is a change with one measure: the factor of a line's amount, or the
// portions made of the batch.
type path struct {
	s    *search
	line int // -1: the portions made
}

// portion returns what a gauge shows of a portion at a point of the path, and how
// much of that goes with the line's factor.
func (p *path) portion(g *gauge, at exact.Number) (value, per exact.Number) {
	made := p.s.made
	if p.line < 0 {
		made = at
	}
	value = g.fixed
	for i := range g.of {
		n := g.of[i]
		if n.IsZero() {
			continue
		}
		if i == p.line {
			per = n.Quo(made)
			n = n.Mul(at)
		}
		value = value.Add(n)
	}
	return value.Quo(made), per
}

// counts returns which foods of a smoothie count just beyond a point of the path,
// in the direction it goes.
func (p *path) counts(at exact.Number, more bool) func(*worth) bool {
	if !p.s.base.Smoothie {
		return func(*worth) bool { return true }
	}
	foods := make(map[string]exact.Number)
	for i := range p.s.linear.parts {
		w := &p.s.linear.parts[i]
		n := w.value
		if w.line == p.line {
			n = n.Mul(at)
		}
		foods[w.food] = foods[w.food].Add(n)
	}
	made := p.s.made
	if p.line < 0 {
		made = at
	}
	return func(w *worth) bool {
		if !w.produce() && w.component != food.Meats {
			return true
		}
		c := foods[w.food].Quo(made).Cmp(p.s.number("credit/step/" + w.component.String()))
		return c > 0 || c == 0 && more
	}
}

// changed returns the batch with a line's amount times a factor.
func (s *search) changed(line int, factor exact.Number) *recipe.Recipe {
	r := *s.base
	r.Ingredients = append([]recipe.Ingredient(nil), r.Ingredients...)
	r.Ingredients[line].Quantity = r.Ingredients[line].Quantity.Times(factor)
	return &r
}
