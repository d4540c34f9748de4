package food_test

import (
	"errors"
	"fmt"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
)

func ExampleDefault() {
	cat, err := food.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	f, ok := cat.Food("whole-wheat-flour")
	fmt.Println(f.Name, f.Components[0], f.GrainKind, f.GrainUse, ok)
	_, ok = cat.Food("moon-cheese")
	fmt.Println(ok)
	// Output:
	// whole wheat flour grains whole baked true
	// false
}

// Search forgives misspellings and offers; it never decides.
func ExampleCatalog_Search() {
	cat, err := food.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range cat.Search("kidny beans", 2) {
		fmt.Println(m.Food.ID)
	}
	// Output:
	// kidney-beans-canned
	// kidney-beans-dry
}

// A district's own figure lies over the catalog; with document, page and edition
// it is documented. The catalog itself is left alone.
func ExampleCatalog_With() {
	cat, err := food.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	over, err := cat.With([]food.Own{{
		ID: "ridge-relish", Name: "Ridge relish", Components: []string{"vegetables"}, Subgroup: "red-orange",
		Figures: []food.OwnFigure{{State: "raw", Component: "vegetables", Kind: "servings", Unit: "lb", Value: "10.5", Size: "1/4 cup",
			Document: "Kitchen yield test", Page: "sheet 4", Edition: "2026-08-20"}},
	}})
	if err != nil {
		fmt.Println(err)
		return
	}
	f, _ := over.Food("ridge-relish")
	g := f.Figures[0]
	fmt.Println(g.Text, g.Record.Unit, "-", g.Source.Citation(), g.Source.Documented())
	_, ok := cat.Food("ridge-relish")
	fmt.Println(ok)
	// Output:
	// 10.5 servings of 1/4 cup per lb - Kitchen yield test, sheet 4, 2026-08-20 true
	// false
}

// Everything wrong with the caller's foods comes back at once.
func ExampleCatalog_With_faults() {
	cat, err := food.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = cat.With([]food.Own{{ID: "ridge-relish", Name: "Ridge relish", Components: []string{"vegetables"},
		Figures: []food.OwnFigure{{Kind: "usable", Value: "1.2"}}}})
	var faults *fault.List
	if errors.As(err, &faults) {
		for _, f := range faults.Faults {
			fmt.Println(f.Reason, f.Path)
		}
	}
	// Output:
	// UNKNOWN_VALUE foods[0].subgroup
	// UNKNOWN_VALUE foods[0].figures[0].value
}

// Words are compared without their plural.
func ExampleWords() {
	fmt.Println(food.Words("Peaches, halves & bay leaves"))
	// Output: [peach half bay leaf]
}
