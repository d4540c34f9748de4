package report

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/source"
)

// Width is how many columns the text record takes at most.
const Width = 80

// Text writes the crediting record as text of at most [Width] columns, in the
// order a hand worksheet has: credits and their status first, then what is not
// verified, then the work, figures, other answers and cautions.
func Text(w io.Writer, r *credit.Record) error {
	t := &text{r: r}
	t.head()
	t.credits()
	t.notVerified()
	t.toCheck()
	t.work()
	t.figures()
	t.notes()
	t.foot()
	if _, err := io.WriteString(w, t.b.String()); err != nil {
		return err
	}
	for _, other := range r.Also {
		if _, err := io.WriteString(w, "\n"+strings.Repeat("-", Width)+"\n\n"); err != nil {
			return err
		}
		if err := Text(w, other); err != nil {
			return err
		}
	}
	return nil
}

type text struct {
	r *credit.Record
	b strings.Builder
}

// line writes a line. Names come from callers, so each is cleaned here, the one
// place every character passes.
func (t *text) line(s string) {
	t.b.WriteString(strings.TrimRight(clean(s), " "))
	t.b.WriteByte('\n')
}

// para writes wrapped text, first line after lead, others indented as far. A
// lead that leaves no room is wrapped with the text.
func (t *text) para(lead, s string) {
	width := Width - utf8.RuneCountInString(lead)
	if width < minWidth {
		t.para("  ", strings.Join(strings.Fields(lead), " ")+" "+s)
		return
	}
	for i, l := range wrap(s, width) {
		if i > 0 {
			lead = strings.Repeat(" ", utf8.RuneCountInString(lead))
		}
		t.line(lead + l)
	}
}

// section writes a heading; the first has no blank line before it.
func (t *text) section(title string) {
	t.line("")
	t.line(title)
}

func (t *text) head() {
	r := t.r
	t.line("CREDITING RECORD")
	t.para("", clean(r.Name))
	t.para("", fmt.Sprintf("%s, served %s", r.Program.Name, r.On))
	var p []string
	if r.Servings > 1 || len(r.Ingredients) > 0 {
		p = append(p, servingsText(t.made()))
	}
	if r.Portion.Name != "" && r.Portion.Name != r.Name {
		p = append(p, "portion "+clean(r.Portion.Name))
	}
	if !r.Portion.Weight.IsZero() {
		p = append(p, r.Portion.Weight.Text()+" as served")
	}
	if !r.Portion.Measure.IsZero() {
		p = append(p, r.Portion.Measure.Text())
	}
	if r.Portion.Scoop > 0 {
		p = append(p, "scoop no. "+strconv.Itoa(r.Portion.Scoop))
	}
	t.para("", strings.Join(p, ", "))
}

func servingsText(n string) string {
	if n == "1" {
		return "1 serving made"
	}
	return n + " servings made"
}

func (t *text) credits() {
	t.section("ONE PORTION CREDITS")
	if len(t.r.Credits) == 0 {
		t.line("  Nothing: no ingredient credits toward a component.")
		return
	}
	for i := range t.r.Credits {
		cr := &t.r.Credits[i]
		name := "  " + Title(cr)
		if cr.Subgroup != food.NoSubgroup {
			name = "    " + cr.Subgroup.Title()
		}
		t.para(pad(name, 26)+padLeft(CreditText(t.r, cr), 14)+"  ", StatusText(t.r, cr))
	}
	t.para("  ", "Documented: every figure was read in the handbook or a rule, or came with its paper. A source marked ? was not checked.")
}

func (t *text) notVerified() {
	if t.r.AllDocumented() && !t.has(credit.PaperMissing) {
		return
	}
	t.section("NOT VERIFIED - claim no more than is claimable now until these are checked")
	for i := range t.r.Findings {
		f := &t.r.Findings[i]
		switch f.Reason {
		case credit.EstimatedFigure:
			t.para("  ", FindingText(t.r, f))
			for _, k := range f.Figures {
				g := t.r.Figures[k]
				t.para("    "+sourceNumber(t.r, k)+" ", figureName(g)+" ("+sourceWord(g.Source)+")")
			}
		case credit.PaperMissing:
			t.para("  ", FindingText(t.r, f))
		}
	}
}

