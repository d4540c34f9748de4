// Package fault is what is wrong with a request: a reason for programs, and a
// path, a value, what was expected and how to mend it for people. Everything
// wrong with a request comes back at once, as a [List], which is an error.
package fault

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Reason is a machine-readable cause. Reasons are never renamed.
type Reason string

// Reasons of the library.
const (
	// Shape of a request or file.
	NotUTF8        Reason = "NOT_UTF8"
	BadSyntax      Reason = "BAD_SYNTAX"
	TooLarge       Reason = "TOO_LARGE"
	TooDeep        Reason = "TOO_DEEP"
	UnknownField   Reason = "UNKNOWN_FIELD"
	DuplicateField Reason = "DUPLICATE_FIELD"
	WrongType      Reason = "WRONG_TYPE"
	YAMLFeature    Reason = "YAML_FEATURE"

	// Values.
	Missing      Reason = "MISSING"
	Conflicting  Reason = "CONFLICTING"
	TooMany      Reason = "TOO_MANY"
	TooLong      Reason = "TOO_LONG"
	OutOfRange   Reason = "OUT_OF_RANGE"
	BadNumber    Reason = "BAD_NUMBER"
	BadQuantity  Reason = "BAD_QUANTITY"
	UnknownUnit  Reason = "UNKNOWN_UNIT"
	BadDate      Reason = "BAD_DATE"
	BadText      Reason = "BAD_TEXT"
	UnknownValue Reason = "UNKNOWN_VALUE"

	// Rules.
	UnknownProgram Reason = "UNKNOWN_PROGRAM"
	UnknownOption  Reason = "UNKNOWN_OPTION"
	RuleNotInForce Reason = "RULE_NOT_IN_FORCE"

	// Foods.
	UnknownFood      Reason = "UNKNOWN_FOOD"
	UnknownState     Reason = "UNKNOWN_STATE"
	StateNeeded      Reason = "STATE_NEEDED"
	CannotCreditAs   Reason = "CANNOT_CREDIT_AS"
	UnitNeedsDensity Reason = "UNIT_NEEDS_DENSITY"
	NoFigure         Reason = "NO_FIGURE"
	UnitDoesNotFit   Reason = "UNIT_DOES_NOT_FIT"

	// Not built yet; an honest refusal instead of a wrong zero.
	NotYet Reason = "NOT_YET"
)

// Fault is one thing wrong with a request.
type Fault struct {
	Reason Reason
	Path   string // JSON path, such as "recipe.ingredients[3].food", cut to MaxPath bytes; empty for the whole
	Value  string // what was found, cut to MaxValue bytes
	Want   string // what was expected
	Fix    string // how to mend it
}

// Bounds of what a fault and a list carry.
const (
	MaxValue  = 80
	MaxPath   = 200 // longer than any field's; the rest are names a caller made up
	MaxFaults = 100
)

// Error writes the fault in one line: path, value, what was expected, the fix.
func (f Fault) Error() string {
	var b strings.Builder
	if f.Path != "" {
		b.WriteString(f.Path)
		b.WriteString(": ")
	}
	if f.Value != "" {
		b.WriteString(strconv.Quote(f.Value))
		b.WriteString(": ")
	}
	b.WriteString(f.Want)
	if f.Fix != "" {
		b.WriteString(". ")
		b.WriteString(f.Fix)
	}
	b.WriteString(" [")
	b.WriteString(string(f.Reason))
	b.WriteString("]")
	return b.String()
}

// List is everything wrong with one request. A nil or empty list is no fault.
type List struct {
	Faults  []Fault
	Omitted int // found beyond MaxFaults and not kept
}

// Error implements error: one fault a line.
func (l *List) Error() string {
	var b strings.Builder
	for i, f := range l.Faults {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(f.Error())
	}
	if l.Omitted > 0 {
		fmt.Fprintf(&b, "\nand %d more", l.Omitted)
	}
	return b.String()
}

// Add appends a fault, its value cut to MaxValue bytes of valid UTF-8, its path
// to MaxPath and its sentences to a readable length.
func (l *List) Add(f Fault) {
	if len(l.Faults) >= MaxFaults {
		l.Omitted++
		return
	}
	f.Path, f.Value = clip(f.Path, MaxPath), Clip(f.Value)
	f.Want, f.Fix = clip(f.Want, maxSentence), clip(f.Fix, maxSentence)
	l.Faults = append(l.Faults, f)
}

// Append adds every fault of err when err is a *List, and reports whether it
// was one.
func (l *List) Append(err error) bool {
	o, ok := err.(*List)
	if !ok {
		return false
	}
	if o == nil {
		return true
	}
	for _, f := range o.Faults {
		l.Add(f)
	}
	l.Omitted += o.Omitted
	return true
}

// Err returns the list as an error, or nil when it is empty.
func (l *List) Err() error {
	if l == nil || len(l.Faults) == 0 {
		return nil
	}
	return l
}

// Clip cuts s to MaxValue bytes, three dots at its end included, without
// splitting a character, makes it valid UTF-8, and turns what could break a
// line or reverse its reading order into spaces.
func Clip(s string) string { return clip(s, MaxValue) }

// ClipTo is [Clip] to another length, of at least 8 bytes.
func ClipTo(s string, most int) string { return clip(s, most) }

// maxSentence bounds what is expected and how to mend it: what was found may be
// quoted in them.
const maxSentence = 600

func clip(s string, most int) string {
	if len(s) > most {
		const dots = "..."
		n := most - len(dots)
		for least := n - utf8.UTFMax + 1; n > least && !utf8.RuneStart(s[n]); {
			n--
		}
		s = s[:n] + dots
	}
	return strings.Map(func(r rune) rune {
		if unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Bidi_Control) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
}

// Index returns path[i], for items of a list.
func Index(path string, i int) string {
	return path + "[" + strconv.Itoa(i) + "]"
}

// Field returns path.name, or the one of the two that is not empty.
func Field(path, name string) string {
	switch {
	case path == "":
		return name
	case name == "":
		return path
	}
	return path + "." + name
}
