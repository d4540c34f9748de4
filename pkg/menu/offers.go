package menu

import (
	"slices"
	"strconv"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
)

// state is what children found on a line for a part of the service. Each must hold
// by itself, as each serving line must: nobody could take what was gone, and who came
// early could not take what came later.
type state struct {
	line     int    // of the plan
	label    string // what had happened; empty for the start of service
	day      Day
	possible bool         // nobody noted whether a child found it so
	outs     []int        // items that had run out, by their place in the record
	swaps    []int        // substitutions, likewise
	silent   []string     // items nothing was left of, which nobody noted
	from     map[spot]int // items served in place of others: their substitution
}

// spot is an item of a choice; names of one choice differ.
type spot struct {
	choice int
	name   string
}

// MostOffers bounds what a line can have offered in one service.
const MostOffers = 200

// event changes what a line offers.
type event struct {
	at       string // empty: at no noted time
	swap     int    // of a substitution, or -1
	out      int    // of an item that ran out, or -1
	possible bool
	label    string
}

// states works out what children found on a line of a group. Events with a time come
// in its order; the others may have come before or after anything.
func (w *record) states(g *group, line int) []state {
	planned := onDay(&g.plan.Lines[line], w.p.On)
	if planned == nil {
		return nil
	}
	start := state{line: line, day: cloned(planned)}
	var timed, untimed []event
	applies := func(l, of string) bool {
		return (l == "" || l == g.plan.Lines[line].Name) && (of == "" || of == g.plan.AgeGroup)
	}
	for i := range w.p.Substitutions {
		s := &w.p.Substitutions[i]
		if !applies(s.Line, s.AgeGroup) || !start.offers(s.Planned) {
			continue
		}
		e := event{at: s.From, swap: i, out: -1, label: s.Served.Name + " for " + s.Planned}
		switch {
		case s.whole():
			start.apply(w.p, e)
		case s.From != "":
			e.label += " from " + s.From
			timed = append(timed, e)
		default:
			untimed = append(untimed, e)
		}
	}
	for i := range w.p.RanOut {
		o := &w.p.RanOut[i]
		if !applies(o.Line, o.AgeGroup) || o.After.Said && o.After.N == 0 || w.replaced(g, line, o) {
			continue
		}
		e := event{at: o.At, swap: -1, out: i, possible: !o.After.Said || o.At == "" && w.cameLater(g, line, o), label: "after " + o.Item + " ran out"}
		if o.At != "" {
			e.label += " at " + o.At
			timed = append(timed, e)
		} else {
			untimed = append(untimed, e)
		}
	}
	slices.SortStableFunc(timed, func(a, b event) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		case a.swap >= 0 && b.swap < 0:
			return -1 // what came in before what was gone, else as written
		case a.swap < 0 && b.swap >= 0:
			return 1
		}
		return 0
	})
	var out []state
	now := start
	for i := 0; ; i++ {
		for set := range 1 << len(untimed) {
			s := now.copied()
			for k, e := range untimed {
				if set&(1<<k) != 0 {
					s.apply(w.p, e)
				}
			}
			for _, name := range names(planned) {
				if w.neverPrepared(g, name) {
					s.remove(name, "was not prepared")
				}
			}
			out = append(out, s)
			out = append(out, w.silent(g, planned, s)...)
		}
		if i == len(timed) {
			break
		}
		now.apply(w.p, timed[i])
		for i+1 < len(timed) && timed[i+1].at == timed[i].at {
			i++
			now.apply(w.p, timed[i])
		}
		if len(out) > MostOffers {
			w.fault(fault.TooMany, fault.Index("plans", g.at), strconv.Itoa(len(out)), "at most "+strconv.Itoa(MostOffers)+" changes of what a line offers", "Join substitutions at nearly the same time.")
			return nil
		}
	}
	return once(out)
}

// names are those of the items of a day.
func names(d *Day) []string {
	var out []string
	for _, c := range d.Choices {
		for _, it := range c.Items {
			if !slices.Contains(out, it.Name) {
				out = append(out, it.Name)
			}
		}
	}
	return out
}

