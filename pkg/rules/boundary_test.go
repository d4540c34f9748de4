package rules_test

import (
	"slices"
	"testing"

	"example.com/ozeq/pkg/rules"
)

// holders returns the values of a rule that hold on a day, found by comparing
// dates as text, without anything the library resolves with.
func holders(rule *rules.Rule, on rules.Date, program, option, choice string) []*rules.Value {
	var out []*rules.Value
	for _, v := range rule.Values {
		if slices.Contains(v.Programs, program) &&
			v.From.String() <= on.String() && (v.To.IsZero() || on.String() <= v.To.String()) &&
			(v.Option == "" || v.Option == option && v.Choice == choice) {
			out = append(out, v)
		}
	}
	return out
}

// Every value of every rule, for every program it is for: the day before it
// starts, the day, the day after; its last day and the day after that. On its
// own days it is what Get returns, and on the others another value of the same
// rule that holds then, or a fault.
func TestBoundaries(t *testing.T) {
	r := load(t)
	var values, boundaries, refused, handedOver int
	for _, rule := range r.All() {
		for i, v := range rule.Values {
			values++
			var options map[string]string
			if v.Option != "" {
				options = map[string]string{v.Option: v.Choice}
			}
			days := []rules.Date{v.From.Previous(), v.From, v.From.Next()}
			if !v.To.IsZero() {
				days = append(days, v.To.Previous(), v.To, v.To.Next())
			}
			for _, program := range v.Programs {
				for _, on := range days {
					boundaries++
					got := get(t, r, on, program, options, rule.ID)
					held := holders(rule, on, program, v.Option, v.Choice)
					if len(held) > 1 {
						t.Errorf("%s on %s for %s: %d values hold at once", rule.ID, on, program, len(held))
						continue
					}
					own := !on.Before(v.From) && (v.To.IsZero() || !on.After(v.To))
					switch {
					case own && got != v:
						t.Errorf("%s, value %d, on %s for %s: not in force on its own day", rule.ID, i, on, program)
					case !own && got == v:
						t.Errorf("%s, value %d, on %s for %s: in force outside its life", rule.ID, i, on, program)
					case len(held) == 0 && got != nil:
						t.Errorf("%s on %s for %s: %q, but no value holds then", rule.ID, on, program, got.Text)
					case len(held) == 1 && got != held[0]:
						t.Errorf("%s on %s for %s: not the value that holds then", rule.ID, on, program)
					}
					switch {
					case got == nil:
						refused++
					case got != v:
						handedOver++
					}
				}
			}
		}
	}
	if values < 200 || boundaries < 3*values || refused == 0 || handedOver == 0 {
		t.Errorf("%d values, %d boundaries, %d refused, %d handed over: the walk missed the data", values, boundaries, refused, handedOver)
	}
	t.Logf("%d values, %d boundary days, %d of them not in force, %d held by a neighbor", values, boundaries, refused, handedOver)
}

// A value is for its own programs and its own choice only.
func TestValuesStayInTheirProgramsAndChoices(t *testing.T) {
	r := load(t)
	choices := make(map[string][]rules.Choice)
	for _, o := range r.Options() {
		choices[o.ID] = o.Choices
	}
	for _, rule := range r.All() {
		for i, v := range rule.Values {
			for _, p := range r.Programs() {
				var options map[string]string
				if v.Option != "" {
					options = map[string]string{v.Option: v.Choice}
				}
				got := get(t, r, v.From, p.ID, options, rule.ID)
				if mine := slices.Contains(v.Programs, p.ID); mine != (got == v) {
					t.Errorf("%s, value %d: in force for %s: %v, want %v", rule.ID, i, p.ID, got == v, mine)
				}
				for _, c := range choices[v.Option] {
					if c.ID == v.Choice {
						continue
					}
					if got := get(t, r, v.From, p.ID, map[string]string{v.Option: c.ID}, rule.ID); got == v {
						t.Errorf("%s, value %d: in force for %s under %s=%s, but it is the value of %s", rule.ID, i, p.ID, v.Option, c.ID, v.Choice)
					}
				}
			}
		}
	}
}

// A rule of options takes the default when the request names none.
func TestDefaultChoiceDecides(t *testing.T) {
	r := load(t)
	defaults := make(map[string]string)
	for _, o := range r.Options() {
		defaults[o.ID] = o.Default
	}
	tried := 0
	for _, rule := range r.All() {
		for i, v := range rule.Values {
			if v.Option == "" {
				continue
			}
			for _, p := range v.Programs {
				tried++
				if got := get(t, r, v.From, p, nil, rule.ID); (got == v) != (defaults[v.Option] == v.Choice) {
					t.Errorf("%s, value %d of %s=%s, for %s: in force when nothing is chosen: %v", rule.ID, i, v.Option, v.Choice, p, got == v)
				}
			}
		}
	}
	if tried == 0 {
		t.Error("no value of an option in the data")
	}
}

