package menu

import (
	"strconv"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// week reviews what a line offers over its days.
func (w *work) week(l *line) {
	n := len(l.days)
	if _, weekly := l.days[0].p.Amount("week/days-least", patterns.NoSpan); !weekly {
		w.meatsForGrains(l)
		from := len(w.out.Checks)
		w.shares(l) // amounts of this program are of one meal; some have shares over the days
		for i := range w.out.Checks[from:] {
			if c := &w.out.Checks[from+i]; c.Verdict == NotMet && n < patterns.ShortestWeek {
				c.Verdict, c.Note = NotChecked, true
				c.Because += "; the share is of a week, and so few days are not held to it"
				c.Mend = "Review the days of the week together."
			}
		}
		return
	}
	if n < patterns.ShortestWeek {
		v, _ := l.days[0].p.Amount("week/days-least", patterns.NoSpan)
		w.add(Check{Verdict: NotChecked, Rule: v.Rule.ID, Value: v, Line: l.name, Days: n, Needed: v.Number, There: exact.Int(int64(n)),
			Because: "a week of so few days (" + strconv.Itoa(n) + ") has no table; nothing of the week was checked",
			Mend:    "Review these days with the week before or after them."})
		return
	}
	if v, ok := l.days[0].p.Amount("week/one-off", patterns.NoSpan); ok && n < 5 && v.Says("five-day-menu-less-the-day") {
		w.add(Check{Verdict: NotChecked, Rule: v.Rule.ID, Value: v, Line: l.name, Days: n,
			Because: "by this option a single short week is the five-day menu less a day",
			Mend:    "Review the five-day menu it is taken from."})
		return
	}
	span := patterns.Week(n)
	for _, rule := range []string{"least/fruits", "least/vegetables", "least/grains", "least/meats", "least/grains-or-meats", "least/milk"} {
		for _, v := range l.values(rule, span) {
			w.weekly(l, v)
		}
	}
	w.dessertsOfDays(l)
	w.uppers(l, span)
	w.subgroups(l, span)
	w.shares(l)
	w.vegetablesForFruits(l)
	w.averages(l)
}

// ofDay is a value with a day it is in force on.
type ofDay struct {
	*patterns.Value
	d *day
}

// values returns what a rule asks for over the week: one value, or those of each
// side of a change.
func (l *line) values(rule string, span patterns.Span) []ofDay {
	var out []ofDay
	for i := range l.days {
		d := &l.days[i]
		if v, ok := d.p.Amount(rule, span); ok && (len(out) == 0 || out[len(out)-1].Value.ID() != v.ID()) {
			out = append(out, ofDay{v, d})
		}
	}
	return out
}

// unknown names what stands on the line without credits.
func (l *line) unknown() []string {
	var out []string
	for i := range l.days {
		out = append(out, l.days[i].unknown()...)
	}
	return out
}

// total adds the days up.
func (l *line) total(largest bool, value func(*day, *served, view) exact.Number) measured {
	return measure(l.differs(), func(v view) (exact.Number, []string) {
		var sum exact.Number
		for i := range l.days {
			d := &l.days[i]
			sum = sum.Add(extremeSum(d, largest, func(s *served) exact.Number { return value(d, s, v) }))
		}
		return sum, nil
	})
}

// weekly checks a weekly minimum: grains and meats/meat alternates by the smallest
// choice of each day, the rest by what every child could take.
func (w *work) weekly(l *line, v ofDay) {
	need := inCups(v.Value)
	if need.Sign() == 0 {
		return
	}
	component := v.Rule.ID[len("least/"):]
	var m measured
	switch component {
	case "milk":
		m = measure(l.differs(), func(v view) (exact.Number, []string) {
			var sum exact.Number
			for i := range l.days {
				n, _ := l.days[i].milkForAll(v)
				sum = sum.Add(n)
			}
			return sum, nil
		})
	case "fruits", "vegetables":
		m = l.total(true, func(_ *day, s *served, at view) exact.Number { return v.d.counts(component)(s, at) })
	case "grains":
		after, first := v.d.p.Amount("meats-for-grains/after-grains", patterns.NoSpan)
		switch {
		case first:
			m = l.grainsFirst(after.Number)
		case !l.desserts():
			m = l.total(false, func(_ *day, s *served, v view) exact.Number { return s.of(v, grains) })
		default:
			m = measure(l.differs(), func(v view) (exact.Number, []string) { return l.weekGrains(v), nil })
		}
	case "meats":
		m = measure(l.differs(), func(at view) (exact.Number, []string) {
			var sum exact.Number
			for i := range l.days {
				n, _ := l.days[i].leastMeats(at)
				sum = sum.Add(n)
			}
			return sum, nil
		})
	default:
		m = l.total(false, func(_ *day, s *served, at view) exact.Number { return v.d.counts(component)(s, at) })
	}
	c := atLeast(v.Value, need, m, l.unknown())
	c.Line, c.Days, c.Unit = l.name, len(l.days), unitOf(v.Value)
	if component == "grains" || component == "grains-or-meats" {
		for i := range l.days {
			w.vegetablesForGrains(&l.days[i], &c)
		}
	}
	if c.Verdict == NotMet {
		c.Because = "it is counted by the smallest choice of each day"
		if component == "fruits" || component == "vegetables" || component == "milk" {
			c.Because = "it is counted by the most a child could take"
		}
		c.Mend = mend(component, c.Short) + " One day of the week is enough."
	}
	w.add(c)
}

// grainsFirst is the breakfast rule to 2024-06-30: meats/meat alternates of a
// selection count as grains only beside the grains that come first.
func (l *line) grainsFirst(after exact.Number) measured {
	return measure(l.differs(), func(v view) (exact.Number, []string) {
		var sum exact.Number
		for i := range l.days {
			// A selection with fewer grains than that comes to those alone, and then
			// the fewest grains are the least.
			least, _ := extreme(&l.days[i], false, func(s *served) exact.Number { return s.of(v, grains) })
			if !least.Less(after) {
				least, _ = extreme(&l.days[i], false, func(s *served) exact.Number { return s.of(v, grains).Add(s.of(v, meats)) })
			}
			sum = sum.Add(least)
		}
		return sum, nil
	})
}
