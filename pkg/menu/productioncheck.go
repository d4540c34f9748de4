package menu

import (
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/exact"
)

func (w *record) add(c Check) {
	c.On = w.p.On
	w.out.Checks = append(w.out.Checks, c)
}

// contents looks for what a record holds: what the State's list names, or all of
// it where no list is known. What is not there is not checked, and so not met.
func (w *record) contents() {
	v := w.value("records/contents")
	asks := func(word string) bool { return v == nil || v.Says(word) }
	report := func(item string, missing []string) {
		if len(missing) > 0 {
			w.add(Check{Verdict: NotChecked, Rule: Contents, Value: v, Item: item, Because: "the record does not say: " + strings.Join(missing, "; "), Mend: "Write it into the record, from the papers of that day."})
		}
	}
	var missing []string
	if asks("site") && w.p.Site == "" {
		missing = append(missing, "the site")
	}
	if asks("offer-versus-serve") && w.p.OfferVersusServe == "" {
		missing = append(missing, "whether it was offer versus serve")
	}
	if asks("meals-served") {
		for i := range w.groups {
			if !w.groups[i].meals.Said {
				missing = append(missing, "the reimbursable meals of "+w.groups[i].plan.AgeGroup)
			}
		}
		for _, of := range []string{Adults, Seconds, ALaCarte} {
			if !slices.ContainsFunc(w.p.Meals, func(m MealsServed) bool { return m.For == of }) {
				missing = append(missing, "the meals of "+of+", 0 where there were none")
			}
		}
	}
	report("", missing)
	for i := range w.p.Items {
		it := &w.p.Items[i]
		report(it.Item, w.missing(it, asks))
	}
	var without []string
	for i := range w.groups {
		for _, name := range w.ofDay(&w.groups[i]) {
			if !slices.Contains(without, name) && !slices.ContainsFunc(w.p.Items, func(it Produced) bool { return it.Item == name }) {
				without = append(without, name)
				report(name, []string{"anything of it"})
			}
		}
	}
	w.serving()
}

// ofDay are the names of what a group was to be served, and was served instead.
func (w *record) ofDay(g *group) []string {
	var out []string
	for i := range g.plan.Lines {
		if d := onDay(&g.plan.Lines[i], w.p.On); d != nil {
			for k := range d.Choices {
				for _, name := range w.everIn(g, &d.Choices[k]) {
					if !slices.Contains(out, name) {
						out = append(out, name)
					}
				}
			}
		}
	}
	return out
}

// missing lists what the record does not say of an item.
func (w *record) missing(it *Produced, asks func(string) bool) []string {
	var out []string
	if asks("recipe-or-product") {
		switch {
		case it.Recipe == "" && it.Product == "":
			out = append(out, "its recipe or product")
		case it.Recipe != "" && it.RecipeNumber == "":
			out = append(out, "the number of the recipe")
		case it.Recipe == "" && it.ProductCode == "":
			out = append(out, "the code of the product")
		}
	}
	for i := range w.groups {
		g := &w.groups[i]
		if !it.Extra && slices.Contains(w.ofDay(g), it.Item) && w.portion(it.Item, g.plan.AgeGroup) == nil {
			out = append(out, "what was served of it to "+g.plan.AgeGroup)
		}
	}
	for i := range it.Portions {
		p := &it.Portions[i]
		for _, x := range []struct {
			word, name string
			there      bool
		}{{"portion", "the portion", p.Portion != ""}, {"planned", "servings planned", p.Planned.Said || p.For == Adults || p.For == Seconds || p.For == ALaCarte}, {"prepared", "servings prepared", p.Prepared.Said},
			{"taken", "servings served", p.Served.Said}, {"left-over", "servings left over", p.LeftOver.Said}} {
			if asks(x.word) && !x.there {
				out = append(out, x.name+" for "+p.For)
			}
		}
	}
	if asks("temperatures") && !it.Extra && len(it.Temperatures) == 0 {
		out = append(out, "a temperature")
	}
	return out
}

