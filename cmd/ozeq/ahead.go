package main

import (
	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/wire"
)

func aheadCommand() *cobra.Command {
	var on []string
	cmd := menuCommand("ahead FILE...", "Review menus under the rules that come after their dates",
		"Review menus under each rule date that comes after their own days, and say what\n"+
			"differs, by which rule, and which item to change. The days are moved by whole\n"+
			"weeks (docs/menus.md). A file holds one menu, as for `ozeq review`; - reads\n"+
			"standard input. Exit code 3 when a pattern is not met under a coming rule.",
		"  ozeq ahead week.yaml\n  ozeq ahead --on 2027-09-07 week.yaml",
		func(cmd *cobra.Command, r *menu.Reviewer, data []byte, format string) (bool, error) {
			m, shape := wire.ReadLookAhead(data, wire.FormatOf(data))
			if m != nil {
				m.On = append(m.On, on...)
			}
			out, err := wire.LookAhead(r, m, shape)
			if err != nil {
				return false, err
			}
			met := true
			for i := range out.Coming {
				met = met && out.Coming[i].Verdict() != menu.NotMet
			}
			if format == "json" {
				return met, writeJSON(cmd.OutOrStdout(), wire.LookAheadMessage(out))
			}
			return met, report.LookAhead(cmd.OutOrStdout(), wire.LookAheadHead(m), out)
		})
	cmd.Flags().StringSliceVar(&on, "on", nil, "a further `DATE` to look at, YYYY-MM-DD; may be repeated")
	return cmd
}
