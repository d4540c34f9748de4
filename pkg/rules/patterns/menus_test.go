package patterns_test

import (
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/goccy/go-yaml"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// handworked is what this package can check of a menu in testdata/menus: what
// the pattern asks for, and the sums of the verdicts.
type handworked struct {
	Menu struct {
		Program  string `yaml:"program"`
		Meal     string `yaml:"meal"`
		AgeGroup string `yaml:"ageGroup"`
		Lines    []struct {
			Name string `yaml:"name"`
			Days []struct {
				Date string `yaml:"date"`
			} `yaml:"days"`
		} `yaml:"lines"`
	} `yaml:"menu"`
	Verdicts []struct {
		Line     string `yaml:"line"`
		Date     string `yaml:"date"`
		Week     string `yaml:"week"`
		Rule     string `yaml:"rule"`
		Together string `yaml:"together"`
		Share    string `yaml:"share"` // what the pattern says, where needs is that share of what is offered
		Needs    string `yaml:"needs"`
		There    string `yaml:"there"`
		Short    string `yaml:"short"`
		Verdict  string `yaml:"verdict"`
		Because  string `yaml:"because"`
	} `yaml:"verdicts"`
}

// The menus worked by hand ask for what the patterns ask for on their days, and
// their verdicts follow from what is needed and what is there.
func TestMenusWorkedByHand(t *testing.T) {
	ps := load(t)
	files, err := filepath.Glob("../../../testdata/menus/*.yaml")
	if err != nil || len(files) < 12 {
		t.Fatalf("%d menus, %v", len(files), err)
	}
	compared := 0
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var h handworked
		if err := yaml.Unmarshal(text, &h); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		k := patterns.Key{Program: h.Menu.Program, Meal: h.Menu.Meal, Group: h.Menu.AgeGroup}
		for i, v := range h.Verdicts {
			where := filepath.Base(file) + ", verdict " + strconv.Itoa(i+1)
			if v.Because == "" || v.Verdict != "met" && v.Verdict != "not-met" {
				t.Errorf("%s: a verdict, met or not-met, and its reason are required", where)
			}
			on, days := v.Date, 0
			for _, l := range h.Menu.Lines {
				if l.Name != v.Line {
					continue
				}
				days = len(l.Days)
				for _, d := range l.Days {
					if on == "" || d.Date == v.Date {
						on = d.Date
					}
				}
			}
			if days == 0 || v.Week != "" && v.Week != strconv.Itoa(days) {
				t.Errorf("%s: the menu has no line %q, or not of %s days", where, v.Line, v.Week)
				continue
			}
			if v.Together != "" || v.Needs == "" {
				continue
			}
			compared++
			pattern := at(t, ps, on, k, nil)
			rule, err := pattern.Get(v.Rule, patterns.NoSpan)
			switch {
			case err == nil:
			case v.Week != "":
				rule, err = pattern.Get(v.Rule, patterns.Week(days))
			default:
				rule, err = pattern.Get(v.Rule, patterns.Day)
			}
			if err != nil {
				t.Errorf("%s: %v", where, err)
				continue
			}
			says := v.Needs
			if v.Share != "" {
				says = v.Share
			}
			if rule.Text != says {
				t.Errorf("%s: the menu says %s, the pattern %s", where, says, rule.Text)
			}
			var needs, there exact.Number
			if rule.Rule.Kind != patterns.Word {
				needs, there = amount(t, where, v.Needs), amount(t, where, v.There)
			}
			var met bool
			switch rule.Rule.Kind {
			case patterns.Word:
				met = v.There == v.Needs
			case patterns.Least:
				met = !there.Less(needs)
			case patterns.Most:
				met = !needs.Less(there)
			case patterns.Below:
				met = there.Less(needs)
			default:
				t.Errorf("%s: a verdict on %s, which binds nothing", where, v.Rule)
			}
			if met != (v.Verdict == "met") {
				t.Errorf("%s: %s where %s is needed is not %s", where, v.There, v.Needs, v.Verdict)
			}
			if v.Short != "" && !there.Add(amount(t, where, v.Short)).Equal(needs) {
				t.Errorf("%s: %s and %s do not make %s", where, v.There, v.Short, v.Needs)
			}
			if met && v.Short != "" {
				t.Errorf("%s: met and short", where)
			}
		}
	}
	if compared < 40 {
		t.Errorf("only %d amounts compared", compared)
	}
}

func amount(t *testing.T, where, text string) exact.Number {
	t.Helper()
	n, err := exact.Parse(text)
	if err != nil {
		t.Fatalf("%s: %v", where, err)
	}
	return n
}
