package wire_test

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// A menu or tray with mistakes is answered with all of them, of its shape and of its
// content, each with its place and how to mend it.
func TestBadMenus(t *testing.T) {
	names, err := filepath.Glob("../../testdata/menus/bad/*.yaml")
	if err != nil || len(names) < 8 {
		t.Fatal(len(names), err)
	}
	r := exampleReviewer()
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if strings.HasPrefix(filepath.Base(name), "tray-") {
				m, shape := wire.ReadTray(data, wire.YAML)
				_, err = wire.CheckTray(r, m, shape)
			} else {
				m, shape := wire.ReadReview(data, wire.YAML)
				_, err = wire.Review(r, m, shape)
			}
			var faults *fault.List
			if !errors.As(err, &faults) || faults.Omitted != 0 {
				t.Fatalf("%v", err)
			}
			var got []string
			for _, f := range faults.Faults {
				usable(t, f)
				got = append(got, string(f.Reason)+" "+f.Path)
			}
			sameRows(t, got, expected(t, name, "faults", "reason,path"))
		})
	}
}

// A check names the value that asks for it as the pattern does, and the review the
// pattern of each date.
func TestReviewNamesPatternAndValues(t *testing.T) {
	data, err := os.ReadFile("../../testdata/demo/lunch-week.yaml")
	if err != nil {
		t.Fatal(err)
	}
	m, shape := wire.ReadReview(data, wire.YAML)
	out, err := wire.Review(exampleReviewer(), m, shape)
	if err != nil {
		t.Fatal(err)
	}
	review := wire.ReviewMessage(out)
	ps, _ := patterns.Default()
	days := m.GetMenu().GetLines()[0].GetDays()
	known := make(map[string]*pb.PatternValue)
	for _, d := range days {
		list, err := wire.ListPatterns(ps, &pb.ListPatternsRequest{ServiceDate: d.GetDate(), Program: m.GetMenu().GetProgram(), AgeGroup: m.GetMenu().GetAgeGroup()}, nil)
		if err != nil || len(list.GetPatterns()) != 1 {
			t.Fatal(list, err)
		}
		p := list.GetPatterns()[0]
		if !slices.ContainsFunc(review.GetPatterns(), func(x *pb.ReviewPattern) bool {
			return x.GetDate() == d.GetDate() && x.GetId() == p.GetId() && x.GetMeal() == "lunch"
		}) {
			t.Errorf("the review does not name the pattern of %s", d.GetDate())
		}
		for _, v := range p.GetValues() {
			known[v.GetId()] = v
		}
	}
	if len(review.GetPatterns()) != len(days) {
		t.Errorf("%d patterns of %d days", len(review.GetPatterns()), len(days))
	}
	named := 0
	for _, c := range review.GetChecks() {
		if c.GetValue() == "" {
			continue
		}
		named++
		if v := known[c.GetValue()]; v == nil || v.GetMark() != c.GetMark() || v.GetCitation() != c.GetCitation() {
			t.Errorf("%v is no value of the patterns", c)
		}
	}
	if named < 20 {
		t.Errorf("only %d checks name their value", named)
	}
}

