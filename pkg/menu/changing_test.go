package menu_test

import (
	"testing"

	"example.com/ozeq/pkg/menu"
)

// Two lines that each reach the week, small on different days.
func TestChildrenWhoChangeLines(t *testing.T) {
	line := func(name string, amounts ...string) menu.Line {
		l := menu.Line{Name: name}
		for i, a := range amounts {
			l.Days = append(l.Days, plate(schoolWeek[i], item("Plate", "grains", a)))
		}
		return l
	}
	m := menu.Menu{Program: "school-lunch", AgeGroup: "k-5", Lines: []menu.Line{line("hot", "1", "3", "1"), line("cold", "3", "1", "1")}}
	r := review(t, m)
	for _, name := range []string{"hot", "cold"} {
		if c := check(t, r, name, "least/grains", ""); c.Verdict != menu.Met {
			t.Errorf("%s: %s", name, c.Verdict)
		}
	}
	c := check(t, r, "", "least/grains", "")
	if !c.Note || c.There.Fraction() != "3" || c.Short.Fraction() != "2" {
		t.Errorf("%+v", c)
	}
	m.Lines[1] = line("cold", "1", "3", "1")
	if _, ok := find(review(t, m), "", "least/grains", "", ""); ok {
		t.Error("lines that are small on the same days are pointed out")
	}
}
