package report

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/ozeq/pkg/menu"
)

// recordWords are what a check of a record itself asks.
var recordWords = map[string]string{
	menu.Contents:   "not written down",
	menu.AddsUp:     "served and left over against prepared",
	menu.PlannedAll: "what was planned",
	menu.MealsItems: "servings against meals",
	menu.EveryChild: "offered to every child",
}

// Production writes a production record as the paper a review of the site reads:
// what was planned, prepared, served and left over, what was served in place of
// something else or ran out, then what does not add up, and the meal of each group
// as planned beside as served.
func Production(w io.Writer, p *menu.Production, r *menu.ProductionReview) error {
	t := &text{}
	t.line("PRODUCTION RECORD")
	site := p.Site
	if site == "" {
		site = "(site not written down)"
	}
	head := []string{site, p.On.String()}
	if len(p.Plans) > 0 {
		head = append(head, words(p.Plans[0].Program, p.Plans[0].Meal)...)
	}
	switch p.OfferVersusServe {
	case "yes":
		head = append(head, "offer versus serve")
	case "no":
		head = append(head, "every child is served the whole meal")
	default:
		head = append(head, "offer versus serve or not: not written down")
	}
	t.para("", clean(strings.Join(head, ", ")))
	t.para("", "Verdict: "+strings.ToUpper(verdictWords[r.Verdict()][0])+".")
	t.meals(p)
	t.foods(p)
	t.events(p)
	t.ofRecord(r)
	for i := range r.Groups {
		t.group(&r.Groups[i])
	}
	if len(r.Keep) > 0 {
		t.line("")
		t.line("Keep")
		for _, v := range r.Keep {
			s := v.Rule.Title + ": " + v.Text
			if v.Unit != "" {
				s += " " + v.Unit
			}
			s += "; " + v.Source.Citation()
			if menu.Recalled(v) {
				s += " (recalled, not read)"
			}
			t.para("  - ", clean(s))
		}
	}
	t.line("")
	t.para("", "A review supports, and does not replace, the State agency's decision. What is not checked is not met.")
	_, err := io.WriteString(w, t.b.String())
	return err
}

func (t *text) meals(p *menu.Production) {
	t.line("")
	var list []string
	for _, m := range p.Meals {
		what := "reimbursable, " + m.For
		if m.For == menu.Adults || m.For == menu.Seconds || m.For == menu.ALaCarte {
			what = m.For
		}
		list = append(list, what+" "+written(m.Served))
	}
	if len(list) == 0 {
		list = []string{"not written down"}
	}
	t.para("Meals served: ", clean(strings.Join(list, "; ")))
}

// written writes a count; nobody knows what was not written down.
func written(c menu.Count) string {
	if !c.Said {
		return "-"
	}
	return strconv.Itoa(c.N)
}

// The columns of food: what it is, then four numbers.
const (
	labelWidth  = 40
	columnWidth = 10
)

// portionRow writes a label and four cells under their heads.
func (t *text) portionRow(lead, label string, cells [4]string) {
	lead = "  " + lead
	lines := wrap(label, labelWidth-6)
	for i, l := range lines {
		if i == 1 {
			lead += "  "
		}
		if i < len(lines)-1 {
			t.line(lead + l)
			continue
		}
		s := pad(lead+l, labelWidth)
		for _, c := range cells {
			s += strings.Repeat(" ", max(1, columnWidth-utf8.RuneCountInString(c))) + c
		}
		t.line(s)
	}
}

func (t *text) foods(p *menu.Production) {
	t.line("")
	t.portionRow("", "Food, by whom it was for", [4]string{"planned", "prepared", "served", "left over"})
	unsaid := false
	for i := range p.Items {
		it := &p.Items[i]
		s := it.Item
		switch {
		case it.Recipe != "":
			s += " - recipe " + it.Recipe
			if it.RecipeNumber != "" {
				s += ", no. " + it.RecipeNumber
			}
		case it.Product != "":
			s += " - product " + it.Product
			if it.ProductCode != "" {
				s += ", code " + it.ProductCode
			}
		default:
			s += " - recipe or product not written down"
		}
		if kind := milkKind(p, it.Item); kind != "" {
			s += "; " + kind
		}
		if it.Extra {
			s += " (beside the menu)"
		}
		if it.Planned.Said {
			s += "; planned in all " + strconv.Itoa(it.Planned.N)
		}
		t.para("  ", clean(s))
		for k := range it.Portions {
			x := &it.Portions[k]
			portion := x.Portion
			if portion == "" {
				portion = "portion not written down"
			}
			t.portionRow("  ", clean(x.For+": "+portion), [4]string{written(x.Planned), written(x.Prepared), written(x.Served), written(x.LeftOver)})
			unsaid = unsaid || !x.Planned.Said || !x.Prepared.Said || !x.Served.Said || !x.LeftOver.Said
		}
		var readings []string
		for _, x := range it.Temperatures {
			readings = append(readings, strings.Join(words(x.When, x.Reading), " "))
		}
		if len(readings) > 0 {
			t.para("    ", clean("temperatures: "+strings.Join(readings, "; ")))
		}
	}
	if unsaid {
		t.line("  - is not written down")
	}
}

