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
