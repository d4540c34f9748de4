package main

import (
	"encoding/json"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const careMeals = "../../testdata/demo/weeks/care-"

// With all meals of the day in one call, what goes over the day is checked after
// them, in words and as data.
func TestReviewOfCareDay(t *testing.T) {
	meals := []string{careMeals + "breakfast-3-5.yaml", careMeals + "lunch-3-5.yaml", careMeals + "snack-3-5.yaml"}
	code, out, errs := ozeq("", append([]string{"review", "--care-day"}, meals...)...)
	if code != exitOK || errs != "" || strings.Count(out, "MENU REVIEW\n") != 4 {
		t.Fatalf("exit code %d, %s\n%s", code, errs, out)
	}
	narrow(t, out)
	whole := out[strings.LastIndex(out, "MENU REVIEW"):]
	for _, want := range []string{"all meals and snacks of the day", "Verdict: MET.", "Whole grain-rich grain servings a day", "juice"} {
		if !strings.Contains(whole, want) {
			t.Errorf("%s is not said in\n%s", want, whole)
		}
	}
	// Juice once more, and the whole day falls short of it.
	_, plain, _ := ozeq("", append([]string{"review"}, meals...)...)
	if strings.Count(plain, "MENU REVIEW\n") != 3 {
		t.Errorf("without the flag:\n%s", plain)
	}
	juice := `{"menu": {"program": "child-adult-care", "meal": "snack", "ageGroup": "ages-3-5", "lines": [{"name": "room 2", "days": [
		{"date": "2026-09-14", "choices": [{"take": 1, "items": [{"name": "Orange juice", "paper": "carton", "juice": true, "credits": {"fruits": "1/2"}}]}]}]}]}}`
	code, out, errs = ozeq(juice, "review", "--care-day", "--format", "json", "-", "-")
	if code != exitBadInput || errs != "" {
		t.Errorf("exit code %d, %s\n%s", code, errs, out) // standard input is read once
	}
	code, out, errs = ozeq(juice, append([]string{"review", "--care-day", "--format", "json", "-"}, meals...)...)
	docs := documents(t, out)
	if len(docs) != 5 || errs != "" {
		t.Fatalf("exit code %d, %d documents, %s", code, len(docs), errs)
	}
	checks := docs[4].Checks
	at := slices.IndexFunc(checks, func(c struct{ Verdict, Rule, Date, There string }) bool {
		return c.Rule == "juice/occasions-a-day" && c.Date == "2026-09-14"
	})
	if at < 0 || checks[at].There == "0" {
		t.Errorf("%+v", checks)
	}
	// With something to mend in a meal the day is not looked at.
	code, out, _ = ozeq(strings.Replace(juice, "ages-3-5", "ages-3", 1), append([]string{"review", "--care-day", "--format", "json", "-"}, meals...)...)
	if docs := documents(t, out); code != exitBadInput || len(docs) != 4 {
		t.Errorf("exit code %d, %d documents", code, len(docs))
	}
	// Two groups are no day.
	code, out, _ = ozeq("", "review", "--care-day", "--format", "json", meals[0], "../../testdata/demo/weeks/infants-lunch-6-11.yaml")
	if docs := documents(t, out); code != exitBadInput || len(docs) != 3 || len(docs[2].Faults) != 1 || docs[2].Faults[0].Path != "menus[1]" {
		t.Errorf("exit code %d, %s", code, out)
	}
}

type document struct {
	Verdict string
	Checks  []struct{ Verdict, Rule, Date, There string }
	Faults  []struct{ Reason, Path, Want, Fix string }
}

// documents reads one JSON document after another.
func documents(t *testing.T, out string) []document {
	t.Helper()
	var all []document
	for dec := json.NewDecoder(strings.NewReader(out)); ; {
		var d document
		if err := dec.Decode(&d); err == io.EOF {
			return all
		} else if err != nil {
			t.Fatalf("%v in\n%s", err, out)
		}
		all = append(all, d)
	}
}

// A bad menu or tray is answered with exit code 2 and every fault.
func TestBadMenus(t *testing.T) {
	names, err := filepath.Glob("../../testdata/menus/bad/*.yaml")
	if err != nil || len(names) < 8 {
		t.Fatal(len(names), err)
	}
	for _, name := range names {
		command := "review"
		if strings.HasPrefix(filepath.Base(name), "tray-") {
			command = "tray"
		}
		code, out, errs := ozeq("", command, "--format", "json", name)
		docs := documents(t, out)
		if code != exitBadInput || errs != "" || len(docs) != 1 {
			t.Fatalf("%s: exit code %d, %s\n%s", name, code, errs, out)
		}
		var got []string
		for _, f := range docs[0].Faults {
			got = append(got, f.Reason+" "+f.Path)
			if f.Want == "" || f.Fix == "" {
				t.Errorf("%s: %+v says not how to mend it", name, f)
			}
		}
		slices.Sort(got)
		if want := expected(t, name, "faults"); !slices.Equal(got, want) {
			t.Errorf("%s:\n%s\nwant\n%s", name, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
		if code, _, errs := ozeq("", command, name); code != exitBadInput || errs == "" {
			t.Errorf("%s in words: exit code %d, %q", name, code, errs)
		}
	}
}