func cloned(d *Day) Day {
	out := *d
	out.Choices = slices.Clone(d.Choices)
	for i := range out.Choices {
		out.Choices[i].Items = slices.Clone(out.Choices[i].Items)
	}
	return out
}

func (s *state) copied() state {
	out := *s
	out.day = cloned(&s.day)
	out.outs, out.swaps, out.silent = slices.Clone(s.outs), slices.Clone(s.swaps), slices.Clone(s.silent)
	out.from = make(map[spot]int, len(s.from))
	for k, v := range s.from {
		out.from[k] = v
	}
	return out
}

func (s *state) offers(name string) bool { return slices.Contains(names(&s.day), name) }

// apply changes the offer by an event.
func (s *state) apply(p *Production, e event) {
	s.day.Meals = 0
	if e.swap >= 0 {
		s.swaps = append(s.swaps, e.swap)
		s.replace(e.swap, &p.Substitutions[e.swap])
		if p.Substitutions[e.swap].whole() {
			return // it was so from the start
		}
	} else {
		s.outs = append(s.outs, e.out)
		s.remove(p.RanOut[e.out].Item, "ran out")
		s.possible = s.possible || e.possible
	}
	if s.label != "" {
		s.label += "; "
	}
	s.label += e.label
}

// replace puts an item into the place of another in each choice that has it.
func (s *state) replace(swap int, x *Substitution) {
	for i := range s.day.Choices {
		c := &s.day.Choices[i]
		at := slices.IndexFunc(c.Items, func(it Item) bool { return it.Name == x.Planned })
		if at < 0 {
			continue
		}
		if slices.ContainsFunc(c.Items, func(it Item) bool { return it.Name == x.Served.Name }) {
			c.Items = slices.Delete(c.Items, at, at+1)
			c.clamp()
			continue
		}
		served := x.Served
		served.Planned = c.Items[at].Planned
		c.Items[at] = served
		if s.from == nil {
			s.from = make(map[spot]int)
		}
		s.from[spot{i, served.Name}] = swap
	}
}

// remove takes an item off every choice. A choice nothing is left of stays, with
// nothing in it.
func (s *state) remove(name, why string) {
	s.day.Meals = 0
	for i := range s.day.Choices {
		c := &s.day.Choices[i]
		at := slices.IndexFunc(c.Items, func(it Item) bool { return it.Name == name })
		if at < 0 {
			continue
		}
		c.Items = slices.Delete(c.Items, at, at+1)
		if len(c.Items) == 0 {
			c.Items = []Item{{Name: "nothing (" + name + " " + why + ")", Paper: "production record", Credits: []credit.Claim{{Component: food.Grains}}}}
		}
		c.clamp()
	}
}

// clamp lets a child take no more different items than there are. What is planned of
// them may then be more than all children can take, as it is for the whole service;
// so an offer says nothing of how many meals it is for.
func (c *Choice) clamp() {
	if c.Same != Allowed {
		c.Take = min(c.Take, len(c.Items))
	}
}

// neverPrepared reports whether the record says that none of an item was made for a
// group.
func (w *record) neverPrepared(g *group, name string) bool {
	p := w.portion(name, g.plan.AgeGroup)
	return p != nil && p.Prepared.Said && p.Prepared.N == 0 && p.Served.N == 0
}

// portion returns what the record says of an item for somebody, or nil.
func (w *record) portion(name, of string) *ProducedPortion {
	for i := range w.p.Items {
		if w.p.Items[i].Item != name {
			continue
		}
		for k := range w.p.Items[i].Portions {
			if p := &w.p.Items[i].Portions[k]; p.For == of {
				return p
			}
		}
	}
	return nil
}

// replaced reports whether something stood in for an item from the moment it ran
// out on, for everybody who came after.
func (w *record) replaced(g *group, line int, o *RanOut) bool { return w.replacing(g, line, o) >= 0 }

// cameLater reports whether something stood in for an item from a noted time on: how
// long there was neither is then not known, where nobody noted when it ran out.
func (w *record) cameLater(g *group, line int, o *RanOut) bool {
	return slices.ContainsFunc(w.p.Substitutions, func(s Substitution) bool {
		return s.From != "" && s.Planned == o.Item && (s.Line == "" || s.Line == g.plan.Lines[line].Name) && (s.AgeGroup == "" || s.AgeGroup == g.plan.AgeGroup)
	})
}

