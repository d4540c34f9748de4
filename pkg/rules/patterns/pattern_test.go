package patterns_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules/patterns"
)

var (
	lunchK5     = patterns.Key{Program: "school-lunch", Meal: "lunch", Group: "k-5"}
	breakfast68 = patterns.Key{Program: "school-breakfast", Meal: "breakfast", Group: "6-8"}
	snackK12    = patterns.Key{Program: "afterschool-snack", Meal: "snack", Group: "k-12"}
	careLunch3  = patterns.Key{Program: "child-adult-care", Meal: "lunch", Group: "ages-3-5"}
	careLunch1  = patterns.Key{Program: "child-adult-care", Meal: "lunch", Group: "ages-1-2"}
)

func TestQueryFaults(t *testing.T) {
	ps := load(t)
	on := day(t, "2026-09-14")
	for name, c := range map[string]struct {
		q    patterns.Query
		want []string
		says string
	}{
		"nothing":                    {patterns.Query{}, []string{"MISSING program", "MISSING serviceDate"}, "school-lunch"},
		"an unknown program":         {patterns.Query{On: on, Program: "brunch", Group: "k-5"}, []string{"UNKNOWN_PROGRAM program"}, "school-lunch, school-breakfast"},
		"no group":                   {patterns.Query{On: on, Program: "school-lunch"}, []string{"MISSING ageGroup"}, "k-5, 6-8, 9-12, k-8"},
		"a group of another program": {patterns.Query{On: on, Program: "school-lunch", Group: "k-12"}, []string{"UNKNOWN_VALUE ageGroup"}, "k-5, 6-8, 9-12, k-8"},
		"an adult in preschool":      {patterns.Query{On: on, Program: "preschool", Meal: "lunch", Group: "adults"}, []string{"UNKNOWN_VALUE ageGroup"}, "ages-1-2, ages-3-5, months-0-5, months-6-11"},
		"no meal":                    {patterns.Query{On: on, Program: "child-adult-care", Group: "adults"}, []string{"MISSING meal"}, "breakfast, lunch, supper, snack"},
		"a meal of another program":  {patterns.Query{On: on, Program: "preschool", Meal: "supper", Group: "ages-1-2"}, []string{"UNKNOWN_VALUE meal"}, "breakfast, lunch, snack"},
		"before any rule":            {patterns.Query{On: day(t, "2012-06-30"), Program: "school-lunch", Group: "k-5"}, []string{"RULE_NOT_IN_FORCE serviceDate"}, "on or after 2012-07-01"},
		"infants before 2017":        {patterns.Query{On: day(t, "2017-09-30"), Program: "child-adult-care", Meal: "lunch", Group: "months-0-5"}, []string{"RULE_NOT_IN_FORCE serviceDate"}, "on or after 2017-10-01"},
		"an unknown option":          {patterns.Query{On: on, Program: "school-lunch", Group: "k-5", Options: map[string]string{"whim": "yes"}}, []string{"UNKNOWN_OPTION options.whim"}, "snack-pattern"},
		"an unknown choice":          {patterns.Query{On: on, Program: "school-lunch", Group: "k-5", Options: map[string]string{"vegetables-for-grains": "yes"}}, []string{"UNKNOWN_VALUE options.vegetables-for-grains"}, "elsewhere, islands, since-2024"},
		"everything at once": {patterns.Query{Program: "preschool", Meal: "tea", Group: "k-5", Options: map[string]string{"whim": "", "care-sugars": "both"}},
			[]string{"UNKNOWN_VALUE meal", "UNKNOWN_VALUE ageGroup", "MISSING serviceDate", "UNKNOWN_VALUE options.care-sugars", "UNKNOWN_OPTION options.whim"}, "ages-1-2"},
	} {
		p, err := ps.Pattern(c.q)
		if err == nil || p != nil {
			t.Errorf("%s: resolves", name)
			continue
		}
		if got := reasons(t, err); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
		if !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %q does not speak of %q", name, err, c.says)
		}
	}
}

// A week has a table or is a fault: two days have none.
func TestWeekly(t *testing.T) {
	ps := load(t)
	p := at(t, ps, "2026-09-14", lunchK5, nil)
	for days := 3; days <= 7; days++ {
		m, err := p.Weekly(days)
		if err != nil || len(m) != 11 {
			t.Errorf("%d days: %d minimums, %v", days, len(m), err)
		}
	}
	for _, days := range []int{-1, 0, 1, 2, 8, 12} {
		m, err := p.Weekly(days)
		var f fault.Fault
		if m != nil || !errors.As(err, &f) || f.Reason != fault.OutOfRange || f.Path != "days" || !strings.Contains(f.Fix, "before or after") {
			t.Errorf("%d days: %v, %v", days, m, err)
		}
	}
	if m, err := at(t, ps, "2026-09-14", careLunch3, nil).Weekly(5); err != nil || len(m) != 0 {
		t.Errorf("child care asks for %v by the week, %v", m, err)
	}
}

