package wire_test

import (
	encodingjson "encoding/json"
	"errors"
	"os"
	"path/filepath"
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
	k := kitchen.New(exampleEngine())
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
	r := reading.New(exampleEngine().Catalog())
	for _, m := range []*pb.ReadRecipeRequest{{Text: string(read("card.txt"))}, {JsonLd: string(read("card.json"))}} {
		if out, err := wire.ReadRecipe(r, exampleEngine().Catalog(), m, nil); err != nil || out.GetServings() == 0 || len(out.GetLines()) < 5 {
			t.Error(out, err)
		}
	}
}

// A purchase whose caller goes away ends.
func TestPlanPurchaseWaits(t *testing.T) {
	gone := errors.New("nobody waits")
	m := &pb.PurchaseRequest{Recipes: []*pb.RecipeToServe{{}, {}}}
	if _, err := wire.PlanPurchase(kitchen.New(exampleEngine()), m, nil, func() error { return gone }); !errors.Is(err, gone) {
		t.Error(err)
	}
}

// More than may be asked is refused by number, and not read.
func TestKitchenBounds(t *testing.T) {
	k := kitchen.New(exampleEngine())
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

// FuzzKitchen takes any JSON for each of the kitchen's questions: it is answered or
// refused, every fault with what was expected and how to mend it.
func FuzzKitchen(f *testing.F) {
	names, err := filepath.Glob(filepath.Join(corpus, "kitchen", "*.json"))
	if err != nil || len(names) < 30 {
		f.Fatal(len(names), err)
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	k, r := kitchen.New(exampleEngine()), reading.New(exampleEngine().Catalog())
	asked := 0
	stop := func() error { // a search may take long, which is no finding
		if asked++; asked > 200 {
			return errLong
		}
		return nil
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 8<<10 {
			return
		}
		asked = 0
		answered := func(m proto.Message, err error) {
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
		{
			m := &pb.ScaleRequest{}
			shape, _ := wire.ReadJSON(data, m)
			out, err := wire.Scale(k, m, shape)
			if err == nil {
				answered(wire.ScaleMessage(out, false), nil)
			} else {
				answered(nil, err)
			}
		}
		{
			m := &pb.TargetRequest{}
			shape, _ := wire.ReadJSON(data, m)
			out, _, err := wire.Target(k.Until(stop), m, shape)
			if err == nil {
				answered(wire.TargetMessage(out, m), nil)
			} else {
				answered(nil, err)
			}
		}
		{
			m := &pb.CompareRequest{}
			shape, _ := wire.ReadJSON(data, m)
			out, err := wire.Compare(k, m, shape)
			if err == nil {
				answered(wire.CompareMessage(out, false), nil)
			} else {
				answered(nil, err)
			}
		}
		{
			m := &pb.PurchaseRequest{}
			shape, _ := wire.ReadJSON(data, m)
			out, err := wire.PlanPurchase(k, m, shape, stop)
			if err == nil {
				answered(wire.PurchaseMessage(out), nil)
			} else {
				answered(nil, err)
			}
		}
		{
			m := &pb.CautionRequest{}
			shape, _ := wire.ReadJSON(data, m)
			out, err := wire.Cautions(k, m, shape)
			if err == nil {
				answered(wire.CautionsMessage(out), nil)
			} else {
				answered(nil, err)
			}
		}
		{
			m := &pb.CautionMenuRequest{}
			shape, _ := wire.ReadJSON(data, m)
			out, err := wire.CautionMenu(k, m, shape)
			if err == nil {
				answered(wire.MenuCautionsMessage(out), nil)
			} else {
				answered(nil, err)
			}
		}
		{
			m := &pb.SizePortionRequest{}
			shape, _ := wire.ReadJSON(data, m)
			out, err := wire.SizePortion(m, shape)
			answered(out, err)
		}
		{
			m := &pb.ShortfallRequest{}
			shape, _ := wire.ReadJSON(data, m)
			out, err := wire.CheckShortfall(k, m, shape)
			answered(out, err)
		}
		{
			m := &pb.ReadRecipeRequest{}
			shape, _ := wire.ReadJSON(data, m)
			out, err := wire.ReadRecipe(r, exampleEngine().Catalog(), m, shape)
			answered(out, err)
		}
	})
}

var errLong = errors.New("long enough")
