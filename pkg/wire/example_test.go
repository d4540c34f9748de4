package wire_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

func exampleEngine() *credit.Engine {
	rs, err := rules.Default()
	if err != nil {
		panic(err)
	}
	cat, err := food.Default()
	if err != nil {
		panic(err)
	}
	return credit.New(rs, cat)
}

func exampleCatalog(t *testing.T) (*rules.Rules, *food.Catalog) {
	t.Helper()
	rs, err := rules.Default()
	if err != nil {
		t.Fatal(err)
	}
	cat, err := food.Default()
	if err != nil {
		t.Fatal(err)
	}
	return rs, cat
}

// A recipe file goes in, a record message comes out.
func ExampleCredit() {
	data := []byte(`
recipe:
  name: Drop biscuit
  servings: 40
  exhibitAGroup: B
  ingredients:
    - {food: whole-wheat-flour, quantity: 2 lb}
serviceDate: 2026-09-14
program: school-breakfast
`)
	req, shape := wire.ReadRequest(data, wire.FormatOf(data))
	rec, err := wire.Credit(exampleEngine(), req, shape)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range wire.Record(rec, false).GetCredits() {
		fmt.Println(c.GetComponent(), c.GetCredited(), c.GetUnit(), c.GetStatus(), "exact", c.GetExact())
	}
	// Output:
	// COMPONENT_GRAINS 1.25 oz eq STATUS_DOCUMENTED exact 567/400
}

// Mistakes of shape and of content come back together, each with its place.
func ExampleCredit_faults() {
	data := []byte(`{"recipe": {"name": "Drop biscuit", "servngs": 40,
  "ingredients": [{"food": "whole-wheat-flor", "quantity": 2}]},
  "serviceDate": "2026-02-30", "program": "school-breakfast"}`)
	req, shape := wire.ReadRequest(data, wire.FormatOf(data))
	_, err := wire.Credit(exampleEngine(), req, shape)
	var faults *fault.List
	if errors.As(err, &faults) {
		for _, f := range faults.Faults {
			fmt.Println(f.Reason, f.Path)
		}
	}
	// Output:
	// UNKNOWN_FIELD recipe.servngs
	// WRONG_TYPE recipe.ingredients[0].quantity
	// BAD_DATE serviceDate
	// MISSING recipe.servings
	// UNKNOWN_FOOD recipe.ingredients[0].food
}

func ExampleFormatOf() {
	fmt.Println(wire.FormatOf([]byte(`{"recipe": {}}`)) == wire.JSON)
	fmt.Println(wire.FormatOf([]byte("recipe:\n  name: Roll\n")) == wire.YAML)
	// Output:
	// true
	// true
}

// Records and faults are written with every field, the same bytes each time.
func ExampleMarshalJSON() {
	l := &fault.List{}
	l.Add(fault.Fault{Reason: fault.Missing, Path: "program", Want: "a program id", Fix: "Say which program the food is served in."})
	text, err := wire.MarshalJSON(wire.Faults(l))
	fmt.Printf("%s%v\n", text, err)
	// Output:
	// {
	//   "faults": [
	//     {
	//       "reason": "MISSING",
	//       "path": "program",
	//       "value": "",
	//       "want": "a program id",
	//       "fix": "Say which program the food is served in."
	//     }
	//   ],
	//   "omitted": 0
	// }
	// <nil>
}

// A batch answers each of its requests, whatever is wrong with another.
func ExampleBatch() {
	good := &pb.CreditRequest{ServiceDate: "2026-09-14", Program: "school-breakfast", Recipe: &pb.Recipe{Name: "Drop biscuit", Servings: 40, ExhibitAGroup: "B",
		Ingredients: []*pb.Ingredient{{Food: "whole-wheat-flour", Quantity: "2 lb"}}}}
	m := &pb.BatchCreditRequest{Requests: []*pb.CreditRequest{good, {ServiceDate: "2026-09-14", Program: "school-breakfast"}}}
	out, err := wire.Batch(exampleEngine(), m, nil, func() error { return nil })
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, a := range out.GetAnswers() {
		fmt.Println(strings.TrimSpace(fmt.Sprint(a.GetIndex(), " ", a.GetRecord().GetName())))
		for _, f := range a.GetFaults().GetFaults() {
			fmt.Println(f.GetReason(), f.GetPath())
		}
	}
	// Output:
	// 0 Drop biscuit
	// 1
	// MISSING recipe
}

// A filed record is checked from what stands in it, and with its request against
// the rules and figures of today.
func ExampleVerify() {
	e := exampleEngine()
	req := &pb.CreditRequest{ServiceDate: "2026-09-14", Program: "school-breakfast", Recipe: &pb.Recipe{Name: "Drop biscuit", Servings: 40, ExhibitAGroup: "B",
		Ingredients: []*pb.Ingredient{{Food: "whole-wheat-flour", Quantity: "2 lb"}}}}
	filed, _, err := wire.Answer(e, req, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	out, err := wire.Verify(e, &pb.VerifyRecordRequest{Record: filed, Request: req}, nil)
	fmt.Println(out.GetFollows(), out.GetStillHolds(), err)
	filed.Credits[0].Credited = "2"
	out, err = wire.Verify(e, &pb.VerifyRecordRequest{Record: filed}, nil)
	fmt.Println(out.GetFollows(), out.GetProblem(), err)
	// Output:
	// true true <nil>
	// false Drop biscuit: credit 0: works out to 5/4, the record says 2 <nil>
}

// Faults become a status that any gRPC client can read.
func ExampleStatus() {
	var l fault.List
	l.Add(fault.Fault{Reason: fault.Missing, Path: "program", Want: "a program id", Fix: "Say which program the food is served in."})
	s := wire.Status(&l)
	fmt.Println(s.GetCode(), s.GetMessage(), len(s.GetDetails()))
	// Output:
	// 3 program: a program id. Say which program the food is served in. [MISSING] 3
}

// Messages are written with every field, without space, the same bytes each time.
func ExampleAppendJSON() {
	b, err := wire.AppendJSON(nil, &pb.Scoop{Number: 16, Cups: "1/4"})
	fmt.Println(string(b), err)
	// Output:
	// {"number":16,"cups":"1/4"} <nil>
}

// A page of foods says how to get the next.
func ExampleListFoods() {
	out, err := wire.ListFoods(exampleEngine().Catalog(), &pb.ListFoodsRequest{Query: "brocoli frozen", PageSize: 1}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(out.GetFoods()[0].GetId(), out.GetNextPageToken() != "")
	// Output:
	// broccoli-frozen true
}
