package reading

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
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
	w.used = make([]bool, len(w.toks))
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

// implied are forms that other words of the line tell.
func (w *work) implied() string {
	if w.has("fresh", "frozen", "canned", "dry") {
		return ""
	}
	for _, a := range w.amounts {
		if a.container || a.packWord == "can" || a.packWord == "tin" || a.packWord == "cn" {
			return "canned"
		}
	}
	switch {
	case w.has("waterpack", "juicepack", "syruppack"):
		return "canned"
	case w.has("thawed"):
		return "frozen"
	case w.has("peeled", "unpeeled", "pared", "cored", "stemmed", "ep"):
		return "fresh"
	}
	return ""
}

// findFood chooses the food the words fit best.
func (w *work) findFood() bool {
	if w.eitherFood() {
		return false
	}
	w.sort()
	if len(w.said) == 0 && len(w.aside) == 0 {
		w.doubt(AboutFood, "No food is named.")
		return false
	}
	w.foods = w.matching(w.said, w.aside)
	if len(w.foods) == 0 {
		w.leaveWeak()
	}
	if len(w.foods) == 0 {
		w.mend()
	}
	if len(w.foods) == 0 {
		w.leaveBrands()
	}
	if len(w.foods) == 0 {
		w.doubt(AboutFood, "No food of the catalog has all these words.")
		w.nearest()
		return false
	}
	return w.choose()
}

// sort parts the words into those that must fit a food and those that may.
func (w *work) sort() {
	w.said, w.aside = nil, nil
	for i, s := range w.words {
		switch {
		case w.toks[w.wordTok[i]].paren, silent[s]:
			w.aside = append(w.aside, s)
		case !slices.Contains(w.said, s):
			w.said = append(w.said, s)
		}
	}
	w.aside = append(w.aside, w.sizes...)
	if len(w.said) == 0 { // "leaf" alone, or all in parentheses
		for _, s := range w.aside {
			if !silent[s] {
				w.said = append(w.said, s)
			}
		}
	}
}

// matching looks words up, with the form that other words imply first.
func (w *work) matching(said, aside []string) []found {
	if f := w.implied(); f != "" && len(said) > 0 {
		if fs := w.r.match(append(slices.Clone(said), f), aside); len(fs) > 0 {
			return fs
		}
		if f == "canned" { // juice and milk come in cans too
			if fs := w.r.match(said, aside); len(fs) > 0 && fs[0].entry.food.Form != "fresh" && fs[0].entry.food.Form != "frozen" {
				return fs
			}
		}
		if f != "canned" {
			return w.r.match(said, aside)
		}
		return nil
	}
	return w.r.match(said, aside)
}

// mend tries the words again with their spelling mended.
func (w *work) mend() {
	words, changed := slices.Clone(w.words), false
	for i, s := range words {
		if len(w.r.byWord[s]) > 0 || silent[s] || len(s) < 4 {
			continue
		}
		if m := w.r.mended(s); m != "" {
			words[i], changed = m, true
		}
	}
	if !changed {
		return
	}
	old := w.words
	// The mended words may belong together.
	ws, from := w.r.canonicalAt(words)
	toks := w.wordTok
	var at []int
	for _, f := range from {
		at = append(at, toks[f])
	}
	w.words, w.wordTok = ws, at
	w.sort()
	if w.foods = w.matching(w.said, w.aside); len(w.foods) > 0 {
		w.doubt(AboutFood, "The spelling was mended.")
		return
	}
	w.words, w.wordTok = old, toks
	w.sort()
}

// leaveWeak tries the words without those of fat, salt and flavor that no such
// food of the catalog has.
func (w *work) leaveWeak() {
	rest := slices.DeleteFunc(slices.Clone(w.said), func(s string) bool { return weak[s] })
	if len(rest) == len(w.said) {
		return
	}
	if w.foods = w.matching(rest, w.aside); len(w.foods) > 0 {
		w.said = rest
		w.doubt(AboutFood, "The catalog has no such kind of it; the plain one is taken.")
	}
}

