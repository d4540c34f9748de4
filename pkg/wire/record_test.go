package wire_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// records credits the good part of the corpus and hands each record over by
// the name of its file.
func records(t *testing.T, each func(t *testing.T, rec *credit.Record)) {
	t.Helper()
	for _, name := range cases(t, "good") {
		t.Run(name[strings.LastIndexByte(name, '/')+1:], func(t *testing.T) {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			rec, faults := answer(t, data, wire.FormatOf(data))
			if faults != nil {
				t.Fatal(faults)
			}
			each(t, rec)
		})
	}
}

// A record comes back from its JSON whole.
func TestRecordRoundTrip(t *testing.T) {
	records(t, func(t *testing.T, rec *credit.Record) {
		for _, explain := range []bool{false, true} {
			m := wire.Record(rec, explain)
			data, err := wire.MarshalJSON(m)
			if err != nil {
				t.Fatal(err)
			}
			var back pb.Record
			if err := protojson.Unmarshal(data, &back); err != nil {
				t.Fatal(err)
			}
			if !proto.Equal(m, &back) {
				t.Errorf("explain %v: the record came back another", explain)
			}
		}
	})
}

// The same record gives the same bytes: from one message twice, from one record
// twice, and from the request once more.
func TestMarshalIsDeterministic(t *testing.T) {
	for _, name := range cases(t, "good") {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var first []byte
		for i := range 20 {
			rec, faults := answer(t, data, wire.FormatOf(data))
			if faults != nil {
				t.Fatal(faults)
			}
			text, err := wire.MarshalJSON(wire.Record(rec, true))
			if err != nil {
				t.Fatal(err)
			}
			if i == 0 {
				first = text
			}
			if !bytes.Equal(first, text) {
				t.Fatalf("%s: try %d gives other bytes", name, i)
			}
		}
	}
}

// Zeros and empty lists are written out, for readers that would take a field
// left out for one that does not exist.
func TestMarshalWritesEverything(t *testing.T) {
	data, err := wire.MarshalJSON(&pb.Record{Credits: []*pb.Credit{{}}})
	if err != nil {
		t.Fatal(err)
	}
	const want = `{
  "name": "",
  "servings": 0,
  "serviceDate": "",
  "program": "",
  "credits": [
    {
      "component": "COMPONENT_UNSPECIFIED",
      "subgroup": "SUBGROUP_UNSPECIFIED",
      "exact": "",
`
	if !strings.HasPrefix(string(data), want) {
		t.Errorf("got\n%s", data)
	}
	for _, field := range []string{`"alternatives": []`, `"steps": []`, `"ingredients": []`, `"figures": []`, `"findings": []`, `"options": {}`} {
		if !strings.Contains(string(data), field) {
			t.Errorf("%s is left out", field)
		}
	}
	if !bytes.HasSuffix(data, []byte("}\n")) {
		t.Error("no line end after the last brace")
	}
}

// Numbers on the wire are text, and exact ones parse back to the same value.
func TestRecordNumbers(t *testing.T) {
	records(t, func(t *testing.T, rec *credit.Record) {
		m := wire.Record(rec, false)
		for i, c := range m.GetCredits() {
			cr := &rec.Credits[i]
			same(t, "exact", c.GetExact(), cr.Exact)
			same(t, "credited", c.GetCredited(), cr.Credited)
			same(t, "step", c.GetStep(), cr.Step)
			if n, err := exact.Parse(c.GetDecimal()); err != nil || cr.Exact.Less(n) || !cr.Exact.Less(n.Add(exact.Frac(1, 10_000))) {
				t.Errorf("%s cut to four places is %s", c.GetExact(), c.GetDecimal())
			}
			if cr.Exact.Less(cr.Credited) {
				t.Errorf("credited %s of %s", c.GetCredited(), c.GetExact())
			}
			if c.GetStatus() == pb.Status_STATUS_UNSPECIFIED || c.GetComponent() == pb.Component_COMPONENT_UNSPECIFIED {
				t.Errorf("credit %d: %v, %v", i, c.GetComponent(), c.GetStatus())
			}
			if (c.GetStatus() == pb.Status_STATUS_NO_CREDIT) != (c.GetNoCredit() != "") || (c.GetNoCredit() != "") != cr.Credited.IsZero() {
				t.Errorf("credit %d: %s, %v, %q", i, c.GetCredited(), c.GetStatus(), c.GetNoCredit())
			}
			if (c.GetStatus() == pb.Status_STATUS_ESTIMATE) != (c.GetVerify() != "") {
				t.Errorf("credit %d: %v, and to verify: %q", i, c.GetStatus(), c.GetVerify())
			}
		}
		for i, s := range m.GetSteps() {
			same(t, fmt.Sprint("step ", i), s.GetValue(), rec.Steps[i].Value)
		}
	})
}

