package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

func patternCommand() *cobra.Command {
	format := "text"
	m := &pb.ListPatternsRequest{PageSize: wire.MaxPatternPage}
	cmd := &cobra.Command{
		Use:   "pattern",
		Short: "Show meal patterns, their age/grade groups and State options",
		Long: "Show the meal patterns there are: programs, meals, age/grade groups, and the\n" +
			"points the rules leave open. With --on, what the patterns ask for on that day,\n" +
			"every value with its source; --program, --meal and --group say of which.",
		Example: "  ozeq pattern\n  ozeq pattern --on 2026-09-14 --program school-lunch --group k-5\n" +
			"  ozeq pattern --on 2026-09-14 --option vegetables-for-grains=islands",
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			ps, err := patterns.Default()
			if err != nil {
				return fmt.Errorf("%w: %w", errInternal, err)
			}
			switch {
			case format != "text" && format != "json":
				return fmt.Errorf("--format is %q: want text or json", format)
			case m.ServiceDate != "":
				return showPatterns(cmd, ps, m, format)
			case format == "json" || m.Program+m.Meal+m.AgeGroup != "" || len(m.Options) > 0:
				return errors.New("patterns are of a day: say which with --on YYYY-MM-DD")
			}
			listPatterns(cmd.OutOrStdout(), ps)
			return nil
		},
	}
	f := cmd.Flags()
	f.StringVar(&m.ServiceDate, "on", "", "date of service, YYYY-MM-DD")
	f.StringVar(&m.Program, "program", "", "program id; all when left out")
	f.StringVar(&m.Meal, "meal", "", "meal; all when left out")
	f.StringVar(&m.AgeGroup, "group", "", "age/grade group; all when left out")
	f.StringToStringVar(&m.Options, "option", nil, "choice of a point left open, `ID=CHOICE`; may be given again")
	f.Lookup("option").DefValue = ""
	f.StringVar(&format, "format", format, "text or json")
	return cmd
}

func listPatterns(w io.Writer, ps *patterns.Patterns) {
	fmt.Fprintln(w, "MEAL PATTERNS")
	for _, id := range ps.Programs() {
		_ = report.Wrapped(w, "  ", id+": "+strings.Join(ps.Meals(id), ", "))
		for _, g := range ps.Groups(id) {
			text := g.ID + ": " + g.Title
			if g.Ages != "" {
				text += ", ages " + g.Ages
			}
			if g.Note != "" {
				text += " (" + g.Note + ")"
			}
			_ = report.Wrapped(w, "    ", text)
		}
	}
	fmt.Fprintln(w, "\nSTATE OPTIONS")
	for _, o := range ps.Options() {
		showOption(w, o)
	}
}

func showOption(w io.Writer, o *rules.Option) {
	_ = report.Wrapped(w, "  ", o.ID+": "+o.Title)
	for _, c := range o.Choices {
		mark := "  "
		if c.ID == o.Default {
			mark = "* "
		}
		_ = report.Wrapped(w, "    "+mark, c.ID+": "+c.Title)
	}
	_ = report.Wrapped(w, "      ", "Default because: "+o.Reason+" ("+o.Source.Citation()+", "+o.Source.Mark.String()+")")
}

// showPatterns shows every pattern that matches.
func showPatterns(cmd *cobra.Command, ps *patterns.Patterns, m *pb.ListPatternsRequest, format string) error {
	out, err := wire.ListPatterns(ps, m, nil)
	var faults fault.List
	if err != nil && !faults.Append(err) {
		return fmt.Errorf("%w: %w", errInternal, err)
	}
	if len(faults.Faults) > 0 {
		flags := map[string]string{"serviceDate": "on", "ageGroup": "group"}
		for _, f := range faults.Faults {
			if flag, ok := flags[f.Path]; ok {
				f.Path = flag
			}
			f.Path = "--" + strings.Replace(f.Path, "options.", "option ", 1)
			_ = report.Wrapped(cmd.ErrOrStderr(), "", f.Error())
		}
		return exit(exitBadInput)
	}
	w := cmd.OutOrStdout()
	if format == "json" {
		return writeJSON(w, out)
	}
	for i, p := range out.GetPatterns() {
		if i > 0 {
			fmt.Fprintln(w)
		}
		showPattern(w, m.GetServiceDate(), p)
	}
	for _, l := range out.GetLater() {
		_ = report.Wrapped(w, "", "Of "+strings.Join([]string{l.GetProgram(), l.GetMeal(), l.GetAgeGroup()}, ", ")+" nothing is known here before "+l.GetFrom()+".")
	}
	if len(out.GetOptions()) > 0 {
		fmt.Fprintln(w, "\nOPTIONS IN FORCE")
	}
	for _, o := range out.GetOptions() {
		_ = report.Wrapped(w, "  ", o.GetId()+"="+o.GetChosen()+": "+o.GetTitle())
		for _, c := range o.GetChoices() {
			if c.GetId() != o.GetChosen() {
				_ = report.Wrapped(w, "      ", "or "+c.GetId()+": "+c.GetTitle())
			}
		}
		_ = report.Wrapped(w, "      ", "Default "+o.GetDefault()+" because: "+o.GetReason()+" ("+o.GetCitation()+", "+o.GetMark()+")")
	}
	return nil
}

