package menu_test

import (
	"reflect"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"

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

// In every program, meal and group, around every change: something in addition to what
// a day has never turns an amount, the components of a snack or the kinds of a meal
// from met to unmet.
func TestAnItemInAdditionNeverHurtsAnywhere(t *testing.T) {
	ps, err := patterns.Default()
	if err != nil {
		t.Fatal(err)
	}
	r := reviewer(t)
	keys := ps.List()
	met := 0
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom(keys).Draw(t, "pattern")
		on := date(rapid.SampledFrom(boundaries).Draw(t, "on"))
		if _, err := ps.Pattern(patterns.Query{On: on, Program: k.Program, Meal: k.Meal, Group: k.Group}); err != nil {
			return // nothing is known of it on that day
		}
		draw := func(it menu.Item) menu.Item {
			it.Juice = rapid.IntRange(0, 2).Draw(t, "juice") == 0
			if n := sumOf([]menu.Item{it}, component(food.Meats)); rapid.Bool().Draw(t, "nuts said") {
				shelled := n.Mul(exact.Frac(int64(rapid.IntRange(0, 2).Draw(t, "nuts")), 2))
				it.Nuts = &shelled
			}
			return it
		}
		l := menu.Line{Name: "main"}
		for d := on; len(l.Days) < 3; d = d.Next() {
			day := drawDay(t, d.String())
			for c := range day.Choices {
				for i := range day.Choices[c].Items {
					day.Choices[c].Items[i] = draw(day.Choices[c].Items[i])
				}
			}
			l.Days = append(l.Days, day)
		}
		m := menu.Menu{Program: k.Program, Meal: k.Meal, AgeGroup: k.Group, Lines: []menu.Line{l}}
		before, err := r.Review(m)
		if err != nil {
			t.Fatalf("%s on %s: %v", k, on, err)
		}
		day := &m.Lines[0].Days[rapid.IntRange(0, 2).Draw(t, "day")]
		it := draw(drawItem(t, "extra"))
		day.Choices = append(day.Choices, menu.Choice{Name: "extra", Take: 1, Items: []menu.Item{it}})
		after, err := r.Review(m)
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range before.Checks {
			if b.Verdict != menu.Met || !strings.HasPrefix(b.Rule, "least/") && b.Rule != "choose/components" && b.Rule != "fruits-or-vegetables/kinds" && b.Rule != "juice/share-of-meal" && b.Rule != "dessert/oz-eq-a-week" {
				continue
			}
			met++
			for _, a := range after.Checks {
				if a.Rule == b.Rule && a.On == b.On && a.Value == b.Value && a.Verdict != menu.Met {
					t.Fatalf("%s: %s on %q was met, and is %s with %+v more", k, a.Rule, a.On, a.Verdict, it)
				}
			}
		}
	})
	if met == 0 {
		t.Error("nothing is met")
	}
}
