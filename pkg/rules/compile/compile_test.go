package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The library reads the compiled files, people edit the YAML: neither may move
// without the other.
func TestCompiledRulesAreCurrent(t *testing.T) {
	for _, c := range []struct {
		compile   func(dir string) ([]byte, error)
		dir, file string
	}{{Compile, "../data", "../rules.json"}, {CompilePatterns, "../patterns/data", "../patterns/patterns.json"}} {
		want, err := c.compile(c.dir)
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(c.file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			at := 0
			for at < len(got) && at < len(want) && got[at] == want[at] {
				at++
			}
			show := func(b []byte) []byte { return b[min(len(b), max(0, at-60)):min(len(b), at+60)] }
			t.Errorf("%s is not what the YAML files say: run go generate ./pkg/rules\nit has ...%s...\nYAML files: ...%s...", c.file, show(got), show(want))
		}
	}
}

const good = `documents:
  - {id: PAPER, title: A paper, edition: "2024", publisher: an agency, mark: read}
programs:
  - {id: lunch, name: Lunch, regulation: 1 CFR 1}
rules:
  - id: rule/number
    title: A number
    unit: oz
    values:
      - {programs: [lunch], from: 2012-07-01, value: "2.0", source: PAPER, mark: read}
`

func compile(t *testing.T, files map[string]string) (string, error) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	out, err := Compile(dir)
	return string(out), err
}

// Figures stay as printed: 2.0 has been read to a tenth, 2 has not. A bare
// number would be read as a number and written anew, so it is refused.
func TestCompileKeepsFiguresAsPrinted(t *testing.T) {
	for _, figure := range []string{`"2.0"`, `"0.50"`, `"1"`, "1/2", "1 1/4", `"007"`, `"28.349523125"`} {
		out, err := compile(t, map[string]string{"a.yaml": strings.Replace(good, `value: "2.0"`, "value: "+figure, 1)})
		if want := `"value":"` + strings.Trim(figure, `"`) + `"`; err != nil || !strings.Contains(out, want) {
			t.Errorf("%s compiles to %s, %v, want %s", figure, out, err, want)
		}
	}
	for _, figure := range []string{"2.0", "0.50", "1", "007", "0x10", ".inf", ".nan", "28.349523125"} {
		_, err := compile(t, map[string]string{"a.yaml": strings.Replace(good, `value: "2.0"`, "value: "+figure, 1)})
		if err == nil || !strings.Contains(err.Error(), "line 10: write "+figure+" in quotes") {
			t.Errorf("%s without quotes: %v, want to be told the line and to quote it", figure, err)
		}
	}
}

// The files are one body: what one names, another may define.
func TestCompileJoinsFiles(t *testing.T) {
	documents, rest, _ := strings.Cut(good, "programs:")
	split, err := compile(t, map[string]string{"z-documents.yaml": documents, "a-rest.yaml": "programs:" + rest, "notes.txt": "not rules"})
	if err != nil {
		t.Fatal(err)
	}
	whole, err := compile(t, map[string]string{"all.yaml": good})
	if err != nil || split != whole {
		t.Errorf("two files compile to\n%s\none to\n%s\n%v", split, whole, err)
	}
}

func TestCompileRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		files map[string]string
		names string
	}{
		"no files":                {nil, "no YAML files"},
		"an unknown field":        {map[string]string{"a.yaml": strings.Replace(good, "unit: oz", "unit: oz\n    units: oz", 1)}, "units"},
		"a field twice":           {map[string]string{"a.yaml": strings.Replace(good, "unit: oz", "unit: oz\n    unit: g", 1)}, "unit"},
		"a list for a text":       {map[string]string{"a.yaml": strings.Replace(good, "title: A number", "title: [A, number]", 1)}, "a.yaml"},
		"broken YAML":             {map[string]string{"a.yaml": good + "  - {id: [\n"}, "a.yaml"},
		"a rule in two files":     {map[string]string{"a.yaml": good, "b.yaml": "rules:" + good[strings.Index(good, "rules:")+len("rules:"):]}, `rule "rule/number" stands twice`},
		"what the loader refuses": {map[string]string{"a.yaml": strings.Replace(good, "source: PAPER", "source: HEARSAY", 1)}, "HEARSAY"},
	} {
		out, err := compile(t, c.files)
		if err == nil {
			t.Errorf("%s: compiles to %s", name, out)
			continue
		}
		if !strings.Contains(err.Error(), c.names) {
			t.Errorf("%s: refused with %q, want it to speak of %q", name, err, c.names)
		}
	}
	if _, err := Compile(filepath.Join(t.TempDir(), "nowhere")); err == nil {
		t.Error("a folder that is not there compiles")
	}
}

const goodPattern = `documents:
  - {id: PAPER, title: A paper, edition: "2024", publisher: an agency, mark: read}
patterns:
  - {program: lunch, meals: [lunch], groups: [{id: all, title: All}]}
rules:
  - {id: least/fruits, title: Fruits, kind: least, unit: cup}
tables:
  - programs: [lunch]
    span: day
    from: 2012-07-01
    source: PAPER
    mark: read
    rows:
      - {rule: least/fruits, value: "2.0"}
`

// Patterns are read by the same rules: as printed, nothing unknown, and through
// the loader.
func TestCompilePatterns(t *testing.T) {
	compile := func(text string) (string, error) {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "a.yaml"), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := CompilePatterns(dir)
		return string(out), err
	}
	if out, err := compile(goodPattern); err != nil || !strings.Contains(out, `"value":"2.0"`) || !strings.Contains(out, `"span":"day"`) {
		t.Errorf("compiles to %s, %v", out, err)
	}
	for name, c := range map[string]struct{ old, new, names string }{
		"a bare figure":           {`"2.0"`, "2.0", "line 14: write 2.0 in quotes"},
		"an unknown field":        {"span: day", "spam: day", "spam"},
		"what the loader refuses": {"source: PAPER", "source: HEARSAY", "HEARSAY"},
	} {
		if out, err := compile(strings.Replace(goodPattern, c.old, c.new, 1)); err == nil || !strings.Contains(err.Error(), c.names) {
			t.Errorf("%s: %s, %v, want %q", name, out, err, c.names)
		}
	}
}