// expectations: on a day, in a program, a rule has a value as printed, or ""
// when it is not in force.
type expectation struct {
	on, program, rule, want string
}

func expect(t *testing.T, cases []expectation) {
	t.Helper()
	r := load(t)
	for _, c := range cases {
		if _, ok := r.Rule(c.rule); !ok {
			t.Errorf("no rule %s in the data", c.rule)
			continue
		}
		got := ""
		if v := get(t, r, day(t, c.on), c.program, nil, c.rule); v != nil {
			if got = v.Text; len(v.Steps) > 0 {
				got = v.Steps[0].LeastText
			}
		}
		if got != c.want {
			t.Errorf("%s on %s for %s: %q, want %q (nothing: not in force)", c.rule, c.on, c.program, got, c.want)
		}
	}
}

// 2012-07-01: schools may count grains in ounce equivalents; dried fruit
// doubles and raw leafy greens halve.
func TestSchoolsChangeOn1July2012(t *testing.T) {
	var cases []expectation
	for _, program := range []string{"school-lunch", "school-breakfast"} {
		cases = append(cases,
			expectation{"2012-06-30", program, "grains/unit", "serving"},
			expectation{"2012-07-01", program, "grains/unit", "oz-eq"},
			expectation{"2012-07-02", program, "grains/unit", "oz-eq"},
			expectation{"2012-06-30", program, "grains/grams/serving", "14.75"},
			expectation{"2012-07-01", program, "grains/grams/serving", ""},
			expectation{"2012-06-30", program, "grains/grams/baked", ""},
			expectation{"2012-07-01", program, "grains/grams/baked", "16"},
			expectation{"2012-07-01", program, "grains/grams/cooked", "28"},
			expectation{"2012-06-30", program, "grains/exhibit-a/D/g", ""},
			expectation{"2012-07-01", program, "grains/exhibit-a/D/g", "55"},
			expectation{"2012-06-30", program, "grains/exhibit-a-serving/D/g", "50"},
			expectation{"2012-07-01", program, "grains/exhibit-a-serving/D/g", ""},
			expectation{"2012-06-30", program, "fruits/dried-factor", ""},
			expectation{"2012-07-01", program, "fruits/dried-factor", "2"},
			expectation{"2012-06-30", program, "vegetables/raw-leafy-factor", ""},
			expectation{"2012-07-01", program, "vegetables/raw-leafy-factor", "1/2"},
			expectation{"2012-06-30", program, "produce/as-served", "1"},
			expectation{"2012-07-01", program, "produce/as-served", "1"},
		)
	}
	expect(t, cases)
}

// 2019-04-17: popcorn credits, the same cups to an ounce equivalent and to a
// grains/breads serving where grains still counted in servings that day.
func TestPopcornCreditsFrom17April2019(t *testing.T) {
	expect(t, []expectation{
		{"2019-04-16", "school-lunch", "grains/cups/popcorn", ""},
		{"2019-04-17", "school-lunch", "grains/cups/popcorn", "3"},
		{"2019-04-18", "school-lunch", "grains/cups/popcorn", "3"},
		{"2019-04-16", "school-breakfast", "grains/cups/popcorn", ""},
		{"2019-04-17", "school-breakfast", "grains/cups/popcorn", "3"},
		// The other grains of the day did not change.
		{"2019-04-16", "school-lunch", "grains/cups/puffed", "1 1/4"},
		{"2019-04-17", "school-lunch", "grains/cups/puffed", "1 1/4"},
		{"2019-04-17", "child-adult-care", "grains/cups/popcorn", "3"},
		{"2019-04-16", "preschool", "grains/cups/popcorn", ""},
		{"2021-10-01", "preschool", "grains/cups/popcorn", "3"},
		{"2021-10-01", "child-adult-care", "grains/cups/popcorn", "3"},
		{"2022-06-30", "afterschool-snack", "grains/cups/popcorn", ""},
		{"2025-07-01", "afterschool-snack", "grains/cups/popcorn", "3"},
	})
}

// 2021-10-01: child and adult care and preschool meals go to ounce
// equivalents. Schools did years before.
func TestChildCareAndPreschoolChangeOn1October2021(t *testing.T) {
	var cases []expectation
	for _, program := range []string{"child-adult-care", "preschool"} {
		cases = append(cases,
			expectation{"2017-09-30", program, "grains/unit", ""},
			expectation{"2017-10-01", program, "grains/unit", "serving"},
			expectation{"2021-09-30", program, "grains/unit", "serving"},
			expectation{"2021-10-01", program, "grains/unit", "oz-eq"},
			expectation{"2021-10-02", program, "grains/unit", "oz-eq"},
			expectation{"2021-09-30", program, "grains/grams/serving", "14.75"},
			expectation{"2021-10-01", program, "grains/grams/serving", ""},
			expectation{"2021-09-30", program, "grains/grams/baked", ""},
			expectation{"2021-10-01", program, "grains/grams/baked", "16"},
			expectation{"2021-09-30", program, "grains/exhibit-a-serving/B/oz", "0.9"},
			expectation{"2021-10-01", program, "grains/exhibit-a-serving/B/oz", ""},
			expectation{"2021-09-30", program, "grains/exhibit-a/B/oz", ""},
			expectation{"2021-10-01", program, "grains/exhibit-a/B/oz", "1.0"},
			// Their fruit and vegetable factors are older and stay.
			expectation{"2021-09-30", program, "fruits/dried-factor", "2"},
			expectation{"2021-10-01", program, "fruits/dried-factor", "2"},
		)
	}
	cases = append(cases,
		expectation{"2021-09-30", "school-lunch", "grains/unit", "oz-eq"},
		expectation{"2021-10-01", "school-lunch", "grains/unit", "oz-eq"})
	expect(t, cases)
}

