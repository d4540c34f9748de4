package menu_test

import (
	"reflect"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules/patterns"
)

// days around every change of a rule that menus are judged by.
var boundaries = []string{"2017-10-01", "2022-07-01", "2023-07-01", "2024-06-30", "2024-07-01", "2025-06-30", "2025-07-01", "2025-09-30", "2025-10-01",
	"2026-01-13", "2026-01-14", "2026-06-07", "2026-06-08", "2027-06-30", "2027-07-01"}

// Whatever stands on a menu, every amount its pattern asks of a meal has a check,
// and a menu is met only when every check that is no note is.
func TestEveryPatternIsAnswered(t *testing.T) {
	ps, err := patterns.Default()
	if err != nil {
		t.Fatal(err)
	}
	r := reviewer(t)
	keys := ps.List()
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom(keys).Draw(t, "pattern")
		on := date(rapid.SampledFrom(boundaries).Draw(t, "on"))
		p, err := ps.Pattern(patterns.Query{On: on, Program: k.Program, Meal: k.Meal, Group: k.Group})
		if err != nil {
			return // nothing is known of it on that day
		}
		l := menu.Line{Name: "main"}
		for d := on; len(l.Days) < 3; d = d.Next() {
			l.Days = append(l.Days, drawDay(t, d.String()))
		}
		for i := range l.Days[0].Choices[0].Items {
			it := &l.Days[0].Choices[0].Items[i]
			it.Paper = rapid.SampledFrom([]string{"", "label"}).Draw(t, "paper")
			if rapid.Bool().Draw(t, "milk") {
				it.Milk = &menu.Milk{Fat: rapid.SampledFrom([]string{"fat-free", "low-fat", "reduced-fat", "whole", "buttermilk"}).Draw(t, "fat"), Flavored: rapid.Bool().Draw(t, "flavored")}
			}
			it.Juice = rapid.Bool().Draw(t, "juice")
		}
		m := menu.Menu{Program: k.Program, Meal: k.Meal, AgeGroup: k.Group, Lines: []menu.Line{l}}
		got, err := r.Review(m)
		if err != nil {
			t.Fatalf("%s on %s: %v", k, on, err)
		}
		worst := menu.Met
		asked := make(map[string]bool)
		for _, c := range got.Checks {
			if c.On == on {
				asked[c.Rule] = true
			}
			if !c.Note {
				worst = max(worst, c.Verdict)
			}
			if c.Verdict == menu.NotChecked && c.Because == "" {
				t.Fatalf("%s: %s is not checked, and nothing says why", k, c.Rule)
			}
			if c.Verdict == menu.Met && c.Short.Sign() != 0 {
				t.Fatalf("%s: %s is met and short by %s", k, c.Rule, c.Short)
			}
		}
		if worst != got.Verdict() {
			t.Fatalf("%s is %s with a check that is %s", k, got.Verdict(), worst)
		}
		span := patterns.Day
		if len(p.Minimums(span)) == 0 {
			span = patterns.Meal
		}
		for _, min := range p.Minimums(span) {
			if min.Value.Number.Sign() > 0 && !asked[min.Value.Rule.ID] && !asked["choose/components"] {
				t.Fatalf("%s on %s: nothing answers %s", k, on, min.Value.Rule.ID)
			}
		}
		tr := menu.Tray{Program: k.Program, Meal: k.Meal, AgeGroup: k.Group, On: on, Offered: &l.Days[0], Taken: taken(l.Days[0].Choices[0].Items...)}
		a, err := r.Tray(tr)
		if err != nil {
			t.Fatalf("%s on %s: %v", k, on, err)
		}
		if a.Verdict == menu.NotMet && len(a.Add) == 0 && !strings.Contains(reasonsOf(a), "offer/items") {
			t.Fatalf("%s on %s: a tray is not reimbursable, and nothing says what to add: %+v", k, on, a)
		}
	})
}

func reasonsOf(a *menu.TrayAnswer) string {
	var out string
	for _, c := range a.Checks {
		if c.Verdict == menu.NotMet {
			out += c.Rule + " "
		}
	}
	return out
}

// One reviewer serves any number of callers, and leaves their menus as they are.
func TestReviewersAreShared(t *testing.T) {
	m, before := weekOfRecipes(), weekOfRecipes()
	want := review(t, m)
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			got, err := reviewer(t).Review(m)
			if err != nil || !reflect.DeepEqual(got.Checks, want.Checks) {
				t.Errorf("%v, or other checks", err)
			}
		})
	}
	all.Wait()
	if !reflect.DeepEqual(m, before) {
		t.Error("the menu was changed")
	}
}
