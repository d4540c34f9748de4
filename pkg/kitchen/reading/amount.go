package reading

import (
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/measure"
)

// amount is one amount written in a line.
type amount struct {
	from, to int // tokens
	q        measure.Quantity
	high     measure.Quantity // of a range; q is its low end
	text     string
	paren    bool
	// What the amount says of itself.
	container bool   // a numbered can or another package measure knows
	pack      bool   // so many packages of a size
	packWord  string // can, bag and so on
	ounces    bool   // written in plain ounces, as weights and drinks are
	countless bool   // a package of a size with no number of them
	bare      bool   // a number without a unit
	unsized   string // a piece or package without a size of its own
	doubts    []string
	unread    bool         // a number read two ways, or not at all
	many      exact.Number // of unsized packages or pieces
	sum       bool         // parts that do not add up to one amount
}

// amounts finds every amount of a line, in order, and marks the tokens of each.
func amounts(toks []token, used []bool) []amount {
	var out []amount
	defer func() { // the x of "x2" belongs to the number
		for _, a := range out {
			if i := a.from - 1; is(toks, i, "x", "×") && (i == 0 || toks[i-1].kind == mark || used[i-1]) {
				used[i] = true
			}
			if i := a.from - 1; a.bare && a.to == len(toks) && is(toks, i, "x", "×") {
				used[i] = true
			}
			if i := a.from - 1; is(toks, i, "qty", "quantity", "between", "from") {
				used[i] = true
			}
		}
	}()
	for i := 0; i < len(toks); {
		if size := sizeAt(toks, i); size > 0 {
			for j := i; j < i+size; j++ {
				used[j] = true
			}
			i += size
			continue
		}
		a, n := amountAt(toks, i)
		if n == 0 {
			i++
			continue
		}
		a.from, a.to, a.paren = i, i+n, toks[i].paren
		for j := i; j < i+n; j++ {
			used[j] = true
		}
		a.text = spanText(toks[i : i+n])
		out = append(out, a)
		i += n
	}
	return out
}

// spanText is the text tokens were cut from, single spaces between them.
func spanText(toks []token) string {
	var b strings.Builder
	for i, t := range toks {
		if i > 0 && t.start > toks[i-1].end {
			b.WriteByte(' ')
		}
		b.WriteString(t.raw)
	}
	return b.String()
}

func is(toks []token, i int, texts ...string) bool {
	return i >= 0 && i < len(toks) && slices.Contains(texts, toks[i].text)
}

func kindAt(toks []token, i int, k kind) bool { return i >= 0 && i < len(toks) && toks[i].kind == k }

// sizeAt reports how many tokens from i say how large a piece is and not how
// much there is: 138 ct, 8", 1in, 8:1, 85/15.
func sizeAt(toks []token, i int) int {
	n, used := numberAt(toks, i)
	if used == 0 {
		return 0
	}
	j := i + used
	if is(toks, j, "-") {
		j++
	}
	switch {
	case is(toks, j, "ct", "count") && !n.word:
		if is(toks, j+1, ".") {
			j++
		}
		return j + 1 - i
	case is(toks, j, "\"", "in", "inch", "inches", "”", "″") && !n.word && (!is(toks, j, "in") || used > 1 || j > i+used || glued(toks, j) || inIsInch(toks, j)):
		if is(toks, j+1, ".") {
			j++
		}
		return j + 1 - i
	case !n.word && notFood(toks, j) > 0: // 350 F, 25 minutes
		return j + notFood(toks, j) - i
	case is(toks, j, ":") && kindAt(toks, j+1, number) && glued(toks, j) && glued(toks, j+1):
		return j + 2 - i
	}
	return 0
}

// notFood reports how many tokens from i are a unit of heat or time.
func notFood(toks []token, i int) int {
	n := 0
	if is(toks, i, "°", "º", "degrees", "degree", "deg") {
		n = 1
	}
	switch {
	case n > 0 && is(toks, i+1, "f", "c", "fahrenheit", "celsius"):
		return 2
	case n > 0:
		return 1
	case is(toks, i, "f", "fahrenheit", "celsius", "minute", "minutes", "min", "mins", "hour", "hours", "hr", "hrs", "second", "seconds", "sec", "days", "day", "weeks"):
		return 1
	}
	return 0
}

