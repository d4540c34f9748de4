package kitchen

import (
	"container/heap"
	"maps"
	"slices"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
)

// Bounds of a search over several amounts: nodes are linear programs solved. What
// ends at them is not called the least.
const (
	maxNodes = 600
	nodeWork = 60_000 // nodes times variables
)

// millionth of a step is how near a credit comes to a bound it must stay below.
var millionth = exact.Frac(1, 1_000_000)

// mix is the search for the amounts of several lines of least total change: branch
// and bound over exact linear programs.
//
// What the rules make of amounts is linear but for switches: dried fruit counts
// from its least amount on, hidden puree beside enough that shows, a food of a
// smoothie from a step on, weights at printed marks, and what rounding subgroups
// down leaves over falls back to nothing at each step. A program takes every switch
// that is not decided at its best. Where its amounts do not bear that out, it
// branches.
type mix struct {
	s      *search
	lines  []int // that may change
	column map[int]int
	tables []string
	fills  []food.Subgroup // of vegetables that may meet other
	foods  []string        // of a smoothie
	worlds []bool          // all figures; documented figures alone
	grid   bool            // kitchen measures only
	best   exact.Number    // cost of the best amounts so far; 0 when there are none
	found  []exact.Number  // factors of lines, as they stand in it
	whole  bool            // nothing was left out
}

// switches of a node.
type switchKind uint8

const (
	driedFruit switchKind = iota
	hiddenPuree
	smoothieFood
	printedMark
	subgroupStep
)

// decision is one side of a switch.
type decision struct {
	kind  switchKind
	of    int // index among tables, fills or foods
	sure  bool
	yes   bool // counts; at or above the mark
	point exact.Number
}

type node struct {
	decisions []decision
	lower     []exact.Number // factor of each line
	upper     []exact.Number
	factors   []exact.Number // where the program has its least cost
	extra     []exact.Number // its other variables
	bound     exact.Number
}

// queue gives the node of the least bound first.
type queue []*node

func (q queue) Len() int           { return len(q) }
func (q queue) Less(i, j int) bool { return q[i].bound.Less(q[j].bound) }
func (q queue) Swap(i, j int)      { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)        { *q = append(*q, x.(*node)) }
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}

// mix prepares the search. Lines that bring nothing stay as they are.
func (s *search) mix() *mix {
	m := &mix{s: s, column: make(map[int]int), worlds: []bool{false}}
	unsure := false
	for i := range s.linear.parts {
		p := &s.linear.parts[i]
		unsure = unsure || !p.sure
		if s.base.Smoothie && !slices.Contains(m.foods, p.food) {
			m.foods = append(m.foods, p.food)
		}
		if p.component == food.Vegetables && s.fills(p.subgroup) && !slices.Contains(m.fills, p.subgroup) {
			m.fills = append(m.fills, p.subgroup)
		}
		if s.free[p.line] && !slices.Contains(m.lines, p.line) {
			m.lines = append(m.lines, p.line)
		}
	}
	for i, n := range s.linear.barren {
		if !n.IsZero() && s.free[i] && !slices.Contains(m.lines, i) {
			m.lines = append(m.lines, i)
		}
	}
	slices.Sort(m.lines)
	for k, i := range m.lines {
		m.column[i] = k
	}
	m.tables = slices.Sorted(maps.Keys(s.linear.tables))
	if !slices.ContainsFunc(s.needs, func(n need) bool { return n.key == key{food.Vegetables, food.OtherVegetables} }) {
		m.fills = nil
	}
	if unsure {
		m.worlds = append(m.worlds, true)
	}
	return m
}

// Variables: what each line is above its amount and what it is below, then for
// each world what each table earns and what each subgroup leaves over.
func (m *mix) above(k int) int { return 2 * k }
func (m *mix) under(k int) int { return 2*k + 1 }
func (m *mix) earned(table, world int) int {
	return 2*len(m.lines) + world*(len(m.tables)+len(m.fills)) + table
}
func (m *mix) left(fill, world int) int { return m.earned(len(m.tables)+fill, world) }
func (m *mix) variables() int           { return m.earned(0, len(m.worlds)) }