// milkKind says of which kind a milk of the menu is, empty for what is none.
func milkKind(p *menu.Production, name string) string {
	say := func(m *menu.Milk) string {
		if m.Flavored {
			return strings.Join(words(m.Fat+" milk, flavored", m.Flavor), " ")
		}
		return m.Fat + " milk, unflavored"
	}
	for i := range p.Substitutions {
		if it := &p.Substitutions[i].Served; it.Name == name && it.Milk != nil {
			return say(it.Milk)
		}
	}
	for i := range p.Plans {
		for _, l := range p.Plans[i].Lines {
			for _, d := range l.Days {
				if d.On != p.On {
					continue
				}
				for _, c := range d.Choices {
					for k := range c.Items {
						if it := &c.Items[k]; it.Name == name && it.Milk != nil {
							return say(it.Milk)
						}
					}
				}
			}
		}
	}
	return ""
}

func (t *text) events(p *menu.Production) {
	if len(p.Substitutions)+len(p.RanOut) == 0 {
		return
	}
	t.line("")
	t.line("Substitutions, and what ran out")
	scope := func(line, group string) string {
		s := ""
		if line != "" {
			s += ", line " + line
		}
		if group != "" {
			s += ", " + group
		}
		return s
	}
	for i := range p.Substitutions {
		s := &p.Substitutions[i]
		x := s.Served.Name + " for " + s.Planned
		switch {
		case s.From != "":
			x += " from " + s.From
		case s.Servings == 0:
			x += ", the whole service"
		}
		if s.Servings > 0 {
			x += ", " + strconv.Itoa(s.Servings) + " servings"
		}
		x += scope(s.Line, s.AgeGroup)
		if s.Reason != "" {
			x += ": " + s.Reason
		}
		t.para("  - ", clean(x))
	}
	for i := range p.RanOut {
		o := &p.RanOut[i]
		x := o.Item + " ran out"
		if o.At != "" {
			x += " at " + o.At
		}
		x += scope(o.Line, o.AgeGroup)
		if o.After.Said {
			x += "; reimbursable meals after it: " + strconv.Itoa(o.After.N)
		} else {
			x += "; meals after it: not written down"
		}
		t.para("  - ", clean(x))
	}
}

// ofRecord writes what was found of the record itself, the worst first.
func (t *text) ofRecord(r *menu.ProductionReview) {
	head := false
	for _, v := range []menu.Verdict{menu.NotMet, menu.AtRisk, menu.NotChecked, menu.Met} {
		for i := range r.Checks {
			c := &r.Checks[i]
			if c.Verdict != v {
				continue
			}
			if !head {
				head = true
				t.line("")
				t.line("The record")
			}
			what, ok := recordWords[c.Rule]
			if !ok {
				what = title(c)
			}
			s := verdictWords[c.Verdict][0]
			if c.Note {
				s = "note"
			}
			for _, x := range []string{c.Item, c.Line} {
				if x != "" {
					s += ", " + x
				}
			}
			t.para("  - ", clean(s+": "+what))
			t.para("    ", clean(c.Because))
			if c.Mend != "" {
				t.para("    to mend: ", clean(c.Mend))
			}
			if cite := c.Citation(); cite != "" && c.Verdict != menu.Met {
				t.para("    rule ", clean(cite))
			}
		}
	}
	if !head {
		t.line("")
		t.line("The record holds what is asked and adds up.")
	}
}

// group writes the meal of a group as planned and as served.
func (t *text) group(g *menu.ServedGroup) {
	t.line("")
	t.para("", clean(fmt.Sprintf("%s: planned %s, as served %s", g.AgeGroup, strings.ToUpper(verdictWords[g.Planned.Verdict()][0]), strings.ToUpper(verdictWords[g.Served.Verdict()][0]))))
	if len(g.Differences) == 0 {
		t.para("  ", "What was served answers every question as the plan does.")
	}
	t.served(g.Differences)
	for _, x := range []struct {
		v    menu.Verdict
		head string
	}{{menu.NotMet, "The plan itself is not met in"}, {menu.NotChecked, "Not checked in the plan"}} {
		var names []string
		for _, c := range g.Planned.Of(x.v) {
			if n := title(&c); !c.Note && !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
		if len(names) > 0 {
			t.para("  ", clean(x.head+": "+strings.Join(names, "; ")+"."))
		}
	}
}

// served writes what the service made of the plan: each offer with all it changed.
func (t *text) served(list []menu.Difference) {
	heads := kinds{t: t}
	said := make([]bool, len(list))
	for i := range list {
		d := &list[i]
		if said[i] {
			continue
		}
		heads.head(d)
		c := d.Check()
		when := "the week"
		if !d.On.IsZero() {
			when = d.On.String()
		}
		t.para("  - ", clean(strings.Join(words(when, c.Line), ", ")))
		var because, mends, rules []string
		add := func(to *[]string, s string) {
			if s != "" && !slices.Contains(*to, s) {
				*to = append(*to, s)
			}
		}
		for k := i; k < len(list); k++ {
			e := &list[k]
			x := e.Check()
			if e.Kind != d.Kind || e.On != d.On || x.Line != c.Line || x.Note != c.Note {
				continue
			}
			said[k] = true
			name := title(x)
			if x.Item != "" {
				name += ", " + x.Item
			}
			t.para("    ", clean(name+": was "+answer(e.Was)+"; is "+answer(e.Is)))
			if e.Is != nil {
				add(&because, e.Is.Because)
				add(&mends, e.Is.Mend)
			}
			add(&rules, x.Citation())
		}
		for _, x := range []struct {
			lead string
			list []string
		}{{"    because ", because}, {"    to mend: ", mends}, {"    rule ", rules}} {
			for _, s := range x.list {
				t.para(x.lead, clean(s))
			}
		}
	}
}
