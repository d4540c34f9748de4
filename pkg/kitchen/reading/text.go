package reading

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// Text reads a recipe from pasted text: a name, the servings and the portion
// where they are written, headings, and a line for each ingredient. Bullets,
// numbers of lines, columns apart by tabs or bars, and a byte order mark are
// understood. Directions are skipped, and said to be.
//
// The error is a *fault.List of everything that keeps the text from being read,
// with paths such as "lines[12]"; lines are counted from 1. The reading is nil
// then. What a line leaves open is no fault, but a doubt of the line.
func (r *Reader) Text(text string) (*Reading, error) {
	faults := &fault.List{}
	switch {
	case len(text) > MaxText:
		faults.Add(fault.Fault{Reason: fault.TooLarge, Path: "text", Value: strconv.Itoa(len(text)) + " bytes", Want: fmt.Sprintf("at most %d bytes", MaxText), Fix: "Paste one recipe, its ingredients first."})
		return nil, faults
	case !utf8.ValidString(text):
		faults.Add(fault.Fault{Reason: fault.NotUTF8, Path: "text", Want: "text in UTF-8", Fix: "Paste it again, or save it as UTF-8."})
		return nil, faults
	}
	lines := split(text)
	if len(lines) > MaxLines {
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: "text", Value: strconv.Itoa(len(lines)), Want: fmt.Sprintf("at most %d lines", MaxLines), Fix: "Paste one recipe, its ingredients first."})
		return nil, faults
	}
	p := pasted{r: r, out: &Reading{}}
	for i := range lines {
		l := &lines[i]
		if len(l.text) > MaxLine && p.place != directions && !prose(l.text) {
			faults.Add(fault.Fault{Reason: fault.TooLong, Path: l.path(), Value: l.text, Want: fmt.Sprintf("at most %d bytes in a line", MaxLine), Fix: "Give each ingredient a line of its own."})
			continue
		}
		p.read(l)
	}
	if n := len(p.out.Lines); n > recipe.MaxIngredients {
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: "text", Value: strconv.Itoa(n), Want: fmt.Sprintf("at most %d ingredients", recipe.MaxIngredients), Fix: "Paste one recipe."})
	} else if n == 0 && len(faults.Faults) == 0 {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "text", Want: "at least one ingredient, a line each", Fix: "Paste the list of ingredients with their amounts, such as 2 lb 4 oz flour, whole wheat."})
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return p.out, nil
}

// source is a line of the text that is not empty.
type source struct {
	number int // from 1
	start  int // byte in the text
	text   string
}

func (l *source) path() string { return "lines[" + strconv.Itoa(l.number) + "]" }

// split cuts a text into lines, empty ones left out.
func split(text string) []source {
	var out []source
	n := 0
	for start := 0; start <= len(text); {
		end := len(text)
		next := end + 1
		if i := strings.IndexAny(text[start:], "\n\r\v\f\u0085\u2028\u2029"); i >= 0 {
			_, w := utf8.DecodeRuneInString(text[start+i:])
			end, next = start+i, start+i+w
			if text[start+i] == '\r' && next < len(text) && text[next] == '\n' {
				next++
			}
		}
		n++
		if s, at := trimmed(text[start:end]); s != "" {
			out = append(out, source{n, start + at, s})
			if len(out) > MaxLines {
				return out
			}
		}
		start = next
	}
	return out
}

// trimmed takes spaces and a byte order mark off both ends.
func trimmed(s string) (string, int) {
	t := strings.TrimLeftFunc(s, func(r rune) bool { return unicode.IsSpace(r) || r == '\ufeff' || r == '\u200b' })
	at := len(s) - len(t)
	return strings.TrimRightFunc(t, func(r rune) bool { return unicode.IsSpace(r) || r == '\ufeff' || r == '\u200b' }), at
}

type place uint8

const (
	top place = iota // before any ingredient
	ingredients
	directions
)

// pasted is a text on its way to a reading.
type pasted struct {
	r       *Reader
	out     *Reading
	place   place
	heading string
}

func (p *pasted) skip(l *source, words string) {
	p.out.Skipped = append(p.out.Skipped, Skipped{l.path(), l.text, words})
}