// add adds a part's amount to a row, times a number: per factor of its line, and
// what is fixed to the other side.
func (m *mix) add(r *row, line int, n exact.Number) {
	r.least = r.least.Sub(n) // the amount as it is written
	if k, ok := m.column[line]; ok {
		r.of[m.above(k)] = r.of[m.above(k)].Add(n)
		r.of[m.under(k)] = r.of[m.under(k)].Sub(n)
	}
}

// row is a sum of what parts bring a portion, at least a bound.
func (m *mix) row(least exact.Number, of func(*worth) exact.Number) row {
	r := row{of: make([]exact.Number, m.variables()), least: least}
	for i := range m.s.linear.parts {
		p := &m.s.linear.parts[i]
		if n := of(p); !n.IsZero() {
			m.add(&r, p.line, n.Quo(m.s.made))
		}
	}
	return r
}

// decided returns what a node decided of a switch: 1 yes, -1 no, 0 nothing.
func (n *node) decided(kind switchKind, of int, sure bool) int {
	for _, d := range n.decisions {
		if d.kind == kind && d.of == of && (d.sure == sure || kind == smoothieFood) {
			if d.yes {
				return 1
			}
			return -1
		}
	}
	return 0
}

// below reports whether a node decided that a table's weight is below a mark.
func (n *node) below(table int, sure bool, mark exact.Number) bool {
	return slices.ContainsFunc(n.decisions, func(d decision) bool {
		return d.kind == printedMark && d.of == table && d.sure == sure && !d.yes && !mark.Less(d.point)
	})
}

// has reports whether a node decided a switch at a mark, either way.
func (n *node) has(d decision) bool {
	return slices.ContainsFunc(n.decisions, func(e decision) bool {
		return e.kind == d.kind && e.of == d.of && e.sure == d.sure && e.point.Equal(d.point)
	})
}

// counts reports whether a part counts in a node's world: with every open switch
// at its best, or at its worst.
func (m *mix) counts(n *node, p *worth, sure, best bool) bool {
	ok := func(decided int) bool { return decided > 0 || decided == 0 && best }
	switch {
	case sure && !p.sure:
		return false
	case !p.dried.IsZero() && p.component == food.Fruits && !m.s.number("fruits/dried-least").IsZero() && !ok(n.decided(driedFruit, 0, sure)):
		return false
	case m.s.base.Smoothie && (p.produce() || p.component == food.Meats):
		return ok(n.decided(smoothieFood, slices.Index(m.foods, p.food), sure))
	case p.hidden && p.produce():
		return ok(n.decided(hiddenPuree, 0, sure))
	}
	return true
}

// low is the step a subgroup is known to reach.
func (m *mix) low(n *node, fill int, sure bool) exact.Number {
	low := exact.Number{}
	for i := range m.s.needs {
		if d := &m.s.needs[i]; d.component == food.Vegetables && d.subgroup == m.fills[fill] {
			low = d.least
			if sure {
				low = d.sure
			}
		}
	}
	for _, d := range n.decisions {
		if d.kind == subgroupStep && d.of == fill && d.sure == sure && d.yes {
			low = exact.Max(low, d.point)
		}
	}
	return low
}

