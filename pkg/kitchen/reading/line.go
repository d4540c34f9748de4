package reading

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
)

// work is a line on its way to a reading.
type work struct {
	r       *Reader
	line    *Line
	toks    []token
	used    []bool // tokens an amount took
	amounts []amount

	said    []string // words that tell the food, those written aside in parentheses apart
	aside   []string // words that may belong to its name: cuts, sizes, what stands in parentheses
	words   []string // every word, canonical, in order
	wordTok []int    // the token each came from
	brand   []string // words nobody knows
	sizes   []string // 138 of "138 ct"

	foods []found
}

// Line reads one ingredient line. It never fails: what cannot be read is
// unknown, with the reason. Text beyond MaxLine bytes is not looked at.
func (r *Reader) Line(text string) Line {
	l := Line{}
	r.line(&l, text)
	return l
}

func (r *Reader) line(l *Line, text string) {
	l.Text = text
	w := &work{r: r, line: l}
	if len(text) > MaxLine {
		w.doubt(AboutLine, "The line is too long to be one ingredient.")
		return
	}
	var all bool
	w.toks, all = scan(text)
	if !all {
		w.doubt(AboutLine, "The line has too many words and numbers to be one ingredient.")
		return
	}
	w.toks = columned(w.toks)
	w.used = make([]bool, len(w.toks))
	if direction(w.toks) {
		w.doubt(AboutLine, "It reads like a direction, not an ingredient.")
		return
	}
	if servingsLine(text) {
		w.doubt(AboutLine, "It says the servings.")
		return
	}
	if signed(w.toks) {
		w.doubt(AboutAmount, "The dash before the number may be a minus sign or the mark of a list.")
		w.toks, w.used = w.toks[1:], w.used[1:]
		l.Certainty = Unknown
		w.amounts = amounts(w.toks, w.used)
		w.amounts = nil
	} else {
		w.amounts = amounts(w.toks, w.used)
	}
	w.gather()
	w.nameText()
	ok := w.findFood()
	w.amount()
	if ok {
		w.state()
		w.basis()
	}
	w.marks()
	w.settle()
}

// signed reports whether a line begins with a dash on its number.
func signed(toks []token) bool {
	return len(toks) > 1 && (toks[0].text == "-" || toks[0].text == "−") && kindAt(toks, 1, number) && glued(toks, 1)
}

func (w *work) doubt(about About, words string) {
	for _, d := range w.line.Doubts {
		if d.Words == words {
			return
		}
	}
	w.line.Doubts = append(w.line.Doubts, Doubt{about, words})
}

func (w *work) offer(c Choice, words string) {
	l := w.line
	if len(l.Alternatives) == MaxAlternatives || same(c, l.Choice) || slices.ContainsFunc(l.Alternatives, func(a Alternative) bool { return same(a.Choice, c) }) {
		return
	}
	l.Alternatives = append(l.Alternatives, Alternative{c, words})
}

// same reports whether two choices are one.
func same(a, b Choice) bool {
	return a.Food == b.Food && a.State == b.State && a.Basis == b.Basis && sameAmount(a.Quantity, b.Quantity)
}

func sameAmount(a, b measure.Quantity) bool {
	if a.IsZero() || b.IsZero() {
		return a.IsZero() == b.IsZero()
	}
	return a.Unit() == b.Unit() && a.Amount().Equal(b.Amount())
}

