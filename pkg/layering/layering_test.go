// Package layering holds the test that imports run one way.
package layering

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
)

const root = "../.."

// module is the path of this module, whatever it has been renamed to.
var module = sync.OnceValue(func() string {
	data, err := os.ReadFile(root + "/go.mod")
	if err != nil {
		panic(err)
	}
	line, _, _ := strings.Cut(string(data), "\n")
	return strings.TrimPrefix(strings.TrimSpace(line), "module ")
})

// layers are the packages under pkg, lowest first. A package imports only from
// layers below its own; its sub-packages stand in its layer, and may import it
// or be imported by it.
// What is not built yet has its place already.
var layers = [][]string{
	{"exact"},
	{"source", "fault", "spelling"},
	{"measure"},
	{"rules", "food"},
	{"recipe"},
	{"credit"},
	{"menu"},
	{"kitchen"},
	{"report"},
	{"wire"},
	{"server"},
}

// apart are packages that nothing imports: generators and test harnesses.
var apart = []string{"rules/compile", "published", "layering"}

// outside is what packages below wire may take from outside the standard
// library.
var outside = []string{"github.com/shopspring/decimal"}

// refused is what packages below wire never import themselves: a record must
// not depend on the day, the machine or who runs it, and says what it has to
// say by returning it.
var refused = []string{"time", "os", "os/exec", "os/user", "net", "net/http", "syscall", "log", "log/slog", "flag",
	"math/rand", "math/rand/v2", "crypto/rand", "runtime", "unsafe", "plugin", "expvar"}

// pkg is what `go list` says of a package.
type pkg struct {
	ImportPath, Dir, Name  string
	Standard               bool
	GoFiles, Imports, Deps []string
}

// list asks the go command about packages and everything they depend on.
func list(t *testing.T, patterns ...string) map[string]*pkg {
	t.Helper()
	cmd := exec.Command("go", append([]string{"list", "-deps", "-json=ImportPath,Dir,Name,Standard,GoFiles,Imports,Deps"}, patterns...)...)
	cmd.Dir = root
	out, err := cmd.Output()
	if err != nil {
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			t.Fatalf("go list: %s", exit.Stderr)
		}
		t.Fatal(err)
	}
	all := make(map[string]*pkg)
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		p := new(pkg)
		switch err := d.Decode(p); {
		case errors.Is(err, io.EOF):
			return all
		case err != nil:
			t.Fatal(err)
		}
		all[p.ImportPath] = p
	}
}

// name returns a package's path under pkg.
func name(path string) (string, bool) { return strings.CutPrefix(path, module()+"/pkg/") }

// layer returns where a package stands, -1 when nowhere.
func layer(name string) int {
	first, _, _ := strings.Cut(name, "/")
	return slices.IndexFunc(layers, func(l []string) bool { return slices.Contains(l, first) })
}

func TestImportsRunOneWay(t *testing.T) {
	all := list(t, "./pkg/...")
	placed := 0
	for path, p := range all {
		n, ok := name(path)
		if !ok || len(p.GoFiles) == 0 || slices.Contains(apart, n) {
			continue
		}
		at := layer(n)
		if at < 0 {
			t.Errorf("pkg/%s has no place in the order: give it one in layers, or say that it stands apart", n)
			continue
		}
		placed++
		for _, i := range p.Imports {
			to, ok := name(i)
			switch {
			case !ok && strings.HasPrefix(i+"/", module()+"/api/"):
				if at < layer("wire") {
					t.Errorf("pkg/%s imports %s: the contract stops at wire", n, i)
				}
			case !ok && strings.HasPrefix(i, module()+"/"):
				t.Errorf("pkg/%s imports %s, which stands above it", n, i)
			case !ok:
			case slices.Contains(apart, to):
				t.Errorf("pkg/%s imports pkg/%s, which stands apart", n, to)
			case layer(to) > at:
				t.Errorf("pkg/%s imports pkg/%s, which stands above it", n, to)
			case layer(to) == at && !strings.HasPrefix(n, to+"/") && !strings.HasPrefix(to, n+"/"):
				t.Errorf("pkg/%s imports pkg/%s, which stands beside it", n, to)
			}
		}
	}
	if placed < 11 {
		t.Errorf("only %d packages found", placed)
	}
}

