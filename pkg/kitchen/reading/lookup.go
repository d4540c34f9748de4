package reading

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/spelling"
)

// Reader reads recipes against a catalog. It is immutable and safe for
// concurrent use; make one and keep it.
type Reader struct {
	catalog   *food.Catalog
	entries   []entry
	byWord    map[string][]int  // word -> entries whose words have it
	words     map[byte][]string // every word of every name by its first letter, sorted, for misspellings
	pairs     map[string][2]string
	skeletons map[string]string // word by its consonants; empty where several have them
}

// entry is a food with the words it goes by.
type entry struct {
	food  *food.Food
	names []callName
	all   map[string]bool // words of every name, the id and the form
	first map[string]bool // words of the catalog's own name
	head  []string        // of those, the ones before the first comma
}

// callName is one name of a food.
type callName struct {
	words []string
	must  []string // without which it is another food
	own   bool     // the catalog's own name
}

// New returns a reader over a catalog.
func New(c *food.Catalog) *Reader {
	r := &Reader{catalog: c, byWord: make(map[string][]int), pairs: make(map[string][2]string), words: make(map[byte][]string)}
	for _, f := range c.Foods() {
		for _, name := range append([]string{f.Name}, f.Also...) {
			ws := food.Words(name)
			for i := 1; i < len(ws); i++ {
				if len(ws[i-1]) > 2 && len(ws[i]) > 2 {
					r.pairs[ws[i-1]+ws[i]] = [2]string{ws[i-1], ws[i]}
				}
			}
		}
	}
	seen := make(map[string]bool)
	for _, f := range c.Foods() {
		e := entry{food: f, all: make(map[string]bool), first: make(map[string]bool)}
		for i, name := range append(append([]string{f.Name}, f.Also...), either(f.Name)...) {
			ws := r.canonical(food.Words(strings.ReplaceAll(name, "%", " percent ")))
			head, _, _ := strings.Cut(name, ",")
			hs := r.canonical(food.Words(head))
			own := i == 0 || i > len(f.Also)
			n := callName{words: ws, own: own}
			if i == 0 {
				e.head = hs
			}
			for _, w := range ws {
				e.all[w] = true
				if i == 0 {
					e.first[w] = true
				}
				switch {
				case own && shapes[w] && slices.Contains(hs, w), !own && cuts[w] != nil, !own && telling[w] && !forms[w] && !silent[w]:
				case own && !slices.Contains(hs, w) || telling[w] || weak[w] || forms[w] || silent[w]:
					continue
				case own && (w == "cheese" && !slices.Contains(hs, "cream") || w == "pasta" || w == "fillet" || w == "seasoning"):
					continue
				}
				n.must = append(n.must, w)
			}
			if len(n.must) == 0 {
				n.must = hs
			}
			e.names = append(e.names, n)
		}
		for _, w := range r.canonical(food.Words(f.Form)) {
			e.all[w] = true
		}
		for w := range e.all {
			r.byWord[w] = append(r.byWord[w], len(r.entries))
			seen[w] = true
		}
		r.entries = append(r.entries, e)
	}
	r.skeletons = make(map[string]string)
	for w := range seen {
		if s := skeleton(w); len(w) > 3 && len(s) > 2 {
			if _, twice := r.skeletons[s]; twice {
				r.skeletons[s] = ""
			} else {
				r.skeletons[s] = w
			}
		}
		if len(w) > 3 {
			r.words[w[0]] = append(r.words[w[0]], w)
		}
	}
	for w := range silent {
		if len(w) > 4 && !seen[w] {
			r.words[w[0]] = append(r.words[w[0]], w)
		}
	}
	for _, ws := range r.words {
		slices.Sort(ws)
	}
	return r
}

// either is the first of two names that a name gives for one food: fish sticks,
// breaded, of "fish sticks or portions, breaded".
func either(name string) []string {
	head, rest, _ := strings.Cut(name, ",")
	if a, _, ok := strings.Cut(head, " or "); ok && len(strings.Fields(a)) > 1 {
		if rest != "" {
			a += "," + rest
		}
		return []string{a}
	}
	return nil
}

// canonical writes words in full and those that belong together as one.
func (r *Reader) canonical(ws []string) []string {
	out, _ := r.canonicalAt(ws)
	return out
}

// canonicalAt is [Reader.canonical] with the place in ws each word came from.
func (r *Reader) canonicalAt(ws []string) (out []string, at []int) {
	full, from := make([]string, 0, len(ws)+4), make([]int, 0, len(ws)+4)
	add := func(i int, ws ...string) {
		for _, w := range ws {
			full, from = append(full, w), append(from, i)
		}
	}
	for i, w := range ws {
		if long, ok := shortened[w]; ok {
			add(i, food.Words(long)...)
		} else if pair, ok := r.pairs[w]; ok {
			add(i, pair[0], pair[1])
		} else {
			add(i, w)
		}
	}
	for pass := 0; pass < 4; pass++ { // joined words may join others
		if out, at = join(full, from); len(out) == len(full) {
			break
		}
		full, from = out, at
	}
	return out, at
}

