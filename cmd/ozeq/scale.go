package main

import (
	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// newKitchen loads what kitchen questions need.
func newKitchen(cmd *cobra.Command, dir string) (*kitchen.Kitchen, error) {
	e, err := engine(cmd, dir)
	if err != nil {
		return nil, err
	}
	return kitchen.New(e), nil
}

func scaleCommand() *cobra.Command {
	var target pb.ScaleTarget
	var round, pans, batter string
	q := question[*kitchen.Kitchen]{
		use: "scale FILE...", short: "Bring a batch to another size, in measures a kitchen has",
		long: "Bring a batch to another size: servings, pans, a weight, or another scoop. A file\n" +
			"is a recipe file as `ozeq credit` takes it, with the target beside the recipe\n" +
			"(proto/ozeq/v1/scale.proto) or in flags, which take its place; - reads standard\n" +
			"input. With --format recipe the answer is a recipe file for `ozeq credit`.\n\n" +
			"Exit code 3 when measures lower a credit; the answer says what to take instead.",
		example: "  ozeq scale --servings 150 recipe.yaml\n  ozeq scale --factor 2.5 --round up --format recipe recipe.yaml > larger.yaml",
		formats: []string{"recipe"}, load: newKitchen,
		answer: func(cmd *cobra.Command, k *kitchen.Kitchen, data []byte, format string) (bool, error) {
			m, shape := wire.ReadScale(data, wire.FormatOf(data))
			if m == nil {
				return false, shape.Err()
			}
			if target.Servings != 0 || target.Pans != "" || target.BatchWeight != "" || target.BatterWeight != "" || target.Factor != "" || target.Scoop != 0 {
				m.Target = &pb.ScaleTarget{Servings: target.Servings, Pans: target.Pans, BatchWeight: target.BatchWeight, BatterWeight: target.BatterWeight, Factor: target.Factor, Scoop: target.Scoop}
			}
			for _, f := range []struct {
				to   *string
				flag string
			}{{&m.Round, round}, {&m.Pans, pans}, {&m.BatterWeight, batter}} {
				if f.flag != "" {
					*f.to = f.flag
				}
			}
			out, err := wire.Scale(k, m, shape)
			if err != nil {
				return false, err
			}
			had := len(out.Lost) == 0
			switch format {
			case "json":
				return had, writeJSON(cmd.OutOrStdout(), wire.ScaleMessage(out, m.GetExplain()))
			case "recipe":
				return had, writeRecipe(cmd, m, wire.RecipeMessage(&out.Kitchen), nil)
			}
			return had, report.Scale(cmd.OutOrStdout(), out)
		},
	}
	cmd := q.command()
	f := cmd.Flags()
	f.Int32Var(&target.Servings, "servings", 0, "`number` of servings to make")
	f.StringVar(&target.Pans, "to-pans", "", "pans to fill, such as 5")
	f.StringVar(&target.BatchWeight, "batch-weight", "", "weight of the finished batch, such as 40 lb")
	f.StringVar(&target.BatterWeight, "batter-weight", "", "weight before baking or cooking, such as 30 lb")
	f.StringVar(&target.Factor, "factor", "", "so many times the batch, such as 2.5")
	f.Int32Var(&target.Scoop, "scoop", 0, "scoop `number` of the first portion, with --servings")
	f.StringVar(&round, "round", "", "up, down or nearest (the default)")
	f.StringVar(&pans, "pans", "", "pans the batch fills as written")
	f.StringVar(&batter, "batter", "", "weight of the batch as written, before baking or cooking")
	return cmd
}

// writeRecipe writes a recipe as a file for `ozeq credit`, with what else its
// request had.
func writeRecipe(cmd *cobra.Command, of wire.Dish, r *pb.Recipe, notes map[int][]string) error {
	text, err := wire.AppendRecipeFile(nil, &pb.CreditRequest{Recipe: r, ServiceDate: of.GetServiceDate(), Program: of.GetProgram(), Options: of.GetOptions(), Foods: of.GetFoods(),
		SubRecipes: of.GetSubRecipes(), Products: of.GetProducts(), AgeGroup: of.GetAgeGroup()}, notes)
	if err != nil {
		return err
	}
	_, err = cmd.OutOrStdout().Write(text)
	return err
}