// serving holds what the record says of offer versus serve to the pattern.
func (w *record) serving() {
	for i := range w.groups {
		g := &w.groups[i]
		v := g.out.Planned.value("offer/allowed", w.p.On)
		if v == nil {
			continue
		}
		c := Check{Verdict: NotMet, Rule: v.Rule.ID, Value: v, Word: w.p.OfferVersusServe}
		switch {
		case v.Says("not-allowed") && w.p.OfferVersusServe == "yes":
			c.Because = "children of " + g.plan.AgeGroup + " must be served everything at this meal"
			c.Mend = "Serve the whole meal to each child."
		case v.Says("required") && w.p.OfferVersusServe == "no":
			c.Because = "children of " + g.plan.AgeGroup + " must be able to decline part of this meal"
			c.Mend = "Let children decline what the rules allow."
		default:
			continue
		}
		w.add(c)
	}
}

// arithmetic adds the record up.
func (w *record) arithmetic() {
	duty := w.value("records/production")
	differ := func(rule, item string, needed, there int, unit, because, mend string) {
		c := Check{Verdict: NotMet, Rule: rule, Value: duty, Item: item, Needed: exact.Int(int64(needed)), There: exact.Int(int64(there)), Unit: unit, Because: because, Mend: mend}
		if c.Short = c.Needed.Sub(c.There); c.Short.Sign() < 0 {
			c.Short = c.There.Sub(c.Needed)
		}
		w.add(c)
	}
	for i := range w.p.Items {
		it := &w.p.Items[i]
		sum, all := 0, true
		for k := range it.Portions {
			p := &it.Portions[k]
			sum += p.Planned.N
			all = all && (p.Planned.Said || p.For == Adults || p.For == Seconds || p.For == ALaCarte)
			if n := p.Served.N + p.LeftOver.N; p.Prepared.Said && p.Served.Said && p.LeftOver.Said && n != p.Prepared.N {
				missing := "were prepared and are neither served nor left over"
				if n > p.Prepared.N {
					missing = "are served or left over beyond what was prepared"
				}
				differ(AddsUp, it.Item, p.Prepared.N, n, "servings",
					p.For+": "+strconv.Itoa(p.Served.N)+" served and "+strconv.Itoa(p.LeftOver.N)+" left over; "+strconv.Itoa(max(n-p.Prepared.N, p.Prepared.N-n))+" "+missing,
					"Count again, or say what became of them: spilled, sold, or served as seconds.")
			}
		}
		if it.Planned.Said && all && sum != it.Planned.N {
			differ(PlannedAll, it.Item, it.Planned.N, sum, "servings", "the groups make up "+strconv.Itoa(sum)+" of "+strconv.Itoa(it.Planned.N)+" planned in all", "Correct the number that is wrong.")
		}
	}
	for i := range w.p.RanOut {
		o := &w.p.RanOut[i]
		meals, all := 0, true
		for k := range w.groups {
			if g := &w.groups[k]; o.AgeGroup == "" || o.AgeGroup == g.plan.AgeGroup {
				meals, all = meals+g.meals.N, all && g.meals.Said
			}
		}
		if all && o.After.N > meals {
			differ(MealsItems, o.Item, meals, o.After.N, "meals", "more meals after it ran out than were served", "Correct the number that is wrong.")
		}
	}
	for i := range w.groups {
		w.fits(&w.groups[i], differ)
	}
}

