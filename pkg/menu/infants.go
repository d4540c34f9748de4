package menu

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules/patterns"
)

// Meals of infants: milk is an amount, the rest is required once each infant is
// ready for it, which no menu says.

const (
	breastMilk  = "breast-milk"
	formula     = "formula"
	infantPlant = "infant-fruits-or-vegetables"
)

var infantFoods = []string{breastMilk, formula, "infant-cereal", "infant-meats", "cheese", "cottage-cheese", "yogurt", "bread", "crackers", "ready-to-eat-cereal", infantPlant}

func (w *work) infant(it *Item, path string) {
	for i, f := range it.Infant {
		at := fault.Index(path+".infant", i)
		if !strings.HasPrefix(w.m.AgeGroup, "months-") {
			w.fault(fault.Conflicting, at, f.Food, "foods of the infant pattern in a group of infants only", "Give credits for other groups.")
			return
		}
		if !slices.Contains(infantFoods, f.Food) {
			w.fault(fault.UnknownValue, at+".food", f.Food, "one of "+strings.Join(infantFoods, ", "), "Write one of them; other foods do not count for infants.")
		}
		if f.Amount.Sign() < 0 {
			w.fault(fault.OutOfRange, at+".amount", f.Amount.String(), "an amount, not below 0", "Write what is offered to one infant.")
		}
	}
}

// infantAmount is what an item has of some foods of the pattern; juice is none, nor is
// yogurt or cereal over its sugar limit.
func (s *served) infantAmount(foods ...string) exact.Number {
	var n exact.Number
	for _, f := range s.item.Infant {
		tooSweet := s.over && (f.Food == "yogurt" || f.Food == "ready-to-eat-cereal")
		if !s.item.Juice && !tooSweet && slices.Contains(foods, f.Food) {
			n = n.Add(f.Amount)
		}
	}
	return n
}

// infants reviews a meal of infants.
func (w *work) infants(l *line, d *day, span patterns.Span) {
	if v, ok := d.p.Amount("least/breast-milk-or-formula", span); ok {
		w.infantMilk(l, d, v)
	}
	var foods []string
	if v, ok := d.p.Amount("infant/one-of", patterns.NoSpan); ok {
		foods = v.Words()
		if d.says("infant/yogurt-credits", "no") {
			foods = slices.DeleteFunc(slices.Clone(foods), func(f string) bool { return f == "yogurt" })
		}
		w.whenReady(l, d, v, foods...)
	}
	if v, ok := d.p.Amount("least/"+infantPlant, span); ok {
		w.whenReady(l, d, v, infantPlant)
	}
	for _, s := range d.all {
		if v, ok := d.p.Amount("infant/yogurt-credits", patterns.NoSpan); ok && s.infantAmount("yogurt").Sign() > 0 {
			c := Check{Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on, Item: s.item.Name, Word: v.Text, Verdict: Met}
			if v.Text == "no" {
				c.Verdict, c.Note, c.Because = NotMet, true, "yogurt is no food of the infant pattern on this day"
			}
			w.add(c)
		}
		if s.item.Juice {
			w.add(Check{Verdict: NotMet, Rule: "juice/occasions-a-day", Line: l.name, On: d.on, Item: s.item.Name,
				Because: "juice is no food of the infant pattern", Mend: "Offer the fruit or vegetable itself, in a texture that is safe for the infant."})
		}
	}
	w.unchecked(l, d)
}

// infantMilk checks breast milk and formula, which add up where the pattern says so.
func (w *work) infantMilk(l *line, d *day, v *patterns.Value) {
	both := d.says("infant/milks-added", "yes")
	m := measure(false, func(view) (exact.Number, []string) {
		if both {
			return extreme(d, false, func(s *served) exact.Number { return s.infantAmount(breastMilk, formula) })
		}
		breast, _ := extreme(d, false, func(s *served) exact.Number { return s.infantAmount(breastMilk) })
		bottle, _ := extreme(d, false, func(s *served) exact.Number { return s.infantAmount(formula) })
		return exact.Max(breast, bottle), nil
	})
	c := atLeast(v, v.Number, m, d.unsaidFoods())
	c.Line, c.On = l.name, d.on
	noFormula := !slices.ContainsFunc(d.all, func(s *served) bool { return s.infantAmount(formula).Sign() > 0 })
	if c.Verdict == NotMet {
		c.Mend = "Offer " + c.Short.Fraction() + " fl oz more breast milk or iron-fortified formula."
		if noFormula && c.There.Sign() > 0 && d.says("infant/breastfed-less", "yes") {
			c.Verdict, c.Because = AtRisk, "a breastfed infant that regularly takes less may be offered less at first, and more when it is still hungry"
		}
	}
	w.add(c)
}

// whenReady checks that every infant is offered some of what is required once it
// is ready. A menu without it may be right for infants that are not.
func (w *work) whenReady(l *line, d *day, v *patterns.Value, foods ...string) {
	n, taken := extreme(d, false, func(s *served) exact.Number { return s.infantAmount(foods...) })
	c := Check{Verdict: Met, Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on, Taken: taken, There: n, Because: "some is offered to every infant; how much is for what each is ready for"}
	if n.IsZero() {
		c.Verdict, c.Because = NotChecked, "none is offered to every infant; it is required once an infant is ready for it, which a menu does not say"
		c.Mend = "Write down which infants are not ready, or offer " + strings.Join(foods, ", ") + "."
	}
	w.add(c)
}

// unsaidFoods names items that say nothing of the infant pattern.
func (d *day) unsaidFoods() []string {
	var out []string
	for _, s := range d.all {
		if len(s.item.Infant) == 0 {
			out = append(out, s.item.Name)
		}
	}
	return out
}