// gather cuts what no amount took into words.
func (w *work) gather() {
	var raw []string
	var at []int
	for i, t := range w.toks {
		if w.used[i] {
			if t.kind == number && is(w.toks, i+1, "ct", "count") && w.used[i+1] {
				w.sizes = append(w.sizes, t.text)
			}
			continue
		}
		switch {
		case t.kind == word:
			for _, s := range food.Words(t.text) {
				raw, at = append(raw, s), append(at, i)
			}
		case t.kind == number:
			for _, s := range food.Words(t.text) {
				raw, at = append(raw, s), append(at, i)
			}
		case t.text == "%":
			raw, at = append(raw, "percent"), append(at, i)
		case t.text == "&":
			raw, at = append(raw, "and"), append(at, i)
		}
	}
	if m, d := slices.Index(raw, "milk"), slices.Index(raw, "dry"); m >= 0 && d > m { // milk, nonfat, dry
		raw[m] = "drymilk"
		raw, at = slices.Delete(raw, d, d+1), slices.Delete(at, d, d+1)
	}
	ws, from := w.r.canonicalAt(raw)
	for i, s := range ws {
		w.words = append(w.words, s)
		w.wordTok = append(w.wordTok, at[from[i]])
	}
}

// nameText keeps the words of the food as they were written.
func (w *work) nameText() {
	first, last := -1, -1
	var b strings.Builder
	for i, t := range w.toks {
		if w.used[i] {
			continue
		}
		if t.kind == mark && (first < 0 || strings.ContainsAny(t.text, "\t|()[]*")) {
			continue
		}
		if first >= 0 && t.start > w.toks[last].end {
			b.WriteByte(' ')
		}
		if first < 0 {
			first = i
		}
		last = i
		b.WriteString(t.raw)
	}
	w.line.Name = strings.TrimRight(b.String(), " ,;:-–—.+=")
}

// has reports whether a word stands in the line.
func (w *work) has(words ...string) bool {
	return slices.ContainsFunc(words, func(s string) bool { return slices.Contains(w.words, s) })
}

// marks reads what else the line says: optional, divided, about, to taste.
func (w *work) marks() {
	l := w.line
	if w.has("optional", "garnish", "desired") {
		l.Optional = true
		w.doubt(AboutLine, "It may be left out, so not every portion has it.")
	}
	if f, ok := w.r.catalog.Food(l.Food); ok && f.NoCredit == "" && w.has("prepared", "homemade", "leftover") {
		w.doubt(AboutFood, "Prepared: bought so, or made in the kitchen?")
	}
	if w.has("divided") {
		w.doubt(AboutAmount, "Divided: the whole amount is taken; see where the recipe uses each part.")
	}
	if w.has("about", "approx", "approximately") || slices.ContainsFunc(w.toks, func(t token) bool { return t.text == "~" || t.text == "≈" }) {
		w.doubt(AboutAmount, "The amount is only about so much.")
	}
	if w.has("heaping", "scant") {
		w.doubt(AboutAmount, "Heaping and scant measures are not level ones.")
	}
	if w.has("totaste", "asneeded", "serving") {
		w.doubt(AboutAmount, "It goes in to taste or as needed.")
	}
	if w.has("plus", "additional") && !w.joinedParts() {
		w.doubt(AboutAmount, "More is added than the amount says.")
	}
	if w.written("more", "less", "least", "most", "up", "minimum", "maximum", "double", "half", "quarter", "each", "per", "every", "apiece") {
		w.doubt(AboutAmount, "The amount may be another than the number says: more, less, half, or for each.")
	}
	if slices.ContainsFunc(w.toks, func(t token) bool { return strings.Contains("<>=^$@\\+*", t.text) }) && !w.joinedMarks() {
		w.doubt(AboutAmount, "A sign in the line was not understood.")
	}
	for i, t := range w.toks {
		if t.kind == number && !w.used[i] && !t.paren && (len(w.foods) == 0 || !w.foods[0].entry.all[t.text]) && !leanRatio(t.text) && !is(w.toks, i+1, "%", "percent", "pct") {
			w.doubt(AboutAmount, "The number "+t.raw+" was not used.")
		}
	}
	if f, ok := w.r.catalog.Food(l.Food); ok {
		w.sureOf(f)
	}
	if slices.ContainsFunc(w.toks, func(t token) bool { return t.text == "?" || t.text == "!" }) {
		w.doubt(AboutLine, "It reads like a note.")
	}
	if w.has("not", "no", "non", "without", "except") && (len(w.foods) == 0 || !w.foods[0].entry.all["no"] && !w.foods[0].entry.all["not"] && !w.foods[0].entry.all["without"]) {
		w.doubt(AboutFood, "The line says what it is not.")
	}
}

