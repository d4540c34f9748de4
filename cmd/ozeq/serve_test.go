package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/spf13/pflag"

	"example.com/ozeq/pkg/server"
)

// TestPrecedence holds that a flag goes before the environment, the environment
// before the file, and the file before the default.
func TestPrecedence(t *testing.T) {
	file := filepath.Join(t.TempDir(), "ozeq.yaml")
	if err := os.WriteFile(file, []byte("drain-delay: 1s\nshutdown-timeout: 1s\nmax-concurrent: 1\nlog-requests: true\ncors-origins: [https://a.example.org, https://b.example.org]\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	environ := []string{"HOME=/", "OZEQ_SHUTDOWN_TIMEOUT=2s", "OZEQ_MAX_CONCURRENT=2", "OZEQ_CONFIG=" + file}
	read := func(environ []string, args ...string) (c server.Config) {
		f := pflag.NewFlagSet("serve", pflag.ContinueOnError)
		serveFlags(f, &c, new(settings))
		if err := f.Parse(args); err != nil {
			t.Fatal(err)
		}
		if err := settle(f, environ); err != nil {
			t.Fatal(err)
		}
		return c
	}
	c := read(environ, "--max-concurrent=3")
	if c.DrainDelay != time.Second || !c.LogRequests || !slices.Equal(c.CORSOrigins, []string{"https://a.example.org", "https://b.example.org"}) {
		t.Errorf("the file is not heard: %+v", c)
	}
	if c.ShutdownTimeout != 2*time.Second {
		t.Errorf("the environment does not go before the file: %v", c.ShutdownTimeout)
	}
	if c.MaxConcurrent != 3 {
		t.Errorf("the flag does not go before both: %d", c.MaxConcurrent)
	}
	if c.IdleTimeout != server.Default().IdleTimeout {
		t.Errorf("what nobody set is not the default: %v", c.IdleTimeout)
	}
	// A flag that repeats the default goes before the environment as well.
	if c := read(environ, "--shutdown-timeout=20s"); c.ShutdownTimeout != 20*time.Second {
		t.Errorf("a flag with the default's value is overlooked: %v", c.ShutdownTimeout)
	}
	// The file that a flag names goes before the one that the environment names.
	if c := read(environ, "--config="+os.DevNull); c.DrainDelay != 0 || c.MaxConcurrent != 2 {
		t.Errorf("two files are read: %+v", c)
	}
	if c := read([]string{"OZEQ_CORS_ORIGINS=https://a.example.org,https://b.example.org"}); len(c.CORSOrigins) != 2 {
		t.Errorf("commas do not part values: %q", c.CORSOrigins)
	}
}

// Every setting can be given in the environment.
func TestEverySettingFromEnvironment(t *testing.T) {
	settingFlags().VisitAll(func(flag *pflag.Flag) {
		if flag.Name == "config" {
			return
		}
		value := map[string]string{"string": "x", "int": "7", "int64": "7", "duration": "7s", "bool": "true", "stringSlice": "x"}[flag.Value.Type()]
		f := settingFlags()
		if err := settle(f, []string{envName(flag.Name) + "=" + value}); err != nil {
			t.Errorf("%s: %v", flag.Name, err)
		}
		if got := strings.Trim(f.Lookup(flag.Name).Value.String(), "[]"); got != value {
			t.Errorf("%s is %q, want %q", flag.Name, got, value)
		}
	})
}

// lines gathers what a command logs.
type lines struct {
	mu sync.Mutex
	bytes.Buffer
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.Buffer.Write(p)
}

func (l *lines) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.Buffer.String()
}

// TestServeAndHealthcheck starts the service as the command does, asks it, and
// ends it.
func TestServeAndHealthcheck(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var log lines
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"serve", "--http-address", "127.0.0.1:0", "--grpc-address", "off", "--metrics-address", "off", "--drain-delay", "300ms"}, nil, &bytes.Buffer{}, &log)
	}()
	var started struct{ Msg, HTTP string }
	for begin := time.Now(); started.HTTP == ""; time.Sleep(time.Millisecond) {
		if time.Since(begin) > 10*time.Second {
			t.Fatalf("not serving: %s", log.String())
		}
		if first, _, ok := strings.Cut(log.String(), "\n"); ok {
			if err := json.Unmarshal([]byte(first), &started); err != nil {
				t.Fatalf("%v: %s", err, log.String())
			}
		}
	}
	url := "http://" + started.HTTP + "/readyz"
	if code, out, _ := check(t, "--url", url); code != exitOK || out != "ready\n" {
		t.Errorf("exit code %d, %q", code, out)
	}
	cancel()
	draining := false
	for !draining && len(ended) == 0 {
		_, _, errs := check(t, "--url", url)
		draining = strings.Contains(errs, "503")
	}
	if !draining {
		t.Error("it is never seen not to be ready before it ends")
	}
	if code := <-ended; code != exitOK {
		t.Errorf("serve ends with %d: %s", code, log.String())
	}
	if code, _, errs := check(t, "--url", url); code != exitInternal || !strings.Contains(errs, "not ready") {
		t.Errorf("after the end: exit code %d, %q", code, errs)
	}
}

func check(t *testing.T, args ...string) (code int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(context.Background(), append([]string{"healthcheck"}, args...), nil, &o, &e)
	return code, o.String(), e.String()
}

func TestHealthcheckCodes(t *testing.T) {
	ok := http.HandlerFunc(func(http.ResponseWriter, *http.Request) {})
	plain, secure := httptest.NewServer(ok), httptest.NewTLSServer(ok)
	defer plain.Close()
	defer secure.Close()
	down := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusServiceUnavailable) }))
	defer down.Close()
	hangs := make(chan struct{})
	silent := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { <-hangs }))
	defer silent.Close()
	defer close(hangs)
	for _, c := range []struct {
		name string
		args []string
		want int
	}{
		{"ready", []string{"--url", plain.URL}, exitOK},
		{"not ready", []string{"--url", down.URL}, exitInternal},
		{"no answer in time", []string{"--url", silent.URL, "--timeout", "50ms"}, exitInternal},
		{"a certificate nobody knows", []string{"--url", secure.URL}, exitInternal},
		{"the same, unchecked", []string{"--url", secure.URL, "--insecure"}, exitOK},
		{"no URL", []string{"--url", "::"}, exitInternal},
		{"no flag", []string{"--urls", plain.URL}, exitBadInput},
		{"an argument", []string{plain.URL}, exitBadInput},
	} {
		if code, out, errs := check(t, c.args...); code != c.want || (out == "ready\n") != (code == exitOK) || (errs == "") != (code == exitOK) {
			t.Errorf("%s: exit code %d, want %d; %q, %q", c.name, code, c.want, out, errs)
		}
	}
}

// The line that `ozeq token` prints is the hash of the token it prints.
func TestTokenLine(t *testing.T) {
	var out bytes.Buffer
	if code := run(context.Background(), []string{"token"}, nil, &out, &out); code != exitOK {
		t.Fatal(code)
	}
	f := strings.Fields(out.String())
	if len(f) != 4 {
		t.Fatalf("%q", out.String())
	}
	sum := sha256.Sum256([]byte(f[1]))
	if hex.EncodeToString(sum[:]) != f[3] {
		t.Errorf("%s is not the SHA-256 of %s", f[3], f[1])
	}
}
