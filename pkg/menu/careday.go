package menu

import (
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// CareDays checks what child and adult care, and preschool, count over all meals
// and snacks of a day: the whole grain-rich serving and the one occasion with
// juice. Give the menus of every meal of the group; [Reviewer.Review] reviews each
// by itself. An error is a *fault.List, or that of [Reviewer.Until].
func (r *Reviewer) CareDays(menus ...Menu) (*Review, error) {
	var faults fault.List
	out := &Review{}
	byDate := make(map[rules.Date][]occasion)
	var dates []rules.Date
	meals := make(map[string]bool)
	if len(menus) == 0 {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "menus", Want: "the menus of the meals and snacks of the day", Fix: "Give every meal and snack of the group."})
	}
	for i := range menus {
		m := menus[i]
		w := &work{r: r, m: &m, out: out}
		w.read()
		if w.err != nil {
			return nil, w.err
		}
		path := fault.Index("menus", i)
		for _, f := range w.faults.Faults {
			f.Path = fault.Field(path, f.Path)
			faults.Add(f)
		}
		switch {
		case m.Program != menus[0].Program || m.AgeGroup != menus[0].AgeGroup:
			faults.Add(fault.Fault{Reason: fault.Conflicting, Path: path, Value: m.Program + "/" + m.AgeGroup, Want: "menus of one program and group", Fix: "Ask of each group by itself."})
		case meals[m.Meal] && m.Meal != "snack":
			faults.Add(fault.Fault{Reason: fault.Conflicting, Path: path + ".meal", Value: m.Meal, Want: "each meal once; snacks may repeat", Fix: "Write two days of one meal into one menu, and give each meal once."})
		}
		meals[m.Meal] = true
		for j := range w.lines {
			for k := range w.lines[j].days {
				d := &w.lines[j].days[k]
				if byDate[d.on] == nil {
					dates = append(dates, d.on)
				}
				byDate[d.on] = append(byDate[d.on], occasion{i, m.Meal, d})
			}
		}
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	for _, on := range dates {
		out.Checks = append(out.Checks, wholeGrainOfDay(on, byDate[on]), juiceOfDay(on, byDate[on]))
		if c, ok := yogurtOfDay(on, byDate[on]); ok {
			out.Checks = append(out.Checks, c)
		}
	}
	return out, nil
}

// occasion is a line of a meal of the day.
type occasion struct {
	menu int
	meal string
	d    *day
}

// careValue is what a rule says on a day, and the check of it, not checked where
// nothing is known.
func careValue(rule string, on rules.Date, all []occasion) (Check, bool) {
	v, ok := all[0].d.p.Amount(rule, patterns.NoSpan)
	c := Check{Rule: rule, Value: v, On: on, Verdict: Met}
	if !ok {
		c.Verdict, c.Because = NotChecked, "no such rule is known for this group on "+on.String()
		return c, false
	}
	c.Needed, c.Unit = v.Number, v.Unit
	for _, o := range all {
		if unknown := o.d.unknown(); len(unknown) > 0 {
			c.Verdict, c.Because = NotChecked, "no credits are given for "+strings.Join(unknown, ", ")
			return c, false
		}
	}
	return c, true
}

// wholeGrainOfDay asks for a meal or snack at which every child is offered a whole
// grain-rich serving, on days with grain.
func wholeGrainOfDay(on rules.Date, all []occasion) Check {
	c, ok := careValue("whole-grain-rich/servings-a-day", on, all)
	if !ok {
		return c
	}
	grain := false
	every := make(map[int]bool) // menus at which each line has it
	for _, o := range all {
		some, _ := extreme(o.d, true, func(s *served) exact.Number { return s.of(credited, grains) })
		grain = grain || some.Sign() > 0
		least, _ := o.d.leastWholeGrain()
		if was, seen := every[o.menu]; !seen || was {
			every[o.menu] = least.Sign() > 0
		}
	}
	if !grain && all[0].d.says("whole-grain-rich/if-grain-served", "yes") {
		c.Because = "no grain is served on this day, and the rule holds for days with grain"
		return c
	}
	n := int64(0)
	for _, has := range every {
		if has {
			n++
		}
	}
	c.There = exact.Int(n)
	if c.There.Less(c.Needed) {
		c.Verdict, c.Short = NotMet, c.Needed.Sub(c.There)
		c.Because = "at no meal or snack is every child offered a whole grain-rich grain"
		if all[0].d.says("whole-grain-rich/when-missing", "cheapest-with-grain") {
			c.Because += "; of the meals and snacks of the day with grain, the one reimbursed least may not be claimed"
		}
		c.Mend = "Make the grain of one meal or snack whole grain-rich."
	}
	return c
}

// juiceOfDay counts the meals and snacks at which a child can take juice.
func juiceOfDay(on rules.Date, all []occasion) Check {
	c, ok := careValue("juice/occasions-a-day", on, all)
	if !ok {
		return c
	}
	with := make(map[int]bool)
	for _, o := range all {
		n, _ := extreme(o.d, true, juiceOf)
		if n.Sign() > 0 {
			with[o.menu] = true
			c.Taken = append(c.Taken, o.meal)
		}
	}
	c.There = exact.Int(int64(len(with)))
	if c.Needed.Less(c.There) {
		c.Verdict, c.Short = NotMet, c.There.Sub(c.Needed)
		c.Because = "juice counts at one meal or snack of the day only"
		c.Mend = "Serve a whole fruit or vegetable in its place at the others."
	}
	return c
}