// inIsInch reports whether "in" at i is an inch: before a shape or the end.
func inIsInch(toks []token, i int) bool {
	return i+1 >= len(toks) || toks[i+1].kind == number || is(toks, i+1, ".", ")", ",", "cube", "cubes", "dice", "slices", "pieces", "soft", "round", "diameter")
}

func glued(toks []token, i int) bool {
	return i > 0 && i < len(toks) && toks[i].start == toks[i-1].end
}

// numeral is a number as read.
type numeral struct {
	n       exact.Number
	high    exact.Number // of a range
	ranged  bool
	word    bool // written in words
	article bool // only "a" or "an"
	comma   bool // a comma was read as a point, or as parting thousands
	letter  bool // a letter read as a digit: l for a one, O for a zero
	twoWays bool // 11/2: eleven halves, or one and a half with its space lost
	broken  bool // a slash that joins no fraction: 1 /2, 12/1/26
}

// numberAt reads the longest number at token i: 2, 2.25, 1/2, 1 1/2, 1-1/2, 1½,
// one, a, half a; 0 tokens when there is none.
func numberAt(toks []token, i int) (numeral, int) {
	if i >= len(toks) {
		return numeral{}, 0
	}
	t := toks[i]
	if t.kind == word {
		switch t.text {
		case "half", "quarter":
			n := exact.Frac(1, 2)
			if t.text == "quarter" {
				n = exact.Frac(1, 4)
			}
			switch {
			case is(toks, i+1, "a", "an"):
				return numeral{n: n, word: true}, 2
			case t.text == "half" && (is(toks, i+1, "of") || canFollows(toks, i+1) || halfUnit(toks, i)):
				return numeral{n: n, word: true}, 1
			case i > 0 && is(toks, i-1, "a", "one"):
				return numeral{n: n, word: true}, 1
			}
			return numeral{}, 0
		case "a", "an":
			if is(toks, i+1, "half", "quarter") {
				if n, used := numberAt(toks, i+1); used > 0 {
					return n, used + 1
				}
			}
			return numeral{n: exact.Int(1), word: true, article: true}, 1
		}
		if s, ok := numerals[t.text]; ok {
			n, _ := exact.Parse(s)
			part, more := andPart(toks, i+1)
			return numeral{n: n.Add(part), word: true}, 1 + more
		}
		if t.raw == "l" && i == 0 { // a typed l for a one
			if u, n := unitAt(toks, i+1); u != nil && n > 0 {
				return numeral{n: exact.Int(1), letter: true}, 1
			}
		}
		return numeral{}, 0
	}
	if t.kind != number {
		return numeral{}, 0
	}
	if brokenAt(toks, i) {
		j := i + 1
		if brokenPoint(toks, i) {
			j += 2
		}
		for is(toks, j, "/", "⁄") && kindAt(toks, j+1, number) {
			j += 2
		}
		return numeral{n: exact.Int(0), broken: true}, j - i
	}
	if leanRatio(t.text) || is(toks, i+1, "%") || is(toks, i+1, "percent", "pct") {
		return numeral{}, 0
	}
	text, comma := points(t.text)
	n, err := exact.Parse(text)
	if err != nil {
		return numeral{}, 0
	}
	out := numeral{n: n, comma: comma, twoWays: lostSpace(text)}
	if j := i + 1; whole(text) && kindAt(toks, j, word) && glued(toks, j) && strings.Trim(toks[j].text, "o") == "" { // 1O
		if n, err := exact.Parse(text + strings.Repeat("0", len(toks[j].text))); err == nil {
			return numeral{n: n, letter: true}, 2
		}
	}
	if whole(text) {
		if part, more := andPart(toks, i+1); more > 0 {
			out.n = out.n.Add(part)
			return out, 1 + more
		}
		j := i + 1
		switch {
		case is(toks, j, "-", "–") && glued(toks, j) && glued(toks, j+1):
			j++
		case is(toks, j, "&", "and") && kindAt(toks, j+1, number):
			j++
		}
		if kindAt(toks, j, number) && !brokenAt(toks, j) && (fraction(toks[j].text)) && !leanRatio(toks[j].text) {
			if part, err := exact.Parse(strings.ReplaceAll(toks[j].text, "⁄", "/")); err == nil && part.Less(exact.Int(1)) {
				out.n = out.n.Add(part)
				return out, j + 1 - i
			}
		}
	}
	return out, 1
}

