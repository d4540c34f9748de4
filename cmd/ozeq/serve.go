package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"os"
	"os/signal"
	"runtime/debug"
	"slices"
	"strings"
	"syscall"

	"github.com/goccy/go-yaml"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/server"
)

// envPrefix begins every environment variable of the service.
const envPrefix = "OZEQ_"

// gcPercent is how far the heap of the service may grow between collections.
// Live data is some 4 MB and requests are short: collections find little, and at
// 100 they would cost a third more (docs/operations.md has the figures).
// GOGC and GOMEMLIMIT in the environment go before it.
const gcPercent = 400

// softMemory is where the collector begins to work harder than gcPercent says:
// under a load of long batches the heap would else grow to five times what
// lives.
const softMemory = 512 << 20

// settings are the flags of serve that are not the server's own.
type settings struct {
	catalog  string
	logLevel string
	logText  bool
	config   string
}

func serveCommand() *cobra.Command {
	var o settings
	var c server.Config
	cmd := &cobra.Command{
		Use:     "serve",
		Short:   "Answer over gRPC and HTTP",
		Long:    paragraphs("Answer over gRPC and HTTP until stopped. Every flag can also stand in a YAML file (--config) under its own name, and in the environment as " + envPrefix + " and its name in capitals with _ for -. A flag goes before the environment, which goes before the file."),
		Example: "  ozeq serve\n  ozeq serve --http-address 0.0.0.0:8080 --token-file tokens.txt\n  " + envPrefix + "DRAIN_DELAY=5s ozeq serve --config ozeq.yaml",
		Args:    cobra.NoArgs,
		RunE:    func(cmd *cobra.Command, _ []string) error { return serve(cmd, &c, &o) },
	}
	serveFlags(cmd.Flags(), &c, &o)
	return cmd
}

// serveFlags are the settings of the service; docs/configuration.md is made of
// them.
func serveFlags(f *pflag.FlagSet, c *server.Config, o *settings) {
	d := server.Default()
	f.StringVar(&c.GRPCAddress, "grpc-address", d.GRPCAddress, "host:port of the gRPC door, or off")
	f.StringVar(&c.HTTPAddress, "http-address", d.HTTPAddress, "host:port of the HTTP door, or off")
	f.StringVar(&c.MetricsAddress, "metrics-address", d.MetricsAddress, "host:port of /metrics, or off")
	f.StringVar(&c.TLSCert, "tls-cert", "", "PEM file of the certificate; both doors then speak TLS")
	f.StringVar(&c.TLSKey, "tls-key", "", "PEM file of its key")
	f.StringVar(&c.TokenFile, "token-file", "", "file of hashes of the bearer tokens allowed in")
	f.StringSliceVar(&c.CORSOrigins, "cors-origins", nil, "origins whose pages may call, with commas")
	f.IntVar(&c.MaxConcurrent, "max-concurrent", d.MaxConcurrent, "requests worked on at once; one in 16 of them may be a batch, a verification or a review of menus")
	f.IntVar(&c.MaxConnections, "max-connections", d.MaxConnections, "open connections of each door")
	f.Int64Var(&c.MaxBodyMemory, "max-body-memory", d.MaxBodyMemory, "bytes of all bodies of HTTP requests held at once")
	f.DurationVar(&c.RequestTimeout, "request-timeout", d.RequestTimeout, "time one request may take")
	f.DurationVar(&c.BodyTimeout, "body-timeout", d.BodyTimeout, "time the body of a request may take to arrive")
	f.DurationVar(&c.IdleTimeout, "idle-timeout", d.IdleTimeout, "time a connection may stay unused")
	f.DurationVar(&c.DrainDelay, "drain-delay", d.DrainDelay, "time between not ready and closing the doors")
	f.DurationVar(&c.ShutdownTimeout, "shutdown-timeout", d.ShutdownTimeout, "time that requests get to finish")
	f.BoolVar(&c.LogRequests, "log-requests", false, "log every request, not only failures")
	f.StringVar(&o.logLevel, "log-level", "info", "debug, info, warn or error")
	f.BoolVar(&o.logText, "log-text", false, "log as text and not as JSON")
	f.StringVar(&o.catalog, "catalog", "", "folder of own foods and figures over the catalog")
	f.StringVar(&o.config, "config", "", "YAML file of these settings")
}