func amounts(ms []patterns.Minimum) map[string]exact.Number {
	out := make(map[string]exact.Number)
	for _, m := range ms {
		name := m.Component
		if m.Subgroup != "" {
			name += "/" + m.Subgroup
		}
		out[name] = m.Number
	}
	return out
}

// The arithmetic the tables have among themselves.
func TestTablesHoldTogether(t *testing.T) {
	ps := load(t)
	short := map[string]string{ // the week's amount less five times the day's
		"school-lunch/lunch/k-5/grains": "3", "school-lunch/lunch/6-8/grains": "3", "school-lunch/lunch/k-8/grains": "3", "school-lunch/lunch/9-12/grains": "0",
		"school-lunch/lunch/k-5/meats": "3", "school-lunch/lunch/6-8/meats": "4", "school-lunch/lunch/k-8/meats": "4", "school-lunch/lunch/9-12/meats": "0",
		"school-breakfast/breakfast/k-5/grains-or-meats": "2", "school-breakfast/breakfast/6-8/grains-or-meats": "3", "school-breakfast/breakfast/9-12/grains-or-meats": "4",
		"school-breakfast/breakfast/k-8/grains-or-meats": "3", "school-breakfast/breakfast/6-12/grains-or-meats": "4", "school-breakfast/breakfast/k-12/grains-or-meats": "4",
	}
	subgroups := []string{"dark-green", "red-orange", "beans-peas-lentils", "starchy", "other", "additional"}
	for _, k := range ps.List() {
		if k.Program != "school-lunch" && k.Program != "school-breakfast" {
			continue
		}
		p := at(t, ps, "2026-09-14", k, nil)
		daily := amounts(p.Minimums(patterns.Day))
		for days := 3; days <= 7; days++ {
			ms, err := p.Weekly(days)
			if err != nil {
				t.Fatal(err)
			}
			weekly := amounts(ms)
			if k.Program == "school-lunch" {
				var sum exact.Number
				for _, s := range subgroups {
					sum = sum.Add(weekly["vegetables/"+s])
				}
				if !sum.Equal(weekly["vegetables"]) {
					t.Errorf("%s, %d days: subgroups add up to %s, total %s", k, days, sum, weekly["vegetables"])
				}
			}
			for c, d := range daily {
				if weekly[c].Less(d.Mul(exact.Int(int64(days)))) {
					t.Errorf("%s, %d days: %s a day is more than %s a week", k, days, d, weekly[c])
				}
				if days != 5 {
					continue
				}
				want, ok := short[k.String()+"/"+c]
				if !ok {
					want = "0"
				}
				if got := weekly[c].Sub(d.Mul(exact.Int(5))); got.String() != want {
					t.Errorf("%s, %s: the week asks for %s beyond its days, want %s", k, c, got, want)
				}
			}
			for _, c := range []string{"grains", "meats", "grains-or-meats"} {
				if u, ok := p.UpperEnd(c, patterns.Week(days)); ok && u.Number.Less(weekly[c]) {
					t.Errorf("%s, %d days: the printed range of %s ends below its start", k, days, c)
				}
			}
		}
	}
	// A group shared by several asks for the most of each and the least of each limit.
	for shared, of := range map[string][]string{"school-lunch/lunch/k-8": {"k-5", "6-8"}, "school-breakfast/breakfast/k-8": {"k-5", "6-8"},
		"school-breakfast/breakfast/6-12": {"6-8", "9-12"}, "school-breakfast/breakfast/k-12": {"k-5", "6-8", "9-12"}} {
		parts := strings.Split(shared, "/")
		for _, on := range []string{"2023-07-01", "2024-07-01", "2027-07-01"} {
			all := at(t, ps, on, patterns.Key{Program: parts[0], Meal: parts[1], Group: parts[2]}, nil)
			for _, v := range all.Values() {
				if v.None() || v.Unknown() {
					continue
				}
				var most, least exact.Number
				for i, g := range of {
					o, ok := at(t, ps, on, patterns.Key{Program: parts[0], Meal: parts[1], Group: g}, nil).Amount(v.Rule.ID, v.Span)
					if !ok {
						t.Fatalf("%s has %s, %s has not", shared, v.Rule.ID, g)
					}
					if i == 0 {
						most, least = o.Number, o.Number
					}
					most, least = exact.Max(most, o.Number), exact.Min(least, o.Number)
				}
				want := most
				if v.Rule.Kind == patterns.Most || v.Rule.Kind == patterns.Below || v.Rule.Kind == patterns.Upper {
					want = least
				}
				if !v.Number.Equal(want) {
					t.Errorf("%s on %s: %s %s is %s, want %s of %v", shared, on, v.Rule.ID, v.Span, v.Text, want, of)
				}
			}
		}
	}
}

