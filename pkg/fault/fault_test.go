package fault_test

import (
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/fault"
)

func TestClip(t *testing.T) {
	full := strings.Repeat("a", fault.MaxValue)
	for _, c := range []struct{ in, want string }{
		{"", ""},
		{"2 lb", "2 lb"},
		{full, full},
		{full + "a", full[:fault.MaxValue-3] + "..."},
		{strings.Repeat("a", 10<<20), full[:fault.MaxValue-3] + "..."},
		// The cut falls on, one before and one behind the start of a character.
		{strings.Repeat("a", 77) + "¼" + full, strings.Repeat("a", 77) + "..."},
		{strings.Repeat("a", 76) + "¼" + full, strings.Repeat("a", 76) + "..."},
		{strings.Repeat("a", 75) + "¼" + full, strings.Repeat("a", 75) + "¼..."},
		{strings.Repeat("a", 74) + "🥕" + full, strings.Repeat("a", 74) + "..."},
		{strings.Repeat("a", 73) + "🥕" + full, strings.Repeat("a", 73) + "🥕..."},
		// What is no UTF-8.
		{"2\xfflb", "2?lb"},
		{"\xc3", "?"},
		{strings.Repeat("\x80", 200), "?..."},
		// What breaks a line, rings a bell or turns the reading order.
		{"a\nb\tc\rd\x00e\x7ff\u0085g", "a b c d e f g"},
		{"\x1b[31mred", " [31mred"},
		{"a\u2028b\u2029c", "a b c"},
		{"abc\u202edef\u202c", "abc def "},
		{"\u2066a\u2069\u200eb\u200fc\u061cd", " a  b c d"},
	} {
		if got := fault.Clip(c.in); got != c.want {
			t.Errorf("Clip(%.100q) = %q, want %q", c.in, got, c.want)
		}
	}
}

// checkClip holds for every text: it fits, is valid, shows nothing that is not
// shown, loses nothing that fits, and clipping again changes nothing, since
// values are clipped wherever a fault is made and again in a list.
func checkClip(t rapid.TB, s string) {
	t.Helper()
	got := fault.Clip(s)
	if len(got) > fault.MaxValue || !utf8.ValidString(got) {
		t.Fatalf("Clip(%q) = %q: %d bytes, valid %v", s, got, len(got), utf8.ValidString(got))
	}
	for _, r := range got {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029' {
			t.Fatalf("Clip(%q) = %q holds %U", s, got, r)
		}
	}
	if again := fault.Clip(got); again != got {
		t.Fatalf("Clip(%q) = %q, and clipped again %q", s, got, again)
	}
	if !utf8.ValidString(s) {
		return
	}
	// Of valid text the clip is a prefix, character by character, but for what
	// it makes a space of: it never ends within a character.
	kept, cut := got, len(s) > fault.MaxValue
	if cut {
		var ok bool
		if kept, ok = strings.CutSuffix(got, "..."); !ok {
			t.Fatalf("Clip(%q) = %q hides that it is cut", s, got)
		}
	}
	in, out := []rune(s), []rune(kept)
	if len(out) > len(in) || !cut && len(out) != len(in) {
		t.Fatalf("Clip(%q) = %q: %d characters of %d", s, got, len(out), len(in))
	}
	used := 0
	for i, r := range out {
		used += utf8.RuneLen(in[i])
		if r != in[i] && r != ' ' {
			t.Fatalf("Clip(%q) = %q: character %d is %q", s, got, i, r)
		}
	}
	if cut && used+utf8.RuneLen(in[len(out)]) <= fault.MaxValue-len("...") {
		t.Fatalf("Clip(%q) = %q: one more character would fit", s, got)
	}
}

func TestClipOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(
			rapid.String(),
			rapid.StringN(60, 120, -1),
			rapid.StringOfN(rapid.RuneFrom([]rune("a¼é肉🥕\n\u202e\u200f\u2028")), 20, 120, -1),
			rapid.Map(rapid.SliceOfN(rapid.Byte(), 0, 200), func(b []byte) string { return string(b) }),
		).Draw(t, "text")
		checkClip(t, s)
	})
}

