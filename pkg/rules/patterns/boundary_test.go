package patterns_test

import (
	"encoding/csv"
	"os"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// holders returns what the values of a line say that hold on a day, found by
// comparing dates as text, without anything the library resolves with.
func holders(values []*patterns.Value, rule string, span patterns.Span, on, option, choice string) []string {
	var out []string
	for _, v := range values {
		if v.Rule.ID == rule && v.Span == span && v.From.String() <= on && (v.To.IsZero() || on <= v.To.String()) &&
			(v.Option == "" || v.Option == option && v.Choice == choice) {
			out = append(out, v.Text)
		}
	}
	return out
}

// Every value of every pattern: the day before it starts, the day, the day
// after; its last day and the days around it. On each one value holds, or none
// and Get refuses.
func TestBoundaries(t *testing.T) {
	ps := load(t)
	days, refused := 0, 0
	for _, k := range ps.List() {
		values := ps.History(k)
		for _, v := range values {
			var options map[string]string
			option, choice := v.Option, v.Choice
			if option != "" {
				options = map[string]string{option: choice}
			} else { // another value of the line may belong to an option
				for _, o := range values {
					if o.Rule == v.Rule && o.Span == v.Span && o.Option != "" {
						def, _ := ps.Option(o.Option)
						option, choice = o.Option, def.Default
					}
				}
			}
			around := []rules.Date{v.From.Previous(), v.From, v.From.Next()}
			if !v.To.IsZero() {
				around = append(around, v.To.Previous(), v.To, v.To.Next())
			}
			for _, on := range around {
				days++
				want := notKnown
				switch held := holders(values, v.Rule.ID, v.Span, on.String(), option, choice); {
				case len(held) > 1:
					t.Errorf("%s on %s: %d values hold at once", v.ID(), on, len(held))
				case len(held) == 1 && held[0] != patterns.Unknown:
					want = held[0]
				}
				if got := says(t, ps, on.String(), k, options, v.Rule.ID, v.Span); got != want {
					t.Errorf("%s on %s: %q, want %q", v.ID(), on, got, want)
				}
				if want == notKnown {
					refused++
				}
			}
		}
	}
	if days < 10000 || refused == 0 {
		t.Errorf("%d days, %d refused: the walk missed the data", days, refused)
	}
	t.Logf("%d boundary days, %d of them not known", days, refused)
}

// Each change of testdata/boundaries.csv: the day before, the day, the day
// after. And no other change is in the data.
func TestNamedBoundaries(t *testing.T) {
	ps := load(t)
	f, err := os.Open("testdata/boundaries.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	type change struct{ day, option, pattern, rule, span string }
	named := make(map[change]bool)
	byDay := make(map[string]int)
	for _, l := range lines[1:] {
		day1, option, program, before, from := day(t, l[0]), l[1], l[2], l[6], l[7]
		var options map[string]string
		if id, choice, ok := strings.Cut(option, "="); ok {
			options = map[string]string{id: choice}
		}
		for _, p := range strings.Fields(l[3]) {
			meal, group, _ := strings.Cut(p, "/")
			k := patterns.Key{Program: program, Meal: meal, Group: group}
			named[change{l[0], option, k.String(), l[4], l[5]}] = true
			byDay[l[0]]++
			for on, want := range map[rules.Date]string{day1.Previous(): before, day1: from, day1.Next(): from} {
				if got := says(t, ps, on.String(), k, options, l[4], patterns.Span(l[5])); got != want {
					t.Errorf("%s, %s %s %s on %s: %q, want %q", k, l[4], l[5], option, on, got, want)
				}
			}
		}
	}
	for _, want := range []string{"2022-07-01", "2023-07-01", "2024-07-01", "2025-07-01", "2025-10-01", "2025-11-12", "2026-01-14", "2026-06-08", "2027-07-01"} {
		if byDay[want] == 0 {
			t.Errorf("nothing changes on %s", want)
		}
		delete(byDay, want)
	}
	if len(byDay) > 0 {
		t.Errorf("changes on days nobody expects: %v", byDay)
	}
	walk := func(option string, options map[string]string, programs []string) {
		for _, k := range ps.List() {
			if programs != nil && !slices.Contains(programs, k.Program) {
				continue
			}
			for _, on := range ps.Changes(k) {
				if on.Before(day(t, "2022-07-01")) {
					continue
				}
				for _, v := range ps.History(k) {
					if says(t, ps, on.String(), k, options, v.Rule.ID, v.Span) != says(t, ps, on.Previous().String(), k, options, v.Rule.ID, v.Span) &&
						!named[change{on.String(), option, k.String(), v.Rule.ID, string(v.Span)}] && !named[change{on.String(), "", k.String(), v.Rule.ID, string(v.Span)}] {
						t.Errorf("%s, %s %s changes on %s with %q: not in boundaries.csv", k, v.Rule.ID, v.Span, on, option)
					}
				}
			}
		}
	}
	walk("", nil, nil)
	for _, o := range ps.Options() {
		for _, c := range o.Choices {
			if c.ID != o.Default {
				walk(o.ID+"="+c.ID, map[string]string{o.ID: c.ID}, o.Programs)
			}
		}
	}
}
