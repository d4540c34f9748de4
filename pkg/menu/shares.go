package menu

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// offered returns what stands on the line over the week: each item once on each
// day, in its planned portion. Things that share a name and differ in what is asked of
// them are not one item.
func (l *line) offered() []*served {
	var out []*served
	for i := range l.days {
		day := len(out)
		for _, s := range l.days[i].all {
			if !slices.ContainsFunc(out[day:], s.sameAs) {
				out = append(out, s)
			}
		}
	}
	return out
}

// sameAs reports whether two items of a day are one for the shares of the week.
func (s *served) sameAs(o *served) bool {
	if s.item.Name != o.item.Name || s.whole != o.whole {
		return false
	}
	for _, p := range []part{grains, fruits, vegetables} {
		if !s.of(credited, p).Equal(o.of(credited, p)) || !s.juice[p].Equal(o.juice[p]) {
			return false
		}
	}
	return true
}

// shares checks juice and whole grain-rich grains among what is offered over the
// days given, where the pattern has such shares; snacks of schools have them without
// having a length of week.
func (w *work) shares(l *line) {
	for _, q := range []struct {
		rule string
		of   part
	}{{"juice/share-of-fruits", fruits}, {"juice/share-of-vegetables", vegetables}} {
		for _, v := range l.values(q.rule, patterns.NoSpan) {
			w.juice(l, v.Value, q.of)
		}
	}
	for _, v := range l.values("whole-grain-rich/share-least", patterns.NoSpan) {
		w.wholeGrainRich(l, v.Value)
	}
}

func (w *work) juice(l *line, v *patterns.Value, of part) {
	var juice, all exact.Number
	for _, s := range l.offered() {
		juice, all = juice.Add(s.juice[of]), all.Add(s.of(credited, of))
	}
	most := v.Number.Mul(all)
	c := Check{Rule: v.Rule.ID, Value: v, Line: l.name, Days: len(l.days), Needed: most, There: juice, Unit: "cup", Verdict: Met}
	switch unknown := l.unknown(); {
	case len(unknown) > 0:
		c.Verdict, c.Because = NotChecked, "no credits are given for "+strings.Join(unknown, ", ")
	case most.Less(juice):
		c.Verdict, c.Short = NotMet, juice.Sub(most)
		c.Because = juice.String() + " cup of the " + all.String() + " cup offered is juice"
		c.Mend = "Offer whole pieces in place of a juice, or beside the juices."
	}
	w.add(c)
	// The limit is on what is offered; a child may still drink more of it.
	var over exact.Number
	for i := range l.days {
		over = over.Add(extremeSum(&l.days[i], true, func(s *served) exact.Number { return s.juice[of].Sub(v.Number.Mul(s.of(credited, of))) }))
	}
	if c.Verdict == Met && over.Sign() > 0 {
		c.Verdict, c.Note, c.Short = AtRisk, true, over
		c.Because = "met by what is offered; a child choosing freely could take more than this share as juice"
		w.add(c)
	}
}

func (w *work) wholeGrainRich(l *line, v *patterns.Value) {
	var rich, all, richPlanned, allPlanned exact.Number
	planned := true
	for _, s := range l.offered() {
		g := s.of(credited, grains)
		if g.Sign() == 0 {
			continue
		}
		planned = planned && s.item.Planned > 0
		weighted := g.Mul(exact.Int(int64(s.item.Planned)))
		all, allPlanned = all.Add(g), allPlanned.Add(weighted)
		if s.whole {
			rich, richPlanned = rich.Add(g), richPlanned.Add(weighted)
		}
	}
	share := v.Number.Quo(exact.Int(100))
	c := Check{Rule: v.Rule.ID, Value: v, Line: l.name, Days: len(l.days), Needed: share.Mul(all), There: rich, Unit: "oz eq", Verdict: Met}
	switch unknown := l.unknown(); {
	case len(unknown) > 0:
		c.Verdict, c.Because = NotChecked, "no credits are given for "+strings.Join(unknown, ", ")
	case all.IsZero():
		c.Because = "no grains are offered"
	case rich.Less(c.Needed):
		c.Verdict, c.Short = NotMet, c.Needed.Sub(rich)
		c.Because = rich.String() + " oz eq of the " + all.String() + " offered are said to be whole grain-rich"
		c.Mend = "Change " + c.Short.String() + " oz eq of grains of the week to whole grain-rich ones."
	}
	w.add(c)
	if planned && allPlanned.Sign() > 0 && c.Verdict != NotChecked {
		if richPlanned.Less(share.Mul(allPlanned)) != rich.Less(c.Needed) {
			c.Note, c.Needed, c.There, c.Short, c.Verdict = true, share.Mul(allPlanned), richPlanned, exact.Number{}, AtRisk
			c.Because, c.Mend = "weighted by planned servings, in oz eq of all of them, the answer would be the other one", ""
			w.add(c)
		}
	}
}
