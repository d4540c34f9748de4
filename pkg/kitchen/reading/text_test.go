package reading_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen/reading"
)

const pumpkinSquares = `Copper Creek Pumpkin Squares

Yield: 48 servings
Serving size: 1 square (2.1 oz)

INGREDIENTS
• 2 lb 4 oz flour, whole wheat
• 1 ½ qt canned pumpkin
* 3 eggs
1. 85/15 ground beef, AP
- #10 can tomatoes, drained
2) 1 cup divided

For the topping:
½ c. chopped onion
2 (15 oz) cans black beans, rinsed and drained
Salt to taste
1-2 Tbsp oil
Brown rice, long grain | 6 lb 4 oz | 3 qt 2 cups

Directions
1. Preheat oven to 350 °F.
2. Mix 2 cups of everything and bake.
`

func TestText(t *testing.T) {
	got, err := reader().Text(pumpkinSquares)
	if err != nil {
		t.Fatal(err)
	}
	if got.Name != "Copper Creek Pumpkin Squares" || got.Servings != 48 || got.ServingsDoubt != "" {
		t.Errorf("name %q, servings %d %q", got.Name, got.Servings, got.ServingsDoubt)
	}
	if got.PortionName != "1 square" || got.PortionWeight.Text() != "2.1 oz" {
		t.Errorf("portion %q %s", got.PortionName, got.PortionWeight)
	}
	want := []string{
		"lines[7] certain whole-wheat-flour 2 lb 4 oz",
		"lines[8] certain pumpkin-canned 1 ½ qt",
		"lines[9] likely eggs-large 3 each",
		"lines[10] unknown ground-beef-15  as-purchased",
		"lines[11] unknown tomatoes-canned ",
		"lines[12] unknown  1 cup",
		"lines[15] likely onions-fresh ½ c raw-chopped",
		"lines[16] likely black-beans-canned 30 oz drained",
		"lines[17] unknown salt ",
		"lines[18] unknown oil-vegetable ",
		"lines[19] certain brown-rice-long 6 lb 4 oz",
	}
	var lines []string
	for _, l := range got.Lines {
		s := fmt.Sprintf("%s %s %s %s", l.Path, l.Certainty, l.Food, l.Quantity.Text())
		for _, x := range []string{l.State, l.Basis} {
			if x != "" {
				s += " " + x
			}
		}
		lines = append(lines, s)
		if pumpkinSquares[l.Start:l.Start+len(l.Text)] != l.Text {
			t.Errorf("%q does not stand at %d", l.Text, l.Start)
		}
		if l.Amount != "" && len(l.Text[l.AmountAt.Start:l.AmountAt.End]) < len(l.Amount) {
			t.Errorf("%q: the amount %q is not %q", l.Text, l.Amount, l.Text[l.AmountAt.Start:l.AmountAt.End])
		}
	}
	if a, b := strings.Join(lines, "\n"), strings.Join(want, "\n"); a != b {
		t.Errorf("got\n%s\nwant\n%s", a, b)
	}
	if h := got.Lines[6].Heading; h != "For the topping" {
		t.Errorf("heading %q", h)
	}
}

// What tells what to do is no ingredient, with or without a heading before it.
func TestDirectionsAreSkipped(t *testing.T) {
	got, err := reader().Text(`Copper Creek Rice
Serves 50
5 lb brown rice, long grain
Bake at 350 F for 25 minutes
Add 2 cups of water and stir
3. Cook rice 25 minutes
Reheat to 165 °F for 15 seconds
1 gal warm water (110 F)
Hold at 135 degrees or above`)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Lines) != 2 || got.Lines[1].Food != "water" || got.Lines[1].Quantity.Text() != "1 gal" {
		t.Errorf("%d lines: %+v", len(got.Lines), got.Lines)
	}
	steps := 0
	for _, s := range got.Skipped {
		if s.Words == "direction or note" {
			steps++
		}
	}
	if steps != 5 {
		t.Errorf("%d directions of 5: %v", steps, got.Skipped)
	}
}

