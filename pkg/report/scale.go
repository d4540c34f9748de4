package report

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
)

// Scale writes a batch of another size for a cook: what to take of each
// ingredient, what a portion credits as written, exactly and as measured, and what
// is to be looked at.
func Scale(w io.Writer, s *kitchen.Scaled) error {
	t := &text{r: s.Record}
	t.line("SCALED BATCH")
	t.para("", clean(s.Kitchen.Name))
	t.para("", fmt.Sprintf("%s, served %s", s.Record.Program.Name, s.Record.On))
	head := fmt.Sprintf("%s times the batch: %s", s.Factor, servingsText(fmt.Sprint(s.Kitchen.Servings)))
	if !s.Pans.IsZero() {
		head += ", " + s.Pans.String() + " pans"
	}
	t.para("", head)
	t.portions(s)
	t.para("", roundText[s.Round])
	t.section("TAKE")
	for i := range s.Ingredients {
		in := &s.Ingredients[i]
		t.named(in.Name, takeText(in.Measured)+t.other(in.Also), "as written "+in.Before.Text())
	}
	for _, b := range s.SubRecipes {
		t.named(b.Name, batchesText(b.Kitchen)+" of its own recipe", exactlyText(b.Batches, b.Kitchen))
	}
	of := max(1, len(s.Exact.Portions))
	for p := range of {
		title := "ONE PORTION CREDITS, as written, with exact amounts and as measured here"
		if of > 1 {
			title = fmt.Sprintf("PORTION %d %s CREDITS, as written, with exact amounts and as measured here", p+1, s.Kitchen.Portions[p].Name)
		}
		t.section(title)
		t.sides(PortionOf(s.Before, p, of), PortionOf(s.ExactRecord, p, of), PortionOf(s.Record, p, of))
	}
	t.toKnow("LOST BY MEASURES", kitchenFindings(s, true))
	t.toKnow("TO KNOW AND TO CHECK", kitchenFindings(s, false))
	t.kitchenFoot()
	_, err := io.WriteString(w, t.b.String())
	return err
}

// roundText says which way amounts went to measures.
var roundText = map[kitchen.Direction]string{
	kitchen.Up:      "Amounts go up to the next measure a kitchen has.",
	kitchen.Down:    "Amounts go down to the next measure a kitchen has.",
	kitchen.Nearest: "Amounts go to the nearest measure a kitchen has, up or down.",
}

// PortionOf is the record of one of the portions of a batch that has so many.
// Records of statements, which may come along too, stand before those of portions.
func PortionOf(r *credit.Record, portion, of int) *credit.Record {
	if portion == 0 {
		return r
	}
	return r.Also[len(r.Also)-of+portion]
}

func (t *text) portions(s *kitchen.Scaled) {
	for i := range s.Kitchen.Portions {
		p := &s.Kitchen.Portions[i]
		var say []string
		if p.Name != "" {
			say = append(say, p.Name)
		}
		for _, q := range []measure.Quantity{p.Weight, p.Measure} {
			if !q.IsZero() {
				say = append(say, q.Text())
			}
		}
		if p.Scoop > 0 {
			say = append(say, fmt.Sprintf("scoop no. %d", p.Scoop))
		}
		if p.Servings > 0 {
			say = append(say, fmt.Sprintf("%d of this size", p.Servings))
		}
		if len(say) > 0 {
			t.para("", "Portion: "+clean(strings.Join(say, ", ")))
		}
	}
}

// takeColumn is the column after the name of an ingredient.
const takeColumn = 30

// named writes a name, what to take, and a remark below it.
func (t *text) named(name, take, remark string) {
	lead := "  " + strings.Join(strings.Fields(clean(name)), " ")
	if utf8.RuneCountInString(lead) >= takeColumn {
		t.para("  ", lead[2:])
		lead = ""
	}
	t.para(pad(lead, takeColumn), take)
	if remark != "" {
		t.para(strings.Repeat(" ", takeColumn+2), remark)
	}
}

