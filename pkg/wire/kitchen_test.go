package wire_test

import (
	encodingjson "encoding/json"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/kitchen/reading"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// card is text a person may write on a card: letters, signs with a meaning in YAML,
// quotes, other scripts.
var card = rapid.StringMatching(`[a-zA-Z0-9 #:{}\[\],&*!|>'"%@?\\/.¼é肉-]{0,14}`)

// A recipe file reads back as the request it was written of, whatever is in its texts
// and notes.
func TestRecipeFileReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := func(what string) string { return card.Draw(t, what) }
		m := &pb.CreditRequest{ServiceDate: text("date"), Program: text("program"), AgeGroup: text("group"), Recipe: &pb.Recipe{Name: text("name"),
			Servings: rapid.Int32Range(0, 99).Draw(t, "servings"), ExhibitAGroup: text("exhibit"), BatchWeight: text("batch"), Smoothie: rapid.Bool().Draw(t, "smoothie")}}
		if rapid.Bool().Draw(t, "tested") {
			m.Recipe.YieldTest = &pb.YieldTest{PortionsMade: rapid.Int32Range(0, 9).Draw(t, "made"), WeightAfter: text("after")}
		}
		notes := map[int][]string{-1: {rapid.String().Draw(t, "note")}}
		for i := range rapid.IntRange(0, 4).Draw(t, "lines") {
			m.Recipe.Ingredients = append(m.Recipe.Ingredients, &pb.Ingredient{Food: text("food"), Name: text("line"), Quantity: text("quantity"), State: text("state"),
				Share: text("share"), NotCrediting: rapid.Bool().Draw(t, "out"), Hidden: rapid.Bool().Draw(t, "hidden")})
			notes[i] = []string{rapid.String().Draw(t, "note")}
		}
		for range rapid.IntRange(0, 2).Draw(t, "portions") {
			m.Recipe.Portions = append(m.Recipe.Portions, &pb.Portion{Name: text("portion"), Scoop: rapid.Int32Range(0, 40).Draw(t, "scoop"), Measure: text("measure")})
		}
		for range rapid.IntRange(0, 2).Draw(t, "foods") {
			m.Foods = append(m.Foods, &pb.Food{Id: text("id"), Name: text("food name")})
		}
		if rapid.Bool().Draw(t, "options") {
			m.Options = map[string]string{text("option"): text("choice")}
		}
		file, err := wire.AppendRecipeFile(nil, m, notes)
		if err != nil {
			t.Fatal(err)
		}
		back, faults := wire.ReadRequest(file, wire.YAML)
		if back == nil || faults.Err() != nil {
			t.Fatalf("%v in\n%s", faults, file)
		}
		if !proto.Equal(m, back) {
			t.Fatalf("%s\nreads as %v\nand was %v", file, back, m)
		}
	})
}

