package report

import (
	"fmt"
	"io"
	"strings"

	"example.com/ozeq/pkg/kitchen"
)

// Purchase writes a shopping list: of each food or product what to buy, what is
// needed exactly, what is on hand and left over, and what it is for.
func Purchase(w io.Writer, p *kitchen.Purchase) error {
	t := &text{}
	t.line("SHOPPING LIST")
	t.section("BUY")
	if len(p.Lines) == 0 {
		t.line("  Nothing: what is served takes no food.")
	}
	for i := range p.Lines {
		t.purchase(&p.Lines[i])
	}
	var list []said
	for _, f := range p.Findings {
		words := f.Text
		if f.Line >= 0 && f.Line < len(p.Lines) && !strings.Contains(words, p.Lines[f.Line].Name) {
			words = p.Lines[f.Line].Name + ": " + words
		}
		list = append(list, said{f.Severity, words})
	}
	t.toKnow("TO KNOW AND TO CHECK", list)
	t.line("")
	t.para("", "Amounts are as purchased. What is needed is exact; what is bought goes up to what is sold. A list supports, and does not replace, the count of what is in the storeroom.")
	_, err := io.WriteString(w, t.b.String())
	return err
}

func (t *text) purchase(l *kitchen.BuyLine) {
	buy := "nothing: enough is on hand"
	if !l.Buy.IsZero() && !l.Buy.Amount().IsZero() {
		buy = longText(l.Buy)
		if l.Packs > 0 {
			name := l.Pack.Name
			if name == "" {
				name = "pack"
			}
			buy = fmt.Sprintf("%d x %s of %s (%s)", l.Packs, name, l.Pack.Holds.Text(), buy)
		}
	}
	needs := "needed " + longText(l.Need)
	if !l.OnHand.IsZero() {
		needs += ", on hand " + l.OnHand.Text()
	}
	if !l.LeftOver.IsZero() && !l.LeftOver.Amount().IsZero() {
		needs += ", left over " + longText(l.LeftOver)
	}
	t.named(l.Name, clean(buy), needs)
	for i := range l.Uses {
		u := &l.Uses[i]
		s := "for " + u.Of + ": " + longText(u.Amount)
		if u.Basis != "" && u.Basis != "portions" {
			s += " " + strings.ReplaceAll(u.Basis, "-", " ")
		}
		if u.AsMeasured {
			s += " (as measured: no figure says what is lost)"
		} else if u.Basis != "as-purchased" && !u.Bought.IsZero() {
			s += " = " + longText(u.Bought) + " as purchased"
		}
		t.para(strings.Repeat(" ", takeColumn+2), clean(s))
	}
	for i := range l.Methods {
		x := &l.Methods[i]
		words := map[string]string{kitchen.ServingsPerUnit: "by servings per unit", kitchen.UnitsPerHundred: "by units per 100 servings"}[x.Method]
		t.para(strings.Repeat(" ", takeColumn+2), fmt.Sprintf("%s (%s): %s units", words, shortText(x.Value), shortText(x.Units)))
	}
}