func same(t *testing.T, what, text string, n exact.Number) {
	t.Helper()
	if n.Sign() < 0 {
		return // only a step may be, and Parse takes no sign
	}
	if got, err := exact.Parse(text); err == nil && !got.Equal(n) || err != nil && text != n.Fraction() {
		t.Errorf("%s is %s on the wire and %s in the record", what, text, n.Fraction())
	}
}

// A message refers to nothing it does not hold, and its steps end in its
// credits: a reader with the message alone can work it out again.
func TestRecordRefersToItself(t *testing.T) {
	records(t, func(t *testing.T, rec *credit.Record) {
		m := wire.Record(rec, true)
		ids := make(map[string]bool)
		for _, g := range m.GetFigures() {
			ids[g.GetId()] = true
		}
		for i, s := range m.GetSteps() {
			if int(s.GetIndex()) != i || s.GetText() == "" || s.GetOperation() == "" || s.GetRule() == "" || s.GetOutcome() == pb.Outcome_OUTCOME_UNSPECIFIED {
				t.Errorf("step %d: %v", i, s)
			}
			if n := s.GetIngredient(); n < -1 || int(n) >= len(m.GetIngredients()) {
				t.Errorf("step %d: ingredient %d", i, n)
			}
			for _, term := range s.GetTerms() {
				if n := term.GetFigure(); n < -1 || int(n) >= len(m.GetFigures()) {
					t.Errorf("step %d: figure %d", i, n)
				}
				if n := term.GetStep(); n < -1 || int(n) >= i {
					t.Errorf("step %d: refers to step %d", i, n)
				}
				if term.GetOperation() == "" || term.GetValue() == "" {
					t.Errorf("step %d: %v", i, term)
				}
			}
		}
		for i, c := range m.GetCredits() {
			if len(c.GetSteps()) == 0 {
				t.Errorf("credit %d: no steps", i)
				continue
			}
			last := m.GetSteps()[c.GetSteps()[len(c.GetSteps())-1]]
			same(t, fmt.Sprint("last step of credit ", i), last.GetValue(), rec.Credits[i].Credited)
		}
		for i, f := range m.GetFindings() {
			if f.GetText() == "" || f.GetReason() == "" || f.GetSeverity() == pb.Severity_SEVERITY_UNSPECIFIED {
				t.Errorf("finding %d: %v", i, f)
			}
			for _, id := range f.GetFigures() {
				if !ids[id] {
					t.Errorf("finding %d: no figure %s", i, id)
				}
			}
		}
		for _, s := range wire.Record(rec, false).GetSteps() {
			if s.GetText() != "" {
				t.Error("steps are in words although nobody asked")
			}
		}
	})
}

