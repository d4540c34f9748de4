package wire_test

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// corpus is where the cases stand that every door is tried with.
const corpus = "../../testdata/cases"

// engine is shared: it is immutable, and loading it for each test would take
// most of the time.
var engine = sync.OnceValue(func() *credit.Engine {
	rs, err := rules.Default()
	if err != nil {
		panic(err)
	}
	cat, err := food.Default()
	if err != nil {
		panic(err)
	}
	return credit.New(rs, cat)
})

// answer sends bytes through the whole of the package: the record, or the
// faults.
func answer(t testing.TB, data []byte, f wire.Format) (*credit.Record, *fault.List) {
	t.Helper()
	m, shape := wire.ReadRequest(data, f)
	if m == nil {
		if shape.Err() == nil {
			t.Fatal("neither a request nor a fault")
		}
		return nil, shape
	}
	rec, err := wire.Credit(engine(), m, shape)
	var faults *fault.List
	switch {
	case err == nil && rec == nil:
		t.Fatal("neither a record nor a fault")
	case err != nil && rec != nil:
		t.Fatalf("a record and a fault: %v", err)
	case err != nil && !errors.As(err, &faults):
		t.Fatalf("the error is no list of faults: %v", err)
	case err == nil && shape.Err() != nil:
		t.Fatalf("a record in spite of %v", shape)
	}
	return rec, faults
}

// cases returns the requests of a part of the corpus by file name.
func cases(t testing.TB, part string) []string {
	t.Helper()
	var names []string
	for _, ext := range []string{"*.yaml", "*.json"} {
		found, err := filepath.Glob(filepath.Join(corpus, part, ext))
		if err != nil {
			t.Fatal(err)
		}
		names = append(names, found...)
	}
	if len(names) == 0 {
		t.Fatalf("no case under %s/%s", corpus, part)
	}
	slices.Sort(names)
	for i, n := range names[1:] {
		if strings.TrimSuffix(n, filepath.Ext(n)) == strings.TrimSuffix(names[i], filepath.Ext(names[i])) {
			t.Fatalf("%s and %s share one table", names[i], n)
		}
	}
	return names
}

// expected reads the table beside a case, sorted, a row a line.
func expected(t testing.TB, name, kind, header string) []string {
	t.Helper()
	file := strings.TrimSuffix(name, filepath.Ext(name)) + "." + kind + ".csv"
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 2 || strings.Join(rows[0], ",") != header {
		t.Fatalf("%s: want the header %s and rows below it", file, header)
	}
	var out []string
	for _, r := range rows[1:] {
		out = append(out, strings.Join(r, " "))
	}
	slices.Sort(out)
	return out
}

// sameRows reports rows missing and rows too many.
func sameRows(t testing.TB, got, want []string) {
	t.Helper()
	slices.Sort(got)
	if slices.Equal(got, want) {
		return
	}
	left := slices.Clone(got)
	for _, w := range want {
		if i := slices.Index(left, w); i >= 0 {
			left = slices.Delete(left, i, i+1)
		} else {
			t.Errorf("missing:  %s", w)
		}
	}
	for _, g := range left {
		t.Errorf("too much: %s", g)
	}
}

// A file with mistakes is answered with all of them, whatever their order, and
// with nothing else. Only reason and path are held fast, never the words.
func TestBadCases(t *testing.T) {
	for _, name := range cases(t, "bad") {
		t.Run(filepath.Base(name), func(t *testing.T) {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			rec, faults := answer(t, data, wire.FormatOf(data))
			if rec != nil {
				t.Fatal("this request was credited")
			}
			var got []string
			for _, f := range faults.Faults {
				usable(t, f)
				got = append(got, string(f.Reason)+" "+f.Path)
			}
			sameRows(t, got, expected(t, name, "faults", "reason,path"))
			if faults.Omitted != 0 {
				t.Errorf("%d faults left out", faults.Omitted)
			}
		})
	}
}

