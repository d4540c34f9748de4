package measure

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
)

// MaxText is how many bytes an amount may take.
const MaxText = 100

// Quantity is an amount with its unit. The zero value is no amount.
type Quantity struct {
	amount exact.Number // in unit
	unit   *Unit        // the base unit of its dimension and system, or a container
	text   string       // as it was written
}

// New returns amount of unit. The amount must not be negative.
func New(amount exact.Number, unit *Unit) Quantity {
	q := Quantity{amount: amount.Mul(unit.ratio), unit: base(unit)}
	q.text = amount.String() + " " + unit.ID
	return q
}

// base returns the unit amounts of u's dimension and system are held in.
func base(u *Unit) *Unit {
	switch {
	case u.Dimension == Mass && u.System == Customary:
		return Ounce
	case u.Dimension == Mass:
		return Gram
	case u.Dimension == Volume && u.System == Customary:
		return Cup
	case u.Dimension == Volume:
		return Milliliter
	case u.Dimension == Count:
		return Each
	}
	return u
}

// IsZero reports whether q is no amount at all.
func (q Quantity) IsZero() bool { return q.unit == nil }

// Amount returns the amount in [Quantity.Unit].
func (q Quantity) Amount() exact.Number { return q.amount }

// Unit returns the unit the amount is held in: oz, g, cup, mL, each or a
// container.
func (q Quantity) Unit() *Unit { return q.unit }

// Dimension returns what q measures.
func (q Quantity) Dimension() Dimension { return q.unit.Dimension }

// System returns the family q was written in.
func (q Quantity) System() System { return q.unit.System }

// In returns the amount in unit u, when u measures the same thing.
func (q Quantity) In(u *Unit) (exact.Number, bool) {
	r, ok := q.unit.Ratio(u)
	if !ok {
		return exact.Number{}, false
	}
	return q.amount.Mul(r), true
}

// Times returns q times n, written in q's own unit.
func (q Quantity) Times(n exact.Number) Quantity {
	a := q.amount.Mul(n)
	return Quantity{amount: a, unit: q.unit, text: a.String() + " " + q.unit.ID}
}

// Text returns the amount as it was written.
func (q Quantity) Text() string { return q.text }

// String returns the amount as it was written.
func (q Quantity) String() string { return q.text }

// Parse reads an amount: numbers each followed by a unit, all of one dimension
// and one system ("2 lb 4 oz", "1 qt 1/2 cup", "1 can no. 10", "3 each").
// Faults carry no path; the caller knows where the text stood.
func Parse(s string) (Quantity, error) {
	bad := func(r fault.Reason, want, fix string) (Quantity, error) {
		return Quantity{}, fault.Fault{Reason: r, Value: fault.Clip(s), Want: want, Fix: fix}
	}
	const form = "an amount such as 2 lb 4 oz, 1 1/2 qt, 3 each or 1 can no. 10"
	if len(s) > MaxText {
		return bad(fault.TooLong, fmt.Sprintf("an amount of at most %d characters", MaxText), "Write the number and the unit only.")
	}
	words := split(s)
	if len(words) == 0 {
		return bad(fault.Missing, form, "Write how much the batch takes.")
	}
	var q Quantity
	for i := 0; i < len(words); {
		n, used, err := number(words[i:])
		if err != nil {
			if i == 0 {
				return bad(fault.BadQuantity, form, "Start with a plain number: no sign, no exponent, at most 9 digits, fractions as 1/2.")
			}
			return bad(fault.BadQuantity, form, fmt.Sprintf("What follows %q is not a number and a unit.", strings.Join(words[:i], " ")))
		}
		i += used
		if i == len(words) {
			return bad(fault.UnknownUnit, "a unit after the number", "Add the unit: oz, lb, g, kg, tsp, Tbsp, cup, pt, qt, gal, mL, L, each, dozen, or a can such as can no. 10.")
		}
		u, used := unit(words[i:])
		if u == nil {
			return bad(fault.UnknownUnit, "a unit the kitchen and this program both know", unitFix(words[i]))
		}
		i += used
		part := New(n, u)
		switch {
		case q.unit == nil:
			q = part
		case strings.ContainsAny(s, "()"):
			// "1 lb (16 oz)" says one amount twice; adding it up would double it.
			return bad(fault.BadQuantity, "one amount, not the same amount again in parentheses", "Leave out what stands in parentheses.")
		case q.unit != part.unit:
			return bad(fault.BadQuantity, "parts that measure the same thing in the same system", "Write weights apart from measures, and pounds apart from grams: one ingredient each.")
		default:
			q.amount = q.amount.Add(part.amount)
		}
	}
	if q.amount.Sign() == 0 {
		return bad(fault.OutOfRange, "an amount above 0", "Leave the ingredient out if the batch takes none.")
	}
	q.text = s
	if s[0] == ' ' || s[len(s)-1] == ' ' || strings.Contains(s, "  ") || strings.ContainsFunc(s, oddSpace) {
		q.text = strings.Join(strings.Fields(s), " ")
	}
	return q, nil
}

