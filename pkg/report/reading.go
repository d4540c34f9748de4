package report

import (
	"fmt"
	"io"
	"strings"

	"example.com/ozeq/pkg/credit"
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
	t.para("", fmt.Sprintf("Lines: %d certain, %d likely, %d unknown. Held out of every credit until somebody confirms them: %d.", certain, likely, unknown, len(d.Open)))
	open := make(map[int]bool)
	for _, o := range d.Open {
		open[o.Line] = true
	}
	t.section("INGREDIENTS, with the number to answer by")
	heading := ""
	for i := range r.Lines {
		if h := r.Lines[i].Heading; h != heading {
			heading = h
			t.para("  ", clean(h)+":")
		}
		t.readLine(i, &r.Lines[i], open[i], d, c)
	}
	if len(r.Skipped) > 0 {
		t.section("NOT TAKEN FOR INGREDIENTS")
		for _, s := range r.Skipped {
			t.para("  ", clean(strings.NewReplacer("lines[", "text line ", "]", "").Replace(s.Path)+": "+s.Text+" ("+s.Words+")"))
		}
	}
	t.line("")
	t.para("", "A likely line is a suggestion and an unknown one a question: neither credits anything before somebody has said what it is.")
	_, err := io.WriteString(w, t.b.String())
	return err
}

func (t *text) readLine(i int, l *reading.Line, open bool, d *reading.Draft, c *food.Catalog) {
	t.para(fmt.Sprintf("%4d  ", i), clean(l.Text))
	lead := func(s string) string { return "      " + pad(s, 10) }
	if !open && l.Certainty != reading.Certain {
		if at := d.At[i]; at < 0 {
			t.para(lead("left out"), "by the answer given")
		} else {
			in := &d.Recipe.Ingredients[at]
			t.para(lead("answered"), clean(choiceText(&reading.Choice{Food: in.Food, State: in.State, Basis: in.Basis, Quantity: in.Quantity}, c)))
		}
		return
	}
	t.para(lead(certaintyWords[l.Certainty]), clean(choiceText(&l.Choice, c)))
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
	if f, ok := c.Food(l.Food); ok && l.Food != "" {
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

// Drafted writes the crediting record of a draft, under the lines of its reading
// that nobody has confirmed: they credit nothing in it, and what it says of the
// whole dish is not known before they are settled.
func Drafted(w io.Writer, rec *credit.Record, r *reading.Reading, d *reading.Draft) error {
	if len(d.Open) > 0 || d.ServingsDoubt != "" {
		t := &text{}
		t.line("NOT VERIFIED: READ FROM TEXT AND NOT CONFIRMED")
		if d.ServingsDoubt != "" {
			t.para("  ! ", "Servings: "+clean(d.ServingsDoubt))
		}
		for _, o := range d.Open {
			l := &r.Lines[o.Line]
			t.para("  ! ", clean(l.Text)+" ("+l.Certainty.String()+")")
			for _, x := range l.Doubts {
				t.para("      ", clean(x.Words))
			}
		}
		if len(d.Open) > 0 {
			t.para("", "These lines credit nothing below. Whether the dish is whole grain-rich, and what it contains, is not known before they are confirmed. Do not claim by this record.")
		}
		t.line("")
		if _, err := io.WriteString(w, t.b.String()); err != nil {
			return err
		}
	}
	return Text(w, rec)
}
