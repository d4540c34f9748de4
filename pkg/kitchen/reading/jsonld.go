package reading

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/recipe"
)

// JSONLD reads a schema.org Recipe: alone, in an array or in @graph. It takes
// name, recipeIngredient (or the older ingredients), recipeYield and
// nutrition.servingSize, and reads each ingredient as a line of text; HTML
// entities are written out first. Other fields are passed over.
//
// The error is a *fault.List of everything that keeps it from being read, with
// JSON paths; the reading is nil then. Of several recipes the first is read,
// and the others stand under Skipped.
func (r *Reader) JSONLD(data []byte) (*Reading, error) {
	faults := &fault.List{}
	switch {
	case len(data) > MaxJSON:
		faults.Add(fault.Fault{Reason: fault.TooLarge, Value: strconv.Itoa(len(data)) + " bytes", Want: fmt.Sprintf("at most %d bytes", MaxJSON), Fix: "Send the Recipe alone, without the page around it."})
		return nil, faults
	case !utf8.Valid(data):
		faults.Add(fault.Fault{Reason: fault.NotUTF8, Want: "JSON in UTF-8", Fix: "Save it as UTF-8."})
		return nil, faults
	}
	t := tree{dec: json.NewDecoder(bytes.NewReader(data)), faults: faults}
	t.dec.UseNumber()
	v, ok := t.value("", 0)
	if ok {
		if _, err := t.dec.Token(); !errors.Is(err, io.EOF) {
			t.fault(fault.BadSyntax, "", "", "one JSON document", "Take off what follows it.")
		}
	}
	if len(faults.Faults) > 0 {
		return nil, faults
	}
	found := recipesIn(v, "")
	if len(found) == 0 {
		t.fault(fault.Missing, "", "", "an object with \"@type\": \"Recipe\"", "Send the page's schema.org Recipe, or paste its text instead.")
		return nil, faults
	}
	out := r.fromRecipe(found[0], &t)
	for _, other := range found[1:] {
		name, _ := other.fields["name"].(string)
		out.Skipped = append(out.Skipped, Skipped{other.path, cut(name, recipe.MaxName), "another recipe"})
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return out, nil
}

// tree reads JSON into maps, lists and texts, within bounds, and keeps the
// first of a field that stands twice.
type tree struct {
	dec    *json.Decoder
	faults *fault.List
	values int
}

func (t *tree) fault(why fault.Reason, path, value, want, fix string) {
	t.faults.Add(fault.Fault{Reason: why, Path: path, Value: value, Want: want, Fix: fix})
}

// value reads one value; false when the rest cannot be read.
func (t *tree) value(path string, depth int) (any, bool) {
	tok, err := t.dec.Token()
	if err != nil {
		t.syntax(path)
		return nil, false
	}
	if t.values++; t.values > MaxValues {
		t.fault(fault.TooMany, path, "", fmt.Sprintf("at most %d values", MaxValues), "Send the Recipe alone, without the page around it.")
		return nil, false
	}
	open, ok := tok.(json.Delim)
	if !ok {
		return tok, true
	}
	if depth == MaxDepth {
		t.fault(fault.TooDeep, path, "", fmt.Sprintf("at most %d levels", MaxDepth), "Send the Recipe alone, without the page around it.")
		return nil, false
	}
	if open == '[' {
		list := []any{}
		for t.dec.More() {
			v, ok := t.value(fault.Index(path, len(list)), depth+1)
			if !ok {
				return nil, false
			}
			list = append(list, v)
		}
		return list, t.end(path)
	}
	m := make(map[string]any)
	for t.dec.More() {
		tok, err := t.dec.Token()
		key, ok := tok.(string)
		if err != nil || !ok {
			t.syntax(path)
			return nil, false
		}
		at := fault.Field(path, key)
		v, ok := t.value(at, depth+1)
		if !ok {
			return nil, false
		}
		if _, twice := m[key]; twice {
			t.fault(fault.DuplicateField, at, "", "each field once", "Take one of the two away.")
			continue
		}
		m[key] = v
	}
	return m, t.end(path)
}

func (t *tree) end(path string) bool {
	if _, err := t.dec.Token(); err != nil {
		t.syntax(path)
		return false
	}
	return true
}

func (t *tree) syntax(path string) {
	t.fault(fault.BadSyntax, path, "at byte "+strconv.FormatInt(t.dec.InputOffset(), 10), "JSON", "See that every bracket and quote is closed and nothing is cut off.")
}

// object is an object with its place.
type object struct {
	path   string
	fields map[string]any
}

// recipesIn lists the recipes of a document, in its order.
func recipesIn(v any, path string) []object {
	switch v := v.(type) {
	case []any:
		var out []object
		for i, x := range v {
			out = append(out, recipesIn(x, fault.Index(path, i))...)
		}
		return out
	case map[string]any:
		if isRecipe(v["@type"]) {
			return []object{{path, v}}
		}
		return recipesIn(v["@graph"], fault.Field(path, "@graph"))
	}
	return nil
}

func isRecipe(v any) bool {
	switch v := v.(type) {
	case string:
		switch v {
		case "Recipe", "schema:Recipe", "http://schema.org/Recipe", "https://schema.org/Recipe":
			return true
		}
	case []any:
		for _, x := range v {
			if s, ok := x.(string); ok && isRecipe(s) {
				return true
			}
		}
	}
	return false
}

// written returns the text of a value: a string, a number, or either under
// @value.
func written(v any) (string, bool) {
	switch v := v.(type) {
	case string:
		return strings.TrimSpace(html.UnescapeString(v)), true
	case json.Number:
		return v.String(), true
	case map[string]any:
		if x, ok := v["@value"]; ok {
			if _, again := x.(map[string]any); !again {
				return written(x)
			}
		}
	}
	return "", false
}

// listed returns a value as a list, which a lone value is the only item of.
func listed(v any, path string) ([]any, []string) {
	if v == nil {
		return nil, nil
	}
	list, ok := v.([]any)
	if !ok {
		return []any{v}, []string{path}
	}
	paths := make([]string, len(list))
	for i := range list {
		paths[i] = fault.Index(path, i)
	}
	return list, paths
}

func (r *Reader) fromRecipe(o object, t *tree) *Reading {
	out := &Reading{}
	at := func(field string) string { return fault.Field(o.path, field) }
	text := func(v any, path string) string {
		s, ok := written(v)
		if !ok {
			t.fault(fault.WrongType, path, "", "a text", "Write it as one text.")
		}
		return s
	}
	names, paths := listed(o.fields["name"], at("name"))
	for i, v := range names {
		if s := text(v, paths[i]); out.Name == "" {
			out.Name = cut(strings.Join(strings.Fields(s), " "), recipe.MaxName)
		}
	}
	yields, paths := listed(o.fields["recipeYield"], at("recipeYield"))
	for i, v := range yields {
		if s := text(v, paths[i]); s != "" {
			out.yield(s)
		}
	}
	if n, ok := o.fields["nutrition"].(map[string]any); ok {
		if s, ok := written(n["servingSize"]); ok && s != "" && len(s) <= MaxLine {
			toks, _ := scan(s)
			out.portion(s, toks, 0)
		}
	}
	field := "recipeIngredient"
	if o.fields[field] == nil {
		field = "ingredients"
	}
	items, paths := listed(o.fields[field], at(field))
	if len(items) > recipe.MaxIngredients {
		t.fault(fault.TooMany, at(field), strconv.Itoa(len(items)), fmt.Sprintf("at most %d ingredients", recipe.MaxIngredients), "Send one recipe.")
		return out
	}
	heading := ""
	for i, v := range items {
		s := text(v, paths[i])
		s, _ = unbulleted(s)
		switch {
		case s == "":
			continue
		case len(s) > MaxLine:
			t.fault(fault.TooLong, paths[i], s, fmt.Sprintf("at most %d bytes in a line", MaxLine), "Give each ingredient a text of its own.")
			continue
		}
		l := Line{}
		r.line(&l, s)
		if head, ok := headingOf(s, &l); ok {
			heading = head
			out.Skipped = append(out.Skipped, Skipped{paths[i], s, "heading"})
			continue
		}
		l.Path, l.Heading = paths[i], heading
		out.Lines = append(out.Lines, l)
	}
	if len(out.Lines) == 0 && len(t.faults.Faults) == 0 {
		t.fault(fault.Missing, at("recipeIngredient"), "", "at least one ingredient", "List what goes into the batch, a text each.")
	}
	return out
}

// yield reads recipeYield: "48 servings", "48", "4 dozen".
func (out *Reading) yield(s string) {
	if len(s) > MaxLine {
		return
	}
	low := strings.ToLower(s)
	known := false
	for _, head := range []string{"yield", "serve", "make"} {
		known = known || strings.HasPrefix(low, head)
	}
	before := out.ServingsText
	if known {
		out.servingsAndPortion(s)
	} else {
		out.servingsAndPortion("Yield: " + s)
	}
	if out.ServingsText != before {
		out.ServingsText = s
	}
	if out.ServingsText == "" {
		out.ServingsText, out.ServingsDoubt = s, "The servings cannot be read from: "+s
	}
}
