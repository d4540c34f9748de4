// Package report puts a crediting record into words: as text of at most 80
// columns that a reviewer repeats with a pocket calculator, and as the short
// sentences other packages show for findings, alternatives and steps.
//
// Credits are written as the trade writes them (1 1/4 oz eq, 3/8 cup). Running
// values are cut, not rounded, to 4 places. What is not documented is said at
// the top, before the work.
package report
