package reading_test

import (
	"fmt"
	"testing"
)

func TestZZ(t *testing.T) {
	for _, x := range []string{"Brown rice, long grain | 6 lb 4 oz | 3 qt 2 cups", "4 lb cooked ground beef crumbles", "3 lb 2oz rice, brown, medium grain"} {
		l := reader().Line(x)
		fmt.Println(x, "->", l.Certainty, l.Food, l.Quantity, l.Doubts, l.Alternatives)
	}
	m := map[string]int{}
	ex := map[string]string{}
	for _, x := range table(t, "../../../testdata/published/lines.csv") {
		l := reader().Line(x.line)
		for _, d := range l.Doubts {
			k := d.Words
			if len(k) > 60 {
				k = k[:60]
			}
			m[k]++
			ex[k] = x.line
		}
	}
	for k, n := range m {
		fmt.Println(n, k, "|", ex[k])
	}
}
