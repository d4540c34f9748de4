package main

import (
	"strings"

	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

func compareCommand() *cobra.Command {
	var swaps []string
	var keep string
	q := question[*kitchen.Kitchen]{
		use: "compare FILE...", short: "Show what substitutions change",
		long: "Show what substitutions change: amounts, credits, whole grain, allergens and other\n" +
			"cautions, and what they upset. A file is a recipe file as `ozeq credit` takes it,\n" +
			"with swaps beside the recipe (proto/ozeq/v1/compare.proto) or in flags, which take\n" +
			"their place; - reads standard input. With --format recipe the answer is the recipe\n" +
			"after the swaps, as a file for `ozeq credit`.\n\n" +
			"Exit code 3 when a portion credits less of something than before.",
		example: "  ozeq compare swap.yaml\n  ozeq compare --swap 0=brown-rice-long --keep credit recipe.yaml",
		formats: []string{"recipe"}, load: newKitchen,
		answer: func(cmd *cobra.Command, k *kitchen.Kitchen, data []byte, format string) (bool, error) {
			m, shape := wire.ReadCompare(data, wire.FormatOf(data))
			if m == nil {
				return false, shape.Err()
			}
			if len(swaps) > 0 {
				m.Swaps = nil
				for _, s := range swaps {
					path, to, _ := strings.Cut(s, "=")
					id, amount, given := strings.Cut(to, ":")
					x := &pb.Swap{Path: path, Food: id, Amount: amount}
					if !given {
						x.Keep = keep
					}
					m.Swaps = append(m.Swaps, x)
				}
			}
			out, err := wire.Compare(k, m, shape)
			if err != nil {
				return false, err
			}
			kept := true
			for _, f := range out.Findings {
				kept = kept && f.Reason != kitchen.CreditLost
			}
			switch format {
			case "json":
				return kept, writeJSON(cmd.OutOrStdout(), wire.CompareMessage(out, m.GetExplain()))
			case "recipe":
				after := wire.CompareMessage(out, false)
				m.SubRecipes = after.GetSubRecipes()
				return kept, writeRecipe(cmd, m, after.GetRecipe(), nil)
			}
			return kept, report.Compare(cmd.OutOrStdout(), out)
		},
	}
	cmd := q.command()
	cmd.Flags().StringArrayVar(&swaps, "swap", nil, "`LINE=FOOD`, the line counted from 0 and the food in its place, such as 2=brown-rice-long or 2=brown-rice-long:3 lb; may be given again")
	cmd.Flags().StringVar(&keep, "keep", "credit", "what --swap keeps without an amount: weight, volume, purchase-unit or credit")
	return cmd
}
