package wire_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// FuzzJSON and FuzzYAML look for bytes that panic, that are answered by both a
// record and faults or by neither, by a fault without a reason, or that are
// accepted and cannot be written out and read again.
func FuzzJSON(f *testing.F) { fuzz(f, wire.JSON) }

func FuzzYAML(f *testing.F) { fuzz(f, wire.YAML) }

func fuzz(f *testing.F, format wire.Format) {
	for _, part := range []string{"good", "bad"} {
		for _, name := range cases(f, part) {
			data, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	for _, h := range hostiles() {
		// Seeds of a megabyte would have the fuzzer do nothing else.
		if data := h.make(); h.f == format && len(data) < 4096 {
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		rec, faults := answer(t, data, format)
		if (rec == nil) == (faults == nil) {
			t.Fatalf("record %v, faults %v", rec != nil, faults)
		}
		if faults != nil {
			if len(faults.Faults) == 0 {
				t.Fatal("an empty list of faults")
			}
			for _, x := range faults.Faults {
				usable(t, x)
			}
		}
		again(t, data, format)
		if rec == nil {
			return
		}
		if err := credit.Replay(rec); err != nil {
			t.Errorf("the record does not replay: %v", err)
		}
		if _, err := wire.MarshalJSON(wire.Record(rec, true)); err != nil {
			t.Errorf("the record cannot be written: %v", err)
		}
	})
}

// again writes a request that was read without a fault of its shape, and reads
// what was written.
func again(t *testing.T, data []byte, format wire.Format) {
	m, shape := wire.ReadRequest(data, format)
	if m == nil || shape.Err() != nil {
		return
	}
	bare, err := protojson.Marshal(m)
	if err != nil {
		t.Fatalf("the request cannot be written: %v", err)
	}
	if len(bare) > wire.MaxRequest {
		return // YAML may say it shorter
	}
	back, shape := wire.ReadRequest(bare, wire.JSON)
	if err := shape.Err(); err != nil {
		t.Fatalf("%s is read with %v", bare, err)
	}
	if !proto.Equal(m, back) {
		t.Errorf("%s is read as another request", bare)
	}
}

// FuzzFollows looks for records made by hand that panic or keep a machine busy,
// and for one that follows and claims more than it credits.
func FuzzFollows(f *testing.F) {
	for _, name := range cases(f, "good") {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		if rec, faults := answer(f, data, wire.FormatOf(data)); faults == nil {
			f.Add(wire.AppendRecord(nil, rec, false))
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		m := &pb.Record{}
		if proto.Unmarshal(data, m) != nil || wire.Follows(m) != nil {
			return
		}
		for _, c := range m.GetCredits() {
			if rat(c.GetCredited()).Less(rat(c.GetClaimable())) {
				t.Errorf("claims %s of %s", c.GetClaimable(), c.GetCredited())
			}
		}
	})
}

// FuzzMenu takes any text for a menu, a look-ahead, a production record and a tray: it
// is answered or refused.
func FuzzMenu(f *testing.F) {
	names, err := filepath.Glob("../../testdata/menus/bad/*.yaml")
	if err != nil || len(names) == 0 {
		f.Fatal(len(names), err)
	}
	for _, name := range append(names, "../../testdata/demo/lunch-week.yaml", "../../testdata/demo/tray.yaml", "../../testdata/demo/production-day.yaml", "../../testdata/demo/weeks/care-lunch-3-5.yaml") {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	p, err := patterns.Default()
	if err != nil {
		f.Fatal(err)
	}
	r := menu.New(exampleEngine(), p)
	f.Fuzz(func(t *testing.T, text []byte) {
		if len(text) > 16<<10 {
			return
		}
		var faults *fault.List
		m, shape := wire.ReadReview(text, wire.FormatOf(text))
		if out, err := wire.Review(r, m, shape); err != nil && !errors.As(err, &faults) {
			t.Fatal(err)
		} else if err == nil {
			if _, err := wire.AppendJSON(nil, wire.ReviewMessage(out)); err != nil {
				t.Fatal(err)
			}
		}
		day := &pb.ReviewDayRequest{Menus: []*pb.Menu{m.GetMenu()}}
		if _, err := wire.ReviewDay(r, day, shape); err != nil && !errors.As(err, &faults) {
			t.Fatal(err)
		}
		ahead, shape := wire.ReadLookAhead(text, wire.FormatOf(text))
		if out, err := wire.LookAhead(r, ahead, shape); err != nil && !errors.As(err, &faults) {
			t.Fatal(err)
		} else if err == nil {
			if _, err := wire.AppendJSON(nil, wire.LookAheadMessage(out)); err != nil {
				t.Fatal(err)
			}
		}
		record, shape := wire.ReadProduction(text, wire.FormatOf(text))
		if out, err := wire.Production(r, record, shape); err != nil && !errors.As(err, &faults) {
			t.Fatal(err)
		} else if err == nil {
			if _, err := wire.AppendJSON(nil, wire.ProductionMessage(out)); err != nil {
				t.Fatal(err)
			}
		}
		tray, shape := wire.ReadTray(text, wire.FormatOf(text))
		if out, err := wire.CheckTray(r, tray, shape); err != nil && !errors.As(err, &faults) {
			t.Fatal(err)
		} else if err == nil {
			if _, err := wire.AppendJSON(nil, wire.TrayMessage(out)); err != nil {
				t.Fatal(err)
			}
		}
	})
}
