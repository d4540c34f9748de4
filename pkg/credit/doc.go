// Package credit is the engine: a recipe or a bought product in, a crediting
// record out, under the rules of a date of service.
//
// What it promises:
//
//   - Exact. Sums and quotients are exact rationals; a credit is rounded down
//     once, at the end, to the step of its component.
//   - Explained. Every record holds the steps of its work with the figures
//     they used, and [Replay] gets the same credits from the record alone.
//   - Never more than the paper supports. Each credit has a [Status]; a figure
//     from memory or from data that is not the handbook makes it an estimate.
//   - All faults at once, as a [*fault.List], each with its path; never part
//     of an answer.
//   - Same request, same bytes: nothing depends on the clock, the environment
//     or the order of a map.
//
// What it refuses: foods, units, states and options it does not know; amounts
// it has no figure for; dates before its rules are known. It asks how a food is
// served when the answer would change a credit, and takes the lower figure when
// it would not.
package credit
