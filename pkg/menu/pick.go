package menu

import (
	"slices"

	"example.com/ozeq/pkg/exact"
)

// A full selection takes as many as each choice of the day allows.

// extreme returns the smallest or largest sum of one value over the full
// selections of a day, and the items it takes.
func extreme(d *day, largest bool, value func(*served) exact.Number) (exact.Number, []string) {
	var sum exact.Number
	var names []string
	for i := range d.choices {
		c := &d.choices[i]
		if len(c.items) > 0 && (c.take == 1 || c.same) {
			it, n := c.items[0], value(c.items[0])
			for _, other := range c.items[1:] {
				if m := value(other); largest && n.Less(m) || !largest && m.Less(n) {
					it, n = other, m
				}
			}
			for range c.take {
				sum = sum.Add(n)
				names = append(names, it.item.Name)
			}
			continue
		}
		order := slices.Clone(c.items)
		slices.SortStableFunc(order, func(a, b *served) int {
			if largest {
				a, b = b, a
			}
			return value(a).Cmp(value(b))
		})
		for _, it := range order[:c.take] {
			sum = sum.Add(value(it))
			names = append(names, it.item.Name)
		}
	}
	return sum, names
}

// extremeSum is the sum of extreme, for those who need no names.
func extremeSum(d *day, largest bool, value func(*served) exact.Number) exact.Number {
	var sum exact.Number
	for i := range d.choices {
		c := &d.choices[i]
		if c.take > 1 && !c.same {
			all := make([]exact.Number, len(c.items))
			for k, it := range c.items {
				all[k] = value(it)
			}
			slices.SortFunc(all, exact.Number.Cmp)
			if largest {
				slices.Reverse(all)
			}
			for _, n := range all[:c.take] {
				sum = sum.Add(n)
			}
			continue
		}
		var best exact.Number
		for k, it := range c.items {
			if n := value(it); k == 0 || largest && best.Less(n) || !largest && n.Less(best) {
				best = n
			}
		}
		sum = sum.Add(best.Mul(exact.Int(int64(c.take))))
	}
	return sum
}

// vec is the sums of several values over a selection.
type vec []exact.Number

func (v vec) plus(w vec) vec {
	out := make(vec, len(v))
	for i := range v {
		out[i] = v[i].Add(w[i])
	}
	return out
}

func (v vec) key() string {
	var b []byte
	for _, n := range v {
		b = n.AppendKey(b)
	}
	return string(b)
}

// keep thins a set of sums out without losing one that can decide.
type keep func([]vec) []vec

// distinct keeps each sum once.
func distinct(in []vec) []vec {
	seen := make(map[string]bool, len(in))
	out := in[:0]
	for _, v := range in {
		if k := v.key(); !seen[k] {
			seen[k] = true
			out = append(out, v)
		}
	}
	return out
}

// notBelow reports whether v is at least w everywhere.
func notBelow(v, w vec) bool {
	for i := range v {
		if v[i].Less(w[i]) {
			return false
		}
	}
	return true
}

// largest keeps the sums that no other one reaches everywhere.
func largest(in []vec) []vec { return front(in, func(v, w vec) bool { return notBelow(v, w) }) }

// smallest keeps the sums that reach no other one everywhere.
func smallest(in []vec) []vec { return front(in, func(v, w vec) bool { return notBelow(w, v) }) }

func front(in []vec, beats func(v, w vec) bool) []vec {
	var out []vec
	for _, v := range in {
		if slices.ContainsFunc(out, func(w vec) bool { return beats(w, v) }) {
			continue
		}
		out = slices.DeleteFunc(out, func(w vec) bool { return beats(v, w) })
		out = append(out, v)
	}
	return out
}

// add returns the sums of one of a and one of b.
func add(a, b []vec, k keep) []vec {
	out := make([]vec, 0, len(a)*len(b))
	for _, v := range a {
		for _, w := range b {
			out = append(out, v.plus(w))
		}
	}
	return k(out)
}

// sums returns what full selections of a choice come to.
func (c *choice) sums(n int, value func(*served) vec, k keep) []vec {
	none := []vec{make(vec, n)}
	if c.same {
		each := make([]vec, len(c.items))
		for i, it := range c.items {
			each[i] = value(it)
		}
		out := none
		for range c.take {
			out = add(out, each, k)
		}
		return out
	}
	byCount := make([][]vec, c.take+1)
	byCount[0] = none
	for _, it := range c.items {
		v := []vec{value(it)}
		for j := c.take; j > 0; j-- {
			if len(byCount[j-1]) > 0 {
				byCount[j] = k(append(byCount[j], add(byCount[j-1], v, k)...))
			}
		}
	}
	return byCount[c.take]
}

// sums returns what full selections of a day come to.
func (d *day) sums(n int, value func(*served) vec, k keep) []vec {
	out := []vec{make(vec, n)}
	for i := range d.choices {
		out = add(out, d.choices[i].sums(n, value, k), k)
	}
	return out
}

// mostSelections bounds what is walked through one by one.
const mostSelections = 20000

// selections walks through the full selections of a day, and reports whether all
// were walked through.
func (d *day) selections(visit func([]*served)) bool {
	left := mostSelections
	var taken []*served
	var choose func(c, n, from int) bool
	choose = func(c, n, from int) bool {
		if c == len(d.choices) {
			left--
			if left < 0 {
				return false
			}
			visit(taken)
			return true
		}
		ch := &d.choices[c]
		if n == ch.take {
			return choose(c+1, 0, 0)
		}
		for i := from; i < len(ch.items); i++ {
			next := i
			if !ch.same {
				next = i + 1
			}
			taken = append(taken, ch.items[i])
			ok := choose(c, n+1, next)
			taken = taken[:len(taken)-1]
			if !ok {
				return false
			}
		}
		return true
	}
	return choose(0, 0, 0)
}
