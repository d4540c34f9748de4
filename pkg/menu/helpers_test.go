package menu_test

import (
	"fmt"
	"sync"
	"testing"

	"github.com/goccy/go-yaml"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// load builds the reviewer once for all tests.
var load = sync.OnceValues(func() (*menu.Reviewer, error) {
	rs, err := rules.Default()
	if err != nil {
		return nil, err
	}
	cat, err := food.Default()
	if err != nil {
		return nil, err
	}
	ps, err := patterns.Default()
	if err != nil {
		return nil, err
	}
	return menu.New(credit.New(rs, cat), ps), nil
})

func reviewer(t testing.TB) *menu.Reviewer {
	t.Helper()
	r, err := load()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func review(t testing.TB, m menu.Menu) *menu.Review {
	t.Helper()
	r, err := reviewer(t).Review(m)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// written is a menu as the files of testdata/menus write it.
type written struct {
	Menu struct {
		Program, Meal string
		AgeGroup      string `yaml:"ageGroup"`
		Lines         []struct {
			Name string
			Days []struct {
				Date, Meals string
				Choices     []struct {
					Name, Take, Same string
					Items            []writtenItem
				}
			}
		}
	}
}

type writtenItem struct {
	Name           string
	Credits        map[string]string
	Juice          string
	Dessert        string
	WholeGrainRich string `yaml:"wholeGrainRich"`
	BeansAsMeats   string `yaml:"beansAsMeats"`
	Planned        string
	Milk           *struct{ Fat, Flavored string }
	Nutrients      map[string]string
}

// read turns the text of a file into a menu.
func read(text []byte) (m menu.Menu, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%v", r)
		}
	}()
	var in written
	if err := yaml.UnmarshalWithOptions(text, &in); err != nil {
		return m, err
	}
	m.Program, m.Meal, m.AgeGroup = in.Menu.Program, in.Menu.Meal, in.Menu.AgeGroup
	for _, l := range in.Menu.Lines {
		line := menu.Line{Name: l.Name}
		for _, d := range l.Days {
			day := menu.Day{On: date(d.Date), Meals: count(d.Meals)}
			for _, c := range d.Choices {
				choice := menu.Choice{Name: c.Name, Take: count(c.Take),
					Same: map[string]menu.Same{"": menu.NotSaid, "allowed": menu.Allowed, "not-allowed": menu.NotAllowed}[c.Same]}
				for _, it := range c.Items {
					choice.Items = append(choice.Items, it.item())
				}
				day.Choices = append(day.Choices, choice)
			}
			line.Days = append(line.Days, day)
		}
		m.Lines = append(m.Lines, line)
	}
	return m, nil
}

func (in writtenItem) item() menu.Item {
	it := menu.Item{Name: in.Name, Credits: claims(in.Credits), Paper: "as the menu was worked by hand",
		Juice: in.Juice == "yes", Dessert: in.Dessert == "yes", WholeGrainRich: in.WholeGrainRich == "yes",
		BeansAsMeats: number(in.BeansAsMeats), Planned: count(in.Planned)}
	if in.Milk != nil {
		it.Milk = &menu.Milk{Fat: in.Milk.Fat, Flavored: in.Milk.Flavored == "yes"}
	}
	if in.Nutrients != nil {
		it.Nutrients = &menu.Nutrients{Calories: number(in.Nutrients["calories"]), Sodium: number(in.Nutrients["sodium"]),
			SaturatedFat: number(in.Nutrients["saturated-fat"]), AddedSugars: number(in.Nutrients["added-sugars"])}
	}
	return it
}

// claims reads credits by component or vegetable subgroup.
func claims(in map[string]string) []credit.Claim {
	var out []credit.Claim
	for id, text := range in {
		c := credit.Claim{Amount: number(text), Text: text}
		if component, ok := food.ParseComponent(id); ok {
			c.Component = component
		} else if sub, ok := food.ParseSubgroup(id); ok {
			c.Component, c.Subgroup = food.Vegetables, sub
		} else {
			panic("no component or subgroup: " + id)
		}
		out = append(out, c)
	}
	return out
}

func number(text string) exact.Number {
	if text == "" {
		return exact.Number{}
	}
	return exact.MustParse(text)
}

func count(text string) int {
	n, ok := number(text).Whole()
	if !ok {
		panic("no whole number: " + text)
	}
	return int(n)
}

func date(text string) rules.Date {
	d, err := rules.ParseDate(text)
	if err != nil {
		panic(err)
	}
	return d
}

// check returns the one check of a rule on a line and day; the zero day is the
// week.
func check(t testing.TB, r *menu.Review, line, rule, day string) menu.Check {
	t.Helper()
	c, ok := find(r, line, rule, day, "")
	if !ok {
		t.Fatalf("no check of %s on %q %s", rule, line, day)
	}
	return c
}

func find(r *menu.Review, line, rule, day, item string) (menu.Check, bool) {
	for _, c := range r.Checks {
		if c.Line == line && c.Rule == rule && c.On.String() == day && (item == "" || c.Item == item) {
			return c, true
		}
	}
	return menu.Check{}, false
}