// oddSpace is any space but the plain one.
func oddSpace(r rune) bool { return r != ' ' && unicode.IsSpace(r) }

// fields cuts a text at spaces, commas and parentheses.
func fields(s string) []string {
	apart := func(r rune) bool { return unicode.IsSpace(r) || r == ',' || r == '(' || r == ')' }
	var few [8]string
	words := few[:0]
	start := -1
	for i := range len(s) {
		c := s[i]
		if c >= utf8.RuneSelf {
			return strings.FieldsFunc(s, apart)
		}
		switch {
		case apart(rune(c)) && start >= 0:
			words = append(words, s[start:i])
			start = -1
		case !apart(rune(c)) && start < 0:
			start = i
		}
	}
	if start >= 0 {
		words = append(words, s[start:])
	}
	return words
}

// split cuts s into words: letters lowered, commas and parentheses dropped, a
// number parted from the unit written onto it ("57g", "2lb").
func split(s string) []string {
	words := make([]string, 0, 8)
	for _, w := range fields(strings.ToLower(s)) {
		if i := strings.IndexFunc(w, startsUnit); i > 0 && startsNumber(w) && w[i-1] != '-' && byAlias[w] == nil && !exponent(w[i:]) {
			words = append(words, w[:i])
			w = w[i:]
		}
		if w = strings.TrimSuffix(w, "."); w == "no" {
			w = "no."
		}
		if w != "" {
			words = append(words, w)
		}
	}
	return words
}

// startsNumber reports whether a word begins with a digit or a fraction of one
// character.
func startsNumber(w string) bool {
	r, _ := utf8.DecodeRuneInString(w)
	return unicode.IsNumber(r)
}

// startsUnit reports whether a unit written onto its number can begin with r:
// a letter, or a bracket of a UCUM code.
func startsUnit(r rune) bool { return unicode.IsLetter(r) || r == '[' || r == '{' }

// exponent reports whether what follows a number's digits would be its
// exponent, which no unit looks like.
func exponent(w string) bool {
	return len(w) > 1 && w[0] == 'e' && (w[1] == '+' || w[1] == '-' || w[1] >= '0' && w[1] <= '9')
}

// number reads the longest number at the head of words: "1", "1/2", "1 1/2",
// "1 ½".
func number(words []string) (exact.Number, int, error) {
	if len(words) >= 2 && startsNumber(words[1]) && !strings.Contains(words[0], "/") {
		if n, err := exact.Parse(words[0] + " " + words[1]); err == nil {
			return n, 2, nil
		}
	}
	n, err := exact.Parse(words[0])
	return n, 1, err
}

// unit reads the longest unit name at the head of words.
func unit(words []string) (*Unit, int) {
	for n := min(len(words), 4); n > 0; n-- {
		if u, ok := byAlias[strings.Join(words[:n], " ")]; ok {
			return u, n
		}
	}
	return nil, 0
}

// unitFix says what to write instead of a unit nobody knows.
func unitFix(word string) string {
	switch word {
	case "t", "tb":
		return "Write Tbsp for tablespoons or tsp for teaspoons: a single T is read both ways."
	case "can", "cans":
		return "Say which can: can no. 10, can no. 300, can no. 2-1/2."
	case "scoop", "scoops", "disher", "dishers":
		return "Say which scoop: scoop no. 8, scoop no. 16."
	case "pinch", "dash", "bunch", "clove", "cloves", "slice", "slices", "sprig", "head", "stick", "bag", "box", "case", "package", "pkg":
		return "Weigh or measure it: a " + word + " has no fixed size."
	case "#":
		return "Write lb for pounds, or no. 10 can for the can."
	}
	return "Use oz, lb, g, kg, tsp, Tbsp, fl oz, cup, pt, qt, gal, mL, L, each, dozen, or a can such as can no. 10."
}
