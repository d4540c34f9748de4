package menu

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
)

// serve reviews the meal of a group as it was served.
func (w *record) serve(g *group) error {
	out := &g.out
	out.Menu, out.Served = *g.plan, out.Planned
	changed := false
	for i := range g.plan.Lines {
		states := w.states(g, i)
		g.states = append(g.states, states...)
		if len(states) > 1 || len(states) == 1 && (len(states[0].swaps) > 0 || signature(&states[0].day) != signature(onDay(&g.plan.Lines[i], w.p.On))) {
			changed = true
		}
	}
	if !changed || w.faults.Err() != nil {
		return nil
	}
	base := make(map[string]string)
	from := make(map[string]int)
	possible := make(map[string]bool)
	out.Menu.Lines = nil
	for i := range g.plan.Lines {
		l := &g.plan.Lines[i]
		if onDay(l, w.p.On) == nil {
			base[l.Name] = l.Name
			out.Menu.Lines = append(out.Menu.Lines, *l)
			continue
		}
		for k := range g.states {
			s := &g.states[k]
			if s.line != i {
				continue
			}
			day := slices.IndexFunc(l.Days, func(d Day) bool { return d.On == w.p.On })
			served := Line{Name: offer(l.Name, s.label, base), Days: slices.Clone(l.Days)}
			served.Days[day] = s.day
			s.label = served.Name // from here on what its checks are named
			base[served.Name] = l.Name
			possible[served.Name] = s.possible
			for at, swap := range s.from {
				if n := slices.IndexFunc(s.day.Choices[at.choice].Items, func(it Item) bool { return it.Name == at.name }); n >= 0 {
					from[fault.Index(fault.Index(fault.Index(fault.Index("lines", len(out.Menu.Lines))+".days", day)+".choices", at.choice)+".items", n)] = swap
				}
			}
			out.Menu.Lines = append(out.Menu.Lines, served)
		}
	}
	review, err := w.r.Review(out.Menu)
	if err != nil {
		return w.unserved(g, err, from)
	}
	w.settle(g, review, base, possible)
	averages, err := w.averages(g)
	if err != nil {
		return err
	}
	review.Checks = append(review.Checks, averages...)
	out.Served = review
	out.Differences = differences(out.Planned, review, func(l string) string { return base[l] }, 0)
	for i := range out.Differences {
		d := &out.Differences[i]
		m := &out.Menu
		if g.average != nil && strings.HasPrefix(d.Check().Rule, "nutrient/") {
			m = g.average
		}
		d.Items = items(m, d.Check())
	}
	return nil
}

func signature(d *Day) string {
	var out string
	for i := range d.Choices {
		for _, it := range d.Choices[i].Items {
			out += strconv.Quote(it.Name)
		}
		out += "|"
	}
	return out
}

// offer names an offer of a line, as no other.
func offer(line, label string, taken map[string]string) string {
	out := line
	if label != "" {
		out += ", " + label
		if line == "" {
			out = label
		}
	}
	plain := out
	for n := 2; ; n++ {
		if _, is := taken[out]; !is {
			return out
		}
		out = plain + " (" + strconv.Itoa(n) + ")"
	}
}

// unserved takes the faults of a day as served to where their cause stands: an item
// of a substitution, or else the plan.
func (w *record) unserved(g *group, err error, from map[string]int) error {
	var list *fault.List
	if !errors.As(err, &list) {
		return err
	}
	for _, f := range list.Faults {
		path := fault.Index("plans", g.at)
		for prefix, swap := range from {
			if rest, ok := strings.CutPrefix(f.Path, prefix); ok && (rest == "" || rest[0] == '.') {
				path = fault.Index("substitutions", swap) + ".served" + rest
			}
		}
		f.Path = path
		if !slices.Contains(w.faults.Faults, f) {
			w.faults.Add(f)
		}
	}
	w.faults.Omitted += list.Omitted
	return nil
}