// leaveBrands tries the words without those that no food of the catalog has,
// when they look like a brand or are said after the food.
func (w *work) leaveBrands() {
	var rest, gone []string
	for i, s := range w.words {
		t := w.toks[w.wordTok[i]]
		if t.paren || silent[s] {
			continue
		}
		if len(w.r.byWord[s]) > 0 {
			rest = append(rest, s)
			continue
		}
		if t.kind != word {
			return
		}
		upper := t.raw != t.text && t.raw != strings.ToUpper(t.raw)
		after := len(rest) > 0
		marked := i+1 < len(w.words) && w.wordTok[i]+1 < len(w.toks) && (w.toks[w.wordTok[i]+1].text == "®" || w.toks[w.wordTok[i]+1].text == "™")
		if !(upper && t.start > 0 || after || marked) {
			return
		}
		gone = append(gone, t.raw)
	}
	if len(rest) == 0 || len(gone) == 0 || len(gone) > 2 {
		return
	}
	if w.foods = w.matching(rest, w.aside); len(w.foods) > 0 {
		w.said, w.brand = rest, gone
		w.doubt(AboutFood, "Nothing is known of "+quoted(gone)+": a brand, or another food?")
	}
}

func quoted(words []string) string {
	out := make([]string, len(words))
	for i, s := range words {
		out[i] = "\"" + s + "\""
	}
	return strings.Join(out, " and ")
}

// nearest offers foods for words that fit none.
func (w *work) nearest() {
	text := strings.Join(w.said, " ")
	for _, m := range w.r.catalog.Search(text, 4) {
		w.offer(Choice{Food: m.Food.ID}, m.Food.Name)
	}
}

// choose takes the best of the foods found, and doubts it when others fit.
func (w *work) choose() bool {
	l := w.line
	best := w.foods[0]
	f := best.entry.food
	rivals := w.rivals(best)
	tie := len(w.foods) > 1 && !best.exact && w.foods[1].score == best.score
	l.Food = f.ID
	if w.undecided(best, rivals) {
		l.Food = ""
		w.doubt(AboutFood, "Which one is not written: "+namesOf(append([]found{best}, rivals...), 4)+"?")
		w.offer(Choice{Food: f.ID}, f.Name)
		for _, o := range rivals {
			w.offer(Choice{Food: o.entry.food.ID}, o.entry.food.Name)
		}
		return false
	}
	switch {
	case len(rivals) > 0:
		w.doubt(AboutFood, "Taken for "+f.Name+"; the words also fit "+namesOf(rivals, 3)+".")
	case tie:
		w.doubt(AboutFood, "Taken for "+f.Name+"; the words fit "+w.foods[1].entry.food.Name+" as well.")
		rivals = w.foods[1:2]
	case w.kindUnsaid(best):
		w.doubt(AboutFood, "Taken for "+f.Name+"; which kind is not written.")
	case w.unsaid(best):
		w.doubt(AboutFood, "Taken for "+f.Name+", which says more than the line.")
	case f.Traits.Has(food.ProcessedMeat) && !best.own:
		w.doubt(AboutFood, "Taken for "+f.Name+"; the product's own paper tells.")
	}
	if best.entry.all["count"] && slices.ContainsFunc(w.sizes, func(s string) bool { return !best.entry.all[s] }) {
		w.doubt(AboutFood, "Taken for "+f.Name+", which is of another size.")
	}
	if f.Form != "fresh" && w.cutOtherwise(best.entry) {
		w.doubt(AboutFood, "Taken for "+f.Name+", which is cut otherwise.")
	}
	for i, s := range w.words {
		if w.toks[w.wordTok[i]].paren && !silent[s] && !best.entry.all[s] {
			w.doubt(AboutFood, "What stands in parentheses was not read.")
			break
		}
	}
	for _, o := range rivals {
		w.offer(Choice{Food: o.entry.food.ID}, o.entry.food.Name)
	}
	return true
}

// undecided reports whether the line leaves a choice for which there is no
// custom: the food's bare name is nobody's, or all three of fresh, frozen and
// canned are common and the name is in use for each.
func (w *work) undecided(best found, rivals []found) bool {
	if best.exact || len(rivals) < 2 {
		return false
	}
	n := 0
	for _, o := range rivals {
		if best.score-o.score <= 5 {
			n++
		}
	}
	return n >= 2
}

// cutOtherwise reports whether the line names a cut and the catalog's own name
// another.
func (w *work) cutOtherwise(e *entry) bool {
	named, cut := false, false
	for _, s := range w.words {
		if cuts[s] != nil {
			cut = cut || e.all[s]
			named = true
		}
	}
	return named && !cut && slices.ContainsFunc([]string{"chopped", "diced", "sliced", "shredded", "mashed", "cut"}, func(s string) bool { return e.first[s] })
}

