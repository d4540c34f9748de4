package menu

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// The subgroups in the order of the sums below, by their ids in the patterns.
var subgroupIDs = [...]string{"dark-green", "red-orange", "beans-peas-lentils", "starchy", "other", "additional"}

// Places in the sum of a way through the week.
const (
	wayBeans      = 2
	wayOther      = 4
	wayAdditional = 5 // vegetables of no subgroup, toward additional and the total
	wayBeanMeats  = 6 // beans as meat alternate, toward their subgroup alone
	wayLen        = 7
)

// needs is what a week asks of the subgroups.
type needs struct {
	least          [6]exact.Number // as subgroupIDs; the last is additional
	values         [6]*patterns.Value
	total          exact.Number
	fillOther      [6]bool // surplus of which may fill other
	fillAdditional [6]bool
}

// weekNeeds reads them from a pattern, and reports whether there are any.
func weekNeeds(p *patterns.Pattern, span patterns.Span) (needs, bool) {
	var n needs
	any := false
	for i, id := range subgroupIDs {
		if v, ok := p.Amount("least/vegetables/"+id, span); ok {
			n.least[i], n.values[i] = v.Number, v
			any = true
		}
		if v, ok := p.Amount("vegetables/other-from", patterns.NoSpan); ok {
			n.fillOther[i] = v.Says(id)
		}
		if v, ok := p.Amount("vegetables/additional-from", patterns.NoSpan); ok {
			n.fillAdditional[i] = v.Says(id)
		}
	}
	if v, ok := p.Amount("least/vegetables", span); ok {
		n.total = v.Number
	}
	return n, any
}

// allocate gives each subgroup its own first and lets what is over flow on, to
// other before additional. It returns what each has then, and what is missing in
// all; no other order misses less, since a cup that can fill other can fill
// additional too.
func (n *needs) allocate(way vec) (has [6]exact.Number, short exact.Number) {
	var forOther, forAdditional exact.Number
	for i := range 5 {
		need, own := n.least[i], way[i]
		if i == wayBeans {
			asMeats := exact.Min(way[wayBeanMeats], need)
			has[i] = asMeats
			need = need.Sub(asMeats)
		}
		keeps := exact.Min(own, need)
		has[i] = has[i].Add(keeps)
		over := own.Sub(keeps)
		switch {
		case i != wayOther && n.fillOther[i]:
			forOther = forOther.Add(over)
		case n.fillAdditional[i]:
			forAdditional = forAdditional.Add(over)
		}
	}
	moved := exact.Min(forOther, n.least[wayOther].Sub(has[wayOther]))
	has[wayOther] = has[wayOther].Add(moved)
	has[wayAdditional] = way[wayAdditional].Add(forAdditional).Add(forOther.Sub(moved))
	for i := range has {
		short = short.Add(exact.Max(n.least[i].Sub(has[i]), exact.Number{}))
	}
	return has, short
}

// total is the vegetables of a way, without beans as meat alternate.
func total(way vec) exact.Number {
	var sum exact.Number
	for i := range wayBeanMeats {
		sum = sum.Add(way[i])
	}
	return sum
}

// reach is what decides how far a way goes, each place the more the better, and
// nothing beyond what can matter: what allocate misses, the total, and whatever is
// added later depend on nothing else. A cup goes to its own subgroup, or on to
// other, or on to additional, so the first places are what only one kind can fill,
// and the later ones what several can fill together.
func (n *needs) reach(way vec) vec {
	out := make(vec, wayReach)
	var forOther, asksOther exact.Number
	forAdditional, asksAdditional := way[wayAdditional], n.least[wayAdditional]
	for i := range 5 {
		if i != wayOther {
			out[i] = exact.Min(way[i], n.least[i])
		}
		if i == wayOther || n.fillOther[i] {
			forOther, asksOther = forOther.Add(way[i]), asksOther.Add(n.least[i])
		}
		if i != wayOther && (n.fillOther[i] || n.fillAdditional[i]) {
			forAdditional, asksAdditional = forAdditional.Add(way[i]), asksAdditional.Add(n.least[i])
		}
	}
	// Additional with other beside it, and, where other itself cannot fill it, without.
	out[wayOther] = exact.Min(forAdditional.Add(way[wayOther]), asksAdditional.Add(n.least[wayOther]))
	if !n.fillAdditional[wayOther] {
		out[wayAdditional] = exact.Min(forAdditional, asksAdditional)
	}
	out[wayBeanMeats] = exact.Min(way[wayBeanMeats], n.least[wayBeans])
	out[wayLen] = exact.Min(forOther, asksOther)
	out[wayLen+1] = exact.Min(total(way), n.total)
	return out
}

