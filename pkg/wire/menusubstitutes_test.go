package wire_test

import (
	"strings"
	"testing"

	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/wire"
)

// What stands in place of something else, and what labels say, reach the review.
func TestSubstitutesOfMenuItems(t *testing.T) {
	ps, err := patterns.Default()
	if err != nil {
		t.Fatal(err)
	}
	const text = `
menu:
  program: school-lunch
  ageGroup: k-5
  lines:
    - name: main
      days:
        - date: 2024-06-26
          choices: &choices
            - name: all
              take: 1
              items:
                - name: Tray
                  credits: {meats: "1", milk: "1"}
                  paper: label
                  nuts: "3/4"
                  nondairy: {requested: true, nutrients: {calcium: "300", protein: "7"}}
                  nutrients: {transFat: "0.6"}
        - {date: 2024-06-27, choices: *choices}
        - {date: 2024-06-28, choices: *choices}
`
	m, faults := wire.ReadReview([]byte(strings.ReplaceAll(strings.ReplaceAll(text, "&choices", ""), "*choices", `[{name: all, take: 1, items: [{name: Milk, nutrients: {transFat: "0"}}]}]`)), wire.YAML)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	r, err := wire.Review(menu.New(nil, ps), m, nil)
	if err != nil {
		t.Fatal(err)
	}
	got := make(map[string]string)
	for _, c := range r.Checks {
		if c.Line == "main" && (c.Days > 0 || c.On.String() == "2024-06-26") {
			got[c.Rule] = c.Verdict.String() + " " + c.There.Fraction()
		}
	}
	for rule, want := range map[string]string{"nuts/share-of-meats": "not-met 3/4", "nondairy/protein": "not-met 7", "nondairy/calcium": "met 300", "nutrient/trans-fat": "not-met 3/5"} {
		if got[rule] != want {
			t.Errorf("%s: %q, want %q", rule, got[rule], want)
		}
	}
	const adults = `{"menu":{"program":"child-adult-care","meal":"lunch","ageGroup":"adults","lines":[{"name":"main","days":[{"date":"2026-09-14","choices":[{"take":1,"items":[{"name":"Yogurt","credits":{"meats":"1 1/2"},"yogurtForMilk":"6"}]}]}]}]}}`
	m, faults = wire.ReadReview([]byte(adults), wire.JSON)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	if r, err = wire.Review(menu.New(nil, ps), m, nil); err != nil {
		t.Fatal(err)
	}
	for _, c := range r.Checks {
		if c.Rule == "least/milk" && c.There.Fraction() != "1" {
			t.Errorf("yogurt for milk: %+v", c)
		}
	}
	const summer = `{"menu":{"program":"summer","meal":"lunch","ageGroup":"summer","lines":[{"name":"main","days":[{"date":"2026-07-06","choices":[{"take":1,"items":[{"name":"Flakes","credits":{"grains":"1"},"coldCereal":true}]}]}]}]}}`
	m, _ = wire.ReadReview([]byte(summer), wire.JSON)
	if r, err = wire.Review(menu.New(nil, ps), m, nil); err != nil {
		t.Fatal(err)
	}
	flagged := false
	for _, c := range r.Checks {
		flagged = flagged || c.Rule == "cereal/cold"
	}
	if !flagged {
		t.Error("cold cereal does not reach the review")
	}
}