// The weekly tables are data; the rounding rule they came from is a check.
// Subgroups of the 3-day week do not follow it.
func TestTablesAgainstTheRoundingRule(t *testing.T) {
	ps := load(t)
	for _, k := range ps.List() {
		if k.Program != "school-lunch" && k.Program != "school-breakfast" {
			continue
		}
		p := at(t, ps, "2026-09-14", k, nil)
		five, _ := p.Weekly(5)
		base := amounts(five)
		for days := 3; days <= 7; days++ {
			ms, _ := p.Weekly(days)
			for c, got := range amounts(ms) {
				if strings.Contains(c, "/") {
					continue
				}
				rule := "week/round-cup"
				if c != "fruits" && c != "vegetables" && c != "milk" {
					rule = "week/round-oz-eq"
				}
				step, err := p.Get(rule, patterns.NoSpan)
				if err != nil {
					t.Fatal(err)
				}
				half := step.Number.Quo(exact.Int(2))
				want, _ := base[c].Mul(exact.Frac(int64(days), 5)).Add(half).RoundDown(step.Number)
				if !got.Equal(want) {
					t.Errorf("%s, %d days: %s is %s, by fifths %s", k, days, c, got, want)
				}
			}
		}
	}
}

// The milk each group may have, before and after the act and the rule of 2026.
func TestMilk(t *testing.T) {
	ps := load(t)
	for _, c := range []struct {
		on       string
		k        patterns.Key
		age      patterns.Span
		fat      string
		flavored bool
		options  map[string]string
		want     patterns.Answer
	}{
		{"2026-01-13", lunchK5, "", "whole", false, nil, patterns.Refused},
		{"2026-01-14", lunchK5, "", "whole", true, nil, patterns.Credits},
		{"2026-01-14", lunchK5, "", "buttermilk", false, nil, patterns.Refused},
		{"2026-01-14", breakfast68, "", "whole", false, nil, patterns.Refused},
		{"2026-06-08", breakfast68, "", "reduced-fat", true, nil, patterns.Credits},
		{"2026-06-08", careLunch1, patterns.Age1, "whole", false, nil, patterns.Credits},
		{"2026-06-08", careLunch1, patterns.Age1, "low-fat", false, nil, patterns.Refused},
		{"2026-06-07", careLunch1, patterns.Age2, "whole", false, nil, patterns.Refused},
		{"2026-06-08", careLunch1, patterns.Age2, "whole", false, nil, patterns.Credits},
		{"2026-06-08", careLunch3, "", "whole", true, nil, patterns.Refused},
		{"2026-06-08", careLunch3, "", "fat-free", true, nil, patterns.Refused},
		{"2022-06-30", patterns.Key{Program: "child-adult-care", Meal: "lunch", Group: "ages-6-12"}, "", "low-fat", true, nil, patterns.Refused},
		{"2022-07-01", patterns.Key{Program: "child-adult-care", Meal: "lunch", Group: "ages-6-12"}, "", "low-fat", true, nil, patterns.Credits},
		{"2026-02-02", patterns.Key{Program: "preschool", Meal: "lunch", Group: "ages-3-5"}, "", "whole", false, nil, patterns.Refused},
		{"2026-02-02", patterns.Key{Program: "preschool", Meal: "lunch", Group: "ages-3-5"}, "", "whole", false, map[string]string{"preschool-lunch-milk": "school-lunch"}, patterns.Credits},
		{"2026-02-02", patterns.Key{Program: "preschool", Meal: "breakfast", Group: "ages-3-5"}, "", "whole", false, map[string]string{"preschool-lunch-milk": "school-lunch"}, patterns.Refused},
		{"2026-07-06", patterns.Key{Program: "summer", Meal: "lunch", Group: "summer"}, "", "buttermilk", false, nil, patterns.Credits},
		{"2026-07-06", patterns.Key{Program: "summer", Meal: "lunch", Group: "summer"}, "", "reduced-fat", false, nil, patterns.Flagged},
		{"2026-06-07", patterns.Key{Program: "summer", Meal: "lunch", Group: "summer"}, "", "reduced-fat", false, nil, patterns.Refused},
		{"2026-07-06", patterns.Key{Program: "summer", Meal: "lunch", Group: "summer"}, "", "reduced-fat", true, nil, patterns.Flagged},
		{"2026-07-06", patterns.Key{Program: "summer", Meal: "lunch", Group: "summer"}, "", "reduced-fat", false, map[string]string{"summer-reduced-fat-milk": "credits"}, patterns.Credits},
		{"2026-07-06", patterns.Key{Program: "summer", Meal: "lunch", Group: "summer"}, "", "reduced-fat", false, map[string]string{"summer-reduced-fat-milk": "refused"}, patterns.Refused},
	} {
		got, v, err := at(t, ps, c.on, c.k, c.options).Milk(c.fat, c.flavored, c.age)
		if err != nil || got != c.want || v == nil || v.Source.Document == nil {
			t.Errorf("%s %s milk, flavored %v, for %s on %s %v: %v, %v, want %v", c.fat, c.age, c.flavored, c.k, c.on, c.options, got, err, c.want)
		}
	}
	_, _, err := at(t, ps, "2026-09-14", lunchK5, nil).Milk("skim", false, patterns.NoSpan)
	if err == nil || !strings.Contains(err.Error(), "fat-free, low-fat, reduced-fat, whole, buttermilk") {
		t.Errorf("skim: %v", err)
	}
	// In the group of ages 1-2 the age decides, and without it there is no answer.
	if got, v, err := at(t, ps, "2026-09-14", careLunch1, nil).Milk("whole", false, patterns.NoSpan); err == nil || got != "" || v != nil {
		t.Error("milk for ages 1-2 credits without an age")
	}
	// What the years between allowed is not known, and not taken for refused.
	if got, v, err := at(t, ps, "2019-03-04", lunchK5, nil).Milk("low-fat", true, patterns.NoSpan); err == nil || got != "" || v != nil {
		t.Error("flavored milk of 2019 has an answer")
	}
}