// fits holds the servings of each choice to the meals of a group: nobody takes more
// than the choice allows, and without offer versus serve nobody takes less.
func (w *record) fits(g *group, differ func(rule, item string, needed, there int, unit, because, mend string)) {
	of := g.plan.AgeGroup
	for i := range w.p.Items {
		p := w.portion(w.p.Items[i].Item, of)
		name := w.p.Items[i].Item
		if p == nil || !p.Planned.Said {
			continue
		}
		planned := 0
		for k := range g.plan.Lines {
			if d := onDay(&g.plan.Lines[k], w.p.On); d != nil {
				for _, c := range d.Choices {
					for _, it := range c.Items {
						if it.Name == name {
							planned += it.Planned
						}
					}
				}
			}
		}
		if planned > 0 && planned != p.Planned.N {
			w.add(Check{Verdict: AtRisk, Note: true, Rule: PlannedAll, Value: w.value("records/production"), Item: name, Needed: exact.Int(int64(planned)), There: exact.Int(int64(p.Planned.N)), Unit: "servings",
				Because: of + ": the menu plans " + strconv.Itoa(planned) + " servings and the record " + strconv.Itoa(p.Planned.N), Mend: "Correct the number that is wrong."})
		}
	}
	if !g.meals.Said {
		return
	}
	var choices []*fit
	times := make(map[string]int)
	for i := range g.plan.Lines {
		d := onDay(&g.plan.Lines[i], w.p.On)
		if d == nil {
			continue
		}
		for k := range d.Choices {
			c := &d.Choices[k]
			label := c.Name
			if label == "" {
				label = "choice " + strconv.Itoa(k+1)
			}
			at := slices.IndexFunc(choices, func(f *fit) bool { return f.name == label })
			if at < 0 {
				at = len(choices)
				choices = append(choices, &fit{name: label, least: c.Take, most: c.Take})
			}
			f := choices[at]
			f.least, f.most = min(f.least, c.Take), max(f.most, c.Take)
			for _, name := range w.everIn(g, c) {
				if !slices.Contains(f.items, name) {
					f.items = append(f.items, name)
					times[name]++
				}
			}
		}
	}
	for _, f := range choices {
		served, known := 0, true
		for _, name := range f.items {
			p := w.portion(name, of)
			switch {
			case times[name] > 1:
				known = false
				w.add(Check{Verdict: NotChecked, Rule: MealsItems, Value: w.value("records/production"), Item: name, Because: of + ": it stands in several choices, so its servings cannot be held to the meals", Mend: "Name it otherwise in each choice."})
			case p == nil || !p.Served.Said:
				known = false // the contents say so
			default:
				served += p.Served.N
			}
		}
		switch least, most := g.meals.N*f.least, g.meals.N*f.most; {
		case !known:
		case served > most:
			differ(MealsItems, f.name, most, served, "servings", of+": "+strconv.Itoa(g.meals.N)+" meals can take "+strconv.Itoa(most)+" servings of this choice",
				"Write what adults, seconds and a la carte took under them, or correct the meals.")
		case served < least && w.p.OfferVersusServe == "no":
			differ(MealsItems, f.name, least, served, "servings", of+": without offer versus serve every child is served the choice, and "+strconv.Itoa(least-served)+" servings are missing",
				"Correct the number that is wrong; a meal without it is not reimbursable.")
		}
	}
}

// fit is a choice held to the meals.
type fit struct {
	name        string
	least, most int // a child takes, over the lines
	items       []string
}