// settle makes of a review of all offers what the record can carry: an offer that
// perhaps no child met cannot fail the meal, and cannot pass it; averages are of the
// whole service, and a child cannot change between offers.
func (w *record) settle(g *group, r *Review, base map[string]string, possible map[string]bool) {
	r.Checks = slices.DeleteFunc(r.Checks, func(c Check) bool {
		return strings.HasPrefix(c.Rule, "nutrient/") || c.Because == changesLines && len(base) > len(g.plan.Lines)
	})
	for i := range r.Checks {
		c := &r.Checks[i]
		if possible[c.Line] && c.Verdict == NotMet && !c.Note && !w.failed(g, c, base) {
			c.Verdict = AtRisk
			if c.Because != "" {
				c.Because += "; "
			}
			c.Because += "the record does not say whether children came after it"
			c.Mend = "Write down how many meals were served after it, 0 where the last child still had it."
		}
	}
}

// failed reports whether the plan fails a check too.
func (w *record) failed(g *group, c *Check, base map[string]string) bool {
	return slices.ContainsFunc(g.out.Planned.Checks, func(p Check) bool {
		return p.Line == base[c.Line] && p.Rule == c.Rule && p.On == c.On && p.Item == c.Item && p.Verdict == NotMet && !p.Note
	})
}

// averages checks the limits on nutrients by the servings served, over the whole
// service. Where the plan has no such check there is none.
func (w *record) averages(g *group) ([]Check, error) {
	var planned []Check
	for _, c := range g.out.Planned.Checks {
		if strings.HasPrefix(c.Rule, "nutrient/") {
			planned = append(planned, c)
		}
	}
	if len(planned) == 0 {
		return nil, nil
	}
	open := func(because string) ([]Check, error) {
		for i := range planned {
			c := &planned[i]
			c.Verdict, c.Because = NotChecked, because
			c.There, c.Short = exact.Number{}, exact.Number{}
			c.Mend = "Write down the servings served of every item, and the meals."
		}
		return planned, nil
	}
	lines := 0
	m := *g.plan
	m.Lines = slices.Clone(m.Lines)
	for i := range m.Lines {
		l := &m.Lines[i]
		k := slices.IndexFunc(l.Days, func(d Day) bool { return d.On == w.p.On })
		if k < 0 {
			continue
		}
		lines++
		l.Days = slices.Clone(l.Days)
		d := cloned(&l.Days[k])
		if !g.meals.Said {
			return open("the record does not say how many meals were served")
		}
		d.Meals = g.meals.N
		for n := range d.Choices {
			if !w.servedOf(g, i, &d.Choices[n]) {
				return open("the record does not say how many servings of each item were served")
			}
		}
		l.Days[k] = d
	}
	if lines > 1 {
		return open("the record does not say how many servings were served on each line")
	}
	review, err := w.r.Review(m)
	var list *fault.List
	switch {
	case errors.As(err, &list):
		return open("the servings served do not fit the meals served")
	case err != nil:
		return nil, err
	}
	g.average = &m
	return slices.DeleteFunc(review.Checks, func(c Check) bool { return !strings.HasPrefix(c.Rule, "nutrient/") }), nil
}

// servedOf puts what was served into a choice, what stood in for an item beside it.
func (w *record) servedOf(g *group, line int, c *Choice) bool {
	for i := range w.p.Substitutions {
		s := &w.p.Substitutions[i]
		has := func(name string) bool {
			return slices.ContainsFunc(c.Items, func(it Item) bool { return it.Name == name })
		}
		if (s.Line == "" || s.Line == g.plan.Lines[line].Name) && (s.AgeGroup == "" || s.AgeGroup == g.plan.AgeGroup) && has(s.Planned) && !has(s.Served.Name) {
			c.Items = append(c.Items, s.Served)
		}
	}
	for i := range c.Items {
		p := w.portion(c.Items[i].Name, g.plan.AgeGroup)
		if p == nil || !p.Served.Said {
			return false
		}
		c.Items[i].Planned = p.Served.N
	}
	// What nobody took is no part of the average, and an item without servings would
	// leave it open.
	c.Items = slices.DeleteFunc(c.Items, func(it Item) bool { return it.Planned == 0 })
	c.clamp()
	return len(c.Items) > 0
}
