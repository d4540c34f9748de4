package server

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// call is one request of an .http file.
type call struct {
	title, name, line, body string
	headers                 []string
	expect                  []string
}

// readCalls reads an .http file; variables of the file are put in.
func readCalls(text string) []call {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	parts := strings.Split("\n"+text, "\n###")
	for _, v := range regexp.MustCompile(`(?m)^@(\w+) = (.+)$`).FindAllStringSubmatch(parts[0], -1) {
		for i := range parts {
			parts[i] = strings.ReplaceAll(parts[i], "{{"+v[1]+"}}", v[2])
		}
	}
	var out []call
	for _, p := range parts[1:] {
		title, rest, _ := strings.Cut(p, "\n")
		c := call{title: strings.TrimSpace(title)}
		for rest != "" && c.line == "" {
			var l string
			l, rest, _ = strings.Cut(rest, "\n")
			if e, ok := strings.CutPrefix(l, "# expect "); ok {
				c.expect = append(c.expect, e)
			} else if n, ok := strings.CutPrefix(l, "# @name "); ok {
				c.name = n
			} else if !strings.HasPrefix(l, "#") {
				c.line = strings.TrimSpace(l)
			}
		}
		head, body, _ := strings.Cut(rest, "\n\n")
		if head = strings.TrimSpace(head); head != "" {
			c.headers = strings.Split(head, "\n")
		}
		c.body = strings.TrimSpace(body)
		out = append(out, c)
	}
	return out
}

var answerOf = regexp.MustCompile(`\{\{(\w+)\.response\.body\.([^}]+)\}\}`)

// replay sends the requests of an .http file one after another, and returns
// what is not as expected.
func replay(h http.Handler, calls []call) (bad []string) {
	answers := make(map[string][]byte)
	for _, c := range calls {
		say := func(format string, args ...any) {
			bad = append(bad, c.title+": "+fmt.Sprintf(format, args...))
		}
		fill := func(text string) string {
			return answerOf.ReplaceAllStringFunc(text, func(m string) string {
				p := answerOf.FindStringSubmatch(m)
				v, err := at(answers[p[1]], p[2])
				if text, ok := v.(string); ok {
					return text
				}
				whole, e := json.Marshal(v)
				if err != nil || e != nil {
					say("%s: %v", m, err)
				}
				return string(whole)
			})
		}
		method, url, _ := strings.Cut(fill(c.line), " ")
		r := httptest.NewRequest(method, url, strings.NewReader(fill(c.body)))
		for _, l := range c.headers {
			name, value, _ := strings.Cut(l, ": ")
			r.Header.Set(name, value)
		}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if c.name != "" {
			answers[c.name] = w.Body.Bytes()
		}
		status := false
		for _, e := range c.expect {
			path, want, valued := strings.Cut(e, " ")
			if !valued {
				status = true
				if got := strconv.Itoa(w.Code); got != e {
					say("status %s, expected %s", got, e)
				}
				continue
			}
			var value any
			if err := json.Unmarshal([]byte(want), &value); err != nil {
				say("%s is no JSON: %v", want, err)
				continue
			}
			if got, err := at(w.Body.Bytes(), path); err != nil || !reflect.DeepEqual(got, value) {
				say("%s is %#v (%v), expected %s", path, got, err, want)
			}
		}
		if !status {
			say("no status is expected")
		}
	}
	return bad
}

// at finds what stands at a path of an answer: names, [indexes], the
// first entry that has [name=value], a .length at the end, or * for the whole.
func at(answer []byte, path string) (any, error) {
	var v any
	if err := json.Unmarshal(answer, &v); err != nil {
		return nil, err
	}
	if path == "*" {
		return v, nil
	}
	for _, word := range strings.FieldsFunc(path, func(r rune) bool { return strings.ContainsRune(".[]", r) }) {
		switch here := v.(type) {
		case map[string]any:
			var ok bool
			if v, ok = here[word]; !ok {
				return nil, fmt.Errorf("there is no %s", word)
			}
		case []any:
			if word == "length" {
				v = float64(len(here))
				continue
			}
			i, err := strconv.Atoi(word)
			if name, value, named := strings.Cut(word, "="); named {
				i, err = slices.IndexFunc(here, func(x any) bool { m, ok := x.(map[string]any); return ok && m[name] == value }), nil
			}
			if err != nil || i < 0 || i >= len(here) {
				return nil, fmt.Errorf("there is no %s among %d", word, len(here))
			}
			v = here[i]
		default:
			return nil, fmt.Errorf("nothing is below %s", word)
		}
	}
	return v, nil
}

// Every request of docs/http is answered as its comments say, and each of these
// comments is held to: none may say something else and go unnoticed.
func TestHTTPFiles(t *testing.T) {
	d, err := data()
	if err != nil {
		t.Fatal(err)
	}
	s, err := New(Config{}, d)
	if err != nil {
		t.Fatal(err)
	}
	names, err := filepath.Glob("../../docs/http/*.http")
	if err != nil || len(names) < 7 {
		t.Fatal(names, err)
	}
	readme, err := os.ReadFile("../../docs/http/README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if base := filepath.Base(name); !strings.Contains(string(readme), "["+base+"]("+base+")") {
			t.Errorf("docs/http/README.md does not list %s", base)
		}
		calls := readCalls(string(text))
		for _, b := range replay(s.Handler(), calls) {
			t.Errorf("%s: %s", name, b)
		}
		for i := range calls {
			for j, e := range calls[i].expect {
				path, want, valued := strings.Cut(e, " ")
				if calls[i].expect[j] = "299"; valued {
					calls[i].expect[j] = path + ` ["not ` + strings.Trim(want, `"`) + `"]`
				}
				if len(replay(s.Handler(), calls[:i+1])) == 0 {
					t.Errorf("%s: %s: nobody notices %s in place of %s", name, calls[i].title, calls[i].expect[j], e)
				}
				calls[i].expect[j] = e
			}
		}
	}
}
