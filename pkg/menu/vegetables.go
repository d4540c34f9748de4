package menu

import (
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

// ways returns what children can take of vegetables over the week; a way that
// another one reaches in everything is left out. Nothing above the sum of all that
// is asked for can matter, so sums stop there.
func (l *line) ways(v view, n *needs) []vec {
	most := n.total
	for _, x := range n.least {
		most = most.Add(x)
	}
	thin := func(in []vec) []vec {
		for _, w := range in {
			for i := range w {
				w[i] = exact.Min(w[i], most)
			}
		}
		return largest(in)
	}
	out := []vec{make(vec, wayLen)}
	for i := range l.days {
		d := &l.days[i]
		fills := d.says("beans/as-meats-fill-subgroup", "yes")
		out = add(out, d.sums(wayLen, func(s *served) vec {
			w := make(vec, wayLen)
			for p := darkGreen; p <= mixed; p++ {
				w[p-darkGreen] = s.of(v, p)
			}
			if fills {
				w[wayBeanMeats] = s.of(v, beansAsMeats)
			}
			return w
		}, thin), thin)
	}
	return out
}

// reached is what children can reach of the subgroups over the week.
type reached struct {
	most   [6]exact.Number // of each, on a way of its own
	near   [6]exact.Number // of each, on the way that misses least
	short  exact.Number    // what that way misses in all
	atOnce bool            // one way reaches the subgroups and the total
}

func (n *needs) best(ways []vec) (r reached) {
	for i, way := range ways {
		h, s := n.allocate(way)
		if i == 0 || s.Less(r.short) {
			r.near, r.short = h, s
		}
		for k := range h {
			r.most[k] = exact.Max(r.most[k], h[k])
		}
		r.atOnce = r.atOnce || s.IsZero() && !total(way).Less(n.total)
	}
	return r
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
	ways := l.ways(credited, n)
	is := n.best(ways)
	unknown := l.unknown()
	var missing []string
	for i, v := range n.values {
		if v == nil || n.least[i].IsZero() {
			continue
		}
		if is.near[i].Less(n.least[i]) {
			missing = append(missing, n.least[i].Sub(is.near[i]).Fraction()+" cup "+subgroupIDs[i])
		}
		e := Check{Rule: v.Rule.ID, Value: v, Line: l.name, Days: len(l.days), Unit: "cup", Needed: n.least[i], There: is.most[i], Verdict: Met}
		if is.most[i].Less(n.least[i]) {
			e.Verdict, e.Short = NotMet, n.least[i].Sub(is.most[i])
			e.Because = "on the way through the week that reaches most of it"
			e.Mend = mend(subgroupIDs[i], e.Short)
			if len(unknown) > 0 {
				e.Verdict = NotChecked
			}
		}
		w.add(e)
	}
	c := Check{Rule: Subgroups, Value: n.values[0], Line: l.name, Days: len(l.days), Unit: "cup", Short: is.short, Verdict: Met}
	switch {
	case is.short.Sign() > 0 && len(unknown) > 0:
		c.Verdict, c.Because = NotChecked, "no credits are given for "+strings.Join(unknown, ", ")
	case is.short.Sign() > 0:
		c.Verdict, c.Because = NotMet, "no way through the week reaches all subgroups; the nearest misses "+strings.Join(missing, ", ")
		c.Mend = "Let what is short stand on a day of its own, or in a choice where it replaces no other subgroup that is short."
	default:
		for v := documented; v < views && c.Verdict == Met && l.differs(); v++ {
			if s := n.best(l.ways(v, n)).short; s.Sign() > 0 {
				c.Verdict, c.Short = AtRisk, s
				c.Because = "reached only with credits that rest on an estimate, wait for their paper, or barely reach their step"
			}
		}
	}
	w.add(c)
	if is.short.IsZero() && !is.atOnce && !maxTotal(ways).Less(n.total) {
		c = Check{Rule: SubgroupsAndTotal, Value: n.values[0], Line: l.name, Days: len(l.days), Unit: "cup", Verdict: NotMet,
			Because: "the subgroups and the week's vegetables can each be reached, but not by the same child",
			Mend:    "Make the vegetables of a choice alike in size."}
		if len(unknown) > 0 {
			c.Verdict, c.Because = NotChecked, "no credits are given for "+strings.Join(unknown, ", ")
		}
		w.add(c)
	}
}

func maxTotal(ways []vec) exact.Number {
	var most exact.Number
	for _, w := range ways {
		most = exact.Max(most, total(w))
	}
	return most
}
