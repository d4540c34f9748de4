package patterns

import (
	"slices"
	"sort"
	"strings"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
)

// Query asks for one pattern.
type Query struct {
	On      rules.Date
	Program string
	Meal    string // may be left out where the program has one
	Group   string
	Options map[string]string // left out: defaults
}

func (ps *Patterns) program(id string) *program {
	for _, p := range ps.programs {
		if p.id == id {
			return p
		}
	}
	return nil
}

func (ps *Patterns) option(id string) *rules.Option {
	for _, o := range ps.options {
		if o.ID == id {
			return o
		}
	}
	return nil
}

// List returns the key of every pattern, in the order of the data: programs,
// their meals, their groups.
func (ps *Patterns) List() []Key {
	var keys []Key
	for _, p := range ps.programs {
		for _, m := range p.meals {
			for _, g := range p.groups {
				if k := (Key{p.id, m, g.ID}); ps.sheets[k] != nil {
					keys = append(keys, k)
				}
			}
		}
	}
	return keys
}

// Groups returns the age/grade groups of a program, in the order of the data.
func (ps *Patterns) Groups(program string) []Group {
	if p := ps.program(program); p != nil {
		return slices.Clone(p.groups)
	}
	return nil
}

// Programs returns the ids of the programs, in the order of the data.
func (ps *Patterns) Programs() []string {
	var ids []string
	for _, p := range ps.programs {
		ids = append(ids, p.id)
	}
	return ids
}

// Meals returns the meals of a program.
func (ps *Patterns) Meals(program string) []string {
	if p := ps.program(program); p != nil {
		return slices.Clone(p.meals)
	}
	return nil
}

// Options returns the points the rules leave open, in the order of the data.
func (ps *Patterns) Options() []*rules.Option { return slices.Clone(ps.options) }

// Option returns the option with an id.
func (ps *Patterns) Option(id string) (*rules.Option, bool) {
	o := ps.option(id)
	return o, o != nil
}

// Rules returns what values can be of, in the order of the data.
func (ps *Patterns) Rules() []*Rule { return slices.Clone(ps.rules) }

// Changes returns the days on which a pattern changes, earliest first; the
// first is the first day anything of it is known.
func (ps *Patterns) Changes(k Key) []rules.Date {
	if s := ps.sheet(k); s != nil {
		return slices.Clone(s.changes)
	}
	return nil
}

// History returns every value of a pattern, of all days and choices, in the
// order of the data.
func (ps *Patterns) History(k Key) []*Value {
	if s := ps.sheet(k); s != nil {
		return slices.Clone(s.values)
	}
	return nil
}

// Pattern returns the pattern in force. Faults carry the paths serviceDate,
// program, meal, ageGroup and options; all of them come back as a
// [*fault.List].
func (ps *Patterns) Pattern(q Query) (*Pattern, error) {
	var faults fault.List
	key := Key{q.Program, q.Meal, q.Group}
	p := ps.program(q.Program)
	switch {
	case q.Program == "":
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "program", Want: "a program id: " + ps.programIDs(), Fix: "Say which program the meal is served in."})
	case p == nil:
		faults.Add(fault.Fault{Reason: fault.UnknownProgram, Path: "program", Value: q.Program, Want: "one of " + ps.programIDs(), Fix: "Write one of them."})
	default:
		key.Meal = ps.check(&faults, p, q)
	}
	if q.On.IsZero() {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "serviceDate", Want: "the date of service, YYYY-MM-DD", Fix: "Say when the meal is served: it decides the rules."})
	}
	ps.checkOptions(&faults, q.Options)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	s := ps.sheet(key)
	if q.On.Before(s.changes[0]) {
		faults.Add(fault.Fault{Reason: fault.RuleNotInForce, Path: "serviceDate", Value: q.On.String(),
			Want: "a date on or after " + s.changes[0].String() + ", the first day anything of the pattern " + key.String() + " is known here",
			Fix:  "Check the year; earlier patterns are not in the data."})
		return nil, faults.Err()
	}
	return ps.resolve(q, key, s), nil
}

