package wire_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strconv"
	"testing"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/wire"
)

// reserved reasons are declared and given by nothing yet, each for a reason of
// its own.
var reserved = map[fault.Reason]string{
	fault.NotYet: "kept for what a later step of the contract refuses until it is built",
}

// Every reason the library declares is given by some request of the corpus or
// of the hostile ones, so that no reason is only a word.
func TestEveryReasonIsGiven(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "../fault/fault.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	declared := make(map[fault.Reason]bool)
	for _, d := range file.Decls {
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.CONST {
			continue
		}
		for _, s := range g.Specs {
			v := s.(*ast.ValueSpec)
			if id, ok := v.Type.(*ast.Ident); !ok || id.Name != "Reason" {
				continue
			}
			text, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatal(err)
			}
			declared[fault.Reason(text)] = true
		}
	}
	if len(declared) < 25 {
		t.Fatalf("only %d reasons found in pkg/fault", len(declared))
	}

	given := make(map[fault.Reason]bool)
	note := func(data []byte, f wire.Format) {
		_, faults := answer(t, data, f)
		for _, f := range faults.Faults {
			given[f.Reason] = true
		}
	}
	for _, name := range cases(t, "bad") {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		note(data, wire.FormatOf(data))
	}
	for _, h := range hostiles() {
		if given[h.want] {
			continue // the rest of their cost is the other test's
		}
		note(h.make(), h.f)
	}
	for r := range declared {
		if why, ok := reserved[r]; ok == given[r] {
			t.Errorf("%s: given %v, reserved %q", r, given[r], why)
		}
	}
	for r := range given {
		if !declared[r] {
			t.Errorf("%s is given and not declared", r)
		}
	}
}
