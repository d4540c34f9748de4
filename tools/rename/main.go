// Command rename gives the module another path: in go.mod, in import paths, in
// go_package of the .proto files and wherever else the path is written. It
// leaves generated .pb.go files alone, since they hold the path inside binary
// descriptors with a length before it: generate them again afterwards.
//
// Call it through `make rename-module MODULE=your.host/name`, which does that.
package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"go/format"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

func main() {
	root := flag.String("root", ".", "folder of the module")
	from := flag.String("from", "", "module path as it is")
	to := flag.String("to", "", "module path to give it")
	flag.Parse()
	changed, err := rename(*root, *from, *to)
	if err != nil {
		fmt.Fprintln(os.Stderr, "rename:", err)
		os.Exit(1)
	}
	for _, name := range changed {
		fmt.Println(name)
	}
}

// rename replaces the path in every text file under root and lists the files
// it changed.
func rename(root, from, to string) ([]string, error) {
	if from == "" || to == "" {
		return nil, errors.New("give -from and -to")
	}
	var changed []string
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			switch d.Name() {
			case ".git", "node_modules", "bin", "coverage":
				return filepath.SkipDir
			}
			return nil
		}
		if !d.Type().IsRegular() || strings.HasSuffix(name, ".pb.go") {
			return nil
		}
		old, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if bytes.IndexByte(old, 0) >= 0 {
			return nil
		}
		text := replace(string(old), from, to)
		if text == string(old) {
			return nil
		}
		if strings.HasSuffix(name, ".go") {
			// Another path may sort elsewhere among the imports. What does
			// not parse (a template, say) stays as replaced.
			if sorted, err := format.Source([]byte(text)); err == nil {
				text = string(sorted)
			}
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		if err := os.WriteFile(name, []byte(text), info.Mode().Perm()); err != nil {
			return err
		}
		changed = append(changed, name)
		return nil
	})
	return changed, err
}

// replace puts to in place of from where from stands as a whole path or as the
// leading elements of one.
func replace(text, from, to string) string {
	var out strings.Builder
	rest := text
	prev := byte(0)
	for {
		i := strings.Index(rest, from)
		if i < 0 {
			out.WriteString(rest)
			return out.String()
		}
		if i > 0 {
			prev = rest[i-1]
		}
		end := i + len(from)
		out.WriteString(rest[:i])
		if inPath(prev) || prev == '.' || end < len(rest) && inPath(rest[end]) {
			out.WriteString(from)
		} else {
			out.WriteString(to)
		}
		prev = rest[end-1]
		rest = rest[end:]
	}
}

// inPath says whether a byte beside the path makes it part of a longer word.
func inPath(b byte) bool {
	return b == '-' || b == '_' || '0' <= b && b <= '9' || 'a' <= b && b <= 'z' || 'A' <= b && b <= 'Z'
}