func namesOf(fs []found, most int) string {
	var out []string
	for _, f := range fs {
		if len(out) == most {
			break
		}
		out = append(out, f.entry.food.Name)
	}
	return strings.Join(out, "; ")
}

// rivals are the other foods that fit the words as they stand and differ in
// something that was not written and tells.
func (w *work) rivals(best found) []found {
	var out []found
	f := best.entry.food
	for _, o := range w.foods[1:] {
		// What the line says aside of the name, and only the best food is called.
		if best.exact && slices.ContainsFunc(w.aside, func(s string) bool { return telling[s] && cuts[s] == nil && best.entry.all[s] && !o.entry.all[s] }) {
			continue
		}
		tells, decides, plainly := false, false, true
		for x := range o.entry.first {
			if slices.Contains(w.said, x) || slices.Contains(w.aside, x) || best.entry.first[x] {
				continue
			}
			tells = tells || telling[x]
			decides = decides || deciding[x]
			plainly = plainly && silent[x] && !telling[x]
		}
		switch {
		case best.exact && o.exact:
			out = append(out, o)
		case best.exact && (f.NoCredit != "" && o.entry.food.NoCredit != "" || !decides && !plainly):
		case best.exact && plainly && !o.exact && o.entry.food.Form == f.Form && o.score < best.score-5:
		default:
			out = append(out, o)
		}
	}
	return out
}

// unsaid reports whether the food's own name says something telling that the
// line does not, when no rival is there to show it. A form that no other food
// of these words has is no choice.
func (w *work) unsaid(best found) bool {
	for x := range best.entry.first {
		if forms[x] || slices.Contains(w.said, x) || slices.Contains(w.aside, x) {
			continue
		}
		if best.exact {
			if deciding[x] && !silent[x] {
				return true
			}
		} else if telling[x] && !silent[x] {
			return true
		}
	}
	return false
}

// kindUnsaid reports whether the food is one kind of what the line says and
// there are others: lettuce, oil, potatoes.
func (w *work) kindUnsaid(best found) bool {
	said := func(x string) bool { return slices.Contains(w.said, x) || slices.Contains(w.aside, x) }
	known := func(x string) bool { return silent[x] || telling[x] || weak[x] }
	if !slices.ContainsFunc(best.entry.head, func(x string) bool { return !said(x) && !known(x) && x != "cheese" && x != "pasta" && x != "fillet" }) {
		return false
	}
	for _, k := range w.r.byWord[w.said[0]] {
		e := &w.r.entries[k]
		if e.food != best.entry.food && !slices.ContainsFunc(w.said, func(x string) bool { return !known(x) && !slices.Contains(e.head, x) }) {
			return true
		}
	}
	return false
}

// eitherFood reads "ground beef or ground turkey" and "milk (skim or 1%)": two
// foods, and nobody knows which.
func (w *work) eitherFood() bool {
	k := slices.Index(w.words, "or")
	if k <= 0 || k == len(w.words)-1 {
		return false
	}
	in := func(i int) bool { return w.toks[w.wordTok[i]].paren }
	telling := func(from, to int, paren bool) []string {
		var out []string
		for i := from; i < to; i++ {
			if !silent[w.words[i]] && in(i) == paren && w.words[i] != "or" {
				out = append(out, w.words[i])
			}
		}
		return out
	}
	paren := in(k)
	left, right := telling(0, k, paren), telling(k+1, len(w.words), paren)
	var outside []string
	if paren {
		outside = telling(0, len(w.words), false)
	}
	if len(left) == 0 || len(right) == 0 {
		return false
	}
	best := func(parts ...[]string) *food.Food {
		fs := w.r.match(slices.Concat(parts...), w.aside)
		if len(fs) == 0 {
			return nil
		}
		return fs[0].entry.food
	}
	a, b := best(outside, left), best(outside, right)
	if a == nil && !paren { // "brown or green lentils"
		a = best(left, right[len(right)-1:])
	}
	if b == nil && !paren { // "ground beef or turkey"
		b = best(left[:1], right)
	}
	if a == nil || b == nil || a == b {
		if whole := best(outside, left, right); whole == nil && a != nil && a == b {
			w.words = slices.Delete(w.words, k, k+1)
			w.wordTok = slices.Delete(w.wordTok, k, k+1)
		}
		return false
	}
	within := func(x, y []string) bool {
		return !slices.ContainsFunc(x, func(s string) bool { return !slices.Contains(y, s) })
	}
	if whole := best(outside, left, right); whole != nil && (whole == a || whole == b) && !within(left, right) && !within(right, left) {
		return false // the catalog has them as one: "frozen or liquid"
	}
	w.doubt(AboutFood, "Two foods are named, and one amount.")
	w.offer(Choice{Food: a.ID}, a.Name)
	w.offer(Choice{Food: b.ID}, b.Name)
	return true
}

