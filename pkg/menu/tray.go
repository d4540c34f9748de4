package menu

import (
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// Tray is what one child took.
type Tray struct {
	Program   string
	Meal      string
	AgeGroup  string
	Age       int
	On        rules.Date
	Options   map[string]string
	Crediting map[string]string
	Foods     []food.Own // own foods and figures over the catalog
	Offered   *Day       // what the line offered; without it the offer is not checked
	Taken     []Taken
}

// Taken is an item on the tray.
type Taken struct {
	Item     Item
	Portions exact.Number // of its planned portion; 0 is one
}

// TrayAnswer says whether a tray is a reimbursable meal.
type TrayAnswer struct {
	Verdict Verdict // Met is reimbursable, NotMet is not
	Counted int     // components or items
	Of      string  // which of the two was counted
	Names   []string
	Checks  []Check
	Add     []string // what makes it reimbursable: any one line of it, or, where nothing may be declined, all
}

// Tray answers whether a tray is reimbursable: under offer versus serve where the
// program has it, else with everything the pattern offers. An error is a
// *fault.List, or that of [Reviewer.Until].
func (r *Reviewer) Tray(t Tray) (*TrayAnswer, error) {
	m := Menu{Program: t.Program, Meal: t.Meal, AgeGroup: t.AgeGroup, Age: t.Age, Options: t.Options, Crediting: t.Crediting, Foods: t.Foods}
	w := &work{r: r, m: &m, out: &Review{}, byDate: make(map[rules.Date]*patterns.Pattern)}
	w.group()
	if t.On.IsZero() {
		w.fault(fault.Missing, "date", "", "a date of service", "Rules are those of the day the meal is served.")
	}
	switch n := len(t.Taken); {
	case n == 0:
		w.fault(fault.Missing, "taken", "", "at least one item", "Write what is on the tray.")
	case n > MostItems:
		w.fault(fault.TooMany, "taken", strconv.Itoa(n), "at most "+strconv.Itoa(MostItems)+" items", "A tray is what one child took.")
		return nil, w.faults.Err()
	}
	d := day{on: t.On, p: w.pattern(t.On, "date")}
	var taken []*served
	w.taken = true
	for i := range t.Taken {
		path := fault.Index("taken", i)
		s := w.serve(&d, &t.Taken[i].Item, path+".item")
		if n := t.Taken[i].Portions; n.Sign() < 0 {
			w.fault(fault.OutOfRange, path+".portions", n.String(), "portions, not below 0", "Write how many planned portions are on the tray, or leave it out for one.")
		} else if n.Sign() > 0 {
			s.times(n)
		}
		taken = append(taken, s)
	}
	w.taken = false
	var offered *day
	if t.Offered != nil {
		if t.Offered.On != t.On {
			w.fault(fault.Conflicting, "offered.date", t.Offered.On.String(), "the date of the tray", "Give what the line offered on the day of the tray.")
		}
		o := w.readDay(t.Offered, "offered")
		offered = &o
	}
	if w.err != nil {
		return nil, w.err
	}
	if err := w.faults.Err(); err != nil {
		return nil, err
	}
	return w.tray(&d, offered, taken), nil
}

// times changes the portion taken.
func (s *served) times(n exact.Number) {
	for v := range views {
		for p := range parts {
			s.has[v][p] = s.has[v][p].Mul(n)
		}
	}
	for p := range parts {
		s.juice[p] = s.juice[p].Mul(n)
	}
}

func (w *work) tray(d, offered *day, taken []*served) *TrayAnswer {
	a := &TrayAnswer{Verdict: Met, Checks: d.out}
	v, known := d.p.Amount("offer/allowed", patterns.NoSpan)
	switch {
	case strings.HasPrefix(w.m.AgeGroup, "months-"):
		a.add(Check{Verdict: NotChecked, Rule: "offer/allowed", On: d.on, Because: "meals of infants are not reviewed"})
	case !known:
		a.add(Check{Verdict: NotChecked, Rule: "offer/allowed", On: d.on, Because: "offer versus serve on that day is not known here"})
	case v.Says("not-allowed"):
		a.everything(d, taken)
		if slices.ContainsFunc(taken, (*served).milkUnsaid) && d.someMilkRefused(w.ages()) {
			a.add(Check{Verdict: NotChecked, Rule: MilkKind, On: d.on, Because: "of which kind the milk is is not said", Mend: "Say its fat level and flavor."})
		}
	case has(d.p, "offer/take-items"):
		a.items(d, offered, taken)
	case has(d.p, "offer/take-components"):
		a.components(d, taken)
	default:
		a.add(Check{Verdict: NotChecked, Rule: "offer/allowed", Value: v, On: d.on, Because: "how many a child takes is not known here"})
	}
	for _, s := range taken {
		if s.unknown && a.Verdict == NotMet {
			a.Verdict = NotChecked
			a.Add = append(a.Add, "or the credits of "+s.item.Name+", which are not given")
		}
	}
	return a
}

func has(p *patterns.Pattern, rule string) bool {
	_, ok := p.Amount(rule, patterns.NoSpan)
	return ok
}

func (a *TrayAnswer) add(c Check) {
	a.Checks = append(a.Checks, c)
	if !c.Note && c.Verdict > a.Verdict {
		a.Verdict = c.Verdict
	}
}

// onTray is what the tray has of a component.
func (d *day) onTray(component string, taken []*served, v view) exact.Number {
	count := d.counts(component)
	switch component {
	case "grains":
		count = func(s *served, v view) exact.Number { return s.of(v, grains) }
	case "milk":
		count = func(s *served, v view) exact.Number { return s.of(v, milk) }
	case "fruits":
		if !d.says("vegetables-for-fruits/allowed", "all-or-part") {
			count = func(s *served, v view) exact.Number { return s.of(v, fruits) }
		}
	}
	var sum, shelled exact.Number
	for _, s := range taken {
		if count != nil {
			sum, shelled = sum.Add(count(s, v)), shelled.Add(s.of(v, nuts))
		}
	}
	if _, most, capped := d.mostNuts(); capped && component == "meats" && most.Less(shelled) {
		sum = sum.Sub(shelled.Sub(most))
	}
	return sum
}

// minimums are the amounts of one meal.
func (d *day) minimums() []patterns.Minimum {
	all := d.p.Minimums(patterns.Day)
	if len(all) == 0 {
		all = d.p.Minimums(patterns.Meal)
	}
	return slices.DeleteFunc(slices.Clone(all), func(m patterns.Minimum) bool { return m.Value.Number.IsZero() })
}