// sureOf doubts what customs of the trade decide of a food that is known.
func (w *work) sureOf(f *food.Food) {
	l := w.line
	produce := f.CanCredit(food.Vegetables) || f.CanCredit(food.Fruits)
	if w.has("ap") && len(w.foods) > 0 && w.foods[0].entry.all["allpurpose"] {
		w.doubt(AboutBasis, "AP is as purchased, or all-purpose.")
	}
	if produce && f.Form == "fresh" && !l.Quantity.IsZero() && l.Quantity.Dimension() == measure.Count && len(w.sizes) == 0 && !w.has("large", "medium", "small", "baby", "petite", "whole", "jumbo", "mini") {
		w.doubt(AboutAmount, "How large they are is not written.")
	}
	if produce && w.has("squeezed", "thawed") && w.has("squeezed") || produce && f.Form == "frozen" && w.has("drained") {
		w.doubt(AboutBasis, "Whether it was weighed before or after its liquid was let off is not written.")
	}
	if f.Traits.Has(food.Legume) && f.Form == "dry" && !w.has("dry", "cooked", "soaked") && len(w.foods) > 0 && w.foods[0].entry.first["dry"] {
		w.doubt(AboutFood, "Dry, canned or cooked is not written; dry is taken.")
	}
	if w.written("before", "after", "soaked", "overnight", "diluted", "undiluted", "browned", "leftover") && f.NoCredit == "" {
		w.doubt(AboutBasis, "Whether it was measured before or after that is not written.")
	}
	if q := l.Quantity; f.NoCredit == "" && l.Said == "" && !q.IsZero() && q.Dimension() == measure.Volume && len(w.foods) > 0 && w.cutWord() {
		w.doubt(AboutState, "Whether it was measured whole or cut is not written.")
	}
	if f.NoCredit != "" && w.has("sugar") && len(w.said) == 1 || len(w.said) == 1 && vague[w.said[0]] || w.has("base") {
		if slices.ContainsFunc(l.Doubts, func(d Doubt) bool { return d.About == AboutFood }) {
			return
		}
		w.doubt(AboutFood, "Taken for "+f.Name+"; the word is used of more than one food.")
	}
}

// written reports whether one of the words stands in the line outside the name
// of its food and outside its amounts.
func (w *work) written(words ...string) bool {
	return slices.ContainsFunc(words, func(s string) bool {
		return slices.Contains(w.words, s) && (len(w.foods) == 0 || !w.foods[0].entry.all[s])
	})
}

// joinedMarks reports whether every sign of the line stands in an amount, begins
// the line or leads to a note at its end.
func (w *work) joinedMarks() bool {
	for i, t := range w.toks {
		if !strings.Contains("<>=^$@\\+*", t.text) || w.used[i] || i == 0 || t.text == "*" {
			continue
		}
		return false
	}
	return true
}

func (w *work) joinedParts() bool {
	return len(w.amounts) == 1 && slices.ContainsFunc(w.toks[w.amounts[0].from:w.amounts[0].to], func(t token) bool { return t.text == "plus" })
}

// settle says how sure the reading is.
func (w *work) settle() {
	l := w.line
	switch {
	case l.Food == "" || l.Quantity.IsZero():
		l.Certainty = Unknown
	case len(l.Doubts) > 0:
		l.Certainty = Likely
	default:
		l.Certainty = Certain
	}
	for i := range l.Alternatives { // what the line tells, each of them has
		a := &l.Alternatives[i].Choice
		if a.Quantity.IsZero() {
			a.Quantity = l.Quantity
		}
		if a.Food == l.Food && a.State == "" && a.Basis == "" && l.Basis != "as-served" {
			a.State, a.Basis = l.State, l.Basis
		}
	}
}
