package server

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/wire"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
	pb "example.com/ozeq/api/ozeq/v1"
)

// data is loaded once for all tests.
var data = sync.OnceValues(testData)

// running is a server under test with its callers.
type running struct {
	*Server
	http    string // base URL
	credits servicev1.CreditServiceClient
	foods   servicev1.ReferenceServiceClient
	conn    *grpc.ClientConn
	stop    func() error
}

// start serves on ports of its own until the test ends.
func start(t *testing.T, change func(*Config)) *running {
	t.Helper()
	d, err := data()
	if err != nil {
		t.Fatal(err)
	}
	c := Config{GRPCAddress: "127.0.0.1:0", HTTPAddress: "127.0.0.1:0", MetricsAddress: "127.0.0.1:0"}
	if change != nil {
		change(&c)
	}
	s, err := New(c, d)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	served := make(chan error, 1)
	go func() { served <- s.Serve(ctx) }()
	for until := time.Now().Add(5 * time.Second); !s.ready.Load(); time.Sleep(time.Millisecond) {
		if time.Now().After(until) {
			t.Fatal("not ready after 5 s")
		}
	}
	conn, err := grpc.NewClient(s.Addr("grpc").String(), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		t.Fatal(err)
	}
	r := &running{Server: s, http: "http://" + s.Addr("http").String(), conn: conn,
		credits: servicev1.NewCreditServiceClient(conn), foods: servicev1.NewReferenceServiceClient(conn)}
	r.stop = sync.OnceValue(func() error { cancel(); return <-served })
	t.Cleanup(func() {
		http.DefaultClient.CloseIdleConnections()
		_ = conn.Close()
		if err := r.stop(); err != nil {
			t.Errorf("stopping: %v", err)
		}
	})
	return r
}

