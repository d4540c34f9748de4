package main

import (
	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/wire"
)

func productionCommand() *cobra.Command {
	return menuCommand("production FILE...", "Check production records, and review the day as it was served",
		"Check that a production record holds what it must and adds up, and review the\n"+
			"meal as it was served: with what stood in for planned items, and after what ran\n"+
			"out. Prints it as a paper. A file holds one record, as YAML or JSON\n"+
			"(proto/ozeq/v1/production.proto); - reads standard input. Exit code 3 when the\n"+
			"record or the meal as served is not met.",
		"  ozeq production day.yaml\n  ozeq production --format json day.yaml",
		func(cmd *cobra.Command, r *menu.Reviewer, data []byte, format string) (bool, error) {
			m, shape := wire.ReadProduction(data, wire.FormatOf(data))
			out, err := wire.Production(r, m, shape)
			if err != nil {
				return false, err
			}
			met := out.Verdict() != menu.NotMet
			if format == "json" {
				return met, writeJSON(cmd.OutOrStdout(), wire.ProductionMessage(out))
			}
			return met, report.Production(cmd.OutOrStdout(), wire.ProductionRecord(m), out)
		})
}
