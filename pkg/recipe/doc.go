// Package recipe is a standardized recipe as data: servings, the portion, and
// ingredients with amounts as the card prints them. It checks what can be
// checked without rules or foods, all at once, and gives a recipe its digest.
package recipe
