package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/wire"
)

// creditFlags are the flags of `ozeq credit`.
type creditFlags struct {
	on      string
	program string
	format  string
	explain bool
	strict  bool
	catalog string
}

func creditCommand() *cobra.Command {
	var f creditFlags
	cmd := &cobra.Command{
		Use:   "credit FILE...",
		Short: "Credit recipes or products and print the crediting record",
		Long: "Credit recipes or products and print the crediting record of each. A file holds\n" +
			"one request, as YAML or JSON; - reads standard input. Files are answered in the\n" +
			"order given; one with something to mend does not stop the others.",
		Example: "  ozeq credit recipe.yaml\n  ozeq credit --on 2026-10-05 --format json recipe.yaml\n  ozeq credit --strict *.yaml",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("name at least one file to credit, or - for standard input")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return runCredit(cmd, args, f) },
	}
	cmd.Flags().StringVar(&f.on, "on", "", "date of service, YYYY-MM-DD, in place of the file's")
	cmd.Flags().StringVar(&f.program, "program", "", "program id, in place of the file's")
	cmd.Flags().StringVar(&f.format, "format", "text", "text or json")
	cmd.Flags().BoolVar(&f.explain, "explain", false, "write every step out in words")
	cmd.Flags().BoolVar(&f.strict, "strict", false, "exit with 3 when a credit is not documented")
	catalogFlag(cmd, &f.catalog)
	return cmd
}

func engine(cmd *cobra.Command, dir string) (*credit.Engine, error) {
	rs, err := rules.Default()
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errInternal, err)
	}
	cat, err := catalog(cmd, dir)
	if err != nil {
		return nil, err
	}
	return credit.New(rs, cat), nil
}

func runCredit(cmd *cobra.Command, args []string, f creditFlags) error {
	if f.format != "text" && f.format != "json" {
		return fmt.Errorf("--format is %q: want text or json", f.format)
	}
	eng, err := engine(cmd, f.catalog)
	if err != nil {
		return err
	}
	code, written := exitOK, false
	for _, name := range args {
		data, err := readInput(cmd.InOrStdin(), name)
		if err != nil {
			fmt.Fprintln(cmd.ErrOrStderr(), "ozeq:", err)
			code = exitBadInput
			continue
		}
		rec, explain, err := creditOne(eng, data, f)
		var faults *fault.List
		switch {
		case errors.As(err, &faults):
			code = exitBadInput
			err = writeFaults(cmd, name, faults, f.format)
		case err == nil:
			if written && f.format == "text" {
				fmt.Fprint(cmd.OutOrStdout(), "\n", strings.Repeat("=", report.Width), "\n\n")
			}
			written = true
			if len(args) > 1 && f.format == "text" {
				_ = report.Wrapped(cmd.OutOrStdout(), "FILE ", name)
			}
			err = writeRecord(cmd.OutOrStdout(), rec, f.format, explain)
			if f.strict && !rec.AllDocumented() {
				fmt.Fprintf(cmd.ErrOrStderr(), "ozeq: %s: a credit is not documented, or an ingredient waits for its paper\n", name)
				if code == exitOK {
					code = exitStrict
				}
			}
		}
		if err != nil {
			return fmt.Errorf("%w: %w", errInternal, err)
		}
	}
	if code != exitOK {
		return exit(code)
	}
	return nil
}

// readInput reads a file, or standard input for -, up to what a request may
// take.
func readInput(in io.Reader, name string) ([]byte, error) {
	return readUpTo(in, name, wire.MaxRequest)
}

// readUpTo is readInput for requests that may be larger, such as a week of menus.
func readUpTo(in io.Reader, name string, most int64) ([]byte, error) {
	if name != "-" {
		file, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		defer file.Close()
		in = file
	}
	return io.ReadAll(io.LimitReader(in, most+1))
}

// creditOne credits one request. The second result is true when the request or
// the command asks for the steps in words.
func creditOne(eng *credit.Engine, data []byte, f creditFlags) (*credit.Record, bool, error) {
	m, shape := wire.ReadRequest(data, wire.FormatOf(data))
	if m == nil {
		return nil, false, shape.Err()
	}
	if f.on != "" {
		m.ServiceDate = f.on
	}
	if f.program != "" {
		m.Program = f.program
	}
	rec, err := wire.Credit(eng, m, shape)
	return rec, f.explain || m.GetExplain(), err
}

func writeFaults(cmd *cobra.Command, name string, l *fault.List, format string) error {
	if format == "json" {
		return writeJSON(cmd.OutOrStdout(), wire.Faults(l))
	}
	if err := report.Faults(cmd.ErrOrStderr(), name, l); err != nil {
		return err
	}
	for _, f := range l.Faults {
		if of := filesOf[f.Path]; f.Reason == fault.UnknownField && of != "" {
			return report.Wrapped(cmd.ErrOrStderr(), "", "A file with "+f.Path+" is for "+of+".")
		}
	}
	return nil
}

// filesOf says which command takes a file with a field that another refuses.
var filesOf = map[string]string{
	"recipe":     "`ozeq credit` and the commands about recipes",
	"menu":       "`ozeq review`, `ozeq ahead` or `ozeq cautions`",
	"tray":       "`ozeq tray`",
	"production": "`ozeq production`",
	"swaps":      "`ozeq compare`",
	"target":     "`ozeq scale`",
	"aims":       "`ozeq target`",
	"recipes":    "`ozeq buy`",
}

func writeRecord(w io.Writer, rec *credit.Record, format string, explain bool) error {
	if format == "json" {
		return writeJSON(w, wire.Record(rec, explain))
	}
	if err := report.Text(w, rec); err != nil || !explain {
		return err
	}
	return report.Steps(w, rec)
}

func writeJSON(w io.Writer, m proto.Message) error {
	text, err := wire.MarshalJSON(m)
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}
