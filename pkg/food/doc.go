// Package food is the catalog: foods as they are bought, what turns an amount
// of each into credit, and the paper every figure was read from.
//
// What it promises:
//
//   - A figure without a source does not load. Its tier says how close the
//     source is to the handbook, its mark whether anybody read it there.
//   - Figures are kept as printed. Nothing is rounded, merged or normalized.
//   - A food that credits nothing says why.
//   - [Catalog.Search] offers foods for everyday words and misspellings; it
//     never decides. Crediting takes ids only.
//
// The tables are foods.csv, figures.csv and sources.csv under data/. A caller's
// own foods and figures go over them with [Catalog.With], as an overlay that
// leaves the catalog itself alone.
package food