func (p *pasted) read(l *source) {
	text, at := unbulleted(l.text)
	if text == "" {
		p.skip(l, "a rule or mark")
		return
	}
	low := strings.ToLower(strings.Trim(text, " :*#=-"))
	switch {
	case p.out.servingsAndPortion(text):
		p.skip(l, "servings or portion")
		return
	case directionHeads[low]:
		p.place, p.heading = directions, ""
		p.skip(l, "heading of the directions")
		return
	case ingredientHeads[low]:
		p.place, p.heading = ingredients, ""
		p.skip(l, "heading of the ingredients")
		return
	case otherHeads[low]:
		p.place = directions
		p.skip(l, "heading of what is no ingredient")
		return
	case columnHeads(text):
		p.skip(l, "heading of columns")
		return
	case p.place == directions:
		p.skip(l, "direction or note")
		return
	}
	var line Line
	p.r.line(&line, text)
	if head, ok := headingOf(text, &line); ok && (p.place == ingredients || strings.HasSuffix(text, ":") || p.out.Name != "") {
		p.heading = head
		p.skip(l, "heading")
		return
	}
	if p.place == top && p.out.Name == "" && len(p.out.Lines) == 0 && line.Amount == "" {
		p.out.Name = cut(strings.Trim(text, " #*=:"), recipe.MaxName)
		p.skip(l, "name of the recipe")
		return
	}
	if toks, _ := scan(text); line.Amount == "" && line.Food == "" && (prose(text) || direction(toks)) || prose(text) && len(text) > 160 {
		p.skip(l, "direction or note")
		return
	}
	line.Path, line.Start, line.Heading = l.path(), l.start+at, p.heading
	p.out.Lines = append(p.out.Lines, line)
	p.place = ingredients
}

// cut shortens a text to so many bytes without splitting a character.
func cut(s string, most int) string {
	if len(s) <= most {
		return s
	}
	for most > 0 && !utf8.RuneStart(s[most]) {
		most--
	}
	return s[:most]
}

// unbulleted takes the mark of a list, a check box or the number of a line off
// a text, and says how many bytes that was.
func unbulleted(s string) (string, int) {
	t := s
	for {
		before := t
		r, n := utf8.DecodeRuneInString(t)
		switch {
		case strings.ContainsRune("•◦▪▫‣⁃·●○■□☐☑✓✔➢➤►*>", r):
			t = t[n:]
		case (r == '-' || r == '–' || r == '—' || r == '+' || r == 'o') && len(t) > n && (t[n] == ' ' || t[n] == '\t'):
			t = t[n:]
		case strings.HasPrefix(t, "[ ]") || strings.HasPrefix(t, "[x]") || strings.HasPrefix(t, "[X]"):
			t = t[3:]
		default:
			t = unnumbered(t)
		}
		t = strings.TrimLeftFunc(t, unicode.IsSpace)
		if t == before {
			break
		}
	}
	if strings.Trim(t, "-–—_=*#~ .") == "" {
		t = ""
	}
	return t, len(s) - len(t)
}

// unnumbered takes "1." or "7)" off a text when something follows that is apart
// from it.
func unnumbered(t string) string {
	i := 0
	for i < len(t) && i < 3 && digit(rune(t[i])) {
		i++
	}
	if i == 0 || i+1 >= len(t) || t[i] != '.' && t[i] != ')' || t[i+1] != ' ' && t[i+1] != '\t' {
		return t
	}
	return t[i+1:]
}

var ingredientHeads = set("ingredients", "ingredient list", "you will need", "what you need")

var directionHeads = set("directions", "direction", "instructions", "instruction", "method", "preparation", "steps", "procedure", "procedures", "process", "how to make it", "preparation steps")

var otherHeads = set("notes", "note", "nutrition", "nutrition facts", "nutrition information", "nutrients per serving", "nutrients", "equipment", "marketing guide", "haccp", "ccp", "critical control points", "tips", "storage", "source", "allergens", "crediting", "crediting information", "meal components", "serving suggestions", "variations")

func set(words ...string) map[string]bool {
	m := make(map[string]bool, len(words))
	for _, w := range words {
		m[w] = true
	}
	return m
}

// columnHeads reports whether a line heads the columns of a table.
func columnHeads(s string) bool {
	heads := 0
	for _, w := range strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) }) {
		switch w {
		case "ingredient", "ingredients", "item", "weight", "measure", "amount", "quantity", "qty", "volume", "unit", "units", "servings", "directions", "form", "notes", "ap", "ep":
			heads++
		case "or", "and", "no", "of", "for", "per", "each":
		default:
			return false
		}
	}
	return heads > 1
}

