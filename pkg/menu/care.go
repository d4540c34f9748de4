package menu

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// Child and adult care, preschool, summer and snacks: amounts are of one meal, and
// what must differ in it is looked at in every full selection.

// kinds are the different foods of a selection that have some of a part.
func kinds(taken []*served, v view, ps ...part) (names []string, amounts []exact.Number) {
	for _, s := range taken {
		var n exact.Number
		for _, p := range ps {
			n = n.Add(s.of(v, p))
		}
		if n.Sign() == 0 {
			continue
		}
		i := slices.Index(names, s.kind())
		if i < 0 {
			names, amounts = append(names, s.kind()), append(amounts, exact.Number{})
			i = len(names) - 1
		}
		amounts[i] = amounts[i].Add(n)
	}
	return names, amounts
}

// replaced checks fruit where a vegetable may stand for it as a whole, and the
// kinds of fruits and vegetables of a meal.
func (w *work) replaced(l *line, d *day, span patterns.Span) {
	if v, ok := d.p.Amount("least/fruits", span); ok && v.Number.Sign() > 0 && d.says("vegetables-for-fruits/allowed", "whole") {
		w.wholeFruit(l, d, v, span)
	}
	v, ok := d.p.Amount("fruits-or-vegetables/kinds", patterns.NoSpan)
	if !ok {
		return
	}
	c := Check{Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on, Needed: v.Number, Unit: "kinds", Verdict: Met}
	m, whole := d.leastOfSelections(false, func(taken []*served, v view) exact.Number {
		names, _ := kinds(taken, v, fruits, vegetables)
		return exact.Int(int64(len(names)))
	})
	if !whole {
		w.tooMany(c)
		return
	}
	c.There, c.Taken = m.sum[credited], m.taken
	if c.There.Less(c.Needed) {
		c.Verdict, c.Short, c.Mend = NotMet, c.Needed.Sub(c.There), "Offer a fruit or vegetable of another kind; a mixture is one kind."
		if unknown := d.unknown(); len(unknown) > 0 {
			c.Verdict, c.Because = NotChecked, "no credits are given for "+strings.Join(unknown, ", ")
		}
	}
	w.add(c)
}

// wholeFruit checks fruit in every full selection: fruit in full, or a vegetable of
// another kind than the vegetable of the meal.
func (w *work) wholeFruit(l *line, d *day, v *patterns.Value, span patterns.Span) {
	var veg exact.Number
	if m, ok := d.p.Amount("least/vegetables", span); ok {
		veg = m.Number
	}
	least := v.Number
	if m, ok := d.p.Amount("vegetables-for-fruits/least", patterns.NoSpan); ok {
		least = m.Number
	}
	m, whole := d.leastOfSelections(d.differs, func(taken []*served, at view) exact.Number {
		_, f := kinds(taken, at, fruits)
		n := addUp(f)
		if n.Less(v.Number) {
			_, amounts := kinds(taken, at, vegetables)
			n = exact.Max(n, beside(amounts, veg, exact.Max(least, v.Number)))
		}
		return n
	})
	if !whole {
		w.tooMany(Check{Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on})
		return
	}
	c := atLeast(v, v.Number, m, d.unknown())
	c.Line, c.On = l.name, d.on
	if c.Verdict == NotMet {
		c.Because = "a vegetable stands for the fruit only when it is of another kind than the vegetable of the meal and has the fruit's amount"
		c.Mend = mend("fruits", c.Short)
	}
	w.add(c)
}

// beside returns the most of other kinds that is left when some kinds make the
// vegetable of the meal: need when there is so much, else what there is at most. Sums
// below the vegetable's amount are few, as credits go in eighths.
func beside(amounts []exact.Number, veg, need exact.Number) exact.Number {
	all := addUp(amounts)
	if veg.Sign() <= 0 {
		return exact.Min(all, need)
	}
	below := []exact.Number{{}}
	least, found := all, !all.Less(veg) // of what makes the vegetable
	for _, a := range amounts {
		for _, s := range slices.Clone(below) {
			switch n := s.Add(a); {
			case !n.Less(veg):
				least = exact.Min(least, n)
			case !slices.ContainsFunc(below, n.Equal):
				below = append(below, n)
			}
		}
	}
	if !found {
		return exact.Number{}
	}
	return exact.Min(all.Sub(least), need)
}

// leastOfSelections is the least of a value over the full selections of a day, and the
// first selection it is found in; whole is false where they are too many to look at
// each.
func (d *day) leastOfSelections(differs bool, value func([]*served, view) exact.Number) (m measured, whole bool) {
	whole = true
	m = measure(differs, func(v view) (least exact.Number, names []string) {
		first := true
		whole = d.selections(func(taken []*served) {
			if n := value(taken, v); first || n.Less(least) {
				first, least = false, n
				if v == credited {
					names = itemNames(taken)
				}
			}
		}) && whole
		return least, names
	})
	return m, whole
}

func addUp(all []exact.Number) exact.Number {
	var sum exact.Number
	for _, n := range all {
		sum = sum.Add(n)
	}
	return sum
}

func itemNames(taken []*served) []string {
	out := make([]string, len(taken))
	for i, s := range taken {
		out[i] = s.item.Name
	}
	return out
}

func (w *work) tooMany(c Check) {
	c.Verdict, c.Because = NotChecked, "the day has too many selections to look at each"
	c.Mend = "Divide the choices of the day."
	w.add(c)
}

