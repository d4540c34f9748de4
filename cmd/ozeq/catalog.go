package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sort"

	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/wire"
)

// catalogFlag adds --catalog to a command.
func catalogFlag(cmd *cobra.Command, dir *string) {
	cmd.Flags().StringVar(dir, "catalog", "", "folder of own foods and figures, laid over the catalog")
}

// catalog loads the catalog, with the foods of every YAML and JSON file of a
// folder over it. A file holds a foods list as a request does.
func catalog(cmd *cobra.Command, dir string) (*food.Catalog, error) {
	cat, err := food.Default()
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errInternal, err)
	}
	if dir == "" {
		return cat, nil
	}
	var names []string
	for _, pattern := range []string{"*.yaml", "*.yml", "*.json"} {
		found, err := filepath.Glob(filepath.Join(dir, pattern))
		if err != nil {
			return nil, err
		}
		names = append(names, found...)
	}
	if len(names) == 0 {
		if _, err := os.Stat(dir); err != nil {
			return nil, fmt.Errorf("--catalog: %w", err)
		}
		return nil, fmt.Errorf("--catalog %s: no .yaml, .yml or .json file in it; a file holds a foods list, as a request does", dir)
	}
	sort.Strings(names)
	for _, name := range names {
		data, err := readInput(nil, name)
		if err != nil {
			return nil, err
		}
		m, faults := wire.ReadRequest(data, wire.FormatOf(data))
		if err := faults.Err(); err == nil {
			cat, err = cat.With(wire.Foods(m))
			if err != nil && !errors.As(err, &faults) {
				return nil, err
			}
		}
		if faults.Err() != nil {
			_ = report.Faults(cmd.ErrOrStderr(), name, faults)
			return nil, exit(exitBadInput)
		}
	}
	return cat, nil
}