// program writes a node's linear program.
func (m *mix) program(n *node) *program {
	s := m.s
	size := m.variables()
	p := &program{cost: make([]exact.Number, size), lower: make([]exact.Number, size), upper: make([]*exact.Number, size)}
	zero := exact.Number{}
	for k := range m.lines {
		p.cost[m.above(k)], p.cost[m.under(k)] = one, one
		up, down := exact.Max(n.upper[k].Sub(one), zero), exact.Max(one.Sub(n.lower[k]), zero)
		p.upper[m.above(k)], p.upper[m.under(k)] = &up, &down
		p.lower[m.above(k)], p.lower[m.under(k)] = exact.Max(n.lower[k].Sub(one), zero), exact.Max(one.Sub(n.upper[k]), zero)
	}
	for w, sure := range m.worlds {
		for t := range m.tables {
			p.rows = append(p.rows, m.tableRows(n, t, w, sure, p)...)
		}
		for f := range m.fills {
			p.rows = append(p.rows, m.fillRows(n, f, w, sure, p)...)
		}
		for _, d := range n.decisions {
			if d.sure == sure {
				if r, ok := m.decisionRow(n, &d); ok {
					p.rows = append(p.rows, r)
				}
			}
		}
		for i := range s.needs {
			p.rows = append(p.rows, m.needRows(n, &s.needs[i], w, sure)...)
		}
	}
	if !s.share.IsZero() {
		p.rows = append(p.rows, m.row(zero, func(q *worth) exact.Number { return s.wholeOver(q) }))
	}
	if s.linear.limit != nil && s.needsGrains() {
		r := row{of: make([]exact.Number, size), least: s.linear.limit.Neg()}
		for i, g := range s.linear.barren {
			if !g.IsZero() {
				m.add(&r, i, g.Quo(s.made).Neg())
			}
		}
		p.rows = append(p.rows, r)
	}
	return p
}

// needRows ask for a need in a world.
func (m *mix) needRows(n *node, d *need, world int, sure bool) []row {
	least := d.least
	if sure {
		least = d.sure
	}
	if d.component == food.Grains && m.s.byWeight() {
		return nil
	}
	var rows []row
	if least.Sign() > 0 {
		r := m.row(least, func(p *worth) exact.Number {
			if p.table != nil || !p.in(d.key) || !m.counts(n, p, sure, true) {
				return exact.Number{}
			}
			return p.value
		})
		for t, id := range m.tables {
			if m.s.linear.tables[id].surimi == (d.component == food.Meats) && (d.component == food.Meats || d.component == food.Grains) {
				r.of[m.earned(t, world)] = one
			}
		}
		if d.subgroup == food.OtherVegetables {
			for f := range m.fills {
				r.of[m.left(f, world)] = one
			}
		}
		rows = append(rows, r)
	}
	if !sure && !d.most.IsZero() && !(d.component == food.Grains && m.s.deniable()) {
		most := d.most
		if !d.step.IsZero() {
			most = most.Add(d.step.Mul(one.Sub(millionth)))
		}
		rows = append(rows, m.row(most.Neg(), func(p *worth) exact.Number {
			if p.table != nil || !p.in(d.key) || !m.counts(n, p, false, false) {
				return exact.Number{}
			}
			return p.value.Neg()
		}))
	}
	return rows
}

// tableRows bound what a table earns.
func (m *mix) tableRows(n *node, t, world int, sure bool, p *program) []row {
	tab := m.s.linear.tables[m.tables[t]]
	v := m.earned(t, world)
	// At most the table's best rate for the weight.
	rate := tab.rate()
	r := m.row(exact.Number{}, func(q *worth) exact.Number {
		if q.table != tab || sure && !q.sure {
			return exact.Number{}
		}
		return q.weight.Mul(rate)
	})
	r.of[v] = one.Neg()
	most, bounded := exact.Number{}, false
	if tab.surimi {
		most, bounded = tab.rule.Steps[0].Credit, true
	}
	from := exact.Number{}
	for _, d := range n.decisions {
		if d.kind == printedMark && d.of == t && d.sure == sure && d.yes {
			from = exact.Max(from, d.point)
		}
	}
	for _, d := range n.decisions {
		if d.kind == printedMark && d.of == t && d.sure == sure && !d.yes {
			if x := tab.most(from, d.point, sure); !bounded || x.Less(most) {
				most, bounded = x, true
			}
		}
	}
	if bounded {
		p.upper[v] = &most
	}
	return []row{r}
}

