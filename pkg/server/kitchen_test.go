package server

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"go/ast"
	"net/http"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/kitchen/reading"
	"example.com/ozeq/pkg/wire"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
	pb "example.com/ozeq/api/ozeq/v1"
)

// kitchenCall is a call as the library, gRPC and HTTP answer it.
type kitchenCall struct {
	path    string
	message func() proto.Message
	library func(proto.Message, *fault.List) (proto.Message, error)
	grpc    func(context.Context, proto.Message) (proto.Message, error)
}

// calledBy makes a call of a library's function and a client's method.
func calledBy[M any, Q interface {
	*M
	proto.Message
}, A proto.Message](path string, library func(Q, *fault.List) (A, error), rpc func(context.Context, Q) (A, error)) kitchenCall {
	return kitchenCall{path: path, message: func() proto.Message { return Q(new(M)) },
		library: func(m proto.Message, shape *fault.List) (proto.Message, error) { return library(m.(Q), shape) },
		grpc:    func(ctx context.Context, m proto.Message) (proto.Message, error) { return rpc(ctx, m.(Q)) }}
}

// kitchenDoors are the calls by the names of their cases.
func kitchenDoors(r *running) map[string]kitchenCall {
	d, _ := data()
	k, reader := kitchen.New(credit.New(d.Rules, d.Catalog)), reading.New(d.Catalog)
	c := servicev1.NewKitchenServiceClient(r.conn)
	return map[string]kitchenCall{
		"compare": calledBy("/v1/recipes:compare", func(m *pb.CompareRequest, s *fault.List) (*pb.Comparison, error) {
			out, err := wire.Compare(k, m, s)
			if err != nil {
				return nil, err
			}
			return wire.CompareMessage(out, m.GetExplain()), nil
		}, func(ctx context.Context, m *pb.CompareRequest) (*pb.Comparison, error) { return c.Compare(ctx, m) }),
		"scale": calledBy("/v1/recipes:scale", func(m *pb.ScaleRequest, s *fault.List) (*pb.ScaledRecipe, error) {
			out, err := wire.Scale(k, m, s)
			if err != nil {
				return nil, err
			}
			return wire.ScaleMessage(out, m.GetExplain()), nil
		}, func(ctx context.Context, m *pb.ScaleRequest) (*pb.ScaledRecipe, error) { return c.Scale(ctx, m) }),
		"target": calledBy("/v1/recipes:target", func(m *pb.TargetRequest, s *fault.List) (*pb.TargetAnswer, error) {
			out, _, err := wire.Target(k, m, s)
			if err != nil {
				return nil, err
			}
			return wire.TargetMessage(out, m), nil
		}, func(ctx context.Context, m *pb.TargetRequest) (*pb.TargetAnswer, error) { return c.Target(ctx, m) }),
		"buy": calledBy("/v1/purchases:plan", func(m *pb.PurchaseRequest, s *fault.List) (*pb.Purchase, error) {
			out, err := wire.PlanPurchase(k, m, s, func() error { return nil })
			if err != nil {
				return nil, err
			}
			return wire.PurchaseMessage(out), nil
		}, func(ctx context.Context, m *pb.PurchaseRequest) (*pb.Purchase, error) { return c.PlanPurchase(ctx, m) }),
		"read": calledBy("/v1/recipes:read", func(m *pb.ReadRecipeRequest, s *fault.List) (*pb.RecipeReading, error) {
			return wire.ReadRecipe(reader, d.Catalog, m, s)
		}, func(ctx context.Context, m *pb.ReadRecipeRequest) (*pb.RecipeReading, error) { return c.Read(ctx, m) }),
		"cautions": calledBy("/v1/recipes:cautions", func(m *pb.CautionRequest, s *fault.List) (*pb.Cautions, error) {
			out, err := wire.Cautions(k, m, s)
			if err != nil {
				return nil, err
			}
			return wire.CautionsMessage(out), nil
		}, func(ctx context.Context, m *pb.CautionRequest) (*pb.Cautions, error) { return c.CautionRecipe(ctx, m) }),
		"menu-cautions": calledBy("/v1/menus:cautions", func(m *pb.CautionMenuRequest, s *fault.List) (*pb.MenuCautions, error) {
			out, err := wire.CautionMenu(k, m, s)
			if err != nil {
				return nil, err
			}
			return wire.MenuCautionsMessage(out), nil
		}, func(ctx context.Context, m *pb.CautionMenuRequest) (*pb.MenuCautions, error) {
			return c.CautionMenu(ctx, m)
		}),
		"size": calledBy("/v1/portions:size", wire.SizePortion, func(ctx context.Context, m *pb.SizePortionRequest) (*pb.PortionSize, error) {
			return c.SizePortion(ctx, m)
		}),
		"shortfall": calledBy("/v1/portions:shortfall", func(m *pb.ShortfallRequest, s *fault.List) (*pb.Shortfall, error) {
			return wire.CheckShortfall(k, m, s)
		}, func(ctx context.Context, m *pb.ShortfallRequest) (*pb.Shortfall, error) {
			return c.CheckShortfall(ctx, m)
		}),
	}
}

