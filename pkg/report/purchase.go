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

// buyColumn is the column after the amount to buy.
const buyColumn = 18

func (t *text) purchase(l *kitchen.BuyLine) {
	none := l.Buy.IsZero() || l.Buy.Amount().IsZero()
	buy, name := longText(l.Buy), clean(l.Name)
	switch {
	case none:
		buy, name = "nothing", name+" (enough is on hand)"
	case l.Packs > 0:
		pack := l.Pack.Name
		if pack == "" {
			pack = "pack"
		}
		buy, name = fmt.Sprintf("%d x %s", l.Packs, clean(pack)), fmt.Sprintf("of %s: %s (%s in all)", l.Pack.Holds.Text(), name, buy)
	}
	t.para(pad("  "+buy, buyColumn)+" ", name)
	below := strings.Repeat(" ", buyColumn+3)
	needs := "needed " + longText(l.Need)
	if !l.OnHand.IsZero() {
		needs += ", on hand " + l.OnHand.Text()
	}
	if !none && !l.LeftOver.IsZero() && !l.LeftOver.Amount().IsZero() {
		needs += ", left over " + longText(l.LeftOver)
	}
	t.para(below, needs)
	for i := range l.Uses {
		u := &l.Uses[i]
		s := "for " + u.Of
		if u.Basis != "portions" {
			s += ": " + longText(u.Amount) + " " + strings.ReplaceAll(u.Basis, "-", " ")
			switch {
			case u.AsMeasured:
				s += "; no figure says what is lost on the way"
			case u.Basis != "as-purchased":
				s += ", " + longText(u.Bought) + " as purchased"
			}
		}
		t.para(below, clean(s))
	}
	if len(l.Methods) == 2 {
		t.para(below, fmt.Sprintf("by %s servings per %s; at %s %s per 100 servings it is %s", shortText(l.Methods[0].Value), l.Methods[0].Figure.Unit.ID,
			shortText(l.Methods[1].Value), l.Methods[1].Figure.Unit.ID, shortText(l.Methods[1].Units)))
	}
}