// access says of each item that ran out whether what was left, or stood in for it,
// still held what every child must be offered.
func (w *record) access() {
	for i := range w.p.RanOut {
		o := &w.p.RanOut[i]
		for k := range w.groups {
			g := &w.groups[k]
			if o.AgeGroup != "" && o.AgeGroup != g.plan.AgeGroup || !slices.Contains(w.ofDay(g), o.Item) {
				continue
			}
			c := Check{Verdict: Met, Rule: EveryChild, Value: g.out.Planned.value(EveryChild, w.p.On), Line: o.Line, Item: o.Item, Because: g.plan.AgeGroup + ": what was left still held the least amounts"}
			if o.After.Said && o.After.N == 0 {
				c.Because = g.plan.AgeGroup + ": the last child still had it"
				w.add(c)
				continue
			}
			w.settleAccess(g, &c, func(s *state) bool {
				if slices.Contains(s.outs, i) {
					return true
				}
				swap := w.replacing(g, s.line, o)
				return swap >= 0 && slices.Contains(s.swaps, swap)
			})
			w.add(c)
		}
	}
	for k := range w.groups {
		g := &w.groups[k]
		var names []string
		for i := range g.states {
			for _, name := range g.states[i].silent {
				if !slices.Contains(names, name) {
					names = append(names, name)
				}
			}
		}
		for _, name := range names {
			c := Check{Verdict: Met, Rule: EveryChild, Value: g.out.Planned.value(EveryChild, w.p.On), Item: name}
			w.settleAccess(g, &c, func(s *state) bool { return slices.Contains(s.silent, name) })
			if c.Verdict != Met {
				c.Because = g.plan.AgeGroup + ": nothing was left over, and fewer servings than meals were served of its choice; " + c.Because
				c.Mend = "Write down whether it ran out, and how many meals were served after it: 0 where the last child still had it."
				w.add(c)
			}
		}
	}
}

// settleAccess gives a check of what ran out the worst verdict of the offers after
// it, as far as it is worse than the plan's.
func (w *record) settleAccess(g *group, c *Check, after func(*state) bool) {
	var rules []string
	for i := range g.states {
		s := &g.states[i]
		if !after(s) {
			continue
		}
		for k := range g.out.Served.Checks {
			x := &g.out.Served.Checks[k]
			if x.Line != s.label || x.Note || !w.worse(g, s, x) || w.anyway(g, s, x, after) {
				continue
			}
			if x.Verdict > c.Verdict {
				c.Verdict, rules = x.Verdict, nil
			}
			if title := x.title(); x.Verdict == c.Verdict && !slices.Contains(rules, title) {
				rules = append(rules, title)
			}
		}
	}
	if len(rules) > 0 {
		c.Because = g.plan.AgeGroup + ": children after it were offered too little of: " + strings.Join(rules, ", ")
		if c.Verdict == AtRisk {
			c.Because = g.plan.AgeGroup + ": children may have come after it and been offered too little of: " + strings.Join(rules, ", ")
		}
		c.Mend = "Do not claim a meal that was not offered all of it; prepare more, or keep another item ready that is enough by itself."
	}
}

// worse reports whether a check of an offer is worse than the plan's of its line.
func (w *record) worse(g *group, s *state, x *Check) bool {
	var was *Check
	for i := range g.out.Planned.Checks {
		p := &g.out.Planned.Checks[i]
		if p.Line == g.plan.Lines[s.line].Name && p.Rule == x.Rule && p.On == x.On && p.Item == x.Item && !p.Note {
			was = worst([]*Check{was, p})
		}
	}
	switch kind(was, x) {
	case NewlyNotMet, FurtherNotMet, NewlyAtRisk, NewlyNotChecked:
		return was == nil || x.Verdict > was.Verdict || x.Verdict == NotMet
	}
	return false
}

// anyway reports whether an offer of the line that something had not run out of is
// as bad: then something else is the cause.
func (w *record) anyway(g *group, s *state, x *Check, after func(*state) bool) bool {
	for i := range g.states {
		other := &g.states[i]
		if other.line != s.line || after(other) {
			continue
		}
		for k := range g.out.Served.Checks {
			y := &g.out.Served.Checks[k]
			if y.Line == other.label && y.Rule == x.Rule && y.On == x.On && y.Item == x.Item && !y.Note && y.Verdict >= x.Verdict && !y.Short.Less(x.Short) {
				return true
			}
		}
	}
	return false
}

// title says what a check asks.
func (c *Check) title() string {
	if c.Value != nil && c.Value.Rule.Title != "" {
		return strings.ToLower(c.Value.Rule.Title)
	}
	return c.Rule
}