// The contract's enums and the library's are cast into each other by number:
// the names must agree.
func TestEnumsAgree(t *testing.T) {
	word := func(s string) string { return strings.ToUpper(strings.ReplaceAll(s, "-", "_")) }
	for c := food.Grains; c <= food.Milk; c++ {
		if got, want := pb.Component(c).String(), "COMPONENT_"+word(c.String()); got != want {
			t.Errorf("component %s is %s on the wire", c, got)
		}
	}
	for s := food.DarkGreen; s <= food.Additional; s++ {
		if got, want := pb.Subgroup(s).String(), "SUBGROUP_"+word(s.String()); got != want {
			t.Errorf("subgroup %s is %s on the wire", s, got)
		}
	}
	for v, want := range map[credit.Severity]string{credit.Note: "SEVERITY_NOTE", credit.Check: "SEVERITY_CHECK", credit.Caution: "SEVERITY_CAUTION"} {
		if got := pb.Severity(v).String(); got != want {
			t.Errorf("severity %s is %s on the wire", want, got)
		}
	}
	for v, want := range map[credit.Outcome]string{credit.Counted: "OUTCOME_COUNTED", credit.Nothing: "OUTCOME_NOTHING", credit.RoundedDown: "OUTCOME_ROUNDED_DOWN"} {
		if got := pb.Outcome(v).String(); got != want {
			t.Errorf("outcome %s is %s on the wire", want, got)
		}
	}
	// Statuses are mapped, not cast: each library status in a record of its own.
	rs, err := engine().Rules().Resolve(rules.Date{Year: 2026, Month: 9, Day: 14}, "school-lunch", nil)
	if err != nil {
		t.Fatal(err)
	}
	for s, want := range map[credit.Status]pb.Status{
		credit.NoCredit: pb.Status_STATUS_NO_CREDIT, credit.Documented: pb.Status_STATUS_DOCUMENTED,
		credit.NeedsPaper: pb.Status_STATUS_NEEDS_PAPER, credit.Estimate: pb.Status_STATUS_ESTIMATE,
	} {
		rec := &credit.Record{Program: rs.Program, GrainsUnit: "oz eq", Credits: []credit.Credit{{Component: food.Grains, Status: s, FirstStep: 0, LastStep: -1}}}
		if got := wire.Record(rec, false).GetCredits()[0].GetStatus(); got != want {
			t.Errorf("status %s is %v on the wire, want %v", s, got, want)
		}
	}
	if n := len(pb.Status_name); n != 5 {
		t.Errorf("the contract has %d statuses, this test knows 5", n)
	}
}

// Faults go over the wire whole.
func TestFaultsMessage(t *testing.T) {
	l := &fault.List{Omitted: 3}
	l.Add(fault.Fault{Reason: fault.UnknownFood, Path: "recipe.ingredients[0].food", Value: "kinwa", Want: "a food", Fix: "Nearest: quinoa."})
	l.Add(fault.Fault{Reason: fault.Missing, Path: "program"})
	data, err := wire.MarshalJSON(wire.Faults(l))
	if err != nil {
		t.Fatal(err)
	}
	const want = `{
  "faults": [
    {
      "reason": "UNKNOWN_FOOD",
      "path": "recipe.ingredients[0].food",
      "value": "kinwa",
      "want": "a food",
      "fix": "Nearest: quinoa."
    },
    {
      "reason": "MISSING",
      "path": "program",
      "value": "",
      "want": "",
      "fix": ""
    }
  ],
  "omitted": 3
}
`
	if string(data) != want {
		t.Errorf("got\n%s", data)
	}
}

// Both ways of writing a record give the same: JSON of the message and JSON
// straight from the record byte for byte, and protobuf that reads back as every
// field that JSON has.
func TestRecordWrittenBothWays(t *testing.T) {
	names, err := filepath.Glob("../../testdata/cases/good/*")
	if err != nil {
		t.Fatal(err)
	}
	e, n := exampleEngine(), 0
	for _, name := range names {
		if ext := filepath.Ext(name); ext != ".yaml" && ext != ".json" {
			continue
		}
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		req, shape := wire.ReadRequest(data, wire.FormatOf(data))
		rec, err := wire.Credit(e, req, shape)
		if err != nil {
			t.Fatal(err)
		}
		n++
		for _, explain := range []bool{false, true} {
			m := wire.Record(rec, explain)
			fromMessage, err := wire.AppendJSON(nil, m)
			if err != nil {
				t.Fatal(err)
			}
			if direct := wire.AppendRecordJSON(nil, rec, explain); !bytes.Equal(direct, fromMessage) {
				t.Errorf("%s: straight\n%s\nfrom the message\n%s", name, direct, fromMessage)
			}
			again, err := proto.MarshalOptions{Deterministic: true}.Marshal(m)
			if err != nil {
				t.Fatal(err)
			}
			if direct := wire.AppendRecord(nil, rec, explain); len(direct) != len(again) {
				t.Errorf("%s: %d bytes of protobuf, the library writes %d", name, len(direct), len(again))
			}
			answer := &pb.StreamCreditResponse{}
			if err := proto.Unmarshal(wire.AppendStreamAnswer(nil, "7", rec, explain), answer); err != nil || answer.GetId() != "7" || !proto.Equal(answer.GetRecord(), m) {
				t.Errorf("%s: on a stream: %v", name, err)
			}
		}
	}
	if n < 30 {
		t.Errorf("only %d cases", n)
	}
}