// andPart reads "and a half", "and one quarter" after a whole number.
func andPart(toks []token, i int) (exact.Number, int) {
	if !is(toks, i, "and", "&") {
		return exact.Int(0), 0
	}
	j := i + 1
	if is(toks, j, "a", "one") {
		j++
	}
	switch {
	case is(toks, j, "half"):
		return exact.Frac(1, 2), j + 1 - i
	case is(toks, j, "quarter", "fourth"):
		return exact.Frac(1, 4), j + 1 - i
	case is(toks, j, "third"):
		return exact.Frac(1, 3), j + 1 - i
	}
	return exact.Int(0), 0
}

// halfUnit reports whether the word half at i stands right before a unit of
// weight or measure, with no number before it: half cup honey.
func halfUnit(toks []token, i int) bool {
	if kindAt(toks, i-1, number) || i > 0 && toks[i-1].kind == word {
		return false
	}
	u, _ := unitAt(toks, i+1)
	return u != nil && (u.Dimension == measure.Mass || u.Dimension == measure.Volume)
}

// canFollows reports whether a numbered can stands at i.
func canFollows(toks []token, i int) bool {
	if i >= len(toks) {
		return false
	}
	u, _ := canAt(toks, i)
	return u != nil
}

// brokenAt reports whether the number at i is part of something with a slash that
// is no fraction and no second amount: "1 /2", "12/1/26", "l/2".
func brokenAt(toks []token, i int) bool {
	if is(toks, i+1, "/", "⁄") && kindAt(toks, i+2, number) || brokenPoint(toks, i) {
		return true
	}
	return is(toks, i-1, "/", "⁄") && (i == 1 || kindAt(toks, i-2, number) || kindAt(toks, i-2, word) && (toks[i-2].text == "l" || toks[i-2].text == "i"))
}

// brokenPoint reports whether a point and digits follow a fraction: 12/2.5.
func brokenPoint(toks []token, i int) bool {
	return fraction(toks[i].text) && is(toks, i+1, ".") && glued(toks, i+1) && kindAt(toks, i+2, number) && glued(toks, i+2)
}

// lostSpace reports whether an improper fraction may be a whole number and a
// proper fraction written together, or so many packages of a size: 11/2, 13/4,
// 6/5 lb.
func lostSpace(s string) bool {
	a, b, ok := strings.Cut(s, "/")
	x, err1 := strconv.Atoi(a)
	y, err2 := strconv.Atoi(b)
	return ok && err1 == nil && err2 == nil && x > y
}

// leanRatio reports whether a fraction is a ratio of lean to fat, such as 85/15.
func leanRatio(s string) bool {
	a, b, ok := strings.Cut(s, "/")
	if !ok {
		return false
	}
	x, err1 := strconv.Atoi(a)
	y, err2 := strconv.Atoi(b)
	return err1 == nil && err2 == nil && x >= 50 && x+y == 100
}

func fraction(s string) bool { return strings.ContainsAny(s, "/⁄"+vulgar) }

func whole(s string) bool { return !strings.ContainsAny(s, "./⁄"+vulgar) }

// points writes a number with a point, and says whether a comma stood in it: a
// comma before three digits parts thousands, any other is a decimal comma.
func points(s string) (string, bool) {
	s = strings.ReplaceAll(s, "⁄", "/")
	if s != "" && s[0] == '.' {
		s = "0" + s
	}
	if !strings.Contains(s, ",") {
		return s, false
	}
	parts := strings.Split(s, ",")
	thousands := parts[0] != "0" && len(parts[0]) <= 3
	for _, p := range parts[1:] {
		w, _, _ := strings.Cut(p, ".")
		thousands = thousands && len(w) == 3
	}
	if thousands {
		return strings.Join(parts, ""), true
	}
	if len(parts) == 2 && !strings.Contains(s, ".") {
		return parts[0] + "." + parts[1], true
	}
	return s, true
}