// amount settles how much there is.
func (w *work) amount() {
	l := w.line
	main := w.mainAmount()
	if main == nil {
		if len(l.Doubts) == 0 || !slices.ContainsFunc(l.Doubts, func(d Doubt) bool { return d.About == AboutAmount }) {
			w.doubt(AboutAmount, "No amount is written.")
		}
		return
	}
	l.Amount = main.text
	l.AmountAt = Span{w.toks[main.from].start, w.toks[main.to-1].end}
	f, _ := w.r.catalog.Food(l.Food)
	for _, d := range main.doubts {
		w.doubt(AboutAmount, d)
	}
	switch {
	case main.sum:
		w.doubt(AboutAmount, "A package and a measure do not add up to one amount.")
		return
	case main.unsized != "":
		w.doubt(AboutAmount, "A "+main.unsized+" has no weight of its own: weigh or measure it.")
		return
	case main.q.IsZero():
		w.doubt(AboutAmount, "The amount is none at all, or cannot be read.")
		return
	}
	l.Quantity = asWritten(main)
	if main.q.Dimension() == measure.Count && w.has("juice", "zest") && w.has("of") {
		l.Quantity = measure.Quantity{}
		w.doubt(AboutAmount, "What so many pieces give is no amount: measure it.")
		return
	}
	if !main.high.IsZero() {
		w.doubt(AboutAmount, "A range was written; its low end is taken, which never credits more.")
		c := l.Choice
		c.Quantity = main.high
		defer w.offer(c, "the high end of the range")
	}
	if main.pack {
		if main.ounces && f != nil && drink(f) {
			w.fluid(main)
		} else {
			w.doubt(AboutAmount, "What is printed on the packages was multiplied: "+l.Quantity.Text()+" in all.")
		}
	}
	if main.countless {
		w.doubt(AboutAmount, "How many packages is not written; one is taken.")
	}
	if main.ounces && !main.pack && f != nil && drink(f) {
		w.fluid(main)
	}
	if f != nil && l.Quantity.Dimension() == measure.Count && !w.weighed(f) {
		w.doubt(AboutAmount, "What one weighs is not written.")
	}
	w.others(main, f)
}

// weighed reports whether the catalog knows what a piece of the food is.
func (w *work) weighed(f *food.Food) bool {
	return f.NoCredit != "" || slices.ContainsFunc(f.Figures, func(g *food.Figure) bool {
		return g.Kind == food.PieceWeight || g.Unit != nil && g.Unit.Dimension == measure.Count
	})
}

// drink reports whether a food is poured, so that its ounces may be fluid.
func drink(f *food.Food) bool {
	if f.Form == "juice" || f.Form == "concentrate" || f.Traits.Has(food.MilkFluid) || f.Traits.Has(food.Juice) {
		return true
	}
	head, _, _ := strings.Cut(f.Name, ",")
	ws := food.Words(head)
	switch ws[len(ws)-1] {
	case "juice", "milk", "oil", "broth", "water", "vinegar", "cream", "sauce", "syrup", "drink", "extract", "dressing", "coffee", "tea", "soda", "nectar":
		return f.Form != "dry" && !slices.Contains(ws, "dry")
	}
	return false
}

