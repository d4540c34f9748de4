package patterns_test

import (
	"errors"
	"fmt"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// What a school lunch must offer the youngest grades over a week of three days.
func Example() {
	ps, err := patterns.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	on, err := rules.ParseDate("2026-09-14")
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := ps.Pattern(patterns.Query{On: on, Program: "school-lunch", Group: "k-5"})
	if err != nil {
		fmt.Println(err)
		return
	}
	week, err := p.Weekly(3)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range week {
		fmt.Printf("%s: %s %s\n", m.Rule.Title, m.Text, m.Unit)
	}
	fmt.Println(week[0].ID())
	fmt.Println(week[0].Source.Citation())
	// Output:
	// Fruits: 1 1/2 cup
	// Vegetables: 2 1/4 cup
	// Dark green vegetables: 1/2 cup
	// Red/orange vegetables: 1/2 cup
	// Beans, peas, and lentils: 1/2 cup
	// Starchy vegetables: 1/2 cup
	// Other vegetables: 1/4 cup
	// Additional vegetables to reach the total: 0 cup
	// Grains: 5 oz eq
	// Meats/meat alternates: 5 oz eq
	// Fluid milk: 3 cup
	// school-lunch/lunch/k-5/least/fruits/week-3/2012-07-01
	// State page on short and long lunch weeks, 3-day table, rounding rule and 3-day table, a State agency
}

// The limits that bind over the week, and what changes next.
func ExamplePattern_Limits() {
	ps, err := patterns.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	on, err := rules.ParseDate("2026-09-14")
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := ps.Pattern(patterns.Query{On: on, Program: "school-breakfast", Group: "9-12"})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, v := range p.Limits() {
		fmt.Printf("%s, %s: %s %s\n", v.Rule.Title, v.Rule.Kind, v.Text, v.Unit)
	}
	_, to := p.Stretch()
	fmt.Println("the same until", to)
	// Output:
	// Calories, least: 450 kcal, average per day over the week
	// Calories, most: 600 kcal, average per day over the week
	// Saturated fat, below: 10 percent of calories, average over the week
	// Sodium, most: 640 mg, average per day over the week
	// the same until 2027-06-30
}

// A group without a pattern is refused with those that have one.
func ExamplePatterns_Pattern() {
	ps, err := patterns.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = ps.Pattern(patterns.Query{Program: "school-lunch", Group: "k-12"})
	var faults *fault.List
	if errors.As(err, &faults) {
		for _, f := range faults.Faults {
			fmt.Println(f)
		}
	}
	// Output:
	// ageGroup: "k-12": an age/grade group of school-lunch: k-5, 6-8, 9-12, k-8. Write one of them; other groups have no pattern in this program. [UNKNOWN_VALUE]
	// serviceDate: the date of service, YYYY-MM-DD. Say when the meal is served: it decides the rules. [MISSING]
}

func ExamplePatterns_List() {
	ps, err := patterns.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, k := range ps.List() {
		if k.Meal == "breakfast" && k.Program != "child-adult-care" {
			fmt.Println(k)
		}
	}
	// Output:
	// school-breakfast/breakfast/k-5
	// school-breakfast/breakfast/6-8
	// school-breakfast/breakfast/9-12
	// school-breakfast/breakfast/k-8
	// school-breakfast/breakfast/6-12
	// school-breakfast/breakfast/k-12
	// preschool/breakfast/ages-1-2
	// preschool/breakfast/ages-3-5
	// preschool/breakfast/months-0-5
	// preschool/breakfast/months-6-11
	// summer/breakfast/summer
}