// rangeAt reads a number, or a range of two.
func rangeAt(toks []token, i int) (numeral, int) {
	n, used := numberAt(toks, i)
	if used == 0 {
		return n, 0
	}
	j := i + used
	if !is(toks, j, "-", "–", "—", "to", "or") && !(is(toks, j, "and") && is(toks, i-1, "between")) || n.article {
		return n, used
	}
	m, more := numberAt(toks, j+1)
	if more == 0 || !n.n.Less(m.n) || m.article {
		return n, used
	}
	if u, _ := unitAt(toks, j+1+more); u == nil && (is(toks, j, "or") || packageAt(toks, j+1+more) == "" && kindAt(toks, j+1+more, mark)) {
		return n, used
	}
	if is(toks, j, "-", "–", "—") {
		if _, _, size := sizedAt(toks, j+1); size > 0 && packageAt(toks, j+1+size) != "" {
			return n, used // 4 - 66.5 oz cans: so many of a size
		}
	}
	// 2 15-oz cans: a number of cans of a size, not a range; 46-oz has no second number.
	n.high, n.ranged = m.n, true
	return n, used + 1 + more
}

// units beyond the grammar of measure, as kitchens write them.
var unitWords = map[string]string{
	"c": "cup", "cps": "cup", "tb": "Tbsp", "tbl": "Tbsp", "tbls": "Tbsp", "tblsp": "Tbsp", "tbsp": "Tbsp", "tbs": "Tbsp", "tblspn": "Tbsp", "tbspn": "Tbsp", "ts": "tsp", "tspn": "tsp", "teasp": "tsp",
	"lb": "lb", "lbs": "lb", "oz": "oz", "ozs": "oz", "qt": "qt", "qts": "qt", "quart": "qt", "pt": "pt", "gal": "gal", "gals": "gal", "ga": "gal", "gr": "g", "kgs": "kg", "kilo": "kg", "ltr": "L", "l": "L", "mls": "mL",
	"ea": "each", "each": "each", "doz": "dozen", "dz": "dozen", "dozen": "dozen", "pc": "each", "pcs": "each", "piece": "each", "pieces": "each", "tbsps": "Tbsp", "tsps": "tsp",
}

// unitAt reads a unit at token i, with the point after it.
func unitAt(toks []token, i int) (*measure.Unit, int) {
	if i >= len(toks) {
		return nil, 0
	}
	t := toks[i]
	end := func(n int) int {
		if is(toks, i+n, ".") && glued(toks, i+n) {
			n++
		}
		return n
	}
	if t.text == "#" {
		if kindAt(toks, i+1, number) && glued(toks, i+1) && !glued(toks, i) {
			return nil, 0
		}
		return measure.Pound, 1
	}
	if t.kind != word {
		return nil, 0
	}
	switch {
	case t.text == "fl" || t.text == "fluid":
		j := i + 1
		if is(toks, j, ".") {
			j++
		}
		if is(toks, j, "oz", "ounce", "ounces", "ozs") {
			return measure.FluidOunce, end(j + 1 - i)
		}
		return nil, 0
	case t.raw == "T":
		return measure.Tablespoon, end(1)
	case t.raw == "t":
		return measure.Teaspoon, end(1)
	case t.raw == "G":
		return measure.Gram, end(1)
	case t.raw == "l" && !glued(toks, i):
		return nil, 0
	case t.text == "half":
		j := i + 1
		if is(toks, j, "-") {
			j++
		}
		switch {
		case is(toks, j, "gallon", "gallons", "gal"):
			u, _ := measure.UnitByID("half-gal")
			return u, end(j + 1 - i)
		case is(toks, j, "pint", "pints", "pt"):
			u, _ := measure.UnitByID("half-pt")
			return u, end(j + 1 - i)
		}
		return nil, 0
	case t.text == "whole":
		return nil, 0 // whole what
	}
	if id, ok := unitWords[t.text]; ok {
		u, _ := measure.UnitByID(id)
		return u, end(1)
	}
	if u, ok := measure.UnitByID(t.text); ok {
		return u, end(1)
	}
	return nil, 0
}