// fluid doubts ounces of something poured. A can of 46, 12 or 6 is sold by
// fluid ounces.
func (w *work) fluid(a *amount) {
	l := w.line
	c := l.Choice
	if a.pack && a.packWord == "can" {
		for _, size := range []int64{46, 12, 6} {
			n := l.Quantity.Amount().Quo(exact.Int(size))
			if u, ok := measure.UnitByID("can " + exact.Int(size).String() + " fl oz"); ok {
				if k, whole := n.Whole(); whole && k > 0 && sizeOf(a.text, size) {
					c.Quantity = l.Quantity
					l.Quantity = measure.New(n, u)
					w.doubt(AboutAmount, "Ounces of a drink in cans are taken for fluid ounces.")
					w.offer(c, "ounces by weight")
					return
				}
			}
		}
	}
	n, _ := l.Quantity.In(measure.Ounce)
	c.Quantity = measure.New(n, measure.FluidOunce)
	w.doubt(AboutAmount, "Ounces by weight are taken; a drink is often poured in fluid ounces.")
	w.offer(c, "fluid ounces")
}

func sizeOf(text string, size int64) bool {
	return slices.Contains(strings.FieldsFunc(text, func(r rune) bool { return !digit(r) }), exact.Int(size).String())
}

// asWritten keeps the text of an amount that measure reads to the same.
func asWritten(a *amount) measure.Quantity {
	if q, err := measure.Parse(strings.Trim(a.text, " .")); err == nil && sameAmount(q, a.q) {
		return q
	}
	return a.q
}

// mainAmount picks the amount of the line: the first outside parentheses that
// has a unit, else a bare number that counts something.
func (w *work) mainAmount() *amount {
	var best *amount
	rank := func(a *amount) int {
		r := 0
		if a.bare {
			r = 4
		}
		if a.paren {
			r += 8
		}
		return r
	}
	for i := range w.amounts {
		a := &w.amounts[i]
		if best == nil || rank(a) < rank(best) {
			best = a
		}
	}
	return best
}

// others weighs what else the line says of its amount.
func (w *work) others(main *amount, f *food.Food) {
	l := w.line
	for i := range w.amounts {
		a := &w.amounts[i]
		if a == main || a.q.IsZero() {
			continue
		}
		switch {
		case sameMeasure(a.q, l.Quantity):
			if !near(a.q, l.Quantity, 1) {
				c := l.Choice
				c.Quantity = a.q
				w.doubt(AboutAmount, "Two amounts are written, "+l.Amount+" and "+a.text+"; the first is taken.")
				w.offer(c, "the other amount written")
			}
		case l.Quantity.Dimension() == measure.Count || a.q.Dimension() == measure.Count || a.q.Dimension() == measure.Container || l.Quantity.Dimension() == measure.Container:
			w.doubt(AboutAmount, "Beside "+l.Amount+" stands "+a.text+", which was not used.")
			c := l.Choice
			c.Quantity = a.q
			w.offer(c, "the other amount written")
		default: // a weight and a measure of the same food
			if f == nil || !w.agree(f, l.Quantity, a.q) {
				w.doubt(AboutAmount, "A weight and a measure are written, "+l.Amount+" and "+a.text+"; nothing shows that they are the same amount. The first is taken.")
				c := l.Choice
				c.Quantity = a.q
				w.offer(c, "the other amount written")
			}
		}
	}
}

func sameMeasure(a, b measure.Quantity) bool {
	return a.Dimension() == b.Dimension() && a.Dimension() != measure.Container || a.Unit() == b.Unit()
}

// near reports whether two amounts of one dimension are within so many percent.
func near(a, b measure.Quantity, percent int64) bool {
	x, ok := a.In(b.Unit())
	if !ok {
		return false
	}
	y := b.Amount()
	diff := x.Sub(y)
	if diff.Sign() < 0 {
		diff = y.Sub(x)
	}
	return !y.Mul(exact.Frac(percent, 100)).Less(diff)
}

// agree reports whether a weight and a measure fit one of the food's cup
// weights, to a quarter.
func (w *work) agree(f *food.Food, a, b measure.Quantity) bool {
	if a.Dimension() == measure.Volume {
		a, b = b, a
	}
	if a.Dimension() != measure.Mass || b.Dimension() != measure.Volume {
		return false
	}
	grams, ok1 := a.In(measure.Gram)
	cups, ok2 := b.In(measure.Cup)
	if !ok1 || !ok2 || cups.Sign() <= 0 {
		return false
	}
	per := measure.New(grams.Quo(cups), measure.Gram)
	return slices.ContainsFunc(f.Figures, func(g *food.Figure) bool {
		return g.Kind == food.CupWeight && near(per, measure.New(g.Value, measure.Gram), 25)
	})
}

