package menu

import (
	"fmt"
	"slices"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules/patterns"
)

// sugarLimit is how a product's limits are looked up and scaled to its label.
type sugarLimit struct {
	total, added string
	per          int64 // ounces the limits are for
	credits      part
	units        map[string]exact.Number // label units, in ounces
}

// An ounce of food on a label is 28.35 g, as the published worksheets of these
// limits take it (6 g in an ounce is 0.212 g in a gram).
var gram = exact.Frac(100, 2835)

var sugarLimits = map[string]sugarLimit{
	"cereal":        {"product/cereal/total-sugars", "product/cereal/added-sugars", 1, grains, map[string]exact.Number{"oz": exact.Int(1), "g": gram}},
	"yogurt":        {"product/yogurt/total-sugars", "product/yogurt/added-sugars", 6, meats, map[string]exact.Number{"oz": exact.Int(1), "g": gram}},
	"flavored-milk": {"", "product/flavored-milk/added-sugars", 8, milk, map[string]exact.Number{"fl oz": exact.Int(1)}},
}

// coldCereal points cold cereal out where sources differ on whether it credits.
func (w *work) coldCereal(s *served, d *day) {
	if v, ok := d.p.Amount("cereal/cold", patterns.NoSpan); ok && s.item.ColdCereal {
		c := Check{Verdict: Met, Note: true, Rule: v.Rule.ID, Value: v, On: d.on, Item: s.item.Name, Word: v.Text}
		if v.Says("flag") {
			c.Verdict, c.Because = AtRisk, "sources differ on whether cold cereal credits at this meal; it is counted"
			c.Mend = "Ask the State agency, or serve another grain."
		}
		d.out = append(d.out, c)
	}
}

// sugars holds each product to its limit, alone and not averaged.
func (w *work) sugars(s *served, d *day, path string) {
	w.unsaidSugars(s, d)
	for i := range s.item.Sugars {
		g := &s.item.Sugars[i]
		at := fault.Index(path+".sugars", i)
		limit, ok := sugarLimits[g.Product]
		if !ok {
			w.fault(fault.UnknownValue, at+".product", g.Product, "cereal, yogurt or flavored-milk", "Leave it out for other products: they have no limit of their own.")
			continue
		}
		size, ok := limit.units[g.Unit]
		if !ok || g.Serving.Sign() <= 0 {
			w.fault(fault.OutOfRange, at+".serving", g.Serving.String()+" "+g.Unit, "the serving of the label in ounces or grams, of milk in fl oz", "Take ounces where the label has both.")
			continue
		}
		for _, n := range []*exact.Number{g.Total, g.Added} {
			if n != nil && n.Sign() < 0 {
				w.fault(fault.OutOfRange, at, n.String(), "grams, not below 0", "Take it from the label.")
			}
		}
		if d.p == nil {
			continue
		}
		share := g.Serving.Mul(size).Quo(exact.Int(limit.per))
		for _, q := range []struct {
			rule string
			is   *exact.Number
		}{{limit.total, g.Total}, {limit.added, g.Added}} {
			v, ok := d.p.Amount(q.rule, patterns.NoSpan)
			if !ok {
				continue
			}
			c := Check{Rule: q.rule, Value: v, On: d.on, Item: s.item.Name, Unit: "g", Needed: v.Number.Mul(share), Note: true, Verdict: Met}
			switch {
			case q.is == nil:
				s.waitsForLabel(w.taken, limit.credits)
				c.Verdict, c.Note = NotChecked, false
				c.Because, c.Mend = "the label's figure for this limit is not given", "Type what the label says."
			case c.Needed.Less(*q.is):
				c.There, c.Short, c.Verdict = *q.is, q.is.Sub(c.Needed), NotMet
				c.Because = fmt.Sprintf("%s g in a serving of %s %s, where at most %s g credit; the child who takes it has no credit from it", q.is.TrimmedDecimal(2), g.Serving.TrimmedDecimal(2), g.Unit, c.Needed.TrimmedDecimal(2))
				c.Mend = "Buy one with less sugar."
				s.over = true
				for v := range views {
					s.has[v][limit.credits] = exact.Number{}
				}
				s.badMilk = s.badMilk || limit.credits == milk
			default:
				c.There = *q.is
			}
			d.out = append(d.out, c)
		}
	}
}

// unsaidSugars says of products known to have a limit that the menu gives no label of
// theirs. Where the label is given the limit itself is looked at.
func (w *work) unsaidSugars(s *served, d *day) {
	if d.p == nil {
		return
	}
	eats := func(food string) bool {
		return slices.ContainsFunc(s.item.Infant, func(f InfantFood) bool { return f.Food == food })
	}
	for _, q := range []struct {
		product string
		is      bool
	}{
		{"cereal", s.item.ColdCereal || eats("ready-to-eat-cereal")},
		{"yogurt", s.item.YogurtForMilk.Sign() > 0 || eats("yogurt")},
		{"flavored-milk", s.item.Milk != nil && s.item.Milk.Flavored && !s.badMilk},
	} {
		if !q.is || slices.ContainsFunc(s.item.Sugars, func(g Sugars) bool { return g.Product == q.product }) {
			continue
		}
		for _, rule := range []string{sugarLimits[q.product].total, sugarLimits[q.product].added} {
			if v, ok := d.p.Amount(rule, patterns.NoSpan); ok {
				s.waitsForLabel(w.taken, sugarLimits[q.product].credits)
				d.out = append(d.out, Check{Verdict: NotChecked, Rule: rule, Value: v, On: d.on, Item: s.item.Name, Unit: "g",
					Because: "what its label says of sugars is not given", Mend: "Type the serving and the sugars of the label."})
			}
		}
	}
}

// waitsForLabel lets a credit of a tray wait for the label. On a menu the open limit is
// a check of its own that keeps it from being met; a tray is met by what is counted.
func (s *served) waitsForLabel(onTray bool, credit part) {
	if onTray {
		s.has[documented][credit] = exact.Number{}
	}
}