// canNumbers are the numbered cans, and how measure calls them.
var canNumbers = map[string]string{"10": "can no. 10", "5": "can no. 5", "303": "can no. 303", "300": "can no. 300", "2 1/2": "can no. 2-1/2", "2-1/2": "can no. 2-1/2", "2½": "can no. 2-1/2", "2.5": "can no. 2-1/2", "3": "can no. 3 cyl"}

// numberedAt reads "#10", "no. 10", "number 10" at token i.
func numberedAt(toks []token, i int) (string, int) {
	j := i
	switch {
	case is(toks, j, "#"):
		j++
	case is(toks, j, "no", "number", "num", "nos"):
		j++
		if is(toks, j, ".") {
			j++
		}
	default:
		return "", 0
	}
	if !kindAt(toks, j, number) {
		return "", 0
	}
	text := toks[j].text
	j++
	if _, n := numberAt(toks, j-1); n > 1 {
		text = text + " " + strings.TrimLeft(spanText(toks[j:j-1+n]), "-– ")
		j += n - 1
	}
	return text, j - i
}

// canAt reads a numbered can, before or after the word can.
func canAt(toks []token, i int) (*measure.Unit, int) {
	j := i
	word := false
	if is(toks, j, "can", "cans", "cn", "cns", "tin", "tins") {
		word = true
		j++
		if is(toks, j, ",") || is(toks, j, "-") {
			j++
		}
	}
	no, n := numberedAt(toks, j)
	if n == 0 {
		return nil, 0
	}
	j += n
	cyl := false
	if is(toks, j, "-") {
		j++
	}
	if is(toks, j, "cyl", "cylinder") {
		cyl = true
		j++
	}
	if !word && is(toks, j, "can", "cans", "cn", "cns", "tin", "tins", "s") {
		word = true
		j++
		if is(toks, j, ".") {
			j++
		}
	}
	id, ok := canNumbers[no]
	if !ok || no == "3" && !cyl || !word && no == "5" {
		return nil, 0
	}
	u, ok := measure.UnitByID(id)
	if !ok {
		return nil, 0
	}
	return u, j - i
}

// scoopAt reads "scoops #8", "#8 scoop", "no. 16 disher".
func scoopAt(toks []token, i int) (*measure.Unit, int) {
	j := i
	said := false
	if is(toks, j, "scoop", "scoops", "disher", "dishers") {
		said = true
		j++
	}
	no, n := numberedAt(toks, j)
	if n == 0 {
		return nil, 0
	}
	j += n
	if !said {
		if !is(toks, j, "scoop", "scoops", "disher", "dishers", "dipper") {
			return nil, 0
		}
		j++
	}
	u, ok := measure.UnitByID("scoop no. " + no)
	if !ok {
		return nil, 0
	}
	return u, j - i
}

func singularOf(s string) string {
	switch {
	case s == "boxes":
		return "box"
	case s == "bunches":
		return "bunch"
	case s == "pouches":
		return "pouch"
	case s == "leaves":
		return "leaf"
	case s == "loaves":
		return "loaf"
	}
	return strings.TrimSuffix(s, "s")
}

// packageAt returns the package named at token i, or "".
func packageAt(toks []token, i int) string {
	if !kindAt(toks, i, word) {
		return ""
	}
	if toks[i].text == "cs" || packages[toks[i].text] {
		return toks[i].text
	}
	if s := singularOf(toks[i].text); packages[s] {
		return s
	}
	return ""
}

