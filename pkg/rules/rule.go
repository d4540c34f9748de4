package rules

import (
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/source"
)

// Rule is one parameter of crediting through time.
type Rule struct {
	ID     string
	Title  string
	Unit   string
	Values []*Value // in the order of the data file
}

// Value is what a rule says for some programs from one day to another.
type Value struct {
	Rule           *Rule
	Programs       []string
	From           Date
	To             Date   // zero: no end known
	EarlierUnknown bool   // true when the rule held before From, first day not known
	Option, Choice string // the option this value belongs to; empty when to none
	Text           string // as printed
	Number         exact.Number
	Steps          []Step // for tables, largest credit first; Text is then empty
	Source         source.Ref
	Note           string
	Record         source.Figure // the value as records carry it
}

// Step is one row of a table: the least amount that earns a credit.
type Step struct {
	Credit     exact.Number
	CreditText string
	Least      exact.Number
	LeastText  string
	Source     source.Ref
	Record     source.Figure // the least weight as records carry it
	Earns      source.Figure // the credit as records carry it
}

// Program is a child nutrition program.
type Program struct {
	ID         string
	Name       string
	Regulation string
}

// Option is a point the rules leave open or leave to the State agency.
type Option struct {
	ID       string
	Title    string
	Programs []string // empty: all
	Choices  []Choice
	Default  string
	Reason   string
	Source   source.Ref
}

// Choice is one answer to an option.
type Choice struct {
	ID    string
	Title string
}

// applies reports whether the option matters in a program.
func (o *Option) applies(program string) bool {
	if len(o.Programs) == 0 {
		return true
	}
	for _, p := range o.Programs {
		if p == program {
			return true
		}
	}
	return false
}

func (v *Value) covers(program string) bool {
	for _, p := range v.Programs {
		if p == program {
			return true
		}
	}
	return false
}

func (v *Value) holdsOn(d Date) bool {
	return !d.Before(v.From) && (v.To.IsZero() || !d.After(v.To))
}
