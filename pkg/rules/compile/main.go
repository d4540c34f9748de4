// Command compile turns the YAML sources of the rules into rules.json, and those
// of the meal patterns into patterns.json, the compact forms the library reads:
// parsing YAML then would cost more than the whole start-up may.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"sort"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

func main() {
	for _, c := range []struct {
		compile   func(dir string) ([]byte, error)
		dir, file string
	}{{Compile, "data", "rules.json"}, {CompilePatterns, "patterns/data", "patterns/patterns.json"}} {
		out, err := c.compile(c.dir)
		if err == nil {
			err = os.WriteFile(c.file, out, 0o644)
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}

// Compile reads every YAML file of a folder of rules into one compact JSON
// document.
func Compile(dir string) ([]byte, error) {
	var all rules.File
	err := each(dir, func(f *rules.File) {
		all.Documents = append(all.Documents, f.Documents...)
		all.Programs = append(all.Programs, f.Programs...)
		all.Options = append(all.Options, f.Options...)
		all.Rules = append(all.Rules, f.Rules...)
	})
	if err != nil {
		return nil, err
	}
	if _, err := rules.Load(&all); err != nil {
		return nil, err
	}
	return json.Marshal(all)
}

// CompilePatterns does the same for a folder of meal patterns.
func CompilePatterns(dir string) ([]byte, error) {
	var all patterns.File
	err := each(dir, func(f *patterns.File) {
		all.Documents = append(all.Documents, f.Documents...)
		all.Options = append(all.Options, f.Options...)
		all.Patterns = append(all.Patterns, f.Patterns...)
		all.Rules = append(all.Rules, f.Rules...)
		all.Tables = append(all.Tables, f.Tables...)
	})
	if err != nil {
		return nil, err
	}
	if _, err := patterns.Load(&all); err != nil {
		return nil, err
	}
	return json.Marshal(all)
}

// each reads the YAML files of a folder, in the order of their names.
func each[F any](dir string, add func(*F)) error {
	names, err := filepath.Glob(filepath.Join(dir, "*.yaml"))
	if err != nil {
		return err
	}
	if len(names) == 0 {
		return fmt.Errorf("no YAML files in %s: run it in pkg/rules", dir)
	}
	sort.Strings(names)
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if err := figuresQuoted(text); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		var f F
		dec := yaml.NewDecoder(bytes.NewReader(text), yaml.Strict())
		if err := dec.Decode(&f); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		add(&f)
	}
	return nil
}

// figuresQuoted refuses a bare number: the YAML decoder reads it as one and
// writes it anew, 2.0 as 2, and figures are to stay as printed.
func figuresQuoted(text []byte) error {
	file, err := parser.ParseBytes(text, 0)
	if err != nil {
		return err
	}
	var bare bareNumber
	for _, doc := range file.Docs {
		ast.Walk(&bare, doc)
	}
	if bare.found != nil {
		return fmt.Errorf("line %d: write %s in quotes, so that it stays as printed", bare.found.Position.Line, bare.found.Value)
	}
	return nil
}

// bareNumber keeps the first number of a file that stands without quotes.
type bareNumber struct{ found *token.Token }

func (b *bareNumber) Visit(n ast.Node) ast.Visitor {
	switch n.(type) {
	case *ast.IntegerNode, *ast.FloatNode, *ast.InfinityNode, *ast.NanNode:
		if b.found == nil {
			b.found = n.GetToken()
		}
	}
	return b
}
