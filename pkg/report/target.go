package report

import (
	"fmt"
	"io"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
)

// Target writes how a target is reached: what was asked and how it was read, the
// ways that reach it with the smallest change first, what each credits before and
// after and what it upsets, then the ways that do not and why. req is what was
// asked.
func Target(w io.Writer, req *kitchen.TargetRequest, g *kitchen.Target) error {
	of := func(r *credit.Record) *credit.Record {
		return PortionOf(r, req.Portion, len(req.Credit.Recipe.Portions))
	}
	before := of(g.Before)
	t := &text{r: before}
	t.line("REACH A TARGET")
	t.para("", clean(before.Name))
	t.para("", clean(before.Program.Name+", served "+before.On.String()))
	if req.Portion > 0 {
		t.para("", fmt.Sprintf("Portion %d of the batch: %s", req.Portion+1, clean(before.Portion.Name)))
	}
	t.wanted(req, g, before)
	reached := 0
	for i := range g.Tries {
		if g.Tries[i].Reached {
			reached++
		}
	}
	switch {
	case g.Met:
		t.section("REACHED AS IT IS")
		t.para("  ", "Nothing is to be changed.")
		t.doubts(g.NotClaimable)
	case reached == 0:
		t.section("NOT REACHED")
	}
	for i := range g.Tries {
		if x := &g.Tries[i]; x.Reached {
			t.reached(i+1, x, before, of(x.After))
		}
	}
	if reached > 0 && reached < len(g.Tries) {
		t.section("CANNOT BE REACHED BY")
	}
	t.unreached(g.Tries[reached:])
	t.line("")
	t.para("", "A change is the sum of the relative changes of amounts, or that of the servings or of the portion's weight. Credits are the engine's for the amounts shown. They support, and do not replace, the State agency's decision. What a change upsets goes by common practice; make a test batch.")
	_, err := io.WriteString(w, t.b.String())
	return err
}

var wayTexts = map[kitchen.Way]string{
	kitchen.OneIngredient: "one ingredient",
	kitchen.Ingredients:   "several ingredients",
	kitchen.Servings:      "the number of servings",
	kitchen.PortionWeight: "the weight of the portion",
}

// unreached writes the ways that do not reach the target, those of one reason
// together.
func (t *text) unreached(tries []kitchen.Try) {
	said := make(map[string]bool)
	for i := range tries {
		if why := tries[i].Because; !said[why] {
			said[why] = true
			var ways []string
			for k := i; k < len(tries); k++ {
				if tries[k].Because == why {
					ways = append(ways, wayTexts[tries[k].Way])
				}
			}
			t.para("  - ", clean(strings.Join(ways, ", ")+": "+why))
		}
	}
}

// wanted writes the aims, how they were read and what credits now.
func (t *text) wanted(req *kitchen.TargetRequest, g *kitchen.Target, before *credit.Record) {
	t.section("WANTED OF A PORTION")
	for i := range g.Aims {
		a := &g.Aims[i]
		now := credit.Credit{Component: a.Component, Subgroup: a.Subgroup}
		for k := range before.Credits {
			if c := &before.Credits[k]; c.Component == a.Component && c.Subgroup == a.Subgroup {
				now = *c
			}
		}
		var words []string
		if !a.Least.IsZero() {
			words = append(words, "at least "+amountText(a.Least, a.Unit))
		}
		if !a.Most.IsZero() {
			words = append(words, "at most "+amountText(a.Most, a.Unit))
		}
		t.line(fmt.Sprintf("  %-24s %s, now %s", Title(&now), strings.Join(words, ", "), CreditText(before, &now)))
		if !a.Least.Equal(a.CreditLeast) {
			t.para("    ", "Credits go in steps: at least "+a.Least.String()+" is read as "+amountText(a.CreditLeast, a.Unit)+".")
		}
		if !a.Most.Equal(a.CreditMost) {
			t.para("    ", "Credits go in steps: at most "+a.Most.String()+" is read as "+amountText(a.CreditMost, a.Unit)+".")
		}
	}
	if !req.WholeGrain.IsZero() {
		now := "not known"
		for i := range before.Findings {
			if f := &before.Findings[i]; f.Reason == credit.WholeGrainShare {
				now = f.Share.Mul(exact.Int(100)).DecimalText(1) + " percent"
			}
		}
		t.line(fmt.Sprintf("  %-24s at least %s of the grain, now %s", "Whole grain", req.WholeGrain, now))
	}
	if req.Claimable {
		t.para("  ", "By documented figures alone, so that it can be claimed.")
	}
}

