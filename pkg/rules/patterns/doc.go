// Package patterns is the meal patterns as data: what a meal must offer, by
// program, meal and age/grade group, each value with the days it holds on and
// its citation, resolved into one immutable [Pattern] for a date of service and
// the State's options.
//
// What it promises:
//
//   - Nothing knows today. A value holds from one day to another; one value
//     ends only where the next begins, so a rule that was repealed says so with
//     a value of its own ("none") and a citation.
//   - What the data does not know is never taken for met: rules without a value
//     on the day are listed by [Pattern.Unknown], and asking for one is a fault.
//   - Figures stand as printed. Weekly amounts are the printed tables for weeks
//     of 3 to 7 days; nothing is scaled by days.
//   - Upper ends that are printed beside a minimum but are no limit have a kind
//     of their own, [Upper], so no review can fail a menu on them by mistake.
//   - Points the rules leave open are options with a default and a reason.
//
// The sources are the YAML files under data/, one subject a file; they are
// compiled into patterns.json, which is what [Default] reads (go generate
// ./pkg/rules). The package is apart from rules so that crediting a recipe does
// not pay for loading patterns.
package patterns
