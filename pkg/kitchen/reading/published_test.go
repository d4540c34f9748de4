package reading_test

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

type printed struct{ Name, Form, Quantity, Measure, Notes string }

// printedLines are the ingredients of the published cases.
func printedLines(t *testing.T) map[string][]printed {
	t.Helper()
	files, err := filepath.Glob("../../../testdata/published/cases/*.json")
	if err != nil || len(files) < 90 {
		t.Fatalf("%d cases, %v", len(files), err)
	}
	out := make(map[string][]printed)
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var c struct{ Ingredients []printed }
		if err := json.Unmarshal(data, &c); err != nil {
			t.Fatal(err)
		}
		out[strings.TrimSuffix(filepath.Base(name), ".json")] = c.Ingredients
	}
	return out
}

// The table has what the cards print, of every ingredient that has an amount;
// the others are charts, statements and labels, not lines of a recipe.
func TestPublishedTableIsWhatTheCardsPrint(t *testing.T) {
	cards := printedLines(t)
	file, err := os.Open("../../../testdata/published/lines.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	all := 0
	for _, in := range cards {
		all += len(in)
	}
	if n := len(rows) - 1; all-n > 39 {
		t.Errorf("%d of %d ingredients stand in the table", n, all)
	}
	for _, r := range rows[1:] {
		k, err := strconv.Atoi(r[1])
		if err != nil || k >= len(cards[r[0]]) {
			t.Errorf("%s has no ingredient %s", r[0], r[1])
			continue
		}
		in := cards[r[0]][k]
		for _, s := range []string{in.Name, in.Form, in.Quantity, in.Measure} {
			if !strings.Contains(r[2], s) {
				t.Errorf("%s %s: %q lacks %q", r[0], r[1], r[2], s)
			}
		}
		if r[6] != in.Quantity {
			t.Errorf("%s %s: amount %q, printed %q", r[0], r[1], r[6], in.Quantity)
		}
	}
}

// The same lines in other styles: name first, columns of a table, shouted, with
// a bullet.
func TestPublishedLinesInOtherStyles(t *testing.T) {
	cards := printedLines(t)
	file, err := os.Open("../../../testdata/published/lines.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for style, write := range map[string]func(printed) string{
		"name first": func(p printed) string {
			s := p.Name
			if p.Form != "" {
				s += ", " + p.Form
			}
			s += ", " + p.Quantity
			if p.Measure != "" {
				s += " (" + p.Measure + ")"
			}
			return s
		},
		"columns": func(p printed) string { return p.Name + "\t" + p.Form + "\t" + p.Quantity + "\t" + p.Measure },
		"bars": func(p printed) string {
			return "| " + p.Quantity + " | " + p.Measure + " | " + p.Name + " " + p.Form + " |"
		},
		"shouted": func(p printed) string { return strings.ToUpper(p.Quantity + " " + p.Name + " " + p.Form) },
	} {
		right, n := 0, 0
		for _, r := range rows[1:] {
			k, _ := strconv.Atoi(r[1])
			p := cards[r[0]][k]
			x := truth{write(p), r[3], r[4], r[5], r[6], "", ""}
			if strings.Contains(r[2], "roasted before") {
				continue // stands in the notes
			}
			if p.Measure != "" && !strings.Contains(x.line, p.Measure) {
				x.basis = "" // said by the measure alone, which this style leaves out
			}
			l := reader().Line(x.line)
			n++
			w := wrong(x, l)
			if p.Measure != "" && !strings.Contains(x.line, p.Measure) && strings.HasPrefix(w, "basis") {
				w = ""
			}
			if w == "" {
				right++
				continue
			}
			t.Logf("%s: %-8s %q: %s", style, l.Certainty, x.line, w)
			if l.Certainty.String() == "certain" {
				t.Errorf("%s: certain and wrong: %q: %s", style, x.line, w)
			}
		}
		t.Logf("%s: %d of %d", style, right, n)
		if right*100 < 95*n {
			t.Errorf("%s: %d of %d", style, right, n)
		}
	}
}
