// Command ozeq computes what foods credit in US child nutrition programs, and
// shows the work.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// Exit codes.
const (
	exitOK       = 0 // answered, whatever the status of the credits
	exitInternal = 1 // ozeq itself failed
	exitBadInput = 2 // something to mend in the request or the command
	exitStrict   = 3 // --strict, and a credit is not documented; a question has the answer nobody hoped for
)

func main() { os.Exit(run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

// exit carries an exit code out of a command that has said what it had to say.
type exit int

func (e exit) Error() string { return fmt.Sprintf("exit code %d", int(e)) }

func run(ctx context.Context, args []string, in io.Reader, out, errs io.Writer) int {
	root := &cobra.Command{
		Use:   "ozeq",
		Short: "Food-component crediting for US child nutrition programs",
		Long: "Food-component crediting for US child nutrition programs: what a portion credits\n" +
			"under the rules in force on the day it is served, with the work line by line.\n\n" +
			"Exit codes: 0 answered; 2 something to mend in the request or the command;\n" +
			"3 with --strict when a credit is not documented; 1 ozeq itself failed.\n" +
			"Commands about menus and kitchens say when else they exit with 3.",
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	root.AddCommand(creditCommand(), foodCommand(), rulesCommand(), patternCommand(), reviewCommand(), aheadCommand(), productionCommand(), trayCommand(), serveCommand(), healthcheckCommand(), tokenCommand(), versionCommand())
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errs)
	root.SetUsageTemplate(strings.ReplaceAll(root.UsageTemplate(), ".FlagUsages ", ".FlagUsagesWrapped 80 "))
	root.AddCommand(compareCommand(), scaleCommand(), targetCommand(), readCommand(), buyCommand(), cautionsCommand())
	root.SetFlagErrorFunc(flagError)
	asked, err := root.ExecuteContextC(ctx)
	var code exit
	switch {
	case err == nil:
		return exitOK
	case errors.As(err, &code):
		return int(code)
	case errors.Is(err, errInternal):
		fmt.Fprintln(errs, "ozeq:", err)
		return exitInternal
	}
	fmt.Fprintln(errs, "ozeq:", err)
	if asked == root {
		fmt.Fprintln(errs, "Run `ozeq help` for the commands and their flags.")
	} else {
		fmt.Fprintf(errs, "Run `ozeq help %s` for its flags and examples.\n", strings.TrimPrefix(asked.CommandPath(), "ozeq "))
	}
	return exitBadInput
}

// flagError says in words what a flag that is a number was given instead.
func flagError(_ *cobra.Command, err error) error {
	var value *pflag.InvalidValueError
	var number *strconv.NumError
	if errors.As(err, &value) && errors.As(err, &number) {
		return fmt.Errorf("--%s is %q: want whole numbers", value.GetFlag().Name, value.GetValue())
	}
	return err
}

// errInternal marks what is ozeq's own fault.
var errInternal = errors.New("internal")
