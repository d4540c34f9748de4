package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// reviewer loads what reviews need.
func reviewer(cmd *cobra.Command, dir string) (*menu.Reviewer, error) {
	e, err := engine(cmd, dir)
	if err != nil {
		return nil, err
	}
	p, err := patterns.Default()
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errInternal, err)
	}
	return menu.New(e, p), nil
}

func reviewCommand() *cobra.Command {
	day := false
	var menus []*pb.Menu
	cmd := menusCommand("review FILE...", "Review menus against the meal pattern of their dates",
		"Review menus of a day or a week against the meal pattern of their dates. A file\n"+
			"holds one menu, as YAML or JSON (proto/ozeq/v1/menu.proto); - reads standard\n"+
			"input. With --care-day the files are all meals and snacks of one group in child\n"+
			"and adult care or preschool, and after them stands what goes over the whole day:\n"+
			"the whole grain-rich serving and the one meal with juice.\n\n"+
			"Exit code 3 when a pattern is not met; at risk and not checked exit with 0.",
		"  ozeq review week.yaml\n  ozeq review --format json week.yaml\n  ozeq review --care-day breakfast.yaml lunch.yaml snack.yaml",
		func(cmd *cobra.Command, r *menu.Reviewer, data []byte, format string) (bool, error) {
			m, shape := wire.ReadReview(data, wire.FormatOf(data))
			out, err := wire.Review(r, m, shape)
			if err != nil {
				return false, err
			}
			menus = append(menus, m.GetMenu())
			met := out.Verdict() != menu.NotMet
			if format == "json" {
				return met, writeJSON(cmd.OutOrStdout(), wire.ReviewMessage(out))
			}
			return met, report.Review(cmd.OutOrStdout(), wire.MenuHead(m), out)
		},
		func(cmd *cobra.Command, r *menu.Reviewer, format string) (bool, error) {
			if !day {
				return true, nil
			}
			out, err := wire.ReviewDay(r, &pb.ReviewDayRequest{Menus: menus}, nil)
			if err != nil {
				return false, err
			}
			met := out.Verdict() != menu.NotMet
			if format == "json" {
				return met, writeJSON(cmd.OutOrStdout(), wire.DayMessage(out))
			}
			fmt.Fprintln(cmd.OutOrStdout())
			head := wire.MenuHead(&pb.ReviewRequest{Menu: menus[0]})
			head.Meal = "all meals and snacks of the day"
			return met, report.Review(cmd.OutOrStdout(), head, out)
		})
	cmd.Flags().BoolVar(&day, "care-day", false, "the files are all meals and snacks of a day of care; look at the whole day too")
	return cmd
}

func trayCommand() *cobra.Command {
	return menuCommand("tray FILE...", "Check whether trays are reimbursable meals",
		"Check whether the tray a child took is a reimbursable meal, and what to add if\n"+
			"not. A file holds one tray, as YAML or JSON (proto/ozeq/v1/menu.proto).\n"+
			"\nExit code 3 when a tray is not reimbursable; not checked exits with 0.",
		"  ozeq tray tray.yaml",
		func(cmd *cobra.Command, r *menu.Reviewer, data []byte, format string) (bool, error) {
			m, shape := wire.ReadTray(data, wire.FormatOf(data))
			out, err := wire.CheckTray(r, m, shape)
			if err != nil {
				return false, err
			}
			met := out.Verdict != menu.NotMet
			if format == "json" {
				return met, writeJSON(cmd.OutOrStdout(), wire.TrayMessage(out))
			}
			return met, report.Tray(cmd.OutOrStdout(), out)
		})
}

// menuCommand is a [question] about menus, which may be longer than recipes.
func menuCommand(use, short, long, example string, answer func(*cobra.Command, *menu.Reviewer, []byte, string) (bool, error)) *cobra.Command {
	return menusCommand(use, short, long, example, answer, nil)
}

// menusCommand is menuCommand with an answer about all files together.
func menusCommand(use, short, long, example string, answer func(*cobra.Command, *menu.Reviewer, []byte, string) (bool, error),
	together func(*cobra.Command, *menu.Reviewer, string) (bool, error)) *cobra.Command {
	return question[*menu.Reviewer]{use: use, short: short, long: long, example: example, most: wire.MaxBatchBytes,
		load: reviewer, answer: answer, together: together}.command()
}
