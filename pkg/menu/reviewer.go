package menu

import (
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// Reviewer reviews menus and trays. It is immutable and safe for concurrent use.
type Reviewer struct {
	engine   *credit.Engine
	patterns *patterns.Patterns
	stop     func() error // see Until
}

// New returns a reviewer. The engine credits recipes and products of menus.
func New(e *credit.Engine, p *patterns.Patterns) *Reviewer { return &Reviewer{engine: e, patterns: p} }

// Until returns a reviewer that asks stop again and again while it works, and ends
// with its error as soon as there is one. A service gives it the end of a request.
func (r *Reviewer) Until(stop func() error) *Reviewer {
	return &Reviewer{engine: r.engine, patterns: r.patterns, stop: stop}
}

// Review checks a menu. An error is a *fault.List, or that of [Reviewer.Until].
func (r *Reviewer) Review(m Menu) (*Review, error) {
	w := &work{r: r, m: &m, out: &Review{}}
	w.read()
	if w.err != nil {
		return nil, w.err
	}
	if err := w.faults.Err(); err != nil {
		return nil, err
	}
	for i := range w.lines {
		l := &w.lines[i]
		for j := range l.days {
			if w.halted() {
				return nil, w.err
			}
			w.day(l, &l.days[j])
		}
		if w.halted() {
			return nil, w.err
		}
		w.week(l)
	}
	w.changing()
	if w.halted() {
		return nil, w.err
	}
	return w.out, nil
}

// halted reports whether the review is to end; see Until.
func (w *work) halted() bool {
	if w.err == nil && w.r.stop != nil {
		w.err = w.r.stop()
	}
	return w.err != nil
}

// work is one review.
type work struct {
	r       *Reviewer
	m       *Menu
	faults  fault.List
	err     error // of Until
	lines   []line
	out     *Review
	byDate  map[rules.Date]*patterns.Pattern
	records map[recordKey]*credit.Record
	taken   bool // items are those of one child, and not of a line
}

// line, day and choice are what they are in a Menu, with items credited and those
// that do not credit left out.
type line struct {
	name string
	days []day
}

type day struct {
	on      rules.Date
	meals   int
	p       *patterns.Pattern
	choices []choice
	all     []*served // what stands on the line, each once, in the order of the menu
	out     []Check   // products that do not credit
	differs bool      // an item of it between views
}

func (l *line) differs() bool {
	return slices.ContainsFunc(l.days, func(d day) bool { return d.differs })
}

type choice struct {
	name     string
	take     int
	same     bool
	mainDish bool
	items    []*served
}

// read checks the shape of the menu and credits its items, collecting all faults.
func (w *work) read() {
	w.byDate = make(map[rules.Date]*patterns.Pattern)
	w.group()
	if len(w.m.Lines) == 0 {
		w.fault(fault.Missing, "lines", "", "at least one serving line", "A site with one line has one line with its days.")
	}
	if len(w.m.Lines) > MostLines {
		w.fault(fault.TooMany, "lines", strconv.Itoa(len(w.m.Lines)), "at most "+strconv.Itoa(MostLines)+" serving lines", "Review each site as a menu of its own.")
		return
	}
	names := make(map[string]bool)
	for i := range w.m.Lines {
		l := &w.m.Lines[i]
		path := fault.Index("lines", i)
		if names[l.Name] {
			w.fault(fault.Conflicting, path+".name", l.Name, "a name of its own for each line", "Findings name the line they are about.")
		}
		names[l.Name] = true
		w.lines = append(w.lines, line{name: l.Name, days: w.days(l, path)})
	}
}

// group says once, not for each day, that a program has no such meal or group.
func (w *work) group() {
	ps := w.r.patterns
	one := func(reason fault.Reason, path, value, want, fix string) {
		if value == "" {
			reason, fix = fault.Missing, "Write one of them."
		}
		w.fault(reason, path, value, want, fix)
	}
	meals, groups := ps.Meals(w.m.Program), ps.Groups(w.m.Program)
	if groups == nil {
		one(fault.UnknownProgram, "program", w.m.Program, "one of "+strings.Join(ps.Programs(), ", "), "Write the id of the program the meal is served in.")
		return
	}
	if w.m.Meal == "" && len(meals) == 1 {
		w.m.Meal = meals[0]
	}
	if !slices.Contains(meals, w.m.Meal) {
		one(fault.UnknownValue, "meal", w.m.Meal, "a meal of "+w.m.Program+": "+strings.Join(meals, ", "), "Write one of them, or check the program.")
	}
	if !slices.ContainsFunc(groups, func(g patterns.Group) bool { return g.ID == w.m.AgeGroup }) {
		var ids []string
		for _, g := range groups {
			ids = append(ids, g.ID)
		}
		one(fault.UnknownValue, "ageGroup", w.m.AgeGroup, "an age/grade group of "+w.m.Program+": "+strings.Join(ids, ", "), "Write one of them; other groups have no pattern in this program.")
	}
	if w.m.Age < 0 || w.m.Age > 2 || w.m.Age > 0 && w.m.AgeGroup != "ages-1-2" {
		w.fault(fault.OutOfRange, "age", strconv.Itoa(w.m.Age), "1 or 2, in the group of ages 1-2", "Leave it out elsewhere.")
	}
}

func (w *work) fault(reason fault.Reason, path, value, want, fix string) {
	w.faults.Add(fault.Fault{Reason: reason, Path: path, Value: value, Want: want, Fix: fix})
}

func (w *work) days(l *Line, path string) []day {
	if len(l.Days) > MostDays {
		w.fault(fault.TooMany, path+".days", strconv.Itoa(len(l.Days)), "at most "+strconv.Itoa(MostDays)+" days", "Review each week as a menu of its own.")
		return nil
	}
	if len(l.Days) == 0 {
		w.fault(fault.Missing, path+".days", "", "at least one day", "Write each day the line serves, with its date.")
	}
	var out []day
	var first rules.Date
	seen := make(map[rules.Date]bool)
	// The week is the one that holds most of the days, so that one mistyped date is one
	// fault.
	var last rules.Date
	for i, most := 0, 0; i < len(l.Days); i++ {
		on := l.Days[i].On
		if on.IsZero() {
			continue
		}
		end, n := on, 0
		for range patterns.LongestWeek - 1 {
			end = end.Next()
		}
		for k := range l.Days {
			if d := l.Days[k].On; !d.IsZero() && !d.Before(on) && !d.After(end) {
				n++
			}
		}
		if n > most || n == most && on.Before(first) {
			first, last, most = on, end, n
		}
	}
	for i := range l.Days {
		d := &l.Days[i]
		at := fault.Index(path+".days", i)
		switch {
		case d.On.IsZero():
			w.fault(fault.Missing, at+".date", "", "a date of service", "Rules are those of the day the meal is served.")
		case seen[d.On]:
			w.fault(fault.Conflicting, at+".date", d.On.String(), "each date once on a line", "Write two choices of one day under one date.")
		case d.On.After(last), d.On.Before(first):
			w.fault(fault.OutOfRange, at+".date", d.On.String(), "a day of the week that begins on "+first.String(), "Review each week as a menu of its own.")
		}
		seen[d.On] = true
		if d.Meals < 0 {
			w.fault(fault.OutOfRange, at+".meals", strconv.Itoa(d.Meals), "meals planned, or 0 when not known", "Write how many meals are planned, or leave it out.")
		}
		out = append(out, w.readDay(d, at))
	}
	slices.SortStableFunc(out, func(a, b day) int {
		switch {
		case a.on.Before(b.on):
			return -1
		case b.on.Before(a.on):
			return 1
		}
		return 0
	})
	return out
}

// pattern returns the pattern of a date.
func (w *work) pattern(on rules.Date, path string) *patterns.Pattern {
	if p, ok := w.byDate[on]; ok || on.IsZero() {
		return p
	}
	p, err := w.r.patterns.Pattern(patterns.Query{On: on, Program: w.m.Program, Meal: w.m.Meal, Group: w.m.AgeGroup, Options: w.m.Options})
	w.byDate[on] = p
	if l, ok := err.(*fault.List); ok {
		for _, f := range l.Faults {
			if f.Path == "serviceDate" {
				f.Path = path
			}
			// The group was looked at once for the whole menu.
			if f.Path != "program" && f.Path != "meal" && f.Path != "ageGroup" && !slices.Contains(w.faults.Faults, f) {
				w.faults.Add(f)
			}
		}
	}
	if p != nil {
		w.out.Patterns = append(w.out.Patterns, p)
	}
	return p
}

func (w *work) readDay(d *Day, path string) day {
	out := day{on: d.On, meals: d.Meals, p: w.pattern(d.On, fault.Field(path, "date"))}
	if len(d.Choices) == 0 {
		w.fault(fault.Missing, path+".choices", "", "at least one choice", "A meal that is the same for every child is a choice of one item.")
	}
	if len(d.Choices) > MostChoices {
		w.fault(fault.TooMany, path+".choices", strconv.Itoa(len(d.Choices)), "at most "+strconv.Itoa(MostChoices)+" choices", "A choice is what a child takes some of: put items of one kind into one.")
		return out
	}
	for i := range d.Choices {
		out.choices = append(out.choices, w.choice(&out, &d.Choices[i], fault.Index(path+".choices", i)))
	}
	out.differs = slices.ContainsFunc(out.all, func(s *served) bool { return s.differs })
	return out
}

func (w *work) choice(d *day, c *Choice, path string) choice {
	out := choice{name: c.Name, take: c.Take, same: c.Same == Allowed, mainDish: c.MainDish}
	if len(c.Items) == 0 {
		w.fault(fault.Missing, path+".items", "", "at least one item", "Write what a child may take, or take the choice out.")
	}
	switch {
	case c.Take < 1 || c.Take > MostTaken:
		w.fault(fault.OutOfRange, path+".take", strconv.Itoa(c.Take), "how many items a child may take, 1 to "+strconv.Itoa(MostTaken), "What every child gets is a choice of one item, take 1.")
		out.take = 0
	case c.Take > 1 && c.Same == NotSaid:
		w.fault(fault.Missing, path+".same", "", "whether a child may take the same item twice", "It changes both the least and the most a child can have.")
	case c.Take > len(c.Items) && !out.same && len(c.Items) > 0:
		w.fault(fault.Conflicting, path+".take", strconv.Itoa(c.Take), "no more than the "+strconv.Itoa(len(c.Items))+" different items of the choice", "Lower it, add items, or allow the same item twice.")
		out.take = len(c.Items)
	}
	if len(c.Items) > MostItems {
		w.fault(fault.TooMany, path+".items", strconv.Itoa(len(c.Items)), "at most "+strconv.Itoa(MostItems)+" items", "Divide the choice, or leave out items that are alike in portion and credit.")
		return out
	}
	planned, names := 0, make(map[string]bool)
	for i := range c.Items {
		it := &c.Items[i]
		at := fault.Index(path+".items", i)
		s := w.serve(d, it, at)
		if names[it.Name] {
			w.fault(fault.Conflicting, at+".name", it.Name, "each item of a choice once", "Findings name items; say what differs.")
		}
		names[it.Name] = true
		if it.Planned > 0 && planned < mostServings {
			planned += it.Planned
		}
		d.all = append(d.all, s)
		out.items = append(out.items, s)
	}
	if d.meals > 0 && out.take > 0 && planned > d.meals*out.take {
		w.fault(fault.Conflicting, path+".items", strconv.Itoa(planned), "at most "+strconv.Itoa(d.meals*out.take)+" planned servings, "+strconv.Itoa(out.take)+" for each of "+strconv.Itoa(d.meals)+" meals",
			"Correct the servings of the items, the meals of the day, or how many a child may take.")
	}
	return out
}

// Bounds of a menu.
const (
	MostLines    = 200
	MostDays     = 31 // of a line; those of another week are faults one by one
	MostChoices  = 50 // of a day
	MostTaken    = 20
	MostItems    = 60
	mostServings = 1_000_000_000
)
