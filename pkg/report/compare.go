package report

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/source"
)

// Compare writes what swaps change, before on the left and after on the right:
// the lines, the credits and how far they can be claimed, whole grain, allergens,
// gluten and weight, then what to check and do.
func Compare(w io.Writer, c *kitchen.Comparison) error {
	t := &text{}
	t.line("SUBSTITUTION")
	t.para("", clean(c.Before.Name))
	t.para("", fmt.Sprintf("%s, served %s", c.Before.Program.Name, c.Before.On))
	t.line("")
	t.beside("BEFORE", "AFTER")
	for i := range c.Swaps {
		s := &c.Swaps[i]
		t.beside(swapLine(s.Before.Quantity, s.NameBefore, s.Before.State), swapLine(s.Kitchen, s.Name, s.After.State))
		if why := swapAmount(s); why != "" {
			t.beside("", why)
		}
	}
	t.section("ONE PORTION CREDITS")
	if len(c.Credits) == 0 {
		t.line("  Nothing, before and after.")
	}
	for i := range c.Credits {
		t.swapCredit(&c.Credits[i])
	}
	t.line("")
	if c.WholeGrain[0].Known || c.WholeGrain[1].Known {
		t.besides("Whole grain", wholeText(c.WholeGrain[0]), wholeText(c.WholeGrain[1]))
	}
	t.besides("Allergens", allergenText(c.Cautions[0]), allergenText(c.Cautions[1]))
	t.besides("Gluten", glutenText(&c.Cautions[0].Gluten), glutenText(&c.Cautions[1].Gluten))
	t.besides("Weight", weightText(c.Weight.Before), weightText(c.Weight.After))
	for _, x := range []struct {
		head     string
		severity credit.Severity
	}{{"TO CHECK AND DO", credit.Check}, {"CAUTIONS", credit.Caution}, {"NOTES", credit.Note}} {
		first := true
		for i := range c.Findings {
			f := &c.Findings[i]
			if f.Severity != x.severity {
				continue
			}
			if first {
				t.section(x.head)
				first = false
			}
			s := f.Text
			if f.Do != "" {
				s += " " + f.Do
			}
			if f.Mark == source.CommonPractice {
				s += " (common practice; no source)"
			}
			t.para("  - ", clean(s))
		}
		if x.severity != credit.Check {
			continue
		}
		for i := range c.Checks {
			if first {
				t.section(x.head)
				first = false
			}
			f := &c.Checks[i]
			t.para("  - ", clean(FindingText(c.After.Record, f)))
			if f.Reason == credit.EstimatedFigure {
				for _, k := range f.Figures {
					g := c.After.Record.Figures[k]
					t.para("      ", clean(figureName(g)+" ("+sourceWord(g.Source)+")"))
				}
			}
		}
	}
	t.line("")
	t.para("", "Allergens and gluten are by the catalog's entries. They support, and never replace, label checks, local codes and licensed practice. Not listed is not the same as absent.")
	t.para("", "Weight is of the ingredients as listed, before anything is trimmed, drained or cooked away.")
	_, err := io.WriteString(w, t.b.String())
	return err
}

// Columns of a comparison: a label, then before and after.
const (
	besideWidth  = 36
	besidesLabel = 14
)

// beside writes two texts side by side.
func (t *text) beside(left, right string) { t.sideBySide("", 0, besideWidth, left, right) }

// besides writes two texts side by side behind a label.
func (t *text) besides(label, left, right string) {
	t.sideBySide(label, besidesLabel, besideWidth-besidesLabel/2, left, right)
}

func (t *text) sideBySide(label string, labelWidth, width int, left, right string) {
	a, b := wrap(clean(left), width), wrap(clean(right), width)
	for i := range max(len(a), len(b)) {
		at := func(lines []string) string {
			if i < len(lines) {
				return lines[i]
			}
			return ""
		}
		head := ""
		if i == 0 {
			head = label
		}
		t.line("  " + pad(head, labelWidth) + pad(at(a), width+2) + at(b))
	}
}

func swapLine(q measure.Quantity, name, state string) string {
	s := kitchenText(q) + " " + name
	if state != "" {
		s += ", " + strings.ReplaceAll(state, "-", " ")
	}
	return s
}

// kitchenText writes an amount as the card has it; one that was worked out and is
// a fraction no scale shows is cut to two places.
func kitchenText(q measure.Quantity) string {
	if utf8.RuneCountInString(q.Text()) <= 16 {
		return q.Text()
	}
	return q.Amount().TrimmedDecimal(2) + " " + q.Unit().ID
}

