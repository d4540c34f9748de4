package rules_test

import (
	"errors"
	"fmt"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
)

// A figure, and where it can be looked up.
func Example() {
	all, err := rules.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	on, err := rules.ParseDate("2026-09-14")
	if err != nil {
		fmt.Println(err)
		return
	}
	rs, err := all.Resolve(on, "school-breakfast", nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := rs.Get("grains/grams/baked")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(v.Rule.Title)
	fmt.Println(v.Text, v.Rule.Unit, "since", v.From)
	fmt.Println(v.Source.Citation())
	// Output:
	// Creditable grain in 1 oz eq of a food baked, breaded or thickened with it
	// 16 g since 2012-07-01
	// Formulation statement form for grains, SP 30-2012 form, USDA Food and Nutrition Service
}

func ExampleDefault() {
	all, err := rules.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range all.Programs() {
		fmt.Printf("%s: %s\n", p.ID, p.Regulation)
	}
	// Output:
	// school-lunch: 7 CFR 210.10
	// school-breakfast: 7 CFR 220.8
	// afterschool-snack: 7 CFR 210.10(o)
	// preschool: 7 CFR 210.10(p)
	// child-adult-care: 7 CFR 226.20
	// summer: 7 CFR 225.16
}

// Rule data of one's own is held to the same checks as the library's.
func ExampleLoad() {
	f := rules.File{
		Documents: []rules.FileDocument{{ID: "NOTE", Title: "A State's note", Edition: "2026", Publisher: "a State agency", Mark: "read"}},
		Programs:  []rules.FileProgram{{ID: "supper-club", Name: "Supper club", Regulation: "none"}},
		Rules: []rules.FileRule{{ID: "grains/grams/baked", Title: "Creditable grain in 1 oz eq", Unit: "g", Values: []rules.FileValue{
			{Programs: []string{"supper-club"}, From: "2026-01-01", To: "2025-12-31", Value: "16", Source: "NOTE", Mark: "read"},
		}}},
	}
	_, err := rules.Load(&f)
	fmt.Println(err)
	f.Rules[0].Values[0].To = ""
	r, err := rules.Load(&f)
	fmt.Println(r.Changes("supper-club"), err)
	// Output:
	// rule data: rule grains/grams/baked, value 0: ends before it starts
	// [2026-01-01] <nil>
}

// The same question on two days next to each other.
func ExampleRules_Resolve() {
	all, err := rules.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	last := rules.Date{Year: 2021, Month: 9, Day: 30}
	for _, on := range []rules.Date{last, last.Next()} {
		rs, err := all.Resolve(on, "child-adult-care", nil)
		if err != nil {
			fmt.Println(err)
			return
		}
		v, err := rs.Get("grains/unit")
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(on, "grains count in", v.Text)
	}
	// Output:
	// 2021-09-30 grains count in serving
	// 2021-10-01 grains count in oz-eq
}

// Everything wrong with a request comes back at once.
func ExampleRules_Resolve_faults() {
	all, err := rules.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = all.Resolve(rules.Date{}, "brunch", map[string]string{"grams-per-ounce": "28"})
	var faults *fault.List
	if errors.As(err, &faults) {
		for _, f := range faults.Faults {
			fmt.Println(f.Reason, f.Path)
		}
	}
	// Output:
	// UNKNOWN_PROGRAM program
	// MISSING serviceDate
	// UNKNOWN_VALUE options.grams-per-ounce
}

// Outside its life a rule is a fault, not zero.
func ExampleRuleSet_Get() {
	all, err := rules.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	rs, err := all.Resolve(rules.Date{Year: 2026, Month: 9, Day: 14}, "school-lunch", nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = rs.Get("grains/grams/serving")
	fmt.Println(err)
	// Output:
	// serviceDate: "2026-09-14": a date on which "Creditable grain in 1 grains/breads serving" is in force for school-lunch. It holds from 2011-07-01 to 2012-06-30. [RULE_NOT_IN_FORCE]
}

func ExampleRuleSet_Has() {
	all, err := rules.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	rs, err := all.Resolve(rules.Date{Year: 2026, Month: 9, Day: 14}, "school-lunch", nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(rs.Has("grains/grams/baked"), rs.Has("grains/grams/serving"))
	// Output: true false
}

// A table is given step by step, as printed.
func ExampleStep() {
	all, err := rules.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	rs, err := all.Resolve(rules.Date{Year: 2026, Month: 9, Day: 14}, "school-lunch", nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	v, err := rs.Get("grains/exhibit-a/D/g")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range v.Steps {
		fmt.Printf("from %s %s: %s oz eq (%s)\n", s.LeastText, v.Rule.Unit, s.CreditText, s.Source.Mark)
	}
	// Output:
	// from 55 g: 1 oz eq (read)
	// from 42 g: 3/4 oz eq (read)
	// from 28 g: 1/2 oz eq (read)
	// from 14 g: 1/4 oz eq (read)
}

// A point the rules leave open has a default and the reason for it.
func ExampleOption() {
	all, err := rules.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, o := range all.Options() {
		if o.ID == "summer-grains" {
			fmt.Println(o.Title, "->", o.Default)
			fmt.Println(o.Reason)
		}
	}
	// Output:
	// What grains are counted in, in summer meals -> serving
	// The summer program still counts servings; operators may use ounce equivalents instead.
}

func ExampleRules_Rule() {
	all, err := rules.Default()
	if err != nil {
		fmt.Println(err)
		return
	}
	rule, ok := all.Rule("grains/unit")
	fmt.Println(rule.Title, ok)
	for _, v := range rule.Values[:2] {
		fmt.Println(v.Text, v.From, v.To, v.EarlierUnknown)
	}
	// Output:
	// What grains are counted in true
	// serving 2011-07-01 2012-06-30 true
	// oz-eq 2012-07-01  false
}

func ExampleParseDate() {
	d, err := rules.ParseDate("2024-02-29")
	fmt.Println(d, err)
	_, err = rules.ParseDate("2025-02-29")
	fmt.Println(err)
	// Output:
	// 2024-02-29 <nil>
	// "2025-02-29": a date written YYYY-MM-DD, such as 2026-09-14. That day is not in the calendar. [BAD_DATE]
}

func ExampleDate() {
	last := rules.Date{Year: 2025, Month: 6, Day: 30}
	first := last.Next()
	fmt.Println(first, first.Previous() == last, last.Before(first), first.After(last), rules.Date{}.IsZero())
	// Output: 2025-07-01 true true true true
}
