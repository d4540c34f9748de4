package reading

import "example.com/ozeq/pkg/measure"

// Bounds of what is read.
const (
	MaxText         = 64 << 10 // bytes of pasted text
	MaxLines        = 1000     // lines of pasted text, empty ones aside
	MaxLine         = 400      // bytes of one line
	MaxJSON         = 1 << 20  // bytes of JSON-LD
	MaxDepth        = 32       // levels of JSON-LD
	MaxValues       = 100_000  // values of JSON-LD
	MaxAlternatives = 6        // other readings of one line
)

// Certainty is how sure the reading of a line is.
type Certainty uint8

const (
	// Unknown: the food or the amount is not told.
	Unknown Certainty = iota
	// Likely: there is a reading, and something in it somebody must confirm.
	Likely
	// Certain: every word was understood and nothing had to be supplied.
	Certain
)

// String returns the id: "unknown", "likely", "certain".
func (c Certainty) String() string {
	switch c {
	case Certain:
		return "certain"
	case Likely:
		return "likely"
	}
	return "unknown"
}

// About is the part of a line a doubt is about.
type About string

// What doubts are about.
const (
	AboutFood   About = "food"
	AboutState  About = "state"
	AboutBasis  About = "basis"
	AboutAmount About = "amount"
	AboutLine   About = "line" // whether the line belongs in every portion at all
)

// Doubt is one thing that is to be confirmed or told.
type Doubt struct {
	About About
	Words string // a sentence for the cook
}

// Span is a piece of [Line.Text]: bytes Start to End, End not included.
type Span struct{ Start, End int }

// Choice is one reading of a line. Fields left empty are not told; an empty
// basis is the usual one.
type Choice struct {
	Food     string // id in the catalog
	State    string
	Basis    string           // as-purchased, usable, as-served, or empty
	Quantity measure.Quantity // zero when no amount is told
}

// Alternative is another reading of a line.
type Alternative struct {
	Choice
	Words string // what would make it the right one
}

// Line is one ingredient as it was written, and its reading.
type Line struct {
	Path    string // "lines[12]", counted from 1 as an editor does, or "recipeIngredient[3]", from 0
	Text    string // as written, without bullet or number
	Start   int    // where Text begins in the pasted text, in bytes; 0 for JSON-LD
	Heading string // heading it stands under, or empty

	Certainty Certainty
	Choice
	// Said is the state the words say, in the words of the catalog. State is the
	// same where the food is credited by it, and empty where it is not: a weight
	// of shredded cheese credits as any cheese.
	Said         string
	Amount       string // the amount as written; empty when none was found
	AmountAt     Span
	Name         string // the words of the food as written, amount taken away
	Optional     bool   // the line says it may be left out
	Doubts       []Doubt
	Alternatives []Alternative
}

// Skipped is a line that was not taken for an ingredient.
type Skipped struct {
	Path  string
	Text  string
	Words string // what it was taken for
}

// Reading is a recipe as it was read.
type Reading struct {
	Name         string // empty when none was found
	Servings     int    // 0 when not told, or told as a range
	ServingsText string // where it was read, as written
	// ServingsDoubt says what is to be confirmed about the servings, or is empty.
	ServingsDoubt string
	PortionName   string           // "1 square"; empty when not told
	PortionWeight measure.Quantity // zero when not told
	PortionVolume measure.Quantity // zero when not told
	PortionText   string           // where it was read, as written
	PortionDoubt  string           // what is to be confirmed about the portion, or empty
	Lines         []Line
	Skipped       []Skipped
}

// Count returns how many lines are certain, likely and unknown.
func (r *Reading) Count() (certain, likely, unknown int) {
	for i := range r.Lines {
		switch r.Lines[i].Certainty {
		case Certain:
			certain++
		case Likely:
			likely++
		default:
			unknown++
		}
	}
	return certain, likely, unknown
}
