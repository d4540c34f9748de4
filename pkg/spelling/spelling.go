// Package spelling finds what somebody probably meant to write.
package spelling

import (
	"slices"
	"strings"
)

// most is the longest word compared; longer ones are never near anything.
const most = 40

// Distance counts the slips between two words: a letter more, a letter less,
// another letter, two letters swapped. It stops counting past limit and then
// returns limit + 1. Words are compared byte by byte.
func Distance(a, b string, limit int) int {
	if len(a) > most || len(b) > most || len(a)-len(b) > limit || len(b)-len(a) > limit {
		return limit + 1
	}
	var rows [3][most + 1]int
	prev2, prev, cur := &rows[0], &rows[1], &rows[2]
	for j := range len(b) + 1 {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		least := i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			d := min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, prev2[j-2]+1)
			}
			cur[j] = d
			least = min(least, d)
		}
		if least > limit {
			return limit + 1
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return min(prev[len(b)], limit+1)
}

// Nearest returns the word of a list within three slips of w, letter case
// aside, or "".
func Nearest(w string, list []string) string {
	best, slips := "", 4
	w = strings.ToLower(w)
	sorted := slices.Clone(list)
	slices.Sort(sorted)
	for _, x := range sorted {
		if d := Distance(w, strings.ToLower(x), 3); d < slips {
			best, slips = x, d
		}
	}
	return best
}
