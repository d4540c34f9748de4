// Package source says where a figure comes from and how far it can be trusted:
// the document it stands in, whether somebody read it there, and how close that
// document is to the handbook. Every rule value and every figure of a food
// carries one.
package source

import (
	"strings"

	"example.com/ozeq/pkg/exact"
)

// Mark says how a value got here.
type Mark uint8

const (
	// Read means it was seen in a retrieved text.
	Read Mark = iota + 1
	// Derived means it was worked out from values that were read.
	Derived
	// CommonPractice means it is a fact of the trade with no source.
	CommonPractice
	// Memory means it was recalled and not retrieved.
	Memory
	// Caller means the request brought it, with its paper.
	Caller
)

var markNames = map[Mark]string{
	Read: "read", Derived: "derived", CommonPractice: "common-practice", Memory: "memory", Caller: "caller",
}

// String returns the id used in data files and records.
func (m Mark) String() string { return markNames[m] }

// ParseMark reads what [Mark.String] writes.
func ParseMark(s string) (Mark, bool) {
	for m, name := range markNames {
		if name == s {
			return m, true
		}
	}
	return 0, false
}

// Tier says how close a document is to the handbook.
type Tier uint8

const (
	// Fact is a fact of measure, such as 16 oz in a pound.
	Fact Tier = iota
	// Handbook is the federal handbook, a regulation or a federal memo.
	Handbook
	// PublicRecipe is a recipe or marketing guide of a public body.
	PublicRecipe
	// OpenData is open federal data that is not the handbook.
	OpenData
)

// Document is a paper a value was taken from.
type Document struct {
	ID        string // short key, such as "BAAG"
	Title     string
	Section   string
	Edition   string
	Publisher string
	URL       string
	Mark      Mark
	Tier      Tier
}

// Citation writes the document as a reader would look it up: title, section,
// edition, publisher.
func (d *Document) Citation() string { return d.cite("") }

// cite writes the document with a place in it beside its own section.
func (d *Document) cite(place string) string {
	parts := make([]string, 0, 5)
	for _, p := range []string{d.Title, d.Section, place, d.Edition, d.Publisher} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, ", ")
}

// Ref is where one value comes from.
type Ref struct {
	Document *Document
	Section  string // place in the document, when it differs from the document's own
	Mark     Mark
	Tier     Tier
}

// Documented reports whether the value can carry a claim: it was read, or
// derived from what was read, in the handbook or a rule, or came with the
// caller's paper.
func (r Ref) Documented() bool {
	switch r.Mark {
	case Read, Derived:
		return r.Tier == Handbook || r.Tier == Fact
	case Caller:
		return true
	}
	return false
}

// Citation writes the reference in one line.
func (r Ref) Citation() string {
	if r.Document == nil {
		return r.Section
	}
	return r.Document.cite(r.Section)
}

// Figure is one value a credit can rest on, with its source: a figure of a food,
// a rule value, a row of a table, or a fact of measure. Figures are immutable
// and shared; records point to them.
type Figure struct {
	ID     string
	Name   string       // what it is a figure of: the food and state, or the rule's title
	Text   string       // as printed
	Unit   string       // what the text counts: "servings of 1/4 cup per lb", "g"
	Size   string       // serving size as printed, for servings per purchase unit
	Used   exact.Number // what the work multiplies or divides by
	Source Ref
}

// Fact reports whether the figure is a fact of measure or of the request, such
// as 16 oz in a pound or the servings made, and needs no source.
func (g *Figure) Fact() bool { return g.Source.Tier == Fact }
