package patterns

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/source"
)

// Kind says how a value binds.
type Kind string

// The kinds.
const (
	Least  Kind = "least"  // this much or more
	Most   Kind = "most"   // this much or less
	Below  Kind = "below"  // less than this
	Upper  Kind = "upper"  // printed beside a minimum, not a limit
	Advice Kind = "advice" // this much or less, as advice
	Figure Kind = "figure" // a figure of a method
	Word   Kind = "word"   // one of the rule's words
	Set    Kind = "set"    // some of the rule's words
)

// Values that are no figure and no word of a rule.
const (
	None    = "none"    // the rules ask for nothing here, or nothing any more
	Unknown = "unknown" // something held, but no source for it was found
)

// Span is what an amount is counted over.
type Span string

// The spans. Limits and conditions have none.
const (
	NoSpan Span = ""
	Meal   Span = "meal"
	Day    Span = "day"
	Age1   Span = "age-1" // milk, in the group of ages 1-2
	Age2   Span = "age-2"
)

// The lengths a school week may have.
const (
	ShortestWeek = 3
	LongestWeek  = 7
)

// Week returns the span of a school week of so many days.
func Week(days int) Span { return Span("week-" + strconv.Itoa(days)) }

// Rule is what values are of.
type Rule struct {
	ID    string
	Title string
	Kind  Kind
	Unit  string
	words []string
}

// Words lists what a value of kind [Word] or [Set] may say.
func (r *Rule) Words() []string { return slices.Clone(r.words) }

// Value is what a rule says in one pattern from one day to another. It is
// shared: do not change it.
type Value struct {
	Rule           *Rule
	Span           Span
	Key            Key
	From           rules.Date
	To             rules.Date  // zero: no end known
	EarlierUnknown bool        // held before From, first day not known
	Start          source.Mark // mark of From, where it is weaker than the value's
	Option, Choice string      // the option this value belongs to; empty when to none
	Text           string      // as printed
	Number         exact.Number
	Unit           string
	Source         source.Ref
	Note           string
	words          []string
}

// ID names the value among all values of all days.
func (v *Value) ID() string {
	id := v.Key.String() + "/" + v.Rule.ID
	if v.Span != NoSpan {
		id += "/" + string(v.Span)
	}
	id += "/" + v.From.String()
	if v.Option != "" {
		id += "/" + v.Option + "=" + v.Choice
	}
	return id
}

// None reports whether the rule asks for nothing.
func (v *Value) None() bool { return v.Text == None }

// Unknown reports whether something held that the data does not have.
func (v *Value) Unknown() bool { return v.Text == Unknown }

// Words lists the words of a value of kind [Word] or [Set].
func (v *Value) Words() []string { return slices.Clone(v.words) }

// Says reports whether a value of kind [Word] or [Set] has a word.
func (v *Value) Says(word string) bool { return slices.Contains(v.words, word) }

// Figure is the value as records carry it.
func (v *Value) Figure() source.Figure {
	return source.Figure{ID: v.ID(), Name: v.Rule.Title, Text: v.Text, Unit: v.Unit, Used: v.Number, Source: v.Source}
}

func (v *Value) holdsOn(d rules.Date) bool {
	return !d.Before(v.From) && (v.To.IsZero() || !d.After(v.To))
}

// life writes the days of a value.
func (v *Value) life() string {
	s := "from " + v.From.String()
	if !v.To.IsZero() {
		s += " to " + v.To.String()
	}
	if v.Option != "" {
		s += " with option " + v.Option + "=" + v.Choice
	}
	return s
}

// Key names a pattern.
type Key struct {
	Program string
	Meal    string
	Group   string // age/grade group
}

// String writes program/meal/group.
func (k Key) String() string { return k.Program + "/" + k.Meal + "/" + k.Group }

// Group is an age/grade group of a program.
type Group struct {
	ID    string
	Title string
	Ages  string // as printed; empty where the title says it
	Note  string
}

// Pattern is what one meal must offer one group on one day, under one choice
// of options. It is immutable and safe for concurrent use.
type Pattern struct {
	Key     Key
	Group   Group
	On      rules.Date
	from    rules.Date // first day of the stretch with these values
	to      rules.Date // last day of it, zero when no change is known
	options map[string]string
	values  []*Value // in the order of the data
	at      map[ruleSpan]*Value
	unknown []Missing
	sheet   *sheet
}

// Missing is a rule the pattern has on other days, but not on this one.
type Missing struct {
	Rule *Rule
	Span Span
	Next rules.Date // first later day it is known on; zero when there is none
	Note string     // why it is not known, where the data says
}

// ID is a digest of the values in force: two patterns with the same id ask for
// the same.
func (p *Pattern) ID() string {
	h := sha256.New()
	var b []byte
	for _, v := range p.values {
		b = append(b[:0], v.ID()...)
		for _, s := range []string{v.To.String(), v.Text, v.Unit, string(v.Rule.Kind), v.Source.Document.ID, v.Source.Mark.String()} {
			b = append(b, 0)
			b = append(b, s...)
		}
		b = append(b, '\n')
		h.Write(b)
	}
	return "sha256:" + hex.EncodeToString(h.Sum(nil)[:16])
}

// Options returns the choices the pattern was resolved with, defaults
// included.
func (p *Pattern) Options() map[string]string {
	m := make(map[string]string, len(p.options))
	for k, v := range p.options {
		m[k] = v
	}
	return m
}

// Stretch returns the first and last day around the pattern's own on which
// nothing in it changes; the last is zero when no later change is known.
func (p *Pattern) Stretch() (from, to rules.Date) { return p.from, p.to }

