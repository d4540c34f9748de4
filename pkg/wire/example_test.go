package wire_test

import (
	"errors"
	"fmt"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/wire"
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