// takeText is what a cook takes, and the exact amount where it is another.
func takeText(m kitchen.Measured) string {
	s := m.Kitchen.Text()
	if m.Kitchen.Amount().Equal(m.Exact.Amount()) {
		return s
	}
	return s + " (exactly " + longText(m.Exact) + ")"
}

// longText writes an amount as it is, or cut to decimals where its fraction is none
// that a kitchen says.
func longText(q measure.Quantity) string {
	if _, under, is := strings.Cut(q.Amount().String(), "/"); is && len(under) > 2 {
		unit := q.Unit()
		if u, ok := measure.UnitByID(strings.TrimLeft(q.Text(), "0123456789/. ")); ok {
			unit = u // the one it is written in
		}
		n, _ := q.In(unit)
		return n.DecimalText(Places) + " " + unit.ID
	}
	return q.Text()
}

func (t *text) other(o *kitchen.OtherMeasure) string {
	if o == nil {
		return ""
	}
	about := "; or "
	if o.Estimate {
		about = "; or about "
	}
	return about + o.Kitchen.Text()
}

func batchesText(n exact.Number) string {
	if n.Equal(exact.Int(1)) {
		return "1 batch"
	}
	return shortText(n) + " batches"
}

func shortText(n exact.Number) string {
	if _, under, _ := strings.Cut(n.String(), "/"); len(under) > 2 {
		return n.DecimalText(Places)
	}
	return n.String()
}

func exactlyText(exactly, kitchen exact.Number) string {
	if exactly.Equal(kitchen) {
		return ""
	}
	return "exactly " + shortText(exactly)
}

// sides writes what records of the same portion credit, one beside another; what
// differs from the first has a star.
func (t *text) sides(records ...*credit.Record) {
	type key struct {
		component food.Component
		subgroup  food.Subgroup
	}
	var keys []key
	for _, r := range records {
		for i := range r.Credits {
			if k := (key{r.Credits[i].Component, r.Credits[i].Subgroup}); !slices.Contains(keys, k) {
				keys = append(keys, k)
			}
		}
	}
	if len(keys) == 0 {
		t.line("  Nothing: no ingredient credits toward a component.")
		return
	}
	slices.SortStableFunc(keys, func(a, b key) int { return min(1, int(a.subgroup)) - min(1, int(b.subgroup)) })
	for _, k := range keys {
		name, line := "  "+k.component.Title(), ""
		if k.subgroup != food.NoSubgroup {
			name = "    " + k.subgroup.Title()
		}
		var first exact.Number
		var last *credit.Credit
		for i, r := range records {
			c, _ := r.SubgroupCredit(k.component, k.subgroup)
			if i == 0 {
				first = c.Credited
			}
			cell := amountText(c.Credited, r.Unit(k.component))
			if !c.Credited.Equal(first) {
				cell += " *"
			}
			line += padLeft(cell, 16)
			last = &c
		}
		if last.Claimable.Less(last.Credited) {
			t.line(pad(name, 22) + line)
			name, line = "", "of which claimable now "+amountText(last.Claimable, records[len(records)-1].Unit(k.component))
		}
		t.line(pad(name, 22) + line)
	}
}

// said is a finding in words.
type said struct {
	severity credit.Severity
	words    string
}

func kitchenFindings(s *kitchen.Scaled, lost bool) []said {
	var out []said
	for _, f := range s.Findings {
		if (f.Reason == kitchen.StepLost) == lost {
			out = append(out, said{f.Severity, f.Text})
		}
	}
	return out
}

func (t *text) toKnow(title string, list []said) {
	if len(list) == 0 {
		return
	}
	t.section(title)
	for _, f := range list {
		mark := "  - "
		if f.severity >= credit.Check {
			mark = "  ! "
		}
		t.para(mark, clean(f.words))
	}
}

func (t *text) kitchenFoot() {
	t.line("")
	t.para("", "Credits are the engine's for the recipe as it stands here; credit it by itself for the work and the papers behind it. Allergen, gluten, choking and infant notes of that record support, and never replace, label checks, local codes and licensed practice.")
}
