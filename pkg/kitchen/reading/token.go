package reading

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxTokens is how many tokens of a line are looked at; a line with more is no
// ingredient.
const maxTokens = 120

type kind uint8

const (
	word kind = iota
	number
	mark // one character that is neither
)

// token is a piece of a line.
type token struct {
	kind       kind
	text       string // letters lowered
	raw        string
	start, end int
	paren      bool // within parentheses
}

// vulgar are the fractions of one character.
const vulgar = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"

// scan cuts a line into words, numbers and marks. It takes at most maxTokens and
// reports whether that was all.
func scan(s string) ([]token, bool) {
	out := make([]token, 0, 24)
	depth := 0
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		if unicode.IsSpace(r) && r != '\t' {
			i += n
			continue
		}
		if len(out) == maxTokens {
			return out, false
		}
		j, k := i+n, mark
		switch {
		case digit(r) || r == '.' && j < len(s) && digit(rune(s[j])) && (i == 0 || !wordly(s[i-1])):
			k, j = number, numberEnd(s, i)
		case strings.ContainsRune(vulgar, r):
			k = number
		case unicode.IsLetter(r):
			k = word
			for j < len(s) {
				r, n := utf8.DecodeRuneInString(s[j:])
				if !unicode.IsLetter(r) && !unicode.Is(unicode.Mn, r) && r != '\'' && r != '’' {
					break
				}
				j += n
			}
		}
		switch {
		case r == '(' || r == '[':
			depth++
		case (r == ')' || r == ']') && depth > 0:
			depth--
		}
		t := token{kind: k, raw: s[i:j], start: i, end: j, paren: depth > 0}
		t.text = strings.ToLower(t.raw)
		if k == word {
			if strings.ContainsAny(t.text, "'’") {
				t.text = strings.ReplaceAll(strings.ReplaceAll(t.text, "'", ""), "’", "")
			}
			t.text = plain(t.text)
		}
		out = append(out, t)
		i = j
	}
	return out, true
}

// plain takes the accents off the letters that ingredients have them on.
func plain(s string) string {
	if strings.IndexFunc(s, func(r rune) bool { return r >= utf8.RuneSelf }) < 0 {
		return s
	}
	return accents.Replace(s)
}

var accents = strings.NewReplacer("é", "e", "è", "e", "ê", "e", "ñ", "n", "ü", "u", "ú", "u", "á", "a", "à", "a", "â", "a", "í", "i", "î", "i", "ó", "o", "ö", "o", "ô", "o", "ç", "c")

// wordly reports whether a point after this byte is no decimal point of a number
// to come: it ends a word or a number, or is one of a leader of dots.
func wordly(b byte) bool {
	return digit(rune(b)) || b == '.' || b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z'
}

func digit(r rune) bool { return r >= '0' && r <= '9' }

// numberEnd returns where the digits beginning at i end: a point or comma
// between digits belongs to them, and one slash.
func numberEnd(s string, i int) int {
	slash := false
	for j := i; ; {
		if j < len(s) && digit(rune(s[j])) {
			j++
			continue
		}
		r, n := utf8.DecodeRuneInString(s[j:])
		next := j+n < len(s) && digit(rune(s[j+n]))
		switch {
		case (r == '.' || r == ',') && next && !slash:
		case (r == '/' || r == '⁄') && next && !slash:
			slash = true
		default:
			return j
		}
		j += n
	}
}

// columned takes out the tabs and bars between a number and its unit, which stand
// in columns of their own.
func columned(toks []token) []token {
	toks = unwrapped(toks)
	out := make([]token, 0, len(toks))
	for i, t := range toks {
		if (t.text == "\t" || t.text == "|") && kindAt(toks, i-1, number) && i+1 < len(toks) {
			u, _ := unitAt(toks, i+1)
			if u != nil || packageAt(toks, i+1) != "" || canFollows(toks, i+1) {
				continue
			}
		}
		out = append(out, t)
	}
	return out
}

// unwrapped takes the parentheses off a number of packages and off the number of
// a can: (2) 5-lb bags, 3 (#10) cans.
func unwrapped(toks []token) []token {
	out := make([]token, 0, len(toks))
	for i := 0; i < len(toks); i++ {
		if is(toks, i, "(") && kindAt(toks, i+1, number) && is(toks, i+2, ")") {
			_, _, sized := sizedAt(toks, i+3)
			if canFollows(toks, i+3) || sized > 0 && packageAt(toks, i+3+sized) != "" || i == 0 && packageAt(toks, i+3) != "" {
				t := toks[i+1]
				t.paren = false
				out = append(out, t)
				i += 2
				continue
			}
		}
		if i > 0 && is(toks, i, "(") && is(toks, i+2, ")") { // two (2) lb: the same number again
			a, one := numberAt(toks[:i], i-1)
			b, other := numberAt(toks[:i+2], i+1)
			if one == 1 && other == 1 && a.word != b.word && a.n.Equal(b.n) {
				i += 2
				continue
			}
		}
		if is(toks, i, "can", "cans") && is(toks, i+1, "(") && is(toks, i+2, "#") && kindAt(toks, i+3, number) {
			j := i + 4
			if is(toks, j, "size", "cans", "can") {
				j++
			}
			if is(toks, j, ")") {
				out = append(out, toks[i])
				for _, t := range toks[i+2 : i+4] {
					t.paren = false
					out = append(out, t)
				}
				i = j
				continue
			}
		}
		if is(toks, i, "(") && is(toks, i+1, "#") && is(toks, i+2, "10") && is(toks, i+3, ")") && is(toks, i+4, "can", "cans") {
			for _, t := range toks[i+1 : i+3] {
				t.paren = false
				out = append(out, t)
			}
			i += 3
			continue
		}
		out = append(out, toks[i])
	}
	return out
}
