package report

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
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
		t.findings(verdictWords[v][1], held(r, v))
	}
	t.notChecked(verdictWords[menu.NotChecked][1], held(r, menu.NotChecked))
	t.pointedOut(r)
	t.amounts(r)
	t.line("")
	t.para("", "A review supports, and does not replace, the State agency's decision. What is not checked is not met.")
	_, err := io.WriteString(w, t.b.String())
	return err
}

// held are the checks with a verdict that the menu is held to.
func held(r *menu.Review, v menu.Verdict) []menu.Check {
	return slices.DeleteFunc(r.Of(v), func(c menu.Check) bool { return c.Note })
}

// pointedOut writes what is to be known and does not fail the menu by itself.
func (t *text) pointedOut(r *menu.Review) {
	const head = "POINTED OUT - to know; it does not fail the menu by itself"
	var found, open []menu.Check
	for i := range r.Checks {
		switch c := r.Checks[i]; {
		case !c.Note || c.Verdict == menu.Met:
		case c.Verdict == menu.NotChecked:
			open = append(open, c)
		default:
			found = append(found, c)
		}
	}
	t.findings(head, found)
	if len(found) == 0 {
		t.notChecked(head, open)
	} else {
		t.notChecked("POINTED OUT - not checked", open)
	}
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

// when says which line and day, or week, a check is of, and the other days on
// which it found the same.
func when(c *menu.Check, also []rules.Date) string {
	s := "the week"
	if !c.On.IsZero() {
		s = c.On.String()
		for _, d := range also {
			s += ", " + d.String()
		}
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

// bound says which way a check binds, and how one that does not hold misses.
func bound(c *menu.Check) (limit, missed string) {
	if c.Value != nil && c.Value.Rule != nil {
		switch c.Value.Rule.Kind {
		case patterns.Most, patterns.Advice, patterns.Upper:
			return "at most", "over"
		case patterns.Below:
			return "less than", "over"
		}
	}
	return "needed", "short"
}

// alike reports whether two checks found the same on two days.
func alike(a, b *menu.Check) bool {
	return !a.On.IsZero() && !b.On.IsZero() && a.Line == b.Line && a.Rule == b.Rule && a.Item == b.Item && a.Verdict == b.Verdict && a.Needed.Equal(b.Needed) && a.There.Equal(b.There) &&
		a.Because == b.Because && a.Mend == b.Mend && a.Citation() == b.Citation()
}

// title says what a check asks.
func title(c *menu.Check) string {
	if c.Rule == menu.Subgroups {
		return "All vegetable subgroups on one way through the week"
	}
	if c.Rule == menu.CreditSteps {
		return "Credits in whole steps"
	}
	if c.Rule == menu.MilkKind {
		return "Kind of the milk"
	}
	if c.Rule == menu.SubgroupsAndTotal {
		return "All vegetable subgroups and the week's vegetables on one way through the week"
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
	said := make([]bool, len(list))
	for i := range list {
		if said[i] {
			continue
		}
		c := &list[i]
		var also []rules.Date
		for k := i + 1; k < len(list); k++ {
			if alike(c, &list[k]) {
				said[k], also = true, append(also, list[k].On)
			}
		}
		t.para("  - ", clean(when(c, also)+": "+title(c)))
		if !c.Needed.IsZero() || !c.There.IsZero() {
			unit, span, _ := strings.Cut(c.Unit, ", ")
			limit, off := bound(c)
			s := limit + " " + readable(c.Needed) + ", there " + readable(c.There)
			if c.Short.IsZero() {
				s += " " + unit
			} else {
				s += ", " + off + " by " + strings.Replace(amountText(c.Short, unit), c.Short.String(), readable(c.Short), 1)
			}
			if span != "" {
				s += " (" + span + ")"
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
func (t *text) notChecked(head string, list []menu.Check) {
	if len(list) == 0 {
		return
	}
	t.line("")
	t.para("", head)
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

// amounts writes, line by line, what each day offers at least, then the week: a
// bar and a word for each amount, the limits, and the names of what else was met.
func (t *text) amounts(r *menu.Review) {
	var lines []string
	days, weeks := make(map[string][]*menu.Check), make(map[string][]*menu.Check)
	for i := range r.Checks {
		c := &r.Checks[i]
		if !slices.Contains(lines, c.Line) {
			lines = append(lines, c.Line)
		}
		if c.On.IsZero() {
			weeks[c.Line] = append(weeks[c.Line], c)
		} else {
			days[c.Line] = append(days[c.Line], c)
		}
	}
	for _, l := range lines {
		of := ""
		if l != "" {
			of = ", line " + l
		}
		t.eachDay(of, days[l])
		t.week(of, weeks[l])
		t.alsoMet(of, append(days[l], weeks[l]...))
	}
}

// amount reports whether a check is of a least amount that is asked for.
func amount(c *menu.Check) bool {
	return !c.Note && strings.HasPrefix(c.Rule, "least/") && !c.Needed.IsZero()
}

// short names what a least amount is of.
func short(c *menu.Check) string {
	return strings.TrimPrefix(strings.TrimPrefix(c.Rule, "least/"), "vegetables/")
}

// eachDay writes the least that a child is offered on each day as a table, with
// a row of what is needed wherever that changes.
func (t *text) eachDay(of string, checks []*menu.Check) {
	var columns []string
	var rows [][]*menu.Check // one a day
	for _, c := range checks {
		if !amount(c) {
			continue
		}
		if len(rows) == 0 || rows[len(rows)-1][0].On != c.On {
			rows = append(rows, nil)
		}
		rows[len(rows)-1] = append(rows[len(rows)-1], c)
		if !slices.Contains(columns, c.Rule) {
			columns = append(columns, c.Rule)
		}
	}
	if len(rows) == 0 {
		return
	}
	head, units := make([]string, len(columns)+1), make([]string, len(columns)+1)
	var table [][]string
	var asked []string
	for _, row := range rows {
		needed, there := make([]string, len(columns)+1), make([]string, len(columns)+1)
		needed[0], there[0] = "needed", row[0].On.String()
		for _, c := range row {
			k := slices.Index(columns, c.Rule) + 1
			head[k], units[k] = short(c), c.Unit
			needed[k], there[k] = c.Needed.String(), c.There.String()
			if c.Verdict != menu.Met {
				there[k] += " " + dayWords[c.Verdict]
			}
		}
		if !slices.Equal(needed, asked) {
			table, asked = append(table, needed), needed
		}
		table = append(table, there)
	}
	t.line("")
	t.para("", clean("The least a child is offered each day"+of))
	t.table(append([][]string{head, units}, table...))
}

// dayWords are the verdicts in a table of days.
var dayWords = map[menu.Verdict]string{menu.NotMet: "SHORT", menu.AtRisk: "RISK", menu.NotChecked: "OPEN"}

// table writes rows in columns as wide as their widest cell. What does not fit
// the page goes on below it, with the first column again.
func (t *text) table(rows [][]string) {
	width := make([]int, len(rows[0]))
	for _, row := range rows {
		for k, cell := range row {
			width[k] = max(width[k], utf8.RuneCountInString(cell))
		}
	}
	for from := 1; from < len(width); {
		to, used := from, 2+width[0]
		for to < len(width) && (to == from || used+2+width[to] <= Width) {
			used += 2 + width[to]
			to++
		}
		for _, row := range rows {
			s := "  " + pad(row[0], width[0])
			for k := from; k < to; k++ {
				s += "  " + pad(row[k], width[k])
			}
			t.line(s)
		}
		from = to
	}
}

// week writes the amounts of a week with a bar and a word each, then its limits.
func (t *text) week(of string, checks []*menu.Check) {
	var limits []*menu.Check
	head := false
	for _, c := range checks {
		if !amount(c) {
			if !c.Note && c.Verdict != menu.NotChecked && c.Value != nil && !c.Needed.IsZero() {
				limits = append(limits, c)
			}
			continue
		}
		if !head {
			head = true
			t.line("")
			t.para("", clean(fmt.Sprintf("The week of %d days%s", c.Days, of)))
		}
		t.line(fmt.Sprintf("  %-20s %s %s of %s, %s", short(c), bar(c.There, c.Needed), c.There, amountText(c.Needed, c.Unit), verdictWords[c.Verdict][0]))
	}
	for _, c := range limits {
		than, _ := bound(c)
		than = strings.Replace(than, "needed", "at least", 1)
		unit, _, _ := strings.Cut(c.Unit, ",")
		t.para("  ", clean(fmt.Sprintf("%s: %s, %s %s; %s", strings.TrimSuffix(title(c), ", each program alone"), readable(c.There), than, readable(c.Needed)+" "+unit, verdictWords[c.Verdict][0])))
	}
}

// alsoMet names what was met beside the amounts: a pass says what was checked.
func (t *text) alsoMet(of string, checks []*menu.Check) {
	var names []string
	times := make(map[string]int)
	for _, c := range checks {
		if c.Verdict != menu.Met || amount(c) || c.On.IsZero() && c.Value != nil && !c.Needed.IsZero() {
			continue
		}
		name := title(c)
		if times[name] == 0 {
			names = append(names, name)
		}
		times[name]++
	}
	if len(names) == 0 {
		return
	}
	for i, name := range names {
		if n := times[name]; n > 1 {
			names[i] = fmt.Sprintf("%s (%d times)", name, n)
		}
	}
	t.line("")
	t.para("", clean("Also met"+of))
	t.para("  ", clean(strings.Join(names, "; ")))
}

// readable writes an amount as a fraction a kitchen has, or else cut to two
// places.
func readable(n exact.Number) string {
	if _, whole := n.Mul(exact.Int(48)).Whole(); whole {
		return n.String()
	}
	return n.TrimmedDecimal(2)
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