// 2025-07-01: snacks after school go to ounce equivalents, the last but the
// summer meals, which still count servings unless the operator chooses.
func TestSnacksChangeOn1July2025(t *testing.T) {
	expect(t, []expectation{
		{"2025-06-30", "afterschool-snack", "grains/unit", "serving"},
		{"2025-07-01", "afterschool-snack", "grains/unit", "oz-eq"},
		{"2025-07-02", "afterschool-snack", "grains/unit", "oz-eq"},
		{"2025-06-30", "afterschool-snack", "grains/grams/serving", "14.75"},
		{"2025-07-01", "afterschool-snack", "grains/grams/serving", ""},
		{"2025-06-30", "afterschool-snack", "grains/grams/baked", ""},
		{"2025-07-01", "afterschool-snack", "grains/grams/baked", "16"},
		{"2025-06-30", "afterschool-snack", "grains/exhibit-a-serving/A/g", "20"},
		{"2025-07-01", "afterschool-snack", "grains/exhibit-a/A/g", "22"},
		{"2025-06-30", "summer", "grains/unit", "serving"},
		{"2025-07-01", "summer", "grains/unit", "serving"},
		{"2025-06-30", "school-lunch", "grains/unit", "oz-eq"},
		{"2025-07-01", "school-lunch", "grains/unit", "oz-eq"},
	})
	r := load(t)
	chosen := map[string]string{"summer-grains": "oz-eq"}
	if v := get(t, r, day(t, "2025-07-01"), "summer", chosen, "grains/unit"); v == nil || v.Text != "oz-eq" {
		t.Errorf("summer meals by choice: %v, want oz-eq", v)
	}
	if v := get(t, r, day(t, "2025-07-01"), "summer", chosen, "grains/grams/serving"); v != nil {
		t.Errorf("summer meals in ounce equivalents still have a serving of %s g", v.Text)
	}
}

// Before the first day the data knows, nothing is answered: not with zero, and
// not with the nearest value.
func TestBeforeTheFirstDay(t *testing.T) {
	r := load(t)
	for _, p := range r.Programs() {
		first := r.Changes(p.ID)[0]
		if _, err := r.Resolve(first, p.ID, nil); err != nil {
			t.Errorf("%s on its first day %s: %v", p.ID, first, err)
		}
		for _, on := range []rules.Date{first.Previous(), {Year: 1900, Month: 1, Day: 1}} {
			rs, err := r.Resolve(on, p.ID, nil)
			if rs != nil || err == nil {
				t.Errorf("%s on %s, before its first day: %v", p.ID, on, rs)
				continue
			}
			if got := reasons(t, err); !slices.Equal(got, []string{"RULE_NOT_IN_FORCE serviceDate"}) {
				t.Errorf("%s on %s, before its first day: %v", p.ID, on, got)
			}
		}
	}
}

// A rule whose first day is not known says so, and is refused before the day
// the sources support.
func TestEarlierUnknownIsRefused(t *testing.T) {
	r := load(t)
	unknown := 0
	for _, rule := range r.All() {
		for i, v := range rule.Values {
			if !v.EarlierUnknown {
				continue
			}
			unknown++
			for _, p := range v.Programs {
				if len(holders(rule, v.From.Previous(), p, v.Option, v.Choice)) > 0 {
					t.Errorf("%s, value %d: its first day is said to be unknown, yet a value holds for %s the day before", rule.ID, i, p)
				}
			}
		}
	}
	if unknown == 0 {
		t.Error("no value of unknown first day in the data")
	}
}

// A fault tells the day that was asked for, also when the rule set comes from
// an earlier request for another day of the same stretch.
func TestFaultsNameTheDayAskedFor(t *testing.T) {
	r := load(t)
	for _, on := range []string{"2026-01-05", "2026-03-01", "2026-01-05", "2030-12-31"} {
		if v := get(t, r, day(t, on), "school-lunch", nil, "grains/grams/serving"); v != nil {
			t.Errorf("grains/breads servings are in force on %s", on)
		}
		if v := get(t, r, day(t, on), "school-lunch", nil, "no/such/rule"); v != nil {
			t.Errorf("a rule nobody wrote is in force on %s", on)
		}
	}
}