// Pages cover every pattern of a day once, and every value has its paper.
func TestListPatternsPages(t *testing.T) {
	ps, err := patterns.Default()
	if err != nil {
		t.Fatal(err)
	}
	for size, m := range map[int32]*pb.ListPatternsRequest{
		0: {ServiceDate: "2026-09-14"}, 7: {ServiceDate: "2026-09-14"}, 100: {ServiceDate: "2018-03-05"},
		1: {ServiceDate: "2026-09-14", Program: "child-adult-care", Meal: "lunch"},
	} {
		m.PageSize = size
		seen := make(map[string]bool)
		for pages := 1; ; pages++ {
			out, err := wire.ListPatterns(ps, m, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range out.GetPatterns() {
				k := p.GetProgram() + "/" + p.GetMeal() + "/" + p.GetAgeGroup()
				if seen[k] || p.GetId() == "" || p.GetTitle() == "" || p.GetFrom() == "" || len(p.GetValues()) == 0 {
					t.Errorf("%s: seen %v, %d values", k, seen[k], len(p.GetValues()))
				}
				seen[k] = true
				for _, v := range p.GetValues() {
					figure := v.GetKind() != "word" && v.GetKind() != "set" && v.GetValue() != patterns.None
					if v.GetCitation() == "" || v.GetMark() == "" || v.GetFrom() == "" || v.GetValue() == "" || v.GetTitle() == "" || figure != (v.GetAmount() != "") {
						t.Errorf("%s: %v", k, v)
					}
				}
				for o := range p.GetOptions() {
					if !slices.ContainsFunc(out.GetOptions(), func(x *pb.RuleOption) bool { return x.GetId() == o && x.GetReason() != "" && x.GetCitation() != "" }) {
						t.Errorf("%s: option %s is not explained", k, o)
					}
				}
			}
			if m.PageToken = out.GetNextPageToken(); m.PageToken == "" {
				if len(seen) != int(out.GetTotalSize()) || pages == 1 && len(seen)+len(out.GetLater()) != len(ps.List()) && m.GetProgram() == "" {
					t.Errorf("pages of %d: %d patterns, %d in all, %d later, of %d", size, len(seen), out.GetTotalSize(), len(out.GetLater()), len(ps.List()))
				}
				break
			}
		}
	}
	first, err := wire.ListPatterns(ps, &pb.ListPatternsRequest{ServiceDate: "2026-09-14", PageSize: 2}, nil)
	if err != nil {
		t.Fatal(err)
	}
	long := strings.Repeat("lunch", 100)
	for want, m := range map[string]*pb.ListPatternsRequest{
		"MISSING serviceDate":               {},
		"BAD_DATE serviceDate":              {ServiceDate: "14/09/2026"},
		"RULE_NOT_IN_FORCE serviceDate":     {ServiceDate: "1990-09-14"},
		"OUT_OF_RANGE pageSize":             {ServiceDate: "2026-09-14", PageSize: wire.MaxPatternPage + 1},
		"UNKNOWN_PROGRAM program":           {ServiceDate: "2026-09-14", Program: long},
		"UNKNOWN_VALUE meal":                {ServiceDate: "2026-09-14", Program: "school-lunch", Meal: "supper"},
		"UNKNOWN_VALUE ageGroup":            {ServiceDate: "2026-09-14", AgeGroup: "grade 4"},
		"UNKNOWN_OPTION options.whim":       {ServiceDate: "2026-09-14", Options: map[string]string{"whim": ""}},
		"UNKNOWN_VALUE pageToken":           {ServiceDate: "2026-09-15", PageSize: 2, PageToken: first.GetNextPageToken()}, // of another day
		"UNKNOWN_VALUE options.care-sugars": {ServiceDate: "2026-09-14", Options: map[string]string{"care-sugars": "none"}},
	} {
		_, err := wire.ListPatterns(ps, m, nil)
		var l *fault.List
		if !errors.As(err, &l) || len(l.Faults) != 1 || string(l.Faults[0].Reason)+" "+l.Faults[0].Path != want {
			t.Errorf("%v, want %s", err, want)
			continue
		}
		usable(t, l.Faults[0])
	}
}

// One menu of a batch with faults does not stop the others, and a batch whose caller
// is gone stops.
func TestBatchReview(t *testing.T) {
	data, err := os.ReadFile("../../testdata/demo/lunch-week.yaml")
	if err != nil {
		t.Fatal(err)
	}
	m, _ := wire.ReadReview(data, wire.YAML)
	shape := &fault.List{}
	shape.Add(fault.Fault{Reason: fault.UnknownField, Path: "requests[2].menu.sites", Want: "one of the fields known here", Fix: "Take it out."})
	calls := 0
	out, err := wire.BatchReview(exampleReviewer(), &pb.BatchReviewRequest{Requests: []*pb.ReviewRequest{m, {}, m}}, shape, func() error { calls++; return nil })
	if err != nil || calls != 3 {
		t.Fatal(err, calls)
	}
	for i, want := range []string{"", "MISSING menu", "UNKNOWN_FIELD menu.sites"} {
		a, got := out.GetAnswers()[i], ""
		if f := a.GetFaults().GetFaults(); len(f) == 1 {
			got = f[0].GetReason() + " " + f[0].GetPath()
		}
		if int(a.GetIndex()) != i || got != want || (a.GetReview() == nil) != (want != "") {
			t.Errorf("answer %d: %q, want %q", i, got, want)
		}
	}
	gone := errors.New("gone")
	if _, err := wire.BatchReview(exampleReviewer(), &pb.BatchReviewRequest{Requests: []*pb.ReviewRequest{m}}, nil, func() error { return gone }); err != gone {
		t.Error(err)
	}
	if _, err := wire.BatchReview(exampleReviewer().Until(func() error { return gone }), &pb.BatchReviewRequest{Requests: []*pb.ReviewRequest{m}}, nil, func() error { return nil }); err != gone {
		t.Error(err)
	}
}

// A figure of the caller's own credits a recipe of a menu as it does alone, and with
// its paper carries the check.
func TestMenuWithOwnFigures(t *testing.T) {
	const squash = `
menu:
  program: school-lunch
  ageGroup: k-5
  foods:
    - id: squash-butternut-fresh
      figures: [{state: cooked-roasted, component: vegetables, kind: servings, unit: lb, value: "6.2", size: 1/4 cup, PAPER}]
  lines:
    - name: main
      days:
        - date: 2026-10-07
          choices:
            - {name: vegetable, take: 1, items: [{name: Squash, recipe: {name: Squash, servings: 60, ingredients: [{food: squash-butternut-fresh, quantity: 30 lb, state: cooked-roasted}]}}]}
`
	for paper, want := range map[string]string{"document: Copper Creek kitchen yield test, page: sheet 12, edition: 2026-08-20": "met", "document: from the cook": "at-risk"} {
		m, shape := wire.ReadReview([]byte(strings.Replace(squash, "PAPER", paper, 1)), wire.YAML)
		out, err := wire.Review(exampleReviewer(), m, shape)
		if err != nil {
			t.Errorf("%s: %v", paper, err)
			continue
		}
		for _, c := range wire.ReviewMessage(out).GetChecks() {
			// 30 lb of 6.2 quarter cups are 46 1/2 cups for 60: 0.775, rounded down to 3/4.
			if c.GetRule() == "least/vegetables" && (c.GetVerdict() != want || c.GetThere() != "3/4") {
				t.Errorf("%s: %s with %s, want %s", paper, c.GetVerdict(), c.GetThere(), want)
			}
		}
	}
}

// What is wrong with a number is said of that number: too many digits are no sign and no
// exponent.
func TestTooManyDigits(t *testing.T) {
	m, shape := wire.ReadReview([]byte(`{"menu": {"program": "school-lunch", "ageGroup": "k-5", "lines": [{"name": "main", "days": [{"date": "2026-09-14", "choices": [
		{"take": 1, "items": [{"name": "Pear", "credits": {"fruits": "0.33333333333"}}]}]}]}]}}`), wire.JSON)
	_, err := wire.Review(exampleReviewer(), m, shape)
	var faults *fault.List
	if !errors.As(err, &faults) || len(faults.Faults) != 1 || !strings.Contains(faults.Faults[0].Fix, "9 digits") {
		t.Errorf("%v", err)
	}
}

// A nutrient that is not written is not 0.
func TestNutrientsLeftOut(t *testing.T) {
	var days strings.Builder
	for _, on := range []string{"2026-09-14", "2026-09-15", "2026-09-16"} {
		days.WriteString("        - {date: " + on + ", meals: 10, choices: [{name: plate, take: 1, items: [{name: Plate, planned: 10, nutrients: {calories: \"600\"}}]}]}\n")
	}
	m, shape := wire.ReadReview([]byte("menu:\n  program: school-lunch\n  ageGroup: k-5\n  lines:\n    - name: main\n      days:\n"+days.String()), wire.YAML)
	out, err := wire.Review(exampleReviewer(), m, shape)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{"nutrient/calories-least": "met", "nutrient/calories-most": "met", "nutrient/sodium": "not-checked", "nutrient/saturated-fat": "not-checked"}
	for _, c := range wire.ReviewMessage(out).GetChecks() {
		if v, ok := want[c.GetRule()]; ok {
			delete(want, c.GetRule())
			if c.GetVerdict() != v {
				t.Errorf("%s: %s, want %s", c.GetRule(), c.GetVerdict(), v)
			}
		}
	}
	if len(want) > 0 {
		t.Errorf("no check of %v", want)
	}
}

// None of something is written 0, as the findings ask for.
func TestNoneIsWrittenZero(t *testing.T) {
	m, shape := wire.ReadReview([]byte(`{"menu": {"program": "school-lunch", "ageGroup": "k-5", "lines": [{"name": "main", "days": [{"date": "2024-01-16", "choices": [
		{"take": 1, "items": [{"name": "Chicken", "nuts": "0", "beansAsMeats": "0", "credits": {"meats": "2", "grains": "0"}}]}]}]}]}}`), wire.JSON)
	out, err := wire.Review(exampleReviewer(), m, shape)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range wire.ReviewMessage(out).GetChecks() {
		if c.GetRule() == "nuts/share-of-meats" && c.GetVerdict() != "met" {
			t.Errorf("%v", c)
		}
	}
}