// sizedAt reads the size of a package: a number with a weight or a volume, in
// parentheses or not. It returns the size, whether it was in plain ounces, and
// how many tokens it took.
func sizedAt(toks []token, i int) (measure.Quantity, bool, int) {
	j := i
	open := is(toks, j, "(", "[")
	if open {
		j++
	}
	if is(toks, j, "about", "approx", "~") {
		j++
	}
	n, used := numberAt(toks, j)
	if used == 0 || n.word {
		return measure.Quantity{}, false, 0
	}
	j += used
	if is(toks, j, "-", "–") {
		j++
	}
	u, used := unitAt(toks, j)
	if u == nil || u.Dimension != measure.Mass && u.Dimension != measure.Volume || n.n.Sign() <= 0 {
		return measure.Quantity{}, false, 0
	}
	j += used
	q := measure.New(n.n, u)
	if u == measure.Pound {
		if m, used := numberAt(toks, j); used > 0 && !m.word {
			if v, more := unitAt(toks, j+used); v == measure.Ounce {
				q = plus(q, measure.New(m.n, v))
				j += used + more
			}
		}
	}
	if is(toks, j, "each", "ea") {
		j++
		if is(toks, j, ".") {
			j++
		}
	}
	if open {
		if !is(toks, j, ")", "]") {
			return measure.Quantity{}, false, 0
		}
		j++
	}
	return q, u == measure.Ounce, j - i
}

// plus adds amounts of the same base unit.
func plus(a, b measure.Quantity) measure.Quantity {
	return measure.New(a.Amount().Add(b.Amount()), a.Unit())
}

