// Package exact is arithmetic on rational numbers that never rounds unless it
// is told to, by name.
//
// What it promises:
//
//   - A [Number] holds the value it was given. No float takes part, anywhere.
//   - The zero value of Number is 0 and ready to use.
//   - Add, Sub, Mul and Quo are exact. Values that outgrow 64-bit integers
//     move to math/big and come back when they fit again; no result depends on
//     which of the two carried it.
//   - Rounding happens only in [Number.RoundDown], [Number.RoundUp] and
//     [Number.Cut], each of which names what it does.
//   - [Parse] is bounded: it looks at no more than [MaxText] bytes and refuses
//     more digits than [MaxDigits] on either side of the point before it
//     stores any of them.
//
// What it refuses: signs, exponents, thousands separators, NaN and infinities
// in text. Amounts of food are not negative.
//
// Numbers are compared with [Number.Cmp] or [Number.Equal], never with ==: two
// representations of one value may differ.
package exact
