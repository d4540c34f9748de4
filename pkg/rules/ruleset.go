package rules

import (
	"slices"
	"sort"
	"strings"
	"sync"

	"example.com/ozeq/pkg/fault"
)

// RuleSet is the rules in force on one day for one program under one choice of
// options. It is immutable and safe for concurrent use.
type RuleSet struct {
	Program *Program
	Options map[string]string // every option that matters in the program, by id; do not change
	on      Date
	values  map[string]*Value
	id      string
	rules   *Rules
}

// resolved keeps rule sets already worked out. Every day between two changes
// of a program's rules has the same values, so the key is the stretch of days,
// not the day.
type resolved struct {
	mu sync.RWMutex
	m  map[resolveKey]*RuleSet
}

type resolveKey struct {
	program string
	options string
	from    Date // latest change on or before the day
}

// maxResolved bounds the cache: options come from callers.
const maxResolved = 1024

// Programs returns the programs, in the order of the data.
func (r *Rules) Programs() []*Program { return slices.Clone(r.programs) }

// Options returns the options, in the order of the data.
func (r *Rules) Options() []*Option { return slices.Clone(r.options) }

// All returns every rule, in the order of the data.
func (r *Rules) All() []*Rule { return slices.Clone(r.rules) }

// Rule returns the rule with an id.
func (r *Rules) Rule(id string) (*Rule, bool) {
	x, ok := r.byID[id]
	return x, ok
}

// Digest identifies all the values, of all days.
func (r *Rules) Digest() string { return r.digest }

func (r *Rules) program(id string) *Program {
	for _, p := range r.programs {
		if p.ID == id {
			return p
		}
	}
	return nil
}

func (r *Rules) option(id string) *Option {
	for _, o := range r.options {
		if o.ID == id {
			return o
		}
	}
	return nil
}

// Resolve returns the rules in force on a day for a program. Options left out
// take their defaults. Faults carry the paths serviceDate, program and
// options; they come back as a [*fault.List].
func (r *Rules) Resolve(on Date, program string, options map[string]string) (*RuleSet, error) {
	p := r.program(program)
	if p != nil && len(options) == 0 && !on.IsZero() {
		if rs := r.cached(resolveKey{program: program, from: r.lastChange(on, program)}); rs != nil {
			return rs.forDay(on), nil
		}
	}
	var faults fault.List
	switch {
	case program == "":
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "program", Want: "a program id: " + r.programIDs(), Fix: "Say which program the food is served in."})
	case p == nil:
		faults.Add(fault.Fault{Reason: fault.UnknownProgram, Path: "program", Value: program, Want: "one of " + r.programIDs(), Fix: "Run `ozeq rules` for the list."})
	}
	if on.IsZero() {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "serviceDate", Want: "the date of service, YYYY-MM-DD", Fix: "Say when the food is served: it decides the rules."})
	}
	for _, id := range sortedKeys(options) {
		r.checkOption(&faults, id, options[id], program)
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	key := resolveKey{program: program, from: r.lastChange(on, program)}
	if len(options) > 0 {
		var b strings.Builder
		for _, id := range sortedKeys(options) {
			b.WriteString(id + "=" + options[id] + ";")
		}
		key.options = b.String()
	}
	r.cache.mu.RLock()
	rs := r.cache.m[key]
	r.cache.mu.RUnlock()
	if rs != nil {
		return rs.forDay(on), nil
	}
	rs = r.resolve(on, p, options)
	if len(rs.values) == 0 {
		faults.Add(fault.Fault{Reason: fault.RuleNotInForce, Path: "serviceDate", Value: on.String(),
			Want: "a date on or after " + r.first(program).String() + ", the first day this program's rules are known here",
			Fix:  "Check the year; earlier rules are not in the data."})
		return nil, faults.Err()
	}
	r.cache.mu.Lock()
	defer r.cache.mu.Unlock()
	if r.cache.m == nil || len(r.cache.m) >= maxResolved {
		r.cache.m = make(map[resolveKey]*RuleSet)
	}
	r.cache.m[key] = rs
	return rs, nil
}

func (r *Rules) cached(key resolveKey) *RuleSet {
	r.cache.mu.RLock()
	defer r.cache.mu.RUnlock()
	return r.cache.m[key]
}

func (r *Rules) checkOption(faults *fault.List, id, choice, program string) {
	path := "options." + id
	o := r.option(id)
	if o == nil {
		var ids []string
		for _, o := range r.options {
			ids = append(ids, o.ID)
		}
		faults.Add(fault.Fault{Reason: fault.UnknownOption, Path: path, Value: id, Want: "one of " + strings.Join(ids, ", "), Fix: "Run `ozeq rules` for what each decides."})
		return
	}
	var ids []string
	for _, c := range o.Choices {
		if c.ID == choice {
			return
		}
		ids = append(ids, c.ID)
	}
	faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path, Value: choice, Want: "one of " + strings.Join(ids, ", "), Fix: "Leave the option out to take " + o.Default + "."})
}