// reached writes a way that reaches the target.
func (t *text) reached(n int, x *kitchen.Try, before, after *credit.Record) {
	t.line("")
	switch x.Way {
	case kitchen.Servings:
		t.para(fmt.Sprintf("%2d. ", n), fmt.Sprintf("MAKE %d SERVINGS OF THE BATCH", x.Servings))
	case kitchen.PortionWeight:
		t.para(fmt.Sprintf("%2d. ", n), clean(fmt.Sprintf("PORTION AT %s, WHICH MAKES %d SERVINGS", x.Weight, x.Servings)))
	case kitchen.OneIngredient:
		t.para(fmt.Sprintf("%2d. ", n), "CHANGE ONE AMOUNT")
	default:
		t.para(fmt.Sprintf("%2d. ", n), "CHANGE SEVERAL AMOUNTS")
		if len(x.Lines) == 1 {
			t.para("    ", "One alone is the smallest change.")
		}
	}
	for i := range x.Lines {
		c := &x.Lines[i]
		s := c.Name + ": "
		if c.Relative.IsZero() {
			s += "stays at " + c.Before.Text()
		} else {
			s += c.After.Text() + ", was " + c.Before.Text() + " (" + changeText(c.Relative) + ")"
		}
		t.para("    ", clean(s))
	}
	s := "change " + percentText(x.Change)
	switch {
	case !x.Change.Equal(x.Exact) && x.Open:
		s += ", before rounding to kitchen measures just over " + percentText(x.Exact)
	case !x.Change.Equal(x.Exact):
		s += ", before rounding to kitchen measures " + percentText(x.Exact)
	}
	if x.Least {
		s += "; nothing smaller does"
	} else {
		s += "; something smaller may do"
	}
	t.para("    ", s)
	t.line(fmt.Sprintf("    %-24s %-12s %s", "a portion credits", "before", "after"))
	for i := range before.Credits {
		c := &before.Credits[i]
		if now, ok := after.SubgroupCredit(c.Component, c.Subgroup); ok {
			t.beforeAfter(c, &now)
		} else {
			t.beforeAfter(c, &credit.Credit{Component: c.Component, Subgroup: c.Subgroup})
		}
	}
	for i := range after.Credits {
		c := &after.Credits[i]
		if _, ok := before.SubgroupCredit(c.Component, c.Subgroup); !ok {
			t.beforeAfter(&credit.Credit{Component: c.Component, Subgroup: c.Subgroup}, c)
		}
	}
	t.doubts(x.NotClaimable)
	for i := range x.Alters {
		t.para("    ! ", clean(x.Alters[i].Text))
	}
}

func (t *text) beforeAfter(was, now *credit.Credit) {
	name := Title(now)
	if now.Subgroup != food.NoSubgroup {
		name = "  " + name
	}
	t.line(fmt.Sprintf("    %-24s %-12s %s, %s", name, CreditText(t.r, was), CreditText(t.r, now), now.Status))
}

// doubts writes what is reached and cannot be claimed.
func (t *text) doubts(list []string) {
	for _, s := range list {
		t.para("    NOT CLAIMABLE YET: ", clean(s))
	}
}

// percentText writes a share in percent, cut to 2 places.
func percentText(n exact.Number) string {
	return n.Mul(exact.Int(100)).TrimmedDecimal(2) + " percent"
}

// changeText writes a relative change.
func changeText(n exact.Number) string {
	if n.Sign() < 0 {
		return percentText(n.Neg()) + " less"
	}
	return percentText(n) + " more"
}