// toCheck writes what a credit rests on beside its figures: papers and
// weighings to keep, and claims that were not taken.
func (t *text) toCheck() {
	first := true
	for i := range t.r.Findings {
		f := &t.r.Findings[i]
		if f.Severity != credit.Check || f.Reason == credit.EstimatedFigure || f.Reason == credit.PaperMissing {
			continue
		}
		if first {
			t.section("TO CHECK")
			first = false
		}
		t.para("  ", FindingText(t.r, f))
	}
}

func (t *text) has(reason credit.FindingReason) bool {
	for i := range t.r.Findings {
		if t.r.Findings[i].Reason == reason {
			return true
		}
	}
	return false
}

func (t *text) work() {
	for i := range t.r.Credits {
		cr := &t.r.Credits[i]
		if cr.Subgroup == food.NoSubgroup {
			t.component(cr)
		}
	}
	if none := t.uncredited(); len(none) > 0 {
		t.section("NO CREDIT FROM")
		for _, l := range none {
			t.para("  ", clean(lineName(l))+" ("+l.Quantity.Text()+"): "+l.Reason)
		}
	}
}

func (t *text) uncredited() []*credit.Line {
	var out []*credit.Line
	for i := range t.r.Ingredients {
		if l := &t.r.Ingredients[i]; l.Reason != "" {
			out = append(out, l)
		}
	}
	return out
}

// columns of the work: ingredient, amount, unit, what it is multiplied by with
// the number of its source, subtotal.
const (
	nameWidth   = 24
	amountWidth = 9
	unitWidth   = 11
	termWidth   = 22
	subWidth    = 9
	minWidth    = 10 // what a column, or text after a lead, gives way to
)

// row writes one line of the work, wrapped in its columns. The name and the
// terms give way to an amount or a subtotal longer than its column.
func (t *text) row(name, amount, unit, terms, sub string) {
	nameW, termW := nameWidth, termWidth
	nameW -= max(0, len(amount)-amountWidth)
	termW -= max(0, len(sub)-subWidth)
	if nameW < minWidth || termW < minWidth {
		t.para("", name)
		t.para("    ", amount+" "+unit+" "+terms+" = "+sub)
		return
	}
	names, units, ts := wrap(name, nameW), wrap(unit, unitWidth), wrap(terms, termW)
	for i := range max(len(names), len(units), len(ts), 1) {
		get := func(s []string) string {
			if i < len(s) {
				return s[i]
			}
			return ""
		}
		a, s := "", ""
		if i == 0 {
			a, s = amount, sub
		}
		t.line(pad(get(names), nameW) + " " + padLeft(a, nameWidth+amountWidth-nameW) + " " + pad(get(units), unitWidth) + " " +
			pad(get(ts), termW) + " " + padLeft(s, termWidth+subWidth-termW))
	}
}

func (t *text) component(cr *credit.Credit) {
	r := t.r
	t.section("THE WORK: " + cr.Component.Title() + ", " + BasisText(cr.Basis) + t.flag(cr))
	amounts, held := false, false
	for i := cr.FirstStep; i <= cr.LastStep; i++ {
		s := &r.Steps[i]
		switch s.Operation {
		case credit.Amount:
			if !amounts {
				amounts = true
				t.row("Ingredient", "Amount", "Unit", "Per unit, [source]", r.Unit(cr.Component))
			}
			name, sub := "Portion as served", s.Value.DecimalText(Places)
			if s.Ingredient >= 0 {
				l := &r.Ingredients[s.Ingredient]
				name = clean(lineName(l)) + describeLine(l)
			}
			if s.Outcome == credit.Nothing {
				sub = "(0)"
			}
			t.row(name, s.Start.TrimmedDecimal(Places), unitText(s.Unit.ID), t.termsText(s), sub)
		case credit.SumUp:
			t.total("Batch total", "", s.Value.DecimalText(Places))
		case credit.PerServing:
			words := "Divided by " + servingsText(t.made())
			if g := tableGroup(s); g != "" {
				words, held = "Of that, group "+g+" of Exhibit A", true
			}
			t.total(words, "", s.Value.DecimalText(Places))
		case credit.RoundDown, credit.LookUp:
			if s.Outcome == credit.Nothing && len(s.Terms) == 0 {
				t.para("  ", "No credit: "+cr.Reason+".")
				continue
			}
			if s.Outcome == credit.Nothing {
				t.para("  ", StepText(r, i)+": "+s.Start.Quo(t.r.Operand(s.Terms[0])).DecimalText(Places)+" cup a portion.")
				continue
			}
			words := "Down to a whole number of " + cr.Step.String() + " " + r.Unit(cr.Component)
			if held {
				words = "With the printed in place of these, down to " + cr.Step.String()
			}
			switch {
			case s.Operation == credit.LookUp && s.Component == food.Milk:
				words = "Not rounded in steps"
			case s.Operation == credit.LookUp:
				words = "Largest printed weight reached"
			}
			t.total(words, t.sources(s), s.Value.String())
		}
	}
	t.after(cr)
	if cr.Component == food.Vegetables {
		t.subgroups()
	}
}