// hasState reports whether the catalog has a figure of the food in a state.
func hasState(f *food.Food, state string) bool {
	return slices.ContainsFunc(f.Figures, func(g *food.Figure) bool { return food.Matches(g.State, state) })
}

func hasExactState(f *food.Food, state string) bool {
	return slices.ContainsFunc(f.Figures, func(g *food.Figure) bool { return g.State == state })
}

// state settles how the food is measured or served.
func (w *work) state() {
	l := w.line
	f, _ := w.r.catalog.Food(l.Food)
	name := w.foods[0].entry.first
	cooked := w.has("cooked", "baked", "boiled", "grilled", "hardcooked") && !name["cooked"] && !name["bought"]
	produce := f.CanCredit(food.Vegetables) || f.CanCredit(food.Fruits)
	cut := w.cut(f)
	set := func(s string) { l.State = s }
	switch {
	case cooked && f.CanCredit(food.Grains) || cooked && f.Traits.Has(food.Legume) && f.Form == "dry":
		set("cooked")
		w.doubt(AboutBasis, "Read as cooked food, measured after cooking.")
		l.Basis = "as-served"
		w.offer(Choice{l.Food, "", "", l.Quantity}, "measured before cooking")
	case cooked && produce && hasState(f, "cooked"):
		set("cooked")
		w.doubt(AboutState, "Cooked in the dish; whether it was measured before or after is not written.")
		w.offer(Choice{l.Food, "cooked", "as-served", l.Quantity}, "measured after cooking")
	case cooked && hasState(f, "cooked"):
		set("cooked")
		w.doubt(AboutState, "Cooked; whether it was weighed before or after is not written.")
		w.offer(Choice{l.Food, "cooked", "as-served", l.Quantity}, "weighed after cooking")
	case w.has("reconstituted") && hasState(f, "reconstituted"):
		set("reconstituted")
	case w.has("reconstituted"):
		w.doubt(AboutState, "Reconstituted; whether the amount is of the dry food or of what it makes is not written.")
	case w.has("withliquid", "withjuice", "undrained") && hasState(f, "with-juice"):
		set("with-juice")
	case w.has("drained") && f.Form == "canned":
		w.drained(f, cut)
	case w.has("drained") && cut == "":
		w.doubt(AboutState, "Drained: what runs off is not in the amount, or is.")
	case f.Form == "fresh" && produce && cut != "":
		set("raw-" + cut)
		w.served(f)
	case f.Form == "fresh" && produce && w.cutWord() && hasState(f, "raw"):
		set("raw")
		w.served(f)
	case f.Form == "fresh" && produce && w.has("raw") && hasState(f, "raw"):
		set("raw")
	case f.Form == "frozen" && produce && w.has("thawed") && hasState(f, "thawed"):
		set("thawed")
	case (f.Form == "refrigerated" || f.Form == "shelf") && cut != "":
		set("as-is-" + cut)
	}
	l.Said = l.State
	l.State = creditable(f, l.State, l.Quantity)
}

// creditable returns a state when food in it credits by a figure, and nothing
// when the state decides nothing: the engine then asks, if it has to.
func creditable(f *food.Food, state string, q measure.Quantity) string {
	if state == "" || q.IsZero() {
		return state
	}
	asIs := food.Matches(state, "as-is")
	for _, g := range f.Figures {
		if !food.Matches(g.State, state) {
			continue
		}
		if g.Kind == food.Servings && (!asIs || g.Unit.Dimension == q.Dimension()) {
			return state
		}
		if g.Kind == food.CupWeight && f.Form == "fresh" && food.Uncooked(state) {
			return state
		}
	}
	if f.GrainKind != food.NotAGrain {
		return state
	}
	return ""
}

// served doubts whether produce that was cut is served as it was cut.
func (w *work) served(f *food.Food) {
	l := w.line
	if w.has("raw") || !hasState(f, "cooked") {
		return
	}
	w.doubt(AboutState, "Cut as written; whether it is served raw or cooked the line does not say.")
	c := l.Choice
	c.State = "cooked"
	w.offer(c, "served cooked")
}

// cut returns the cut the line names that the catalog has a figure for.
func (w *work) cut(f *food.Food) string {
	family := "raw-"
	switch f.Form {
	case "refrigerated", "shelf":
		family = "as-is-"
	case "canned":
		family = "drained-"
	}
	for _, s := range w.words {
		if w.foods[0].entry.first[s] && f.Form != "canned" { // the food's own name tells it
			continue
		}
		for _, c := range cuts[s] {
			if hasExactState(f, family+c) {
				return c
			}
		}
	}
	return ""
}