func FuzzClip(f *testing.F) {
	for _, s := range []string{"", "2 lb", strings.Repeat("¼", 60), strings.Repeat("\x80", 90), "a\u202eb\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { checkClip(t, s) })
}

func TestFaultError(t *testing.T) {
	for _, c := range []struct {
		f    fault.Fault
		want string
	}{
		{fault.Fault{Reason: fault.Missing, Want: "a name"}, "a name [MISSING]"},
		{fault.Fault{Reason: fault.BadNumber, Path: "recipe.servings", Value: "ten\"", Want: "a whole number", Fix: "Write 10."},
			`recipe.servings: "ten\"": a whole number. Write 10. [BAD_NUMBER]`},
		{fault.Fault{Reason: fault.Missing, Path: "program", Want: "a program id", Fix: "Say which."}, "program: a program id. Say which. [MISSING]"},
	} {
		if got := c.f.Error(); got != c.want {
			t.Errorf("%+v is told as %q, want %q", c.f, got, c.want)
		}
		if strings.Contains(c.f.Error(), "\n") {
			t.Errorf("%+v takes more than a line", c.f)
		}
	}
}

func TestListIsCapped(t *testing.T) {
	var l fault.List
	if l.Err() != nil {
		t.Error("an empty list is an error")
	}
	const more = 7
	for i := range fault.MaxFaults + more {
		if kept := min(i, fault.MaxFaults); len(l.Faults) != kept || l.Omitted != i-kept {
			t.Fatalf("of %d faults %d are kept and %d counted", i, len(l.Faults), l.Omitted)
		}
		l.Add(fault.Fault{Reason: fault.Missing, Path: fault.Index("recipe.ingredients", i), Value: strings.Repeat("¼", 100), Want: "a food"})
	}
	if len(l.Faults) != fault.MaxFaults || l.Omitted != more {
		t.Errorf("of %d faults %d are kept and %d counted", fault.MaxFaults+more, len(l.Faults), l.Omitted)
	}
	for i, f := range l.Faults {
		if f.Path != fmt.Sprintf("recipe.ingredients[%d]", i) || f.Value != fault.Clip(f.Value) {
			t.Errorf("fault %d: path %s, value %q", i, f.Path, f.Value)
		}
	}
	lines := strings.Split(l.Err().Error(), "\n")
	if len(lines) != fault.MaxFaults+1 || lines[fault.MaxFaults] != "and 7 more" {
		t.Errorf("told in %d lines, the last %q", len(lines), lines[len(lines)-1])
	}
	if lines[0] != l.Faults[0].Error() {
		t.Errorf("the first line is %q", lines[0])
	}
}

// What was found may be quoted in what was wanted or in how to mend it, so a
// list bounds these too, and leaves ordinary sentences alone.
func TestListBoundsSentences(t *testing.T) {
	const want, fix = "one of school-lunch, school-breakfast", "Say which program the food is served in."
	var l fault.List
	l.Add(fault.Fault{Reason: fault.Missing, Want: want, Fix: fix})
	l.Add(fault.Fault{Reason: fault.Missing, Want: strings.Repeat("¼", 1<<20), Fix: strings.Repeat("\x80\n", 1<<20)})
	if f := l.Faults[0]; f.Want != want || f.Fix != fix {
		t.Errorf("sentences changed: %q, %q", f.Want, f.Fix)
	}
	for _, s := range []string{l.Faults[1].Want, l.Faults[1].Fix} {
		if len(s) > 1<<10 || !utf8.ValidString(s) || strings.Contains(s, "\n") || !strings.HasSuffix(s, "...") {
			t.Errorf("a sentence of 2 MiB is kept as %d bytes: %.100q", len(s), s)
		}
	}
}

func TestListAppend(t *testing.T) {
	some := &fault.List{}
	for range 60 {
		some.Add(fault.Fault{Reason: fault.TooLong, Want: "less"})
	}
	var l fault.List
	for i, want := range []struct{ kept, omitted int }{{60, 0}, {100, 20}, {100, 80}} {
		if !l.Append(some) || len(l.Faults) != want.kept || l.Omitted != want.omitted {
			t.Errorf("after %d lists of 60: %d kept, %d counted, want %+v", i+1, len(l.Faults), l.Omitted, want)
		}
	}
	// What a list had left out stays counted.
	var second fault.List
	if second.Append(&l); len(second.Faults) != 100 || second.Omitted != 80 {
		t.Errorf("a list of a list: %d kept, %d counted", len(second.Faults), second.Omitted)
	}
	for _, err := range []error{nil, errors.New("disk full"), fault.Fault{Reason: fault.Missing}} {
		if second.Append(err) {
			t.Errorf("Append takes %v for a list", err)
		}
	}
	var none *fault.List
	if none.Err() != nil {
		t.Error("a nil list is an error")
	}
	if !second.Append(none) || len(second.Faults) != 100 || second.Omitted != 80 {
		t.Errorf("a nil list adds something: %d kept, %d counted", len(second.Faults), second.Omitted)
	}
}

func TestPaths(t *testing.T) {
	for _, c := range [][2]string{
		{fault.Index("recipe.ingredients", 3), "recipe.ingredients[3]"},
		{fault.Index("", 0), "[0]"},
		{fault.Field("recipe", "name"), "recipe.name"},
		{fault.Field("", "recipe"), "recipe"},
		{fault.Field("menu", ""), "menu"},
		{fault.Field(fault.Index(fault.Field("recipe", "ingredients"), 12), "food"), "recipe.ingredients[12].food"},
	} {
		if c[0] != c[1] {
			t.Errorf("path %q, want %q", c[0], c[1])
		}
	}
}

// frozen are the reasons programs rely on. They are never renamed: a line may
// be added here, none changed or taken away.
var frozen = map[string]fault.Reason{
	"NotUTF8": "NOT_UTF8", "BadSyntax": "BAD_SYNTAX", "TooLarge": "TOO_LARGE", "TooDeep": "TOO_DEEP",
	"UnknownField": "UNKNOWN_FIELD", "DuplicateField": "DUPLICATE_FIELD", "WrongType": "WRONG_TYPE", "YAMLFeature": "YAML_FEATURE",
	"Missing": "MISSING", "Conflicting": "CONFLICTING", "TooMany": "TOO_MANY", "TooLong": "TOO_LONG", "OutOfRange": "OUT_OF_RANGE",
	"BadNumber": "BAD_NUMBER", "BadQuantity": "BAD_QUANTITY", "UnknownUnit": "UNKNOWN_UNIT", "BadDate": "BAD_DATE", "BadText": "BAD_TEXT",
	"UnknownValue": "UNKNOWN_VALUE", "UnknownProgram": "UNKNOWN_PROGRAM", "UnknownOption": "UNKNOWN_OPTION", "RuleNotInForce": "RULE_NOT_IN_FORCE",
	"UnknownFood": "UNKNOWN_FOOD", "UnknownState": "UNKNOWN_STATE", "StateNeeded": "STATE_NEEDED", "CannotCreditAs": "CANNOT_CREDIT_AS",
	"UnitNeedsDensity": "UNIT_NEEDS_DENSITY", "NoFigure": "NO_FIGURE", "UnitDoesNotFit": "UNIT_DOES_NOT_FIT",
}

// The constants are read from the source: the package has no list of them.
func TestReasonsAreNeverRenamed(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "fault.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	now := make(map[string]fault.Reason)
	owner := make(map[fault.Reason]string)
	form := regexp.MustCompile(`^[A-Z0-9]+(_[A-Z0-9]+)*$`)
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		if typ, ok := spec.Type.(*ast.Ident); !ok || typ.Name != "Reason" {
			return true
		}
		for i, name := range spec.Names {
			text, err := strconv.Unquote(spec.Values[i].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatal(err)
			}
			r := fault.Reason(text)
			if !form.MatchString(text) {
				t.Errorf("reason %s is written %q", name.Name, text)
			}
			if other, ok := owner[r]; ok {
				t.Errorf("%s and %s are one reason", name.Name, other)
			}
			now[name.Name], owner[r] = r, name.Name
		}
		return true
	})
	for name, want := range frozen {
		if now[name] != want {
			t.Errorf("reason %s is %q, was %q", name, now[name], want)
		}
	}
}