// tableGroup returns the Exhibit A group a step takes apart from the rest of the
// grain, or "".
func tableGroup(s *credit.Step) string {
	parts := strings.Split(s.Rule, "/")
	if s.Operation != credit.PerServing || len(parts) != 4 || !strings.HasPrefix(s.Rule, "grains/exhibit-a") {
		return ""
	}
	return parts[2]
}

func (t *text) total(words, sources, value string) {
	if sources != "" {
		words += " " + sources
	}
	room := Width - 1 - max(subWidth+2, len(value))
	if utf8.RuneCountInString(words) > room {
		t.para("  ", words+" "+value)
		return
	}
	t.line(padLeft(words, room) + " " + padLeft(value, subWidth+2))
}

// after writes what follows a credit: to spare, the exact value, other answers.
func (t *text) after(cr *credit.Credit) {
	lead := "  "
	if cr.Subgroup != food.NoSubgroup {
		lead = "    "
	}
	switch s := SpareText(t.r, cr.ToSpare, false); {
	case cr.ToSpare.Unit != nil && cr.ToSpare.Amount.IsZero():
		t.para(lead, "To spare: nothing, the credit is reached exactly.")
	case s != "":
		t.para(lead, "To spare before a credit drops: "+s+" (cut down).")
	}
	if s := SpareText(t.r, cr.ToNext, true); s != "" {
		next := cr.Credited.Add(cr.Step)
		t.para(lead, "To reach "+amountText(next, t.r.Unit(cr.Component))+": "+s+" more (rounded up).")
	}
	if !cr.Exact.Equal(cr.Credited) {
		t.para(lead, "Exact value "+cr.Exact.DecimalText(Places)+" "+t.r.Unit(cr.Component)+", not claimable.")
	}
	for _, a := range cr.Alternatives {
		t.para(lead, "Another answer, "+BasisText(a.Basis)+": "+amountText(a.Credited, t.r.Unit(cr.Component))+" ("+t.working(&a)+"). Not the credit: "+AlternativeReason(a.Basis)+".")
	}
}

// working writes how an alternative comes about: its exact value, and the
// division behind it where a figure of its own decides.
func (t *text) working(a *credit.Alternative) string {
	s := "exact " + a.Exact.DecimalText(Places)
	if w := t.r.Portion.Weight; a.Figure >= 0 && !w.IsZero() {
		s += " = " + w.Amount().TrimmedDecimal(Places) + " " + w.Unit().ID + " / " + t.r.Figures[a.Figure].Text + " " + sourceNumber(t.r, a.Figure)
	}
	return s
}

// unitText writes a container so that its size is not read as a number to
// multiply by.
func unitText(id string) string {
	if size, ok := strings.CutPrefix(id, "can "); ok {
		return size + " can"
	}
	return id
}

func (t *text) subgroups() {
	r := t.r
	for i := range r.Credits {
		cr := &r.Credits[i]
		if cr.Component != food.Vegetables || cr.Subgroup == food.NoSubgroup {
			continue
		}
		if cr.Subgroup == food.Additional {
			t.para("  ", "Additional: "+CreditText(r, cr)+", what the subgroups leave of the total. Each subgroup is rounded down once, and rounded subgroups are never added up.")
			continue
		}
		t.para("  ", cr.Subgroup.Title()+": "+t.portionText(cr)+"; down to "+cr.Credited.String()+t.flag(cr))
		t.after(cr)
	}
}

