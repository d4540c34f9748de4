package wire_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// fill sets every field of a message, lists and maps to two items, so that no
// field of the contract can be forgotten by the reader.
func fill(m protoreflect.Message, depth int) {
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		fd := fields.Get(i)
		if fd.Message() != nil && !fd.IsMap() && depth == 0 {
			continue
		}
		one := func(n int) protoreflect.Value {
			switch fd.Kind() {
			case protoreflect.BoolKind:
				return protoreflect.ValueOfBool(true)
			case protoreflect.Int32Kind:
				return protoreflect.ValueOfInt32(int32(100*i + n))
			}
			return protoreflect.ValueOfString(fmt.Sprintf("%s <%d> “é”\t\\", fd.Name(), n))
		}
		switch {
		case fd.IsMap():
			for n := range 2 {
				m.Mutable(fd).Map().Set(protoreflect.ValueOfString(fmt.Sprint("key", n)).MapKey(), protoreflect.ValueOfString(fmt.Sprint("value", n)))
			}
		case fd.IsList() && fd.Message() != nil:
			for range 2 {
				fill(m.Mutable(fd).List().AppendMutable().Message(), depth-1)
			}
		case fd.IsList():
			for n := range 2 {
				m.Mutable(fd).List().Append(one(n))
			}
		case fd.Message() != nil:
			fill(m.Mutable(fd).Message(), depth-1)
		default:
			m.Set(fd, one(1))
		}
	}
}

// Every field of the contract is read, in both its spellings, from JSON and
// from YAML.
func TestReadsEveryField(t *testing.T) {
	want := &pb.CreditRequest{}
	fill(want.ProtoReflect(), 4)
	for name, o := range map[string]protojson.MarshalOptions{
		"lowerCamel": {}, "snake_case": {UseProtoNames: true}, "indented": {Multiline: true},
	} {
		data, err := o.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		for format, f := range map[string]wire.Format{"JSON": wire.JSON, "YAML": wire.YAML} {
			if format == "YAML" && name == "indented" {
				continue // tabs and indentation of JSON are no YAML
			}
			got, faults := wire.ReadRequest(data, f)
			if err := faults.Err(); err != nil {
				t.Errorf("%s as %s: %v", name, format, err)
				continue
			}
			if !proto.Equal(got, want) {
				t.Errorf("%s as %s: read as\n%v\nwritten was\n%v", name, format, got, want)
			}
		}
	}
}

// The same request in several spellings is the same request.
func TestSpellingsGiveOneDigest(t *testing.T) {
	ids := make(map[string][]string)
	for _, name := range []string{"flour-biscuit.yaml", "flour-biscuit-spellings.json", "everything-quoted.yaml"} {
		data, err := os.ReadFile(filepath.Join(corpus, "good", name))
		if err != nil {
			t.Fatal(err)
		}
		rec, faults := answer(t, data, wire.FormatOf(data))
		if faults != nil {
			t.Fatal(faults)
		}
		ids[rec.IDs.Request] = append(ids[rec.IDs.Request], name)
	}
	if len(ids) != 1 {
		t.Errorf("one request has %d digests: %v", len(ids), ids)
	}
}

func TestFormatOf(t *testing.T) {
	for in, want := range map[string]wire.Format{
		"": wire.YAML, "{}": wire.JSON, " \r\n\t{": wire.JSON, "recipe:": wire.YAML, "[": wire.YAML, "# {": wire.YAML, "\ufeff{}": wire.YAML,
	} {
		if got := wire.FormatOf([]byte(in)); got != want {
			t.Errorf("FormatOf(%q) = %d, want %d", in, got, want)
		}
	}
}

