package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules"
)

// kindWords are what became of a question, as reports print it.
var kindWords = map[menu.Kind]string{
	menu.NewlyNotMet: "NEWLY NOT MET", menu.FurtherNotMet: "NOT MET BEFORE EITHER, and short by more", menu.NewlyAtRisk: "NOW AT RISK",
	menu.NewlyNotChecked: "NOW NOT CHECKED", menu.NewlyMet: "NEWLY MET", menu.NoLongerAsked: "NO LONGER ASKED, and was not checked",
}

// LookAhead writes a look-ahead for a person: for each coming date what differs,
// worst first, the rule that makes the difference and what to change.
func LookAhead(w io.Writer, m *menu.Menu, a *menu.LookAhead) error {
	t := &text{}
	t.line("LOOK-AHEAD")
	t.para("", clean(strings.Join(words(m.Program, m.Meal, m.AgeGroup, m.Site), ", ")))
	first, last := daysOf(a.Own)
	t.para("", fmt.Sprintf("On its own dates, %s: %s.", fromTo(first, last), strings.ToUpper(verdictWords[a.Own.Verdict()][0])))
	before := &menu.Coming{}
	for i := range a.Coming {
		t.coming(&a.Coming[i], before)
		before = &a.Coming[i]
	}
	t.line("")
	if len(a.Coming) == 0 {
		t.para("", "No later change of these rules is known: nothing differs.")
	}
	t.para("", fmt.Sprintf("The data know of changes until %s; the newest paper they were read from is of %s. A rule published later is not in them.", a.LastChange, a.Newest))
	_, err := io.WriteString(w, t.b.String())
	return err
}

// daysOf returns the first and last day of a review.
func daysOf(r *menu.Review) (first, last rules.Date) {
	for _, p := range r.Patterns {
		if first.IsZero() || p.On.Before(first) {
			first = p.On
		}
		if p.On.After(last) {
			last = p.On
		}
	}
	return first, last
}

func fromTo(first, last rules.Date) string {
	if first == last {
		return first.String()
	}
	return first.String() + " to " + last.String()
}

// coming writes a date: what it adds to the one before is written out, and the rest
// named.
func (t *text) coming(c, before *menu.Coming) {
	t.line("")
	head := "FROM " + c.On.String()
	if c.Asked {
		head += " (asked)"
	}
	t.para("", head+": "+strings.ToUpper(verdictWords[c.Verdict()][0])+", with its days moved to "+fromTo(c.First, c.Last))
	for _, d := range c.Also {
		t.para("  ", "The change of "+d.String()+" is in it: no such week falls between the two.")
	}
	if c.Faults != nil {
		for _, f := range c.Faults.Faults {
			t.para("  - ", clean("cannot be reviewed there: "+f.Error()))
		}
	}
	if c.Review != nil && len(c.Differences) == 0 {
		t.para("  ", "Nothing differs.")
	}
	var added []menu.Difference
	var names []string
	for _, d := range c.Differences {
		if !slices.ContainsFunc(before.Differences, func(e menu.Difference) bool { return sameDifference(&d, &e) }) {
			added = append(added, d)
		} else if s := title(d.Check()) + " (" + strings.ToLower(kindWords[d.Kind]) + ")"; !slices.Contains(names, s) {
			names = append(names, s)
		}
	}
	t.ahead(added)
	if len(names) > 0 {
		t.para("  ", clean("As from "+before.On.String()+": "+strings.Join(names, "; ")+"."))
	}
	var rest []string
	for _, x := range c.Changes {
		used := slices.ContainsFunc(c.Differences, func(d menu.Difference) bool { return slices.Contains(d.Changes, x) })
		if s := x.Title + " (" + change(&x) + ")"; !used && !slices.Contains(before.Changes, x) && !slices.Contains(rest, s) {
			rest = append(rest, s)
		}
	}
	if len(rest) > 0 {
		t.para("  ", clean("Changes of rules that change no answer here: "+strings.Join(rest, "; ")+"."))
	}
}

// sameDifference reports whether two dates make the same of a question.
func sameDifference(a, b *menu.Difference) bool {
	x, y := a.Check(), b.Check()
	return a.Kind == b.Kind && a.On == b.On && x.Note == y.Note && x.Line == y.Line && x.Rule == y.Rule && x.Item == y.Item && x.Needed.Equal(y.Needed) && x.There.Equal(y.There) && slices.Equal(a.Changes, b.Changes)
}

// change says from what to what a rule goes.
func change(c *menu.Change) string {
	was, is := c.Was, c.Is
	if was == "" {
		was = "not known"
	}
	if is == "" {
		is = "not known"
	}
	return was + " -> " + is
}

// kinds writes the heads of a list of differences as they come up.
type kinds struct {
	t     *text
	kind  menu.Kind
	noted bool
}

func (k *kinds) head(d *menu.Difference) {
	if d.Check().Note && !k.noted {
		k.noted, k.kind = true, 0
		k.t.line("  Notes")
	}
	if d.Kind != k.kind {
		k.kind = d.Kind
		k.t.line("  " + kindWords[d.Kind])
	}
}

// ahead writes what a coming date changes, alike differences of several days once.
func (t *text) ahead(list []menu.Difference) {
	said := make([]bool, len(list))
	heads := kinds{t: t}
	for i := range list {
		d := &list[i]
		if said[i] {
			continue
		}
		heads.head(d)
		c := d.Check()
		when := "the week"
		if !d.On.IsZero() {
			when = "the menu's " + d.On.String()
			for k := i + 1; k < len(list); k++ {
				e := list[k]
				if on := e.On; !on.IsZero() {
					if e.On = d.On; sameDifference(d, &e) && slices.Equal(d.Items, e.Items) {
						said[k] = true
						when += ", " + on.String()
					}
				}
			}
		}
		for _, s := range words(c.Line, c.Item) {
			when += ", " + s
		}
		t.para("  - ", clean(title(c)+"; "+when))
		t.para("    ", clean("was "+answer(d.Was)+"; is "+answer(d.Is)))
		if d.Is != nil && d.Is.Because != "" {
			t.para("    because ", clean(shorten(d.Is.Because)))
		}
		for k := range d.Changes {
			x := &d.Changes[k]
			t.para("    rule ", clean(x.Rule+": "+change(x)+", from "+x.On.String()+"; "+x.Citation))
		}
		if len(d.Changes) == 0 {
			t.para("    rule ", clean(rule(c)))
		}
		if len(d.Items) > 0 && d.Kind != menu.NewlyMet && d.Kind != menu.NoLongerAsked {
			t.para("    to change: ", clean(shorten(strings.Join(d.Items, ", "))))
		}
		if d.Is != nil && d.Is.Mend != "" && len(d.Items) == 0 {
			t.para("    to mend: ", clean(shorten(d.Is.Mend)))
		}
	}
}

// rule is the id of a check's rule and where it stands.
func rule(c *menu.Check) string {
	if s := c.Citation(); s != "" {
		return c.Rule + "; " + s
	}
	return c.Rule
}

// answer writes a verdict and the amounts behind it.
func answer(c *menu.Check) string {
	if c == nil {
		return "not asked"
	}
	s := verdictWords[c.Verdict][0]
	if c.Needed.IsZero() && c.There.IsZero() || c.Verdict == menu.NotChecked {
		return s
	}
	limit, off := bound(c)
	unit, _, _ := strings.Cut(c.Unit, ",")
	s += " (" + limit + " " + readable(c.Needed) + ", there " + readable(c.There)
	if !c.Short.IsZero() {
		s += ", " + off + " by " + readable(c.Short)
	}
	return s + " " + unit + ")"
}
