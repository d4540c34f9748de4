// Package report puts answers into words, as text of at most 80 columns: a
// crediting record that a reviewer repeats with a pocket calculator ([Text],
// [Steps]); menus reviewed, looked ahead and as served, and trays ([Review],
// [LookAhead], [Production], [Tray]); what a kitchen asked ([Scale], [Target],
// [Compare], [Buy], [Cautions], [Reading]); and what is to be mended ([Faults]). It
// has the short sentences other packages show for findings, alternatives and steps.
//
// Credits are written as the trade writes them (1 1/4 oz eq, 3/8 cup). Running
// values are cut, not rounded, to 4 places. What is not documented is said at
// the top, before the work.
package report