// snackComponents counts the components of a selection, each in its amount, where a
// snack has two of them. Where not both may be drinks, drinks is true when they are, and
// one of them is no component beside the other.
func (d *day) snackComponents(taken []*served, at view, span patterns.Span) (n int, drinks bool) {
	juice, drunk := false, 0
	for _, min := range d.p.Minimums(span) {
		count := d.counts(min.Component)
		if min.Component == "milk" {
			count = func(s *served, v view) exact.Number { return s.of(v, milk) }
		}
		if min.Component == "grains" {
			count = func(s *served, v view) exact.Number { return s.of(v, grains) }
		}
		if count == nil || min.Value.Number.IsZero() {
			continue
		}
		var sum, asJuice exact.Number
		for _, s := range taken {
			sum = sum.Add(count(s, at))
			if min.Component != "vegetables" {
				asJuice = asJuice.Add(s.juice[fruits])
			}
			if min.Component != "fruits" {
				asJuice = asJuice.Add(s.juice[vegetables])
			}
		}
		if sum.Less(inCups(min.Value)) {
			continue
		}
		n++
		switch {
		case min.Component == "milk":
			drunk++
		case min.Component != "grains" && min.Component != "meats" && sum.Sub(asJuice).Less(inCups(min.Value)):
			juice = true
			drunk++
		}
	}
	refused := d.says("choose/juice-with-milk", "not-allowed") || has(d.p, "choose/drinks-most")
	if refused && n == 2 && drunk == 2 && juice {
		return 1, true
	}
	return n, false
}

// bothDrinks says why two drinks are no snack.
func (d *day) bothDrinks() string {
	if has(d.p, "choose/drinks-most") {
		return "only one of the two components may be a drink: milk and juice, or two juices, are no snack"
	}
	return "juice and milk as the only two components are no snack"
}

// snack checks that every full selection has its components, of those it chooses
// from, each in its amount.
func (w *work) snack(l *line, d *day, span patterns.Span) {
	v, _ := d.p.Amount("choose/components", patterns.NoSpan)
	juiceAndMilk := false
	m, whole := d.leastOfSelections(d.differs, func(taken []*served, at view) exact.Number {
		n, drinks := d.snackComponents(taken, at, span)
		juiceAndMilk = juiceAndMilk || drinks
		return exact.Int(int64(n))
	})
	if !whole {
		w.tooMany(Check{Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on})
		return
	}
	c := atLeast(v, v.Number, m, d.unknown())
	c.Line, c.On = l.name, d.on
	if c.Verdict == NotMet {
		c.Mend = "Offer another component in its full amount to the child who takes least."
		if juiceAndMilk {
			c.Because = d.bothDrinks()
		}
	}
	w.add(c)
}

// grainsOrWholeMeats is the smallest selection of grains at breakfast in care,
// where meats/meat alternates may stand for the whole grain amount.
// whole is false where there were too many ways to look at.
func (d *day) grainsOrWholeMeats(need exact.Number) (m measured, whole bool) {
	p := picker{keep: smallest}
	m = measure(d.differs, func(v view) (exact.Number, []string) {
		var least exact.Number
		for i, s := range p.day(d, []vec{make(vec, 2)}, func(s *served) vec { return vec{s.of(v, grains), s.of(v, meats)} }) {
			n := s[0]
			if n.Less(need) && !s[1].Less(need) {
				n = need
			}
			if i == 0 || n.Less(least) {
				least = n
			}
		}
		return least, nil
	})
	return m, !p.over
}

// smallest keeps of two sums those that reach no other one in both, the smallest
// first ones first.
func smallest(in []vec) []vec {
	slices.SortFunc(in, func(a, b vec) int {
		if c := a[0].Cmp(b[0]); c != 0 {
			return c
		}
		return a[1].Cmp(b[1])
	})
	var out []vec
	for _, v := range in {
		if len(out) == 0 || v[1].Less(out[len(out)-1][1]) {
			out = append(out, v)
		}
	}
	return out
}

// juiceOfMeal checks fruits and vegetables where juice may make a share of their
// amount only.
func (w *work) juiceOfMeal(l *line, d *day, span patterns.Span) {
	share, ok := d.p.Amount("juice/share-of-meal", patterns.NoSpan)
	need, asks := d.p.Amount("least/fruits-or-vegetables", span)
	if !ok || !asks {
		return
	}
	most := share.Number.Mul(need.Number)
	// The least of whole foods and juice up to a share is the lesser of two: all of
	// it, and whole foods with the whole share.
	m := measure(true, func(v view) (exact.Number, []string) {
		all := func(s *served) exact.Number { return s.of(v, fruits).Add(s.of(v, vegetables)) }
		least, _ := extreme(d, false, all)
		whole, _ := extreme(d, false, func(s *served) exact.Number {
			return all(s).Sub(exact.Min(s.juice[fruits].Add(s.juice[vegetables]), all(s)))
		})
		return exact.Min(least, whole.Add(most)), nil
	})
	c := atLeast(share, need.Number, m, d.unknown())
	c.Line, c.On, c.Unit = l.name, d.on, need.Unit
	if c.Verdict == NotMet {
		c.Because = "no more than " + most.Fraction() + " cup of juice counts"
		c.Mend = "Plan another " + c.Short.Fraction() + " cup of whole fruit or vegetables."
	}
	w.add(c)
}
