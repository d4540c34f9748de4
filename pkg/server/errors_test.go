package server

import (
	"context"
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"

	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// toldReason is an entry of docs/errors.md.
type toldReason struct {
	http  int    // 0: not over HTTP
	grpc  string // empty: not over gRPC
	kind  string // of its example: json, http or text
	text  string
	path  string
	found bool // the entry says where the fault is found
}

var (
	entryHead  = regexp.MustCompile(`(?m)^### (.+)\n`)
	entryCodes = regexp.MustCompile(`(?m)\A\n(?:HTTP (\d{3}), gRPC ([A-Z_]+)|HTTP (\d{3}), not over gRPC|gRPC ([A-Z_]+), not over HTTP|Command line only)$`)
	entryBlock = regexp.MustCompile("(?ms)^```(json|http|text)\n(.*?)^```$")
	entryPath  = regexp.MustCompile("(?m)^Found at `(.*)`$")
)

// errorsPage reads docs/errors.md: the request its examples differ from, and
// its entries.
func errorsPage(t *testing.T) (map[string]any, map[string]toldReason) {
	t.Helper()
	page, err := os.ReadFile("../../docs/errors.md")
	if err != nil {
		t.Fatal(err)
	}
	heads := entryHead.FindAllSubmatchIndex(page, -1)
	if len(heads) == 0 {
		t.Fatal("no entries")
	}
	var base map[string]any
	blocks := entryBlock.FindAllSubmatch(page[:heads[0][0]], -1)
	if err := json.Unmarshal(blocks[len(blocks)-1][2], &base); err != nil {
		t.Fatal(err)
	}
	entries := make(map[string]toldReason)
	for i, h := range heads {
		end := len(page)
		if i+1 < len(heads) {
			end = heads[i+1][0]
		}
		reason, body := string(page[h[2]:h[3]]), page[h[1]:end]
		if _, twice := entries[reason]; twice {
			t.Errorf("%s has two entries", reason)
		}
		c, b := entryCodes.FindSubmatch(body), entryBlock.FindAllSubmatch(body, -1)
		if c == nil || len(b) != 1 || !strings.Contains(string(body), "\nMend: ") {
			t.Errorf("%s: wanted are a line of codes, one example and how to mend it", reason)
			continue
		}
		e := toldReason{grpc: string(c[2]) + string(c[4]), kind: string(b[0][1]), text: string(b[0][2])}
		e.http, _ = strconv.Atoi(string(c[1]) + string(c[3]))
		if p := entryPath.FindSubmatch(body); p != nil {
			e.path, e.found = string(p[1]), true
		}
		if e.kind == "json" && !e.found && reason != wire.InvalidRequest {
			t.Errorf("%s: the entry does not say where the fault is found", reason)
		}
		entries[reason] = e
	}
	return base, entries
}

// textConstants reads the constants of a source file that are texts.
func textConstants(t *testing.T, name string, keep func(*ast.ValueSpec) bool) []string {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, d := range file.Decls {
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.CONST {
			continue
		}
		for _, s := range g.Specs {
			v := s.(*ast.ValueSpec)
			if len(v.Values) == 0 {
				continue // counted on from the one above
			}
			if lit, ok := v.Values[0].(*ast.BasicLit); ok && lit.Kind == token.STRING && keep(v) {
				text, err := strconv.Unquote(lit.Value)
				if err != nil {
					t.Fatal(err)
				}
				out = append(out, text)
			}
		}
	}
	return out
}

// Every reason of the source has an entry, and every entry a reason.
func TestErrorsPageIsWhole(t *testing.T) {
	_, entries := errorsPage(t)
	declared := make(map[string]bool)
	for _, source := range []struct {
		file string
		keep func(*ast.ValueSpec) bool
		min  int
	}{
		{"../fault/fault.go", func(v *ast.ValueSpec) bool { id, ok := v.Type.(*ast.Ident); return ok && id.Name == "Reason" }, 25},
		{"problem.go", func(*ast.ValueSpec) bool { return true }, 10},
		{"../wire/status.go", func(v *ast.ValueSpec) bool { return v.Names[0].Name == "InvalidRequest" }, 1},
	} {
		found := textConstants(t, source.file, source.keep)
		if len(found) < source.min {
			t.Errorf("%s: only %d reasons found", source.file, len(found))
		}
		for _, r := range found {
			declared[r] = true
			if _, ok := entries[r]; !ok {
				t.Errorf("docs/errors.md has no entry for %s of %s", r, source.file)
			}
		}
	}
	for r := range entries {
		if !declared[r] {
			t.Errorf("docs/errors.md has an entry for %s, which is no reason", r)
		}
	}
}

// The example at the top is what the service answers, but for the id of the
// request.
func TestErrorsPageProblem(t *testing.T) {
	page, err := os.ReadFile("../../docs/errors.md")
	if err != nil {
		t.Fatal(err)
	}
	base, entries := errorsPage(t)
	var shown pb.Problem
	if err := protojson.Unmarshal(entryBlock.FindSubmatch(page)[2], &shown); err != nil {
		t.Fatal(err)
	}
	_, got := send(t, start(t, nil).Handler(), entries["UNKNOWN_FOOD"].request(t, base))
	got.RequestId = shown.GetRequestId()
	if protojson.Format(&shown) != protojson.Format(got) {
		t.Errorf("the page shows\n%v\nthe service answers\n%v", protojson.Format(&shown), protojson.Format(got))
	}
}

// request makes the request of an example.
func (e toldReason) request(t *testing.T, base map[string]any) *http.Request {
	t.Helper()
	switch e.kind {
	case "json":
		return postOf("application/json", e.merged(t, base))
	case "http":
		head, body, _ := strings.Cut(e.text, "\n\n")
		lines := strings.Split(strings.TrimSpace(head), "\n")
		method, path, _ := strings.Cut(lines[0], " ")
		r := httptest.NewRequest(method, path, strings.NewReader(strings.TrimSpace(body)))
		for _, l := range lines[1:] {
			name, value, _ := strings.Cut(l, ": ")
			r.Header.Set(name, value)
		}
		return r
	}
	t.Fatalf("an example in %s is not sent", e.kind)
	return nil
}

func (e toldReason) merged(t *testing.T, base map[string]any) string {
	t.Helper()
	var differs map[string]any
	if err := json.Unmarshal([]byte(e.text), &differs); err != nil {
		t.Fatalf("%v in %s", err, e.text)
	}
	text, err := json.Marshal(merge(base, differs))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// merge lays one tree over another; a list takes the place of a list.
func merge(under, over any) any {
	o, isObject := over.(map[string]any)
	u, both := under.(map[string]any)
	if !isObject || !both {
		return over
	}
	out := make(map[string]any)
	for name, v := range u {
		out[name] = v
	}
	for name, v := range o {
		out[name] = merge(u[name], v)
	}
	return out
}

func postOf(kind, body string) *http.Request {
	r := httptest.NewRequest(http.MethodPost, "/v1/recipes:credit", strings.NewReader(body))
	r.Header.Set("Content-Type", kind)
	return r
}

func send(t *testing.T, h http.Handler, r *http.Request) (int, *pb.Problem) {
	t.Helper()
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	p := &pb.Problem{}
	if err := protojson.Unmarshal(w.Body.Bytes(), p); err != nil {
		t.Fatalf("%v in %s", err, w.Body)
	}
	return w.Code, p
}

// What an entry says of codes, reason and path is what the service answers.
func TestErrorsPageExamples(t *testing.T) {
	base, entries := errorsPage(t)
	r := start(t, nil)
	w := httptest.NewRecorder()
	if r.Handler().ServeHTTP(w, toldReason{kind: "json", text: "{}"}.request(t, base)); w.Code != http.StatusOK {
		t.Fatalf("the request the examples differ from: %d %s", w.Code, w.Body)
	}
	for reason, e := range entries {
		var overHTTP, overGRPC bool // seen
		viaHTTP := func(h http.Handler, req *http.Request) {
			t.Helper()
			overHTTP = true
			code, p := send(t, h, req)
			if code != e.http || p.GetReason() != reason || p.GetStatus() != codeNames[codes.Code(p.GetCode())] || e.grpc != "" && p.GetStatus() != e.grpc {
				t.Errorf("%s over HTTP: %d %s %s, the page says %d %s", reason, code, p.GetReason(), p.GetStatus(), e.http, e.grpc)
			}
			if e.found && (len(p.GetFaults()) != 1 || p.GetFaults()[0].GetPath() != e.path || p.GetFaults()[0].GetReason() != reason) {
				t.Errorf("%s over HTTP: %v, the page says found at %q", reason, p.GetFaults(), e.path)
			}
		}
		viaGRPC := func(err error) {
			t.Helper()
			overGRPC = true
			p := problem(status.Convert(err), "")
			if p.GetStatus() != e.grpc || p.GetReason() != reason {
				t.Errorf("%s over gRPC: %v, the page says %s", reason, err, e.grpc)
			}
			if e.found && (len(p.GetFaults()) != 1 || p.GetFaults()[0].GetPath() != e.path) {
				t.Errorf("%s over gRPC: %v, the page says found at %q", reason, p.GetFaults(), e.path)
			}
		}
		if e.kind != "text" {
			viaHTTP(r.Handler(), e.request(t, base))
		}
		if e.kind == "json" && e.grpc != "" {
			m, shape := wire.ReadRequest([]byte(e.merged(t, base)), wire.JSON)
			if shape.Err() == nil {
				_, err := r.credits.Credit(context.Background(), m)
				viaGRPC(err)
			} else if reason != wire.InvalidRequest {
				t.Errorf("%s: a fault of shape cannot come over gRPC", reason)
			}
		}
		batch := &pb.BatchCreditRequest{Requests: []*pb.CreditRequest{demo(t)}}
		batchPost := func() *http.Request {
			text, err := wire.AppendJSON(nil, batch)
			if err != nil {
				t.Fatal(err)
			}
			req := postOf("application/json", string(text))
			req.URL.Path = "/v1/recipes:batchCredit"
			return req
		}
		ctx := context.Background()
		switch reason {
		case "NOT_UTF8":
			text, err := strconv.Unquote("`" + strings.TrimSpace(e.text) + "`")
			if err != nil || !strings.Contains(text, `\xf1`) {
				t.Errorf("%s: %v in %s", reason, err, e.text)
			}
			viaHTTP(r.Handler(), postOf("application/json", strings.Replace(text, `\xf1`, "\xf1", 1)))
		case "TOO_LARGE":
			viaHTTP(r.Handler(), postOf("application/json", strings.Repeat(" ", wire.MaxRequest+1)))
			m := demo(t)
			m.Recipe.Name = strings.Repeat("x", maxMessage+1)
			_, err := r.credits.Credit(ctx, m)
			if p := problem(status.Convert(err), ""); p.GetReason() != "RESOURCE_EXHAUSTED" {
				t.Errorf("a message above the bound: %v", err)
			}
		case "YAML_FEATURE":
			if _, shape := wire.ReadRequest([]byte(e.text), wire.YAML); wire.Reason(shape) != reason {
				t.Errorf("%s: %v", reason, shape)
			}
		case Unauthenticated:
			s := start(t, func(c *Config) { c.TokenFile = file(t, strings.Repeat("0", 64)+"\n") })
			viaHTTP(s.Handler(), batchPost())
			_, err := s.credits.Credit(ctx, demo(t))
			viaGRPC(err)
		case Overloaded:
			s := start(t, func(c *Config) { c.MaxConcurrent = 1 })
			s.limit.slots <- struct{}{}
			viaHTTP(s.Handler(), batchPost())
			_, err := s.credits.Credit(ctx, demo(t))
			viaGRPC(err)
			s.limit.release(false)
		case SlowBody:
			s := start(t, func(c *Config) { c.BodyTimeout = 50 * time.Millisecond })
			c := s.raw(t)
			if _, err := c.Write([]byte(head + "Content-Length: 1000\r\n\r\n{")); err != nil {
				t.Fatal(err)
			}
			overHTTP = true
			if code, p := answer(t, c); code != e.http || p.GetReason() != reason {
				t.Errorf("%s: %d %v, the page says %d", reason, code, p, e.http)
			}
		case DeadlineExceeded:
			s := start(t, func(c *Config) { c.RequestTimeout = time.Nanosecond })
			viaHTTP(s.Handler(), batchPost())
			_, err := s.credits.BatchCredit(ctx, batch)
			viaGRPC(err)
		case Cancelled:
			gone, hangUp := context.WithCancel(ctx)
			hangUp()
			viaHTTP(r.Handler(), batchPost().WithContext(gone))
			_, err := r.credits.BatchCredit(gone, batch)
			viaGRPC(err)
		case Internal:
			s := start(t, nil)
			s.calls.engine = nil // whatever is called now panics
			viaHTTP(s.Handler(), batchPost())
			_, err := s.credits.Credit(ctx, demo(t))
			viaGRPC(err)
		case Stopping:
			s := start(t, nil)
			stream, err := s.credits.StreamCredit(ctx)
			if err != nil {
				t.Fatal(err)
			}
			if err := stream.Send(&pb.StreamCreditRequest{Request: demo(t)}); err != nil {
				t.Fatal(err)
			}
			if _, err := stream.Recv(); err != nil { // it is open
				t.Fatal(err)
			}
			if err := s.stop(); err != nil {
				t.Error(err)
			}
			_, err = stream.Recv()
			viaGRPC(err)
		case Unimplemented:
			method := "/" + strings.TrimSpace(strings.TrimPrefix(e.text, "a call of "))
			viaGRPC(r.conn.Invoke(ctx, method, &pb.CreditRequest{}, &pb.Record{}))
		case "NOT_YET":
			continue // no request gives it; pkg/wire holds that
		}
		if reason == wire.InvalidRequest {
			m := demo(t)
			m.Program, m.ServiceDate = "lunch", ""
			_, err := r.credits.Credit(ctx, m)
			viaGRPC(err)
		}
		if overHTTP != (e.http != 0) || overGRPC != (e.grpc != "") {
			t.Errorf("%s: the page says HTTP %d, gRPC %q; seen over HTTP %v, over gRPC %v", reason, e.http, e.grpc, overHTTP, overGRPC)
		}
	}
}