// fillRows bound what a subgroup leaves over.
func (m *mix) fillRows(n *node, f, world int, sure bool, p *program) []row {
	v := m.left(f, world)
	step := m.s.number("credit/step/vegetables")
	p.upper[v] = &step
	r := m.row(m.low(n, f, sure), func(q *worth) exact.Number {
		if q.component != food.Vegetables || q.subgroup != m.fills[f] || !m.counts(n, q, sure, true) {
			return exact.Number{}
		}
		return q.value
	})
	r.of[v] = one.Neg()
	return []row{r}
}

// decisionRow asks for what a decision takes for granted.
func (m *mix) decisionRow(n *node, d *decision) (row, bool) {
	s := m.s
	switch {
	case d.kind == driedFruit && d.yes:
		return m.row(s.number("fruits/dried-least"), func(p *worth) exact.Number { return m.driedOf(p, d.sure) }), true
	case d.kind == hiddenPuree && d.yes:
		return m.row(s.number("produce/recognizable-least"), func(p *worth) exact.Number {
			if p.hidden || !p.produce() || !m.counts(n, p, d.sure, true) {
				return exact.Number{}
			}
			return p.value
		}), true
	case d.kind == smoothieFood && d.yes:
		var least exact.Number
		return m.row(least, func(p *worth) exact.Number { return m.foodOf(p, d.of) }).atLeast(m.foodStep(d.of)), true
	case d.kind == printedMark:
		tab := s.linear.tables[m.tables[d.of]]
		of := func(p *worth) exact.Number {
			if p.table != tab || d.sure && !p.sure {
				return exact.Number{}
			}
			return p.weight
		}
		if d.yes {
			return m.row(d.point, of), true
		}
		return m.row(d.point.Mul(one.Sub(millionth)).Neg(), func(p *worth) exact.Number { return of(p).Neg() }), true
	case d.kind == subgroupStep:
		of := func(best bool) func(*worth) exact.Number {
			return func(p *worth) exact.Number {
				if p.component != food.Vegetables || p.subgroup != m.fills[d.of] || !m.counts(n, p, d.sure, best) {
					return exact.Number{}
				}
				return p.value
			}
		}
		if d.yes {
			return m.row(d.point, of(true)), true
		}
		below := d.point.Sub(s.number("credit/step/vegetables").Mul(millionth))
		return m.row(below.Neg(), func(p *worth) exact.Number { return of(false)(p).Neg() }), true
	}
	return row{}, false
}

// atLeast adds to the bound of a row.
func (r row) atLeast(n exact.Number) row {
	r.least = r.least.Add(n)
	return r
}

func (m *mix) driedOf(p *worth, sure bool) exact.Number {
	if p.component != food.Fruits || sure && !p.sure {
		return exact.Number{}
	}
	return p.dried
}

func (m *mix) foodOf(p *worth, of int) exact.Number {
	if p.food != m.foods[of] {
		return exact.Number{}
	}
	return p.value
}

func (m *mix) foodStep(of int) exact.Number {
	for i := range m.s.linear.parts {
		if p := &m.s.linear.parts[i]; p.food == m.foods[of] {
			return m.s.number("credit/step/" + p.component.String())
		}
	}
	return exact.Number{}
}

// solve solves a node's program, or reports that nothing meets it.
func (m *mix) solve(n *node) bool {
	x, cost, ok := m.program(n).solve()
	if !ok {
		return false
	}
	n.factors, n.bound = make([]exact.Number, len(m.lines)), cost
	for k := range m.lines {
		n.factors[k] = one.Add(x[m.above(k)]).Sub(x[m.under(k)])
	}
	n.extra = x
	return true
}

// portion is what parts bring a portion at a node's amounts.
func (m *mix) portion(n *node, of func(*worth) exact.Number) exact.Number {
	sum := exact.Number{}
	for i := range m.s.linear.parts {
		p := &m.s.linear.parts[i]
		v := of(p)
		if v.IsZero() {
			continue
		}
		if k, ok := m.column[p.line]; ok {
			v = v.Mul(n.factors[k])
		}
		sum = sum.Add(v)
	}
	return sum.Quo(m.s.made)
}

