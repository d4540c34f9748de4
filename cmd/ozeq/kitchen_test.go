package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// kitchenVerbs are the commands of the kitchen's cases.
var kitchenVerbs = map[string]string{"compare": "compare", "scale": "scale", "target": "target", "buy": "buy", "cautions": "cautions", "menu-cautions": "cautions", "read": "read"}

// kitchenRows reads the table beside a case.
func kitchenRows(t *testing.T, name, kind string) [][]string {
	t.Helper()
	text, err := os.ReadFile(strings.TrimSuffix(name, ".json") + "." + kind + ".csv")
	if err != nil {
		return nil
	}
	table, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil || len(table) < 2 {
		t.Fatalf("%s: %v", name, err)
	}
	return table[1:]
}

// in finds what stands at a path of an answer, such as credits[0].after.credited.
func in(answer any, path string) (any, error) {
	for _, word := range strings.FieldsFunc(path, func(r rune) bool { return strings.ContainsRune(".[]", r) }) {
		switch here := answer.(type) {
		case map[string]any:
			answer = here[word]
		case []any:
			if word == "length" {
				answer = float64(len(here))
				continue
			}
			i, err := strconv.Atoi(word)
			if err != nil || i >= len(here) {
				return nil, fmt.Errorf("there is no %s among %d", word, len(here))
			}
			answer = here[i]
		default:
			return nil, fmt.Errorf("nothing is below %s", word)
		}
	}
	return answer, nil
}

// The commands answer the kitchen's cases as every other door does.
func TestKitchenCases(t *testing.T) {
	names, err := filepath.Glob(filepath.Join(corpus, "kitchen", "*.json"))
	if err != nil || len(names) < 30 {
		t.Fatal(len(names), err)
	}
	tried := map[string]int{}
	for _, name := range names {
		kind, _, _ := strings.Cut(filepath.Base(name), ".")
		verb, ok := kitchenVerbs[kind]
		if !ok {
			continue // not a question of the command line
		}
		t.Run(filepath.Base(name), func(t *testing.T) {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			stdin, args := "", []string{verb, "--format", "json", name}
			if kind == "read" { // the file is the text, not a request
				var m map[string]any
				if err := json.Unmarshal(data, &m); err != nil {
					t.Fatal(err)
				}
				text, _ := m["text"].(string)
				ld, _ := m["jsonLd"].(string)
				if stdin = text + ld; stdin == "" || m["answers"] != nil || m["servings"] != nil || strings.HasPrefix(ld, "{]") {
					return
				}
				args[3] = "-"
			}
			if kind == "menu-cautions" && string(bytes.TrimSpace(data)) == "{}" {
				return // a file that is no menu is a recipe's
			}
			tried[kind]++
			code, out, errs := ozeq(stdin, args...)
			if errs != "" {
				t.Errorf("standard error: %s", errs)
			}
			var answer any
			if err := json.Unmarshal([]byte(out), &answer); err != nil {
				t.Fatalf("%v in %s", err, out)
			}
			if faults := kitchenRows(t, name, "faults"); faults != nil {
				var got, want []string
				list, _ := in(answer, "faults")
				entries, _ := list.([]any)
				for _, f := range entries {
					e := f.(map[string]any)
					got = append(got, e["reason"].(string)+" "+e["path"].(string))
				}
				for _, f := range faults {
					want = append(want, strings.Join(f, " "))
				}
				slices.Sort(got)
				slices.Sort(want)
				if code != exitBadInput || !slices.Equal(got, want) {
					t.Errorf("exit code %d\n%s\nwant\n%s", code, strings.Join(got, "\n"), strings.Join(want, "\n"))
				}
				return
			}
			if code != exitOK && code != exitStrict {
				t.Errorf("exit code %d", code)
			}
			for _, f := range kitchenRows(t, name, "facts") {
				var value any
				if err := json.Unmarshal([]byte(f[1]), &value); err != nil {
					t.Fatal(err)
				}
				if there, err := in(answer, f[0]); err != nil || !reflect.DeepEqual(there, value) {
					t.Errorf("%s is %#v (%v), want %s", f[0], there, err, f[1])
				}
			}
			// For people it comes in 80 columns, with the same exit code.
			args[2] = "text"
			again, text, errs := ozeq(stdin, args...)
			if again != code || errs != "" || len(text) < 100 {
				t.Errorf("as text: exit code %d, %s%s", again, text, errs)
			}
			narrow(t, text)
		})
	}
	for kind := range kitchenVerbs {
		if tried[kind] < 1 {
			t.Errorf("%s: no case was tried", kind)
		}
	}
}