// rows reads the table beside a case.
func rows(t *testing.T, name, kind, header string) [][]string {
	t.Helper()
	text, err := os.ReadFile(strings.TrimSuffix(name, ".json") + "." + kind + ".csv")
	if err != nil {
		return nil
	}
	table, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil || len(table) < 2 || strings.Join(table[0], ",") != header {
		t.Fatalf("%s: %v: want the header %s and rows below it", name, err, header)
	}
	return table[1:]
}

// Every kitchen case is answered the same by the library, over gRPC and over HTTP,
// with what its table says; one that is wrong with all its faults and no others.
func TestKitchenCasesThroughBothDoors(t *testing.T) {
	r := start(t, nil)
	doors := kitchenDoors(r)
	names, err := filepath.Glob("../../testdata/cases/kitchen/*.json")
	if err != nil || len(names) < 30 {
		t.Fatal(len(names), err)
	}
	good, bad := map[string]int{}, map[string]int{}
	for _, name := range names {
		kind, _, _ := strings.Cut(filepath.Base(name), ".")
		call, ok := doors[kind]
		if !ok {
			t.Fatalf("%s: no call is named %s", name, kind)
		}
		body, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		facts, faults := rows(t, name, "facts", "path,value"), rows(t, name, "faults", "reason,path")
		if (facts == nil) == (faults == nil) {
			t.Fatalf("%s: want a table of facts or of faults beside it", name)
		}
		m := call.message()
		shape, _ := wire.ReadJSON(body, m)
		code, answer := r.post(t, call.path, body)
		if faults != nil {
			bad[kind]++
			var want []string
			for _, f := range faults {
				want = append(want, strings.Join(f, " "))
			}
			slices.Sort(want)
			p := &pb.Problem{}
			if err := protojson.Unmarshal(answer, p); err != nil || code != http.StatusBadRequest {
				t.Fatalf("%s: %d, %v in %s", name, code, err, answer)
			}
			if got := told(p.GetFaults()); !slices.Equal(got, want) {
				t.Errorf("%s over HTTP:\n%s\nwant\n%s", name, strings.Join(got, "\n"), strings.Join(want, "\n"))
			}
			for _, f := range p.GetFaults() {
				if f.GetWant() == "" || f.GetFix() == "" {
					t.Errorf("%s: %v does not say what was expected and how to mend it", name, f)
				}
			}
			if _, err := call.library(m, shape); err == nil {
				t.Errorf("%s: the library answers it", name)
			}
			if shape.Err() == nil {
				_, err := call.grpc(context.Background(), m)
				p := problem(status.Convert(err), "")
				if got := told(p.GetFaults()); p.GetOmitted() == 0 && !slices.Equal(got, want) || len(got)+int(p.GetOmitted()) != len(want) {
					t.Errorf("%s over gRPC:\n%s", name, strings.Join(got, "\n"))
				}
			}
			continue
		}
		good[kind]++
		want, err := call.library(m, shape)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		got, err := call.grpc(context.Background(), m)
		if err != nil || !proto.Equal(got, want) {
			t.Errorf("%s over gRPC: %v, the same answer: %v", name, err, proto.Equal(got, want))
		}
		text, err := wire.AppendJSON(nil, want)
		if err != nil || code != http.StatusOK || !bytes.Equal(bytes.TrimSpace(answer), text) {
			t.Errorf("%s over HTTP: %d, %v\n%s\nwant\n%s", name, code, err, answer, text)
		}
		for _, f := range facts {
			var value any
			if err := json.Unmarshal([]byte(f[1]), &value); err != nil {
				t.Fatalf("%s: %s is no JSON", name, f[1])
			}
			if there, err := at(answer, f[0]); err != nil || !reflect.DeepEqual(there, value) {
				t.Errorf("%s: %s is %#v (%v), want %s", name, f[0], there, err, f[1])
			}
		}
	}
	for kind := range doors {
		if good[kind] == 0 || bad[kind] == 0 {
			t.Errorf("%s: %d good and %d bad cases", kind, good[kind], bad[kind])
		}
	}
}