// swapAmount says how an amount came about.
func swapAmount(s *kitchen.SwapDone) string {
	what := map[kitchen.Keep]string{kitchen.SameWeight: "the same weight", kitchen.SameVolume: "the same measure", kitchen.SamePurchase: "as much bought", kitchen.SameCredit: "the same credit"}[s.Keep]
	if what == "" {
		return ""
	}
	if !s.Exact.Amount().Equal(s.Kitchen.Amount()) || s.Exact.Unit() != s.Kitchen.Unit() {
		exactly := s.Exact.Amount().TrimmedDecimal(Places) + " " + s.Exact.Unit().ID
		if s.Exact.Unit() == measure.Ounce {
			exactly = weightText(s.Exact)
		}
		what += "; exactly " + exactly
	}
	return "(" + what + ")"
}

// swapCredit writes a credit before and after, marked where it changed.
func (t *text) swapCredit(c *kitchen.SwapCredit) {
	name := c.Component.Title()
	if c.Subgroup != food.NoSubgroup {
		name = "  " + c.Subgroup.Title()
	}
	mark := ""
	switch c.After.Credited.Cmp(c.Before.Credited) {
	case -1:
		mark = "LESS"
	case 1:
		mark = "more"
	}
	t.line("  " + pad(name, 25) + pad(swapCredited(&c.Before, c.Unit), 16) + pad(swapCredited(&c.After, c.Unit), 16) + mark)
	if c.Subgroup != food.NoSubgroup {
		return
	}
	t.line("  " + pad("  papers", 25) + pad(swapStatus(&c.Before), 16) + swapStatus(&c.After))
	if claimable(&c.Before, &c.After) {
		t.line("  " + pad("  claimable now", 25) + pad(swapClaim(&c.Before, c.Unit), 16) + swapClaim(&c.After, c.Unit))
	}
	t.line("  " + pad("  exactly, not claimable", 25) + pad(c.Before.Exact.TrimmedDecimal(Places), 16) + c.After.Exact.TrimmedDecimal(Places))
	if !c.Exact.Credited.Equal(c.After.Credited) {
		t.para("      ", "With the amounts as worked out a portion credits "+amountText(c.Exact.Credited, c.Unit)+"; the kitchen measures make the difference.")
	}
}

// claimable reports whether less can be claimed than is credited.
func claimable(list ...*credit.Credit) bool {
	for _, c := range list {
		if !c.Step.IsZero() && !c.Claimable.Equal(c.Credited) {
			return true
		}
	}
	return false
}

func swapCredited(c *credit.Credit, unit string) string {
	if c.Credited.IsZero() {
		return "none"
	}
	return amountText(c.Credited, unit)
}

func swapStatus(c *credit.Credit) string {
	if c.Credited.IsZero() && c.Status != credit.NeedsPaper {
		return "no credit"
	}
	return c.Status.String()
}

func swapClaim(c *credit.Credit, unit string) string {
	if c.Claimable.IsZero() {
		return "none"
	}
	return amountText(c.Claimable, unit)
}

func wholeText(g kitchen.WholeGrain) string {
	if !g.Known {
		return "not known, or no grain"
	}
	s := g.Share.Mul(exact.Int(100)).TrimmedDecimal(1) + " percent of the creditable grain"
	if g.Share.Less(exact.Frac(1, 2)) {
		return s + ": less than half"
	}
	return s + ": at least half, if all else is enriched"
}

func allergenText(c *kitchen.Cautions) string {
	s := strings.Join(c.Listed(), ", ")
	if s == "" {
		s = "none listed"
	}
	if n := len(c.NotKnown); n > 0 {
		s += "; not known: " + strings.Join(cautionNames(c.NotKnown), ", ")
	}
	return s
}

func glutenText(g *kitchen.Gluten) string {
	s := "no gluten-containing ingredient listed; read each label"
	if g.Listed {
		s = "contains"
	}
	if len(g.Ask) > 0 {
		s += "; ask about: " + strings.Join(cautionNames(g.Ask), ", ")
	}
	return s
}

func weightText(q measure.Quantity) string {
	switch {
	case q.IsZero():
		return "not known: not all by weight"
	case q.Unit() == measure.Gram:
		return q.Amount().TrimmedDecimal(1) + " g"
	}
	lb, oz := q.Amount().RoundDown(exact.Int(16))
	s := strings.TrimSpace(lb.Quo(exact.Int(16)).String() + " lb")
	if lb.IsZero() {
		s = ""
	}
	if !oz.IsZero() {
		s = strings.TrimSpace(s + " " + oz.TrimmedDecimal(2) + " oz")
	}
	return s
}

// cautionNames are the names of lines, each once.
func cautionNames(lines []kitchen.CautionLine) []string {
	var out []string
	seen := map[string]bool{}
	for _, l := range lines {
		if !seen[l.Name] {
			seen[l.Name] = true
			out = append(out, l.Name)
		}
	}
	return out
}
