package main

import (
	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/wire"
)

func buyCommand() *cobra.Command {
	return question[*kitchen.Kitchen]{
		use: "buy FILE...", short: "Plan what to buy for recipes, foods and products",
		long: "Plan what to buy for recipes, foods and products together, in what is sold, less\n" +
			"what is on hand. A file holds one request, as YAML or JSON\n" +
			"(proto/ozeq/v1/purchase.proto); - reads standard input.\n\n" +
			"Exit code 3 when no figure tells how much of something is drained or cooked away,\n" +
			"so that the list may be too short; it says where.",
		example: "  ozeq buy purchases.yaml\n  ozeq buy --format json purchases.yaml", load: newKitchen,
		answer: func(cmd *cobra.Command, k *kitchen.Kitchen, data []byte, format string) (bool, error) {
			m, shape := wire.ReadPurchase(data, wire.FormatOf(data))
			if m == nil {
				return false, shape.Err()
			}
			out, err := wire.PlanPurchase(k, m, shape, cmd.Context().Err)
			if err != nil {
				return false, err
			}
			told := true
			for _, f := range out.Findings {
				told = told && f.Reason != kitchen.BuyAsMeasured
			}
			if format == "json" {
				return told, writeJSON(cmd.OutOrStdout(), wire.PurchaseMessage(out))
			}
			return told, report.Buy(cmd.OutOrStdout(), out)
		},
	}.command()
}
