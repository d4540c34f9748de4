package spelling_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/spelling"
)

// longest is how long a compared word may be.
const longest = 40

// naive counts slips straight from the definition, from the ends of the words
// inward, keeping what it has counted.
func naive(a, b string) int {
	type pair struct{ i, j int }
	known := make(map[pair]int)
	var count func(i, j int) int
	count = func(i, j int) int {
		if i == 0 || j == 0 {
			return i + j
		}
		if n, ok := known[pair{i, j}]; ok {
			return n
		}
		n := min(count(i-1, j), count(i, j-1)) + 1
		other := count(i-1, j-1)
		if a[i-1] != b[j-1] {
			other++
		}
		n = min(n, other)
		if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
			n = min(n, count(i-2, j-2)+1)
		}
		known[pair{i, j}] = n
		return n
	}
	return count(len(a), len(b))
}

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b  string
		limit int
		want  int
	}{
		{"", "", 3, 0},
		{"oz", "oz", 3, 0},
		{"", "oz", 3, 2},
		{"pumpkin", "pumkin", 3, 1},
		{"pumpkin", "pumpkinn", 3, 1},
		{"pumpkin", "pumpkim", 3, 1},
		{"pumpkin", "pumpikn", 3, 1}, // swapped
		{"quinoa", "qiunao", 3, 2},   // swapped twice
		{"ca", "abc", 3, 3},          // a letter put between swapped ones is no swap
		{"sorghum", "millet", 10, 7},
		{"sorghum", "millet", 3, 4}, // past the limit: one more than it
		{"sorghum", "sorghum flour", 3, 4},
		{"oz", "lb", 0, 1},
		{"oz", "oz", 0, 0},
		{"Oz", "oz", 3, 1}, // letter case counts here
		{strings.Repeat("a", longest), strings.Repeat("a", longest), 3, 0},
		{strings.Repeat("a", longest+1), strings.Repeat("a", longest+1), 3, 4},
	} {
		for _, words := range [][2]string{{c.a, c.b}, {c.b, c.a}} {
			if got := spelling.Distance(words[0], words[1], c.limit); got != c.want {
				t.Errorf("Distance(%q, %q, %d) = %d, want %d", words[0], words[1], c.limit, got, c.want)
			}
		}
	}
}

// checkDistance compares with the definition, both ways round.
func checkDistance(t rapid.TB, a, b string, limit int) {
	t.Helper()
	want := limit + 1
	if len(a) <= longest && len(b) <= longest {
		want = min(want, naive(a, b))
	}
	if got := spelling.Distance(a, b, limit); got != want {
		t.Fatalf("Distance(%q, %q, %d) = %d, want %d", a, b, limit, got, want)
	}
	if got := spelling.Distance(b, a, limit); got != want {
		t.Fatalf("Distance(%q, %q, %d) = %d the other way round, want %d", b, a, limit, got, want)
	}
}

func TestDistanceIsTheDefinition(t *testing.T) {
	// Few letters, so that swaps and repeats are common.
	word := rapid.StringOfN(rapid.RuneFrom([]rune("abc")), 0, longest+2, -1)
	rapid.Check(t, func(t *rapid.T) {
		a := word.Draw(t, "a")
		b := a
		switch {
		case rapid.Bool().Draw(t, "unlike"):
			b = word.Draw(t, "b")
		default: // some slips away, or chance would hardly ever be near
			for range rapid.IntRange(0, 5).Draw(t, "slips") {
				i := rapid.IntRange(0, len(b)).Draw(t, "where")
				switch rapid.IntRange(0, 2).Draw(t, "slip") {
				case 0:
					b = b[:i] + "c" + b[i:]
				case 1:
					b = b[:max(0, i-1)] + b[i:]
				case 2:
					if i >= 2 {
						b = b[:i-2] + string(b[i-1]) + string(b[i-2]) + b[i:]
					}
				}
			}
		}
		checkDistance(t, a, b, rapid.IntRange(0, 12).Draw(t, "limit"))
	})
}

func FuzzDistance(f *testing.F) {
	f.Add("pumpkin", "pumpikn", uint8(3))
	f.Add("", "\xff", uint8(0))
	f.Fuzz(func(t *testing.T, a, b string, limit uint8) { checkDistance(t, a, b, int(limit%50)) })
}

func TestDistanceDoesNotAllocate(t *testing.T) {
	if n := testing.AllocsPerRun(100, func() { spelling.Distance("pumpkin-canned", "pumpikn-caned", 3) }); n != 0 {
		t.Errorf("%v allocations a comparison: a search makes thousands", n)
	}
}

func TestNearest(t *testing.T) {
	foods := []string{"Quinoa", "pumpkin", "amaranth", "bulgur", "bulghur"}
	before := slices.Clone(foods)
	for _, c := range []struct{ word, want string }{
		{"pumpkin", "pumpkin"},
		{"pumkin", "pumpkin"},
		{"PUMPKIN", "pumpkin"},
		{"quinao", "Quinoa"},
		{"amarant", "amaranth"},
		{"bulgour", "bulghur"}, // one slip from both: the first in order
		{"pmpkn", "pumpkin"},
		{"potatoes", ""},
		{"", ""},
		{strings.Repeat("pumpkin", 1000), ""},
	} {
		for range 3 { // another order of the list makes no difference
			if got := spelling.Nearest(c.word, foods); got != c.want {
				t.Errorf("Nearest(%.20q, %q) = %q, want %q", c.word, foods, got, c.want)
			}
			foods = append(foods[1:], foods[0])
		}
		foods = slices.Clone(before)
	}
	if got := spelling.Nearest("pumpkin", nil); got != "" {
		t.Errorf("Nearest finds %q in nothing", got)
	}
	if spelling.Nearest("pumkin", foods); !slices.Equal(foods, before) {
		t.Errorf("Nearest sorts the caller's list: %q", foods)
	}
}

func ExampleDistance() {
	fmt.Println(spelling.Distance("pumpkin", "pumpikn", 3), spelling.Distance("pumpkin", "potato", 3))
	// Output: 1 4
}

func ExampleNearest() {
	foods := []string{"amaranth", "pumpkin", "quinoa"}
	fmt.Printf("%q %q\n", spelling.Nearest("Pumkin", foods), spelling.Nearest("rutabaga", foods))
	// Output: "pumpkin" ""
}
