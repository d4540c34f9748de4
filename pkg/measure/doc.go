// Package measure reads and converts amounts as kitchens write them: "2 lb 4
// oz", "1 1/2 qt", "3 each", "2 cans no. 10", "1 scoop no. 16", and the same
// units by their UCUM codes.
//
// What it promises:
//
//   - Amounts stay in the system they were written in: pounds and ounces as
//     ounces, cups and spoons as cups, grams as grams. Nothing is normalized
//     through grams.
//   - Conversion uses the exact legal definitions: 1 lb is 453.59237 g, 1 US
//     gallon is 231 cubic inches. Handbook equivalents, such as 28.35 g in an
//     ounce, and printed scoop sizes are rule data, not facts of measure, and
//     live elsewhere.
//   - Weight and volume convert into each other only with a food's own figure,
//     so never here.
//   - A scoop no. n holds one quart divided by n.
package measure
