package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/wire"
)

// corpus is where the cases stand that every door is tried with.
const corpus = "../../testdata/cases"

// ozeq runs the command and returns its exit code and what it wrote.
func ozeq(in string, args ...string) (code int, out, errs string) {
	var o, e bytes.Buffer
	code = run(context.Background(), args, strings.NewReader(in), &o, &e)
	return code, o.String(), e.String()
}

func cases(t *testing.T, part string) []string {
	t.Helper()
	var names []string
	for _, ext := range []string{"*.yaml", "*.json"} {
		found, err := filepath.Glob(filepath.Join(corpus, part, ext))
		if err != nil {
			t.Fatal(err)
		}
		names = append(names, found...)
	}
	if len(names) < 20 {
		t.Fatalf("only %d cases under %s/%s", len(names), corpus, part)
	}
	return names
}

// expected reads the table beside a case, sorted, a row a line.
func expected(t *testing.T, name, kind string) []string {
	t.Helper()
	f, err := os.Open(strings.TrimSuffix(name, filepath.Ext(name)) + "." + kind + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	var out []string
	for _, r := range rows[1:] {
		out = append(out, strings.Join(r, " "))
	}
	slices.Sort(out)
	return out
}

// The command answers a bad file with exit code 2 and every fault, and with no
// record.
func TestBadCases(t *testing.T) {
	for _, name := range cases(t, "bad") {
		t.Run(filepath.Base(name), func(t *testing.T) {
			code, out, errs := ozeq("", "credit", "--format", "json", name)
			if code != exitBadInput || errs != "" {
				t.Errorf("exit code %d, standard error %q", code, errs)
			}
			var m struct {
				Faults  []struct{ Reason, Path, Want, Fix string }
				Omitted int
			}
			if err := json.Unmarshal([]byte(out), &m); err != nil {
				t.Fatalf("%v in\n%s", err, out)
			}
			var got []string
			for _, f := range m.Faults {
				got = append(got, f.Reason+" "+f.Path)
			}
			slices.Sort(got)
			if want := expected(t, name, "faults"); !slices.Equal(got, want) || m.Omitted != 0 {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
			}
		})
	}
}

// A good file is credited as its table says.
func TestGoodCases(t *testing.T) {
	for i, name := range cases(t, "good") {
		t.Run(filepath.Base(name), func(t *testing.T) {
			code, out, errs := ozeq("", "credit", "--format", "json", name)
			if code != exitOK || errs != "" {
				t.Fatalf("exit code %d, %s", code, errs)
			}
			var m struct {
				Credits []struct{ Component, Subgroup, Credited, Status string }
			}
			if err := json.Unmarshal([]byte(out), &m); err != nil {
				t.Fatal(err)
			}
			word := func(prefix, s string) string {
				s = strings.ToLower(strings.ReplaceAll(strings.TrimPrefix(s, prefix), "_", "-"))
				return strings.TrimPrefix(s, "unspecified")
			}
			var got []string
			strict := exitOK
			for _, c := range m.Credits {
				status := word("STATUS_", c.Status)
				if status != "documented" && status != "no-credit" {
					strict = exitStrict
				}
				got = append(got, strings.Join([]string{word("COMPONENT_", c.Component), word("SUBGROUP_", c.Subgroup), c.Credited, status}, " "))
			}
			slices.Sort(got)
			if want := expected(t, name, "credits"); !slices.Equal(got, want) {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
			}
			if i%4 > 0 {
				return // every command loads rules and catalog; some are enough
			}
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if code, piped, _ := ozeq(string(data), "credit", "--strict", "--format", "json", "-"); code != strict || piped != out {
				t.Errorf("from standard input with --strict: exit code %d, want %d; the same answer: %v", code, strict, piped == out)
			}
		})
	}
}

// narrow holds text to the width of a record.
func narrow(t *testing.T, s string) {
	t.Helper()
	for _, l := range strings.Split(s, "\n") {
		if n := utf8.RuneCountInString(l); n > report.Width {
			t.Errorf("%d columns: %s", n, l)
		}
	}
}

// The whole corpus in one command: every record on standard output, every fault
// for people on standard error, one exit code.
func TestWholeCorpusAtOnce(t *testing.T) {
	good, bad := cases(t, "good"), cases(t, "bad")
	code, out, errs := ozeq("", append([]string{"credit"}, append(slices.Clone(good), bad...)...)...)
	if code != exitBadInput {
		t.Errorf("exit code %d", code)
	}
	narrow(t, out)
	narrow(t, errs)
	if n := strings.Count(out, strings.Repeat("=", report.Width)); n != len(good)-1 {
		t.Errorf("%d rules between %d records", n, len(good))
	}
	if n := strings.Count(errs, "\n  1. "); n != len(bad) {
		t.Errorf("%d bad files are answered, want %d", n, len(bad))
	}
	for _, name := range bad {
		for _, row := range expected(t, name, "faults") {
			if reason, _, _ := strings.Cut(row, " "); !strings.Contains(errs, "("+reason+")") {
				t.Errorf("%s of %s is nowhere", reason, name)
			}
		}
	}
}

// More than a request may take is not read to its end, whatever stands there.
func TestReadsNoMoreThanItMay(t *testing.T) {
	in := &endless{}
	var out, errs bytes.Buffer
	start := time.Now()
	if code := run(context.Background(), []string{"credit", "-"}, in, &out, &errs); code != exitBadInput || !strings.Contains(errs.String(), "(TOO_LARGE)") {
		t.Errorf("exit code %d, %s", code, errs.String())
	}
	if in.read > 2*wire.MaxRequest || time.Since(start) > 10*time.Second {
		t.Errorf("read %d bytes in %v", in.read, time.Since(start))
	}
}

// A week of menus larger than a recipe may be is read whole, as the service does.
func TestLargeMenuIsReadWhole(t *testing.T) {
	menu := `{"menu": {"site": "` + strings.Repeat("Copper Creek ", wire.MaxRequest/10) + `"}}`
	code, out, errs := ozeq(menu, "review", "-")
	if code != exitBadInput || strings.Contains(out+errs, "(BAD_SYNTAX)") || !strings.Contains(out+errs, "menu.program") {
		t.Errorf("exit code %d, %s%s", code, out, errs)
	}
}

// endless is standard input that never ends.
type endless struct{ read int }

func (e *endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = '9'
	}
	e.read += len(p)
	return len(p), nil
}

// Help fits a terminal too.
func TestHelpIsNarrow(t *testing.T) {
	for _, args := range [][]string{{}, {"help"}, {"help", "credit"}, {"help", "food"}, {"help", "food", "search"}, {"help", "food", "show"}, {"help", "rules"}, {"help", "version"},
		{"help", "compare"}, {"help", "scale"}, {"help", "target"}, {"help", "buy"}, {"help", "read"}, {"help", "cautions"},
		{"help", "review"}, {"help", "ahead"}, {"help", "production"}, {"help", "tray"}, {"help", "pattern"}, {"help", "serve"}, {"help", "healthcheck"}, {"help", "token"}} {
		code, out, _ := ozeq("", args...)
		if code != exitOK || out == "" {
			t.Errorf("%v: exit code %d", args, code)
		}
		narrow(t, out)
	}
}
