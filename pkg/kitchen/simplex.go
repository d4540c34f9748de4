package kitchen

import "example.com/ozeq/pkg/exact"

// program is a linear program in rationals: the least cost of variables between
// bounds that meet rows. No cost is below 0 and each lower bound is finite, so the
// variables at their lower bounds are a dual feasible start.
type program struct {
	cost  []exact.Number
	lower []exact.Number
	upper []*exact.Number // nil: no bound
	rows  []row
}

// row asks that a sum over the variables be at least a bound.
type row struct {
	of    []exact.Number
	least exact.Number
}

// maxPivots ends a program that takes far longer than those of recipes do. Bland's
// rule ends every one of them in time.
const maxPivots = 5000

// solve returns the variables of least cost and the cost, or false when no
// variables meet the rows. It is the dual simplex method with bounded variables,
// exact throughout; of equal choices the one of the lowest index is taken, so it
// ends and gives the same answer each time.
func (p *program) solve() ([]exact.Number, exact.Number, bool) {
	n, m := len(p.cost), len(p.rows)
	// A basic variable is its constant and a sum over the others. The first n
	// variables are the program's, the rest are what the rows have to spare.
	basic, other := make([]int, m), make([]int, n)
	sums, constant := make([][]exact.Number, m), make([]exact.Number, m)
	reduced := append([]exact.Number(nil), p.cost...)
	atUpper := make([]bool, n+m)
	for j := range other {
		other[j] = j
	}
	for i, r := range p.rows {
		basic[i], sums[i], constant[i] = n+i, append([]exact.Number(nil), r.of...), r.least.Neg()
	}
	lower := func(v int) exact.Number {
		if v < n {
			return p.lower[v]
		}
		return exact.Number{}
	}
	upper := func(v int) *exact.Number {
		if v < n {
			return p.upper[v]
		}
		return nil
	}
	value := func(v int) exact.Number {
		if atUpper[v] {
			return *upper(v)
		}
		return lower(v)
	}
	for j := range n {
		if u := p.upper[j]; u != nil && u.Less(p.lower[j]) {
			return nil, exact.Number{}, false
		}
	}
	for range maxPivots {
		leave, below := -1, false
		for i, v := range basic {
			if leave >= 0 && basic[leave] < v {
				continue
			}
			x := constant[i]
			for j, w := range other {
				if !sums[i][j].IsZero() {
					x = x.Add(sums[i][j].Mul(value(w)))
				}
			}
			if x.Less(lower(v)) {
				leave, below = i, true
			} else if u := upper(v); u != nil && u.Less(x) {
				leave, below = i, false
			}
		}
		if leave < 0 {
			return p.result(basic, other, sums, constant, value)
		}
		enter, best := -1, exact.Number{}
		for j, w := range other {
			a := sums[leave][j]
			if u := upper(w); a.IsZero() || u != nil && u.Equal(lower(w)) {
				continue
			}
			// It can grow from its lower bound, or shrink from its upper one.
			if helps := (a.Sign() > 0) != atUpper[w]; helps != below {
				continue
			}
			ratio := reduced[j].Quo(a)
			if ratio.Sign() < 0 {
				ratio = ratio.Neg()
			}
			if c := ratio.Cmp(best); enter < 0 || c < 0 || c == 0 && w < other[enter] {
				enter, best = j, ratio
			}
		}
		if enter < 0 {
			return nil, exact.Number{}, false
		}
		v, w := basic[leave], other[enter]
		pivot(sums, constant, reduced, leave, enter)
		basic[leave], other[enter] = w, v
		atUpper[v], atUpper[w] = !below, false
	}
	return nil, exact.Number{}, false
}

// pivot turns a row around so that it gives the entering variable, and puts that
// into the other rows and the costs.
func pivot(sums [][]exact.Number, constant, reduced []exact.Number, leave, enter int) {
	one := exact.Int(1)
	r := sums[leave]
	a := r[enter]
	for j := range r {
		if j == enter {
			r[j] = one.Quo(a)
		} else if !r[j].IsZero() {
			r[j] = r[j].Quo(a).Neg()
		}
	}
	constant[leave] = constant[leave].Quo(a).Neg()
	put := func(to []exact.Number) exact.Number {
		f := to[enter]
		if f.IsZero() {
			return f
		}
		to[enter] = exact.Number{}
		for j := range to {
			if !r[j].IsZero() {
				to[j] = to[j].Add(f.Mul(r[j]))
			}
		}
		return f
	}
	for i := range sums {
		if i == leave {
			continue
		}
		if f := put(sums[i]); !f.IsZero() {
			constant[i] = constant[i].Add(f.Mul(constant[leave]))
		}
	}
	put(reduced)
}

// result reads the variables and the cost off.
func (p *program) result(basic, other []int, sums [][]exact.Number, constant []exact.Number, value func(int) exact.Number) ([]exact.Number, exact.Number, bool) {
	n := len(p.cost)
	x, cost := make([]exact.Number, n), exact.Number{}
	for _, w := range other {
		if w < n {
			x[w] = value(w)
		}
	}
	for i, v := range basic {
		if v >= n {
			continue
		}
		x[v] = constant[i]
		for j, w := range other {
			if !sums[i][j].IsZero() {
				x[v] = x[v].Add(sums[i][j].Mul(value(w)))
			}
		}
	}
	for j := range x {
		if !p.cost[j].IsZero() {
			cost = cost.Add(p.cost[j].Mul(x[j]))
		}
	}
	return x, cost, true
}
