package published

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
)

// refresh names the environment variable that writes outcomes.csv anew.
const refresh = "OZEQ_REFRESH_OUTCOMES"

const data = "../../testdata/published"

// TestTable runs every published case and prints the table of agreement. It
// fails when a case does not load, when an outcome differs from the committed
// list, and when a difference is not explained.
func TestTable(t *testing.T) {
	corpus, err := Load(os.DirFS(data))
	if err != nil {
		t.Fatal(err)
	}
	rs, err := rules.Default()
	if err != nil {
		t.Fatal(err)
	}
	cat, err := food.Default()
	if err != nil {
		t.Fatal(err)
	}
	all := NewRunner(corpus, credit.New(rs, cat)).Run()

	file := filepath.Join(data, "outcomes.csv")
	text, err := os.ReadFile(file)
	if err != nil && os.Getenv(refresh) == "" {
		t.Fatal(err)
	}
	committed := make(map[[2]string][]string)
	if err == nil {
		if committed, err = ReadOutcomes(text); err != nil {
			t.Fatal(err)
		}
	}
	TakeCauses(all, committed)
	t.Log("\n" + Table(all))

	if now := WriteOutcomes(all); os.Getenv(refresh) != "" {
		if err := os.WriteFile(file, now, 0o644); err != nil {
			t.Fatal(err)
		}
	} else if !bytes.Equal(now, text) {
		for _, o := range all {
			key := [2]string{o.Case.ID, o.Key}
			if was := committed[key]; was == nil {
				t.Errorf("%s, %s: not in outcomes.csv; now %q", o.Case.ID, o.Key, o.row()[2:])
			} else if !slices.Equal(was, o.row()) {
				t.Errorf("%s, %s: was %q, now %q", o.Case.ID, o.Key, was[2:], o.row()[2:])
			}
			delete(committed, key)
		}
		for key := range committed {
			t.Errorf("%s, %s: in outcomes.csv, but no such figure is in the cases", key[0], key[1])
		}
		t.Errorf("outcomes changed; when that is right, run with %s=1, and bring differences.md up to date", refresh)
	}

	text, err = os.ReadFile(filepath.Join(data, "differences.md"))
	if err != nil {
		t.Fatal(err)
	}
	written := ReadDifferences(text)
	used := make(map[[2]string]bool)
	for _, o := range all {
		if o.Verdict == Match {
			continue
		}
		if Causes[o.Cause] == "" {
			t.Errorf("%s, %s: %s, and the cause %q is not in the closed list", o.Case.ID, o.Key, o.Verdict, o.Cause)
		}
		key := [2]string{o.Case.ID, o.Key}
		d, ok := written[key]
		if !ok {
			key[1] = "*"
			d, ok = written[key]
		}
		used[key] = true
		switch {
		case !ok || d.Text == "":
			t.Errorf("%s, %s: %s (ours %s, exactly %s, published %s; %s) has no reason in differences.md", o.Case.ID, o.Key, o.Verdict, o.Ours, o.Exact, o.Expected.Published, o.Reason)
		case d.Verdict != string(o.Verdict) || d.Cause != o.Cause:
			t.Errorf("%s, %s: differences.md says %s by %s; it is %s by %s", o.Case.ID, o.Key, d.Verdict, d.Cause, o.Verdict, o.Cause)
		}
	}
	for key := range written {
		if !used[key] {
			t.Errorf("%s, %s: differences.md explains a difference that is not there", key[0], key[1])
		}
	}
}