// post sends JSON and returns the status and the body of the answer.
func (r *running) post(t *testing.T, path string, body []byte) (int, []byte) {
	t.Helper()
	resp, err := http.Post(r.http+path, "application/json", bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	out, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	if kind := resp.Header.Get("Content-Type"); kind != "application/json" || resp.Header.Get(RequestID) == "" {
		t.Errorf("%s answers %q, request id %q", path, kind, resp.Header.Get(RequestID))
	}
	return resp.StatusCode, out
}

// corpus lists the cases of one part, good or bad.
func corpus(t *testing.T, part string) []string {
	t.Helper()
	var names []string
	for _, ext := range []string{"yaml", "json"} {
		found, err := filepath.Glob("../../testdata/cases/" + part + "/*." + ext)
		if err != nil {
			t.Fatal(err)
		}
		names = append(names, found...)
	}
	if len(names) < 20 {
		t.Fatalf("only %d %s cases", len(names), part)
	}
	return names
}

// wanted reads the faults a bad case is to have, "REASON path", sorted.
func wanted(t *testing.T, name string) []string {
	t.Helper()
	f, err := os.Open(strings.TrimSuffix(name, filepath.Ext(name)) + ".faults.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatal(len(rows), err)
	}
	var out []string
	for _, r := range rows[1:] {
		out = append(out, strings.Join(r, " "))
	}
	slices.Sort(out)
	return out
}

func told(l []*pb.Fault) []string {
	var out []string
	for _, f := range l {
		out = append(out, f.GetReason()+" "+f.GetPath())
	}
	slices.Sort(out)
	return out
}

// Every good case is answered the same by the library and through both doors.
func TestGoodCasesThroughBothDoors(t *testing.T) {
	r := start(t, nil)
	d, _ := data()
	engine := credit.New(d.Rules, d.Catalog)
	for _, name := range corpus(t, "good") {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		m, shape := wire.ReadRequest(text, wire.FormatOf(text))
		want, faults, err := wire.Answer(engine, m, shape)
		if err != nil || faults != nil {
			t.Fatalf("%s: %v %v", name, faults, err)
		}
		got, err := r.credits.Credit(context.Background(), m)
		if err != nil || !proto.Equal(got, want) {
			t.Errorf("%s over gRPC: %v, same record: %v", name, err, proto.Equal(got, want))
		}
		body, err := wire.AppendJSON(nil, m)
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range []string{"/v1/recipes:credit", "/v1/products:credit"} {
			code, answer := r.post(t, path, body)
			back := &pb.Record{}
			if err := protojson.Unmarshal(answer, back); err != nil || code != http.StatusOK || !proto.Equal(back, want) {
				t.Errorf("%s over HTTP: %d, %v, same record: %v", name, code, err, proto.Equal(back, want))
			}
		}
	}
}

// Every bad case that can be told through a door has the same faults there, and
// every reason the library has is seen.
func TestBadCasesThroughBothDoors(t *testing.T) {
	r := start(t, nil)
	seen := map[string]map[string]bool{"grpc": {}, "http": {}}
	all := map[string]bool{}
	note := func(door string, faults []string) {
		for _, f := range faults {
			reason, _, _ := strings.Cut(f, " ")
			seen[door][reason] = true
		}
	}
	for _, name := range corpus(t, "bad") {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		want := wanted(t, name)
		for _, w := range want {
			reason, _, _ := strings.Cut(w, " ")
			all[reason] = true
		}
		m, shape := wire.ReadRequest(text, wire.FormatOf(text))
		if shape.Err() == nil && m != nil {
			_, err := r.credits.Credit(context.Background(), m)
			p := problem(status.Convert(err), "")
			got := told(p.GetFaults())
			// Details are capped in size: what is there is the head of the list.
			if p.GetOmitted() == 0 && !slices.Equal(got, want) || len(got)+int(p.GetOmitted()) != len(want) {
				t.Errorf("%s over gRPC:\n%s\nand %d omitted, want\n%s", name, strings.Join(got, "\n"), p.GetOmitted(), strings.Join(want, "\n"))
			}
			note("grpc", got)
			if text, err = wire.AppendJSON(nil, m); err != nil {
				t.Fatal(err)
			}
		} else if filepath.Ext(name) != ".json" {
			continue // YAML that is wrong as YAML cannot come through a door
		}
		code, answer := r.post(t, "/v1/recipes:credit", text)
		p := &pb.Problem{}
		if err := protojson.Unmarshal(answer, p); err != nil {
			t.Fatalf("%s: %v in %s", name, err, answer)
		}
		if got := told(p.GetFaults()); code != http.StatusBadRequest && code != http.StatusRequestEntityTooLarge || !slices.Equal(got, want) {
			t.Errorf("%s over HTTP: %d\n%s\nwant\n%s", name, code, strings.Join(got, "\n"), strings.Join(want, "\n"))
		} else {
			note("http", got)
		}
	}
	// What cannot be written in a case file, and what only text can have wrong.
	_, answer := r.post(t, "/v1/recipes:credit", []byte("{\"recipe\": {\"name\": \"\xff\"}}"))
	_, long := r.post(t, "/v1/recipes:credit", bytes.Repeat([]byte(" "), wire.MaxRequest+1))
	_, deep := r.post(t, "/v1/recipes:credit", []byte(`{"recipe":`+strings.Repeat("[", 40)+strings.Repeat("]", 40)+"}"))
	_, twice := r.post(t, "/v1/recipes:credit", []byte(`{"program":"summer","program":"summer"}`))
	_, misspelt := r.post(t, "/v1/recipes:credit", []byte(`{"programme":"summer"}`))
	for _, a := range [][]byte{answer, long, deep, twice, misspelt} {
		p := &pb.Problem{}
		if err := protojson.Unmarshal(a, p); err != nil {
			t.Fatal(err)
		}
		note("http", told(p.GetFaults()))
	}
	shapes := []fault.Reason{fault.NotUTF8, fault.BadSyntax, fault.TooLarge, fault.TooDeep, fault.UnknownField, fault.DuplicateField, fault.WrongType, fault.BadText}
	for _, reason := range shapes {
		all[string(reason)] = true
	}
	for reason := range all {
		if reason == string(fault.YAMLFeature) {
			continue
		}
		if !seen["http"][reason] {
			t.Errorf("%s is not seen through HTTP", reason)
		}
		if !seen["grpc"][reason] && !slices.Contains(shapes, fault.Reason(reason)) {
			t.Errorf("%s is not seen through gRPC", reason)
		}
	}
	if len(all) < 25 {
		t.Errorf("only %d reasons", len(all))
	}
}

// The look-ups, the batch, the stream and the check of a record answer through
// both doors alike.
func TestOtherCallsThroughBothDoors(t *testing.T) {
	r := start(t, nil)
	ctx := context.Background()
	get := func(path string, into proto.Message) int {
		t.Helper()
		resp, err := http.Get(r.http + path)
		if err != nil {
			t.Fatal(err)
		}
		defer resp.Body.Close()
		body, err := io.ReadAll(resp.Body)
		if err != nil {
			t.Fatal(err)
		}
		if err := protojson.Unmarshal(body, into); err != nil {
			t.Fatalf("%s: %v in %s", path, err, body)
		}
		return resp.StatusCode
	}
	same := func(what string, a, b proto.Message, err error) {
		t.Helper()
		if err != nil || !proto.Equal(a, b) {
			t.Errorf("%s differs between the doors, %v", what, err)
		}
	}
	foods := &pb.ListFoodsResponse{}
	get("/v1/foods?query=brown+rice&pageSize=3&component=grains", foods)
	a, err := r.foods.ListFoods(ctx, &pb.ListFoodsRequest{Query: "brown rice", PageSize: 3, Component: "grains"})
	same("foods", a, foods, err)
	if len(foods.GetFoods()) != 3 || foods.GetNextPageToken() == "" {
		t.Errorf("%v", foods)
	}
	one := &pb.CatalogFood{}
	get("/v1/foods/black-beans-canned", one)
	b, err := r.foods.GetFood(ctx, &pb.GetFoodRequest{Food: "black-beans-canned"})
	same("a food", b, one, err)
	rules := &pb.ListRulesResponse{}
	get("/v1/rules?program=school-lunch&serviceDate=2026-09-14&options[grams-per-ounce]=exact", rules)
	programs, measures := &pb.ListProgramsResponse{}, &pb.ListMeasuresResponse{}
	get("/v1/programs", programs)
	get("/v1/measures", measures)
	c, err := r.foods.ListPrograms(ctx, &pb.ListProgramsRequest{})
	same("programs", c, programs, err)
	d, err := r.foods.ListMeasures(ctx, &pb.ListMeasuresRequest{})
	same("measures", d, measures, err)
	e, err := r.foods.ListRules(ctx, &pb.ListRulesRequest{Program: "school-lunch", ServiceDate: "2026-09-14"})
	if err != nil || len(e.GetValues()) == 0 {
		t.Errorf("%v %v", e, err)
	}
	p := &pb.Problem{}
	if code := get("/v1/foods/black-beens", p); code != http.StatusNotFound || p.GetReason() != string(fault.UnknownFood) {
		t.Errorf("%d %v", code, p)
	}
	if code := get("/v1/foods?pagesize=2&pageSize=x", p); code != http.StatusBadRequest || len(p.GetFaults()) != 2 {
		t.Errorf("%d %v", code, p)
	}

	good := demo(t)
	bad := proto.CloneOf(good)
	bad.Program = "brunch"
	batch := &pb.BatchCreditRequest{Requests: []*pb.CreditRequest{good, bad, good}}
	overGRPC, err := r.credits.BatchCredit(ctx, batch)
	body, _ := wire.AppendJSON(nil, batch)
	code, answer := r.post(t, "/v1/recipes:batchCredit", body)
	overHTTP := &pb.BatchCreditResponse{}
	if e := protojson.Unmarshal(answer, overHTTP); e != nil || code != http.StatusOK {
		t.Errorf("%d %v", code, e)
	}
	same("a batch", overGRPC, overHTTP, err)
	if n := overHTTP.GetAnswers(); len(n) != 3 || n[1].GetFaults() == nil || n[2].GetRecord() == nil {
		t.Errorf("%v", overHTTP)
	}

	verify, _ := wire.AppendJSON(nil, &pb.VerifyRecordRequest{Record: overHTTP.GetAnswers()[0].GetRecord(), Request: good})
	code, answer = r.post(t, "/v1/records:verify", verify)
	v := &pb.VerifyRecordResponse{}
	if e := protojson.Unmarshal(answer, v); e != nil || code != http.StatusOK || !v.GetFollows() || !v.GetStillHolds() {
		t.Errorf("%d %v %s", code, e, answer)
	}
}

func demo(t *testing.T) *pb.CreditRequest {
	t.Helper()
	text, err := os.ReadFile("../../testdata/demo/sorghum-raisin-square.yaml")
	if err != nil {
		t.Fatal(err)
	}
	m, shape := wire.ReadRequest(text, wire.YAML)
	if shape.Err() != nil {
		t.Fatal(shape)
	}
	return m
}

// A stream answers each request in its turn, with its mark, also those with
// faults and those that come without waiting.
func TestStream(t *testing.T) {
	r := start(t, func(c *Config) { c.MaxConcurrent = 2 })
	stream, err := r.credits.StreamCredit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	good := demo(t)
	const n = 300
	go func() {
		for i := range n {
			m := &pb.StreamCreditRequest{Id: fmt.Sprint(i), Request: good}
			switch i % 10 {
			case 3:
				m.Request = nil
			case 7:
				m.Id = strings.Repeat("x", maxID+1)
			}
			if stream.Send(m) != nil {
				return
			}
		}
		_ = stream.CloseSend()
	}()
	for i := 0; ; i++ {
		out, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			if i != n {
				t.Errorf("%d answers of %d", i, n)
			}
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		want := ""
		switch i % 10 {
		case 3:
			want = "MISSING request"
		case 7:
			want = "TOO_LONG id"
		}
		if got := strings.Join(told(out.GetFaults().GetFaults()), " "); got != want || (out.GetRecord() == nil) != (want != "") || i%10 != 7 && out.GetId() != fmt.Sprint(i) {
			t.Errorf("answer %d: id %q, %q, want %q", i, out.GetId(), got, want)
		}
	}
}

// Two servers in one process know nothing of each other, and a server that was
// stopped leaves nothing behind (TestMain looks for goroutines).
func TestTwoServersInOneProcess(t *testing.T) {
	a, b := start(t, nil), start(t, nil)
	for _, r := range []*running{a, b} {
		if _, err := r.credits.Credit(context.Background(), demo(t)); err != nil {
			t.Error(err)
		}
	}
	if err := a.stop(); err != nil {
		t.Error(err)
	}
	if _, err := b.credits.Credit(context.Background(), demo(t)); err != nil {
		t.Errorf("the second stops with the first: %v", err)
	}
	again := start(t, nil)
	if _, err := again.credits.Credit(context.Background(), demo(t)); err != nil {
		t.Error(err)
	}
}

// What was accepted is answered though the server is told to stop, and
// readiness goes first.
func TestStopsInOrder(t *testing.T) {
	r := start(t, func(c *Config) { c.DrainDelay = 300 * time.Millisecond })
	ready := func() int {
		resp, err := http.Get(r.http + "/readyz")
		if err != nil {
			return 0
		}
		resp.Body.Close()
		return resp.StatusCode
	}
	check := func() healthpb.HealthCheckResponse_ServingStatus {
		out, err := healthpb.NewHealthClient(r.conn).Check(context.Background(), &healthpb.HealthCheckRequest{})
		if err != nil {
			t.Error(err)
		}
		return out.GetStatus()
	}
	if ready() != http.StatusOK || check() != healthpb.HealthCheckResponse_SERVING {
		t.Fatal("not ready")
	}
	// A request whose body is under way when the server is told to stop.
	body, _ := wire.AppendJSON(nil, demo(t))
	in, out := io.Pipe()
	answered := make(chan int, 1)
	go func() {
		resp, err := http.Post(r.http+"/v1/recipes:credit", "application/json", in)
		if err != nil {
			answered <- 0
			return
		}
		resp.Body.Close()
		answered <- resp.StatusCode
	}()
	if _, err := out.Write(body[:10]); err != nil {
		t.Fatal(err)
	}
	stopped := make(chan error, 1)
	go func() { stopped <- r.stop() }()
	for until := time.Now().Add(2 * time.Second); r.ready.Load() && time.Now().Before(until); {
		time.Sleep(time.Millisecond)
	}
	if ready() != http.StatusServiceUnavailable || check() != healthpb.HealthCheckResponse_NOT_SERVING {
		t.Error("ready while stopping")
	}
	if _, err := r.credits.Credit(context.Background(), demo(t)); err != nil {
		t.Errorf("while draining: %v", err)
	}
	time.Sleep(400 * time.Millisecond) // the doors are closing now
	if _, err := out.Write(body[10:]); err != nil {
		t.Error(err)
	}
	out.Close()
	if code := <-answered; code != http.StatusOK {
		t.Errorf("the request under way is answered with %d", code)
	}
	if err := <-stopped; err != nil {
		t.Error(err)
	}
}

// A stream may stay open for ever, so the end of the server ends it, between two
// requests: answers come for the first so many, and then the reason.
func TestStopEndsStreams(t *testing.T) {
	r := start(t, func(c *Config) { c.ShutdownTimeout = 10 * time.Second })
	var answers sync.WaitGroup
	const streams = 8
	busy := make(chan struct{}, streams)
	for i := range streams {
		stream, err := r.credits.StreamCredit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if i > 0 { // the first one only stays open
			go func() {
				for n := 0; stream.Send(&pb.StreamCreditRequest{Id: fmt.Sprint(n), Request: demo(t)}) == nil; n++ {
				}
			}()
		} else {
			busy <- struct{}{}
		}
		answers.Go(func() {
			for n := 0; ; n++ {
				out, err := stream.Recv()
				if err != nil {
					if status.Code(err) != codes.Unavailable || reasonOf(err) != Stopping {
						t.Errorf("stream %d ends after %d answers with %v", i, n, err)
					}
					return
				}
				if out.GetId() != fmt.Sprint(n) || out.GetRecord() == nil {
					t.Errorf("stream %d: answer %d is %v", i, n, out)
				}
				if n == 20 {
					busy <- struct{}{}
				}
			}
		})
	}
	for range streams {
		<-busy
	}
	begin := time.Now()
	if err := r.stop(); err != nil || time.Since(begin) > 5*time.Second {
		t.Errorf("stopped after %v with %v", time.Since(begin), err)
	}
	answers.Wait()
}

func reasonOf(err error) string { return problem(status.Convert(err), "").GetReason() }

// Requests that hang are cut off when time is up, and Serve says so.
func TestStopsInTime(t *testing.T) {
	d, err := data()
	if err != nil {
		t.Fatal(err)
	}
	s, err := New(Config{GRPCAddress: "127.0.0.1:0", HTTPAddress: Off, MetricsAddress: Off, ShutdownTimeout: 200 * time.Millisecond}, d)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	served := make(chan error, 1)
	go func() { served <- s.Serve(ctx) }()
	for !s.ready.Load() {
		time.Sleep(time.Millisecond)
	}
	conn, err := grpc.NewClient(s.Addr("grpc").String(), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	// A call whose message never comes.
	stream, err := conn.NewStream(context.Background(), &grpc.StreamDesc{ClientStreams: true, ServerStreams: true}, servicev1.CreditService_Credit_FullMethodName)
	if err != nil {
		t.Fatal(err)
	}
	go func() { _ = stream.RecvMsg(&pb.Record{}) }()
	// The server has it when it has answered a call that came after.
	if _, err := servicev1.NewCreditServiceClient(conn).Credit(context.Background(), demo(t)); err != nil {
		t.Fatal(err)
	}
	cancel()
	select {
	case err := <-served:
		if err == nil || !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("Serve returns %v", err)
		}
	case <-time.After(5 * time.Second):
		t.Error("still serving after 5 s")
	}
}

// A taken port is an error of Serve, which names the setting and leaves no door
// open.
func TestTakenPort(t *testing.T) {
	r := start(t, nil)
	d, _ := data()
	s, err := New(Config{GRPCAddress: "127.0.0.1:0", HTTPAddress: r.Addr("http").String(), MetricsAddress: Off}, d)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Serve(context.Background()); err == nil || !strings.Contains(err.Error(), "http-address") {
		t.Errorf("Serve returns %v", err)
	}
}

// Metrics name calls, doors and codes, and no word of a caller's.
func TestMetrics(t *testing.T) {
	r := start(t, nil)
	if _, err := r.credits.Credit(context.Background(), demo(t)); err != nil {
		t.Fatal(err)
	}
	r.post(t, "/v1/recipes:credit", []byte(`{"program":"CallersWord"}`))
	r.post(t, "/v1/menus:review", []byte(`{"menu":{"site":"CallersWord"}}`))
	resp, err := http.Get("http://" + r.Addr("metrics").String() + "/metrics")
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`ozeq_requests_total{call="Credit",code="OK",door="grpc"} 1`, `ozeq_requests_total{call="Credit",code="INVALID_ARGUMENT",door="http"} 1`,
		`ozeq_requests_total{call="Review",code="INVALID_ARGUMENT",door="http"} 1`,
		`ozeq_request_duration_seconds_count{call="Credit",door="http"} 1`, "ozeq_requests_in_flight 0", "ozeq_request_body_bytes 0", "go_goroutines"} {
		if !bytes.Contains(text, []byte(want)) {
			t.Errorf("%s is not among the metrics", want)
		}
	}
	if bytes.Contains(text, []byte("CallersWord")) {
		t.Error("a caller's word is among the metrics")
	}
}

// The document and its page are served.
func TestDocument(t *testing.T) {
	r := start(t, nil)
	for path, want := range map[string]string{"/openapi.json": `"openapi": "3.1.0"`, "/docs/": "<title>ozeq", "/livez": "ok", "/readyz": "ready"} {
		resp, err := http.Get(r.http + path)
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(resp.Body)
		resp.Body.Close()
		if err != nil || resp.StatusCode != http.StatusOK || !bytes.Contains(text, []byte(want)) {
			t.Errorf("%s: %d, %v, %.80s", path, resp.StatusCode, err, text)
		}
	}
}
