package menu

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// Tray is what one child took.
type Tray struct {
	Program   string
	Meal      string
	AgeGroup  string
	Age       int
	On        rules.Date
	Options   map[string]string
	Crediting map[string]string
	Offered   *Day // what the line offered; without it the offer is not checked
	Taken     []Taken
}

// Taken is an item on the tray.
type Taken struct {
	Item     Item
	Portions exact.Number // of its planned portion; 0 is one
}

// TrayAnswer says whether a tray is a reimbursable meal.
type TrayAnswer struct {
	Verdict Verdict // Met is reimbursable, NotMet is not
	Counted int     // components or items
	Of      string  // which of the two was counted
	Names   []string
	Checks  []Check
	Add     []string // what makes it reimbursable: any one line of it, or, where nothing may be declined, all
}

// Tray answers whether a tray is reimbursable: under offer versus serve where the
// program has it, else with everything the pattern offers. An error is a
// *fault.List.
func (r *Reviewer) Tray(t Tray) (*TrayAnswer, error) {
	m := Menu{Program: t.Program, Meal: t.Meal, AgeGroup: t.AgeGroup, Age: t.Age, Options: t.Options, Crediting: t.Crediting}
	w := &work{r: r, m: &m, out: &Review{}, byDate: make(map[rules.Date]*patterns.Pattern)}
	w.group()
	if t.On.IsZero() {
		w.fault(fault.Missing, "date", "", "a date of service", "")
	}
	d := day{on: t.On, p: w.pattern(t.On)}
	var taken []*served
	for i := range t.Taken {
		path := fault.Index("taken", i)
		s := w.serve(&d, &t.Taken[i].Item, path+".item")
		if n := t.Taken[i].Portions; n.Sign() < 0 {
			w.fault(fault.OutOfRange, path+".portions", n.String(), "portions, not below 0", "")
		} else if n.Sign() > 0 {
			s.times(n)
		}
		taken = append(taken, s)
	}
	var offered *day
	if t.Offered != nil {
		if t.Offered.On != t.On {
			w.fault(fault.Conflicting, "offered.date", t.Offered.On.String(), "the date of the tray", "")
		}
		o := w.readDay(t.Offered, "offered")
		offered = &o
	}
	if err := w.faults.Err(); err != nil {
		return nil, err
	}
	return w.tray(&d, offered, taken), nil
}

// times changes the portion taken.
func (s *served) times(n exact.Number) {
	for v := range views {
		for p := range parts {
			s.has[v][p] = s.has[v][p].Mul(n)
		}
	}
}

func (w *work) tray(d, offered *day, taken []*served) *TrayAnswer {
	a := &TrayAnswer{Verdict: Met, Checks: d.out}
	v, known := d.p.Amount("offer/allowed", patterns.NoSpan)
	switch {
	case strings.HasPrefix(w.m.AgeGroup, "months-"):
		a.add(Check{Verdict: NotChecked, Rule: "offer/allowed", On: d.on, Because: "meals of infants are not reviewed"})
	case !known:
		a.add(Check{Verdict: NotChecked, Rule: "offer/allowed", On: d.on, Because: "offer versus serve on that day is not known here"})
	case v.Says("not-allowed"):
		a.everything(d, taken)
	case has(d.p, "offer/take-items"):
		a.items(d, offered, taken)
	case has(d.p, "offer/take-components"):
		a.components(d, taken)
	default:
		a.add(Check{Verdict: NotChecked, Rule: "offer/allowed", Value: v, On: d.on, Because: "how many a child takes is not known here"})
	}
	for _, s := range taken {
		if s.unknown && a.Verdict == NotMet {
			a.Verdict = NotChecked
			a.Add = append(a.Add, "or the credits of "+s.item.Name+", which are not given")
		}
	}
	return a
}

func has(p *patterns.Pattern, rule string) bool {
	_, ok := p.Amount(rule, patterns.NoSpan)
	return ok
}

func (a *TrayAnswer) add(c Check) {
	a.Checks = append(a.Checks, c)
	if !c.Note && c.Verdict > a.Verdict {
		a.Verdict = c.Verdict
	}
}

// onTray is what the tray has of a component.
func (d *day) onTray(component string, taken []*served, v view) exact.Number {
	count := d.counts(component)
	switch component {
	case "grains":
		count = func(s *served, v view) exact.Number { return s.of(v, grains) }
	case "milk":
		count = func(s *served, v view) exact.Number { return s.of(v, milk) }
	case "fruits":
		if !d.says("vegetables-for-fruits/allowed", "all-or-part") {
			count = func(s *served, v view) exact.Number { return s.of(v, fruits) }
		}
	}
	var sum exact.Number
	for _, s := range taken {
		if count != nil {
			sum = sum.Add(count(s, v))
		}
	}
	return sum
}

// minimums are the amounts of one meal.
func (d *day) minimums() []patterns.Minimum {
	all := d.p.Minimums(patterns.Day)
	if len(all) == 0 {
		all = d.p.Minimums(patterns.Meal)
	}
	return slices.DeleteFunc(slices.Clone(all), func(m patterns.Minimum) bool { return m.Value.Number.IsZero() })
}

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
	if snack {
		c := Check{Verdict: Met, Rule: choose.Rule.ID, Value: choose, On: d.on, Needed: choose.Number, There: exact.Int(int64(a.Counted)), Unit: "components"}
		if c.There.Less(c.Needed) {
			c.Verdict, c.Short = NotMet, c.Needed.Sub(c.There)
		} else {
			a.Add = nil
		}
		a.add(c)
	}
}

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