// Rules of other days are listed as not known, so that a review can say what it
// did not check.
func TestUnknown(t *testing.T) {
	ps := load(t)
	for on, want := range map[string][]string{
		"2016-04-11": {"nutrient/sodium ", "whole-grain-rich/share-least "},
		"2019-03-04": {"nutrient/sodium ", "milk/flavored ", "whole-grain-rich/share-least "},
		"2026-09-14": nil,
	} {
		p := at(t, ps, on, lunchK5, nil)
		var got []string
		for _, m := range p.Unknown() {
			got = append(got, m.Rule.ID+" "+string(m.Span))
			if m.Next.IsZero() || m.Next.Before(day(t, on)) {
				t.Errorf("%s on %s: known from %q", m.Rule.ID, on, m.Next)
			}
			if _, err := p.Get(m.Rule.ID, m.Span); err == nil {
				t.Errorf("%s on %s: not known and yet had", m.Rule.ID, on)
			}
		}
		for _, w := range want {
			if !slices.Contains(got, w) {
				t.Errorf("on %s %v is not known, want %q among it", on, got, w)
			}
		}
		if want == nil && len(got) > 0 {
			t.Errorf("on %s %v is not known", on, got)
		}
	}
	// Today every pattern answers for everything it has.
	for _, k := range ps.List() {
		if u := at(t, ps, "2026-09-14", k, nil).Unknown(); len(u) > 0 {
			t.Errorf("%s: %s is not known", k, u[0].Rule.ID)
		}
	}
}

// What Patterns and Pattern hand out are copies.
func TestImmutable(t *testing.T) {
	ps := load(t)
	p := at(t, ps, "2026-09-14", lunchK5, nil)
	before := p.ID()
	p.Values()[0] = nil
	p.Options()["vegetables-for-grains"] = "islands"
	ps.List()[0] = patterns.Key{}
	ps.Options()[0] = nil
	ps.Rules()[0] = nil
	ps.Changes(lunchK5)[0] = day(t, "1999-01-01")
	ps.History(lunchK5)[0] = nil
	ps.Groups("school-lunch")[0].ID = "x"
	ps.Meals("school-lunch")[0] = "x"
	words, _ := p.Get("milk/unflavored", patterns.NoSpan)
	words.Words()[0] = "x"
	words.Rule.Words()[0] = "x"
	again := at(t, ps, "2026-09-14", lunchK5, nil)
	if p.ID() != before || again.ID() != before || again.Options()["vegetables-for-grains"] != "elsewhere" || ps.Options()[0] == nil || ps.Rules()[0] == nil {
		t.Error("a caller changed the patterns")
	}
}

