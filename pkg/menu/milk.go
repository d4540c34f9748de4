package menu

import (
	"fmt"
	"slices"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules/patterns"
)

var fatLevels = []string{"fat-free", "low-fat", "reduced-fat", "whole", "buttermilk"}

// milk takes the credit from milk of a kind that no child of the group may have.
func (w *work) milk(s *served, d *day, path string) {
	m := s.item.Milk
	if m == nil {
		return
	}
	if !slices.Contains(fatLevels, m.Fat) {
		w.fault(fault.UnknownValue, path+".milk.fat", m.Fat, "fat-free, low-fat, reduced-fat, whole or buttermilk", "Write what stands on the carton so: 1 % is low-fat, 2 % reduced-fat.")
		return
	}
	if d.p == nil {
		return
	}
	ages := w.ages()
	refused := 0
	var why *patterns.Value
	for _, age := range ages {
		answer, v, err := d.p.Milk(m.Fat, m.Flavored, age)
		switch {
		case err != nil:
			d.out = append(d.out, Check{Verdict: NotChecked, Rule: milkRule(m), On: d.on, Item: s.item.Name,
				Because: "which milk credited on " + d.on.String() + " is not known here; it is counted as milk, unchecked"})
		case answer == patterns.Flagged:
			d.out = append(d.out, Check{Verdict: AtRisk, Note: true, Rule: "milk/flag", Value: v, On: d.on, Item: s.item.Name, Word: m.Fat,
				Because: "sources differ on whether this milk credits; it is counted", Mend: "Ask the State agency, or offer another milk."})
		case answer == patterns.Refused:
			refused++
			why = v
		}
	}
	if refused == 0 {
		return
	}
	c := Check{Verdict: NotMet, Rule: milkRule(m), Value: why, On: d.on, Item: s.item.Name, Word: m.Fat,
		Because: fmt.Sprintf("%s does not credit on %s: %s milk that credits is %s", s.item.Name, d.on, milkFlavor(m), why.Text),
		Mend:    "Take it out of the cooler for this group, or offer milk that credits: " + why.Text + "."}
	if refused < len(ages) {
		c.Note, c.Because = true, s.item.Name+" credits for one of the ages of this group only; see that each child gets the milk of its age"
		c.Verdict = AtRisk
	} else {
		s.badMilk = true
		for v := range views {
			s.has[v][milk] = exact.Number{}
		}
	}
	d.out = append(d.out, c)
}

func milkRule(m *Milk) string {
	if m.Flavored {
		return "milk/flavored"
	}
	return "milk/unflavored"
}

func milkFlavor(m *Milk) string {
	if m.Flavored {
		return "flavored"
	}
	return "unflavored"
}

// ages are the spans milk is looked up in.
func (w *work) ages() []patterns.Span {
	switch {
	case w.m.AgeGroup != "ages-1-2":
		return []patterns.Span{patterns.NoSpan}
	case w.m.Age == 1:
		return []patterns.Span{patterns.Age1}
	case w.m.Age == 2:
		return []patterns.Span{patterns.Age2}
	}
	return []patterns.Span{patterns.Age1, patterns.Age2}
}

// milkForAll is the milk every child could take. Milk by itself is taken by whoever wants
// it; of plated meals, some with milk in them, a child takes one, and it may be the one
// with the least.
func (d *day) milkForAll(v view) (sum exact.Number, names []string) {
	for i := range d.choices {
		plain := slices.ContainsFunc(d.choices[i].items, func(s *served) bool { return s.of(v, milk).Sign() > 0 && s.onlyMilk() })
		n, taken := extreme(&day{choices: d.choices[i : i+1]}, plain, func(s *served) exact.Number { return s.of(v, milk) })
		sum, names = sum.Add(n), append(names, taken...)
	}
	return sum, names
}

// milkUnsaid reports whether an item has milk of no kind that is said.
func (s *served) milkUnsaid() bool {
	return s.item.Milk == nil && s.item.Nondairy == nil && s.item.YogurtForMilk.Sign() == 0 && s.of(credited, milk).Sign() > 0
}

// someMilkRefused reports whether any kind of milk does not credit on the day.
func (d *day) someMilkRefused(ages []patterns.Span) bool {
	for _, age := range ages {
		for _, fat := range fatLevels {
			for _, flavored := range []bool{false, true} {
				if answer, _, err := d.p.Milk(fat, flavored, age); err != nil || answer == patterns.Refused {
					return true
				}
			}
		}
	}
	return false
}

const unsaidMilk = "the menu does not say of which kind all of the milk is"

// milkKinds checks that there is a choice of milk, one of it unflavored.
func (w *work) milkKinds(l *line, d *day) {
	kinds := make(map[string]bool)
	unflavored, unsaid := false, false
	least, _ := d.p.Amount("least/milk", patterns.Day)
	tooSmall := make(map[*served]bool) // less than a child is to have
	for i := range d.choices {
		c := &d.choices[i]
		for _, s := range c.items {
			n := s.of(credited, milk)
			tooSmall[s] = least != nil && n.Sign() > 0 && n.Mul(exact.Int(int64(c.take))).Less(inCups(least))
		}
	}
	for _, s := range d.all {
		switch m := s.item.Milk; {
		case s.item.Nondairy != nil || s.item.YogurtForMilk.Sign() > 0: // no kind of milk
		case m == nil:
			unsaid = unsaid || s.milkUnsaid()
		case !s.badMilk && !s.over && !tooSmall[s]:
			flavor := ""
			if m.Flavored {
				flavor = "flavored " + m.Flavor
			}
			kinds[m.Fat+" "+flavor] = true
			unflavored = unflavored || !m.Flavored
		}
	}
	if has(d.p, "choose/components") && len(kinds) == 0 && !unsaid && !slices.ContainsFunc(d.all, func(s *served) bool { return s.item.Milk != nil }) {
		return // a snack may be without milk
	}
	asked := has(d.p, "milk/kinds") || slices.ContainsFunc(d.p.Unknown(), func(u patterns.Missing) bool { return u.Rule.ID == "milk/kinds" })
	if !asked && unsaid && d.someMilkRefused(w.ages()) {
		w.add(Check{Verdict: NotChecked, Rule: MilkKind, Line: l.name, On: d.on, Because: unsaidMilk, Mend: "Say the fat level and flavor of each milk."})
	}
	if v, ok := d.p.Amount("milk/kinds", patterns.NoSpan); ok {
		c := Check{Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on, Unit: "kinds", Needed: v.Number, There: exact.Int(int64(len(kinds))), Verdict: Met}
		if c.There.Less(c.Needed) {
			c.Verdict, c.Short = NotMet, c.Needed.Sub(c.There)
			c.Mend = "Put a second milk that credits into the cooler, of another fat level or flavor."
			if unsaid {
				c.Verdict, c.Because, c.Mend = NotChecked, unsaidMilk, "Say the fat level and flavor of each milk."
			}
		}
		w.add(c)
	}
	if v, ok := d.p.Amount("milk/unflavored-at-each-service", patterns.NoSpan); ok && v.Text == "yes" {
		c := Check{Rule: v.Rule.ID, Value: v, Line: l.name, On: d.on, Word: "yes", Verdict: Met}
		if !unflavored {
			c.Verdict, c.Word, c.Mend = NotMet, "no", "Offer an unflavored milk that credits."
			if unsaid {
				c.Verdict, c.Because = NotChecked, unsaidMilk
			}
		}
		w.add(c)
	}
}
