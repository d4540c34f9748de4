package wire_test

import (
	"bytes"
	"flag"
	"testing"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

func init() {
	if err := flag.Set("rapid.nofailfile", "true"); err != nil {
		panic(err)
	}
}

// Whatever a caller of the library names things, bytes that are no text too, a
// record is written the same straight and through its message, and follows.
func TestRecordsOfAnyNamesAreWrittenTheSame(t *testing.T) {
	e := exampleEngine()
	on, err := rules.ParseDate("2026-09-14")
	if err != nil {
		t.Fatal(err)
	}
	names := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"\u2028x", "a\xffb", "<&>\"\\/", "\x00\x1f\x7f", "\xe2\x80", "\ufffd", "\U0001F600", "\xed\xa0\x80"}))
	credited := 0
	rapid.Check(t, func(t *rapid.T) {
		r := &recipe.Recipe{Name: "Dish", Servings: rapid.IntRange(1, recipe.MaxServings).Draw(t, "servings"), ExhibitAGroup: rapid.SampledFrom([]string{"", "D", "H"}).Draw(t, "group")}
		for range rapid.IntRange(1, 5).Draw(t, "ingredients") {
			q, err := measure.Parse(rapid.SampledFrom([]string{"1 lb", "1/7 cup", "3 each", "999999999 kg", "1/999999999 oz"}).Draw(t, "quantity"))
			if err != nil {
				t.Fatal(err)
			}
			r.Ingredients = append(r.Ingredients, recipe.Ingredient{Quantity: q, Name: names.Draw(t, "name"), NotCrediting: rapid.Bool().Draw(t, "left out"),
				Food: rapid.SampledFrom([]string{"raisins", "flour-all-purpose-enriched", "romaine-fresh", "tomatoes-cherry-fresh", "eggs-large"}).Draw(t, "food")})
		}
		rec, err := e.Credit(credit.Request{Recipe: r, On: on, Program: "school-lunch"})
		if err != nil {
			return
		}
		credited++
		m := wire.Record(rec, true)
		want, err := wire.AppendJSON(nil, m)
		if straight := wire.AppendRecordJSON(nil, rec, true); err != nil || !bytes.Equal(straight, want) {
			t.Fatalf("straight\n%q\nfrom the message\n%q\n%v", straight, want, err)
		}
		back := &pb.Record{}
		if err := proto.Unmarshal(wire.AppendRecord(nil, rec, true), back); err != nil || !proto.Equal(back, m) || len(back.ProtoReflect().GetUnknown()) > 0 {
			t.Fatal("another record in protobuf", err)
		}
		if err := wire.Follows(m); err != nil {
			t.Fatal(err)
		}
	})
	if credited == 0 {
		t.Error("nothing was credited")
	}
}