// Scalars of YAML without quotes are what the field asks for, in their source
// spelling; with quotes they are text.
func TestYAMLScalars(t *testing.T) {
	const bad = "\x00"
	for _, c := range []struct{ field, in, want string }{
		{"name", "12", "12"}, {"name", "1E5", "1E5"}, {"name", "0x10", "0x10"}, {"name", "010", "010"}, {"name", "1_000", "1_000"},
		{"name", ".inf", ".inf"}, {"name", ".NaN", ".NaN"}, {"name", "true", "true"}, {"name", "yes", "yes"}, {"name", "2026-09-14", "2026-09-14"},
		{"name", "0.10", "0.10"}, {"name", "+5", "+5"}, {"name", "9999999999999999999999", "9999999999999999999999"},
		{"name", `"12"`, "12"}, {"name", `'it''s'`, "it's"}, {"name", `"a\tb"`, "a\tb"}, {"name", "Cook's bread # comment", "Cook's bread"},
		{"name", "a [b] {c}", "a [b] {c}"}, {"name", "|\n    two\n    lines\n", "two\nlines\n"}, {"name", ">-\n    two\n    lines\n", "two lines"},
		{"name", "two\n    lines\n", "two lines"}, {"name", "~", bad}, {"name", "null", bad}, {"name", "", bad}, {"name", `"null"`, "null"},
		{"name", "[a]", bad}, {"name", "{a: b}", bad}, {"name", "!!str a", bad}, {"name", "&a b", bad}, {"name", "*a", bad},
		{"servings", "48", "48"}, {"servings", "-1", "-1"}, {"servings", "2147483647", "2147483647"}, {"servings", "2147483648", bad},
		{"servings", "+48", bad}, {"servings", "48.0", bad}, {"servings", "4.8e1", bad}, {"servings", "0x30", bad}, {"servings", "4_8", bad},
		{"servings", `"48"`, bad}, {"servings", "forty", bad}, {"servings", "true", bad}, {"servings", ".inf", bad}, {"servings", ".nan", bad},
		{"smoothie", "true", "true"}, {"smoothie", "false", "false"}, {"smoothie", "yes", bad}, {"smoothie", "True", bad}, {"smoothie", "1", bad},
		{"smoothie", `"true"`, bad},
	} {
		got := bad
		m, faults := wire.ReadRequest([]byte("recipe:\n  "+c.field+": "+c.in+"\n"), wire.YAML)
		switch {
		case m == nil:
			t.Errorf("%s: %s: %v", c.field, c.in, faults)
			continue
		case faults.Err() == nil:
			r := m.GetRecipe()
			got = map[string]string{"name": r.GetName(), "servings": fmt.Sprint(r.GetServings()), "smoothie": fmt.Sprint(r.GetSmoothie())}[c.field]
		case len(faults.Faults) != 1 || faults.Faults[0].Path != "recipe."+c.field:
			t.Errorf("%s: %s: want one fault there, got %v", c.field, c.in, faults)
		}
		if got != c.want {
			t.Errorf("%s: %s is read as %q, want %q", c.field, c.in, got, c.want)
		}
	}
}

// JSON says what a value is; nothing is turned into something else.
func TestJSONScalars(t *testing.T) {
	for _, c := range []struct {
		in string
		ok bool
	}{
		{`"name": "12"`, true}, {`"name": 12`, false}, {`"name": true`, false}, {`"name": null`, false}, {`"name": ["a"]`, false}, {`"name": {}`, false},
		{`"servings": 48`, true}, {`"servings": -0`, true}, {`"servings": 2147483647`, true}, {`"servings": 2147483648`, false}, {`"servings": 48.0`, false},
		{`"servings": 4.8e1`, false}, {`"servings": 1E1000000000`, false}, {`"servings": "48"`, false}, {`"servings": true`, false},
		{`"smoothie": true`, true}, {`"smoothie": "true"`, false}, {`"smoothie": 1`, false}, {`"smoothie": 0`, false},
	} {
		_, faults := wire.ReadRequest([]byte(`{"recipe": {`+c.in+`}}`), wire.JSON)
		if ok := faults.Err() == nil; ok != c.ok {
			t.Errorf("%s: read %v, want %v: %v", c.in, ok, c.ok, faults)
		}
		if !c.ok && (len(faults.Faults) != 1 || faults.Faults[0].Reason != fault.WrongType) {
			t.Errorf("%s: %v", c.in, faults)
		}
	}
}

// Each bound holds at the limit and refuses one past it.
func TestBounds(t *testing.T) {
	lists := func(n int) string { return strings.Repeat("[", n) + strings.Repeat("]", n) }
	padded := func(n int) string { return "{}" + strings.Repeat(" ", n-2) }
	values := func(n int) string { return `{"recipe": [` + strings.Repeat("0,", n-3) + "0]}" } // the object, the list, n-2 numbers
	for _, c := range []struct {
		name string
		f    wire.Format
		in   string
		want fault.Reason
	}{
		{"bytes", wire.JSON, padded(wire.MaxRequest), ""},
		{"bytes, one more", wire.JSON, padded(wire.MaxRequest + 1), fault.TooLarge},
		{"YAML bytes", wire.YAML, padded(wire.MaxRequest), ""},
		{"YAML bytes, one more", wire.YAML, padded(wire.MaxRequest + 1), fault.TooLarge},
		{"depth", wire.JSON, lists(wire.MaxDepth), fault.WrongType},
		{"depth, one more", wire.JSON, lists(wire.MaxDepth + 1), fault.TooDeep},
		{"YAML depth", wire.YAML, lists(wire.MaxDepth), fault.WrongType},
		{"YAML depth, one more", wire.YAML, lists(wire.MaxDepth + 1), fault.TooDeep},
		{"YAML dashes", wire.YAML, strings.Repeat("- ", wire.MaxDepth) + "a", fault.WrongType},
		{"YAML dashes, one more", wire.YAML, strings.Repeat("- ", wire.MaxDepth+1) + "a", fault.TooDeep},
		{"YAML indentation", wire.YAML, indented(wire.MaxDepth), fault.UnknownField},
		{"YAML indentation, one more", wire.YAML, indented(wire.MaxDepth + 1), fault.TooDeep},
		{"values", wire.JSON, values(wire.MaxValues), fault.WrongType},
		{"values, one more", wire.JSON, values(wire.MaxValues + 1), fault.TooLarge},
		{"YAML words", wire.YAML, strings.Repeat("- a\n", wire.MaxYAMLTokens/2), fault.WrongType},
		{"YAML words, one more", wire.YAML, strings.Repeat("- a\n", wire.MaxYAMLTokens/2) + "-", fault.TooLarge},
	} {
		m, faults := wire.ReadRequest([]byte(c.in), c.f)
		if c.want == "" {
			if m == nil || faults.Err() != nil {
				t.Errorf("%s: %v", c.name, faults)
			}
			continue
		}
		if len(faults.Faults) == 0 || faults.Faults[0].Reason != c.want {
			t.Errorf("%s: want %s, got %.200v", c.name, c.want, faults)
		}
		if past := c.want == fault.TooLarge || c.want == fault.TooDeep; past != (m == nil) {
			t.Errorf("%s: request %v beside %s", c.name, m != nil, c.want)
		}
	}
}