// wayReach is the length of reach.
const wayReach = wayLen + 2

// ways returns what children can take of vegetables over the week; a way that
// another one reaches in everything is left out. Where there are too many to look
// at, those are kept that reach most, and whole is false.
func (w *work) ways(l *line, v view, n *needs) (ways []vec, whole bool) {
	p := picker{keep: n.furthest, halt: w.halted}
	out := []vec{make(vec, wayLen)}
	for i := range l.days {
		d := &l.days[i]
		fills := d.says("beans/as-meats-fill-subgroup", "yes")
		out = p.day(d, out, func(s *served) vec { return wayOf(s, v, fills) })
	}
	return out, !p.over
}

// furthest keeps the ways that no other one reaches in everything, those that
// reach most in all first.
func (n *needs) furthest(in []vec) []vec {
	type reached struct{ way, reach, sum vec }
	all := make([]reached, 0, len(in))
	seen := make(map[string]bool, len(in))
	for _, w := range in {
		r := reached{w, n.reach(w), vec{{}}}
		if k := r.reach.key(); seen[k] {
			continue
		} else {
			seen[k] = true
		}
		for _, x := range r.reach {
			r.sum[0] = r.sum[0].Add(x)
		}
		all = append(all, r)
	}
	slices.SortStableFunc(all, func(a, b reached) int { return b.sum[0].Cmp(a.sum[0]) })
	var kept []reached
	for _, r := range all { // only one that reaches more in all can reach as much in everything
		if !slices.ContainsFunc(kept, func(k reached) bool { return notBelow(k.reach, r.reach) }) {
			kept = append(kept, r)
		}
	}
	out := make([]vec, len(kept))
	for i := range kept {
		out[i] = kept[i].way
	}
	return out
}

// wayOf is what an item has of each place of a way.
func wayOf(s *served, v view, fills bool) vec {
	w := make(vec, wayLen)
	for p := darkGreen; p <= mixed; p++ {
		w[p-darkGreen] = s.of(v, p)
	}
	if fills {
		w[wayBeanMeats] = s.of(v, beansAsMeats)
	}
	return w
}

// most is the largest sum of some places over the full selections of the week; beans
// as meat alternate go with the beans.
func (l *line) most(places ...int) exact.Number {
	var sum exact.Number
	for i := range l.days {
		d := &l.days[i]
		fills := slices.Contains(places, wayBeans) && d.says("beans/as-meats-fill-subgroup", "yes")
		sum = sum.Add(extremeSum(d, true, func(s *served) exact.Number {
			var n exact.Number
			for _, p := range places {
				n = n.Add(s.of(credited, darkGreen+part(p)))
			}
			if fills {
				n = n.Add(s.of(credited, beansAsMeats))
			}
			return n
		}))
	}
	return sum
}

// alone is the most of one subgroup that a child can reach over the week, the others
// first having their own where they flow on to it. What is over of a group is the
// larger of nothing and what it has less its need, so the most over all ways is the
// largest, over the groups that give something, of sums that each choice makes largest
// by itself. Where beans stand as meat alternate it may be too much by what they are:
// that all are reached at once is looked at by itself.
func (n *needs) alone(l *line, i int) exact.Number {
	var givers, plain []int // to other and on; to additional alone
	for g := range wayOther {
		switch {
		case i != wayOther && i != wayAdditional || !n.least[g].Less(l.most(g)): // it never has anything over
		case n.fillOther[g]:
			givers = append(givers, g)
		case n.fillAdditional[g]:
			plain = append(plain, g)
		}
	}
	best := func(base, from []int) (most exact.Number) {
		for set := range 1 << len(from) {
			places := slices.Clone(base)
			var less exact.Number
			for k, g := range from {
				if set>>k&1 == 1 {
					places, less = append(places, g), less.Add(n.least[g])
				}
			}
			most = exact.Max(most, l.most(places...).Sub(less))
		}
		return most
	}
	switch i {
	case wayOther:
		return exact.Min(best([]int{wayOther}, givers), n.least[i])
	case wayAdditional: // what is over of other, filled or not, goes on too
		without := best([]int{wayAdditional}, plain)
		return exact.Max(without, best([]int{wayAdditional, wayOther}, append(plain, givers...)).Sub(n.least[wayOther]))
	}
	return exact.Min(l.most(i), n.least[i])
}

