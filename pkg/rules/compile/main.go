// Command compile turns the YAML sources of the rules into rules.json, the
// compact form the library reads at start-up: parsing YAML then would cost
// more than the whole start-up may.
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
)

func main() {
	out, err := Compile("data")
	if err == nil {
		err = os.WriteFile("rules.json", out, 0o644)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// Compile reads every YAML file of a folder into one compact JSON document.
func Compile(dir string) ([]byte, error) {
	names, err := filepath.Glob(filepath.Join(dir, "*.yaml"))
	if err != nil {
		return nil, err
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("no YAML files in %s: run it in pkg/rules", dir)
	}
	sort.Strings(names)
	var all rules.File
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		if err := figuresQuoted(text); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		var f rules.File
		dec := yaml.NewDecoder(bytes.NewReader(text), yaml.Strict())
		if err := dec.Decode(&f); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		all.Documents = append(all.Documents, f.Documents...)
		all.Programs = append(all.Programs, f.Programs...)
		all.Options = append(all.Options, f.Options...)
		all.Rules = append(all.Rules, f.Rules...)
	}
	if _, err := rules.Load(&all); err != nil {
		return nil, err
	}
	return json.Marshal(all)
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