// amountAt reads one amount at token i.
func amountAt(toks []token, i int) (amount, int) {
	var a amount
	// #10 can, with no number of them.
	if u, n := canAt(toks, i); u != nil && !followsNumber(toks, i) {
		a.q, a.container, a.countless = measure.New(exact.Int(1), u), true, true
		j := i + n
		// "#10 can, 2 ea": the number after the package.
		k := j
		for is(toks, k, ",", "-", "–", "—", ":", "(", "=", "x", "×", "*", "\t", "|", "qty", "quantity", "count", "total") {
			k++
		}
		if m, used := numberAt(toks, k); used > 0 && k > j && !m.word {
			if u2, more := unitAt(toks, k+used); u2 == measure.Each {
				a.q, a.countless = positive(m.n, u), false
				return a, k + used + more - i
			} else if u2 == nil && m.n.Sign() > 0 && !m.ranged && !m.twoWays && !m.broken && (k+used >= len(toks) || is(toks, k+used, ")")) {
				a.q, a.countless = measure.New(m.n, u), false
				return a, k + used - i
			}
		}
		return a, n
	}
	if toks[i].kind == word && pieces[singularOf(toks[i].text)] && toks[i].text != "leaf" && toks[i].text != "leaves" && is(toks, i+1, "of") && (i == 0) {
		a.unsized = singularOf(toks[i].text)
		return a, 2
	}
	n, used := rangeAt(toks, i)
	if used == 0 {
		return a, 0
	}
	j := i + used
	if n.article && !(i == 0 || toks[i-1].kind == mark) {
		return a, 0
	}
	if n.comma {
		a.doubts = append(a.doubts, "A comma in a number is read two ways: as a decimal point, or as parting thousands.")
	}
	if n.letter {
		a.doubts = append(a.doubts, "A letter was read as a digit: l as 1, or O as 0.")
	}
	if n.twoWays {
		a.doubts = append(a.doubts, "The fraction is read two ways: as it stands, or as a whole number and a fraction whose space was lost.")
	}
	if i > 1 && is(toks, i-1, ".") && glued(toks, i) {
		a.doubts = append(a.doubts, "A point stands right before the number; it was not read as a decimal point.")
	}
	a.unread = n.twoWays || n.broken
	set := func(u *measure.Unit) {
		a.q = positive(n.n, u)
		if n.ranged {
			a.high = positive(n.high, u)
		}
	}
	// So many numbered cans or scoops.
	k := j
	if is(toks, k, "x", "×", "@") {
		k++
	}
	if is(toks, k, "ea", "each") { // 2 ea. 5-lb bags
		m := k + 1
		if is(toks, m, ".") {
			m++
		}
		if _, _, n := sizedAt(toks, m); n > 0 && packageAt(toks, m+n) != "" {
			k = m
		}
	}
	if is(toks, k, "-", "–", "—", "/", ":") && canFollows(toks, k+1) { // 2 - #10 cans
		k++
	}
	if is(toks, k, "ea", "each") { // 2 each #10 can
		if u, _ := canAt(toks, k+1); u != nil {
			k++
		}
	}
	if u, m := canAt(toks, k); u != nil {
		set(u)
		a.container = true
		k += m
		if is(toks, k, "+", "plus") { // a can and a measure do not add up
			if _, _, m := sizedAt(toks, k+1); m > 0 {
				a.sum, a.q, k = true, measure.Quantity{}, k+1+m
			}
		}
		return a, k - i
	}
	if u, m := scoopAt(toks, k); u != nil {
		set(u)
		return a, k + m - i
	}
	// So many packages of a size: 2 (15 oz) cans, 2 15-oz cans, 2 cans (15 oz
	// each), 24 x 2 oz.
	if is(toks, k, "-", "–", "—") && k == j { // 4 - 66.5 oz cans
		if _, _, m := sizedAt(toks, k+1); m > 0 && packageAt(toks, k+1+m) != "" {
			k++
		}
	}
	if size, oz, m := sizedAt(toks, k); m > 0 && (k > j || toks[k].kind == mark || toks[k].kind == number) {
		p := packageAt(toks, k+m)
		if p != "" || k > j {
			a.q, a.pack, a.ounces, a.packWord = size.Times(n.n), true, oz, p
			if n.ranged {
				a.high = size.Times(n.high)
			}
			if n.n.Sign() <= 0 {
				a.q = measure.Quantity{}
			}
			if p != "" {
				m++
			}
			return a, k + m - i
		}
	}
	if p := packageAt(toks, j); p != "" {
		k := j + 1
		if is(toks, k, ".") {
			k++
		}
		if is(toks, k, ",", "of", "@", "-") {
			if _, _, m := sizedAt(toks, k+1); m > 0 {
				k++
			}
		}
		if size, oz, m := sizedAt(toks, k); m > 0 && n.n.Sign() > 0 && (!is(toks, k-1, ",") || n.n.Equal(exact.Int(1)) || is(toks, k+m-1, "each", "ea", ".") || p == "can" || p == "cn") {
			a.q, a.pack, a.ounces, a.packWord = size.Times(n.n), true, oz, p
			if n.ranged {
				a.high = size.Times(n.high)
			}
			return a, k + m - i
		}
		a.unsized, a.many = p, n.n
		return a, j + 1 - i
	}
	// Half of a can, 1/2 of a 5-lb bag.
	if is(toks, j, "of") || is(toks, j, "the") {
		k := j + 1
		if is(toks, k, "a", "an", "one", "the") {
			k++
		}
		if k < len(toks) {
			if u, m := canAt(toks, k); u != nil {
				set(u)
				a.container = true
				return a, k + m - i
			}
			if size, oz, m := sizedAt(toks, k); m > 0 && n.n.Sign() > 0 && packageAt(toks, k+m) != "" {
				a.q, a.pack, a.ounces, a.packWord = size.Times(n.n), true, oz, packageAt(toks, k+m)
				return a, k + m + 1 - i
			}
			if p := packageAt(toks, k); p != "" {
				a.unsized = p
				return a, k + 1 - i
			}
		}
	}
	// A number with a unit, and further parts of the same amount.
	k = j
	if is(toks, k, "-") && glued(toks, k) {
		k++
	}
	if is(toks, k, "scant", "heaping", "heaped", "rounded", "level", "full", "+") {
		if u, _ := unitAt(toks, k+1); u != nil {
			if !is(toks, k, "level", "full") {
				a.doubts = append(a.doubts, "Heaping and scant measures, and more than so much, are no exact amount.")
			}
			k++
		}
	}
	u, m := unitAt(toks, k)
	if u == nil {
		if kindAt(toks, j, word) && pieces[singularOf(toks[j].text)] {
			a.unsized, a.many = singularOf(toks[j].text), n.n
			return a, j + 1 - i
		}
		if n.article || n.letter || toks[i].paren {
			return a, 0
		}
		a.bare = true
		set(measure.Each)
		return a, used
	}
	set(u)
	a.ounces = u == measure.Ounce
	if toks[k].raw == "T" || toks[k].raw == "t" {
		a.doubts = append(a.doubts, "A single T is a tablespoon and a small t a teaspoon by custom only.")
	}
	if w, part, ok := strings.Cut(spanText(toks[i:j]), " "); ok && len(w) > 1 && part == "1/2" && (u == measure.Pint || u == measure.Gallon) { // 50 1/2 pt: half pints
		a.unread = true
	}
	if p := packageAt(toks, k+m); p != "" && u.Dimension == measure.Count { // 30 doz case
		a.unsized = p
		return a, k + m + 1 - i
	}
	if toks[k].raw == "G" {
		a.doubts = append(a.doubts, "A single G is grams, or gallons.")
	}
	j = k + m
	// A package of a size, one or several: 5-lb bag (1), 102 oz can x 2.
	if u == measure.Ounce && is(toks, j, "cup", "cups") { // a cup of 4 oz is of weight or of measure
		a.pack, a.packWord, a.countless = true, "cup", true
		return a, j + 1 - i
	}
	if p := packageAt(toks, j); p != "" && (u.Dimension == measure.Mass || u.Dimension == measure.Volume) && !n.ranged {
		a.pack, a.packWord, a.countless = true, p, true
		j++
		times, end := exact.Int(1), 0
		switch {
		case is(toks, j, "(") && is(toks, j+2, ")") && !n.twoWays:
			if c, used := numberAt(toks, j+1); used == 1 {
				times, end = c.n, j+3
			}
		case is(toks, j, "x", "×", "*"):
			if c, used := numberAt(toks, j+1); used > 0 {
				times, end = c.n, j+1+used
			}
		}
		if end > 0 && times.Sign() > 0 && !a.q.IsZero() {
			a.q, a.countless, j = a.q.Times(times), false, end
		}
		return a, j - i
	}
	if is(toks, j, "x", "×") && !n.ranged && !a.q.IsZero() {
		if c, used := numberAt(toks, j+1); used > 0 && c.n.Sign() > 0 {
			a.q, a.pack, j = a.q.Times(c.n), true, j+1+used
			return a, j - i
		}
	}
	if n.ranged {
		return a, j - i
	}
	for j < len(toks) {
		k, joins := j, false
		if is(toks, k, "+", "plus", "and", "&", ",") {
			joins = !is(toks, k, ",", "and", "&")
			k++
		}
		if is(toks, k, "\t", "|") {
			k++
		}
		more, used := numberAt(toks, k)
		if used == 0 || more.ranged || more.article || toks[k].paren != toks[i].paren {
			break
		}
		if v, m := canAt(toks, k+used); v != nil && joins {
			a.sum, a.q = true, measure.Quantity{}
			j = k + used + m
			continue
		}
		v, m := unitAt(toks, k+used)
		if v == nil || more.n.Sign() <= 0 {
			break
		}
		part := measure.New(more.n, v)
		// Smaller after larger is one amount; anything else is said apart.
		switch {
		case a.q.IsZero() && !a.sum:
		case !a.sum && part.Unit() == a.q.Unit() && (joins || smaller(v, u)) && v.Dimension != measure.Count:
			a.q, u = plus(a.q, part), v
			if raw := toks[k+used].raw; (raw == "T" || raw == "t") && len(a.doubts) == 0 {
				a.doubts = append(a.doubts, "A single T is a tablespoon and a small t a teaspoon by custom only.")
			}
			j = k + used + m
			continue
		case joins:
			a.sum, a.q = true, measure.Quantity{}
			j = k + used + m
			continue
		}
		break
	}
	return a, j - i
}

// followsNumber reports whether a number stands right before token i, with or
// without a mark between.
func followsNumber(toks []token, i int) bool {
	return kindAt(toks, i-1, number) || is(toks, i-1, "x") && kindAt(toks, i-2, number)
}

func positive(n exact.Number, u *measure.Unit) measure.Quantity {
	if n.Sign() <= 0 {
		return measure.Quantity{}
	}
	return measure.New(n, u)
}

// smaller reports whether unit v is a smaller unit than u of the same kind.
func smaller(v, u *measure.Unit) bool {
	r, ok := v.Ratio(u)
	return ok && r.Less(exact.Int(1))
}
