package menu_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// drawAnywhere draws a week of a program around dates on which something changes.
func drawAnywhere(t *rapid.T) menu.Menu {
	m := drawWeek(t)
	at := rapid.SampledFrom([]struct{ program, meal, group string }{
		{"school-lunch", "lunch", "k-5"}, {"school-lunch", "lunch", "9-12"}, {"school-breakfast", "breakfast", "k-5"},
		{"child-adult-care", "lunch", "ages-3-5"}, {"preschool", "breakfast", "ages-3-5"}, {"afterschool-snack", "snack", "k-5"}, {"summer", "lunch", "summer"},
	}).Draw(t, "pattern")
	m.Program, m.Meal, m.AgeGroup = at.program, at.meal, at.group
	on := rules.Date{Year: rapid.IntRange(2022, 2027).Draw(t, "year"), Month: rapid.IntRange(1, 12).Draw(t, "month"), Day: rapid.IntRange(1, 28).Draw(t, "day")}
	for i := range m.Lines[0].Days {
		m.Lines[0].Days[i].On = on
		on = on.Next()
	}
	return m
}

// after walks so many days on.
func after(d rules.Date, days int) rules.Date {
	for range days {
		d = d.Next()
	}
	return d
}

// answers are the worst verdicts by question, the days counted from the first.
func answers(r *menu.Review, first rules.Date, line func(string) string) map[string]menu.Verdict {
	out := make(map[string]menu.Verdict)
	for _, c := range r.Checks {
		if c.Note {
			continue
		}
		day := "week"
		for i := range 8 {
			if c.On == after(first, i) {
				day = fmt.Sprint(i)
			}
		}
		k := line(c.Line) + "|" + c.Rule + "|" + c.Item + "|" + day
		out[k] = max(out[k], c.Verdict)
	}
	return out
}