func TestTextFaults(t *testing.T) {
	for name, c := range map[string]struct {
		text   string
		reason fault.Reason
		path   string
	}{
		"too large":       {strings.Repeat("1 cup sugar\n", 6000), fault.TooLarge, "text"},
		"too many lines":  {strings.Repeat("1 c x\n", reading.MaxLines+1), fault.TooMany, "text"},
		"not UTF-8":       {"1 cup \xff", fault.NotUTF8, "text"},
		"nothing":         {"\n\n", fault.Missing, "text"},
		"only a name":     {"Bread", fault.Missing, "text"},
		"too long a line": {"1 cup sugar\n2 cup " + strings.Repeat("very ", 100), fault.TooLong, "lines[2]"},
		"too many foods":  {strings.Repeat("1 c sugar\n", 501), fault.TooMany, "text"},
	} {
		got, err := reader().Text(c.text)
		var l *fault.List
		if got != nil || !errors.As(err, &l) {
			t.Errorf("%s: got %v, %v", name, got, err)
			continue
		}
		if f := l.Faults[0]; f.Reason != c.reason || f.Path != c.path {
			t.Errorf("%s: %v", name, f)
		}
	}
	// At the bounds it is read.
	if _, err := reader().Text(strings.Repeat("1 c sugar\n", 500)); err != nil {
		t.Error(err)
	}
	// All at once.
	long := "1 cup " + strings.Repeat("very ", 100)
	_, err := reader().Text(long + "\nsugar 1 cup\n" + long)
	var l *fault.List
	if !errors.As(err, &l) || len(l.Faults) != 2 || l.Faults[1].Path != "lines[3]" {
		t.Errorf("got %v", err)
	}
}

func TestServings(t *testing.T) {
	for text, want := range map[string]struct {
		n     int
		doubt bool
	}{
		"Serves 50": {50, false}, "Yield: 48 servings": {48, false}, "Servings: 100": {100, false}, "Makes 4 dozen": {48, true},
		"Yield: 24 muffins": {24, true}, "Serves 4-6": {0, true}, "Yield: 2 gal": {0, true}, "50 servings": {50, false}, "Portions: 25": {25, false},
		"Number of servings: 60": {60, false}, "Serves: about 12": {12, false}, "Yield 1,200 servings": {1200, false},
	} {
		got, err := reader().Text("Soup\n" + text + "\n1 cup sugar")
		if err != nil {
			t.Error(err)
			continue
		}
		if got.Servings != want.n || (got.ServingsDoubt != "") != want.doubt || len(got.Lines) != 1 {
			t.Errorf("%s: %d %q, %d lines", text, got.Servings, got.ServingsDoubt, len(got.Lines))
		}
	}
}

func BenchmarkText(b *testing.B) {
	text := strings.Repeat("2 lb 4 oz (2 qt) fresh carots, shredded\n1 #10 can black beans, drained\n3 large eggs\n1 Tbsp Snowfall oregano\n", 10)
	r := reader()
	if _, err := r.Text(text); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := r.Text(text); err != nil {
			b.Fatal(err)
		}
	}
}

// Hostile text takes bounded time: the most lines, words and misspellings that
// fit the bounds.
func TestHostileTextIsFast(t *testing.T) {
	for name, line := range map[string]string{
		"misspelled": strings.Repeat("brocolla chiken tomatoe ", 16),
		"or":         strings.Repeat("ham or ", 50) + "egg",
		"numbers":    strings.Repeat("1 1/2 lb 2 ", 36),
		"parens":     strings.Repeat("(1 ", 100),
		"cans":       strings.Repeat("2 #10 can x ", 30),
		"one word":   strings.Repeat("cheese fresh ", 30),
		"letters":    strings.Repeat("a ", 199),
		"loose":      strings.Repeat("noodle lean red green russet navel mild pasta juiced tidbit kernel creamy qqq ", 5),
		"short":      strings.Repeat("cra. cho. che. bro. pot. chi. ", 9),
	} {
		text := strings.Repeat(line+"\n", reading.MaxText/(len(line)+1))
		start := time.Now()
		reader().Text(text)
		t.Logf("%-10s %d lines, %v", name, strings.Count(text, "\n"), time.Since(start))
		if d := time.Since(start); d > 30*time.Second {
			t.Errorf("%s: %v", name, d)
		}
	}
}
