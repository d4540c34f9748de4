package kitchen_test

import (
	"fmt"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
)

// A batch for 100 brought to 348 takes 4.35 lb where it took 1.25 lb.
func ExampleInMeasures() {
	butter := measure.New(exact.Frac(5, 4), measure.Pound).Times(exact.Frac(348, 100))
	for _, d := range []kitchen.Direction{kitchen.Down, kitchen.Nearest, kitchen.Up} {
		m, err := kitchen.InMeasures(butter, d)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(d, m.Kitchen, "is", m.Change.Mul(exact.Int(100)).DecimalText(2), "percent more")
	}
	// Output:
	// down 4 lb 5 1/2 oz is -0.14 percent more
	// nearest 4 lb 5 1/2 oz is -0.14 percent more
	// up 4 lb 5 3/4 oz is 0.21 percent more
}

func ExampleParseDirection() {
	d, ok := kitchen.ParseDirection("nearest")
	fmt.Println(d == kitchen.Nearest, ok)
	// Output: true true
}
