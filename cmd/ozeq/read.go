package main

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen/reading"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// recipeReader reads recipes with the catalog it names foods from, and credits them.
type recipeReader struct {
	*reading.Reader
	catalog *food.Catalog
	engine  *credit.Engine
}

func newReader(cmd *cobra.Command, dir string) (recipeReader, error) {
	e, err := engine(cmd, dir)
	if err != nil {
		return recipeReader{}, err
	}
	return recipeReader{reading.New(e.Catalog()), e.Catalog(), e}, nil
}

// readFlags are the flags of `ozeq read`.
type readFlags struct {
	servings        int32
	right, leaveOut []int
	own             []string
	on, program     string
	answers         []*pb.LineAnswer // what the flags say of lines
}

func readCommand() *cobra.Command {
	var f readFlags
	q := question[recipeReader]{
		use: "read FILE...", short: "Read a recipe from pasted text or from a schema.org Recipe",
		long: "Read a recipe from text as people write it, an ingredient a line, or from a\n" +
			"schema.org Recipe as JSON-LD, and say of each line how sure it is; - reads standard\n" +
			"input. With --format recipe the answer is a recipe file for `ozeq credit`, with what\n" +
			"is not certain held out of every credit and marked with what is to be confirmed; with\n" +
			"--format record it is credited so, which --on and --program belong to.\n\n" +
			"Exit code 3 while a line or the servings are to be confirmed.",
		example: "  ozeq read card.txt\n  ozeq read --servings 50 --right 2,5 --own '4=brown-rice-long: 3 lb' card.txt\n  ozeq read --format recipe card.txt > recipe.yaml",
		formats: []string{"recipe", "record"}, load: newReader,
		answer: func(cmd *cobra.Command, r recipeReader, data []byte, format string) (bool, error) {
			m := f.request(data)
			if format == "json" {
				out, err := wire.ReadRecipe(r.Reader, r.catalog, m, nil)
				if err != nil {
					return false, err
				}
				return out.GetComplete(), writeJSON(cmd.OutOrStdout(), out)
			}
			read, draft, err := wire.ReadDraft(r.Reader, m, nil)
			if err != nil {
				return false, err
			}
			whole := len(draft.Open) == 0 && draft.ServingsDoubt == ""
			if format == "record" {
				rec, err := wire.CreditDraft(r.engine, draft, f.on, f.program)
				if err != nil {
					return false, err
				}
				return whole, report.Drafted(cmd.OutOrStdout(), rec, read, draft)
			}
			if format == "recipe" {
				text, err := wire.AppendReadingFile(nil, read, draft, f.on, f.program)
				if err == nil {
					_, err = cmd.OutOrStdout().Write(text)
				}
				return whole, err
			}
			return whole, report.Reading(cmd.OutOrStdout(), read, draft, r.catalog)
		},
	}
	cmd := q.command()
	cmd.PreRunE = func(*cobra.Command, []string) error { return f.read() }
	cmd.Flags().Int32Var(&f.servings, "servings", 0, "`number` of servings the batch makes")
	cmd.Flags().IntSliceVar(&f.right, "right", nil, "`numbers` of lines that are right as read, such as 2,5")
	cmd.Flags().IntSliceVar(&f.leaveOut, "leave-out", nil, "`numbers` of lines to leave out")
	cmd.Flags().StringArrayVar(&f.own, "own", nil, "what a line is, as `LINE=FOOD:AMOUNT`, such as '4=brown-rice-long: 3 lb', or one of its readings, '4=1'; may be given again")
	cmd.Flags().StringVar(&f.on, "on", "", "date of service for --format recipe and record, YYYY-MM-DD")
	cmd.Flags().StringVar(&f.program, "program", "", "program id for --format recipe and record")
	return cmd
}

// read reads what the flags say of lines.
func (f *readFlags) read() error {
	for _, n := range f.right {
		f.answers = append(f.answers, &pb.LineAnswer{Line: int32(n), AsRead: true})
	}
	for _, n := range f.leaveOut {
		f.answers = append(f.answers, &pb.LineAnswer{Line: int32(n), LeaveOut: true})
	}
	for _, s := range f.own {
		number, what, ok := strings.Cut(s, "=")
		n, err := strconv.ParseInt(strings.TrimSpace(number), 10, 32)
		if !ok || err != nil {
			return fmt.Errorf("--own is %q: want a line's number, = and a food with its amount, such as '4=brown-rice-long: 3 lb'", s)
		}
		a := &pb.LineAnswer{Line: int32(n)}
		if k, err := strconv.ParseInt(strings.TrimSpace(what), 10, 32); err == nil {
			a.Alternative = int32(k)
		} else {
			id, amount, _ := strings.Cut(what, ":")
			a.Own = &pb.LineChoice{Food: strings.TrimSpace(id), Quantity: strings.TrimSpace(amount)}
		}
		f.answers = append(f.answers, a)
	}
	slices.SortStableFunc(f.answers, func(a, b *pb.LineAnswer) int { return int(a.GetLine()) - int(b.GetLine()) })
	return nil
}

// request puts a file and the flags into the request the service takes.
func (f *readFlags) request(data []byte) *pb.ReadRecipeRequest {
	m := &pb.ReadRecipeRequest{Servings: f.servings, Answers: f.answers}
	if at := bytes.TrimLeft(data, "\ufeff \t\r\n"); len(at) > 0 && (at[0] == '{' || at[0] == '[') {
		m.JsonLd = string(at)
	} else {
		m.Text = string(data)
	}
	return m
}
