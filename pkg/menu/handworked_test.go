package menu_test

import (
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/goccy/go-yaml"

	"example.com/ozeq/pkg/menu"
)

// The menus worked by hand before this package was written: every verdict, with
// what is there and what is missing.
func TestMenusWorkedByHand(t *testing.T) {
	files, err := filepath.Glob("../../testdata/menus/*.yaml")
	if err != nil || len(files) < 12 {
		t.Fatalf("%d menus, %v", len(files), err)
	}
	verdicts := 0
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var hand struct {
			Verdicts []struct {
				Line, Date, Week, Rule, Together, Item   string
				Needs, There, Short, Over, Cups, Verdict string
				OzEq                                     string `yaml:"oz-eq"`
			}
		}
		if err := yaml.Unmarshal(text, &hand); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		m, err := read(text)
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		r := review(t, m)
		for i, v := range hand.Verdicts {
			verdicts++
			where := filepath.Base(file) + ", verdict " + strconv.Itoa(i+1)
			if v.Together == "subgroups" {
				v.Rule = menu.Subgroups
			}
			c, ok := find(r, v.Line, v.Rule, v.Date, v.Item)
			if !ok {
				t.Errorf("%s: no check of %s", where, v.Rule)
				continue
			}
			if got := c.Verdict.String(); got != v.Verdict {
				t.Errorf("%s: %s, by hand %s: %+v", where, got, v.Verdict, c)
			}
			if v.Week != "" && strconv.Itoa(c.Days) != v.Week {
				t.Errorf("%s: a week of %d days, by hand %s", where, c.Days, v.Week)
			}
			if c.Word == "" {
				if v.Needs != "" && !c.Needed.Equal(number(v.Needs)) {
					t.Errorf("%s: needs %s, by hand %s", where, c.Needed, v.Needs)
				}
				if v.There != "" && !c.There.Equal(number(v.There)) {
					t.Errorf("%s: %s is there, by hand %s", where, c.There, v.There)
				}
			} else if v.There != "" && c.Word != v.There {
				t.Errorf("%s: %q is there, by hand %q", where, c.Word, v.There)
			}
			if short := v.Short + v.Over + v.Cups + v.OzEq; short != "" && !c.Short.Equal(number(short)) {
				t.Errorf("%s: short by %s, by hand %s", where, c.Short, short)
			}
			if c.Verdict == menu.NotMet && c.Mend == "" && v.Rule != "nutrient/added-sugars" {
				t.Errorf("%s: nothing says how to mend it", where)
			}
		}
	}
	if verdicts < 50 {
		t.Errorf("%d verdicts compared", verdicts)
	}
}