// Values lists the values in force, in the order of the data, those that say
// none included.
func (p *Pattern) Values() []*Value { return slices.Clone(p.values) }

// Unknown lists the rules this pattern has on other days but has no known value
// for on this one: a review says they were not checked.
func (p *Pattern) Unknown() []Missing { return slices.Clone(p.unknown) }

// Get returns a value in force. A rule that the data does not know on that day
// is a fault that says when it does; so is a rule the pattern never has.
func (p *Pattern) Get(rule string, span Span) (*Value, error) {
	if v := p.at[ruleSpan{rule, span}]; v != nil && !v.Unknown() {
		return v, nil
	}
	name := rule
	if span != NoSpan {
		name += " (" + string(span) + ")"
	}
	f := fault.Fault{Reason: fault.RuleNotInForce, Path: "serviceDate", Value: p.On.String(),
		Want: "a date on which " + name + " is known for " + p.Key.String(),
		Fix:  "No such rule is in this pattern."}
	var lives []string
	for _, v := range p.sheet.of(rule, span) {
		if !v.Unknown() {
			lives = append(lives, v.life())
		}
	}
	if len(lives) > 0 {
		f.Fix = "It is known " + strings.Join(lives, "; ") + "."
	}
	return nil, f
}

// Amount returns a value in force that asks for something: not none and known.
func (p *Pattern) Amount(rule string, span Span) (*Value, bool) {
	v := p.at[ruleSpan{rule, span}]
	if v == nil || v.None() || v.Unknown() {
		return nil, false
	}
	return v, true
}

// Minimum is what a component, or a subgroup of it, must reach.
type Minimum struct {
	Component string // grains, vegetables, grains-or-meats, ...
	Subgroup  string // of vegetables; empty for the component as a whole
	*Value
}

// Minimums lists what must be offered over a span, in the order of the data:
// [Meal], [Day], or [Week] of 3 to 7 days (see [Pattern.Weekly]).
func (p *Pattern) Minimums(span Span) []Minimum {
	var out []Minimum
	for _, v := range p.values {
		of, ok := strings.CutPrefix(v.Rule.ID, "least/")
		if !ok || v.Span != span || v.None() || v.Unknown() {
			continue
		}
		component, subgroup, _ := strings.Cut(of, "/")
		out = append(out, Minimum{component, subgroup, v})
	}
	return out
}

// Weekly lists what must be offered over a school week of so many days: nothing
// where the pattern asks for nothing by the week. A week of fewer than 3 days or
// more than 7 has no table and is a fault.
func (p *Pattern) Weekly(days int) ([]Minimum, error) {
	if days < ShortestWeek || days > LongestWeek {
		return nil, fault.Fault{Reason: fault.OutOfRange, Path: "days", Value: strconv.Itoa(days),
			Want: "a school week of 3 to 7 days",
			Fix:  "Join a shorter week to the one before or after it, and divide a longer one."}
	}
	return p.Minimums(Week(days)), nil
}

// UpperEnd returns the figure printed as the upper end of a component's range.
// It is no limit.
func (p *Pattern) UpperEnd(component string, span Span) (*Value, bool) {
	return p.Amount("upper/"+component, span)
}

// Limits lists the limits on nutrients, in the order of the data: averages per
// day over the week, at least, at most or below, as the rule's kind says.
func (p *Pattern) Limits() []*Value { return p.under("nutrient/") }

// Products lists the limits that hold for each product alone.
func (p *Pattern) Products() []*Value { return p.under("product/") }

// Conditions lists what is in force beside amounts, limits and products.
func (p *Pattern) Conditions() []*Value {
	var out []*Value
	for _, v := range p.values {
		switch prefix, _, _ := strings.Cut(v.Rule.ID, "/"); prefix {
		case "least", "upper", "nutrient", "product", "milk":
		default:
			if !v.None() && !v.Unknown() {
				out = append(out, v)
			}
		}
	}
	return out
}

func (p *Pattern) under(prefix string) []*Value {
	var out []*Value
	for _, v := range p.values {
		if strings.HasPrefix(v.Rule.ID, prefix) && !v.None() && !v.Unknown() {
			out = append(out, v)
		}
	}
	return out
}

// Answer is whether something credits.
type Answer string

// The answers. An answer that cannot be given is a fault.
const (
	Credits Answer = "credits"
	Flagged Answer = "flagged" // sources differ: not failed, but pointed out
	Refused Answer = "refused"
)

// Milk answers whether milk of a fat level credits for this group, with the
// value that says so. Fat levels are fat-free, low-fat, reduced-fat, whole and
// buttermilk. In the group of ages 1-2 the span is [Age1] or [Age2], elsewhere
// [NoSpan].
func (p *Pattern) Milk(fat string, flavored bool, age Span) (Answer, *Value, error) {
	rule := "milk/unflavored"
	if flavored {
		rule = "milk/flavored"
	}
	v, err := p.Get(rule, age)
	if err != nil {
		return "", nil, err
	}
	if !slices.Contains(v.Rule.words, fat) {
		return "", nil, fault.Fault{Reason: fault.UnknownValue, Path: "milk.fat", Value: fat,
			Want: "one of " + strings.Join(v.Rule.words, ", "), Fix: "Write the fat level of the milk so."}
	}
	if v.Says(fat) {
		return Credits, v, nil
	}
	if flag, ok := p.Amount("milk/flag", NoSpan); ok && flag.Says(fat) {
		return Flagged, flag, nil
	}
	return Refused, v, nil
}