// indented nests n mappings by indentation.
func indented(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.String()
}

// A request nobody would call large fits: as many ingredients as a recipe may
// have, each with every field.
func TestLargestRecipeFits(t *testing.T) {
	one := "- {food: whole-wheat-flour, name: Stone ground flour, quantity: 1 lb 2 oz, basis: as-purchased, creditAs: grains, exhibitAGroup: B, notCrediting: false, hidden: false}\n"
	in := "recipe:\n  name: Everything\n  servings: 4\n  ingredients:\n" + strings.Repeat("  "+one, 500) + "serviceDate: 2026-09-14\nprogram: school-lunch\n"
	rec, faults := answer(t, []byte(in), wire.YAML)
	if faults != nil {
		t.Fatalf("%.300v", faults)
	}
	if len(rec.Ingredients) != 500 {
		t.Errorf("%d ingredients in the record", len(rec.Ingredients))
	}
}

// The same bytes give the same faults in the same order, every time.
func TestFaultsAreDeterministic(t *testing.T) {
	for _, name := range cases(t, "bad") {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		_, first := answer(t, data, wire.FormatOf(data))
		for range 10 {
			if _, again := answer(t, data, wire.FormatOf(data)); !slices.Equal(first.Faults, again.Faults) {
				t.Fatalf("%s: first\n%v\nthen\n%v", name, first, again)
			}
		}
	}
}

// Faults beyond those kept are counted, not forgotten.
func TestFaultsAreCapped(t *testing.T) {
	in := `{"recipe": {"name": "x", "servings": 4, "ingredients": [` + strings.TrimSuffix(strings.Repeat("7,", 250), ",") + `]}, "serviceDate": "2026-09-14", "program": "school-lunch"}`
	_, faults := answer(t, []byte(in), wire.JSON)
	if len(faults.Faults) != fault.MaxFaults || faults.Omitted != 250-fault.MaxFaults {
		t.Errorf("%d faults and %d omitted, want %d and %d", len(faults.Faults), faults.Omitted, fault.MaxFaults, 250-fault.MaxFaults)
	}
}

// A fault of reading does not draw phantoms after it: what stands inside a
// value that could not be read is not asked for again.
func TestOneMistakeOneFault(t *testing.T) {
	head := `"serviceDate": "2026-09-14", "program": "school-lunch"`
	for in, want := range map[string]string{
		`{"recipe": "x", ` + head + `}`:                                                                                                              "WRONG_TYPE recipe",
		`{"product": [], ` + head + `}`:                                                                                                              "WRONG_TYPE product",
		`{"recipe": {"name": "x", "servings": 4, "ingredients": {}}, ` + head + `}`:                                                                  "WRONG_TYPE recipe.ingredients",
		`{"recipe": {"name": "x", "servings": 4, "ingredients": [7]}, ` + head + `}`:                                                                 "WRONG_TYPE recipe.ingredients[0]",
		`{"recipe": {"name": "x", "servings": "4", "ingredients": [{"food": "quinoa", "quantity": "1 lb"}]}, ` + head + `}`:                          "WRONG_TYPE recipe.servings",
		`{"recipe": {"name": "x", "servings": 4, "ingredients": [{"food": "quinoa", "quantity": "1 lb"}]}, "service_date": 1, "program": "summer"}`:  "WRONG_TYPE serviceDate",
		`{"recipe": {"name": "x", "servings": 4, "ingredients": [{"food": "quinoa", "quantity": "1 lb"}]}, ` + head + `, "foods": 3}`:                "WRONG_TYPE foods",
		`{"recipe": {"name": "x", "servings": 4, "ingredients": [{"food": "quinoa", "quantity": "1 lb"}]}, "serviceDate": "x", "program": "summer"}`: "BAD_DATE serviceDate",
	} {
		_, faults := answer(t, []byte(in), wire.JSON)
		if len(faults.Faults) != 1 || string(faults.Faults[0].Reason)+" "+faults.Faults[0].Path != want {
			t.Errorf("%s: want %s alone, got\n%v", in, want, faults)
		}
	}
}
