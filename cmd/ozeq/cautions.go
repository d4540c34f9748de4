package main

import (
	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/wire"
)

func cautionsCommand() *cobra.Command {
	return question[*kitchen.Kitchen]{
		use: "cautions FILE...", short: "List what recipes and menus call for care with",
		long: "List what recipes, products and menus call for care with: allergens, gluten,\n" +
			"choking, infants, by the catalog's entries. They support, and never replace, label\n" +
			"checks, local codes and licensed practice. A file is a recipe file as `ozeq credit`\n" +
			"takes it, or a menu file as `ozeq review` does; - reads standard input.",
		example: "  ozeq cautions recipe.yaml\n  ozeq cautions --format json week.yaml", load: newKitchen,
		answer: func(cmd *cobra.Command, k *kitchen.Kitchen, data []byte, format string) (bool, error) {
			f := wire.FormatOf(data)
			menu, ofMenu := wire.ReadCautionMenu(data, f)
			if menu.GetMenu() != nil {
				out, err := wire.CautionMenu(k, menu, ofMenu)
				if err != nil {
					return false, err
				}
				if format == "json" {
					return true, writeJSON(cmd.OutOrStdout(), wire.MenuCautionsMessage(out))
				}
				return true, report.MenuCautions(cmd.OutOrStdout(), out)
			}
			m, shape := wire.ReadCaution(data, f)
			if m == nil {
				return false, shape.Err()
			}
			out, err := wire.Cautions(k, m, shape)
			if err != nil {
				return false, err
			}
			if format == "json" {
				return true, writeJSON(cmd.OutOrStdout(), wire.CautionsMessage(out))
			}
			return true, report.Cautions(cmd.OutOrStdout(), out)
		},
	}.command()
}
