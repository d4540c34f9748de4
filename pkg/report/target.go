package report

import (
	"fmt"
	"io"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/kitchen"
)

// wayTitles names the ways to reach a target.
var wayTitles = map[kitchen.Way]string{
	kitchen.Servings: "ANOTHER NUMBER OF SERVINGS", kitchen.PortionWeight: "ANOTHER WEIGHT OF THE PORTION",
	kitchen.OneIngredient: "ONE INGREDIENT", kitchen.Ingredients: "SEVERAL INGREDIENTS",
}

// Target writes how a target is reached: the ways, the smallest change first, each
// with what it changes, what the portion then credits and what it upsets; then the
// ways that do not reach it, and why. portion is the index of the portion meant, of
// so many.
func Target(w io.Writer, t *kitchen.Target, portion, of int) error {
	before := PortionOf(t.Before, portion, max(1, of))
	x := &text{r: before}
	x.line("TARGET")
	x.para("", clean(before.Name))
	x.para("", fmt.Sprintf("%s, served %s", before.Program.Name, before.On))
	for i := range t.Aims {
		x.para("  ", aimText(&t.Aims[i]))
	}
	switch {
	case t.Met:
		x.para("", "Met as it is: nothing is to be changed.")
	case t.Reached():
		x.para("", "Not met as it is. Reached by the changes below, the smallest first.")
	default:
		x.para("", "NOT REACHED by any way that was tried; why stands at each.")
	}
	for _, n := range t.NotClaimable {
		x.para("  ! ", "rests on an estimate: "+clean(n))
	}
	if t.Met {
		x.section("ONE PORTION CREDITS")
		x.sides(before)
	}
	number := 0
	for i := range t.Tries {
		try := &t.Tries[i]
		if !try.Reached {
			continue
		}
		number++
		x.section(fmt.Sprintf("%d. %s", number, wayTitles[try.Way]))
		x.way(try, before, portion, max(1, of))
	}
	first := true
	for i := range t.Tries {
		try := &t.Tries[i]
		if try.Reached {
			continue
		}
		if first {
			x.section("WAYS THAT DO NOT REACH IT")
			first = false
		}
		x.para("  - ", strings.ToLower(wayTitles[try.Way])+": "+clean(try.Because))
	}
	x.kitchenFoot()
	_, err := io.WriteString(w, x.b.String())
	return err
}

func aimText(a *kitchen.AimRead) string {
	name := a.Component.Title()
	if a.Subgroup != 0 {
		name = a.Subgroup.Title()
	}
	var bounds []string
	if !a.Least.IsZero() {
		s := "at least " + amountText(a.CreditLeast, a.Unit)
		if !a.Least.Equal(a.CreditLeast) {
			s += " (asked: " + a.Least.String() + ")"
		}
		bounds = append(bounds, s)
	}
	if !a.Most.IsZero() {
		s := "at most " + amountText(a.CreditMost, a.Unit)
		if !a.Most.Equal(a.CreditMost) {
			s += " (asked: " + a.Most.String() + ")"
		}
		bounds = append(bounds, s)
	}
	return name + ": " + strings.Join(bounds, ", ")
}

func (t *text) way(try *kitchen.Try, before *credit.Record, portion, of int) {
	for i := range try.Lines {
		l := &try.Lines[i]
		take := l.After.Text() + ", " + percentText(l.Relative)
		if !l.Exact.Amount().Equal(l.After.Amount()) {
			take += " (exactly " + longText(l.Exact) + ")"
		}
		t.named(l.Name, take, "was "+l.Before.Text())
	}
	if try.Servings > 0 {
		t.para("  ", fmt.Sprintf("%d servings of the same batch", try.Servings))
	}
	if !try.Weight.IsZero() {
		t.para("  ", "portion of "+try.Weight.Text())
	}
	t.para("  ", "Credits of a portion, before and after:")
	t.sides(before, PortionOf(try.After, portion, of))
	least := "No smaller change this way reaches it."
	if !try.Least {
		least = "The search ended at its bounds: a smaller change may have been missed."
	}
	t.para("  ", least)
	for _, n := range try.NotClaimable {
		t.para("  ! ", "rests on an estimate: "+clean(n))
	}
	for i := range try.Alters {
		t.para("  ! ", clean(try.Alters[i].Text))
	}
}

// percentText writes a relative change in percent, cut to a decimal.
func percentText(n exact.Number) string {
	if n.Sign() < 0 {
		return n.Neg().Mul(exact.Int(100)).TrimmedDecimal(1) + " percent less"
	}
	return n.Mul(exact.Int(100)).TrimmedDecimal(1) + " percent more"
}