// The demo questions are answered, each by its own call.
func TestDemoQuestions(t *testing.T) {
	k := kitchen.New(engine())
	read := func(name string) []byte {
		data, err := os.ReadFile("../../testdata/demo/kitchen/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	scale, shape := wire.ReadScale(read("scale.yaml"), wire.YAML)
	if out, err := wire.Scale(k, scale, shape); err != nil || out.Kitchen.Servings != 150 {
		t.Error(out, err)
	}
	for name, reached := range map[string]bool{"target.yaml": true, "target-out-of-reach.yaml": false} {
		target, shape := wire.ReadTarget(read(name), wire.YAML)
		if out, _, err := wire.Target(k, target, shape); err != nil || out.Reached() != reached {
			t.Error(name, out, err)
		}
	}
	compare, shape := wire.ReadCompare(read("compare.yaml"), wire.YAML)
	if out, err := wire.Compare(k, compare, shape); err != nil || len(out.AllergensLost) != 1 {
		t.Error(out, err)
	}
	buy, shape := wire.ReadPurchase(read("buy.yaml"), wire.YAML)
	if out, err := wire.PlanPurchase(k, buy, shape, func() error { return nil }); err != nil || len(out.Lines) != 7 {
		t.Error(out, err)
	}
	r := reading.New(engine().Catalog())
	for _, m := range []*pb.ReadRecipeRequest{{Text: string(read("card.txt"))}, {JsonLd: string(read("card.json"))}} {
		if out, err := wire.ReadRecipe(r, engine().Catalog(), m, nil); err != nil || out.GetServings() == 0 || len(out.GetLines()) < 5 {
			t.Error(out, err)
		}
	}
}

// A purchase whose caller goes away ends.
func TestPlanPurchaseWaits(t *testing.T) {
	gone := errors.New("nobody waits")
	m := &pb.PurchaseRequest{Recipes: []*pb.RecipeToServe{{}, {}}}
	if _, err := wire.PlanPurchase(kitchen.New(engine()), m, nil, func() error { return gone }); !errors.Is(err, gone) {
		t.Error(err)
	}
}

// More than may be asked is refused by number, and not read.
func TestKitchenBounds(t *testing.T) {
	k := kitchen.New(engine())
	wait := func() error { return nil }
	many := func(n int, one string) string { return "[" + strings.Repeat(one+",", n-1) + one + "]" }
	for _, c := range []struct {
		text, path string
		ask        func([]byte) error
	}{
		{`{"recipes":` + many(101, `{"portions":[1]}`) + `}`, "recipes", func(b []byte) error {
			m := &pb.PurchaseRequest{}
			shape, _ := wire.ReadJSON(b, m)
			_, err := wire.PlanPurchase(k, m, shape, wait)
			return err
		}},
		{`{"packs":` + many(501, `{"of":"x","holds":"1 lb"}`) + `}`, "packs", func(b []byte) error {
			m := &pb.PurchaseRequest{}
			shape, _ := wire.ReadJSON(b, m)
			_, err := wire.PlanPurchase(k, m, shape, wait)
			return err
		}},
		{`{"recipe":{},"swaps":` + many(51, `{"path":"0"}`) + `}`, "swaps", func(b []byte) error {
			m := &pb.CompareRequest{}
			shape, _ := wire.ReadJSON(b, m)
			_, err := wire.Compare(k, m, shape)
			return err
		}},
		{`{"recipe":{},"aims":` + many(21, `{"of":"grains","least":"1"}`) + `}`, "aims", func(b []byte) error {
			m := &pb.TargetRequest{}
			shape, _ := wire.ReadJSON(b, m)
			_, _, err := wire.Target(k, m, shape)
			return err
		}},
	} {
		var faults *fault.List
		if err := c.ask([]byte(c.text)); !errors.As(err, &faults) {
			t.Fatalf("%s: %v", c.path, err)
		}
		found := false
		for _, f := range faults.Faults {
			found = found || f.Reason == fault.TooMany && f.Path == c.path
		}
		if !found {
			t.Errorf("%s: %v", c.path, faults)
		}
	}
}

// kitchenQuestions answer JSON by the names of their cases.
func kitchenQuestions(k *kitchen.Kitchen, r *reading.Reader, stop func() error) map[string]func([]byte) (proto.Message, error) {
	return map[string]func([]byte) (proto.Message, error){
		"scale": asked(func(m *pb.ScaleRequest, s *fault.List) (proto.Message, error) {
			out, err := wire.Scale(k, m, s)
			if err != nil {
				return nil, err
			}
			return wire.ScaleMessage(out, false), nil
		}),
		"target": asked(func(m *pb.TargetRequest, s *fault.List) (proto.Message, error) {
			out, _, err := wire.Target(k.Until(stop), m, s)
			if err != nil {
				return nil, err
			}
			return wire.TargetMessage(out, m), nil
		}),
		"compare": asked(func(m *pb.CompareRequest, s *fault.List) (proto.Message, error) {
			out, err := wire.Compare(k, m, s)
			if err != nil {
				return nil, err
			}
			return wire.CompareMessage(out, false), nil
		}),
		"buy": asked(func(m *pb.PurchaseRequest, s *fault.List) (proto.Message, error) {
			out, err := wire.PlanPurchase(k, m, s, stop)
			if err != nil {
				return nil, err
			}
			return wire.PurchaseMessage(out), nil
		}),
		"cautions": asked(func(m *pb.CautionRequest, s *fault.List) (proto.Message, error) {
			out, err := wire.Cautions(k, m, s)
			if err != nil {
				return nil, err
			}
			return wire.CautionsMessage(out), nil
		}),
		"menu-cautions": asked(func(m *pb.CautionMenuRequest, s *fault.List) (proto.Message, error) {
			out, err := wire.CautionMenu(k, m, s)
			if err != nil {
				return nil, err
			}
			return wire.MenuCautionsMessage(out), nil
		}),
		"size": asked(func(m *pb.SizePortionRequest, s *fault.List) (proto.Message, error) { return wire.SizePortion(m, s) }),
		"shortfall": asked(func(m *pb.ShortfallRequest, s *fault.List) (proto.Message, error) {
			return wire.CheckShortfall(k, m, s)
		}),
		"read": asked(func(m *pb.ReadRecipeRequest, s *fault.List) (proto.Message, error) {
			return wire.ReadRecipe(r, engine().Catalog(), m, s)
		}),
	}
}

// asked reads JSON as a message and answers it.
func asked[M any, P interface {
	*M
	proto.Message
}](answer func(P, *fault.List) (proto.Message, error)) func([]byte) (proto.Message, error) {
	return func(data []byte) (proto.Message, error) {
		m := P(new(M))
		shape, _ := wire.ReadJSON(data, m)
		return answer(m, shape)
	}
}

// answeredOrRefused holds a question to an answer that can be written, or to faults
// each with what was expected and how to mend it.
func answeredOrRefused(t testing.TB, m proto.Message, err error) {
	t.Helper()
	var faults *fault.List
	switch {
	case errors.Is(err, errLong):
	case errors.As(err, &faults):
		if len(faults.Faults) == 0 {
			t.Error("an empty list of faults")
		}
		for _, x := range faults.Faults {
			usable(t, x)
		}
	case err != nil:
		t.Fatal(err)
	default:
		text, err := wire.AppendJSON(nil, m)
		if err != nil || !encodingjson.Valid(text) {
			t.Errorf("%v: %s", err, text)
		}
	}
}

// errLong ends a search that takes long, which is no finding.
var errLong = errors.New("long enough")

// upTo returns a stop that allows so many questions, and a way to begin anew.
func upTo(most int) (stop func() error, again func()) {
	n := 0
	return func() error {
		if n++; n > most {
			return errLong
		}
		return nil
	}, func() { n = 0 }
}

func kitchenCases(t testing.TB) []string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(corpus, "kitchen", "*.json"))
	if err != nil || len(names) < 30 {
		t.Fatal(len(names), err)
	}
	return names
}

