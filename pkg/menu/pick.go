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

// picker works out what full selections come to. Many selections come to the same,
// and more are never better than another: keep thins the sums out without losing
// one that can decide.
type picker struct {
	keep func([]vec) []vec
	over bool        // sums that could decide were too many and are lost
	halt func() bool // see Reviewer.Until; nil never halts
}

// mostSums bounds the sums that are held at once, and fewSums those that are after
// it was passed: what is found then is one answer, and not the best. Random weeks
// of vegetables in eighths hold up to 180.
const (
	mostSums = 400
	fewSums  = 40
)

// thin keeps what can decide, and no more than the first of it.
func (p *picker) thin(in []vec) []vec {
	out := p.keep(in)
	p.over = p.over || len(out) > mostSums
	if p.halt != nil && p.halt() {
		return out[:min(len(out), 1)]
	}
	if p.over {
		out = out[:min(len(out), fewSums)]
	}
	return out
}

// choice adds full selections of a choice to each sum so far.
func (p *picker) choice(c *choice, from []vec, value func(*served) vec) []vec {
	if c.same {
		each := make([]vec, len(c.items))
		for i, it := range c.items {
			each[i] = value(it)
		}
		for range c.take {
			next := make([]vec, 0, len(from)*len(each))
			for _, v := range from {
				for _, w := range each {
					next = append(next, v.plus(w))
				}
			}
			from = p.thin(next)
		}
		return from
	}
	byCount := make([][]vec, c.take+1)
	byCount[0] = from
	for i, it := range c.items {
		v := value(it)
		left := len(c.items) - i - 1
		for n := min(c.take, i+1); n > 0; n-- {
			next := byCount[n]
			for _, w := range byCount[n-1] {
				next = append(next, w.plus(v))
			}
			if n+left < c.take {
				byCount[n-1] = nil // too few items are left to fill it up
			}
			byCount[n] = p.thin(next)
		}
	}
	return byCount[c.take]
}

// day adds full selections of a day to each sum so far.
func (p *picker) day(d *day, from []vec, value func(*served) vec) []vec {
	for i := range d.choices {
		from = p.choice(&d.choices[i], from, value)
	}
	return from
}

// mostSelections bounds what is walked through one by one: so many selections of ten
// items, and fewer of larger ones, since items of a selection are compared with each
// other.
const mostSelections = 20000

// selections walks through the full selections of a day, and reports whether all
// were walked through.
func (d *day) selections(visit func([]*served)) bool {
	left := mostSelections * 100
	var taken []*served
	var choose func(c, n, from int) bool
	choose = func(c, n, from int) bool {
		if c == len(d.choices) {
			left -= max(100, len(taken)*len(taken))
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
		last := len(ch.items)
		if !ch.same {
			last -= ch.take - n - 1 // the rest is needed to fill it up
		}
		for i := from; i < last; i++ {
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
