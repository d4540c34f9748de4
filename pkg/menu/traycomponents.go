package menu

import (
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// components counts the components that are on the tray in full. One of fruits and
// vegetables counts from the amount every tray must have of them.
func (a *TrayAnswer) components(d *day, taken []*served) {
	need, _ := d.p.Amount("offer/take-components", patterns.NoSpan)
	half, asks := d.p.Amount("offer/take-fruits-or-vegetables", patterns.NoSpan)
	a.Of = "components"
	var counted [views]exact.Number
	var some [views]bool
	var add []string
	for v := range views {
		small := false // the one that counts below its planned amount
		for _, m := range d.minimums() {
			is := d.onTray(m.Component, taken, v)
			full := !is.Less(inCups(m.Value))
			plant := m.Component == "fruits" || m.Component == "vegetables" || m.Component == "fruits-or-vegetables"
			if asks && plant && !is.Less(half.Number) {
				some[v] = true
				if !full && !small {
					small, full = true, true
				}
			}
			switch {
			case full:
				counted[v] = counted[v].Add(exact.Int(1))
				if v == credited {
					a.Counted++
					a.Names = append(a.Names, m.Component)
				}
			case v == credited:
				add = append(add, inCups(m.Value).Sub(is).Fraction()+" "+unitOf(m.Value)+" "+m.Component)
			}
		}
		some[v] = some[v] || !asks
	}
	c := atLeast(need, need.Number, measured{sum: counted}, nil)
	c.On = d.on
	if c.Verdict == NotMet {
		c.Mend = "Take one more component in full."
		a.Add = more(add, c.Short.Sub(exact.Int(1)))
	}
	a.add(c)
	if asks {
		e := Check{Rule: half.Rule.ID, Value: half, On: d.on, Needed: half.Number, Unit: half.Unit, Verdict: Met}
		e.There = exact.Max(d.onTray("fruits", taken, credited), d.onTray("vegetables", taken, credited))
		switch {
		case !some[credited]:
			e.Verdict, e.Short = NotMet, half.Number.Sub(e.There)
			e.Mend = "Take " + half.Text + " cup of fruit or of vegetables."
			a.Add = nil
			for _, of := range []string{"fruits", "vegetables"} {
				a.Add = append(a.Add, half.Number.Sub(d.onTray(of, taken, credited)).Fraction()+" cup "+of)
			}
			a.Add = more(a.Add, c.Short.Sub(exact.Int(1))) // it becomes a component that counts
		case !some[documented]:
			e.Verdict, e.Because = AtRisk, "the credit rests on an estimate or waits for its paper"
		}
		a.add(e)
	}
}

// more says on each line how many further components are needed beside it.
func more(add []string, n exact.Number) []string {
	if n.Sign() <= 0 {
		return add
	}
	out := make([]string, len(add))
	for i, a := range add {
		out[i] = a + ", and " + n.Fraction() + " more of the components in full"
	}
	return out
}

// everything holds a tray to the whole pattern, where there is no offer versus
// serve.
func (a *TrayAnswer) everything(d *day, taken []*served) {
	a.Of = "components"
	choose, snack := d.p.Amount("choose/components", patterns.NoSpan)
	for _, m := range d.minimums() {
		need := inCups(m.Value)
		var got measured
		for v := range views {
			got.sum[v] = d.onTray(m.Component, taken, v)
			if m.Component == "fruits" && got.sum[v].Less(need) && d.says("vegetables-for-fruits/allowed", "whole") {
				_, amounts := kinds(taken, v, vegetables)
				veg, _ := d.p.Amount("least/vegetables", patterns.Meal)
				if veg != nil {
					got.sum[v] = exact.Max(got.sum[v], beside(amounts, veg.Number, need))
				}
			}
			if m.Component == "grains" && got.sum[v].Less(need) && d.says("meats-for-grains/allowed", "whole") && !d.onTray("meats", taken, v).Less(need) {
				got.sum[v] = need
			}
		}
		c := atLeast(m.Value, need, got, nil)
		c.On, c.Unit = d.on, unitOf(m.Value)
		if c.Verdict != NotMet {
			a.Counted++
			a.Names = append(a.Names, m.Component)
		} else {
			c.Mend = "Serve the full amount; nothing may be declined here."
			a.Add = append(a.Add, c.Short.Fraction()+" "+c.Unit+" "+m.Component)
		}
		if !snack {
			a.add(c)
		}
	}
	a.plants(d, taken)
	if snack {
		span := patterns.Day
		if len(d.p.Minimums(span)) == 0 {
			span = patterns.Meal
		}
		n, drinks := d.snackComponents(taken, credited, span)
		c := Check{Verdict: Met, Rule: choose.Rule.ID, Value: choose, On: d.on, Needed: choose.Number, There: exact.Int(int64(n)), Unit: "components"}
		if c.There.Less(c.Needed) {
			c.Verdict, c.Short = NotMet, c.Needed.Sub(c.There)
			if drinks {
				c.Because = d.bothDrinks()
			}
		} else {
			a.Add = nil
		}
		a.add(c)
	}
}

// plants looks at the kinds of fruits and vegetables of a tray, and at how much of them
// is juice, where a meal asks for both.
func (a *TrayAnswer) plants(d *day, taken []*served) {
	need, ok := d.p.Amount("least/fruits-or-vegetables", patterns.Meal)
	if !ok {
		return
	}
	if v, ok := d.p.Amount("fruits-or-vegetables/kinds", patterns.NoSpan); ok {
		names, _ := kinds(taken, credited, fruits, vegetables)
		c := Check{Verdict: Met, Rule: v.Rule.ID, Value: v, On: d.on, Needed: v.Number, There: exact.Int(int64(len(names))), Unit: "kinds"}
		if c.There.Less(c.Needed) {
			c.Verdict, c.Short, c.Mend = NotMet, c.Needed.Sub(c.There), "Serve a fruit or vegetable of another kind; a mixture is one kind."
			a.Add = append(a.Add, "a fruit or vegetable of another kind")
		}
		a.add(c)
	}
	if share, ok := d.p.Amount("juice/share-of-meal", patterns.NoSpan); ok {
		var all, juice exact.Number
		for _, s := range taken {
			all, juice = all.Add(s.of(credited, fruits)).Add(s.of(credited, vegetables)), juice.Add(juiceOf(s))
		}
		most := share.Number.Mul(need.Number)
		c := Check{Verdict: Met, Rule: share.Rule.ID, Value: share, On: d.on, Needed: need.Number, There: exact.Min(all, all.Sub(juice).Add(most)), Unit: need.Unit}
		if c.There.Less(c.Needed) && !all.Less(c.Needed) { // else it is short of all of it, which is said
			c.Verdict, c.Short = NotMet, c.Needed.Sub(c.There)
			c.Because = "no more than " + most.Fraction() + " cup of juice counts"
			c.Mend = "Serve another " + c.Short.Fraction() + " cup of whole fruit or vegetables."
			a.Add = append(a.Add, c.Short.Fraction()+" cup of whole fruit or vegetables")
		} else {
			c.There = all
		}
		a.add(c)
	}
}
