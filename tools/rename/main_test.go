package main

import (
	"os"
	"path/filepath"
	"testing"
)

func TestReplace(t *testing.T) {
	const from, to = "a.example/x", "b.example/y/x"
	for _, c := range []struct{ in, want string }{
		{`import "a.example/x/pkg/p"`, `import "b.example/y/x/pkg/p"`},
		{"module a.example/x\n", "module b.example/y/x\n"},
		{"a.example/x", "b.example/y/x"},
		{"Clone a.example/x.", "Clone b.example/y/x."},
		{"https://a.example/x, a.example/x", "https://b.example/y/x, b.example/y/x"},
		{"a.example/xy a.example/x-y aa.example/x c.a.example/x", "a.example/xy a.example/x-y aa.example/x c.a.example/x"},
		{"a.example/xa.example/x", "a.example/xa.example/x"},
		{"nothing", "nothing"},
	} {
		if got := replace(c.in, from, to); got != c.want {
			t.Errorf("replace(%q) = %q, want %q", c.in, got, c.want)
		}
	}
	// The new path may begin with the old one.
	if got := replace(`"a.example/x/p"`, from, from+"/v2"); got != `"a.example/x/v2/p"` {
		t.Errorf("got %q", got)
	}
}

func TestRename(t *testing.T) {
	root := t.TempDir()
	files := map[string][2]string{
		"go.mod":            {"module a.example/x\n", "module z.example/x\n"},
		"p.go":              {"package p\n\nimport (\n\t_ \"a.example/x/q\"\n\t_ \"m.example/m\"\n)\n", "package p\n\nimport (\n\t_ \"m.example/m\"\n\t_ \"z.example/x/q\"\n)\n"},
		"p.pb.go":           {"a.example/x", "a.example/x"},
		"image.binpb":       {"\x00a.example/x", "\x00a.example/x"},
		"node_modules/n.js": {"a.example/x", "a.example/x"},
	}
	for name, f := range files {
		path := filepath.Join(root, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(f[0]), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	changed, err := rename(root, "a.example/x", "z.example/x")
	if err != nil || len(changed) != 2 {
		t.Fatalf("changed %v, %v", changed, err)
	}
	for name, f := range files {
		got, err := os.ReadFile(filepath.Join(root, name))
		if err != nil || string(got) != f[1] {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
}