// settle brings flags, environment and file together, in that order of
// precedence, and returns every mistake in them at once.
func settle(f *pflag.FlagSet, environ []string) error {
	var errs []error
	fromEnv := make(map[string]string)
	for _, e := range environ {
		name, value, _ := strings.Cut(e, "=")
		setting, ours := strings.CutPrefix(name, envPrefix)
		setting = strings.ReplaceAll(strings.ToLower(setting), "_", "-")
		switch {
		case !ours:
		case f.Lookup(setting) == nil:
			errs = append(errs, fmt.Errorf("environment: %s is no setting; `ozeq serve --help` lists them", name))
		default:
			fromEnv[setting] = value
		}
	}
	path := fromEnv["config"]
	if f.Changed("config") {
		path, _ = f.GetString("config")
	}
	given, err := readSettings(path)
	if err != nil {
		errs = append(errs, fmt.Errorf("config: %s: %w", path, err))
	}
	for _, name := range slices.Sorted(maps.Keys(given)) {
		if f.Lookup(name) == nil || name == "config" {
			errs = append(errs, fmt.Errorf("config: %s: %q is no setting; `ozeq serve --help` lists them", path, name))
		}
	}
	maps.Copy(given, fromEnv)
	f.VisitAll(func(flag *pflag.Flag) {
		text, ok := given[flag.Name]
		switch {
		case flag.Changed:
			text = flag.Value.String()
		case !ok:
			return
		case text != "":
			if flag.Value.Set(text) != nil {
				errs = append(errs, fmt.Errorf("%s: %q: write %s", flag.Name, text, wanted[flag.Value.Type()]))
			}
		}
		// The token file of a variable that nobody has set must not become a
		// service without tokens.
		if text == "" {
			errs = append(errs, fmt.Errorf("%s: is empty; give it a value or take it out", flag.Name))
		}
	})
	return errors.Join(errs...)
}

// wanted is what a setting of a type wants; a text takes anything.
var wanted = map[string]string{"int": "a whole number", "int64": "a whole number", "duration": "a time with its unit, such as 5s", "bool": "true or false"}

// readSettings reads a settings file into texts, a list with commas. No path is
// no file.
func readSettings(path string) (map[string]string, error) {
	out := make(map[string]string)
	if path == "" {
		return out, nil
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return out, err
	}
	var doc map[string]any
	if err := yaml.Unmarshal(data, &doc); err != nil {
		return out, err
	}
	for name, value := range doc {
		list, ok := value.([]any)
		if !ok && value != nil {
			list = []any{value}
		}
		words := make([]string, len(list))
		for i, x := range list {
			words[i] = fmt.Sprint(x)
		}
		out[name] = strings.Join(words, ",")
	}
	return out, nil
}

func serve(cmd *cobra.Command, c *server.Config, o *settings) error {
	err := settle(cmd.Flags(), os.Environ())
	var level slog.Level
	if e := level.UnmarshalText([]byte(o.logLevel)); e != nil {
		err = errors.Join(err, fmt.Errorf("log-level: %q: write debug, info, warn or error", o.logLevel))
	}
	if err = errors.Join(err, c.Check()); err != nil {
		return err
	}
	opts := &slog.HandlerOptions{Level: level}
	c.Logger = slog.New(slog.NewJSONHandler(cmd.ErrOrStderr(), opts))
	if o.logText {
		c.Logger = slog.New(slog.NewTextHandler(cmd.ErrOrStderr(), opts))
	}
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(gcPercent)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(softMemory)
	}
	rs, err := rules.Default()
	if err != nil {
		return fmt.Errorf("%w: %w", errInternal, err)
	}
	cat, err := catalog(cmd, o.catalog)
	if err != nil {
		return err
	}
	ps, err := patterns.Default()
	if err != nil {
		return fmt.Errorf("%w: %w", errInternal, err)
	}
	s, err := server.New(*c, server.Data{Rules: rs, Catalog: cat, Patterns: ps})
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(cmd.Context(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	// A second signal ends the process at once, as if nobody had listened.
	context.AfterFunc(ctx, stop)
	if err := s.Serve(ctx); errors.Is(err, context.DeadlineExceeded) {
		return fmt.Errorf("%w: %w", errInternal, err) // nothing in the settings to mend
	} else if err != nil {
		return err
	}
	return nil
}
