package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/server"
)

// pageParts are the blocks of a page: files to write (named by the line before),
// commands to run, and what is printed.
var pageParts = regexp.MustCompile("(?ms)(?:^`([\\w.]+)`:\n\n)?^```(\\w+)\n(.*?)^```$")

// clientPage turns a page for one language into a shell script that does what it says,
// and a pattern of what it prints; … in the page stands for anything.
func clientPage(text string) (script string, printed *regexp.Regexp) {
	var sh, want strings.Builder
	for _, p := range pageParts.FindAllStringSubmatch(text, -1) {
		name, kind, block := p[1], p[2], p[3]
		switch {
		case name != "":
			fmt.Fprintf(&sh, "cat > %s <<'END OF FILE'\n%sEND OF FILE\n", name, block)
		case kind == "sh":
			sh.WriteString(block)
			sh.WriteString("echo\n") // what curl prints has no end of line
		case kind == "text":
			want.WriteString(block)
		}
	}
	pattern := strings.ReplaceAll(regexp.QuoteMeta(strings.TrimSpace(want.String())), "…", ".*")
	return sh.String(), regexp.MustCompile(`\A` + pattern + `\z`)
}

var blankLines = regexp.MustCompile(`\n+`)

// Each page under docs/clients is followed to the letter against a service, and
// prints what it says.
func TestClientPages(t *testing.T) {
	doors := liveServer(t)
	clone, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	npm := filepath.Join(clone, "tools/npm/clients/node_modules")
	for _, c := range []struct {
		page, needs string
		prelude     string
	}{
		{"go", "go", ""},
		{"curl", "curl", ""},
		{"python", "python3", ""},
		{"java", "java", ""},
		// The packages are there already, in the versions the page names; what
		// their tools say is no output of the page's.
		{"typescript", filepath.Join(npm, ".bin/tsc"), "ln -s '" + npm + "' node_modules\nnpm() { for p in \"$@\"; do [[ $p != *@* ]] || grep -q '\"version\": \"'${p##*@}'\"' node_modules/${p%@*}/package.json; done; }\nnpx() { command npx \"$@\" >&2; }\n"},
	} {
		t.Run(c.page, func(t *testing.T) {
			if _, err := exec.LookPath(c.needs); err != nil {
				if c.page == "go" {
					t.Fatal(err)
				}
				t.Logf("NOT RUN: docs/clients/%s.md needs %s, which is not here", c.page, filepath.Base(c.needs))
				return
			}
			text, err := os.ReadFile("../../docs/clients/" + c.page + ".md")
			if err != nil {
				t.Fatal(err)
			}
			script, want := clientPage(string(text))
			for written, live := range doors {
				script = strings.ReplaceAll(script, written, live)
			}
			got, errs := runPage(t, clone, c.prelude+script)
			if !want.MatchString(got) {
				t.Errorf("docs/clients/%s.md prints\n%s\n%s\nand says it prints\n%s", c.page, got, errs, want)
			}
		})
	}
}

// The call that README shows is answered with a record.
func TestReadmeCall(t *testing.T) {
	if _, err := exec.LookPath("curl"); err != nil {
		t.Log("NOT RUN: the call in README needs curl, which is not here")
		return
	}
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(text), "\n## The service\n")
	section, _, _ = strings.Cut(section, "\n## ")
	blocks := pageParts.FindAllStringSubmatch(section, -1)
	if len(blocks) != 2 || blocks[0][3] != "go run ./cmd/ozeq serve\n" {
		t.Fatalf("%q", blocks)
	}
	call := blocks[1][3]
	for written, live := range liveServer(t) {
		call = strings.ReplaceAll(call, written, live)
	}
	if got, errs := runPage(t, "", call); !strings.HasPrefix(got, `{"name":"Quinoa bowl",`) || !strings.Contains(got, `"credited":"0.75"`) {
		t.Errorf("the call in README is answered with %s%s", got, errs)
	}
}

// liveServer serves on ports of its own, and returns them by what the pages call
// them.
func liveServer(t *testing.T) map[string]string {
	t.Helper()
	rs, err := rules.Default()
	if err != nil {
		t.Fatal(err)
	}
	cat, err := food.Default()
	if err != nil {
		t.Fatal(err)
	}
	ps, err := patterns.Default()
	if err != nil {
		t.Fatal(err)
	}
	s, err := server.New(server.Config{GRPCAddress: "127.0.0.1:0", HTTPAddress: "127.0.0.1:0", MetricsAddress: server.Off}, server.Data{Rules: rs, Catalog: cat, Patterns: ps})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	served := make(chan error, 1)
	go func() { served <- s.Serve(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-served; err != nil {
			t.Error(err)
		}
	})
	for until := time.Now().Add(10 * time.Second); s.Addr("http") == nil || s.Addr("grpc") == nil; time.Sleep(time.Millisecond) {
		if time.Now().After(until) {
			t.Fatal("not serving after 10 s")
		}
	}
	return map[string]string{"127.0.0.1:8080": s.Addr("http").String(), "127.0.0.1:9091": s.Addr("grpc").String()}
}

// runPage runs a script in an empty folder, without a network beyond this host
// for Go, whose modules are all there.
func runPage(t *testing.T, clone, script string) (out, errs string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, "bash", "-euc", script)
	cmd.Dir = t.TempDir()
	cmd.Env = append(os.Environ(), "OZEQ="+clone, "GOPROXY=off", "GOSUMDB=off", "GOFLAGS=", "GOWORK=off")
	var o, e bytes.Buffer
	cmd.Stdout, cmd.Stderr = &o, &e
	if err := cmd.Run(); err != nil {
		t.Errorf("%v\n%s", err, e.String())
	}
	return strings.TrimSpace(blankLines.ReplaceAllString(o.String(), "\n")), e.String()
}
