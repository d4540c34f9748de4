package server

import (
	"bytes"
	"context"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/goccy/go-yaml"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/wire"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
	pb "example.com/ozeq/api/ozeq/v1"
)

// fuzzed is one server for all inputs; it is called without a listener.
var fuzzed = sync.OnceValues(func() (*Server, error) {
	d, err := data()
	if err != nil {
		return nil, err
	}
	return New(Config{}, d)
})

// FuzzHTTP sends any body to any path: the answer is a message of the contract
// or a Problem, never a fault of ozeq's own, and no place or byte is kept.
func FuzzHTTP(f *testing.F) {
	s, err := fuzzed()
	if err != nil {
		f.Fatal(err)
	}
	names, err := filepath.Glob("../../testdata/cases/*/*.json")
	if err != nil || len(names) == 0 {
		f.Fatal(len(names), err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		if len(text) < 64<<10 {
			f.Add("POST", "/v1/recipes:credit", text)
			f.Add("POST", "/v1/recipes:batchCredit", []byte(`{"requests":[`+string(text)+`]}`))
		}
	}
	f.Add("POST", "/v1/records:verify", []byte(`{"record":{"steps":[{"start":"1","value":"1","ingredient":-1}],"credits":[{"exact":"1","credited":"1"}]}}`))
	menus, err := filepath.Glob("../../docs/http/menus.http")
	if err != nil || len(menus) == 0 {
		f.Fatal(len(menus), err)
	}
	for _, name := range menus {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		for _, c := range readCalls(string(text)) {
			method, target, _ := strings.Cut(c.line, " ")
			f.Add(method, target[strings.Index(target, "/v1/"):], []byte(c.body))
		}
	}
	f.Add("GET", "/v1/patterns?serviceDate=2026-07-01&program=summer&options[x]=y&pageSize=2", []byte(nil))
	f.Add("GET", "/v1/foods?query=beans&pageSize=3", []byte(nil))
	f.Add("GET", "/v1/rules?program=summer&serviceDate=2026-07-01&options[x]=y", []byte(nil))
	f.Add("GET", "/v1/foods/%ff", []byte("x"))
	f.Fuzz(func(t *testing.T, method, target string, body []byte) {
		if !strings.HasPrefix(target, "/v1/") || strings.ContainsAny(target, " #") {
			return
		}
		r, err := http.NewRequest(method, "http://x"+target, bytes.NewReader(body))
		if err != nil {
			return
		}
		w := httptest.NewRecorder()
		s.Handler().ServeHTTP(w, r)
		if w.Code >= 500 && w.Code != http.StatusNotImplemented {
			t.Fatalf("%s %s: %d %s", method, target, w.Code, w.Body)
		}
		if w.Code >= 400 {
			p := &pb.Problem{}
			if err := protojson.Unmarshal(w.Body.Bytes(), p); err != nil || p.GetReason() == "" || p.GetMessage() == "" {
				t.Fatalf("%s %s: %d %v in %s", method, target, w.Code, err, w.Body)
			}
		}
		if len(s.limit.slots) != 0 || s.limit.bytes.Load() != 0 {
			t.Fatalf("%d places and %d bytes are kept", len(s.limit.slots), s.limit.bytes.Load())
		}
	})
}

// FuzzGRPC takes any bytes for each message and makes the call: it is answered
// or refused, and never fails for a reason of ozeq's own.
func FuzzGRPC(f *testing.F) {
	s, err := fuzzed()
	if err != nil {
		f.Fatal(err)
	}
	names, err := filepath.Glob("../../testdata/cases/*/*.yaml")
	if err != nil || len(names) == 0 {
		f.Fatal(len(names), err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		if m, _ := wire.ReadRequest(text, wire.YAML); m != nil && len(text) < 64<<10 {
			raw, err := proto.Marshal(m)
			if err != nil {
				continue // text that is no UTF-8 cannot be sent
			}
			f.Add(raw)
			if raw, err = proto.Marshal(&pb.BatchCreditRequest{Requests: []*pb.CreditRequest{m, m}}); err == nil {
				f.Add(raw)
			}
		}
	}
	for _, name := range []string{"lunch-week", "weeks/care-lunch-3-5", "weeks/infants-lunch-6-11", "tray"} {
		text, err := os.ReadFile("../../testdata/demo/" + name + ".yaml")
		if err != nil {
			f.Fatal(err)
		}
		for _, m := range []proto.Message{&pb.ReviewRequest{}, &pb.TrayRequest{}} {
			body, err := yaml.YAMLToJSON(text)
			if err != nil {
				f.Fatal(err)
			}
			wire.ReadJSON(body, m)
			raw, err := proto.Marshal(m)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(raw)
		}
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		for _, c := range []struct {
			name string
			in   proto.Message
			call func(context.Context, proto.Message) (any, error)
		}{
			{servicev1.CreditService_Credit_FullMethodName, &pb.CreditRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.Credit(ctx, m.(*pb.CreditRequest))
			}},
			{servicev1.CreditService_BatchCredit_FullMethodName, &pb.BatchCreditRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.BatchCredit(ctx, m.(*pb.BatchCreditRequest))
			}},
			{servicev1.CreditService_VerifyRecord_FullMethodName, &pb.VerifyRecordRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.VerifyRecord(ctx, m.(*pb.VerifyRecordRequest))
			}},
			{servicev1.MenuService_Review_FullMethodName, &pb.ReviewRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.Review(ctx, m.(*pb.ReviewRequest))
			}},
			{servicev1.MenuService_BatchReview_FullMethodName, &pb.BatchReviewRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.BatchReview(ctx, m.(*pb.BatchReviewRequest))
			}},
			{servicev1.MenuService_ReviewDay_FullMethodName, &pb.ReviewDayRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.ReviewDay(ctx, m.(*pb.ReviewDayRequest))
			}},
			{servicev1.MenuService_LookAhead_FullMethodName, &pb.LookAheadRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.LookAhead(ctx, m.(*pb.LookAheadRequest))
			}},
			{servicev1.MenuService_ReviewProduction_FullMethodName, &pb.ProductionRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.ReviewProduction(ctx, m.(*pb.ProductionRequest))
			}},
			{servicev1.MenuService_CheckTray_FullMethodName, &pb.TrayRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.CheckTray(ctx, m.(*pb.TrayRequest))
			}},
			{servicev1.ReferenceService_ListPatterns_FullMethodName, &pb.ListPatternsRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.ListPatterns(ctx, m.(*pb.ListPatternsRequest))
			}},
			{servicev1.ReferenceService_ListFoods_FullMethodName, &pb.ListFoodsRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.ListFoods(ctx, m.(*pb.ListFoodsRequest))
			}},
			{servicev1.ReferenceService_GetFood_FullMethodName, &pb.GetFoodRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.GetFood(ctx, m.(*pb.GetFoodRequest))
			}},
			{servicev1.ReferenceService_ListRules_FullMethodName, &pb.ListRulesRequest{}, func(ctx context.Context, m proto.Message) (any, error) {
				return s.calls.ListRules(ctx, m.(*pb.ListRulesRequest))
			}},
		} {
			if proto.Unmarshal(raw, c.in) != nil {
				continue
			}
			out, err := s.unary(context.Background(), c.in, &grpc.UnaryServerInfo{FullMethod: c.name}, func(ctx context.Context, in any) (any, error) { return c.call(ctx, in.(proto.Message)) })
			switch status.Code(err) {
			case codes.OK:
				if _, err := newDirect().Marshal(out); err != nil {
					t.Fatalf("%s: an answer that cannot be sent: %v", c.name, err)
				}
			case codes.InvalidArgument, codes.NotFound:
			default:
				t.Fatalf("%s: %v", c.name, err)
			}
		}
	})
}