// headingOf reports whether a line heads a part of the list: it ends with a
// colon, or is in capitals, and names no amount.
func headingOf(text string, l *Line) (string, bool) {
	if l.Amount != "" {
		return "", false
	}
	head := strings.Trim(text, " #*=:")
	switch {
	case strings.HasSuffix(strings.TrimRight(text, " *"), ":"), strings.HasPrefix(text, "#"), strings.HasPrefix(text, "="):
		return head, true
	case strings.HasPrefix(strings.ToLower(text), "for the "):
		return head, true
	case strings.ToUpper(text) == text && strings.ToLower(text) != text && l.Food == "" && !strings.ContainsAny(text, ","):
		return head, true
	}
	return "", false
}

// prose reports whether a line reads like a direction: it begins with what to
// do, or is made of sentences.
func prose(s string) bool {
	first, _, _ := strings.Cut(strings.ToLower(s), " ")
	switch strings.Trim(first, ",.:;") {
	case "preheat", "heat", "mix", "combine", "stir", "add", "bake", "cook", "place", "pour", "serve", "spread", "cover", "whisk", "beat", "fold", "blend", "boil", "simmer", "drain", "cool", "let", "remove", "cut", "portion", "scale", "hold", "transfer", "divide", "put", "use", "wash", "rinse", "chop", "season", "sprinkle", "toss", "bring", "set", "spray", "grease", "line", "refrigerate", "freeze", "store", "for", "if", "ccp":
		return true
	}
	return strings.Contains(s, ". ") && strings.Count(s, " ") > 14
}

// doing are the words that begin a direction and hardly a food's name.
var doing = set("preheat", "bake", "simmer", "stir", "add", "combine", "place", "pour", "serve", "whisk", "fold", "let", "remove", "transfer", "bring", "toss", "sprinkle", "refrigerate", "refrigerated", "allow", "roast", "reheat", "turn", "knead", "spoon", "arrange", "repeat", "garnish", "discard", "return", "reduce", "ensure", "check", "critical", "ccp", "preheated", "pipe", "insert", "adjust", "taste")

// mayDo are those that begin names too: cook, drain, heat.
var mayDo = set("heat", "mix", "cook", "spread", "cover", "beat", "blend", "boil", "drain", "cool", "cut", "portion", "scale", "hold", "divide", "put", "use", "wash", "rinse", "chop", "season", "set", "spray", "grease", "line", "freeze", "store", "thaw", "steam", "grill", "brown", "saute", "melt", "slice", "dice", "peel", "trim", "shred", "soak", "scoop", "fill", "roll", "shape", "cream", "chill", "keep", "follow", "prepare", "in", "when", "while", "if", "after", "once", "meanwhile", "until", "dissolve", "strain", "open", "for")

// direction reports whether a line tells what to do: it begins with such a word,
// or with one that may be and heat, time or a vessel follows.
func direction(toks []token) bool {
	i := 0
	for i < len(toks) && toks[i].kind != word && i < 3 {
		i++
	}
	if !kindAt(toks, i, word) {
		return false
	}
	if toks[i].text == "garnish" && !is(toks, i+1, "with") || is(toks, i+1, ",", ":", "-") {
		return false
	}
	if doing[toks[i].text] && (i == 0 || toks[i-1].kind == mark && (i < 2 || toks[0].kind == number && i == 2)) && len(toks) > i+1 {
		return true
	}
	if !mayDo[toks[i].text] || i > 0 && toks[0].kind == number && !is(toks, 1, ".", ")") {
		return false
	}
	for j := i + 1; j < len(toks); j++ {
		if kindAt(toks, j, number) && notFood(toks, j+1) > 0 || is(toks, j, "until", "oven", "minutes", "hours", "degrees", "mixture", "bowl", "pan", "pans", "then", "aside", "heat", "together", "ingredients", "refrigerator", "skillet", "pot", "kettle", "the", "above", "below", "well", "into") {
			return true
		}
	}
	return false
}

// servingsLine reports whether a line says the servings or the portion.
func servingsLine(text string) bool { return (&Reading{}).servingsAndPortion(text) }

