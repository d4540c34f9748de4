package measure_test

import (
	"errors"
	"fmt"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/measure"
)

// A recipe's amount is read as it stands and kept exactly.
func ExampleParse() {
	for _, text := range []string{"2 lb 4 oz", "1 1/2 qt", "2¼ cups", "57g", "2 #10 cans", "3 no. 16 scoops", "4 [foz_us]"} {
		q, err := measure.Parse(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(q, "=", q.Amount(), q.Unit().ID)
	}
	// Output:
	// 2 lb 4 oz = 36 oz
	// 1 1/2 qt = 6 cup
	// 2¼ cups = 2 1/4 cup
	// 57g = 57 g
	// 2 #10 cans = 2 can no. 10
	// 3 no. 16 scoops = 3/4 cup
	// 4 [foz_us] = 1/2 cup
}

// What cannot be read for sure is refused, with a reason for programs and a
// way out for the cook.
func ExampleParse_refused() {
	_, err := measure.Parse("2 T")
	var f fault.Fault
	if errors.As(err, &f) {
		fmt.Println(f.Reason)
		fmt.Println(f.Fix)
	}
	// Output:
	// UNKNOWN_UNIT
	// Write Tbsp for tablespoons or tsp for teaspoons: a single T is read both ways.
}

func ExampleNew() {
	q := measure.New(exact.Frac(3, 2), measure.Pound)
	fmt.Println(q, "=", q.Amount(), q.Unit().ID)
	// Output: 1 1/2 lb = 24 oz
}

// The zero value is no amount; every other is a number of a base unit.
func ExampleQuantity() {
	var q measure.Quantity
	fmt.Println(q.IsZero())
	q = measure.New(exact.Int(2), measure.Quart)
	fmt.Println(q.IsZero(), q.Amount(), q.Unit().ID, q.Dimension(), q.System() == measure.Customary)
	// Output:
	// true
	// false 8 cup volume true
}

func ExampleQuantity_In() {
	q, err := measure.Parse("1 lb")
	if err != nil {
		fmt.Println(err)
		return
	}
	g, ok := q.In(measure.Gram)
	fmt.Println(g.TrimmedDecimal(5), ok)
	// How much room a pound takes depends on what it is a pound of.
	_, ok = q.In(measure.Cup)
	fmt.Println(ok)
	// Output:
	// 453.59237 true
	// false
}

// Scaling stays exact and can be read back.
func ExampleQuantity_Times() {
	q, err := measure.Parse("2 lb 4 oz")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(q.Times(exact.Frac(5, 6)))
	// Output: 30 oz
}

func ExampleQuantity_Text() {
	q, err := measure.Parse(" 2  lb,  4 oz")
	fmt.Println(q.Text(), err)
	// Output: 2 lb, 4 oz <nil>
}

func ExampleQuantity_IsZero() {
	_, err := measure.Parse("0 lb")
	fmt.Println(measure.Quantity{}.IsZero(), measure.New(exact.Int(0), measure.Pound).IsZero())
	fmt.Println(err)
	// Output:
	// true false
	// "0 lb": an amount above 0. Leave the ingredient out if the batch takes none. [OUT_OF_RANGE]
}

func ExampleQuantity_Amount() {
	q, err := measure.Parse("1 qt 1/2 cup")
	fmt.Println(q.Amount(), q.Unit().ID, err)
	// Output: 4 1/2 cup <nil>
}

func ExampleUnit() {
	u, _ := measure.UnitByID("tablespoons")
	fmt.Println(u.ID, u.UCUM, u.Dimension, u == measure.Tablespoon)
	// Output: Tbsp [tbs_us] volume true
}

func ExampleUnit_Ratio() {
	r, ok := measure.Gallon.Ratio(measure.Milliliter)
	fmt.Println(r.TrimmedDecimal(6), ok)
	r, ok = measure.Teaspoon.Ratio(measure.Cup)
	fmt.Println(r, ok)
	_, ok = measure.FluidOunce.Ratio(measure.Ounce)
	fmt.Println(ok)
	// Output:
	// 3785.411784 true
	// 1/48 true
	// false
}

func ExampleUnits() {
	for _, u := range measure.Units() {
		if u.Dimension == measure.Mass {
			fmt.Print(u.ID, " ")
		}
	}
	// Output: oz lb g kg mg
}

func ExampleUnitByID() {
	u, ok := measure.UnitByID("#10 can")
	fmt.Println(u.ID, u.Dimension, ok)
	_, ok = measure.UnitByID("pinch")
	fmt.Println(ok)
	// Output:
	// can no. 10 container true
	// false
}

// Eight level no. 8 scoops make a quart; the size printed on a poster may be
// another.
func ExampleScoop() {
	q, ok := measure.Scoop(8)
	quarts, _ := q.Times(exact.Int(8)).In(measure.Quart)
	fmt.Println(q, "=", q.Amount(), q.Unit().ID, ok, quarts)
	_, ok = measure.Scoop(9)
	fmt.Println(ok)
	// Output:
	// 1 scoop no. 8 = 1/2 cup true 1
	// false
}

func ExampleScoopNumbers() {
	fmt.Println(measure.ScoopNumbers())
	// Output: [6 8 10 12 16 20 24 30 40 50 60 70 100]
}

func ExampleDimension() {
	q, err := measure.Parse("2 cans no. 10")
	fmt.Println(q.Dimension(), q.Dimension() == measure.Container, err)
	// Output: container true <nil>
}

// Pounds and grams are never added up: each amount stays in the system it was
// written in.
func ExampleSystem() {
	lb, _ := measure.Parse("2 lb")
	kg, _ := measure.Parse("1 kg")
	fmt.Println(lb.System() == measure.Customary, kg.System() == measure.Metric)
	_, err := measure.Parse("2 lb 1 kg")
	fmt.Println(err != nil)
	// Output:
	// true true
	// true
}
