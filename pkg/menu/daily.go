package menu

import (
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

func (w *work) add(c Check) { w.out.Checks = append(w.out.Checks, c) }

// measured is what a check counted, in each view.
type measured struct {
	sum   [views]exact.Number
	taken []string
}

// measure counts in each view; where no item differs between them, once.
func measure(differs bool, count func(view) (exact.Number, []string)) measured {
	var m measured
	for v := range views {
		if v > credited && !differs {
			m.sum[v] = m.sum[credited]
			continue
		}
		n, taken := count(v)
		m.sum[v] = n
		if v == credited {
			m.taken = taken
		}
	}
	return m
}

// atLeast answers a minimum. What could not be counted does not fail it, and
// cannot pass it.
func atLeast(v *patterns.Value, need exact.Number, m measured, unknown []string) Check {
	c := Check{Rule: v.Rule.ID, Value: v, Needed: need, There: m.sum[credited], Unit: v.Unit, Taken: m.taken, Verdict: Met}
	switch {
	case c.There.Less(need) && len(unknown) > 0:
		c.Verdict, c.Short = NotChecked, need.Sub(c.There)
		c.Because = "no credits are given for " + strings.Join(unknown, ", ")
		c.Mend = "Give a recipe, a product or credits with their paper."
	case c.There.Less(need):
		c.Verdict, c.Short = NotMet, need.Sub(c.There)
	case m.sum[documented].Less(need):
		c.Verdict, c.Short = AtRisk, need.Sub(m.sum[documented])
		c.Because = "met only with credits that rest on an estimate or wait for their paper"
		c.Mend = "Get the papers, or type the figures with their page."
	case m.sum[slipped].Less(need):
		c.Verdict, c.Short = AtRisk, need.Sub(m.sum[slipped])
		c.Because = "a portion a hundredth smaller would credit a step less and fall short"
		c.Mend = "Plan a slightly larger portion."
	}
	return c
}

// unknown names what stands on the line without credits.
func (d *day) unknown() []string {
	var out []string
	for _, s := range d.all {
		if s.unknown {
			out = append(out, s.item.Name)
		}
	}
	return out
}

// day reviews what a line offers on a day.
func (w *work) day(l *line, d *day) {
	for _, c := range d.out {
		c.Line = l.name
		w.add(c)
	}
	span := patterns.Day
	if len(d.p.Minimums(span)) == 0 {
		span = patterns.Meal
	}
	if strings.HasPrefix(w.m.AgeGroup, "months-") {
		w.infants(l, d, span)
		return
	}
	if _, ok := d.p.Amount("choose/components", patterns.NoSpan); ok {
		w.snack(l, d, span)
	} else {
		for _, min := range d.p.Minimums(span) {
			w.daily(l, d, min)
		}
		w.replaced(l, d, span)
	}
	w.milkKinds(l, d)
	w.mainDish(l, d)
	w.beansOnce(l, d)
	w.juiceOfMeal(l, d, span)
	w.nutsOfDay(l, d)
	w.ofTheDay(l, d)
	w.unchecked(l, d)
}

// daily checks a daily minimum by the child who takes the least of it.
func (w *work) daily(l *line, d *day, min patterns.Minimum) {
	need := inCups(min.Value)
	if need.Sign() == 0 {
		return
	}
	if min.Component == "fruits" && d.says("vegetables-for-fruits/allowed", "whole") {
		return // with the vegetable that may stand for it, in replaced
	}
	var m measured
	switch min.Component {
	case "milk":
		m = measure(d.differs, func(v view) (exact.Number, []string) {
			return d.milkForAll(v)
		})
	case "grains":
		if d.says("meats-for-grains/allowed", "whole") {
			var whole bool
			if m, whole = d.grainsOrWholeMeats(need); !whole {
				w.tooMany(Check{Rule: min.Value.Rule.ID, Value: min.Value, Line: l.name, On: d.on})
				return
			}
		} else {
			m = d.leastGrains()
		}
	case "meats":
		m = measure(d.differs, d.leastMeats)
	default:
		count := d.counts(min.Component)
		if count == nil {
			w.add(Check{Verdict: NotChecked, Rule: min.Value.Rule.ID, Value: min.Value, Line: l.name, On: d.on, Because: "this component is not reviewed yet"})
			return
		}
		m = measure(d.differs, func(v view) (exact.Number, []string) {
			return extreme(d, false, func(s *served) exact.Number { return count(s, v) })
		})
	}
	c := atLeast(min.Value, need, m, d.unknown())
	c.Line, c.On, c.Unit = l.name, d.on, unitOf(min.Value)
	if min.Component == "grains" || min.Component == "grains-or-meats" {
		w.vegetablesForGrains(d, &c)
	}
	if c.Verdict == NotMet {
		if m.taken != nil {
			c.Because = "the child who takes " + strings.Join(m.taken, ", ") + " is offered " + m.sum[credited].Fraction()
		}
		c.Mend = mend(min.Component, c.Short)
	}
	w.add(c)
}

// counts returns what of an item counts toward a component on a day, nil where
// that is not a sum.
func (d *day) counts(component string) func(*served, view) exact.Number {
	sum := func(ps ...part) func(*served, view) exact.Number {
		return func(s *served, v view) exact.Number {
			var n exact.Number
			for _, p := range ps {
				n = n.Add(s.of(v, p))
			}
			return n
		}
	}
	switch component {
	case "fruits":
		if d.says("vegetables-for-fruits/allowed", "all-or-part") {
			return sum(fruits, vegetables)
		}
		return sum(fruits)
	case "vegetables":
		return sum(vegetables)
	case "fruits-or-vegetables":
		return sum(fruits, vegetables)
	case "meats":
		return sum(meats)
	case "grains-or-meats":
		return sum(grains, meats)
	}
	return nil
}

// says reports whether a rule in words says this on the day.
func (d *day) says(rule, word string) bool {
	v, ok := d.p.Amount(rule, patterns.NoSpan)
	return ok && v.Says(word)
}

// inCups returns an amount of milk in cups; anything else stays as it is.
func inCups(v *patterns.Value) exact.Number {
	if v.Unit == "fl oz" {
		return v.Number.Quo(exact.Int(8))
	}
	return v.Number
}

func unitOf(v *patterns.Value) string {
	if v.Unit == "fl oz" {
		return "cup"
	}
	return v.Unit
}

// mainDish checks that meats/meat alternates stand in the main dish and at most
// one other item, in every full selection.
func (w *work) mainDish(l *line, d *day) {
	v, ok := d.p.Amount("meats/places", patterns.NoSpan)
	if !ok {
		return
	}
	others, all, said := 0, 0, false
	for i := range d.choices {
		ch := &d.choices[i]
		with := 0
		for _, s := range ch.items {
			if s.of(credited, meats).Sign() > 0 {
				with++
			}
		}
		most := min(with, ch.take)
		if ch.same && with > 0 {
			most = ch.take
		}
		all += most
		if ch.mainDish {
			said = true
		} else {
			others += most
		}
	}
	c := Check{Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on, Needed: v.Number, There: exact.Int(int64(others)), Unit: "other items", Verdict: Met}
	switch {
	case !said && !v.Number.Less(exact.Int(int64(all-1))):
		c.There = exact.Int(int64(max(all-1, 0)))
		c.Because = "any one of so few could be the main dish"
	case !said:
		c.Verdict, c.Because, c.Mend = NotChecked, "the menu does not say which choice is the main dish", "Say it."
	case v.Number.Less(c.There):
		c.Verdict, c.Short = NotMet, c.There.Sub(v.Number)
		c.Because = "a child can take meats/meat alternates beside the main dish in more items than the rule lets count"
		c.Mend = "Let a child take fewer of them, or count them in the main dish."
	}
	w.add(c)
}

// unchecked says which rules of the pattern the data does not know on the day.
func (w *work) unchecked(l *line, d *day) {
	for _, u := range d.p.Unknown() {
		if u.Span != patterns.NoSpan && u.Span != patterns.Day && u.Span != patterns.Meal {
			continue
		}
		if u.Rule.ID == "nuts/share-of-meats" && !d.anyNuts() && len(d.nutsUnsaid()) == 0 {
			continue // there are none
		}
		because := "what held on " + d.on.String() + " is not known here"
		if !u.Next.IsZero() {
			because += "; it is known from " + u.Next.String()
		}
		w.add(Check{Verdict: NotChecked, Rule: u.Rule.ID, Line: l.name, On: d.on, Because: because})
	}
}

// ofTheDay says what the meal does to the rules that go over all meals and snacks of a
// day, which CareDays checks. They are of the day and not of the meal, so what is open
// of them is pointed out and does not keep the meal from being met.
func (w *work) ofTheDay(l *line, d *day) {
	open := func(v *patterns.Value, because, mend string) {
		w.add(Check{Verdict: NotChecked, Note: true, Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on, Because: because, Mend: mend})
	}
	const ask = "Review all meals and snacks of the day together."
	if v, ok := d.p.Amount("whole-grain-rich/servings-a-day", patterns.NoSpan); ok {
		if n, taken := d.leastWholeGrain(); n.Sign() > 0 {
			w.add(Check{Verdict: Met, Note: true, Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on, Needed: v.Number, There: exact.Int(1), Unit: v.Unit, Taken: taken,
				Because: "every child is offered a whole grain-rich grain at this meal, which does for the day"})
		} else {
			open(v, "the meal is not held to it: it goes over all meals and snacks of the day, and here not every child is offered a whole grain-rich grain, so another one has to", ask)
		}
	}
	if v, ok := d.p.Amount("juice/occasions-a-day", patterns.NoSpan); ok {
		if n, _ := extreme(d, true, juiceOf); n.Sign() > 0 {
			open(v, "the meal is not held to it: this meal has juice, which counts at one meal or snack of the day only", ask)
		} else {
			w.add(Check{Verdict: Met, Note: true, Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on, Needed: v.Number, Unit: v.Unit, Because: "this meal has no juice"})
		}
	}
	if c, ok := yogurtOfDay(d.on, []occasion{{0, w.m.Meal, d}}); ok {
		open(c.Value, "the meal is not held to it: yogurt stands for milk here, which it may at one meal of the day only", ask)
	}
}

// leastWholeGrain is the smallest selection of whole grain-rich grains.
func (d *day) leastWholeGrain() (exact.Number, []string) {
	return extreme(d, false, func(s *served) exact.Number {
		if !s.whole {
			return exact.Number{}
		}
		return s.of(credited, grains)
	})
}

func juiceOf(s *served) exact.Number { return s.juice[fruits].Add(s.juice[vegetables]) }