// What a kitchen is handed out may be sent on: the recipe of a scaled batch, of a
// target's first way and of a swap credits just what stands beside it.
func TestKitchenRecipesCreditAsSaid(t *testing.T) {
	r := start(t, nil)
	names, _ := filepath.Glob("../../testdata/cases/kitchen/*.facts.csv")
	tried := 0
	for _, name := range names {
		name = strings.TrimSuffix(name, ".facts.csv") + ".json"
		kind, _, _ := strings.Cut(filepath.Base(name), ".")
		if kind != "scale" && kind != "target" && kind != "compare" {
			continue
		}
		body, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		_, answer := r.post(t, "/v1/recipes:"+kind, body)
		var said struct {
			Recipe, Record json.RawMessage
		}
		var asked map[string]json.RawMessage
		if err := json.Unmarshal(answer, &said); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(body, &asked); err != nil {
			t.Fatal(err)
		}
		if said.Recipe == nil {
			continue // no way reaches the target
		}
		for _, question := range []string{"target", "aims", "swaps", "round", "wholeGrain"} {
			delete(asked, question)
		}
		asked["recipe"] = said.Recipe
		again, err := json.Marshal(asked)
		if err != nil {
			t.Fatal(err)
		}
		code, record := r.post(t, "/v1/recipes:credit", again)
		want, got := &pb.Record{}, &pb.Record{}
		if err := protojson.Unmarshal(said.Record, want); err != nil {
			t.Fatal(err)
		}
		if err := protojson.Unmarshal(record, got); err != nil || code != http.StatusOK {
			t.Fatalf("%s: %d, %v: %s", name, code, err, record)
		}
		tried++
		if len(got.GetCredits()) != len(want.GetCredits()) {
			t.Errorf("%s: %d credits, and %d were said", name, len(got.GetCredits()), len(want.GetCredits()))
			continue
		}
		for i, c := range got.GetCredits() {
			if !proto.Equal(c, want.GetCredits()[i]) {
				t.Errorf("%s: credits %v, and %v was said", name, c, want.GetCredits()[i])
			}
		}
	}
	if tried < 5 {
		t.Errorf("only %d recipes tried", tried)
	}
}

// What lists there are of serving tools is the same through both doors, and none is
// empty.
func TestServingToolsThroughBothDoors(t *testing.T) {
	r := start(t, nil)
	got, err := servicev1.NewKitchenServiceClient(r.conn).ListServingTools(context.Background(), &pb.ListServingToolsRequest{})
	if err != nil || !proto.Equal(got, wire.ListServingTools()) {
		t.Errorf("%v %v", got, err)
	}
	for _, list := range [][]*pb.ServingTool{got.GetScoops(), got.GetLadles(), got.GetPans(), got.GetCans()} {
		if len(list) < 5 {
			t.Errorf("only %d", len(list))
		}
		for _, x := range list {
			if x.GetHolds() == "" || x.GetCitation() == "" || x.GetMark() == "" {
				t.Errorf("%v lacks what it holds or its paper", x)
			}
		}
	}
}

// docs/kitchen.md has every reason of a finding, and none that there is not.
func TestKitchenPageIsWhole(t *testing.T) {
	page, err := os.ReadFile("../../docs/kitchen.md")
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob("../kitchen/*.go")
	if err != nil {
		t.Fatal(err)
	}
	declared := map[string]bool{}
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		for _, r := range textConstants(t, f, func(v *ast.ValueSpec) bool {
			id, ok := v.Type.(*ast.Ident)
			return ok && strings.HasSuffix(id.Name, "Reason")
		}) {
			declared[r] = true
		}
	}
	if len(declared) < 30 {
		t.Fatalf("only %d reasons found in pkg/kitchen", len(declared))
	}
	told := map[string]bool{}
	for _, m := range regexp.MustCompile("(?m)^\\| `([A-Z_]+)` \\|").FindAllStringSubmatch(string(page), -1) {
		told[m[1]] = true
	}
	for r := range declared {
		if !told[r] {
			t.Errorf("docs/kitchen.md does not tell %s", r)
		}
	}
	for r := range told {
		if !declared[r] {
			t.Errorf("docs/kitchen.md tells %s, which is no reason", r)
		}
	}
	// Every path of the document is in the table.
	for _, path := range []string{"/v1/recipes:compare", "/v1/recipes:scale", "/v1/recipes:target", "/v1/recipes:cautions", "/v1/menus:cautions", "/v1/purchases:plan", "/v1/recipes:read", "/v1/portions:size", "/v1/portions:shortfall", "/v1/servingTools"} {
		if !strings.Contains(string(page), path+"`") {
			t.Errorf("docs/kitchen.md does not tell %s", path)
		}
	}
}