// Below wire there is no protobuf, no gRPC, no YAML, no logger, no clock and no
// environment, and nothing from outside the standard library but decimals.
func TestBelowWire(t *testing.T) {
	all := list(t, "./pkg/...")
	checked := 0
	for path, p := range all {
		n, ok := name(path)
		if !ok || len(p.GoFiles) == 0 || slices.Contains(apart, n) || layer(n) >= layer("wire") {
			continue
		}
		checked++
		for _, i := range p.Imports {
			if slices.Contains(refused, i) {
				t.Errorf("pkg/%s imports %s", n, i)
			}
		}
		for _, d := range p.Deps {
			_, ours := name(d)
			if q := all[d]; !ours && q != nil && !q.Standard && !slices.Contains(outside, d) {
				t.Errorf("pkg/%s depends on %s", n, d)
			}
		}
	}
	if checked < 10 {
		t.Errorf("only %d packages checked", checked)
	}
	for _, d := range all[module()+"/pkg/wire"].Deps {
		if strings.HasPrefix(d, "google.golang.org/grpc") || strings.HasPrefix(d, "net/http") {
			t.Errorf("pkg/wire depends on %s: who only reads files should not link a server", d)
		}
	}
}

// Nothing under pkg runs before it is called, and nothing reads the clock by
// another name.
func TestNothingRunsByItself(t *testing.T) {
	all := list(t, "./pkg/...")
	files := 0
	for path, p := range all {
		n, ok := name(path)
		if !ok || p.Name == "main" {
			continue
		}
		for _, f := range p.GoFiles {
			files++
			file, err := parser.ParseFile(token.NewFileSet(), filepath.Join(p.Dir, f), nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			for _, d := range file.Decls {
				if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv == nil && fn.Name.Name == "init" {
					t.Errorf("pkg/%s/%s has an init function", n, f)
				}
			}
			if layer(n) == layer("server") {
				continue // it measures how long a call takes; no answer comes of it
			}
			ast.Inspect(file, func(node ast.Node) bool {
				if s, ok := node.(*ast.SelectorExpr); ok {
					if x, ok := s.X.(*ast.Ident); ok && x.Name == "time" && s.Sel.Name == "Now" {
						t.Errorf("pkg/%s/%s reads the clock", n, f)
					}
				}
				return true
			})
		}
	}
	if files < 30 {
		t.Errorf("only %d files read", files)
	}
}

// A package says what it is about.
func TestNoPackageOfOddsAndEnds(t *testing.T) {
	for path, p := range list(t, "./pkg/...", "./cmd/...") {
		if !strings.HasPrefix(path, module()+"/") {
			continue
		}
		for _, part := range append(strings.Split(path, "/"), p.Name) {
			if slices.Contains([]string{"util", "utils", "common", "helper", "helpers", "misc", "shared", "base", "lib", "tools"}, part) {
				t.Errorf("%s is named for nothing in particular", path)
			}
		}
	}
}

// Commands use the library; nothing uses a command.
func TestCommandsStandOnTop(t *testing.T) {
	for path, p := range list(t, "./...") {
		if !strings.HasPrefix(path, module()+"/") {
			continue
		}
		for _, i := range p.Imports {
			if strings.HasPrefix(i, module()+"/cmd/") {
				t.Errorf("%s imports the command %s", path, i)
			}
			if n, ok := name(i); ok && slices.Contains(apart, n) && i != path {
				t.Errorf("%s imports pkg/%s, which stands apart", path, n)
			}
		}
	}
}