func mustReview(t *rapid.T, r *menu.Reviewer, m menu.Menu) *menu.Review {
	out, err := r.Review(m)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func same(line string) string { return line }

// A look-ahead to the menu's own dates shows no difference; each coming date is a
// whole number of weeks on, and has the answers of a review written for it; what it
// says differs does, with a change of rules behind it, and nothing else does.
func TestAheadOfAnyMenu(t *testing.T) {
	r := reviewer(t)
	differ := 0
	rapid.Check(t, func(t *rapid.T) {
		m := drawAnywhere(t)
		first := m.Lines[0].Days[0].On
		a, err := r.Ahead(m, first)
		if err != nil {
			t.Fatal(err)
		}
		if c := a.Coming[0]; c.On != first || !c.Asked || c.First != first || len(c.Differences) > 0 || len(c.Changes) > 0 {
			t.Fatalf("its own date shows %+v", c)
		}
		own := answers(a.Own, first, same)
		for i, c := range a.Coming[1:] {
			if c.On == a.Coming[i].On || c.On.Before(a.Coming[i].On) || c.First.Before(c.On) {
				t.Fatalf("%s after %s, moved to %s", c.On, a.Coming[i].On, c.First)
			}
			moved, by := m, 0
			for ; after(first, by).Before(c.First); by += 7 {
			}
			if after(first, by) != c.First || m.Program != "summer" && by > 7 && !after(first, by-7).Before(c.On) {
				t.Fatalf("%s for %s is moved to %s", first, c.On, c.First)
			}
			moved.Lines = []menu.Line{{Name: "main", Days: slices.Clone(m.Lines[0].Days)}}
			for k := range moved.Lines[0].Days {
				moved.Lines[0].Days[k].On = after(moved.Lines[0].Days[k].On, by)
			}
			there := answers(mustReview(t, r, moved), c.First, same)
			told := make(map[string]bool)
			for _, d := range c.Differences {
				x := d.Check()
				if x.Note {
					continue
				}
				differ++
				day := "week"
				for k := range 8 {
					if d.On == after(first, k) {
						day = fmt.Sprint(k)
					}
				}
				told[x.Line+"|"+x.Rule+"|"+x.Item+"|"+day] = true
				if len(d.Changes) == 0 {
					t.Errorf("%s: nothing is behind %s %s", c.On, d.Kind, x.Rule)
				}
			}
			ask := func(all map[string]menu.Verdict, k string) menu.Verdict { return max(all[k], menu.Met) }
			for _, all := range []map[string]menu.Verdict{own, there} {
				for k := range all {
					if was, is := ask(own, k), ask(there, k); was != is && !told[k] {
						t.Errorf("%s: %s goes from %s to %s untold", c.On, k, was, is)
					} else if was == is && was != menu.NotMet && told[k] {
						t.Errorf("%s: %s is told to differ, and is %s", c.On, k, was)
					}
				}
			}
		}
	})
	if differ < 100 {
		t.Errorf("only %d differences looked at", differ)
	}
}

// drawRecord draws a record that served a week's first day exactly as planned, with
// something left over of most things.
func drawRecord(t *rapid.T, m *menu.Menu) menu.Production {
	day := &m.Lines[0].Days[0]
	day.Meals = rapid.IntRange(1, 40).Draw(t, "meals")
	p := menu.Production{Site: "Copper Creek School", On: day.On, OfferVersusServe: rapid.SampledFrom([]string{"yes", "no"}).Draw(t, "offer"),
		Meals: []menu.MealsServed{{For: m.AgeGroup, Served: menu.Counted(day.Meals)}, {For: menu.Adults, Served: menu.Counted(0)}, {For: menu.Seconds, Served: menu.Counted(0)}, {For: menu.ALaCarte, Served: menu.Counted(0)}}}
	for i := range day.Choices {
		c := &day.Choices[i]
		left := day.Meals * c.Take
		for k := range c.Items {
			it := &c.Items[k]
			n := left
			if k < len(c.Items)-1 {
				n = rapid.IntRange(0, left).Draw(t, "servings")
			}
			left -= n
			it.Planned = n
			over := rapid.IntRange(0, 3).Draw(t, "over")
			if n == 0 {
				over++ // something of it was there
			}
			p.Items = append(p.Items, menu.Produced{Item: it.Name, Recipe: "card", RecipeNumber: "CC-1", Temperatures: []menu.Temperature{{When: "10:50", Reading: "38 F"}},
				Portions: []menu.ProducedPortion{{For: m.AgeGroup, Portion: "1", Planned: menu.Counted(n), Prepared: menu.Counted(n + over), Served: menu.Counted(n), LeftOver: menu.Counted(over)}}})
		}
	}
	p.Plans = []menu.Menu{*m}
	return p
}

// A record that served exactly the plan has the plan's verdict, and nothing is wrong
// with it. It is held to the pattern for offer versus serve.
func TestServedAsPlanned(t *testing.T) {
	r := reviewer(t)
	rapid.Check(t, func(t *rapid.T) {
		m := drawWeek(t)
		p := drawRecord(t, &m)
		out, err := r.Production(p)
		if err != nil {
			t.Fatal(err)
		}
		g := out.Groups[0]
		if planned := mustReview(t, r, m); g.Served.Verdict() != planned.Verdict() || len(g.Served.Checks) != len(planned.Checks) || len(g.Differences) > 0 {
			t.Errorf("planned %s, served %s with %d differences", planned.Verdict(), g.Served.Verdict(), len(g.Differences))
		}
		for _, c := range out.Checks {
			t.Errorf("found: %+v", c)
		}
	})
}

// What ran out with children to come is as if each offer they found had been a menu
// of its own, of which the worst decides; and where nobody counted them, what would
// then not be met is at risk or worse.
func TestRanOutIsTheWorstOffer(t *testing.T) {
	r := reviewer(t)
	fell := 0
	rapid.Check(t, func(t *rapid.T) {
		m := drawWeek(t)
		p := drawRecord(t, &m)
		day := m.Lines[0].Days[0]
		gone := make(map[string]int) // item, by when
		hours := []string{"11:10", "11:40", "12:15"}
		for range rapid.IntRange(1, 3).Draw(t, "ran out") {
			c := rapid.SampledFrom(day.Choices).Draw(t, "choice")
			it := rapid.SampledFrom(c.Items).Draw(t, "item")
			if _, twice := gone[it.Name]; twice {
				continue
			}
			at := rapid.IntRange(0, 2).Draw(t, "hour")
			gone[it.Name] = at
			p.RanOut = append(p.RanOut, menu.RanOut{Item: it.Name, At: hours[at], After: menu.Counted(1)})
		}
		out, err := r.Production(p)
		if err != nil {
			t.Fatal(err)
		}
		// The plain way: a menu of what was left at the start and after each hour.
		want := make(map[string]menu.Verdict)
		for hour := -1; hour < 3; hour++ {
			left := m
			d := menu.Day{On: day.On}
			for _, c := range day.Choices {
				c.Items = slices.DeleteFunc(slices.Clone(c.Items), func(it menu.Item) bool { at, is := gone[it.Name]; return is && at <= hour })
				if c.Same != menu.Allowed {
					c.Take = min(c.Take, len(c.Items))
				}
				if len(c.Items) > 0 {
					d.Choices = append(d.Choices, c)
				}
			}
			if len(d.Choices) == 0 {
				continue
			}
			left.Lines = []menu.Line{{Name: "main", Days: append([]menu.Day{d}, m.Lines[0].Days[1:]...)}}
			for k, v := range answers(mustReview(t, r, left), day.On, same) {
				if strings.Contains(k, "|least/") {
					want[k] = max(want[k], v)
				}
			}
		}
		line := func(l string) string { name, _, _ := strings.Cut(l, ","); return name }
		got := answers(out.Groups[0].Served, day.On, line)
		everything := len(gone) == len(p.Items)
		for k, v := range want {
			if got[k] != v && !everything {
				t.Errorf("%s: %s as served, by each offer alone %s", k, got[k], v)
			}
		}
		for i := range p.RanOut {
			p.RanOut[i].After = menu.Count{}
		}
		uncounted, err := r.Production(p)
		if err != nil {
			t.Fatal(err)
		}
		for k, v := range answers(uncounted.Groups[0].Served, day.On, line) {
			if got[k] == menu.NotMet && v < menu.AtRisk {
				t.Errorf("%s: %s where nobody counted", k, v)
			}
		}
		if out.Groups[0].Served.Verdict() > out.Groups[0].Planned.Verdict() || len(out.Groups[0].Differences) > 0 {
			fell++
		}
	})
	if fell < 20 {
		t.Errorf("only %d services fell short of their plan", fell)
	}
}

// Every change of a pattern comes up in the look-ahead of a menu from before it.
func TestEveryChangeComes(t *testing.T) {
	ps, err := patterns.Default()
	if err != nil {
		t.Fatal(err)
	}
	k := patterns.Key{Program: "school-lunch", Meal: "lunch", Group: "k-5"}
	m := menu.Menu{Program: k.Program, AgeGroup: k.Group, Lines: []menu.Line{{Name: "main", Days: []menu.Day{{On: date("2022-09-12"),
		Choices: []menu.Choice{{Take: 1, Items: []menu.Item{{Name: "Pear", Paper: "card", Credits: claims(map[string]string{"fruits": "1/2"})}}}}}}}}}
	a, err := reviewer(t).Ahead(m)
	if err != nil {
		t.Fatal(err)
	}
	var got, want []string
	for _, c := range a.Coming {
		got = append(got, c.On.String())
	}
	for _, d := range ps.Changes(k) {
		if d.After(date("2022-09-12")) {
			want = append(want, d.String())
		}
	}
	if !slices.Equal(got, want) || len(want) < 5 || a.LastChange.String() != want[len(want)-1] {
		t.Errorf("%v come, the pattern changes on %v", got, want)
	}
}
