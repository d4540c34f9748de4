package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
)

// The demo week is reviewed as the page beside it says, within the width of a
// record, and answers with 3: it has something to mend.
func TestReviewOfDemoWeek(t *testing.T) {
	const demo = "../../testdata/demo/lunch-week.yaml"
	want, err := os.ReadFile("testdata/lunch-week.txt")
	if err != nil {
		t.Fatal(err)
	}
	code, out, errs := ozeq("", "review", demo)
	if code != exitStrict || errs != "" || out != string(want) {
		t.Errorf("exit code %d, %s\n%s", code, errs, out)
	}
	narrow(t, out)
	code, out, _ = ozeq("", "review", "--format", "json", demo)
	var m struct {
		Verdict string
		Checks  []struct{ Verdict, Rule, Date, Needed, There, Short, Citation string }
	}
	if err := json.Unmarshal([]byte(out), &m); err != nil || code != exitStrict || m.Verdict != "not-met" {
		t.Fatalf("exit code %d, %v, verdict %s", code, err, m.Verdict)
	}
	var short []string
	for _, c := range m.Checks {
		if c.Rule == "least/vegetables" && c.Verdict == "not-met" {
			short = append(short, strings.TrimSpace(c.Date+" "+c.Short))
			if c.Citation == "" {
				t.Errorf("%v cites nothing", c)
			}
		}
	}
	// By hand: 3/4 less 1/2 and 3/8 on the two days; 3 3/4 less 3/4 + 1 + 1/2 + 1 +
	// 3/8 over the week.
	if got := strings.Join(short, ", "); got != "2026-09-16 1/4, 2026-09-18 3/8, 1/8" {
		t.Errorf("vegetables are short by %s", got)
	}
}

// A tray short of fruit or vegetables is not reimbursable, and one vegetable more
// makes it so.
func TestTrayOfDemo(t *testing.T) {
	code, out, errs := ozeq("", "tray", "../../testdata/demo/tray.yaml")
	if code != exitStrict || errs != "" || !strings.HasPrefix(out, "NOT REIMBURSABLE\n") || !strings.Contains(out, "or 1/4 cup vegetables") {
		t.Errorf("exit code %d, %s\n%s", code, errs, out)
	}
	narrow(t, out)
	data, err := os.ReadFile("../../testdata/demo/tray.yaml")
	if err != nil {
		t.Fatal(err)
	}
	more := strings.Replace(string(data), "red-orange: 1/4", "red-orange: 1/2", 1)
	if code, out, errs = ozeq(more, "tray", "-"); code != exitOK || errs != "" || !strings.HasPrefix(out, "REIMBURSABLE\n") {
		t.Errorf("exit code %d, %s\n%s", code, errs, out)
	}
}

// Everything wrong with a menu file comes back at once, of its shape and of its
// content.
func TestFaultsOfMenus(t *testing.T) {
	const bad = `
menu:
  program: school-lunch
  ageGroup: k5
  lines:
    - name: main
      days:
        - date: 2026-02-30
          choices:
            - {take: two, same: maybe, items: [{name: Pear, credits: {candy: 1, fruits: minus}, milk: {fat: creamy}, servngs: 3}]}
`
	code, out, _ := ozeq(bad, "review", "--format", "json", "-")
	var m struct {
		Faults []struct{ Reason, Path string }
	}
	if err := json.Unmarshal([]byte(out), &m); err != nil || code != exitBadInput {
		t.Fatalf("exit code %d, %v\n%s", code, err, out)
	}
	found := make(map[string]bool)
	for _, f := range m.Faults {
		found[f.Reason+" "+f.Path] = true
	}
	const at = "menu.lines[0].days[0]"
	for _, want := range []string{"UNKNOWN_VALUE menu.ageGroup", "BAD_DATE " + at + ".date", "WRONG_TYPE " + at + ".choices[0].take", "UNKNOWN_VALUE " + at + ".choices[0].same",
		"UNKNOWN_VALUE " + at + ".choices[0].items[0].credits.candy", "BAD_NUMBER " + at + ".choices[0].items[0].credits.fruits", "UNKNOWN_FIELD " + at + ".choices[0].items[0].servngs"} {
		if !found[want] {
			t.Errorf("%s is not told in\n%s", want, out)
		}
	}
	for _, empty := range []string{"{}", "menu: {}", "", "menu:\n", "tray: {}"} {
		if code, _, errs := ozeq(empty, "review", "-"); code != exitBadInput || errs == "" {
			t.Errorf("%q: exit code %d, %q", empty, code, errs)
		}
	}
}
