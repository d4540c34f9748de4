package report

import (
	"io"
	"strings"

	"example.com/ozeq/pkg/kitchen"
)

// Cautions writes what a recipe calls for care with.
func Cautions(w io.Writer, c *kitchen.Cautions) error { return writeCautions(w, c, nil) }

// MenuCautions writes what the items of a menu call for care with.
func MenuCautions(w io.Writer, c *kitchen.MenuCautions) error {
	return writeCautions(w, &c.Cautions, c.Unread)
}

func writeCautions(w io.Writer, c *kitchen.Cautions, unread []kitchen.CautionLine) error {
	t := &text{}
	t.line("CAUTIONS")
	t.para("", clean(c.Name))
	t.para("", "By the catalog's entries. They support, and never replace, label checks, local codes and licensed practice. What is not listed is not known to be absent.")
	t.section("ALLERGENS")
	for i := range c.Allergens {
		a := &c.Allergens[i]
		t.cautionLines(pad(a.ID, 22), a.Lines)
	}
	if len(c.Allergens) == 0 {
		known := ""
		if len(c.NotKnown)+len(unread) > 0 {
			known = " for the foods whose allergens are known here"
		}
		t.para("  ", "None listed"+known+". That is not the same as allergen-free: read every label.")
	}
	if len(c.NotKnown)+len(unread) > 0 {
		t.section("ALLERGENS NOT KNOWN - read the label")
		t.cautionLines("", c.NotKnown)
		if len(unread) > 0 {
			t.para("  ", "No foods are given of these items, so nothing is known about them here:")
		}
		for _, l := range unread {
			t.para("  - ", clean(placeText(l)))
		}
	}
	t.section("GLUTEN")
	if c.Gluten.Listed {
		t.cautionLines(pad("contains", 22), c.Gluten.Lines)
	} else if len(unread) > 0 {
		t.para("  ", "No gluten-containing ingredient listed in the items whose foods are given; read each label.")
	} else {
		t.para("  ", "No gluten-containing ingredient listed; read each label.")
	}
	if len(c.Gluten.Ask) > 0 {
		t.cautionLines(pad("the label decides", 22), c.Gluten.Ask)
	}
	if len(c.Gluten.Oats) > 0 {
		t.cautionLines(pad("oats", 22), c.Gluten.Oats)
		t.para("  ", "Oats are gluten-free only when labeled so.")
	}
	if len(c.Choking) > 0 {
		t.section("CHOKING, CHILDREN UNDER 4 - cut, chop, cook soft or leave out")
		t.cautionLines("", c.Choking)
		t.para("  ", "The catalog marks nuts, seeds, dried fruit, popcorn and large round foods. Hard raw vegetables and fruit, cubes of cheese, chunks of meat and spoonfuls of nut butter are hazards too, and are not marked.")
	}
	if len(c.Honey)+len(c.Juice) > 0 {
		t.section("INFANTS")
		if len(c.Honey) > 0 {
			t.cautionLines("", c.Honey)
			t.para("  ", "Honey: never before 12 months of age, cooked or not.")
		}
		if len(c.Juice) > 0 {
			t.cautionLines("", c.Juice)
			t.para("  ", "Juice is no food of the infant pattern.")
		}
	}
	_, err := io.WriteString(w, t.b.String())
	return err
}

// cautionLines writes lines, those of one item of a menu together.
func (t *text) cautionLines(lead string, lines []kitchen.CautionLine) {
	var names []string
	for _, l := range lines {
		names = append(names, placeText(l))
	}
	t.para("  "+lead, clean(strings.Join(names, "; ")))
}

// placeText names a line with where it stands.
func placeText(l kitchen.CautionLine) string {
	s := l.Name
	if l.PartOf != "" && l.PartOf != l.Name {
		s += " (in " + l.PartOf + ")"
	}
	if l.Item == "" {
		return s
	}
	if l.Item != l.Name {
		s += " in " + l.Item
	}
	s += ", from " + l.On.String()
	if l.Line != "" {
		s += ", line " + l.Line
	}
	return s
}
