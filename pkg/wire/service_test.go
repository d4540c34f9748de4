package wire_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// filed credits a good case and returns the request and its record.
func filed(t *testing.T, name string) (*pb.CreditRequest, *pb.Record) {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	req, shape := wire.ReadRequest(data, wire.FormatOf(data))
	rec, faults, err := wire.Answer(exampleEngine(), req, shape)
	if err != nil || faults != nil {
		t.Fatal(err, faults)
	}
	return req, rec
}

// Every record of the corpus follows from itself after a trip through JSON, and
// still holds.
func TestVerifyHolds(t *testing.T) {
	names, err := filepath.Glob("../../testdata/cases/good/*.yaml")
	if err != nil || len(names) < 20 {
		t.Fatal(len(names), err)
	}
	e := exampleEngine()
	for _, name := range names {
		req, rec := filed(t, name)
		text, err := wire.MarshalJSON(rec)
		if err != nil {
			t.Fatal(err)
		}
		var m pb.VerifyRecordRequest
		faults, ok := wire.ReadJSON([]byte(`{"record":`+string(text)+`}`), &m)
		if !ok || faults.Err() != nil {
			t.Fatalf("%s: %v", name, faults)
		}
		if !proto.Equal(m.GetRecord(), rec) {
			t.Errorf("%s: a record changes on its way through JSON", name)
		}
		m.Request = req
		out, err := wire.Verify(e, &m, nil)
		if err != nil || !out.GetFollows() || !out.GetCompared() || !out.GetStillHolds() || len(out.GetDifferences()) > 0 {
			t.Errorf("%s: %v %v", name, out, err)
		}
	}
}

// Whatever is changed in a filed record by hand is seen.
func TestVerifySeesChanges(t *testing.T) {
	_, clean := filed(t, "../../testdata/demo/sorghum-raisin-square.yaml")
	for what, change := range map[string]func(*pb.Record){
		"credited":           func(m *pb.Record) { m.Credits[0].Credited = "9.75" },
		"exact":              func(m *pb.Record) { m.Credits[0].Exact = "39/4" },
		"a figure":           func(m *pb.Record) { m.Figures[0].Used = "999/7" },
		"an amount":          func(m *pb.Record) { m.Ingredients[0].Quantity = "99 lb" },
		"an ingredient":      func(m *pb.Record) { m.Ingredients[0].Credit = "99" },
		"a step's value":     func(m *pb.Record) { m.Steps[0].Value = "99" },
		"a step's start":     func(m *pb.Record) { m.Steps[0].Start = "99" },
		"a step from itself": func(m *pb.Record) { m.Steps[0].Terms[0].Step = 0 },
		"no such figure":     func(m *pb.Record) { m.Steps[0].Terms[0].Figure = 1 << 30 },
		"no such ingredient": func(m *pb.Record) { m.Steps[0].Ingredient = 1 << 30 },
		"no such unit":       func(m *pb.Record) { m.Steps[0].Unit = "bushel" },
		"no such operation":  func(m *pb.Record) { m.Steps[0].Terms[0].Operation = "round-up" },
		"no number":          func(m *pb.Record) { m.Credits[0].Exact = "1e9" },
		"servings":           func(m *pb.Record) { m.Servings = 4 },
	} {
		m := proto.CloneOf(clean)
		change(m)
		out, err := wire.Verify(exampleEngine(), &pb.VerifyRecordRequest{Record: m}, nil)
		if err != nil || out.GetFollows() || out.GetProblem() == "" {
			t.Errorf("%s: %v %v", what, out, err)
		}
	}
}

// A record made to keep a machine busy is given up on.
func TestVerifyIsBounded(t *testing.T) {
	m := &pb.Record{Servings: 1, Figures: []*pb.Figure{{Used: strings.Repeat("9", 1200) + "/" + strings.Repeat("7", 1200)}}}
	step := &pb.Step{Ingredient: -1, Start: "1", Value: "1"}
	for range 90_000 {
		step.Terms = append(step.Terms, &pb.Term{Operation: "times", Figure: 0, Step: -1})
	}
	m.Steps = append(m.Steps, step)
	start := time.Now()
	err := wire.Follows(m)
	if err == nil || !strings.Contains(err.Error(), "more work") {
		t.Error(err)
	}
	if d := time.Since(start); d > 30*time.Second {
		t.Errorf("took %v", d)
	}
}

// What changed since a record was filed is named.
func TestVerifyDifferences(t *testing.T) {
	req, rec := filed(t, "../../testdata/demo/sorghum-raisin-square.yaml")
	rec.Ids.Catalog = "older"
	rec.Figures[0].Id = "figure/withdrawn"
	rec.Credits[0].Status = pb.Status_STATUS_ESTIMATE
	out, err := wire.Verify(exampleEngine(), &pb.VerifyRecordRequest{Record: rec, Request: req}, nil)
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[string]int{}
	for _, d := range out.GetDifferences() {
		kinds[d.GetKind()]++
	}
	if !out.GetFollows() || out.GetStillHolds() || kinds["catalog"] != 1 || kinds["figure"] != 2 || kinds["credit"] != 1 || kinds["rule-set"] != 0 {
		t.Errorf("%v", out)
	}
}

