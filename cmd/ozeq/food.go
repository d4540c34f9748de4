package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/report"
)

func foodCommand() *cobra.Command {
	cmd := &cobra.Command{Use: "food", Short: "Find foods and see their figures", Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() }}
	limit, dir := 10, ""
	search := &cobra.Command{
		Use:     "search WORDS...",
		Short:   "Find foods by everyday words; misspellings are forgiven",
		Example: "  ozeq food search whole wheat flour\n  ozeq food search brocoli frozen",
		Args:    some("name a food by everyday words, such as broccoli"),
		RunE: func(cmd *cobra.Command, args []string) error {
			cat, err := catalog(cmd, dir)
			if err != nil {
				return err
			}
			words := strings.Join(args, " ")
			found := cat.Search(words, limit)
			if len(found) == 0 {
				fmt.Fprintf(cmd.ErrOrStderr(), "No food in the catalog is near %q. Try the plain name of the food, or bring your own under foods in the request.\n", words)
				return exit(exitBadInput)
			}
			for _, m := range found {
				_ = report.Wrapped(cmd.OutOrStdout(), fmt.Sprintf("%-34s ", m.Food.ID), oneLine(m.Food))
			}
			return nil
		},
	}
	search.Flags().IntVar(&limit, "limit", limit, "how many to show, 0 for all")
	show := &cobra.Command{
		Use:     "show ID...",
		Short:   "Show foods with every figure and its source",
		Example: "  ozeq food show black-beans-canned",
		Args:    some("name the id of a food; `ozeq food search` finds it"),
		RunE: func(cmd *cobra.Command, args []string) error {
			cat, err := catalog(cmd, dir)
			if err != nil {
				return err
			}
			code, shown := exitOK, false
			for _, id := range args {
				f, ok := cat.Food(id)
				if !ok {
					near := "Find it with `ozeq food search`."
					if ids := cat.Nearest(id, 3); len(ids) > 0 {
						near = "Nearest: " + strings.Join(ids, ", ") + "."
					}
					fmt.Fprintf(cmd.ErrOrStderr(), "No food has the id %q. %s\n", id, near)
					code = exitBadInput
					continue
				}
				if shown {
					fmt.Fprintln(cmd.OutOrStdout())
				}
				shown = true
				showFood(cmd.OutOrStdout(), f)
			}
			if code != exitOK {
				return exit(code)
			}
			return nil
		},
	}
	catalogFlag(search, &dir)
	catalogFlag(show, &dir)
	cmd.AddCommand(search, show)
	return cmd
}

// oneLine says what a food is and what it credits.
func oneLine(f *food.Food) string {
	if f.NoCredit != "" {
		return f.Name + " (credits nothing)"
	}
	var c []string
	for _, x := range f.Components {
		c = append(c, x.String())
	}
	return f.Name + " (" + strings.Join(c, " or ") + ")"
}

func showFood(w io.Writer, f *food.Food) {
	fmt.Fprintf(w, "%s\n", f.ID)
	pair := func(name, value string) {
		if value != "" {
			_ = report.Wrapped(w, "  "+name+strings.Repeat(" ", max(1, 15-len(name))), value)
		}
	}
	pair("Name", f.Name)
	pair("Also called", strings.Join(f.Also, ", "))
	pair("Form", f.Form)
	var c []string
	for _, x := range f.Components {
		c = append(c, x.Title())
	}
	pair("Credits as", strings.Join(c, ", or "))
	if f.NoCredit != "" {
		pair("No credit", f.NoCreditReason())
	}
	if f.Subgroup != food.NoSubgroup {
		pair("Subgroup", f.Subgroup.Title())
	}
	if f.GrainKind != food.NotAGrain {
		pair("Grain", f.GrainKind.String()+", "+f.GrainUse.String())
	}
	if f.ExhibitAGroup != 0 {
		pair("Exhibit A", "group "+string(f.ExhibitAGroup))
	}
	pair("Traits", strings.ReplaceAll(f.Traits.String(), ";", ", "))
	pair("Allergens", strings.Join(f.Allergens, ", "))
	pair("Gluten", f.Gluten)
	if len(f.Figures) == 0 {
		pair("Figures", "none; it credits by rule, or not at all")
		return
	}
	fmt.Fprintln(w, "  Figures")
	for _, g := range f.Figures {
		what := g.Text + " " + g.Record.Unit
		if g.Kind == food.Servings {
			what = g.Component.String() + ": " + what
		}
		state := g.State
		if state == "" {
			state = "any state"
		}
		_ = report.Wrapped(w, "    - ", state+": "+what+" ["+g.Source.Mark.String()+", tier "+fmt.Sprint(g.Source.Tier)+"] "+g.Source.Citation())
	}
}
