package food

import (
	"encoding/csv"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
)

// Everyday words, misspelt ones too, have the food that is meant among the
// first three.
func TestSearches(t *testing.T) {
	f, err := os.Open("testdata/searches.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 61 {
		t.Fatalf("%d rows, want a header and at least 60", len(rows))
	}
	for _, r := range rows[1:] {
		if _, ok := shipped().Food(r[1]); !ok {
			t.Errorf("%s: the catalog has no %s", r[0], r[1])
			continue
		}
		if got := ids(shipped().Search(r[0], 3)); !slices.Contains(got, r[1]) {
			t.Errorf("%s: found %v, want %s among them", r[0], got, r[1])
		}
	}
}

func ids(found []Match) []string {
	var out []string
	for _, m := range found {
		out = append(out, m.Food.ID)
	}
	return out
}

// Every food is found first, or level with the first, by its own name, and
// among the first ten by each of its other names and by its id.
func TestFoodsAreFoundByTheirNames(t *testing.T) {
	for i, f := range shipped().Foods() {
		found := shipped().Search(f.Name, 10)
		at := slices.IndexFunc(found, func(m Match) bool { return m.Food == f })
		if at < 0 || found[at].Score < found[0].Score-len(f.Name) {
			t.Errorf("%q finds %v before %s", f.Name, ids(found), f.ID)
		}
		if i%3 > 0 {
			continue // the other names of a third of the foods are enough
		}
		for _, name := range append(slices.Clone(f.Also), strings.ReplaceAll(f.ID, "-", " ")) {
			if got := ids(shipped().Search(name, 10)); !slices.Contains(got, f.ID) {
				t.Errorf("%q finds %v and not %s", name, got, f.ID)
			}
		}
	}
}

// What is typed is not always what is meant to be searched for.
func TestSearchOddInput(t *testing.T) {
	for _, text := range []string{"", " ", ",", "-", "\x00", "\xff\xfe", "é", "%", "a", "zzzzzzzz", strings.Repeat("broccoli ", 100_000), strings.Repeat("x", 1<<20), strings.Repeat("é", 150)} {
		start := time.Now()
		found := shipped().Search(text, 3)
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("%.20q takes %v", text, took)
		}
		if len(found) > 3 {
			t.Errorf("%.20q finds %d foods, asked for 3", text, len(found))
		}
	}
	for _, text := range []string{"", " ", "zzzzzzzz", "\x00"} {
		if found := shipped().Search(text, 3); len(found) != 0 {
			t.Errorf("%q finds %v", text, ids(found))
		}
	}
	if found := shipped().Search("rice", 0); len(found) < 10 {
		t.Errorf("no limit: %d foods", len(found))
	}
}

// The order is the same every time, whatever the case and the order of the
// words.
func TestSearchIsDeterministic(t *testing.T) {
	for _, text := range []string{"rice", "canned beans", "green", "brocoli", "whole wheat"} {
		want := ids(shipped().Search(text, 0))
		fresh, err := Default()
		if err != nil {
			t.Fatal(err)
		}
		if got := ids(fresh.Search(text, 0)); !slices.Equal(got, want) {
			t.Errorf("%q: %v, then %v", text, want, got)
		}
		if got := ids(shipped().Search(strings.ToUpper(text), 0)); !slices.Equal(got, want) {
			t.Errorf("%q in capitals: %v, want %v", text, got, want)
		}
	}
	for i, m := range shipped().Search("flour", 0) {
		if next := shipped().Search("flour", 0); i > 0 && m.Score > next[i-1].Score {
			t.Errorf("%s stands after a food less near", m.Food.ID)
		}
	}
}

// Searches at once share the index they build.
func TestSearchConcurrently(t *testing.T) {
	c, err := Default()
	if err != nil {
		t.Fatal(err)
	}
	want := ids(shipped().Search("kidny beans", 5))
	done := make(chan []string)
	for range 8 {
		go func() { done <- ids(c.Search("kidny beans", 5)) }()
	}
	for range 8 {
		if got := <-done; !slices.Equal(got, want) {
			t.Errorf("found %v, want %v", got, want)
		}
	}
}