// split returns a switch that a node's amounts do not bear out, if there is one.
func (m *mix) split(n *node) (decision, bool) {
	s := m.s
	for w, sure := range m.worlds {
		least := s.number("fruits/dried-least")
		if d := m.portion(n, func(p *worth) exact.Number { return m.driedOf(p, sure) }); n.decided(driedFruit, 0, sure) == 0 && d.Sign() > 0 && d.Less(least) {
			return decision{kind: driedFruit, sure: sure}, true
		}
		hidden := slices.ContainsFunc(s.linear.parts, func(p worth) bool { return p.hidden && p.produce() })
		if hidden && !s.base.Smoothie && n.decided(hiddenPuree, 0, sure) == 0 {
			shown := m.portion(n, func(p *worth) exact.Number {
				if p.hidden || !p.produce() || !m.counts(n, p, sure, true) {
					return exact.Number{}
				}
				return p.value
			})
			if shown.Less(s.number("produce/recognizable-least")) {
				return decision{kind: hiddenPuree, sure: sure}, true
			}
		}
		for f := range m.foods {
			if n.decided(smoothieFood, f, sure) == 0 && m.portion(n, func(p *worth) exact.Number { return m.foodOf(p, f) }).Less(m.foodStep(f)) {
				return decision{kind: smoothieFood, of: f}, true
			}
		}
		for t, id := range m.tables {
			tab := s.linear.tables[id]
			weight := m.portion(n, func(p *worth) exact.Number {
				if p.table != tab || sure && !p.sure {
					return exact.Number{}
				}
				return p.weight
			})
			if tab.credit(weight, sure).Less(n.extra[m.earned(t, w)]) {
				// The mark above, or the one it is past: what is documented of a row
				// may be less than of the row before.
				mark, ok := tab.above(weight)
				if !ok || n.below(t, sure, mark) {
					mark, ok = lastMark(tab, weight)
				}
				if d := (decision{kind: printedMark, of: t, sure: sure, point: mark}); ok && !n.has(d) {
					return d, true
				}
			}
		}
		for f, sub := range m.fills {
			x := m.portion(n, func(p *worth) exact.Number {
				if p.component != food.Vegetables || p.subgroup != sub || !m.counts(n, p, sure, true) {
					return exact.Number{}
				}
				return p.value
			})
			if down, over := x.RoundDown(s.number("credit/step/vegetables")); over.Less(n.extra[m.left(f, w)]) {
				return decision{kind: subgroupStep, of: f, sure: sure, point: down}, true
			}
		}
	}
	return decision{}, false
}

// batch is the recipe at factors of the lines.
func (m *mix) batch(factors []exact.Number) *recipe.Recipe {
	r := *m.s.base
	r.Ingredients = slices.Clone(r.Ingredients)
	for k, i := range m.lines {
		if factors[k].Equal(one) {
			continue
		}
		r.Ingredients[i].Quantity = r.Ingredients[i].Quantity.Times(factors[k])
	}
	return &r
}

// offer takes amounts for the best so far when the engine meets the target with
// them and they cost less.
func (m *mix) offer(factors []exact.Number) bool {
	cost := exact.Number{}
	for _, f := range factors {
		cost = cost.Add(off(f))
	}
	if m.found != nil && !cost.Less(m.best) {
		return false
	}
	if !m.s.meets(m.batch(factors)) {
		return false
	}
	m.best, m.found = cost, slices.Clone(factors)
	return true
}

// measures returns the kitchen measures, as factors, on either side of a line's
// factor. The amount as it is written is one.
func (m *mix) measures(k int, f exact.Number) (down, up exact.Number, hasDown bool) {
	q := m.s.base.Ingredients[m.lines[k]].Quantity
	l, x := ladderOf(q.Unit()), q.Amount().Mul(f)
	d, hasDown := l.beyond(x, false, false)
	u, _ := l.beyond(x, true, false)
	down, up = d.Quo(q.Amount()), u.Quo(q.Amount())
	if !one.Less(f) && one.Less(up) {
		up = one
	}
	if !f.Less(one) && (!hasDown || down.Less(one)) {
		down, hasDown = one, true
	}
	return down, up, hasDown
}