// notBelow reports whether v is at least w everywhere.
func notBelow(v, w vec) bool {
	for i := range v {
		if v[i].Less(w[i]) {
			return false
		}
	}
	return true
}

// best returns the way that misses least, and whether one way reaches the
// subgroups and the total at once.
func (n *needs) best(ways []vec) (has [6]exact.Number, short exact.Number, atOnce bool) {
	for i, way := range ways {
		h, s := n.allocate(way)
		if i == 0 || s.Less(short) {
			has, short = h, s
		}
		atOnce = atOnce || s.IsZero() && !total(way).Less(n.total)
	}
	return has, short, atOnce
}

// subgroups checks that one way through the week reaches every subgroup.
func (w *work) subgroups(l *line, span patterns.Span) {
	seen := make(map[string]bool)
	for i := range l.days {
		n, any := weekNeeds(l.days[i].p, span)
		key := ""
		for _, v := range n.values {
			if v != nil {
				key += v.ID() + " "
			}
		}
		if !any || seen[key] {
			continue
		}
		seen[key] = true
		w.together(l, &n)
	}
}

// together adds the checks of the subgroups: of each on the way that reaches most
// of it, of all of them on one way, and of that with the total. Each can only gain
// by an item in addition.
func (w *work) together(l *line, n *needs) {
	ways, whole := w.ways(l, credited, n)
	has, short, atOnce := n.best(ways)
	unknown := l.unknown()
	unclear := ""
	switch {
	case len(unknown) > 0:
		unclear = "no credits are given for " + strings.Join(unknown, ", ")
	case !whole:
		unclear = tooManyWays
	}
	var missing []string
	for i, v := range n.values {
		if v == nil || n.least[i].IsZero() {
			continue
		}
		e := Check{Rule: v.Rule.ID, Value: v, Line: l.name, Days: len(l.days), Unit: "cup", Needed: n.least[i], There: has[i], Verdict: Met}
		if has[i].Less(n.least[i]) {
			missing = append(missing, n.least[i].Sub(has[i]).Fraction()+" cup "+subgroupIDs[i])
			e.There = n.alone(l, i)
		}
		if e.There.Less(n.least[i]) {
			e.Verdict, e.Short = NotMet, n.least[i].Sub(e.There)
			e.Because = "it is counted on the way through the week that reaches most of it"
			e.Mend = mend(subgroupIDs[i], e.Short)
			if len(unknown) > 0 {
				e.Verdict, e.Because = NotChecked, unclear
			}
		}
		w.add(e)
	}
	c := Check{Rule: Subgroups, Value: n.values[0], Line: l.name, Days: len(l.days), Unit: "cup", Short: short, Verdict: Met}
	switch {
	case short.Sign() > 0 && unclear != "":
		c.Verdict, c.Because = NotChecked, unclear
	case short.Sign() > 0:
		c.Verdict, c.Because = NotMet, "no way through the week reaches all subgroups; the nearest misses "+strings.Join(missing, ", ")
		c.Mend = "Let what is short stand on a day of its own, or in a choice where it replaces no other subgroup that is short."
	default:
		for v := documented; v < views && c.Verdict == Met && l.differs(); v++ {
			seen, _ := w.ways(l, v, n)
			if _, s, _ := n.best(seen); s.Sign() > 0 {
				c.Verdict, c.Short = AtRisk, s
				c.Because = "reached only with credits that rest on an estimate, wait for their paper, or barely reach their step"
			}
		}
	}
	w.add(c)
	if short.IsZero() && !atOnce && (!whole || !maxTotal(ways).Less(n.total)) {
		c = Check{Rule: SubgroupsAndTotal, Value: n.values[0], Line: l.name, Days: len(l.days), Unit: "cup", Verdict: NotMet,
			Because: "the subgroups and the week's vegetables can each be reached, but not by the same child",
			Mend:    "Make the vegetables of a choice alike in size."}
		if unclear != "" {
			c.Verdict, c.Because, c.Mend = NotChecked, unclear, ""
		}
		w.add(c)
	}
}

// tooManyWays is why something is not checked. A way that was found is one all the
// same.
const tooManyWays = "the week has more ways to choose than can be looked at"

func maxTotal(ways []vec) exact.Number {
	var most exact.Number
	for _, w := range ways {
		most = exact.Max(most, total(w))
	}
	return most
}
