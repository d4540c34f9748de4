package menu_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
)

// What can stand in a random menu, by the ids of the files.
var parts = []string{"grains", "meats", "fruits", "milk", "dark-green", "red-orange", "beans-peas-lentils", "starchy", "other", "mixed"}

func drawItem(t *rapid.T, name string) menu.Item {
	it := menu.Item{Name: name, Paper: "drawn", Dessert: rapid.IntRange(0, 4).Draw(t, "dessert") == 0}
	in := make(map[string]string)
	for range rapid.IntRange(1, 3).Draw(t, "credits") {
		in[rapid.SampledFrom(parts).Draw(t, "part")] = fmt.Sprintf("%d/4", rapid.IntRange(1, 6).Draw(t, "quarters"))
	}
	if rapid.IntRange(0, 5).Draw(t, "beans") == 0 {
		eighths := rapid.IntRange(1, 4).Draw(t, "eighths")
		it.BeansAsMeats, in["meats"] = exact.Frac(int64(eighths), 8), fmt.Sprintf("%d/2", eighths) // 1/4 cup is 1 oz eq
	}
	it.Credits = claims(in)
	return it
}

func drawDay(t *rapid.T, on string) menu.Day {
	d := menu.Day{On: date(on)}
	for c := range rapid.IntRange(1, 2).Draw(t, "choices") {
		ch := menu.Choice{Name: fmt.Sprint(c), Same: menu.NotAllowed}
		n := rapid.IntRange(1, 3).Draw(t, "items")
		for i := range n {
			ch.Items = append(ch.Items, drawItem(t, fmt.Sprint(on, c, i)))
		}
		if rapid.Bool().Draw(t, "same") {
			ch.Same = menu.Allowed
		}
		ch.Take = rapid.IntRange(1, min(2, n)).Draw(t, "take")
		d.Choices = append(d.Choices, ch)
	}
	return d
}

func drawWeek(t *rapid.T) menu.Menu {
	l := menu.Line{Name: "main"}
	for _, on := range []string{"2026-09-14", "2026-09-15", "2026-09-16"} {
		l.Days = append(l.Days, drawDay(t, on))
	}
	return menu.Menu{Program: "school-lunch", AgeGroup: "k-5", Lines: []menu.Line{l}}
}

// everySelection walks through the full selections of a day the plain way: every
// list of so many items, those that repeat one left out where that is not allowed.
func everySelection(d menu.Day) [][]menu.Item {
	all := [][]menu.Item{nil}
	for _, c := range d.Choices {
		lists := [][]int{nil}
		for range c.Take {
			var next [][]int
			for _, l := range lists {
				for i := range c.Items {
					next = append(next, append(append([]int(nil), l...), i))
				}
			}
			lists = next
		}
		var next [][]menu.Item
		for _, before := range all {
			for _, l := range lists {
				seen := make(map[int]bool)
				ok := true
				sel := append([]menu.Item(nil), before...)
				for _, i := range l {
					ok = ok && (c.Same == menu.Allowed || !seen[i])
					seen[i] = true
					sel = append(sel, c.Items[i])
				}
				if ok {
					next = append(next, sel)
				}
			}
		}
		all = next
	}
	return all
}

func sumOf(sel []menu.Item, want func(credit.Claim, menu.Item) bool) exact.Number {
	var n exact.Number
	for _, it := range sel {
		for _, c := range it.Credits {
			if want(c, it) {
				n = n.Add(c.Amount)
			}
		}
	}
	return n
}

func component(of food.Component) func(credit.Claim, menu.Item) bool {
	return func(c credit.Claim, _ menu.Item) bool { return c.Component == of }
}

// weeks calls visit with every way through the days.
func weeks(days []menu.Day, visit func([][]menu.Item)) {
	var walk func(i int, way [][]menu.Item)
	walk = func(i int, way [][]menu.Item) {
		if i == len(days) {
			visit(way)
			return
		}
		for _, sel := range everySelection(days[i]) {
			walk(i+1, append(way, sel))
		}
	}
	walk(0, nil)
}

// milkOfEvery is the milk every child could take of a day: of each choice the most, where
// some milk stands by itself, and the least of plated meals.
func milkOfEvery(d menu.Day) exact.Number {
	var sum exact.Number
	for _, c := range d.Choices {
		plain := false
		for _, it := range c.Items {
			plain = plain || len(it.Credits) == 1 && it.Credits[0].Component == food.Milk
		}
		var n exact.Number
		for i, sel := range everySelection(menu.Day{Choices: []menu.Choice{c}}) {
			if has := sumOf(sel, component(food.Milk)); i == 0 || plain && n.Less(has) || !plain && has.Less(n) {
				n = has
			}
		}
		sum = sum.Add(n)
	}
	return sum
}

