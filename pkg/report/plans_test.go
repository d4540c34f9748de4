package report_test

import (
	"bytes"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

func reviewer(t *testing.T) *menu.Reviewer {
	t.Helper()
	p, err := patterns.Default()
	if err != nil {
		t.Fatal(err)
	}
	return menu.New(engine(), p)
}

func claim(c food.Component, s food.Subgroup, n string) credit.Claim {
	return credit.Claim{Component: c, Subgroup: s, Amount: exact.MustParse(n), Text: n}
}

// plate is a lunch whose vegetables and sodium are given.
func plate(name, vegetables string, sodium int64) menu.Item {
	return menu.Item{Name: name, Paper: "recipe card", WholeGrainRich: true, Planned: 100,
		Credits: []credit.Claim{claim(food.Grains, food.NoSubgroup, "2"), claim(food.Meats, food.NoSubgroup, "2"), claim(food.Fruits, food.NoSubgroup, "1/2"),
			claim(food.Vegetables, food.RedOrange, vegetables), claim(food.Milk, food.NoSubgroup, "1")},
		Nutrients: &menu.Nutrients{Calories: exact.Int(600), Sodium: exact.Int(sodium), SaturatedFat: exact.Int(5), AddedSugars: exact.Int(5)}}
}

func threeDays(year, month, first int, it menu.Item) menu.Menu {
	l := menu.Line{Name: "main"}
	for i := range 3 {
		l.Days = append(l.Days, menu.Day{On: rules.Date{Year: year, Month: month, Day: first + i}, Meals: 100, Choices: []menu.Choice{{Name: "plate", Take: 1, MainDish: true, Items: []menu.Item{it}}}})
	}
	return menu.Menu{Program: "school-lunch", Meal: "lunch", AgeGroup: "k-5", Site: "Copper Creek Elementary", Lines: []menu.Line{l}}
}

// A look-ahead with a date of change and one that was asked about, and one to which
// nothing comes.
func TestLookAheadGolden(t *testing.T) {
	r := reviewer(t)
	for name, m := range map[string]menu.Menu{
		"ahead":         threeDays(2026, 9, 14, plate("Plated lunch\x1b[2J of a name so long that it has to be wrapped where the paper ends", "3/4", 1000)),
		"ahead-none":    threeDays(2027, 9, 13, plate("Plated lunch", "3/4", 900)),
		"ahead-several": threeDays(2024, 6, 3, plate("Plated lunch", "3/4", 1000)),
	} {
		var asked []rules.Date
		if name == "ahead" {
			asked = append(asked, rules.Date{Year: 2026, Month: 12, Day: 1})
		}
		a, err := r.Ahead(m, asked...)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := report.LookAhead(&b, &m, a); err != nil {
			t.Fatal(err)
		}
		printable(t, b.String())
		golden(t, name, b.Bytes())
	}
}

// A record with a dish that stood in, one that ran out, numbers that do not add up
// and some that nobody wrote down.
func TestProductionGolden(t *testing.T) {
	m := threeDays(2026, 9, 14, plate("Plated lunch", "3/4", 900))
	on := m.Lines[0].Days[0].On
	p := menu.Production{On: on, OfferVersusServe: "no", Plans: []menu.Menu{m},
		Items: []menu.Produced{
			{Item: "Plated lunch", Recipe: "Plated lunch with a name as long as those that a district office gives to its cards", RecipeNumber: "CC-214", Planned: menu.Counted(90),
				Portions:     []menu.ProducedPortion{{For: "k-5", Portion: "1 tray of four compartments, filled to the line", Planned: menu.Counted(100), Prepared: menu.Counted(70), Served: menu.Counted(60), LeftOver: menu.Counted(4)}},
				Temperatures: []menu.Temperature{{When: "10:50, end of cooking", Reading: "168 F"}, {When: "11:30, holding", Reading: "141 F"}}},
			{Item: "Thin plate", Product: "Thin plate", Portions: []menu.ProducedPortion{{For: "k-5", Served: menu.Counted(35)}, {For: menu.Adults, Portion: "1", Prepared: menu.Counted(2), Served: menu.Counted(2), LeftOver: menu.Counted(0)}}},
			{Item: "Mustard", Extra: true}},
		Substitutions: []menu.Substitution{{Planned: "Plated lunch", Served: plate("Thin plate", "1/2", 900), From: "12:10", Reason: "the carrots were\tfrozen"}},
		RanOut:        []menu.RanOut{{Item: "Thin plate", Line: "main", AgeGroup: "k-5"}},
		Meals:         []menu.MealsServed{{For: "k-5", Served: menu.Counted(100)}, {For: menu.Adults, Served: menu.Counted(2)}}}
	out, err := reviewer(t).Production(p)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := report.Production(&b, &p, out); err != nil {
		t.Fatal(err)
	}
	printable(t, b.String())
	golden(t, "production", b.Bytes())
	for _, want := range []string{"planned  prepared    served left over", "NOT MET", "(site not written down)", "recipe or product not written down"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("nothing says %q", want)
		}
	}
}
