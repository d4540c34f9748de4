package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// asGolden holds what a command prints to its golden file.
func asGolden(t *testing.T, name, out string) {
	t.Helper()
	narrow(t, out)
	golden := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(golden, []byte(out), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil || out != string(want) {
		t.Errorf("reads otherwise than %s, %v:\n%s", golden, err, out)
	}
}

// The demo record reads as its golden file. By hand: one slice is 1 oz eq of grains,
// which is enough for kindergarten to grade 5 and 1 short of what grades 9 to 12 need;
// the pears that were left when the apples ran out are the same amount of fruit.
func TestProductionOfDemoDay(t *testing.T) {
	const demo = "../../testdata/demo/production-day.yaml"
	code, out, errs := ozeq("", "production", demo)
	if code != exitStrict || errs != "" {
		t.Errorf("exit code %d, %s", code, errs)
	}
	asGolden(t, "production-day.txt", out)
	code, out, _ = ozeq("", "production", "--format", "json", demo)
	var m struct {
		Verdict string
		Checks  []struct{ Verdict, Rule, Item string }
		Groups  []struct {
			AgeGroup    string
			Differences []struct {
				Kind string
				Is   struct{ Rule, Line, Needed, There, Short, Citation string }
			}
		}
		Keep []struct{ Rule, Text, Citation string }
	}
	if err := json.Unmarshal([]byte(out), &m); err != nil || code != exitStrict || m.Verdict != "not-met" || len(m.Groups) != 2 || len(m.Keep) != 3 {
		t.Fatalf("exit code %d, %v, %+v", code, err, m)
	}
	for _, c := range m.Checks {
		if c.Verdict != "met" || c.Rule != "offer/every-child" || c.Item != "Apple slices" {
			t.Errorf("of the record: %+v", c)
		}
	}
	if len(m.Checks) != 2 || len(m.Groups[0].Differences) != 0 || len(m.Groups[1].Differences) != 1 {
		t.Fatalf("%+v", m)
	}
	is := m.Groups[1].Differences[0].Is
	if is.Rule != "least/grains" || is.Needed != "2" || is.There != "1" || is.Short != "1" || is.Citation == "" || !strings.HasSuffix(is.Line, "from 12:10") {
		t.Errorf("%+v", is)
	}
	if !strings.Contains(m.Keep[2].Text, "3 years") || !strings.Contains(m.Keep[2].Citation, "(b)(17)") {
		t.Errorf("to be kept: %+v", m.Keep)
	}
}

// The demo weeks meet the coming rules too; a week that does not answers with 3 and
// says by which rule. A date may be asked about on the command line.
func TestAheadOfDemoWeeks(t *testing.T) {
	for _, name := range []string{"lunch-k-5", "lunch-9-12", "breakfast-k-5", "breakfast-9-12"} {
		code, out, errs := ozeq("", "ahead", "../../testdata/demo/weeks/"+name+".yaml")
		if code != exitOK || errs != "" || !strings.Contains(out, "FROM 2027-07-01: MET") || !strings.Contains(out, "Nothing differs.") {
			t.Errorf("%s: exit code %d, %s\n%s", name, code, errs, out)
		}
		narrow(t, out)
	}
	text, err := os.ReadFile("../../testdata/demo/weeks/lunch-k-5.yaml")
	if err != nil {
		t.Fatal(err)
	}
	// By hand: 1400 mg more in 190 of 300 lunches of one day are 177.33 mg in the mean
	// of five days; with the 770.94 of the week as it is, 948.27, between 935 and 1110.
	salted := strings.Replace(string(text), "sodium: 520", "sodium: 1920", 1)
	if salted == string(text) {
		t.Fatal("the demo week has no such item any more")
	}
	code, out, errs := ozeq(salted, "ahead", "--on", "2026-12-07", "-")
	if code != exitStrict || errs != "" {
		t.Errorf("exit code %d, %s\n%s", code, errs, out)
	}
	if !strings.Contains(out, "there 948.27") || !strings.Contains(out, "over by 13.27 mg") {
		t.Errorf("by hand 948.27 mg, 13.27 too much:\n%s", out)
	}
	asGolden(t, "ahead-week.txt", out)
	for _, on := range []string{"soon", "2026-09-13"} {
		code, out, errs := ozeq(string(text), "ahead", "--on", on, "-")
		if code != exitBadInput || !strings.Contains(out+errs, "on[0]") {
			t.Errorf("--on %s: exit code %d, %s\n%s", on, code, errs, out)
		}
	}
	for _, bad := range []string{"{}", "production: {}", ""} {
		for _, verb := range []string{"ahead", "production"} {
			if code, _, errs := ozeq(bad, verb, "-"); code != exitBadInput || errs == "" {
				t.Errorf("%s of %q: exit code %d, %q", verb, bad, code, errs)
			}
		}
	}
}
