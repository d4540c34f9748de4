package food

import (
	"slices"
	"strings"
	"sync"
	"unicode"

	"example.com/ozeq/pkg/spelling"
)

// Match is a food offered for what somebody typed.
type Match struct {
	Food  *Food
	Score int // higher is nearer; only comparable within one search
}

// index holds the words of every name. It is built on the first search, so
// that crediting alone does not pay for it.
type index struct {
	once  sync.Once
	words map[string][]posting
	list  []string             // every word, for misspellings
	names map[string][]posting // what cooks call foods, their words run together
}

type posting struct {
	food   int
	weight int // 3 in the name, 2 in another name, 1 in the id or form
}

// What a name said as a whole adds to what its words give: one of the food's
// names, or the part of its name before the first comma. With a slip or two it
// adds half.
const (
	saidName = 60
	saidHead = 40
)

// MaxSearch is how many bytes of a search text are looked at.
const MaxSearch = 200

// Search offers foods for everyday words, in any order, misspellings and
// synonyms included, nearest first. It offers; it never decides.
func (c *Catalog) Search(text string, limit int) []Match {
	c.index.once.Do(func() { c.index.build(c.foods) })
	if len(text) > MaxSearch {
		text = text[:MaxSearch]
	}
	scores := make([]int, len(c.foods))
	hits := make([]int, len(c.foods))
	words := wordsOf(text)
	for _, w := range words {
		best := make(map[int]int)
		for _, near := range c.index.near(w) {
			for _, p := range c.index.words[near.word] {
				if s := p.weight * near.score; s > best[p.food] {
					best[p.food] = s
				}
			}
		}
		for f, s := range best {
			scores[f] += s
			hits[f]++
		}
	}
	for f, weight := range c.index.whole(runTogether(words)) {
		scores[f] += weight
		hits[f] = len(words) // a name is all its words, whatever was found of them
	}
	var out []Match
	for i, s := range scores {
		if s == 0 {
			continue
		}
		// All the words found beats one word found well; of equals, the
		// shorter name is the plainer food.
		s = s*10 + hits[i]*400 - len(c.foods[i].Name)
		out = append(out, Match{c.foods[i], s})
	}
	slices.SortFunc(out, func(a, b Match) int {
		if a.Score != b.Score {
			return b.Score - a.Score
		}
		return strings.Compare(a.Food.ID, b.Food.ID)
	})
	if limit > 0 && len(out) > limit {
		out = out[:limit]
	}
	return out
}

// Nearest returns up to n ids near to one nobody knows, for messages.
func (c *Catalog) Nearest(id string, n int) []string {
	var ids []string
	for _, m := range c.Search(id, n) {
		ids = append(ids, m.Food.ID)
	}
	return ids
}

func (x *index) build(foods []*Food) {
	x.words = make(map[string][]posting, 4*len(foods))
	x.names = make(map[string][]posting, 3*len(foods))
	for i, f := range foods {
		seen := make(map[string]int)
		add := func(text string, weight int) {
			for _, w := range wordsOf(text) {
				if seen[w] < weight {
					seen[w] = weight
				}
			}
		}
		add(f.Name, 3)
		for _, a := range f.Also {
			add(a, 2)
		}
		add(f.ID, 1)
		add(f.Form, 1)
		head, _, _ := strings.Cut(f.Name, ",")
		said := map[string]int{runTogether(wordsOf(head)): saidHead, runTogether(wordsOf(f.Name)): saidName}
		for _, a := range f.Also {
			said[runTogether(wordsOf(a))] = saidName
		}
		for name, weight := range said {
			x.names[name] = append(x.names[name], posting{i, weight})
		}
		for w, weight := range seen {
			x.words[w] = append(x.words[w], posting{i, weight})
		}
	}
	for w := range x.words {
		x.list = append(x.list, w)
	}
	slices.Sort(x.list)
}

// runTogether makes one word of several, so that "peanutbutter" is peanut
// butter.
func runTogether(words []string) string { return strings.Join(words, "") }

// whole returns the foods a text names as a whole, with what that adds to
// their scores: eggs are eggs before they are egg noodles.
func (x *index) whole(said string) map[int]int {
	found := make(map[int]int)
	if exactly := x.names[said]; exactly != nil {
		for _, p := range exactly {
			found[p.food] = p.weight
		}
		return found
	}
	limit := slips(said)
	if limit == 0 {
		return nil
	}
	for name, foods := range x.names {
		if spelling.Distance(said, name, limit) > limit {
			continue
		}
		for _, p := range foods {
			found[p.food] = max(found[p.food], p.weight/2)
		}
	}
	return found
}

type nearWord struct {
	word  string
	score int
}

// near returns the known words close to w: itself, words it begins, words one
// or two slips away.
func (x *index) near(w string) []nearWord {
	var out []nearWord
	slips := slips(w)
	for _, k := range x.list {
		switch {
		case k == w:
			out = append(out, nearWord{k, 20})
		case len(w) >= 3 && strings.HasPrefix(k, w):
			out = append(out, nearWord{k, 12})
		case slips > 0 && abs(len(k)-len(w)) <= slips && len(k) > 2:
			if d := spelling.Distance(w, k, slips); d <= slips {
				out = append(out, nearWord{k, 13 - 4*d})
			}
		}
	}
	return out
}

// slips is how many a word of that length may have and still be meant.
func slips(w string) int {
	switch n := len(w); {
	case n > 7:
		return 2
	case n > 3:
		return 1
	}
	return 0
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

// Words cuts a text into words as [Catalog.Search] compares them: letters
// lowered, the plural s taken off.
func Words(text string) []string { return wordsOf(text) }

// wordsOf lowers, splits, and takes the plural s off.
func wordsOf(s string) []string {
	var out []string
	for _, w := range strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		out = append(out, singular(w))
	}
	return out
}

func singular(w string) string {
	switch {
	case len(w) > 4 && strings.HasSuffix(w, "ies"):
		return w[:len(w)-3] + "y"
	case len(w) > 4 && (strings.HasSuffix(w, "oes") || strings.HasSuffix(w, "ches") || strings.HasSuffix(w, "shes")):
		return w[:len(w)-2]
	case len(w) > 5 && (strings.HasSuffix(w, "eaves") || strings.HasSuffix(w, "oaves") || strings.HasSuffix(w, "alves")):
		return w[:len(w)-3] + "f"
	case len(w) > 3 && strings.HasSuffix(w, "s") && !strings.HasSuffix(w, "ss"):
		return w[:len(w)-1]
	}
	return w
}