// FuzzKitchen takes any JSON for each of the kitchen's questions.
func FuzzKitchen(f *testing.F) {
	for _, name := range kitchenCases(f) {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	stop, again := upTo(200)
	questions := kitchenQuestions(kitchen.New(engine()), reading.New(engine().Catalog()), stop)
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 8<<10 {
			return
		}
		for _, ask := range questions {
			again()
			m, err := ask(data)
			answeredOrRefused(t, m, err)
		}
	})
}

// Whatever odd value stands at any one place of a question, it is answered or refused.
func TestKitchenOddValues(t *testing.T) {
	odd := []any{nil, "", "x", "-1", "0", "1/0", "999999999", "0.000000001 oz", "1 lb", "2 cup", "3 each", "1 can no. 10", 0.0, -1.0, 1.0, 2147483647.0, 1.5, true, []any{}, map[string]any{},
		[]any{nil}, strings.Repeat("9", 300), "\u202e", "water", "honey", "surimi", "usable", "vegetables", "H"}
	stop, again := upTo(200)
	questions := kitchenQuestions(kitchen.New(engine()), reading.New(engine().Catalog()), stop)
	tried, every := 0, 7 // of the places and values, to take a second
	if os.Getenv("OZEQ_RECIPES") != "" {
		every = 1
	}
	for _, name := range kitchenCases(t) {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		kind, _, _ := strings.Cut(filepath.Base(name), ".")
		var whole any
		if err := encodingjson.Unmarshal(data, &whole); err != nil {
			t.Fatal(err)
		}
		var at func(here any, put func(any))
		at = func(here any, put func(any)) {
			for _, v := range odd {
				if tried++; tried%every != 0 {
					continue
				}
				put(v)
				text, err := encodingjson.Marshal(whole)
				if err != nil {
					t.Fatal(err)
				}
				again()
				func() {
					defer func() {
						if p := recover(); p != nil {
							t.Errorf("%s: %v", text, p)
						}
					}()
					m, err := questions[kind](text)
					answeredOrRefused(t, m, err)
				}()
			}
			put(here)
			switch here := here.(type) {
			case map[string]any:
				for _, k := range slices.Sorted(maps.Keys(here)) {
					at(here[k], func(x any) { here[k] = x })
				}
			case []any:
				for i, v := range here {
					at(v, func(x any) { here[i] = x })
				}
			}
		}
		at(whole, func(x any) { whole = x })
	}
	t.Logf("%d odd questions", tried/every)
}

// TestUnreadTargetIsNotMissing: a target that could not be read is one thing to mend.
func TestUnreadTargetIsNotMissing(t *testing.T) {
	for target, want := range map[string]string{
		`{"factor":"0"}`:        "BAD_NUMBER target.factor",
		`{"servings":"many"}`:   "WRONG_TYPE target.servings",
		`{"batchWeight":"ten"}`: "BAD_QUANTITY target.batchWeight",
		`{}`:                    "MISSING target",
	} {
		m, shape := wire.ReadScale([]byte(`{"recipe":{"name":"Raisins","servings":40,"ingredients":[{"food":"raisins","quantity":"4 lb"}]},"serviceDate":"2026-09-14","program":"school-lunch","target":`+target+`}`), wire.JSON)
		_, err := wire.Scale(kitchen.New(engine()), m, shape)
		var got []string
		if l, ok := err.(*fault.List); ok {
			for _, f := range l.Faults {
				got = append(got, string(f.Reason)+" "+f.Path)
			}
		}
		if s := strings.Join(got, ", "); s != want {
			t.Errorf("%s: %s, want %s", target, s, want)
		}
	}
}
