// Package reading reads a recipe from pasted text or from schema.org Recipe
// JSON-LD, and says of each line how sure it is: certain, likely or unknown.
//
// What it promises:
//
//   - A line is certain only when every word of it was understood, one food of
//     the catalog fits them, and the amount is written. Whatever was supplied by
//     custom, chosen between foods, states or bases, or mended in spelling makes
//     it likely, with the other readings beside it. What is not told stays
//     unknown; nothing is made up.
//   - Nothing likely is credited without being marked: [Reading.Recipe] refuses
//     until each such line is confirmed, mended or left out, and
//     [Reading.Draft] holds what is not confirmed out of every credit and names
//     it.
//   - Text and amount stand as they were written, with their offsets.
//   - Everything wrong comes back at once, as a *fault.List; the reader never
//     panics, and its work is bounded by [MaxText], [MaxLines] and [MaxLine].
//
// The same text with the same catalog is always read the same way.
package reading
