package report_test

import (
	"fmt"
	"os"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules"
)

// The record of a bought roll, up to the work.
func ExampleText() {
	rs, err := rules.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	cat, err := food.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	weight, err := measure.Parse("34 g")
	if err != nil {
		fmt.Println(err)
		return
	}
	rec, err := credit.New(rs, cat).Credit(credit.Request{
		Product: &credit.Product{Name: "Dinner roll", Weight: weight, ExhibitAGroup: "B"},
		On:      rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-breakfast",
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	var b strings.Builder
	if err := report.Text(&b, rec); err != nil {
		fmt.Println(err)
		return
	}
	top, _, _ := strings.Cut(b.String(), "\nTHE WORK")
	fmt.Print(top)
	// Output:
	// CREDITING RECORD
	// Dinner roll
	// School breakfast (K-12), served 2026-09-14
	// 34 g as served
	//
	// ONE PORTION CREDITS
	//   Grains                         1 oz eq  documented
	//   Documented: every figure was read in the handbook or a rule, or came with its
	//   paper. A source marked ? was not checked.
}

func ExampleFaults() {
	l := &fault.List{}
	l.Add(fault.Fault{Reason: fault.UnknownFood, Path: "recipe.ingredients[0].food", Value: "kinwa", Want: "a food of the catalog", Fix: "Nearest: quinoa."})
	if err := report.Faults(os.Stdout, "bowl.yaml", l); err != nil {
		fmt.Println(err)
	}
	// Output:
	// bowl.yaml: no answer yet, 1 thing to mend
	//   1. recipe.ingredients[0].food is "kinwa"
	//      expected: a food of the catalog
	//      to mend:  Nearest: quinoa.
	//      (UNKNOWN_FOOD)
}
