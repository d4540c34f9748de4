package rules

import (
	"example.com/ozeq/pkg/fault"
)

// Date is a calendar day. The zero value is no date. Dates compare with Before
// and After, and with == for equality.
type Date struct {
	Year, Month, Day int
}

// ParseDate reads YYYY-MM-DD and refuses days the calendar does not have. The
// fault carries no path.
func ParseDate(s string) (Date, error) {
	bad := func(fix string) (Date, error) {
		return Date{}, fault.Fault{Reason: fault.BadDate, Value: fault.Clip(s), Want: "a date written YYYY-MM-DD, such as 2026-09-14", Fix: fix}
	}
	if len(s) != 10 || s[4] != '-' || s[7] != '-' {
		return bad("Write four digits of the year, two of the month, two of the day, with hyphens.")
	}
	var n [3]int
	for i, part := range []string{s[:4], s[5:7], s[8:]} {
		for _, c := range []byte(part) {
			if c < '0' || c > '9' {
				return bad("Write digits and hyphens only.")
			}
			n[i] = n[i]*10 + int(c-'0')
		}
	}
	d := Date{n[0], n[1], n[2]}
	if d.Month < 1 || d.Month > 12 || d.Day < 1 || d.Day > daysIn(d.Year, d.Month) || d.Year < 1900 {
		return bad("That day is not in the calendar.")
	}
	return d, nil
}

func daysIn(year, month int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// String writes YYYY-MM-DD, or "" for no date.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return string(d.Append(nil))
}

// Append appends what [Date.String] returns for a date.
func (d Date) Append(b []byte) []byte {
	digit := func(n int) byte { return byte('0' + n%10) }
	return append(b, digit(d.Year/1000), digit(d.Year/100), digit(d.Year/10), digit(d.Year), '-',
		digit(d.Month/10), digit(d.Month), '-', digit(d.Day/10), digit(d.Day))
}

// IsZero reports whether d is no date.
func (d Date) IsZero() bool { return d == Date{} }

func (d Date) ordinal() int { return d.Year*10000 + d.Month*100 + d.Day }

// Before reports whether d is earlier than e.
func (d Date) Before(e Date) bool { return d.ordinal() < e.ordinal() }

// After reports whether d is later than e.
func (d Date) After(e Date) bool { return d.ordinal() > e.ordinal() }

// Next returns the day after d.
func (d Date) Next() Date {
	switch {
	case d.Day < daysIn(d.Year, d.Month):
		d.Day++
	case d.Month < 12:
		d.Month, d.Day = d.Month+1, 1
	default:
		d.Year, d.Month, d.Day = d.Year+1, 1, 1
	}
	return d
}

// Previous returns the day before d.
func (d Date) Previous() Date {
	switch {
	case d.Day > 1:
		d.Day--
	case d.Month > 1:
		d.Month--
		d.Day = daysIn(d.Year, d.Month)
	default:
		d.Year, d.Month, d.Day = d.Year-1, 12, 31
	}
	return d
}
