package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/menu"
)

// verdictWords are the verdicts as a review prints them, and what each section
// is headed with.
var verdictWords = map[menu.Verdict][2]string{
	menu.NotMet:     {"NOT MET", "NOT MET - the menu falls short here"},
	menu.AtRisk:     {"AT RISK", "AT RISK - met only if what it rests on holds"},
	menu.NotChecked: {"NOT CHECKED", "NOT CHECKED - the menu or the rules do not tell"},
	menu.Met:        {"met", ""},
}

// Review writes a review for a person: the verdict, what is to be mended, and
// the amounts of the days and of the week with a bar and a word for each.
func Review(w io.Writer, m *menu.Menu, r *menu.Review) error {
	t := &text{}
	t.line("MENU REVIEW")
	t.para("", clean(strings.Join(words(m.Program, m.Meal, m.AgeGroup, m.Site), ", ")))
	count := make(map[menu.Verdict]int)
	for i := range r.Checks {
		if !r.Checks[i].Note {
			count[r.Checks[i].Verdict]++
		}
	}
	t.para("", fmt.Sprintf("Verdict: %s. %d checks: %d not met, %d at risk, %d not checked, %d met.", strings.ToUpper(verdictWords[r.Verdict()][0]),
		len(r.Checks)-notes(r), count[menu.NotMet], count[menu.AtRisk], count[menu.NotChecked], count[menu.Met]))
	for _, v := range []menu.Verdict{menu.NotMet, menu.AtRisk} {
		t.findings(verdictWords[v][1], r.Of(v))
	}
	t.notChecked(r.Of(menu.NotChecked))
	t.amounts(r)
	t.line("")
	t.para("", "A review supports, and does not replace, the State agency's decision. What is not checked is not met.")
	_, err := io.WriteString(w, t.b.String())
	return err
}

// words leaves out what is empty.
func words(list ...string) []string {
	var out []string
	for _, s := range list {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}

func notes(r *menu.Review) int {
	n := 0
	for i := range r.Checks {
		if r.Checks[i].Note {
			n++
		}
	}
	return n
}

// when says which line and day, or week, a check is of.
func when(c *menu.Check) string {
	s := "the week"
	if !c.On.IsZero() {
		s = c.On.String()
	} else if c.Days > 0 {
		s = fmt.Sprintf("the week of %d days", c.Days)
	}
	if c.Line != "" {
		s += ", line " + c.Line
	}
	if c.Item != "" {
		s += ", " + c.Item
	}
	return s
}

// title says what a check asks.
func title(c *menu.Check) string {
	if c.Rule == menu.Subgroups {
		return "All vegetable subgroups on one way through the week"
	}
	if c.Value != nil && c.Value.Rule != nil && c.Value.Rule.Title != "" {
		return c.Value.Rule.Title
	}
	return c.Rule
}

func (t *text) findings(head string, list []menu.Check) {
	if len(list) == 0 {
		return
	}
	t.line("")
	t.para("", head)
	for i := range list {
		c := &list[i]
		t.para("  - ", clean(when(c)+": "+title(c)))
		if !c.Needed.IsZero() || !c.There.IsZero() {
			s := "needed " + amountText(c.Needed, c.Unit) + ", there " + amountText(c.There, c.Unit)
			if !c.Short.IsZero() {
				s += ", off by " + amountText(c.Short, c.Unit)
			}
			t.para("    ", clean(s))
		}
		if c.Because != "" {
			t.para("    because ", clean(c.Because))
		}
		if len(c.Taken) > 0 && !strings.Contains(c.Because, c.Taken[0]) {
			t.para("    rests on ", clean(strings.Join(c.Taken, ", ")))
		}
		if c.Mend != "" {
			t.para("    to mend: ", clean(c.Mend))
		}
		cite := c.Rule
		if s := c.Citation(); s != "" {
			cite += "; " + s
		}
		t.para("    rule ", clean(cite))
	}
}

// notChecked says once what several days, lines or rules leave open alike.
func (t *text) notChecked(list []menu.Check) {
	if len(list) == 0 {
		return
	}
	t.line("")
	t.para("", verdictWords[menu.NotChecked][1])
	asked := make(map[string][]string) // by why, what is asked
	var order []string
	for i := range list {
		why := list[i].Because
		if _, ok := asked[why]; !ok {
			order = append(order, why)
		}
		if what := title(&list[i]); !slices.Contains(asked[why], what) {
			asked[why] = append(asked[why], what)
		}
	}
	for _, why := range order {
		s := strings.Join(asked[why], "; ")
		if why != "" {
			s += ": " + shorten(why)
		}
		t.para("  - ", clean(s))
	}
}

// shorten keeps the head of a long enumeration.
func shorten(s string) string {
	const most = 160
	if len(s) <= most {
		return s
	}
	if i := strings.LastIndex(s[:most], ", "); i > 0 {
		return s[:i] + ", and so on"
	}
	return s[:strings.LastIndex(s[:most], " ")+1] + "and so on"
}

// barWidth is how many marks a full bar has.
const barWidth = 12

// amounts writes the least amounts: of days what is not met, of the week all, a
// bar and a word each.
func (t *text) amounts(r *menu.Review) {
	head, met := "", false
	for i := range r.Checks {
		c := &r.Checks[i]
		if c.Note || !strings.HasPrefix(c.Rule, "least/") || c.Needed.IsZero() {
			continue
		}
		if h := strings.ToUpper(when(c)[:1]) + when(c)[1:]; h != head {
			if met {
				t.line("  every amount met")
			}
			head, met = h, !c.On.IsZero()
			t.line("")
			t.para("", clean(h))
		}
		if !c.On.IsZero() && c.Verdict == menu.Met {
			continue
		}
		met = false
		what := strings.TrimPrefix(strings.TrimPrefix(c.Rule, "least/"), "vegetables/")
		t.line(fmt.Sprintf("  %-20s %s %s of %s, %s", what, bar(c.There, c.Needed), c.There, amountText(c.Needed, c.Unit), verdictWords[c.Verdict][0]))
	}
	if met {
		t.line("  every amount met")
	}
}

// bar shows how much of what is needed is there.
func bar(there, needed exact.Number) string {
	full := exact.Int(barWidth)
	n, _ := exact.Min(there.Mul(full).Quo(needed), full).DownTo(exact.Int(1)).Whole()
	return "[" + strings.Repeat("#", int(n)) + strings.Repeat(".", barWidth-int(n)) + "]"
}

// Tray writes whether a tray is a reimbursable meal.
func Tray(w io.Writer, a *menu.TrayAnswer) error {
	t := &text{}
	switch a.Verdict {
	case menu.Met:
		t.line("REIMBURSABLE")
	case menu.NotMet:
		t.line("NOT REIMBURSABLE")
	default:
		t.line("NOT CERTAIN: " + verdictWords[a.Verdict][0])
	}
	if a.Of != "" {
		t.para("", clean(fmt.Sprintf("Counted: %d %s: %s", a.Counted, a.Of, strings.Join(a.Names, ", "))))
	}
	for i, s := range a.Add {
		lead := "  or "
		if i == 0 {
			lead = "Add  "
		}
		t.para(lead, clean(s))
	}
	var open []menu.Check
	for i := range a.Checks {
		if c := a.Checks[i]; c.Verdict != menu.Met {
			open = append(open, c)
		}
	}
	t.findings("What it rests on", open)
	_, err := io.WriteString(w, t.b.String())
	return err
}
