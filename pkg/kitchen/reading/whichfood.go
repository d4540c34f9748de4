package reading

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
)

// implied are forms that other words of the line tell.
func (w *work) implied() string {
	if w.has("fresh", "frozen", "canned", "dry") {
		return ""
	}
	for _, a := range w.amounts {
		if a.container || a.packWord == "can" || a.packWord == "tin" || a.packWord == "cn" || a.unsized == "can" || a.unsized == "tin" {
			return "canned"
		}
	}
	if w.has("cooked", "boiled") {
		return "dry"
	}
	if a := w.mainAmount(); a != nil && !a.q.IsZero() && a.q.Unit() == measure.Each && len(w.amounts) == 1 {
		return "each"
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
	for _, try := range []func(){w.leaveWeak, w.otherwise, w.lengthen, w.mend, w.leaveBrands} {
		if len(w.foods) == 0 {
			try()
		}
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
	if slices.Contains(w.said, "pasta") && !slices.ContainsFunc(w.said, func(s string) bool { return s != "pasta" && s != "dry" && s != "enriched" }) {
		w.said[slices.Index(w.said, "pasta")] = "macaroni" // by custom; every shape of it credits alike
		w.doubt(AboutFood, "Which pasta is not written.")
	}
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
	switch f := w.implied(); f {
	case "dry": // beans and grains are cooked from dry
		fs := w.r.match(append(slices.Clone(said), f), aside)
		if len(fs) > 0 && fs[0].entry.food.Traits.Has(food.Legume) {
			return fs
		}
		return w.r.match(said, aside)
	case "each": // what is counted is fresh, if it is produce
		fs := w.r.match(append(slices.Clone(said), "fresh"), aside)
		if len(fs) > 0 && fs[0].entry.food.Form == "fresh" && (fs[0].entry.food.CanCredit(food.Vegetables) || fs[0].entry.food.CanCredit(food.Fruits)) {
			return fs
		}
		return w.r.match(said, aside)
	}
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
		if len(w.r.byWord[s]) > 0 || silent[s] || len(s) < 3 {
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
	w.foods = w.matching(w.said, w.aside)
	for _, try := range []func(){w.leaveWeak, w.otherwise, w.lengthen, w.leaveBrands} {
		if len(w.foods) == 0 {
			try()
		}
	}
	if len(w.foods) > 0 {
		w.doubt(AboutFood, "The spelling was mended.")
		return
	}
	w.words, w.wordTok = old, toks
	w.sort()
}

// otherwise tries the words as others say the same: noodles for pasta, whole
// grain for whole wheat. Each such word is tried alone, then all together.
func (w *work) otherwise() {
	old := w.said
	all := slices.Clone(old)
	var taken []string
	for _, o := range loosely {
		if !slices.Contains(old, o.word) {
			continue
		}
		if w.loosely(swapped(old, o.word, o.as)) {
			w.doubt(AboutFood, "The word "+quoted([]string{o.word})+" was taken loosely.")
			return
		}
		if slices.Contains(all, o.word) {
			all = swapped(all, o.word, o.as)
			taken = append(taken, o.word)
		}
	}
	if len(taken) > 1 && w.loosely(all) {
		w.doubt(AboutFood, "The words "+quoted(taken)+" were taken loosely.")
		return
	}
	w.said = old
}

// loosely reports whether words fit a food, those of fat and salt left out where
// no such food has them.
func (w *work) loosely(said []string) bool {
	if len(said) == 0 {
		return false
	}
	w.said = said
	if w.foods = w.matching(said, w.aside); len(w.foods) == 0 {
		w.leaveWeak()
	}
	return len(w.foods) > 0
}

func swapped(said []string, word string, as []string) []string {
	rest := slices.DeleteFunc(slices.Clone(said), func(s string) bool { return s == word })
	return append(rest, as...)
}

// lengthen writes out a word cut short by a point, when only one way of doing so
// gives a food: "cran. sauce".
func (w *work) lengthen() {
	for i, s := range w.words {
		k := w.wordTok[i]
		if len(s) < 3 || silent[s] || !(is(w.toks, k+1, ".") && glued(w.toks, k+1)) || len(w.r.byWord[s]) > 0 {
			continue
		}
		var fits []string
		for _, long := range w.r.words[s[0]] {
			if !strings.HasPrefix(long, s) {
				continue
			}
			said := slices.Clone(w.said)
			for j := range said {
				if said[j] == s {
					said[j] = long
				}
			}
			if len(w.r.match(said, w.aside)) > 0 {
				fits = append(fits, long)
			}
		}
		if len(fits) != 1 {
			continue
		}
		old := w.words
		w.words = slices.Clone(w.words)
		w.words[i] = fits[0]
		w.sort()
		if w.foods = w.matching(w.said, w.aside); len(w.foods) > 0 {
			w.doubt(AboutFood, "A word cut short was written out: "+fits[0]+".")
			return
		}
		w.words = old
		w.sort()
	}
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
	if w.undecided(best, rivals) || w.deciding(best) || w.sizeOtherwise(best.entry) {
		rivals = w.alike(best, rivals)
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
	if len(w.sizes) == 0 && best.entry.first["count"] && slices.ContainsFunc(w.amounts, func(a amount) bool { return !a.q.IsZero() && a.q.Dimension() == measure.Count }) {
		w.doubt(AboutFood, "Taken for "+f.Name+"; which size is not written.")
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
// custom: no food goes by just these words, and several fit about as well.
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

// deciding reports whether what the line leaves out decides the credit, so that
// no custom may fill it in: dry or canned beans, the fat of ground meat and milk.
func (w *work) deciding(best found) bool {
	f := best.entry.food
	if w.sortOnly() && !best.exact {
		return true
	}
	if w.has("fresh", "frozen", "canned", "dry", "cooked", "drained", "soaked", "rinsed", "mashed", "refried") {
		return false
	}
	bare := !slices.ContainsFunc(w.said, func(s string) bool { return telling[s] || weak[s] || s == "fatfree" })
	if f.Traits.Has(food.Legume) && best.exact && w.implied() != "canned" {
		for _, o := range w.foods[1:] {
			if g := o.entry.food; g.Traits.Has(food.Legume) && g.Form != f.Form && (g.Form == "dry" || f.Form == "dry") && (g.Form == "canned" || f.Form == "canned") {
				return bare
			}
		}
	}
	switch {
	case f.Traits.Has(food.MilkFluid) && len(w.said) == 1 && w.said[0] == "milk" && !w.has("whole"): // its fat decides whether it may be served
		return true
	case len(w.said) == 1 && !best.exact && vague[w.said[0]] && f.NoCredit != "": // cream: heavy, light, sour?
		return true
	case bare && best.entry.all["ground"] && best.entry.first["percent"] && !w.has("percent", "lean", "chuck", "regular", "extra") && !best.exact && !w.lean():
		return true
	}
	return false
}

// sortOnly reports whether the line names a sort of food and nothing of which:
// beans, canned fruit.
func (w *work) sortOnly() bool {
	sort := false
	for _, s := range w.said {
		if !sorts[s] && !forms[s] && !weak[s] {
			return false
		}
		sort = sort || sorts[s]
	}
	return sort
}

// lean reports whether the line has a ratio of lean to fat.
func (w *work) lean() bool {
	return slices.ContainsFunc(w.toks, func(t token) bool { return t.kind == number && leanRatio(t.text) })
}

// sizeOtherwise reports whether the line names a size of piece and the food is
// of another.
func (w *work) sizeOtherwise(e *entry) bool {
	sizes := []string{"small", "medium", "large", "jumbo"}
	in := func(s string) bool { return e.first[s] }
	return slices.ContainsFunc(sizes, in) && w.has(sizes...) && !slices.ContainsFunc(sizes, func(s string) bool { return e.all[s] && w.has(s) })
}

// alike are the foods to be offered where none is taken.
func (w *work) alike(best found, rivals []found) []found {
	if len(rivals) > 0 {
		return rivals
	}
	return w.foods[1:min(len(w.foods), MaxAlternatives)]
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
		case best.exact && (o.exact || o.score >= best.score-8 && o.entry.food.Traits.Has(food.NeedsPapers) != f.Traits.Has(food.NeedsPapers)):
			out = append(out, o)
		case best.exact && (f.NoCredit != "" && o.entry.food.NoCredit != "" || !decides && !plainly):
		case best.exact && plainly && !o.exact && o.entry.food.Form == f.Form && o.score < best.score-5:
		default:
			out = append(out, o)
		}
	}
	return out
}

// unsaid reports whether the line is not wholly one of the food's names, or the
// catalog's own name says something deciding that the line does not, when no
// rival is there to show it. A form that no other food of these words has is no
// choice.
func (w *work) unsaid(best found) bool {
	if !best.exact {
		return true
	}
	for x := range best.entry.first {
		if !forms[x] && deciding[x] && (!silent[x] || x == "percent") && !slices.Contains(w.said, x) && !slices.Contains(w.aside, x) {
			return true
		}
		if cuts[x] != nil && telling[x] && best.entry.food.CanCredit(food.Meats) && !slices.Contains(w.said, x) && !slices.Contains(w.aside, x) {
			return true // cooked chicken may be on the bone
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