// servingsAndPortion reads "Yield: 48 servings", "Serves 50", "Makes 4 dozen",
// "Serving size: 1 square (2.1 oz)". It reports whether the line was one of
// these.
func (out *Reading) servingsAndPortion(text string) bool {
	if text == "" || len(text) > MaxLine || !digit(rune(text[0])) && !strings.ContainsRune("spymnSPYMN", rune(text[0])) {
		return false
	}
	toks, ok := scan(text)
	if !ok || len(toks) < 2 {
		return false
	}
	i := 0
	switch {
	case is(toks, 0, "serving", "portion") && is(toks, 1, "size", "is", ":", "-"):
		i = 1
		if is(toks, 1, "size") {
			i = 2
		}
		out.portion(text, toks, skipMarks(toks, i))
		return true
	case is(toks, 0, "portion", "serving") && kindAt(toks, 1, number):
		out.portion(text, toks, 1)
		return true
	case is(toks, 0, "yield", "yields", "serves", "servings", "makes", "portions", "serving", "number") && (is(toks, 0, "yield", "yields", "serves", "makes") || is(toks, 1, ":", "made", "per", "-", "of", "=", "\t")):
		i = 1
		for is(toks, i, "made", "per", "of", "servings", "portions", "recipe", "batch", "approximately", "about") {
			i++
		}
		i = skipMarks(toks, i)
		for is(toks, i, "about", "approximately", "approx") {
			i++
		}
	case kindAt(toks, 0, number) && is(toks, 1, "servings", "portions") && len(toks) <= 4:
	default:
		return false
	}
	n, used := rangeAt(toks, i)
	if used == 0 || n.article {
		return is(toks, 0, "yield", "yields", "serves", "servings", "portions")
	}
	what := i + used
	u, _ := unitAt(toks, what)
	if u != nil && u != measure.Dozen && u != measure.Each && u.Dimension != measure.Count {
		// "Yield: 3 gal": how much there is, not for how many.
		if out.ServingsText == "" && !is(toks, 0, "serves") {
			out.ServingsText = text
			out.ServingsDoubt = "The text says how much the batch gives, not how many servings."
		}
		return true
	}
	if is(toks, 0, "makes") && !is(toks, what, "servings", "portions", "serving") && u == nil && !kindAt(toks, what, word) {
		return false
	}
	servings := n.n
	if u == measure.Dozen {
		servings = measure.New(n.n, u).Amount()
	}
	k, isWhole := servings.Whole()
	if out.Servings != 0 || !isWhole || k < 1 || k > recipe.MaxServings {
		if int64(out.Servings) != k || !isWhole {
			out.ServingsDoubt = "Servings are written more than once, or not as a whole number: " + text
		}
		return true
	}
	out.ServingsText = text
	switch {
	case n.ranged:
		out.ServingsDoubt = "A range of servings is written: count the portions the batch gives."
	default:
		out.Servings = int(k)
		out.ServingsDoubt = ""
		if !is(toks, what, "servings", "portions", "serving", "portion") && what < len(toks) && kindAt(toks, what, word) || u == measure.Dozen {
			out.ServingsDoubt = "The text counts pieces: is one piece a serving?"
		}
	}
	for j := what; j < len(toks); j++ { // "48 servings, 1 square each (2.1 oz)"
		if is(toks, j, ",", ";", "|") && kindAt(toks, j+1, number) && out.PortionText == "" {
			out.portion(text, toks, j+1)
			break
		}
	}
	return true
}

func skipMarks(toks []token, i int) int {
	for i < len(toks) && toks[i].kind == mark && toks[i].text != "(" {
		i++
	}
	return i
}

// portion reads "1 square (2.1 oz)", "1/2 cup", "one muffin, 57 g".
func (out *Reading) portion(text string, toks []token, i int) {
	if out.PortionText != "" {
		out.PortionDoubt = "The portion is written more than once: " + text
		return
	}
	out.PortionText = text
	if i >= len(toks) {
		return
	}
	rest := toks[i:]
	used := make([]bool, len(rest))
	var name amount
	for _, a := range amounts(rest, used) {
		switch {
		case !a.high.IsZero():
			out.PortionDoubt = "A range is written for the portion."
		case a.q.IsZero():
		case a.q.Dimension() == measure.Mass && out.PortionWeight.IsZero():
			out.PortionWeight = asWritten(&a)
		case a.q.Dimension() == measure.Volume && out.PortionVolume.IsZero():
			out.PortionVolume = asWritten(&a)
		case a.bare && name.to == 0:
			name = a
		}
	}
	end := len(rest)
	for j, t := range rest {
		if t.text == "(" || t.text == "," || t.text == "=" || t.text == ";" || j > name.from && used[j] && j >= name.to {
			end = j
			break
		}
	}
	if end > 0 {
		out.PortionName = cut(spanText(rest[:end]), recipe.MaxName)
	}
}
