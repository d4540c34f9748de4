package reading_test

import (
	"strings"
	"testing"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen/reading"
)

// Every name of the catalog, read as a line: whatever is certain is that food.
func TestNamesOfTheCatalog(t *testing.T) {
	named := make(map[string][]string) // name -> foods that have it
	for _, f := range catalog().Foods() {
		for _, n := range append([]string{f.Name}, f.Also...) {
			named[strings.ToLower(n)] = append(named[strings.ToLower(n)], f.ID)
		}
	}
	own, right, also, alsoRight := 0, 0, 0, 0
	for _, f := range catalog().Foods() {
		for i, n := range append([]string{f.Name}, f.Also...) {
			l := reader().Line("2 lb " + n)
			if l.Certainty == reading.Certain && l.Food != f.ID {
				t.Errorf("%q of %s is certain as %s", n, f.ID, l.Food)
			}
			if l.Food != f.ID && len(named[strings.ToLower(n)]) == 1 {
				t.Logf("%q of %s: %s %q", n, f.ID, l.Certainty, l.Food)
			}
			switch hit := l.Food == f.ID; {
			case i == 0 && hit:
				own, right = own+1, right+1
			case i == 0:
				own++
			case hit:
				also, alsoRight = also+1, alsoRight+1
			default:
				also++
			}
		}
	}
	t.Logf("%d of %d own names, %d of %d other names are read as their food", right, own, alsoRight, also)
	if right*100 < 97*own || alsoRight*100 < 93*also {
		t.Error("too few")
	}
}

// The part of a name before the first comma tells no form. Where foods that
// differ in form, in enrichment or in component share it, it is never certain.
func TestBareNamesAreNotCertain(t *testing.T) {
	heads := make(map[string][]*food.Food)
	for _, f := range catalog().Foods() {
		h, _, _ := strings.Cut(f.Name, ",")
		heads[h] = append(heads[h], f)
	}
	tried := 0
	for h, fs := range heads {
		differ := false
		for _, f := range fs[1:] {
			differ = differ || f.Form != fs[0].Form || f.GrainKind != fs[0].GrainKind
		}
		if !differ || fs[0].NoCredit != "" {
			continue
		}
		for _, line := range []string{"2 lb " + h, "3 cups chopped " + h, h + ", sliced 1 lb", "2 qt " + h + ", drained", "2 lb diced " + h + " (1 qt)", "1 gal " + h + " (2 lb)"} {
			tried++
			if l := reader().Line(line); l.Certainty == reading.Certain {
				t.Errorf("%q is certain as %s, of %d foods", line, l.Food, len(fs))
			}
		}
	}
	if tried < 200 {
		t.Errorf("only %d tried", tried)
	}
}

// A word that is misspelled never leaves a line certain of another food.
func TestMisspelledNamesAreNotCertain(t *testing.T) {
	tried, right := 0, 0
	for _, f := range catalog().Foods() {
		for k := 2; k < len(f.Name); k += 9 {
			if f.Name[k] < 'a' || f.Name[k] > 'z' || k+1 < len(f.Name) && f.Name[k+1] == f.Name[k] {
				continue
			}
			tried++
			l := reader().Line("2 lb " + f.Name[:k] + f.Name[k+1:])
			if l.Food == f.ID {
				right++
			}
			if l.Certainty == reading.Certain && l.Food != f.ID {
				t.Errorf("%q of %s is certain as %s", f.Name[:k]+f.Name[k+1:], f.ID, l.Food)
			}
		}
	}
	t.Logf("%d of %d names with a letter missing are read as their food", right, tried)
	if tried < 1000 || right*100 < 70*tried {
		t.Errorf("%d of %d", right, tried)
	}
}