func TestBatch(t *testing.T) {
	good, _ := filed(t, "../../testdata/demo/sorghum-raisin-square.yaml")
	bad := proto.CloneOf(good)
	bad.Recipe.Ingredients[0].Food = "sorgum-flour"
	calls := 0
	wait := func() error { calls++; return nil }
	shape := &fault.List{}
	shape.Add(fault.Fault{Reason: fault.UnknownField, Path: "requests[2].recipe.servngs", Want: "one of the fields known here"})
	out, err := wire.Batch(exampleEngine(), &pb.BatchCreditRequest{Requests: []*pb.CreditRequest{good, bad, good}}, shape, wait)
	if err != nil || calls != 3 || len(out.GetAnswers()) != 3 {
		t.Fatal(out, err, calls)
	}
	for i, want := range []string{"", "UNKNOWN_FOOD recipe.ingredients[0].food", "UNKNOWN_FIELD recipe.servngs"} {
		a := out.GetAnswers()[i]
		got := ""
		if f := a.GetFaults().GetFaults(); len(f) == 1 {
			got = f[0].GetReason() + " " + f[0].GetPath()
		}
		if int(a.GetIndex()) != i || got != want || (a.GetRecord() == nil) != (want != "") {
			t.Errorf("answer %d: %q, want %q", i, got, want)
		}
	}
	for n, want := range map[int]string{0: "MISSING requests", wire.MaxBatch + 1: "TOO_MANY requests"} {
		m := &pb.BatchCreditRequest{Requests: make([]*pb.CreditRequest, n)}
		_, err := wire.Batch(exampleEngine(), m, nil, wait)
		var l fault.List
		if !l.Append(err) || len(l.Faults) != 1 || string(l.Faults[0].Reason)+" "+l.Faults[0].Path != want {
			t.Errorf("%d requests: %v, want %s", n, err, want)
		}
	}
}

// Pages cover every food once, in order.
func TestListFoodsPages(t *testing.T) {
	_, cat := exampleCatalog(t)
	for _, m := range []*pb.ListFoodsRequest{{PageSize: 7, Query: "beans"}, {PageSize: 200}, {PageSize: 50, Component: "fruits"}} {
		var ids []string
		for {
			page, err := wire.ListFoods(cat, m, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range page.GetFoods() {
				ids = append(ids, f.GetId())
			}
			if m.PageToken = page.GetNextPageToken(); m.PageToken == "" {
				if len(ids) != int(page.GetTotalSize()) || len(ids) == 0 {
					t.Errorf("%d foods on the pages, %d in all", len(ids), page.GetTotalSize())
				}
				break
			}
		}
		seen := map[string]bool{}
		for _, id := range ids {
			if seen[id] {
				t.Errorf("%s twice", id)
			}
			seen[id] = true
		}
	}
	for want, m := range map[string]*pb.ListFoodsRequest{
		"OUT_OF_RANGE pageSize":   {PageSize: -1},
		"UNKNOWN_VALUE component": {Component: "candy"},
		"UNKNOWN_VALUE pageToken": {PageToken: "7.other"},
		"TOO_LONG query":          {Query: strings.Repeat("beans ", 100)},
	} {
		_, err := wire.ListFoods(cat, m, nil)
		if err == nil || !strings.Contains(err.Error(), strings.Fields(want)[1]) || !strings.Contains(err.Error(), strings.Fields(want)[0]) {
			t.Errorf("%v, want %s", err, want)
		}
	}
}

func TestReferenceLookUps(t *testing.T) {
	all, cat := exampleCatalog(t)
	f, err := wire.GetFood(cat, &pb.GetFoodRequest{Food: "whole-wheat-flour"})
	if err != nil || f.GetName() == "" || len(f.GetFigures()) == 0 || f.GetFigures()[0].GetCitation() == "" {
		t.Error(f, err)
	}
	if _, err := wire.GetFood(cat, &pb.GetFoodRequest{Food: "whole-wheat-flor"}); err == nil || !strings.Contains(err.Error(), "whole-wheat-flour") {
		t.Error(err)
	}
	r, err := wire.ListRules(all, &pb.ListRulesRequest{Program: "school-lunch", ServiceDate: "2026-09-14"}, nil)
	if err != nil || len(r.GetValues()) < 20 || len(r.GetOptions()) == 0 || r.GetRuleSet() == "" {
		t.Error(r, err)
	}
	for _, v := range r.GetValues() {
		if v.GetCitation() == "" || v.GetFrom() == "" || v.GetValue() == "" && len(v.GetTable()) == 0 {
			t.Errorf("%v", v)
		}
	}
	for _, m := range []*pb.ListRulesRequest{{}, {Program: "school-lunch", ServiceDate: "1990-01-01"}, {Program: "no", ServiceDate: "2026-09-14"}} {
		if _, err := wire.ListRules(all, m, nil); err == nil {
			t.Errorf("%v is answered", m)
		}
	}
	if n := len(wire.ListPrograms(all).GetPrograms()); n < 4 {
		t.Errorf("%d programs", n)
	}
	measures := wire.ListMeasures()
	text, err := wire.MarshalJSON(measures)
	for _, want := range []string{`"id": "lb"`, `"size": "16"`, `"number": 16`, `"cups": "1/4"`} {
		if err != nil || !bytes.Contains(text, []byte(want)) {
			t.Errorf("%s is not among the measures, %v", want, err)
		}
	}
}
