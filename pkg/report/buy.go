package report

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
)

// Buy writes a purchase as a shopping list: what to buy of each food and product,
// then what uses it with the figures that say how much that is as purchased, what
// is to be looked at, and the figures' sources.
func Buy(w io.Writer, p *kitchen.Purchase) error {
	t := &text{}
	t.line("SHOPPING LIST")
	t.section("BUY")
	for i := range p.Lines {
		l := &p.Lines[i]
		t.named(l.Name, buyText(l), "")
	}
	var figures []*food.Figure
	t.section("HOW MUCH, AS PURCHASED")
	for i := range p.Lines {
		figures = t.need(&p.Lines[i], figures)
	}
	var list []said
	for _, f := range p.Findings {
		list = append(list, said{f.Severity, f.Text})
	}
	t.toKnow("TO KNOW AND TO CHECK", list)
	if len(figures) > 0 {
		t.section("FIGURES AND THEIR SOURCES")
		for i, g := range figures {
			unsure := ""
			if !g.Source.Documented() {
				unsure = "? "
			}
			t.para(fmt.Sprintf("  [%d] ", i+1), clean(unsure+figureName(&g.Record)+"; "+g.Source.Citation()+" ("+sourceWord(g.Source)+")"))
		}
		t.para("  ", "A source marked ? was not checked, or is not the handbook.")
	}
	t.line("")
	t.para("", "Amounts are exact until they go up to what is sold, once. Running values are cut to 4 decimals for reading. Read every label: what is bought decides the allergens.")
	_, err := io.WriteString(w, t.b.String())
	return err
}

func buyText(l *kitchen.BuyLine) string {
	if l.Buy.IsZero() {
		return "nothing: enough on hand"
	}
	s := l.Buy.Text()
	if l.Packs > 0 {
		name := l.Pack.Name
		if name == "" {
			name = "pack"
		}
		s = fmt.Sprintf("%d %s of %s (%s)", l.Packs, name, l.Pack.Holds, s)
	}
	if !l.LeftOver.Amount().IsZero() {
		s += ", " + plainText(l.LeftOver) + " left over"
	}
	return s
}

// plainText writes an amount a buyer reads: cut to 4 decimals where the fraction
// is none that a kitchen has.
func plainText(q measure.Quantity) string {
	u, per := q.Unit(), exact.Int(1)
	switch u {
	case measure.Ounce:
		u, per = measure.Pound, exact.Int(16)
	case measure.Cup:
		if q.Amount().Less(exact.Frac(1, 4)) {
			u, per = measure.Tablespoon, exact.Frac(1, 16)
		}
	case measure.Gram:
		if !q.Amount().Less(exact.Int(1000)) {
			u, per = measure.Kilogram, exact.Int(1000)
		}
	}
	n := q.Amount().Quo(per)
	if _, cut := n.RoundDown(exact.Frac(1, 16)); cut.IsZero() {
		return n.String() + " " + u.ID
	}
	return n.TrimmedDecimal(Places) + " " + u.ID
}

// need writes what uses a food, and returns the figures with those it uses.
func (t *text) need(l *kitchen.BuyLine, figures []*food.Figure) []*food.Figure {
	head := plainText(l.Need)
	if !l.OnHand.IsZero() {
		head += ", on hand " + plainText(l.OnHand)
	}
	t.named(l.Name, head, "")
	for i := range l.Uses {
		u := &l.Uses[i]
		what := u.Of + ": " + plainText(u.Amount)
		if u.Basis != "as-purchased" && u.Basis != "portions" {
			what += " " + strings.ReplaceAll(u.Basis, "-", " ")
		}
		if a, b := plainText(u.Amount), plainText(u.Bought); a != b {
			what += " is " + b
		}
		var numbers []string
		for _, g := range u.Figures {
			at := slices.Index(figures, g)
			if at < 0 {
				at, figures = len(figures), append(figures, g)
			}
			numbers = append(numbers, "["+strconv.Itoa(at+1)+"]")
		}
		if len(numbers) > 0 {
			what += " " + strings.Join(numbers, " ")
		}
		t.para("      ", clean(what))
	}
	for i := range l.Methods {
		m := &l.Methods[i]
		t.para("      ", clean(methodText(m)))
	}
	return figures
}

// methodText writes one way of using a table of servings.
func methodText(m *kitchen.BuyMethod) string {
	unit, buy := m.Figure.Unit.ID, "nothing more"
	if !m.Buy.IsZero() {
		buy = m.Buy.Text()
	}
	if m.Method == kitchen.ServingsPerUnit {
		return fmt.Sprintf("by %s servings of %s per %s: %s %s, buy %s", m.Figure.Text, m.Figure.SizeText, unit, m.Units.TrimmedDecimal(Places), unit, buy)
	}
	of := "as your table has it"
	if m.WorkedOut {
		of = "worked out: 100 / " + m.Figure.Text + ", up to a tenth"
	}
	return fmt.Sprintf("by %s %s per 100 servings (%s): %s %s, buy %s", m.Value.TrimmedDecimal(Places), unit, of, m.Units.TrimmedDecimal(Places), unit, buy)
}
