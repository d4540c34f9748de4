package main

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/wire"
)

// question is a command that answers files one by one; one with something to mend
// does not stop the others.
type question[T any] struct {
	use, short, long, example string
	formats                   []string // beside text and json
	most                      int64    // bytes of a file
	load                      func(cmd *cobra.Command, catalog string) (T, error)
	// answer reads a file and writes its answer. The first result is false when
	// what was asked for cannot be had: then the exit code is 3.
	answer func(cmd *cobra.Command, with T, data []byte, format string) (bool, error)
	// together answers all files as one, when none has anything to mend; nil where
	// nothing is asked of them together.
	together func(cmd *cobra.Command, with T, format string) (bool, error)
}

func (q question[T]) command() *cobra.Command {
	format, dir := "text", ""
	if q.most == 0 {
		q.most = wire.MaxRequest
	}
	formats := append([]string{"text", "json"}, q.formats...)
	list := strings.Join(formats[:len(formats)-1], ", ") + " or " + formats[len(formats)-1]
	cmd := &cobra.Command{Use: q.use, Short: q.short, Long: paragraphs(q.long), Example: q.example,
		Args: someFile,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(formats, format) {
				return fmt.Errorf("--format is %q: want %s", format, list)
			}
			with, err := q.load(cmd, dir)
			if err != nil {
				return err
			}
			code := exitOK
			settle := func(name string, had bool, err error) error {
				var faults *fault.List
				switch {
				case errors.As(err, &faults):
					code = exitBadInput
					err = writeFaults(cmd, name, faults, format)
				case err == nil && !had && code == exitOK:
					code = exitStrict
				}
				if err != nil {
					return fmt.Errorf("%w: %w", errInternal, err)
				}
				return nil
			}
			for i, name := range args {
				data, err := readUpTo(cmd.InOrStdin(), name, q.most)
				if err != nil {
					fmt.Fprintln(cmd.ErrOrStderr(), "ozeq:", err)
					code = exitBadInput
					continue
				}
				if i > 0 && format == "text" {
					fmt.Fprintln(cmd.OutOrStdout())
				}
				had, err := headed(cmd, name, len(args) > 1 && format == "text", func() (bool, error) { return q.answer(cmd, with, data, format) })
				if err := settle(name, had, err); err != nil {
					return err
				}
			}
			if q.together != nil && code != exitBadInput {
				had, err := q.together(cmd, with, format)
				if err := settle("the whole day", had, err); err != nil {
					return err
				}
			}
			if code != exitOK {
				return exit(code)
			}
			return nil
		}}
	cmd.Flags().StringVar(&format, "format", format, list)
	catalogFlag(cmd, &dir)
	return cmd
}

// some refuses a command without arguments, and says what to name.
func some(want string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) == 0 {
			return errors.New(want)
		}
		return nil
	}
}

var someFile = some("name at least one file, or - for standard input")

// headed writes an answer below the name of its file, where there are several.
func headed(cmd *cobra.Command, name string, several bool, answer func() (bool, error)) (bool, error) {
	if !several {
		return answer()
	}
	var b bytes.Buffer
	out := cmd.OutOrStdout()
	cmd.SetOut(&b)
	had, err := answer()
	cmd.SetOut(out)
	if err == nil {
		_ = report.Wrapped(out, "FILE ", name)
		_, err = b.WriteTo(out)
	}
	return had, err
}

// paragraphs sets text in 80 columns, an empty line between its paragraphs.
func paragraphs(s string) string {
	var b strings.Builder
	for i, p := range strings.Split(s, "\n\n") {
		if i > 0 {
			b.WriteByte('\n')
		}
		_ = report.Wrapped(&b, "", p) // a builder takes everything
	}
	return strings.TrimSuffix(b.String(), "\n")
}
