package rules_test

import (
	"encoding/csv"
	"errors"
	"os"
	"testing"
	"time"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
)

func TestParseDate(t *testing.T) {
	for s, want := range map[string]rules.Date{
		"2026-09-14": {Year: 2026, Month: 9, Day: 14},
		"2024-02-29": {Year: 2024, Month: 2, Day: 29},
		"2000-02-29": {Year: 2000, Month: 2, Day: 29},
		"1900-01-01": {Year: 1900, Month: 1, Day: 1},
		"1999-12-31": {Year: 1999, Month: 12, Day: 31},
		"9999-12-31": {Year: 9999, Month: 12, Day: 31},
	} {
		got, err := rules.ParseDate(s)
		if err != nil || got != want {
			t.Errorf("ParseDate(%q) = %v, %v", s, got, err)
		}
		if got.String() != s || string(got.Append([]byte("on "))) != "on "+s {
			t.Errorf("ParseDate(%q) is written %q", s, got)
		}
	}
}

func TestParseDateRefuses(t *testing.T) {
	f, err := os.Open("testdata/bad-dates.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 20 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for _, row := range rows[1:] {
		checkBadDate(t, row[0])
	}
	checkBadDate(t, string(make([]byte, 10)))
	checkBadDate(t, string(make([]byte, 10<<20)))
}

func checkBadDate(t *testing.T, s string) {
	t.Helper()
	d, err := rules.ParseDate(s)
	var bad fault.Fault
	if !errors.As(err, &bad) {
		t.Errorf("ParseDate(%q) = %v, %v, want a fault", fault.Clip(s), d, err)
		return
	}
	if bad.Reason != fault.BadDate || bad.Path != "" || bad.Value != fault.Clip(s) || bad.Want == "" || bad.Fix == "" {
		t.Errorf("ParseDate(%q): %+v", fault.Clip(s), bad)
	}
	if !d.IsZero() {
		t.Errorf("ParseDate(%q) refuses and returns %v", fault.Clip(s), d)
	}
}

// Two centuries of days, one by one, against the calendar of the time package:
// leap days, ends of months and years, order, and Next and Previous as each
// other's inverse.
func TestEveryDay(t *testing.T) {
	d := rules.Date{Year: 1900, Month: 1, Day: 1}
	clock := time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)
	days, leap := 0, 0
	for d.Year < 2101 {
		days++
		if d.Month == 2 && d.Day == 29 {
			leap++
		}
		if want := clock.Format(time.DateOnly); d.String() != want {
			t.Fatalf("day %d is %s, want %s", days, d, want)
		}
		if back, err := rules.ParseDate(d.String()); err != nil || back != d {
			t.Fatalf("ParseDate(%q) = %v, %v", d, back, err)
		}
		next := d.Next()
		if next.Previous() != d {
			t.Fatalf("the day before the day after %s is %s", d, next.Previous())
		}
		if d.Previous().Next() != d {
			t.Fatalf("the day after the day before %s is %s", d, d.Previous().Next())
		}
		if !d.Before(next) || next.Before(d) || !next.After(d) || d.After(next) || d.Before(d) || d.After(d) {
			t.Fatalf("%s and %s are out of order", d, next)
		}
		d, clock = next, clock.AddDate(0, 0, 1)
	}
	// 201 years, every fourth a leap year but for 1900 and 2100.
	if days != 201*365+49 || leap != 49 {
		t.Errorf("%d days with %d leap days", days, leap)
	}
}

func TestNoDate(t *testing.T) {
	var d rules.Date
	if !d.IsZero() || d.String() != "" {
		t.Errorf("no date is written %q, IsZero %v", d, d.IsZero())
	}
	first := day(t, "1900-01-01")
	if first.IsZero() || !d.Before(first) {
		t.Error("no date does not stand before the first day")
	}
}

// FuzzParseDate compares what is accepted with the time package.
func FuzzParseDate(f *testing.F) {
	for _, s := range []string{"2026-09-14", "2024-02-29", "2023-02-29", "1899-12-31", "0000-00-00", "2026-9-14", "２026-09-1", "2026-09-1\x00", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := rules.ParseDate(s)
		clock, clockErr := time.Parse(time.DateOnly, s)
		if want := clockErr == nil && clock.Year() >= 1900; want != (err == nil) {
			t.Fatalf("ParseDate(%q): %v, the time package: %v", s, err, clockErr)
		}
		if err != nil {
			return
		}
		if d.Year != clock.Year() || d.Month != int(clock.Month()) || d.Day != clock.Day() || d.String() != s {
			t.Errorf("ParseDate(%q) = %v, the time package: %v", s, d, clock)
		}
		if d.Next().Previous() != d || d.Previous().Next() != d {
			t.Errorf("%s: Next and Previous are not each other's inverse", s)
		}
	})
}
