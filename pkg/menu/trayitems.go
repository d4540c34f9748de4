package menu

import (
	"slices"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// items counts the items on the tray.
func (a *TrayAnswer) items(d, offered *day, taken []*served) {
	need, _ := d.p.Amount("offer/take-items", patterns.NoSpan)
	a.Of = "items"
	meatsCount := true
	if !has(d.p, "offer/item-grains") && !d.says("offer/different-items", "yes") {
		a.add(Check{Verdict: NotChecked, Rule: "offer/item-grains", On: d.on, Because: "what made an item on " + d.on.String() + " is not known here"})
		return
	}
	if first, ok := d.p.Amount("offer/grains-before-meats", patterns.NoSpan); ok {
		c := Check{Verdict: Met, Rule: first.Rule.ID, Value: first, On: d.on, Needed: first.Number, Unit: first.Unit}
		if offered == nil {
			c.Verdict, c.Note, c.Because = NotChecked, true, "what the line offered is not said, so meats/meat alternates are taken to be items"
		} else if c.There, _ = extreme(offered, false, func(s *served) exact.Number { return s.of(credited, grains) }); c.There.Less(first.Number) {
			meatsCount = false
			c.Verdict, c.Note, c.Short = NotMet, true, first.Number.Sub(c.There)
			c.Because = "grains are not offered first, so meats/meat alternates are no items"
		}
		a.add(c)
	}
	var counted [views]exact.Number
	for v := range views {
		counted[v] = exact.Int(int64(d.itemsOf(taken, v, meatsCount)))
	}
	n, _ := counted[credited].Whole()
	a.Counted = int(n)
	for _, s := range taken {
		a.Names = append(a.Names, s.item.Name)
	}
	c := atLeast(need, need.Number, measured{sum: counted}, nil)
	c.On = d.on
	if c.Verdict == NotMet {
		c.Mend = "Take another item."
		a.Add = []string{c.Short.Fraction() + " more of the items offered"}
	}
	a.add(c)
	if half, ok := d.p.Amount("offer/take-fruits-or-vegetables", patterns.NoSpan); ok {
		got := measure(true, func(v view) (exact.Number, []string) { return d.onTray("fruits", taken, v), nil })
		e := atLeast(half, half.Number, got, nil)
		e.On = d.on
		if e.Verdict == NotMet {
			e.Mend = "Take " + half.Text + " cup of fruit."
			a.Add = []string{e.Short.Fraction() + " cup fruits"}
			if c.Short.Cmp(exact.Int(1)) > 0 {
				a.Add[0] += ", and " + c.Short.Sub(exact.Int(1)).Fraction() + " more of the items offered"
			}
		}
		a.add(e)
	}
	a.offer(d, offered, meatsCount)
}

// offer checks that enough items were offered for any to be declined.
func (a *TrayAnswer) offer(d, offered *day, meatsCount bool) {
	v, ok := d.p.Amount("offer/items", patterns.NoSpan)
	if !ok {
		return
	}
	c := Check{Verdict: Met, Rule: v.Rule.ID, Value: v, On: d.on, Needed: v.Number, Unit: v.Unit}
	if offered == nil {
		c.Verdict, c.Note, c.Because = NotChecked, true, "what the line offered is not said"
		a.add(c)
		return
	}
	least := -1
	if !offered.selections(func(taken []*served) {
		if n := d.itemsOf(taken, credited, meatsCount); least < 0 || n < least {
			least, c.Taken = n, itemNames(taken)
		}
	}) {
		c.Verdict, c.Because = NotChecked, "the day has too many selections to look at each"
		a.add(c)
		return
	}
	c.There = exact.Int(int64(least))
	if c.There.Less(c.Needed) {
		c.Verdict, c.Short = NotMet, c.Needed.Sub(c.There)
		c.Because = "too few items are offered for any to be declined"
		c.Mend = "Offer another item, or serve everything."
	}
	a.add(c)
}

// itemsOf counts items: by the amounts that make one, or, where items must be
// different foods, each food once.
func (d *day) itemsOf(taken []*served, v view, meatsCount bool) int {
	different := d.says("offer/different-items", "yes")
	var seen []string
	n := 0
	for _, s := range taken {
		if different {
			if d.isItem(s, v) && !slices.Contains(seen, s.kind()) {
				seen = append(seen, s.kind())
				n++
			}
			continue
		}
		by := d.amountItems(s, v, meatsCount)
		if s.item.CountAs > 0 {
			by = min(by, s.item.CountAs)
		}
		n += by
	}
	return n
}

// isItem reports whether an item has the amount of a component of the meal.
func (d *day) isItem(s *served, v view) bool {
	one := []*served{s}
	for _, m := range d.minimums() {
		if !d.onTray(m.Component, one, v).Less(inCups(m.Value)) {
			return true
		}
	}
	m, ok := d.p.Amount("least/grains", patterns.Meal)
	return ok && !s.of(v, meats).Less(m.Number) // the additional item may be a meat alternate
}

// amountItems counts an item by its amounts.
func (d *day) amountItems(s *served, v view, meatsCount bool) int {
	whole := func(rule string, has exact.Number, most int) int {
		size, ok := d.p.Amount(rule, patterns.NoSpan)
		if !ok || size.Number.IsZero() {
			return 0
		}
		n, _ := has.Quo(size.Number).DownTo(exact.Int(1)).Whole()
		if most > 0 {
			n = min(n, int64(most))
		}
		return int(n)
	}
	most := 1
	if double, ok := d.p.Amount("offer/double-grain", patterns.NoSpan); ok {
		n, _ := double.Number.Whole()
		most = int(n)
	}
	n := whole("offer/item-grains", s.of(v, grains), most) + whole("offer/item-milk", s.of(v, milk), 1) +
		whole("offer/item-fruits", s.of(v, fruits).Add(s.of(v, vegetables)), 0)
	if meatsCount {
		n += whole("offer/item-meats", s.of(v, meats), 0)
	}
	return n
}
