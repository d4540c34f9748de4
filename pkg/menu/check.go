package menu

import (
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// Verdict is the outcome of a check.
type Verdict uint8

// The verdicts.
const (
	Met Verdict = iota + 1
	AtRisk
	NotChecked
	NotMet
)

// String returns the id records use.
func (v Verdict) String() string {
	return [...]string{"", "met", "at-risk", "not-checked", "not-met"}[v]
}

// Subgroups is the rule id of the check that one way through the week reaches
// every vegetable subgroup at once, and SubgroupsAndTotal of the one that it
// reaches the week's vegetables too, where each can be reached. They have no value
// of their own in the patterns.
const (
	Subgroups         = "least/vegetables/subgroups"
	SubgroupsAndTotal = "least/vegetables/subgroups-and-total"

	// CreditSteps is the rule id of what a given credit loses to its step.
	CreditSteps = "creditable/steps"

	// MilkKind is the rule id of the check that the menu says of which kind all of its
	// milk is, where some kind does not credit and nothing else asks for kinds.
	MilkKind = "milk/kind-said"
)

// Check is one question put to the menu, and its answer.
type Check struct {
	Verdict Verdict
	Note    bool // pointed out; does not fail the menu
	Rule    string
	Value   *patterns.Value // what asks for it, with its citation; nil where no single value does
	Line    string
	On      rules.Date // zero for a check of the week
	Days    int        // of the week; 0 for a check of a day
	Item    string     // where it is about one item

	Needed, There exact.Number
	Short         exact.Number // what is missing, or what is too much; 0 when met
	Unit          string       // of Short
	Word          string       // what is there, where the rule speaks in words
	Taken         []string     // the selection it rests on, where one decides
	Because       string
	Mend          string
}

// Citation returns where the rule stands.
func (c *Check) Citation() string {
	if c.Value == nil {
		return ""
	}
	return c.Value.Source.Citation()
}

// Review is what was checked, in the order lines, days, week.
type Review struct {
	Checks   []Check
	Patterns []*patterns.Pattern // one for each date and choice of options, as it comes up
}

// Verdict returns the worst verdict. A menu is met only when all that was asked
// could be checked.
func (r *Review) Verdict() Verdict {
	worst := Met
	for i := range r.Checks {
		if c := &r.Checks[i]; !c.Note && c.Verdict > worst {
			worst = c.Verdict
		}
	}
	return worst
}

// Of returns the checks with a verdict.
func (r *Review) Of(v Verdict) []Check {
	var out []Check
	for i := range r.Checks {
		if r.Checks[i].Verdict == v {
			out = append(out, r.Checks[i])
		}
	}
	return out
}
