package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

func targetCommand() *cobra.Command {
	var aims []string
	var whole string
	q := question[*kitchen.Kitchen]{
		use: "target FILE...", short: "Find the smallest change that reaches a credit",
		long: "Find the smallest changes of a recipe after which a portion credits what it is to.\n" +
			"A file is a recipe file as `ozeq credit` takes it, with aims beside the recipe\n" +
			"(proto/ozeq/v1/target.proto) or in flags, which take their place; - reads standard\n" +
			"input. With --format recipe the answer is the recipe of the first way, as a file\n" +
			"for `ozeq credit`.\n\n" +
			"Exit code 3 when no way reaches the target.",
		example: "  ozeq target --aim grains=2 recipe.yaml\n  ozeq target --aim vegetables=3/8 --aim red-orange=1/4..1/2 recipe.yaml",
		formats: []string{"recipe"}, load: newKitchen,
		answer: func(cmd *cobra.Command, k *kitchen.Kitchen, data []byte, format string) (bool, error) {
			m, shape := wire.ReadTarget(data, wire.FormatOf(data))
			if m == nil {
				return false, shape.Err()
			}
			if len(aims) > 0 {
				m.Aims = nil
				for _, a := range aims {
					of, amount, _ := strings.Cut(a, "=")
					least, most, _ := strings.Cut(amount, "..")
					m.Aims = append(m.Aims, &pb.Aim{Of: of, Least: least, Most: most})
				}
			}
			if whole != "" {
				m.WholeGrain = whole
			}
			out, asked, err := wire.Target(k, m, shape)
			if err != nil {
				return false, err
			}
			switch format {
			case "json":
				return out.Reached(), writeJSON(cmd.OutOrStdout(), wire.TargetMessage(out, m))
			case "recipe":
				if !out.Reached() {
					fmt.Fprintln(cmd.ErrOrStderr(), "ozeq: no way reaches the target, so there is no recipe to write; --format text says why")
					return false, nil
				}
				return true, writeRecipe(cmd, m, wire.TargetMessage(out, m).GetRecipe(), nil)
			}
			return out.Reached(), report.Target(cmd.OutOrStdout(), asked, out)
		},
	}
	cmd := q.command()
	cmd.Flags().StringArrayVar(&aims, "aim", nil, "`WHAT=AMOUNT` a portion is to credit, such as grains=2 (at least) or fruits=1/4..1/2; may be given again")
	cmd.Flags().StringVar(&whole, "whole-grain", "", "least share of the creditable grain that is whole, such as 1/2")
	return cmd
}