// check checks meal and group, and returns the meal.
func (ps *Patterns) check(faults *fault.List, p *program, q Query) string {
	meal := q.Meal
	switch {
	case meal == "" && len(p.meals) == 1:
		meal = p.meals[0]
	case meal == "":
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "meal", Want: "a meal of " + p.id + ": " + strings.Join(p.meals, ", "), Fix: "Say which meal it is."})
	case !slices.Contains(p.meals, meal):
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: "meal", Value: meal, Want: "a meal of " + p.id + ": " + strings.Join(p.meals, ", "), Fix: "Write one of them, or check the program."})
	}
	var ids []string
	for _, g := range p.groups {
		// A meal that is itself a fault hides no group.
		if ps.sheets[Key{p.id, meal, g.ID}] == nil && slices.Contains(p.meals, meal) {
			continue
		}
		if g.ID == q.Group {
			return meal
		}
		ids = append(ids, g.ID)
	}
	f := fault.Fault{Reason: fault.UnknownValue, Path: "ageGroup", Value: q.Group, Want: "an age/grade group of " + p.id + ": " + strings.Join(ids, ", "),
		Fix: "Write one of them; other groups have no pattern in this program."}
	if q.Group == "" {
		f.Reason, f.Fix = fault.Missing, "Say whom the meal is for: amounts differ by group."
	}
	faults.Add(f)
	return meal
}

// CheckOptions returns what is wrong with choices of options, as
// [Patterns.Pattern] does; the paths begin with options.
func (ps *Patterns) CheckOptions(options map[string]string) error {
	var faults fault.List
	ps.checkOptions(&faults, options)
	return faults.Err()
}

func (ps *Patterns) checkOptions(faults *fault.List, options map[string]string) {
	for _, id := range sortedKeys(options) {
		ps.checkOption(faults, id, options[id])
	}
}

func (ps *Patterns) checkOption(faults *fault.List, id, choice string) {
	o := ps.option(id)
	if o == nil {
		var ids []string
		for _, o := range ps.options {
			ids = append(ids, o.ID)
		}
		faults.Add(fault.Fault{Reason: fault.UnknownOption, Path: "options." + id, Value: id, Want: "one of " + strings.Join(ids, ", "), Fix: "Check the spelling, or leave it out."})
		return
	}
	if has(o, choice) {
		return
	}
	var ids []string
	for _, c := range o.Choices {
		ids = append(ids, c.ID)
	}
	faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: "options." + id, Value: choice, Want: "one of " + strings.Join(ids, ", "), Fix: "Leave the option out to take " + o.Default + "."})
}

func (ps *Patterns) programIDs() string { return strings.Join(ps.Programs(), ", ") }

func (ps *Patterns) resolve(q Query, key Key, s *sheet) *Pattern {
	p := &Pattern{Key: key, Group: s.group, On: q.On, options: make(map[string]string), at: make(map[ruleSpan]*Value, len(s.order)), sheet: s}
	for _, o := range ps.options {
		if slices.Contains(o.Programs, key.Program) {
			p.options[o.ID] = o.Default
			if c, ok := q.Options[o.ID]; ok {
				p.options[o.ID] = c
			}
		}
	}
	for _, d := range s.changes {
		if d.After(q.On) {
			p.to = d.Previous()
			break
		}
		p.from = d
	}
	for _, at := range s.order {
		line := s.lines[at]
		rule := line[0].Rule
		var held *Value
		for _, v := range line {
			if v.holdsOn(q.On) && (v.Option == "" || p.options[v.Option] == v.Choice) {
				held = v
				break
			}
		}
		switch {
		case held == nil:
			p.unknown = append(p.unknown, Missing{Rule: rule, Span: at.span, Next: next(line, q.On)})
			continue
		case held.Unknown():
			p.unknown = append(p.unknown, Missing{rule, at.span, next(line, q.On), held.Note})
		}
		p.at[at] = held
		p.values = append(p.values, held)
	}
	return p
}

// next returns the first day after on from which something is known.
func next(line []*Value, on rules.Date) rules.Date {
	for _, v := range line { // in the order of their first days
		if v.From.After(on) && !v.Unknown() {
			return v.From
		}
	}
	return rules.Date{}
}

func sortedKeys(m map[string]string) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