func join(full []string, from []int) (out []string, at []int) {
	for i := 0; i < len(full); i++ {
		at = append(at, from[i])
		if i+1 < len(full) {
			if j, ok := joined[[2]string{full[i], full[i+1]}]; ok {
				for k, w := range strings.Fields(j) {
					if k > 0 {
						at = append(at, from[i+1])
					}
					out = append(out, w)
				}
				i++
				continue
			}
		}
		out = append(out, full[i])
	}
	return out, at
}

// found is a food that fits words, and how well.
type found struct {
	entry *entry
	score int
	exact bool // one of its names is just these words
	own   bool // the name that fits best is the catalog's own
}

// match returns the foods that all the telling words written fit, best first:
// said are words that must fit, aside words that may.
func (r *Reader) match(said, aside []string) []found {
	if len(said) == 0 {
		return nil
	}
	rarest := said[0]
	for _, w := range said {
		if len(r.byWord[w]) < len(r.byWord[rarest]) {
			rarest = w
		}
	}
	var out []found
	for _, k := range r.byWord[rarest] {
		if f, ok := fit(&r.entries[k], said, aside); ok {
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(a, b found) int {
		if a.score != b.score {
			return b.score - a.score
		}
		return strings.Compare(a.entry.food.ID, b.entry.food.ID)
	})
	return out
}

func fit(e *entry, said, aside []string) (found, bool) {
	for _, w := range said {
		if !e.all[w] && !passes(e.food, w) {
			return found{}, false
		}
	}
	best, ok := found{entry: e, score: -1 << 30}, false
	for i := range e.names {
		n := &e.names[i]
		if !slices.ContainsFunc(n.words, func(w string) bool { return slices.Contains(said, w) }) {
			continue
		}
		if slices.ContainsFunc(n.must, func(w string) bool { return !slices.Contains(said, w) && !slices.Contains(aside, w) }) {
			continue
		}
		score, exact := 0, true
		for _, w := range n.words {
			switch {
			case slices.Contains(said, w):
				score += 10
			case slices.Contains(aside, w):
				score += 7
			case neutral[w] && !telling[w]:
				score--
			case silent[w] && !telling[w]:
				score, exact = score-1, false
			case weak[w]:
				score, exact = score-6, false
			default:
				score, exact = score-5, false
			}
		}
		for _, w := range said {
			switch {
			case slices.Contains(n.words, w):
			case forms[w] && e.all[w]: // its form, said beside a name that leaves it out
				score--
			default:
				score, exact = score-3, false
			}
		}
		for _, w := range aside {
			if telling[w] && cuts[w] == nil && !e.all[w] {
				score -= 12
			}
		}
		if exact {
			score += 12
		}
		for w := range e.first { // called plainly, it is the plain food
			if (weak[w] || w == "unenriched" || w == "imitation") && !slices.Contains(said, w) {
				score -= 8
			}
		}
		if e.food.CanCredit(food.Meats) && !e.food.Traits.Has(food.Legume) && !e.food.Traits.Has(food.ProcessedMeat) && !e.first["fully"] { // meat called plainly is not cooked or canned
			for _, x := range []string{"cooked", "canned"} {
				if e.first[x] && !slices.Contains(said, x) && !slices.Contains(aside, x) {
					score -= 6
				}
			}
		}
		if score > best.score || score == best.score && exact {
			best.score, best.exact, best.own = score, exact, n.own
		}
		ok = true
	}
	return best, ok
}

// passes reports whether a word of form may stand beside a food that does not
// have it: meat is bought fresh or frozen, and what has one form only is
// sometimes said to have it.
func passes(f *food.Food, w string) bool {
	switch w {
	case "fresh":
		return f.Form != "frozen" && f.Form != "canned" && f.Form != "dry" && f.Form != "dried"
	case "frozen":
		return f.Form != "canned" && !f.Traits.Has(food.Egg) && slices.Contains(f.Components, food.Meats) && (f.Form == "fresh" || f.Form == "frozen")
	case "dry":
		return f.Form == "shelf" || f.Form == "dry" || f.Form == "dried" || f.Form == "dehydrated"
	}
	return false
}

// skeleton is a word without its vowels and doubled letters, as kitchens write
// words short: strwbr, spnch.
func skeleton(w string) string {
	var b []byte
	for i := 0; i < len(w); i++ {
		if c := w[i]; !strings.ContainsRune("aeiou", rune(c)) && (len(b) == 0 || b[len(b)-1] != c) {
			b = append(b, c)
		}
	}
	return strings.TrimSuffix(string(b), "y")
}

// mended returns the word of a name, or of a kitchen, that w was meant to be,
// when only one is near.
func (r *Reader) mended(w string) string {
	if s := r.skeletons[skeleton(w)]; s != "" && len(w) > 2 && !strings.ContainsAny(w, "aeiou") {
		return s
	}
	limit := 1
	if len(w) > 7 {
		limit = 2
	}
	if len(w) < 4 {
		return ""
	}
	best, least, several := "", limit+1, false
	for _, k := range r.words[w[0]] { // the first letter is seldom wrong
		if len(k)-len(w) > limit || len(w)-len(k) > limit {
			continue
		}
		switch d := spelling.Distance(w, k, limit); {
		case d < least:
			best, least, several = k, d, false
		case d == least && d <= limit:
			several = true
		}
	}
	if least > limit || several {
		return ""
	}
	return best
}
