package menu

import (
	"maps"
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// What may stand in place of something else: nondairy drinks and yogurt for milk,
// meats/meat alternates for grains in care, vegetables for grains in some places.

// nondairyNutrients are those a drink in place of milk is held to.
var nondairyNutrients = []string{"calcium", "protein", "vitamin-a", "vitamin-d", "magnesium", "phosphorus", "potassium", "riboflavin", "vitamin-b12"}

// nondairy holds a drink in place of milk to the nutrients of milk. One that does not
// reach them is no milk; one for children who asked for it is none that every child
// could take.
func (w *work) nondairy(s *served, d *day, path string) {
	n := s.item.Nondairy
	if n == nil {
		return
	}
	if s.item.Milk != nil {
		w.fault(fault.Conflicting, path+".nondairy", s.item.Name, "fluid milk or a drink in its place", "Leave one of the two out.")
	}
	for _, id := range slices.Sorted(maps.Keys(n.Nutrients)) {
		at := fault.Field(path+".nondairy.nutrients", fault.Clip(id))
		if !slices.Contains(nondairyNutrients, id) {
			w.fault(fault.UnknownValue, at, id, "one of "+strings.Join(nondairyNutrients, ", "), "Leave others out: the rules have no figure for them.")
		} else if x := n.Nutrients[id]; x.Sign() < 0 {
			w.fault(fault.OutOfRange, at, x.String(), "an amount in 8 fl oz, not below 0", "Take it from the label or the maker.")
		}
	}
	if d.p == nil {
		return
	}
	rule, ok := d.p.Amount("milk/nondairy", patterns.NoSpan)
	if !ok {
		d.out = append(d.out, Check{Verdict: NotChecked, Rule: "milk/nondairy", On: d.on, Item: s.item.Name,
			Because: "what held in this program for drinks in place of milk is not known here; its credit is counted, unchecked"})
		return
	}
	var unsaid []string
	counts := true
	for _, id := range nondairyNutrients {
		v, ok := d.p.Amount("nondairy/"+id, patterns.NoSpan)
		if !ok {
			continue
		}
		is, said := n.Nutrients[id]
		if !said {
			unsaid = append(unsaid, id)
			continue
		}
		c := Check{Verdict: Met, Note: true, Rule: v.Rule.ID, Value: v, On: d.on, Item: s.item.Name, Needed: v.Number, There: is, Unit: v.Unit}
		if is.Less(v.Number) {
			counts = false
			c.Verdict, c.Short = NotMet, v.Number.Sub(is)
			c.Because, c.Mend = "a drink with less is no substitute for milk; it is not counted", "Offer one that is fortified to the level of milk."
		}
		d.out = append(d.out, c)
	}
	c := Check{Verdict: Met, Rule: rule.Rule.ID, Value: rule, On: d.on, Item: s.item.Name, Word: rule.Text}
	switch {
	case !counts:
		c.Verdict, c.Note, c.Because = NotMet, true, "it does not have the nutrients of milk"
	case len(unsaid) > 0:
		c.Verdict, c.Because, c.Mend = NotChecked, "not said of 8 fl oz: "+strings.Join(unsaid, ", "), "Get the figures from the maker."
	case rule.Says("on-request") && !n.Requested:
		counts = false
		c.Verdict, c.Because = NotMet, "on this day it could be served to a child on a written request only; it is not counted"
		c.Mend = "Offer fluid milk, and keep the drink for children who asked for it."
	case n.Requested && !w.taken:
		counts = false
		c.Because = "for children who asked for it; what every child could take is counted without it"
	}
	d.out = append(d.out, c)
	if !counts {
		for v := range views {
			s.has[v][milk] = exact.Number{}
		}
	}
}

// yogurtForMilk gives yogurt that stands for the milk of a meal its credit, and takes
// its credit as meat alternate.
func (w *work) yogurtForMilk(s *served, d *day, path string) {
	is := s.item.YogurtForMilk
	if is.Sign() < 0 {
		w.fault(fault.OutOfRange, path+".yogurtForMilk", is.String(), "ounces of yogurt, not below 0", "Write what is served in place of milk, or leave it out.")
	}
	if is.Sign() <= 0 || d.p == nil {
		return
	}
	for v := range views {
		s.has[v][meats], s.has[v][milk] = exact.Number{}, exact.Number{}
	}
	oz, ok := d.p.Amount("yogurt-for-milk/oz", patterns.NoSpan)
	size, known := d.p.Amount("yogurt-for-milk/milk", patterns.NoSpan)
	if !ok || !known {
		d.out = append(d.out, Check{Verdict: NotMet, Note: true, Rule: "yogurt-for-milk/oz", On: d.on, Item: s.item.Name,
			Because: "yogurt does not stand for milk in this program and group; it is not counted", Mend: "Serve milk, and count the yogurt as meat alternate."})
		return
	}
	c := Check{Verdict: Met, Note: true, Rule: oz.Rule.ID, Value: oz, On: d.on, Item: s.item.Name, Needed: oz.Number, There: is, Unit: oz.Unit, Because: "it stands for milk, and is no meat alternate in this meal"}
	if is.Less(oz.Number) {
		c.Verdict, c.Short, c.Because, c.Mend = NotMet, oz.Number.Sub(is), "so little does not stand for milk; it is not counted", "Serve the full amount, or milk."
	} else {
		for v := range views {
			if v != documented || s.item.Paper != "" {
				s.has[v][milk] = inCups(size)
			}
		}
	}
	d.out = append(d.out, c)
}

// yogurtOfDay counts the meals of a day at which yogurt stands for milk; ok is false
// where it does at none.
func yogurtOfDay(on rules.Date, all []occasion) (c Check, ok bool) {
	with := make(map[int]bool)
	for _, o := range all {
		for _, s := range o.d.all {
			if s.item.YogurtForMilk.Sign() > 0 && s.of(credited, milk).Sign() > 0 && !with[o.menu] {
				with[o.menu] = true
				c.Taken = append(c.Taken, o.meal)
			}
		}
	}
	v, known := all[0].d.p.Amount("yogurt-for-milk/times-a-day", patterns.NoSpan)
	if len(with) == 0 || !known {
		return c, false
	}
	c.Verdict, c.Rule, c.Value, c.On, c.Needed, c.Unit, c.There = Met, v.Rule.ID, v, on, v.Number, v.Unit, exact.Int(int64(len(with)))
	if c.Needed.Less(c.There) {
		c.Verdict, c.Short = NotMet, c.There.Sub(c.Needed)
		c.Because, c.Mend = "yogurt may stand for milk at one meal of the day only", "Serve milk at the others."
	}
	return c, true
}

// vegetablesForGrains keeps what is short of grains from failing where vegetables may
// stand for them: how much of them makes an ounce equivalent was not read.
func (w *work) vegetablesForGrains(d *day, c *Check) {
	v, ok := d.p.Amount("vegetables-for-grains/allowed", patterns.NoSpan)
	if !ok || !v.Says("yes") || c.Verdict != NotMet {
		return
	}
	if n, _ := extreme(d, true, func(s *served) exact.Number { return s.of(credited, vegetables) }); n.IsZero() {
		return
	}
	c.Verdict = NotChecked
	c.Because = "vegetables may stand for grains here (" + v.Source.Citation() + "); how much of them makes 1 oz eq is not known here, so what is short may be made up"
	c.Mend = "Ask the State agency what the vegetables of this meal count as."
}

// meatsForGrains counts the breakfasts of a line at which meats/meat alternates stand
// for the grains of some child, where that may be so a few times a week.
func (w *work) meatsForGrains(l *line) {
	v, ok := l.days[0].p.Amount("meats-for-grains/times-a-week", patterns.NoSpan)
	if !ok {
		return
	}
	c := Check{Verdict: Met, Rule: v.Rule.ID, Value: v, Line: l.name, Days: len(l.days), Needed: v.Number, Unit: v.Unit}
	n := 0
	for i := range l.days {
		d := &l.days[i]
		need, ok := d.p.Amount("least/grains", patterns.Meal)
		if !ok || !d.says("meats-for-grains/allowed", "whole") {
			continue
		}
		stand := false
		if !d.selections(func(taken []*served) {
			var grain, meat exact.Number
			for _, s := range taken {
				grain, meat = grain.Add(s.of(credited, grains)), meat.Add(s.of(credited, meats))
			}
			stand = stand || grain.Less(need.Number) && !meat.Less(need.Number)
		}) {
			w.tooMany(c)
			return
		}
		if stand {
			n++
			c.Taken = append(c.Taken, d.on.String())
		}
	}
	c.There = exact.Int(int64(n))
	if c.Needed.Less(c.There) {
		c.Verdict, c.Short = NotMet, c.There.Sub(c.Needed)
		c.Because, c.Mend = "on more days meats/meat alternates stand for grains", "Offer grains on one of those days."
	}
	w.add(c)
}