// usable checks what every fault owes a person.
func usable(t testing.TB, f fault.Fault) {
	t.Helper()
	if f.Reason == "" || f.Want == "" || f.Fix == "" {
		t.Errorf("%v: a fault says its reason, what was expected and how to mend it", f)
	}
	if len(f.Value) > fault.MaxValue {
		t.Errorf("%s %s: value of %d bytes", f.Reason, f.Path, len(f.Value))
	}
	for _, s := range []string{f.Path, f.Value, f.Want, f.Fix} {
		if len(s) > 1000 || !utf8.ValidString(s) {
			t.Errorf("%s: %d bytes, valid UTF-8 %v: %.80q", f.Reason, len(s), utf8.ValidString(s), s)
		}
	}
}

// A food nobody knows is answered with three that are known.
func TestUnknownFoodNamesThreeNearest(t *testing.T) {
	nearest := regexp.MustCompile(`^Nearest: ([a-z0-9-]+), ([a-z0-9-]+), ([a-z0-9-]+)\.$`)
	data, err := os.ReadFile(filepath.Join(corpus, "bad", "unknown-food.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	_, faults := answer(t, data, wire.YAML)
	for i, want := range []string{"quinoa", "broccoli"} {
		f := faults.Faults[i]
		m := nearest.FindStringSubmatch(f.Fix)
		if m == nil {
			t.Errorf("%s: fix is %q, want three foods", f.Value, f.Fix)
			continue
		}
		for _, id := range m[1:] {
			if _, ok := engine().Catalog().Food(id); !ok {
				t.Errorf("%s: the catalog has no %s", f.Value, id)
			}
		}
		if !strings.Contains(m[1], want) {
			t.Errorf("%s: the nearest is said to be %s", f.Value, m[1])
		}
	}
}

// A key with a slip is answered with the key that was meant, one that is near
// to none with the keys there are.
func TestMisspeltKeys(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(corpus, "bad", "misspelt-keys.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	_, faults := answer(t, data, wire.YAML)
	want := map[string]string{
		"recipe.servngs": "Did you mean servings?", "recipe.ingredeints": "Did you mean ingredients?", "progam": "Did you mean program?",
	}
	for _, f := range faults.Faults {
		if f.Reason != fault.UnknownField {
			continue
		}
		if f.Path == "remarks" {
			if !strings.Contains(f.Want, "recipe") || !strings.Contains(f.Want, "serviceDate") {
				t.Errorf("remarks: %q does not name the fields there are", f.Want)
			}
			continue
		}
		if f.Fix != want[f.Path] {
			t.Errorf("%s: fix is %q, want %q", f.Path, f.Fix, want[f.Path])
		}
		delete(want, f.Path)
	}
	if len(want) > 0 {
		t.Errorf("no fault for %v", want)
	}
}

// A good file is credited as the table beside it says, its record replays from
// its own figures, and both go through the contract's message.
func TestGoodCases(t *testing.T) {
	for _, name := range cases(t, "good") {
		t.Run(filepath.Base(name), func(t *testing.T) {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			rec, faults := answer(t, data, wire.FormatOf(data))
			if faults != nil {
				t.Fatal(faults)
			}
			if err := credit.Replay(rec); err != nil {
				t.Errorf("the record does not replay: %v", err)
			}
			sameRows(t, credits(wire.Record(rec, false)), expected(t, name, "credits", "component,subgroup,credited,status"))
		})
	}
}

// credits writes what a record message credits in the words of the tables.
func credits(m *pb.Record) []string {
	word := func(prefix string, v fmt.Stringer) string {
		s := strings.ToLower(strings.ReplaceAll(strings.TrimPrefix(v.String(), prefix), "_", "-"))
		return strings.ReplaceAll(s, "unspecified", "")
	}
	var out []string
	for _, c := range m.GetCredits() {
		out = append(out, strings.Join([]string{word("COMPONENT_", c.GetComponent()), word("SUBGROUP_", c.GetSubgroup()), c.GetCredited(), word("STATUS_", c.GetStatus())}, " "))
	}
	return out
}
