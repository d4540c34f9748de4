package wire_test

import (
	"fmt"
	"os"

	"example.com/ozeq/pkg/wire"
)

// A menu file goes in; what comes with the next rules comes out.
func ExampleLookAhead() {
	data, err := os.ReadFile("../../testdata/demo/weeks/lunch-k-5.yaml")
	if err != nil {
		fmt.Println(err)
		return
	}
	m, shape := wire.ReadLookAhead(data, wire.FormatOf(data))
	ahead, err := wire.LookAhead(exampleReviewer(), m, shape)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range wire.LookAheadMessage(ahead).GetComing() {
		fmt.Println(c.GetOn(), c.GetVerdict(), len(c.GetDifferences()), "differences")
	}
	// Output:
	// 2027-07-01 met 0 differences
}

// A production record goes in; each group as planned and as served comes out.
func ExampleProduction() {
	data, err := os.ReadFile("../../testdata/demo/production-day.yaml")
	if err != nil {
		fmt.Println(err)
		return
	}
	m, shape := wire.ReadProduction(data, wire.FormatOf(data))
	out, err := wire.Production(exampleReviewer(), m, shape)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, g := range wire.ProductionMessage(out).GetGroups() {
		fmt.Println(g.GetAgeGroup(), "planned", g.GetPlanned().GetVerdict(), "served", g.GetServed().GetVerdict())
		for _, d := range g.GetDifferences() {
			fmt.Println(d.GetKind(), d.GetIs().GetRule(), "short by", d.GetIs().GetShort(), d.GetIs().GetUnit())
		}
	}
	// Output:
	// k-5 planned not-checked served not-checked
	// 9-12 planned not-checked served not-met
	// newly-not-met least/grains short by 1 oz eq
}