// Daily and weekly amounts against every selection and every way through the week,
// counted one by one.
func TestChoicesAgainstEverySelection(t *testing.T) {
	r := reviewer(t)
	rapid.Check(t, func(t *rapid.T) {
		m := drawWeek(t)
		days := m.Lines[0].Days
		ways := 1
		for _, d := range days {
			ways *= len(everySelection(d))
		}
		if ways > 300 {
			return // too many ways to walk one by one
		}
		got, err := r.Review(m)
		if err != nil {
			t.Fatal(err)
		}
		there := func(rule, on string) exact.Number {
			for _, c := range got.Checks {
				if c.Rule == rule && c.On.String() == on && !c.Note {
					return c.There
				}
			}
			t.Fatalf("no check of %s on %q", rule, on)
			return exact.Number{}
		}
		for _, q := range []struct {
			rule string
			of   food.Component
			most bool
		}{{"least/meats", food.Meats, false}, {"least/fruits", food.Fruits, false}, {"least/vegetables", food.Vegetables, false}, {"least/milk", food.Milk, true}} {
			var least, mostWeek exact.Number
			for _, d := range days {
				var lo, hi exact.Number
				for i, sel := range everySelection(d) {
					n := sumOf(sel, component(q.of))
					if i == 0 || n.Less(lo) {
						lo = n
					}
					hi = exact.Max(hi, n)
				}
				if q.of == food.Milk {
					hi = milkOfEvery(d)
				}
				want := lo
				if q.most {
					want = hi
				}
				if is := there(q.rule, d.On.String()); !is.Equal(want) {
					t.Fatalf("%s on %s: %s, by every selection %s", q.rule, d.On, is, want)
				}
				least, mostWeek = least.Add(lo), mostWeek.Add(hi)
			}
			want := mostWeek
			if q.rule == "least/meats" {
				want = least
			}
			if is := there(q.rule, ""); !is.Equal(want) {
				t.Fatalf("%s in the week: %s, by every selection %s", q.rule, is, want)
			}
		}
		// Grains with the limit on desserts, child by child: on a day no more than the
		// 2 oz eq of a week, over the week no more in all, and for each child there must be
		// desserts to choose, tried one by one in quarters, with which every day holds.
		leastDay := make([]exact.Number, len(days))
		var leastWeek exact.Number
		first, all := true, true
		weeks(days, func(way [][]menu.Item) {
			var week, sweets exact.Number
			plain, sweet := make([]exact.Number, len(way)), make([]exact.Number, len(way))
			for i, sel := range way {
				plain[i] = sumOf(sel, func(c credit.Claim, it menu.Item) bool { return c.Component == food.Grains && !it.Dessert })
				sweet[i] = sumOf(sel, func(c credit.Claim, it menu.Item) bool { return c.Component == food.Grains && it.Dessert })
				n := plain[i].Add(exact.Min(sweet[i], exact.Int(2)))
				if first || n.Less(leastDay[i]) {
					leastDay[i] = n
				}
				week, sweets = week.Add(plain[i]), sweets.Add(sweet[i])
			}
			if week = week.Add(exact.Min(sweets, exact.Int(2))); first || week.Less(leastWeek) {
				leastWeek = week
			}
			all = all && canHold(plain, sweet, exact.Int(2))
			first = false
		})
		for i, d := range days {
			if is := there("least/grains", d.On.String()); !is.Equal(leastDay[i]) {
				t.Fatalf("grains on %s: %s, by every way %s", d.On, is, leastDay[i])
			}
		}
		if is := there("least/grains", ""); !is.Equal(leastWeek) {
			t.Fatalf("grains in the week: %s, by every way %s", is, leastWeek)
		}
		held := true // each day by itself
		for _, n := range leastDay {
			held = held && !n.Less(exact.Int(1))
		}
		for _, c := range got.Checks {
			if c.Rule == "dessert/oz-eq-a-week" && held && (c.Verdict == menu.Met) != all {
				t.Fatalf("days that rest on desserts: %s with %s, by every choice of desserts %v", c.Verdict, c.There, all)
			}
			if c.Rule == "dessert/oz-eq-a-week" && !held && c.Verdict == menu.Met {
				t.Fatalf("desserts are enough, and a day is short")
			}
		}
		// Subgroups: the way that misses least, each allocated exhaustively.
		short := exact.Int(1000)
		weeks(days, func(way [][]menu.Item) {
			var all []menu.Item
			for _, sel := range way {
				all = append(all, sel...)
			}
			short = exact.Min(short, missesLeast(all))
		})
		// Each by itself, on the way that reaches most of it, where no beans stand as meat
		// alternate.
		beans := false
		most := make(map[string]int)
		weeks(days, func(way [][]menu.Item) {
			var all []menu.Item
			for _, sel := range way {
				all = append(all, sel...)
			}
			over := 0
			for _, it := range all {
				beans = beans || it.BeansAsMeats.Sign() > 0
			}
			for _, g := range []food.Subgroup{food.DarkGreen, food.RedOrange, food.BeansPeasLentils, food.Starchy} {
				n := eighthsOf(all, g)
				most[g.String()] = max(most[g.String()], min(n, 4))
				if g != food.Starchy {
					over += max(n-4, 0)
				}
			}
			most["other"] = max(most["other"], min(eighthsOf(all, food.OtherVegetables)+over, 2))
		})
		for id, n := range most {
			if is := there("least/vegetables/"+id, ""); !beans && !is.Equal(exact.Frac(int64(n), 8)) {
				t.Fatalf("%s: %s, by every way %d/8", id, is, n)
			}
		}
		for _, c := range got.Checks {
			if c.Rule == menu.Subgroups && !c.Short.Equal(short) {
				t.Fatalf("subgroups miss %s, by every way %s", c.Short, short)
			}
		}
	})
}

