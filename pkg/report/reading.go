package report

import (
	"fmt"
	"io"
	"strings"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen/reading"
)

// certaintyWords are what a reading prints of how sure a line is.
var certaintyWords = map[reading.Certainty]string{reading.Certain: "certain", reading.Likely: "LIKELY", reading.Unknown: "UNKNOWN"}

// Reading writes a recipe as it was read: what is certain, and of everything else
// what is to be confirmed or told, with the other readings. The catalog names the
// foods.
func Reading(w io.Writer, r *reading.Reading, d *reading.Draft, c *food.Catalog) error {
	t := &text{}
	t.line("READING")
	name := r.Name
	if name == "" {
		name = "no name was found"
	}
	t.para("", clean(name))
	switch {
	case d.ServingsDoubt != "":
		t.para("! ", "Servings: "+clean(d.ServingsDoubt))
	default:
		t.para("", servingsText(fmt.Sprint(d.Recipe.Servings)))
	}
	if r.PortionDoubt != "" {
		t.para("! ", "Portion: "+clean(r.PortionDoubt))
	} else if r.PortionText != "" {
		t.para("", clean(r.PortionText))
	}
	certain, likely, unknown := r.Count()
	t.para("", fmt.Sprintf("%d lines certain, %d likely, %d unknown; %d held out of every credit until somebody confirms them.", certain, likely, unknown, len(d.Open)))
	open := make(map[int]bool)
	for _, o := range d.Open {
		open[o.Line] = true
	}
	t.section("INGREDIENTS, with the number to answer by")
	for i := range r.Lines {
		t.readLine(i, &r.Lines[i], open[i], c)
	}
	if len(r.Skipped) > 0 {
		t.section("NOT TAKEN FOR INGREDIENTS")
		for _, s := range r.Skipped {
			t.para("  ", clean(s.Path+": "+s.Text+" ("+s.Words+")"))
		}
	}
	t.line("")
	t.para("", "A likely line is a suggestion and an unknown one a question: neither credits anything before somebody has said what it is.")
	_, err := io.WriteString(w, t.b.String())
	return err
}

func (t *text) readLine(i int, l *reading.Line, open bool, c *food.Catalog) {
	t.para(fmt.Sprintf("%4d  ", i), clean(l.Text))
	if !open && l.Certainty != reading.Certain {
		t.line("      answered")
		return
	}
	t.para("      "+pad(certaintyWords[l.Certainty], 10), clean(choiceText(&l.Choice, c)))
	for _, x := range l.Doubts {
		t.para("      ! ", clean(x.Words))
	}
	for k := range l.Alternatives {
		a := &l.Alternatives[k]
		t.para(fmt.Sprintf("      %d. ", k+1), clean("or "+choiceText(&a.Choice, c)+": "+a.Words))
	}
}

// choiceText writes a reading of a line.
func choiceText(l *reading.Choice, c *food.Catalog) string {
	var parts []string
	if l.Quantity.IsZero() {
		parts = append(parts, "amount not told")
	} else {
		parts = append(parts, l.Quantity.Text())
	}
	if f, ok := c.Food(l.Food); ok {
		parts = append(parts, f.Name+" ("+f.ID+")")
	} else {
		parts = append(parts, "food not told")
	}
	for _, s := range []string{l.State, l.Basis} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, ", ")
}