// portionText writes how a subgroup's exact value comes about.
func (t *text) portionText(cr *credit.Credit) string {
	last := &t.r.Steps[cr.ExactStep]
	if last.Operation != credit.FillUp {
		return t.sumText(&t.r.Steps[cr.ExactStep-1]) + "; / " + t.made() + " = " + cr.Exact.DecimalText(Places)
	}
	s := "none of its own"
	if sum := &t.r.Steps[cr.ExactStep-2]; len(sum.Terms) > 0 {
		s = t.sumText(sum) + "; / " + t.made() + " = " + t.r.Steps[cr.ExactStep-1].Value.DecimalText(Places)
	}
	for i := 1; i+1 < len(last.Terms); i += 2 {
		exactly, kept := t.r.Operand(last.Terms[i]), t.r.Operand(last.Terms[i+1])
		of := t.r.Steps[last.Terms[i].Step].Subgroup
		s += "; + " + exactly.DecimalText(Places) + " - " + kept.String() + " left of " + strings.ToLower(of.Title())
	}
	for k, g := range t.r.Figures {
		if g.ID == last.Rule {
			s += " " + sourceNumber(t.r, k)
		}
	}
	return s + " = " + cr.Exact.DecimalText(Places)
}

// sumText writes a sum out: "13.4750 + 12.1000 = 25.5750".
func (t *text) sumText(s *credit.Step) string {
	var parts []string
	for _, term := range s.Terms {
		parts = append(parts, t.r.Operand(term).DecimalText(Places))
	}
	if len(parts) == 1 {
		return parts[0]
	}
	return strings.Join(parts, " + ") + " = " + s.Value.DecimalText(Places)
}

// flag marks a credit that is not verified.
func (t *text) flag(cr *credit.Credit) string {
	if cr.Status == credit.Estimate || cr.Status == credit.NeedsPaper {
		return " - NOT VERIFIED"
	}
	return ""
}

// made writes the servings made, which are not whole for a portion that is a
// share of another.
func (t *text) made() string {
	for _, g := range t.r.Figures {
		if g.ID == "recipe/servings" {
			return g.Used.TrimmedDecimal(Places)
		}
	}
	return strconv.Itoa(t.r.Servings)
}

// describeLine says the basis and state behind an amount.
func describeLine(l *credit.Line) string {
	s := ", " + l.Basis.String()
	if of := l.PartOf(); of != "" {
		s = ", in " + clean(of) + " (" + clean(l.Quantity.Text()) + " of it here)" + s
	}
	if l.State != "" {
		s += ", " + strings.ReplaceAll(l.State, "-", " ")
	}
	return s
}

func (t *text) termsText(s *credit.Step) string {
	var parts []string
	for i := range s.Terms {
		parts = append(parts, termText(t.r, s.Terms[i]))
	}
	return strings.Join(parts, " ")
}

// termText writes a term as a calculator takes it, with the number of its
// source: "x 27.8 x 1/4 [3]".
func termText(r *credit.Record, t credit.Term) string {
	op := [...]string{credit.Times: "x ", credit.DividedBy: "/ ", credit.Plus: "+ ", credit.Minus: "- ", credit.DownTo: "down to "}[t.Op]
	if t.Figure < 0 {
		return op + r.Operand(t).TrimmedDecimal(Places)
	}
	g := r.Figures[t.Figure]
	value := g.Text
	if g.Size != "" {
		again := " x "
		if t.Op == credit.DividedBy {
			again = " / "
		}
		size, _, _ := strings.Cut(g.Size, " cup")
		size, _, _ = strings.Cut(size, " oz eq")
		if size != "1" {
			value += again + size
		}
	}
	if g.Fact() {
		return op + value
	}
	return op + value + " " + sourceNumber(r, int(t.Figure))
}

