package server

import (
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"
	"runtime"
	"strings"
	"time"
)

// Config is what a server can be told. The zero value of a field takes its
// default, see [Default].
type Config struct {
	GRPCAddress    string // host:port of the gRPC door; "off" for none
	HTTPAddress    string // host:port of the HTTP door; "off" for none
	MetricsAddress string // host:port of /metrics; "off" for none

	TLSCert string // PEM file; with TLSKey, both doors speak TLS
	TLSKey  string

	TokenFile string // SHA-256 of the bearer tokens allowed in, a line each; empty asks for none

	CORSOrigins []string // origins that pages may call from; empty allows none

	MaxConcurrent  int           // requests worked on at once; a sixteenth of them may be batches, verifications or reviews of menus
	MaxConnections int           // open connections of each door
	MaxBodyMemory  int64         // bytes of all request bodies held at once
	RequestTimeout time.Duration // of one request
	BodyTimeout    time.Duration // of reading one request
	IdleTimeout    time.Duration // of a connection nobody uses

	DrainDelay      time.Duration // between readiness off and closing the doors
	ShutdownTimeout time.Duration // for what was accepted, before it is cut off

	LogRequests bool // log every request, not only those that fail

	Logger *slog.Logger // nil logs nothing
}

// Off as an address opens no door there.
const Off = "off"

// Default returns the defaults.
func Default() Config {
	return Config{
		GRPCAddress: "127.0.0.1:9091", HTTPAddress: "127.0.0.1:8080", MetricsAddress: "127.0.0.1:9464",
		MaxConcurrent: 128 * runtime.GOMAXPROCS(0), MaxConnections: 8192, MaxBodyMemory: 256 << 20,
		RequestTimeout: 10 * time.Second, BodyTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute,
		DrainDelay: 0, ShutdownTimeout: 20 * time.Second,
	}
}

// withDefaults fills in what was left out.
func (c Config) withDefaults() Config {
	d := Default()
	text := func(v *string, def string) {
		if *v == "" {
			*v = def
		}
	}
	text(&c.GRPCAddress, d.GRPCAddress)
	text(&c.HTTPAddress, d.HTTPAddress)
	text(&c.MetricsAddress, d.MetricsAddress)
	for _, p := range []struct{ v, def *int }{{&c.MaxConcurrent, &d.MaxConcurrent}, {&c.MaxConnections, &d.MaxConnections}} {
		if *p.v == 0 {
			*p.v = *p.def
		}
	}
	if c.MaxBodyMemory == 0 {
		c.MaxBodyMemory = d.MaxBodyMemory
	}
	for _, p := range []struct{ v, def *time.Duration }{{&c.RequestTimeout, &d.RequestTimeout}, {&c.BodyTimeout, &d.BodyTimeout},
		{&c.IdleTimeout, &d.IdleTimeout}, {&c.ShutdownTimeout, &d.ShutdownTimeout}} {
		if *p.v == 0 {
			*p.v = *p.def
		}
	}
	if c.Logger == nil {
		c.Logger = slog.New(slog.DiscardHandler)
	}
	return c
}

// Check returns every mistake in the settings at once, joined, each naming its
// setting as the configuration reference does.
func (c Config) Check() error {
	c = c.withDefaults()
	var errs []error
	bad := func(setting, format string, args ...any) {
		errs = append(errs, fmt.Errorf("%s: "+format, append([]any{setting}, args...)...))
	}
	open := 0
	for _, a := range []struct{ setting, value string }{{"grpc-address", c.GRPCAddress}, {"http-address", c.HTTPAddress}, {"metrics-address", c.MetricsAddress}} {
		if a.value == Off {
			continue
		}
		if a.setting != "metrics-address" {
			open++
		}
		if _, port, err := net.SplitHostPort(a.value); err != nil || port == "" {
			bad(a.setting, "%q is no address; write host:port, such as 127.0.0.1:8080, or %s", a.value, Off)
		}
	}
	if open == 0 {
		bad("grpc-address", "it and http-address are both %s, so nobody could call", Off)
	}
	if (c.TLSCert == "") != (c.TLSKey == "") {
		bad("tls-cert", "a certificate and its key go together; give tls-cert and tls-key")
	}
	for _, f := range []struct{ setting, value string }{{"tls-cert", c.TLSCert}, {"tls-key", c.TLSKey}, {"token-file", c.TokenFile}} {
		if f.value == "" {
			continue
		}
		if _, err := os.Stat(f.value); err != nil {
			bad(f.setting, "%v", err)
		}
	}
	for _, o := range c.CORSOrigins {
		if o == "*" {
			bad("cors-origins", "* would let any page call; name the origins, such as https://menus.example.org")
		} else if !strings.HasPrefix(o, "https://") && !strings.HasPrefix(o, "http://") || strings.Count(o, "/") != 2 {
			bad("cors-origins", "%q is no origin; write scheme and host alone, such as https://menus.example.org", o)
		}
	}
	for _, n := range []struct {
		setting string
		value   int64
	}{{"max-concurrent", int64(c.MaxConcurrent)}, {"max-connections", int64(c.MaxConnections)}, {"max-body-memory", c.MaxBodyMemory}} {
		if n.value < 1 {
			bad(n.setting, "%d: write a number above 0", n.value)
		}
	}
	for _, d := range []struct {
		setting string
		value   time.Duration
	}{{"request-timeout", c.RequestTimeout}, {"body-timeout", c.BodyTimeout}, {"idle-timeout", c.IdleTimeout},
		{"drain-delay", c.DrainDelay}, {"shutdown-timeout", c.ShutdownTimeout}} {
		if d.value < 0 || d.value > time.Hour {
			bad(d.setting, "%v: write a time from 0s to 1h, such as 10s", d.value)
		}
	}
	return errors.Join(errs...)
}
