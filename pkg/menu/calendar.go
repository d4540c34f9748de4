package menu

import "example.com/ozeq/pkg/rules"

// dayNumber counts days from a fixed day, so that weekdays can be kept: dates a
// multiple of seven apart have the same one. Years are counted from March, which
// puts the leap day last.
func dayNumber(d rules.Date) int {
	y, m := d.Year, d.Month-3
	if m < 0 {
		y, m = y-1, m+12
	}
	return y*365 + y/4 - y/100 + y/400 + (m*153+2)/5 + d.Day - 1
}

// later returns the date so many days after d, which may be below 0.
func later(d rules.Date, days int) rules.Date {
	n := dayNumber(d) + days
	y := (10000*n + 14780) / 3652425
	rest := n - (y*365 + y/4 - y/100 + y/400)
	if rest < 0 {
		y--
		rest = n - (y*365 + y/4 - y/100 + y/400)
	}
	m := (100*rest + 52) / 3060
	return rules.Date{Year: y + (m+2)/12, Month: (m+2)%12 + 1, Day: rest - (m*306+5)/10 + 1}
}

// yearsLater returns the date in another year, the last of February for a leap day.
func yearsLater(d rules.Date, years int) rules.Date {
	d.Year += years
	if d.Month == 2 && d.Day == 29 {
		d = rules.Date{Year: d.Year, Month: 3, Day: 1}.Previous()
	}
	return d
}