// spans are the headings of amounts, in the order a planner asks for them.
var spans = []struct{ id, head string }{
	{"meal", "A MEAL"}, {"day", "A DAY"}, {"week-5", "A WEEK OF 5 DAYS"}, {"week-3", "A WEEK OF 3 DAYS"}, {"week-4", "A WEEK OF 4 DAYS"},
	{"week-6", "A WEEK OF 6 DAYS"}, {"week-7", "A WEEK OF 7 DAYS"}, {"age-1", "AT AGE 1"}, {"age-2", "AT AGE 2"}, {"", "LIMITS AND CONDITIONS"},
}

func showPattern(w io.Writer, on string, p *pb.Pattern) {
	head := strings.Join([]string{p.GetProgram(), p.GetMeal(), p.GetAgeGroup()}, ", ") + " on " + on + ": " + p.GetTitle()
	if p.GetAges() != "" {
		head += ", ages " + p.GetAges()
	}
	_ = report.Wrapped(w, "", head)
	life := "Nothing in it changes from " + p.GetFrom()
	if p.GetTo() != "" {
		life += " to " + p.GetTo()
	}
	_ = report.Wrapped(w, "", life+" ("+p.GetId()+").")
	if p.GetNote() != "" {
		_ = report.Wrapped(w, "", "Note: "+p.GetNote())
	}
	for _, s := range spans {
		first := true
		for _, v := range p.GetValues() {
			if v.GetSpan() != s.id {
				continue
			}
			if first {
				fmt.Fprintln(w, "\n"+s.head)
				first = false
			}
			showPatternValue(w, v)
		}
	}
	if len(p.GetGaps()) > 0 {
		fmt.Fprintln(w, "\nNOT KNOWN ON THIS DAY")
	}
	for _, g := range p.GetGaps() {
		text := g.GetRule() + ": " + g.GetTitle()
		if g.GetKnownFrom() != "" {
			text += ", known from " + g.GetKnownFrom()
		}
		if g.GetNote() != "" {
			text += " (" + g.GetNote() + ")"
		}
		_ = report.Wrapped(w, "  ", text)
	}
}

// binds is how a value of each kind is read.
var binds = map[string]string{"least": "at least ", "most": "at most ", "below": "less than ", "upper": "up to, as printed and no limit, ", "advice": "advised: at most "}

func showPatternValue(w io.Writer, v *pb.PatternValue) {
	_ = report.Wrapped(w, "  ", v.GetRule()+": "+v.GetTitle())
	text := v.GetValue()
	switch {
	case text == patterns.None:
		text = "asks for nothing"
	case !slices.Contains([]string{"word", "set"}, v.GetKind()):
		text = binds[v.GetKind()] + text
		if u := v.GetUnit(); u != "" && u != "none" {
			text += " " + u
		}
	}
	text += ". " + v.GetCitation() + " (" + v.GetMark() + "), from " + v.GetFrom()
	if v.GetEarlierUnknown() {
		text += " (in force before; first day not known)"
	}
	if v.GetTo() != "" {
		text += " to " + v.GetTo()
	}
	if v.GetFromMark() != "" {
		text += ", that day by " + v.GetFromMark()
	}
	if v.GetOption() != "" {
		text += ", option " + v.GetOption() + "=" + v.GetChoice()
	}
	_ = report.Wrapped(w, "    ", text)
	if v.GetNote() != "" {
		_ = report.Wrapped(w, "    ", "Note: "+v.GetNote())
	}
}
