package fault_test

import (
	"errors"
	"fmt"

	"example.com/ozeq/pkg/fault"
)

func ExampleFault() {
	var err error = fault.Fault{
		Reason: fault.UnknownFood,
		Path:   "recipe.ingredients[3].food",
		Value:  "pumpkim",
		Want:   "a food of the catalog",
		Fix:    "Did you mean pumpkin-canned?",
	}
	fmt.Println(err)
	var f fault.Fault
	fmt.Println(errors.As(err, &f), f.Reason)
	// Output:
	// recipe.ingredients[3].food: "pumpkim": a food of the catalog. Did you mean pumpkin-canned? [UNKNOWN_FOOD]
	// true UNKNOWN_FOOD
}

// A list gathers everything wrong with one request and is an error once it
// holds anything.
func ExampleList() {
	check := func(servings int, name string) error {
		var faults fault.List
		if servings < 1 {
			faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: "servings", Value: fmt.Sprint(servings), Want: "1 or more"})
		}
		if name == "" {
			faults.Add(fault.Fault{Reason: fault.Missing, Path: "name", Want: "a name"})
		}
		return faults.Err()
	}
	fmt.Println(check(48, "Sorghum square"))
	err := check(0, "")
	var faults *fault.List
	fmt.Println(errors.As(err, &faults), len(faults.Faults))
	fmt.Println(err)
	// Output:
	// <nil>
	// true 2
	// servings: "0": 1 or more [OUT_OF_RANGE]
	// name: a name [MISSING]
}

func ExampleList_Append() {
	var part, whole fault.List
	part.Add(fault.Fault{Reason: fault.Missing, Path: "recipe", Want: "a recipe"})
	fmt.Println(whole.Append(part.Err()), len(whole.Faults))
	fmt.Println(whole.Append(errors.New("disk full")), len(whole.Faults))
	// Output:
	// true 1
	// false 1
}

func ExampleClip() {
	fmt.Println(fault.Clip("2 lb\nof flour"))
	fmt.Println(fault.Clip("a very long ingredient line that somebody pasted from a web page, with all its comments"))
	// Output:
	// 2 lb of flour
	// a very long ingredient line that somebody pasted from a web page, with all it...
}

func ExampleIndex() {
	fmt.Println(fault.Index("recipe.ingredients", 3))
	// Output: recipe.ingredients[3]
}

func ExampleField() {
	fmt.Println(fault.Field("", "recipe"), fault.Field("recipe", "servings"))
	// Output: recipe recipe.servings
}
