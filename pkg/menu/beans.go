package menu

import (
	"strings"

	"example.com/ozeq/pkg/rules/patterns"
)

// beansOnce looks for beans, peas and lentils that count as vegetable and as meat
// alternate where the rules let them count once: in a dish, or in a meal. That an
// item has both may still be right, when it is made of several dishes.
func (w *work) beansOnce(l *line, d *day) {
	v, ok := d.p.Amount("beans/not-both-in", patterns.NoSpan)
	if !ok {
		return
	}
	c := Check{Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on, Word: v.Text, Verdict: Met}
	var asMeats, asVegetables, both []string
	for _, s := range d.all {
		meat, vegetable := s.of(credited, beansAsMeats).Sign() > 0, s.of(credited, beans).Sign() > 0
		if meat {
			asMeats = append(asMeats, s.item.Name)
		}
		if vegetable {
			asVegetables = append(asVegetables, s.item.Name)
		}
		if meat && vegetable {
			both = append(both, s.item.Name)
		}
	}
	if v.Says("meal") && len(asMeats) > 0 && len(asVegetables) > 0 {
		both = append(asMeats, asVegetables...)
	}
	if len(both) > 0 {
		c.Verdict, c.Taken = NotChecked, both
		c.Because = "beans, peas or lentils count as vegetable and as meat alternate in " + strings.Join(both, ", ") + ", where they may count in one of the two only within a " + v.Text
		c.Mend = "Count those of one dish as the one or the other."
	}
	w.add(c)
}
