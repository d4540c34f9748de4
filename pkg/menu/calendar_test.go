package menu

import (
	"testing"

	"example.com/ozeq/pkg/rules"
)

// Counting days agrees with walking from day to day, over every leap year rule.
func TestCalendar(t *testing.T) {
	d := rules.Date{Year: 1895, Month: 12, Day: 30}
	start, n := d, dayNumber(d)
	for i := 0; d.Year < 2405; i++ {
		if dayNumber(d) != n+i || later(start, i) != d || later(d, -i) != start {
			t.Fatalf("%s: day %d, want %d; %d days after %s: %s", d, dayNumber(d), n+i, i, start, later(start, i))
		}
		d = d.Next()
	}
	leap := rules.Date{Year: 2028, Month: 2, Day: 29}
	if got := yearsLater(leap, 1).String(); got != "2029-02-28" {
		t.Errorf("a year after %s is %s", leap, got)
	}
	if got := yearsLater(leap, 4).String(); got != "2032-02-29" {
		t.Errorf("four years after %s is %s", leap, got)
	}
}

// Summer stays summer, a Monday stays one, and nothing is moved back.
func TestMove(t *testing.T) {
	for _, c := range []struct{ program, first, on, want string }{
		{"school-lunch", "2026-09-14", "2027-07-01", "2027-07-05"}, // a Monday to the first one from a Thursday on
		{"school-lunch", "2026-09-17", "2027-07-01", "2027-07-01"}, // a Thursday to that day
		{"school-lunch", "2026-09-18", "2027-07-01", "2027-07-02"},
		{"school-lunch", "2026-09-14", "2026-09-14", "2026-09-14"},
		{"school-lunch", "2026-09-14", "2026-09-15", "2026-09-21"},
		{"summer", "2026-06-01", "2026-06-08", "2027-05-31"}, // 364 days on
		{"summer", "2026-07-06", "2026-06-08", "2026-07-06"}, // under it already
		{"summer", "2026-06-01", "2028-01-01", "2028-05-29"}, // 728 days on, three from the same date
	} {
		first, _ := rules.ParseDate(c.first)
		on, _ := rules.ParseDate(c.on)
		if got := later(first, move(c.program, first, on)).String(); got != c.want {
			t.Errorf("%s of %s under the rules of %s: moved to %s, by hand %s", c.program, c.first, c.on, got, c.want)
		}
	}
}