// The id is of the values: days without a change between them share it, and a
// choice that decides something changes it.
func TestID(t *testing.T) {
	ps := load(t)
	seen := make(map[string]string)
	for _, k := range ps.List() {
		for _, d := range ps.Changes(k) {
			p := at(t, ps, d.String(), k, nil)
			if other, ok := seen[p.ID()]; ok {
				t.Errorf("%s on %s has the id of %s", k, d, other)
			}
			seen[p.ID()] = k.String() + " on " + d.String()
			from, to := p.Stretch()
			if from != d || !to.IsZero() && at(t, ps, to.String(), k, nil).ID() != p.ID() || !to.IsZero() && at(t, ps, to.Next().String(), k, nil).ID() == p.ID() {
				t.Errorf("%s: the stretch of %s is %s to %s", k, d, from, to)
			}
		}
	}
	for _, o := range ps.Options() {
		decides := false
		for _, c := range o.Choices {
			if c.ID == o.Default {
				continue
			}
			for _, k := range ps.List() {
				if !slices.Contains(o.Programs, k.Program) {
					continue
				}
				for _, d := range ps.Changes(k) {
					decides = decides || at(t, ps, d.String(), k, map[string]string{o.ID: c.ID}).ID() != at(t, ps, d.String(), k, nil).ID()
				}
			}
			if !decides {
				t.Errorf("option %s=%s changes no id", o.ID, c.ID)
			}
		}
	}
}

// The lists a review walks divide the values among themselves.
func TestListsCoverTheValues(t *testing.T) {
	ps := load(t)
	for _, k := range ps.List() {
		p := at(t, ps, "2026-09-14", k, nil)
		listed := len(p.Limits()) + len(p.Products()) + len(p.Conditions())
		for _, s := range []patterns.Span{patterns.Meal, patterns.Day, patterns.Week(3), patterns.Week(4), patterns.Week(5), patterns.Week(6), patterns.Week(7)} {
			listed += len(p.Minimums(s))
		}
		want := 0
		for _, v := range p.Values() {
			if !v.None() && v.Rule.Kind != patterns.Upper && !strings.HasPrefix(v.Rule.ID, "milk/") {
				want++
			}
		}
		if listed != want {
			t.Errorf("%s: %d values in the lists, want %d", k, listed, want)
		}
		if len(p.Minimums(patterns.Day))+len(p.Minimums(patterns.Meal)) == 0 {
			t.Errorf("%s asks for nothing", k)
		}
	}
}

// A snack of four components against one of five, before and after the choice.
func TestSnackPatternIsAChoiceOfOneYear(t *testing.T) {
	ps := load(t)
	five := map[string]string{"snack-pattern": "five"}
	for _, c := range []struct {
		on      string
		options map[string]string
		of      string
	}{
		{"2024-06-30", five, "4"}, {"2024-07-01", nil, "4"}, {"2024-07-01", five, "5"},
		{"2025-06-30", nil, "4"}, {"2025-06-30", five, "5"}, {"2025-07-01", nil, "5"}, {"2025-07-01", map[string]string{"snack-pattern": "four"}, "5"},
	} {
		p := at(t, ps, c.on, snackK12, c.options)
		of, err := p.Get("choose/of", patterns.NoSpan)
		if err != nil || of.Text != c.of || len(p.Minimums(patterns.Meal)) != int(c.of[0]-'0') {
			t.Errorf("on %s with %v: %v of %s components, %v", c.on, c.options, len(p.Minimums(patterns.Meal)), of.Text, err)
		}
	}
}

// Patterns draws each pattern's values when first asked for: many may ask at
// once.
func TestConcurrentUse(t *testing.T) {
	ps := load(t)
	ids := make(chan string)
	const callers = 8
	for range callers {
		go func() {
			var all strings.Builder
			for _, k := range ps.List() {
				p, err := ps.Pattern(patterns.Query{On: ps.Changes(k)[0], Program: k.Program, Meal: k.Meal, Group: k.Group})
				if err != nil {
					all.WriteString(err.Error())
					continue
				}
				all.WriteString(p.ID())
			}
			ids <- all.String()
		}()
	}
	first := <-ids
	for range callers - 1 {
		if other := <-ids; other != first {
			t.Errorf("one caller got %s, another %s", first, other)
		}
	}
}
