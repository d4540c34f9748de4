package main

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
)

func versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Print the version and the digests of rules and catalog",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			version := "development"
			if b, ok := debug.ReadBuildInfo(); ok && b.Main.Version != "" && b.Main.Version != "(devel)" {
				version = b.Main.Version
			}
			rs, err := rules.Default()
			if err != nil {
				return fmt.Errorf("%w: %w", errInternal, err)
			}
			cat, err := food.Default()
			if err != nil {
				return fmt.Errorf("%w: %w", errInternal, err)
			}
			fmt.Fprintf(cmd.OutOrStdout(), "ozeq %s\nrules   %s\ncatalog %s, %d foods\n", version, rs.Digest(), cat.Digest(), len(cat.Foods()))
			return nil
		},
	}
}
