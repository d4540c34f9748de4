package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules"
)

func rulesCommand() *cobra.Command {
	var on, program string
	cmd := &cobra.Command{
		Use:   "rules [ID]",
		Short: "Show programs, State options and rules with dates and sources",
		Long: "Show programs, State options and rules. With an id, every value of that rule\n" +
			"through time. With --program and --on, the values in force that day.",
		Example: "  ozeq rules\n  ozeq rules grains/grams/baked\n  ozeq rules --program school-lunch --on 2026-09-14",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			all, err := rules.Default()
			if err != nil {
				return fmt.Errorf("%w: %w", errInternal, err)
			}
			w := cmd.OutOrStdout()
			switch {
			case (on == "") != (program == ""):
				return errors.New("--on and --program go together: the day and the program decide what is in force")
			case on != "":
				return showInForce(cmd, all, on, program, args)
			case len(args) == 1:
				r, ok := all.Rule(args[0])
				if !ok {
					return unknownRule(args[0])
				}
				showRule(w, r)
				return nil
			}
			listRules(w, all)
			return nil
		},
	}
	cmd.Flags().StringVar(&on, "on", "", "date, YYYY-MM-DD")
	cmd.Flags().StringVar(&program, "program", "", "program id")
	return cmd
}

func listRules(w io.Writer, all *rules.Rules) {
	fmt.Fprintln(w, "PROGRAMS")
	for _, p := range all.Programs() {
		fmt.Fprintf(w, "  %-20s %s, %s\n", p.ID, p.Name, p.Regulation)
	}
	fmt.Fprintln(w, "\nSTATE OPTIONS")
	for _, o := range all.Options() {
		showOption(w, o)
	}
	fmt.Fprintln(w, "\nRULES")
	for _, r := range all.All() {
		_ = report.Wrapped(w, "  ", r.ID+": "+r.Title)
	}
}

func showRule(w io.Writer, r *rules.Rule) {
	_ = report.Wrapped(w, "", r.ID+": "+r.Title)
	for _, v := range r.Values {
		showValue(w, r, v)
	}
}

func showValue(w io.Writer, r *rules.Rule, v *rules.Value) {
	life := "from " + v.From.String()
	if v.EarlierUnknown {
		life += " (in force before; first day not known)"
	}
	if !v.To.IsZero() {
		life += " to " + v.To.String()
	}
	if v.Option != "" {
		life += ", option " + v.Option + "=" + v.Choice
	}
	_ = report.Wrapped(w, "  ", strings.Join(v.Programs, ", ")+", "+life)
	if v.Text != "" {
		unit := " " + r.Unit
		if r.Unit == "none" {
			unit = ""
		}
		_ = report.Wrapped(w, "    ", v.Text+unit+". "+cite(v))
	}
	for i := range v.Steps {
		s := &v.Steps[i]
		_ = report.Wrapped(w, "    ", s.CreditText+" from "+s.LeastText+" "+r.Unit+". "+s.Source.Citation()+" ("+s.Source.Mark.String()+")")
	}
	if v.Note != "" {
		_ = report.Wrapped(w, "    ", "Note: "+v.Note)
	}
}

func cite(v *rules.Value) string { return v.Source.Citation() + " (" + v.Source.Mark.String() + ")" }

func showInForce(cmd *cobra.Command, all *rules.Rules, on, program string, args []string) error {
	if len(args) == 1 {
		if _, ok := all.Rule(args[0]); !ok {
			return unknownRule(args[0])
		}
	}
	var faults fault.List
	d, err := rules.ParseDate(on)
	var rs *rules.RuleSet
	if err == nil {
		rs, err = all.Resolve(d, program, nil)
	}
	if err == nil && len(args) == 1 {
		_, err = rs.Get(args[0])
	}
	var f fault.Fault
	switch {
	case errors.As(err, &f):
		faults.Add(f)
	case err != nil && !faults.Append(err):
		return err
	}
	if len(faults.Faults) > 0 {
		for _, f := range faults.Faults {
			if f.Path != "program" {
				f.Path = "on"
			}
			f.Path = "--" + f.Path
			_ = report.Wrapped(cmd.ErrOrStderr(), "", f.Error())
		}
		return exit(exitBadInput)
	}
	w := cmd.OutOrStdout()
	fmt.Fprintf(w, "In force on %s for %s\nRules %s\n", d, rs.Program.Name, rs.ID())
	for _, r := range all.All() {
		if len(args) == 1 && r.ID != args[0] {
			continue
		}
		if v, err := rs.Get(r.ID); err == nil {
			_ = report.Wrapped(w, "", r.ID+": "+r.Title)
			showValue(w, r, v)
		}
	}
	return nil
}

func unknownRule(id string) error {
	return fmt.Errorf("no rule has the id %q; `ozeq rules` lists them", id)
}