// sourceNumber writes the number of a figure's source, with ? when it was not
// checked.
func sourceNumber(r *credit.Record, k int) string {
	mark := ""
	if !r.Figures[k].Source.Documented() {
		mark = "?"
	}
	return "[" + strconv.Itoa(number(r, k)) + mark + "]"
}

// number is a figure's number on paper: facts of measure have none.
func number(r *credit.Record, k int) int {
	n := 0
	for i := range k + 1 {
		if !r.Figures[i].Fact() {
			n++
		}
	}
	return n
}

// sources lists the figures of a step by number.
func (t *text) sources(s *credit.Step) string {
	var nums []string
	for i := range s.Terms {
		k := s.Terms[i].Figure
		if k < 0 || t.r.Figures[k].Fact() {
			continue
		}
		if n := sourceNumber(t.r, int(k)); !slices.Contains(nums, n) {
			nums = append(nums, n)
		}
	}
	return strings.Join(nums, " ")
}

func (t *text) figures() {
	first := true
	for i := range t.r.Figures {
		g := t.r.Figures[i]
		if g.Fact() {
			continue
		}
		if first {
			t.section("FIGURES AND THEIR SOURCES")
			first = false
		}
		t.para(fmt.Sprintf(" %5s ", sourceNumber(t.r, i)), figureName(g)+". "+strings.TrimRight(g.Source.Citation(), ".")+" ("+sourceWord(g.Source)+").")
	}
}

// sourceWord says whether a figure was read, and where.
func sourceWord(r source.Ref) string {
	words := map[source.Mark]string{
		source.Read: "read", source.Derived: "worked out from what was read", source.Memory: "from memory, not checked",
		source.CommonPractice: "common practice", source.Caller: "the caller's own, given with its paper",
	}[r.Mark]
	switch r.Tier {
	case source.PublicRecipe:
		words += "; a public recipe or guide, not the handbook"
	case source.OpenData:
		words += "; not the handbook"
	}
	return words
}

func (t *text) notes() {
	var notes, cautions []string
	for i := range t.r.Findings {
		f := &t.r.Findings[i]
		switch {
		case f.Severity == credit.Caution:
			cautions = append(cautions, FindingText(t.r, f))
		case f.Severity == credit.Note:
			notes = append(notes, FindingText(t.r, f))
		}
	}
	if len(notes) > 0 {
		t.section("NOTES")
		for _, n := range notes {
			t.para("  ", clean(n))
		}
	}
	if len(cautions) > 0 {
		t.section("CAUTIONS")
		for _, n := range cautions {
			t.para("  ", clean(n))
		}
	}
}

func (t *text) foot() {
	t.line("")
	t.para("", "Crediting results support, and do not replace, the State agency's decision.")
	rules, options, _ := strings.Cut(t.r.IDs.RuleSet, ";")
	t.line("Rules " + rules)
	if options != "" {
		t.para("  ", "Options "+strings.ReplaceAll(options, ";", "; "))
	}
	t.line("Catalog " + t.r.IDs.Catalog)
	t.line("Request " + t.r.IDs.Request)
}

// clean turns what a terminal would obey, and what reverses the order of
// reading, into spaces.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r == utf8.RuneError || unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Bidi_Control) {
			return ' '
		}
		return r
	}, s)
}

func pad(s string, n int) string {
	return s + strings.Repeat(" ", max(0, n-utf8.RuneCountInString(s)))
}

func padLeft(s string, n int) string {
	return strings.Repeat(" ", max(0, n-utf8.RuneCountInString(s))) + s
}

// wrap breaks text into lines of at most width characters, at spaces where
// there are any.
func wrap(s string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		for utf8.RuneCountInString(word) > width {
			if line != "" {
				lines, line = append(lines, line), ""
			}
			cut := []rune(word)
			lines = append(lines, string(cut[:width]))
			word = string(cut[width:])
		}
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// Steps writes every step of the record in words, numbered from 1.
func Steps(w io.Writer, r *credit.Record) error {
	t := &text{r: r}
	t.section("EVERY STEP")
	for i := range r.Steps {
		t.para(fmt.Sprintf(" %3d. ", i+1), clean(StepText(r, i))+" ("+r.Steps[i].Rule+")")
	}
	_, err := io.WriteString(w, t.b.String())
	return err
}