// replacing returns the substitution that did, or -1.
func (w *record) replacing(g *group, line int, o *RanOut) int {
	for i := range w.p.Substitutions {
		s := &w.p.Substitutions[i]
		if s.Planned != o.Item || s.Line != "" && s.Line != g.plan.Lines[line].Name || s.AgeGroup != "" && s.AgeGroup != g.plan.AgeGroup {
			continue
		}
		switch {
		case s.whole(),
			s.From != "" && s.Servings == 0 && o.At != "" && s.From <= o.At,
			s.Servings > 0 && o.After.Said && o.After.N <= s.Servings && (s.From == "" || o.At != "" && s.From <= o.At):
			return i
		}
	}
	return -1
}

// silent adds the offers after an item that nothing was left of, where fewer
// servings than meals were served of its choice, so that children may have come too
// late for it and nobody wrote it down: each such item alone, and all together.
func (w *record) silent(g *group, planned *Day, s state) []state {
	var gone []string
	for i := range s.day.Choices {
		served, known := 0, g.meals.Said
		for _, it := range w.everIn(g, &planned.Choices[i]) {
			p := w.portion(it, g.plan.AgeGroup)
			if p == nil || !p.Served.Said {
				known = false
				break
			}
			served += p.Served.N
		}
		if !known || served >= g.meals.N*planned.Choices[i].Take {
			continue
		}
		for _, it := range s.day.Choices[i].Items {
			p := w.portion(it.Name, g.plan.AgeGroup)
			if p != nil && p.LeftOver.Said && p.LeftOver.N == 0 && p.Prepared.N > 0 && !w.told(g, it.Name) {
				gone = append(gone, it.Name)
			}
		}
	}
	var out []state
	without := func(names ...string) {
		n := s.copied()
		for _, name := range names {
			n.remove(name, "was used up")
			n.silent = append(n.silent, name)
			if n.label != "" {
				n.label += "; "
			}
			n.label += "should " + name + " have run out"
		}
		n.possible = true
		out = append(out, n)
	}
	for _, name := range gone {
		without(name)
	}
	if len(gone) > 1 {
		without(gone...)
	}
	return out
}

// told reports whether the record says of an item that it ran out or was replaced.
func (w *record) told(g *group, name string) bool {
	of := func(group string) bool { return group == "" || group == g.plan.AgeGroup }
	return slices.ContainsFunc(w.p.RanOut, func(o RanOut) bool { return o.Item == name && of(o.AgeGroup) }) ||
		slices.ContainsFunc(w.p.Substitutions, func(s Substitution) bool { return s.Planned == name && of(s.AgeGroup) })
}

// everIn are the names of a choice, and of what stood in for them.
func (w *record) everIn(g *group, c *Choice) []string {
	var out []string
	for _, it := range c.Items {
		out = append(out, it.Name)
	}
	for i := range w.p.Substitutions {
		s := &w.p.Substitutions[i]
		if s.AgeGroup != "" && s.AgeGroup != g.plan.AgeGroup {
			continue
		}
		for _, pair := range [][2]string{{s.Planned, s.Served.Name}, {s.Served.Name, s.Planned}} {
			if slices.Contains(out, pair[0]) && !slices.Contains(out, pair[1]) {
				out = append(out, pair[1])
			}
		}
	}
	return out
}

// once keeps each offer once, as certain as any way to it.
func once(all []state) []state {
	var out []state
	place := make(map[string]int)
	for _, s := range all {
		var b []byte
		for i := range s.day.Choices {
			for _, it := range s.day.Choices[i].Items {
				b = append(b, strconv.Quote(it.Name)...)
			}
			b = append(b, '|')
		}
		k, seen := place[string(b)]
		if !seen {
			place[string(b)] = len(out)
			out = append(out, s)
			continue
		}
		have := &out[k]
		if have.possible && !s.possible {
			have.label, have.possible = s.label, false
		}
		have.outs = append(have.outs, s.outs...)
		have.swaps = append(have.swaps, s.swaps...)
		have.silent = append(have.silent, s.silent...)
	}
	return out
}