// canHold tries every amount of desserts on each day, in quarters, with no more than
// so many in all, for one with which each day has 1 oz eq.
func canHold(plain, sweet []exact.Number, most exact.Number) bool {
	if len(plain) == 0 {
		return true
	}
	for c := (exact.Number{}); !exact.Min(sweet[0], most).Less(c); c = c.Add(exact.Frac(1, 4)) {
		if !plain[0].Add(c).Less(exact.Int(1)) && canHold(plain[1:], sweet[1:], most.Sub(c)) {
			return true
		}
	}
	return false
}

// eighthsOf are the eighths of a cup of a subgroup.
func eighthsOf(sel []menu.Item, s food.Subgroup) int {
	n, _ := sumOf(sel, func(c credit.Claim, _ menu.Item) bool { return c.Component == food.Vegetables && c.Subgroup == s }).Mul(exact.Int(8)).Whole()
	return int(n)
}

// missesLeast tries every way to share vegetables out, in eighths of a cup, for the
// three-day week of K-5: 1/2 of each subgroup but 1/4 of other, 0 additional.
func missesLeast(sel []menu.Item) exact.Number {
	eighths := func(s food.Subgroup) int { return eighthsOf(sel, s) }
	var asMeats int
	for _, it := range sel {
		n, _ := it.BeansAsMeats.Mul(exact.Int(8)).Whole()
		asMeats += int(n)
	}
	dg, ro, bl := eighths(food.DarkGreen), eighths(food.RedOrange), eighths(food.BeansPeasLentils)
	missing := func(need, have int) int { return max(need-have, 0) }
	best := 1000
	for a := 0; a <= dg; a++ {
		for b := 0; b <= ro; b++ {
			for c := 0; c <= bl; c++ {
				n := missing(4, dg-a) + missing(4, ro-b) + missing(4, bl-c+asMeats) + missing(4, eighths(food.Starchy)) + missing(2, eighths(food.OtherVegetables)+a+b+c)
				best = min(best, n)
			}
		}
	}
	return exact.Frac(int64(best), 8)
}

// Something in addition to what a day has, not one more to choose from, never
// turns a met minimum unmet.
func TestAnItemInAdditionNeverHurts(t *testing.T) {
	r := reviewer(t)
	rapid.Check(t, func(t *rapid.T) {
		m := drawWeek(t)
		before, err := r.Review(m)
		if err != nil {
			t.Fatal(err)
		}
		day := &m.Lines[0].Days[rapid.IntRange(0, 2).Draw(t, "day")]
		it := drawItem(t, "extra")
		day.Choices = append(day.Choices, menu.Choice{Name: "extra", Take: 1, Items: []menu.Item{it}})
		after, err := r.Review(m)
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range before.Checks {
			if b.Verdict != menu.Met || !strings.HasPrefix(b.Rule, "least/") && b.Rule != "dessert/oz-eq-a-week" {
				continue
			}
			for _, a := range after.Checks {
				if a.Rule == b.Rule && a.On == b.On && a.Value == b.Value && a.Verdict != menu.Met {
					t.Fatalf("%s on %q was met, and is %s with %v more", a.Rule, a.On, a.Verdict, it.Credits)
				}
			}
		}
	})
}
