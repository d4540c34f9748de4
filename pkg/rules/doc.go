// Package rules is law as data: dated parameters of crediting with a citation
// on every value, resolved into one immutable [RuleSet] for a date of service,
// a program and the State's options.
//
// What it promises:
//
//   - Nothing knows today. A value holds from one day to another, both given,
//     and outside its life asking for it is a fault, never zero and never the
//     nearest value.
//   - Every value has a document behind it; the loader refuses one without, and
//     refuses overlaps, ends before starts and marks it does not know.
//   - A rule set's id is a digest of the values that hold, so two records made
//     under the same values carry the same id.
//
// Where the first day of a rule is not known, its value starts on the earliest
// day the sources support and says so ([Value.EarlierUnknown]); dates before
// are refused.
//
// The sources are the YAML files under data/, one subject a file. They are
// compiled into rules.json, which is what [Default] reads; a test fails when
// the two differ (go generate ./pkg/rules).
package rules

//go:generate go run ./compile
