package menu

import (
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules/patterns"
)

// Nuts and seeds could make no more than a share of the meats/meat alternates of a
// meal, to 2024-06-30; their butters all of them.

// nuts takes what the menu says of them. An item whose meats/meat alternates have no
// recipe that shows none, and that says nothing, leaves it open.
func (w *work) nuts(s *served, path string) {
	meat := s.of(credited, meats)
	n := s.item.Nuts
	switch {
	case n == nil:
		s.nutsUnsaid = meat.Sign() > 0 && (s.item.Recipe == nil || s.nutty)
		return
	case n.Sign() < 0:
		w.fault(fault.OutOfRange, path+".nuts", n.String(), "oz eq of nuts and seeds in one portion, not below 0", "Write 0 where there are none.")
		return
	case meat.Less(*n) && !s.unknown:
		w.fault(fault.Conflicting, path+".nuts", n.String(), "no more than the "+meat.String()+" oz eq of meats/meat alternates of the item", "They are part of them.")
	}
	for v := range views {
		s.has[v][nuts] = exact.Min(*n, s.has[v][meats])
	}
}

// shelled reports whether a food is nuts or seeds, or their butter.
func shelled(f *food.Food) bool { return f.Traits.Has(food.Nut) || f.Traits.Has(food.Seed) }

// mostNuts is how much nuts and seeds may make of a day's meats/meat alternates: a
// share of the amount the day asks for. capped is false where all may be.
func (d *day) mostNuts() (v *patterns.Value, most exact.Number, capped bool) {
	v, ok := d.p.Amount("nuts/share-of-meats", patterns.NoSpan)
	if !ok || !v.Number.Less(exact.Int(1)) {
		return v, exact.Number{}, false
	}
	for _, span := range []patterns.Span{patterns.Day, patterns.Meal} {
		if need, ok := d.p.Amount("least/meats", span); ok {
			return v, v.Number.Mul(need.Number), true
		}
	}
	return v, exact.Number{}, false
}

// leastMeats is the smallest selection of meats/meat alternates, nuts counted as far
// as they may.
func (d *day) leastMeats(v view) (exact.Number, []string) {
	least, taken := extreme(d, false, func(s *served) exact.Number { return s.of(v, meats) })
	if _, most, capped := d.mostNuts(); capped && d.anyNuts() {
		// The lesser of all, and the others with all that may count: as with desserts.
		others, _ := extreme(d, false, func(s *served) exact.Number { return s.of(v, meats).Sub(s.of(v, nuts)) })
		if n := others.Add(most); n.Less(least) {
			return n, nil
		}
	}
	return least, taken
}

func (d *day) anyNuts() bool {
	for _, s := range d.all {
		if s.of(credited, nuts).Sign() > 0 {
			return true
		}
	}
	return false
}

// nutsUnsaid names items that may have nuts for all the menu says.
func (d *day) nutsUnsaid() []string {
	var out []string
	for _, s := range d.all {
		if s.nutsUnsaid {
			out = append(out, s.item.Name)
		}
	}
	return out
}

// nutsOfDay says how far nuts and seeds of a day count.
func (w *work) nutsOfDay(l *line, d *day) {
	v, most, capped := d.mostNuts()
	if !capped {
		return
	}
	c := Check{Verdict: Met, Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on, Needed: most, Unit: "oz eq"}
	c.There, _ = extreme(d, true, func(s *served) exact.Number { return s.of(credited, nuts) })
	switch unsaid := d.nutsUnsaid(); {
	case len(unsaid) > 0:
		c.Verdict, c.Because = NotChecked, "how much of their meats/meat alternates is nuts or seeds is not said: "+strings.Join(unsaid, ", ")
		c.Mend = "Say it, 0 where there are none; nut and seed butters count in full."
	case most.Less(c.There):
		c.Verdict, c.Note, c.Short = NotMet, true, c.There.Sub(most)
		c.Because = "what is above " + most.String() + " oz eq, " + v.Text + " of the amount of the meal, is not counted"
		c.Mend = "Offer another meat/meat alternate beside the nuts."
	}
	w.add(c)
}