// cutWord reports whether the line names a cut, whatever the catalog has.
func (w *work) cutWord() bool {
	return slices.ContainsFunc(w.words, func(s string) bool { return cuts[s] != nil && !w.foods[0].entry.all[s] })
}

// drained settles canned food that was drained.
func (w *work) drained(f *food.Food, cut string) {
	l := w.line
	var has []string
	for _, s := range []string{"drained", "drained-unheated", "heated-drained"} {
		if hasExactState(f, s) {
			has = append(has, s)
		}
	}
	switch {
	case cut != "":
		l.State = "drained-" + cut
	case hasState(f, "drained"):
		l.State = "drained"
	case len(has) > 0:
		l.State = has[0]
	default:
		w.doubt(AboutState, "Drained; the catalog has no figure for this food drained.")
		return
	}
	if len(has) > 1 {
		w.doubt(AboutState, "Drained; whether it is heated the line does not say, and that changes the credit.")
		for _, s := range has {
			if s != l.State {
				w.offer(Choice{l.Food, s, l.Basis, l.Quantity}, drainedWords[s])
			}
		}
	}
}

var drainedWords = map[string]string{"drained": "drained", "drained-unheated": "drained, served without heating", "heated-drained": "heated and drained"}

// basis settles what the amount measures.
func (w *work) basis() {
	l := w.line
	f, _ := w.r.catalog.Food(l.Food)
	switch {
	case w.has("ap"):
		l.Basis = "as-purchased"
		return
	case w.has("ep", "usable"):
		l.Basis = "usable"
		return
	case l.Basis != "" || l.Quantity.IsZero() || l.Quantity.Dimension() != measure.Mass:
		return
	}
	produce := f.Form == "fresh" && (f.CanCredit(food.Vegetables) || f.CanCredit(food.Fruits))
	drained := f.Form == "canned" && w.has("drained") && !w.packed()
	if !produce && !drained {
		return
	}
	prepared := slices.ContainsFunc(w.words, func(s string) bool { return preparing[s] })
	switch {
	case drained:
		w.usable("The weight is taken for the drained food; it may be of the can.")
	case w.measured():
		w.usable("A measure stands beside the weight, so the weight is taken for food ready to use.")
	case prepared && w.before():
		w.usable("The weight is taken for food ready to use, since its preparation stands before its name.")
	case prepared && f.HasUsableShare():
		w.doubt(AboutBasis, "The weight is taken as purchased; it may be of the food after preparation.")
		c := l.Choice
		c.Basis = "usable"
		w.offer(c, "weighed after preparation")
	}
}

func (w *work) usable(why string) {
	l := w.line
	c := l.Choice
	c.Basis = "as-purchased"
	l.Basis = "usable"
	w.doubt(AboutBasis, why)
	w.offer(c, "weighed as purchased")
}

// packed reports whether the amount is of packages, which hold what is poured
// off too.
func (w *work) packed() bool {
	return slices.ContainsFunc(w.amounts, func(a amount) bool { return a.pack })
}

// measured reports whether a measure stands beside the weight.
func (w *work) measured() bool {
	return slices.ContainsFunc(w.amounts, func(a amount) bool { return !a.q.IsZero() && a.q.Dimension() == measure.Volume })
}

// before reports whether a word of preparation stands before the food's name,
// with the amount before both.
func (w *work) before() bool {
	main := w.mainAmount()
	if main == nil || main.from > 0 && !slices.Contains(w.used[:1], true) {
		return false
	}
	for i, s := range w.words {
		if preparing[s] {
			return w.wordTok[i] > main.from
		}
		if !silent[s] && !forms[s] {
			return false
		}
	}
	return false
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
	if slices.ContainsFunc(w.toks, func(t token) bool { return t.text == "?" || t.text == "!" }) {
		w.doubt(AboutLine, "It reads like a note.")
	}
	if w.has("not", "no", "non", "without", "except") && (len(w.foods) == 0 || !w.foods[0].entry.all["no"] && !w.foods[0].entry.all["not"] && !w.foods[0].entry.all["without"]) {
		w.doubt(AboutFood, "The line says what it is not.")
	}
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
