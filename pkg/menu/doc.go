// Package menu reviews menus as schools and care centers serve them: does this
// day, this week, meet the pattern for these children on these dates, and is this
// tray reimbursable?
//
// What it promises:
//
//   - An offer is judged for every child who may stand in the line. What a choice
//     means is written in docs/menus.md; each check names the selection it rests on.
//   - Every check says what was needed, what is there, and which value of the
//     rules, with its citation, asks for it. A pass says so too.
//   - What the menu does not tell, or the rules do not know on that day, is
//     [NotChecked]; it is never counted as met.
//   - A credit that rests on an estimate or a missing paper makes a check [AtRisk].
//   - Each day is judged by the rules of its own date, each serving line alone.
//     A menu is one meal of one program, so lunch and breakfast cannot be pooled.
//   - A look-ahead moves a menu to later rules by whole weeks and names the rule
//     behind each difference; a production record is reviewed offer by offer, as
//     children found it. Where a record leaves open whether a child went without, the
//     answer is at risk at best.
//   - Everything wrong with a menu comes back at once as a *fault.List.
//
// A [Reviewer] is immutable and safe for concurrent use.
package menu