func (r *Rules) programIDs() string {
	var ids []string
	for _, p := range r.programs {
		ids = append(ids, p.ID)
	}
	return strings.Join(ids, ", ")
}

// lastChange returns the latest day on or before on at which a value of the
// program starts or has just ended.
func (r *Rules) lastChange(on Date, program string) Date {
	days := r.changes[program]
	i, found := slices.BinarySearchFunc(days, on, func(d, on Date) int { return d.ordinal() - on.ordinal() })
	switch {
	case found:
		return days[i]
	case i == 0:
		return Date{}
	}
	return days[i-1]
}

// Changes returns the days on which a program's rules change, earliest first.
func (r *Rules) Changes(program string) []Date { return slices.Clone(r.changes[program]) }

// findChanges lists, for each program, the days a value starts or has ended.
func (r *Rules) findChanges() {
	r.changes = make(map[string][]Date, len(r.programs))
	for _, p := range r.programs {
		var days []Date
		for _, rule := range r.rules {
			for _, v := range rule.Values {
				if !v.covers(p.ID) {
					continue
				}
				days = append(days, v.From)
				if !v.To.IsZero() {
					days = append(days, v.To.Next())
				}
			}
		}
		slices.SortFunc(days, func(a, b Date) int { return a.ordinal() - b.ordinal() })
		r.changes[p.ID] = slices.Compact(days)
	}
}

// first returns the first day any rule of the program is in force.
func (r *Rules) first(program string) Date {
	if days := r.changes[program]; len(days) > 0 {
		return days[0]
	}
	return Date{}
}

func (r *Rules) resolve(on Date, p *Program, options map[string]string) *RuleSet {
	rs := &RuleSet{Program: p, Options: make(map[string]string), on: on, values: make(map[string]*Value, len(r.rules)), rules: r}
	for _, o := range r.options {
		if o.applies(p.ID) {
			rs.Options[o.ID] = o.Default
			if c, ok := options[o.ID]; ok {
				rs.Options[o.ID] = c
			}
		}
	}
	holds := func(v *Value) bool {
		return v.covers(p.ID) && v.holdsOn(on) && (v.Option == "" || rs.Options[v.Option] == v.Choice)
	}
	for _, rule := range r.rules {
		for _, v := range rule.Values {
			if holds(v) {
				rs.values[rule.ID] = v
			}
		}
	}
	rs.id = digestValues(r.rules, holds)
	// Options that pick a method rather than a value are part of the id too.
	for _, id := range sortedKeys(rs.Options) {
		if c := rs.Options[id]; c != r.option(id).Default {
			rs.id += ";" + id + "=" + c
		}
	}
	return rs
}

// forDay returns rs for another day of its stretch. Only the day differs, and
// it is told in faults: without this they would name the day that happened to
// be asked for first.
func (rs *RuleSet) forDay(on Date) *RuleSet {
	if rs.on == on {
		return rs
	}
	c := *rs
	c.on = on
	return &c
}

// ID identifies the values in force and the options chosen.
func (rs *RuleSet) ID() string { return rs.id }

// Get returns the value of a rule in force, or a fault that says since when it
// is known.
func (rs *RuleSet) Get(id string) (*Value, error) {
	if v, ok := rs.values[id]; ok {
		return v, nil
	}
	return nil, rs.notInForce(id)
}

// Has reports whether a rule is in force.
func (rs *RuleSet) Has(id string) bool { return rs.values[id] != nil }

// AgeGroups lists the age/grade groups the program has a serving of milk for.
func (rs *RuleSet) AgeGroups() []string {
	const prefix = "milk/serving/"
	var ids []string
	for _, r := range rs.rules.rules {
		if strings.HasPrefix(r.ID, prefix) && rs.values[r.ID] != nil {
			ids = append(ids, r.ID[len(prefix):])
		}
	}
	return ids
}

func (rs *RuleSet) notInForce(id string) error {
	f := fault.Fault{Reason: fault.RuleNotInForce, Path: "serviceDate", Value: rs.on.String(), Want: "a date on which the rule " + id + " holds for " + rs.Program.ID}
	rule := rs.rules.byID[id]
	if rule == nil {
		f.Fix = "No such rule is in the data."
		return f
	}
	f.Want = "a date on which \"" + rule.Title + "\" is in force for " + rs.Program.ID
	var lives []string
	for _, v := range rule.Values {
		if !v.covers(rs.Program.ID) {
			continue
		}
		life := "from " + v.From.String()
		if !v.To.IsZero() {
			life += " to " + v.To.String()
		}
		if v.Option != "" {
			life += " with option " + v.Option + "=" + v.Choice
		}
		lives = append(lives, life)
	}
	f.Fix = "It is not in force for this program at all in the data."
	if len(lives) > 0 {
		f.Fix = "It holds " + strings.Join(lives, "; ") + "."
	}
	return f
}

func sortedKeys(m map[string]string) []string {
	if len(m) == 0 {
		return nil
	}
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