// run searches until nothing cheaper is left, or its bounds are reached.
func (m *mix) run() {
	m.whole = m.s.linear.known
	if len(m.lines) == 0 {
		return
	}
	root := &node{lower: make([]exact.Number, len(m.lines)), upper: make([]exact.Number, len(m.lines))}
	for k, i := range m.lines {
		root.upper[k] = exact.Int(MaxGrowth)
		q := m.s.base.Ingredients[i].Quantity
		if m.grid {
			least, _ := ladderOf(q.Unit()).beyond(hair.Mul(hair), true, false)
			root.lower[k] = exact.Min(least.Quo(q.Amount()), one)
		} else {
			root.lower[k] = millionth // a recipe cannot hold an amount of 0
		}
	}
	var q queue
	push := func(n *node) {
		if m.solve(n) && (m.found == nil || n.bound.Less(m.best)) {
			heap.Push(&q, n)
		}
	}
	push(root)
	most := max(50, min(maxNodes, nodeWork/m.variables()))
	if m.s.hurried {
		most = 50
	}
	for range most {
		if q.Len() == 0 {
			return
		}
		if m.s.halted() {
			m.whole = false
			return
		}
		n := heap.Pop(&q).(*node)
		if m.found != nil && !n.bound.Less(m.best) {
			return
		}
		for _, c := range m.children(n) {
			push(c)
		}
	}
	m.whole = m.whole && (q.Len() == 0 || m.found != nil && !q[0].bound.Less(m.best))
}

// children offers a node's amounts, or takes it apart.
func (m *mix) children(n *node) []*node {
	child := func(d ...decision) *node {
		return &node{decisions: append(slices.Clone(n.decisions), d...), lower: slices.Clone(n.lower), upper: slices.Clone(n.upper)}
	}
	if d, ok := m.split(n); ok {
		yes := d
		yes.yes = true
		return []*node{child(yes), child(d)}
	}
	if !m.grid {
		if !m.offer(n.factors) {
			m.whole = false
		}
		return nil
	}
	rounded := slices.Clone(n.factors)
	far, widest := -1, exact.Number{}
	for k, f := range n.factors {
		down, up, hasDown := m.measures(k, f)
		if up.Equal(f) || hasDown && down.Equal(f) {
			continue
		}
		if rounded[k] = up; f.Less(one) && hasDown {
			rounded[k] = down
		}
		if w := up.Sub(down); far < 0 || widest.Less(w) {
			far, widest = k, w
		}
	}
	if far < 0 {
		if m.offer(n.factors) {
			return nil
		}
		return m.without(n, child)
	}
	m.offer(rounded)
	down, up, hasDown := m.measures(far, n.factors[far])
	more := child()
	more.lower[far] = up
	if !hasDown {
		return []*node{more}
	}
	less := child()
	less.upper[far] = down
	return []*node{less, more}
}

// without parts a node around kitchen measures that the engine refuses though the
// program does not.
func (m *mix) without(n *node, child func(...decision) *node) []*node {
	for k, f := range n.factors {
		if n.lower[k].Equal(f) && n.upper[k].Equal(f) {
			continue
		}
		q := m.s.base.Ingredients[m.lines[k]].Quantity
		l, x := ladderOf(q.Unit()), q.Amount().Mul(f)
		var out []*node
		here := child()
		here.lower[k], here.upper[k] = f, f
		out = append(out, here)
		if u, ok := l.beyond(x, true, true); ok {
			u = u.Quo(q.Amount())
			if f.Less(one) && one.Less(u) {
				u = one
			}
			more := child()
			more.lower[k] = u
			out = append(out, more)
		}
		if d, ok := l.beyond(x, false, true); ok || one.Less(f) {
			d = d.Quo(q.Amount())
			if one.Less(f) && (!ok || d.Less(one)) {
				d = one
			}
			less := child()
			less.upper[k] = d
			out = append(out, less)
		}
		return out
	}
	return nil
}
