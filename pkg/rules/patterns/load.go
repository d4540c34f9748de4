package patterns

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/source"
)

//go:embed patterns.json
var compiled []byte

// Patterns is every meal pattern of every day. It is immutable and safe for
// concurrent use.
type Patterns struct {
	documents source.Papers
	options   []*rules.Option
	rules     []*Rule
	byID      map[string]*Rule
	programs  []*program // in the order of the data
	rows      []row
	sheets    map[Key]*sheet
}

type program struct {
	id     string
	meals  []string
	groups []Group
}

// row is what the data says in one row: one value for several patterns, or one
// for each group.
type row struct {
	programs, meals []string // meals nil: every one
	groups          []string // nil: every one
	value           *Value   // its key is not set
	byGroup         map[string]*Value
}

// of returns what the row says of a pattern, or nil.
func (r *row) of(k Key) *Value {
	if !slices.Contains(r.programs, k.Program) || r.meals != nil && !slices.Contains(r.meals, k.Meal) {
		return nil
	}
	if r.byGroup != nil {
		return r.byGroup[k.Group]
	}
	if r.groups != nil && !slices.Contains(r.groups, k.Group) {
		return nil
	}
	return r.value
}

// sheet is all values of one pattern, drawn from the rows when first asked for:
// few programs ask for all of them.
type sheet struct {
	once    sync.Once
	key     Key
	group   Group
	values  []*Value
	lines   map[ruleSpan][]*Value
	order   []ruleSpan
	changes []rules.Date
}

type ruleSpan struct {
	rule string
	span Span
}

func (s *sheet) of(rule string, span Span) []*Value { return s.lines[ruleSpan{rule, span}] }

// sheet returns the values of a pattern, or nil when there is no such pattern.
func (ps *Patterns) sheet(k Key) *sheet {
	s := ps.sheets[k]
	if s != nil {
		s.once.Do(func() { s.draw(ps.rows) })
	}
	return s
}

func (s *sheet) draw(rows []row) {
	var found []*Value
	for i := range rows {
		if v := rows[i].of(s.key); v != nil {
			found = append(found, v)
		}
	}
	values := make([]Value, len(found))
	s.values = make([]*Value, len(found))
	s.lines = make(map[ruleSpan][]*Value, len(found))
	for i, v := range found {
		values[i] = *v
		values[i].Key = s.key
		s.values[i] = &values[i]
		at := ruleSpan{v.Rule.ID, v.Span}
		if s.lines[at] == nil {
			s.order = append(s.order, at)
		}
		s.lines[at] = append(s.lines[at], s.values[i])
		s.changes = append(s.changes, v.From)
	}
	for _, line := range s.lines {
		slices.SortStableFunc(line, func(a, b *Value) int { return compare(a.From, b.From) })
	}
	slices.SortFunc(s.changes, compare)
	s.changes = slices.Compact(s.changes)
}

// Default returns the patterns that come with the library. That every value has
// a day-by-day place of its own was checked when they were compiled, and is not
// checked anew.
func Default() (*Patterns, error) {
	var f File
	if err := json.Unmarshal(compiled, &f); err != nil {
		return nil, fmt.Errorf("patterns.json: %w", err)
	}
	l := read(&f)
	return l.done()
}

// Load checks pattern data and builds Patterns from it. It refuses a value
// without a source, overlaps, a life that ends without another value taking
// over, weeks of one length without the others, and names nothing declares.
func Load(f *File) (*Patterns, error) {
	l := read(f)
	l.places(f.Tables)
	l.lives()
	for _, r := range l.ps.rules {
		if !l.used[r.ID] {
			l.fail("rule %q: no value", r.ID)
		}
	}
	for _, o := range l.ps.options {
		for _, c := range o.Choices {
			if !l.used[o.ID+"="+c.ID] {
				l.fail("option %s=%s decides nothing", o.ID, c.ID)
			}
		}
	}
	return l.done()
}

// read reads a file and checks each of its parts by itself.
func read(f *File) *loader {
	l := &loader{
		ps:   &Patterns{documents: make(source.Papers, len(f.Documents)), byID: make(map[string]*Rule, len(f.Rules)), sheets: make(map[Key]*sheet)},
		used: make(map[string]bool, len(f.Rules)),
	}
	for _, d := range f.Documents {
		l.ps.documents.Add(source.Document{ID: d.ID, Title: d.Title, Section: d.Section, Edition: d.Edition, Publisher: d.Publisher}, d.Mark, l.fail)
	}
	for _, fp := range f.Patterns {
		l.program(fp)
	}
	for _, o := range f.Options {
		l.option(o)
	}
	for _, r := range f.Rules {
		l.rule(r)
	}
	for i := range f.Tables {
		l.table(i, &f.Tables[i])
	}
	return l
}

func (l *loader) done() (*Patterns, error) {
	if len(l.errs) > 0 {
		return nil, fmt.Errorf("pattern data: %s", strings.Join(l.errs, "; "))
	}
	return l.ps, nil
}

type loader struct {
	ps   *Patterns
	used map[string]bool // rules and choices a value belongs to
	errs []string
}

func (l *loader) fail(format string, args ...any) {
	l.errs = append(l.errs, fmt.Sprintf(format, args...))
}

func (l *loader) ref(where any, doc, section, mark string) source.Ref {
	return l.ps.documents.Ref(where, doc, section, mark, l.fail)
}

func (l *loader) program(fp FilePattern) {
	if fp.Program == "" || len(fp.Meals) == 0 || len(fp.Groups) == 0 {
		l.fail("patterns of %q: program, meals and groups are required", fp.Program)
	}
	p := l.ps.program(fp.Program)
	if p == nil {
		p = &program{id: fp.Program}
		l.ps.programs = append(l.ps.programs, p)
	}
	for _, g := range fp.Groups {
		if g.ID == "" || g.Title == "" {
			l.fail("group %q of %s: id and title are required", g.ID, fp.Program)
		}
		group := Group(g)
		for _, meal := range fp.Meals {
			key := Key{fp.Program, meal, g.ID}
			if l.ps.sheets[key] != nil {
				l.fail("pattern %s stands twice", key)
				continue
			}
			l.ps.sheets[key] = &sheet{key: key, group: group}
			if !slices.Contains(p.meals, meal) {
				p.meals = append(p.meals, meal)
			}
		}
		p.groups = append(p.groups, group)
	}
}

func (l *loader) option(o rules.FileOption) {
	where := "option " + o.ID
	if o.ID == "" || o.Title == "" || o.Reason == "" || len(o.Choices) < 2 || len(o.Programs) == 0 {
		l.fail("%s: id, title, programs, choices and reason are required", where)
	}
	if l.ps.option(o.ID) != nil {
		l.fail("%s stands twice", where)
	}
	opt := &rules.Option{ID: o.ID, Title: o.Title, Programs: o.Programs, Default: o.Default, Reason: o.Reason,
		Source: l.ref(where, o.Source, "", o.Mark)}
	for _, c := range o.Choices {
		opt.Choices = append(opt.Choices, rules.Choice(c))
	}
	if !has(opt, o.Default) {
		l.fail("%s: default %q is not one of its choices", where, o.Default)
	}
	for _, p := range o.Programs {
		if l.ps.program(p) == nil {
			l.fail("%s: program %q is not known", where, p)
		}
	}
	l.ps.options = append(l.ps.options, opt)
}

func has(o *rules.Option, choice string) bool {
	return slices.ContainsFunc(o.Choices, func(c rules.Choice) bool { return c.ID == choice })
}

func (l *loader) rule(fr FileRule) {
	r := &Rule{ID: fr.ID, Title: fr.Title, Kind: Kind(fr.Kind), Unit: fr.Unit, words: fr.Words}
	if fr.ID == "" || fr.Title == "" {
		l.fail("rule %q: id and title are required", fr.ID)
	}
	switch r.Kind {
	case Least, Most, Below, Upper, Advice, Figure:
		if r.Unit == "" || len(r.words) > 0 {
			l.fail("rule %s: a figure has a unit and no words", r.ID)
		}
	case Word, Set:
		if r.Unit != "" || len(r.words) < 2 {
			l.fail("rule %s: words to choose from are required, a unit is not", r.ID)
		}
	default:
		l.fail("rule %s: kind %q is not known", r.ID, fr.Kind)
	}
	if strings.HasPrefix(r.ID, "least/") && r.Kind != Least || strings.HasPrefix(r.ID, "upper/") != (r.Kind == Upper) {
		l.fail("rule %s: its kind %s does not fit its id", r.ID, r.Kind)
	}
	if l.ps.byID[r.ID] != nil {
		l.fail("rule %q stands twice", r.ID)
	}
	l.ps.rules = append(l.ps.rules, r)
	l.ps.byID[r.ID] = r
}

// over returns what a row says where it says something, and the table else.
func (row FileLife) over(table FileLife) FileLife {
	pick := func(own *string, general string) {
		if *own == "" {
			*own = general
		}
	}
	if row.From == "" { // a row with a life of its own has all of it
		row.From, row.To, row.Earlier, row.Start = table.From, table.To, table.Earlier, table.Start
	}
	if row.When == nil {
		row.When = table.When
	}
	if row.Source == "" { // and so has a row with a source of its own
		row.Source = table.Source
		pick(&row.Section, table.Section)
		pick(&row.Mark, table.Mark)
	}
	pick(&row.Span, table.Span)
	pick(&row.Note, table.Note)
	return row
}

func (l *loader) table(i int, t *FileTable) {
	if len(t.Programs) == 0 || len(t.Rows) == 0 {
		l.fail("table %d: programs and rows are required", i+1)
	}
	for j := range t.Rows {
		l.row(place{i, j, t.Rows[j].Rule}, t, &t.Rows[j])
	}
}

// place is where a row stands in the data.
type place struct {
	table, row int
	rule       string
}

func (p place) String() string {
	return fmt.Sprintf("table %d, row %d (%s)", p.table+1, p.row+1, p.rule)
}

func (l *loader) row(where place, t *FileTable, fr *FileRow) {
	rule := l.ps.byID[fr.Rule]
	if rule == nil {
		l.fail("%s: no such rule", where)
		return
	}
	l.used[rule.ID] = true
	life := fr.over(t.FileLife)
	base := Value{Rule: rule, Span: Span(life.Span), Unit: rule.Unit, Note: life.Note, Source: l.ref(where, life.Source, life.Section, life.Mark)}
	if fr.Unit != "" {
		base.Unit = fr.Unit
	}
	l.life(where, &base, life)
	for opt, choice := range life.When {
		o := l.ps.option(opt)
		if o == nil || !has(o, choice) {
			l.fail("%s: option %s=%s is not known", where, opt, choice)
			continue
		}
		for _, p := range t.Programs {
			if !slices.Contains(o.Programs, p) {
				l.fail("%s: option %s does not matter in program %q", where, opt, p)
			}
		}
		base.Option, base.Choice = opt, choice
		l.used[opt+"="+choice] = true
	}
	if len(life.When) > 1 {
		l.fail("%s: more than one option", where)
	}
	r := row{programs: t.Programs, meals: t.Meals, groups: fr.Groups}
	if r.groups == nil {
		r.groups = t.Groups
	}
	switch {
	case (fr.Value == "") == (len(fr.Amounts) == 0):
		l.fail("%s: give a value or amounts", where)
	case fr.Value != "":
		l.text(where, &base, fr.Value)
		r.value = &base
	default:
		if fr.Groups != nil {
			l.fail("%s: amounts name their groups", where)
		}
		r.byGroup = make(map[string]*Value, len(fr.Amounts))
		values := make([]Value, 0, len(fr.Amounts))
		for g, text := range fr.Amounts {
			if t.Groups != nil && !slices.Contains(t.Groups, g) {
				l.fail("%s: group %q is not of this table", where, g)
			}
			values = append(values, base)
			v := &values[len(values)-1]
			l.text(where, v, text)
			r.byGroup[g] = v
		}
	}
	l.ps.rows = append(l.ps.rows, r)
}

// places checks that every program, meal and group a row names is there.
func (l *loader) places(tables []FileTable) {
	for i := range tables {
		t := &tables[i]
		var meals, groups []string
		for _, id := range t.Programs {
			p := l.ps.program(id)
			if p == nil {
				l.fail("table %d: program %q is not known", i+1, id)
				continue
			}
			meals = append(meals, p.meals...)
			for _, g := range p.groups {
				groups = append(groups, g.ID)
			}
		}
		for _, m := range t.Meals {
			if !slices.Contains(meals, m) {
				l.fail("table %d: no meal %q in %s", i+1, m, strings.Join(t.Programs, ", "))
			}
		}
		known := func(where, g string) {
			if !slices.Contains(groups, g) {
				l.fail("%s: group %q is not in these programs", where, g)
			}
		}
		for _, g := range t.Groups {
			known(fmt.Sprintf("table %d", i+1), g)
		}
		for j := range t.Rows {
			where := place{i, j, t.Rows[j].Rule}.String()
			for _, g := range t.Rows[j].Groups {
				known(where, g)
			}
			for g := range t.Rows[j].Amounts {
				known(where, g)
			}
		}
	}
}

func (l *loader) life(where place, v *Value, life FileLife) {
	var err error
	if v.From, err = rules.ParseDate(life.From); err != nil {
		l.fail("%s: from: %v", where, err)
	}
	if life.To != "" {
		if v.To, err = rules.ParseDate(life.To); err != nil {
			l.fail("%s: to: %v", where, err)
		}
		if v.To.Before(v.From) {
			l.fail("%s: ends before it starts", where)
		}
	}
	switch life.Earlier {
	case "":
	case Unknown:
		v.EarlierUnknown = true
	default:
		l.fail("%s: earlier is %q, want unknown or nothing", where, life.Earlier)
	}
	if life.Start != "" {
		var ok bool
		if v.Start, ok = source.ParseMark(life.Start); !ok {
			l.fail("%s: start: mark %q is not known", where, life.Start)
		}
	}
	switch v.Span {
	case NoSpan, Meal, Day, Age1, Age2, Week(3), Week(4), Week(5), Week(6), Week(7):
	default:
		l.fail("%s: span %q is not known", where, v.Span)
	}
}

// text reads what a value says.
func (l *loader) text(where place, v *Value, text string) {
	v.Text = text
	if text == Unknown || text == None {
		return
	}
	switch v.Rule.Kind {
	case Word:
		v.words = []string{text}
	case Set:
		v.words = strings.Split(text, ", ")
	default:
		var err error
		if v.Number, err = exact.Parse(text); err != nil {
			l.fail("%s: %v", where, err)
		}
		return
	}
	for i, w := range v.words {
		if !slices.Contains(v.Rule.words, w) {
			l.fail("%s: %q is not one of %s", where, w, strings.Join(v.Rule.words, ", "))
		}
		if slices.Contains(v.words[:i], w) {
			l.fail("%s: %q stands twice", where, w)
		}
	}
}

// lives checks, for every rule of every pattern and every choice, that exactly
// one value holds on each day from the first on, and that weeks of all lengths
// are there or none.
func (l *loader) lives() {
	for _, p := range l.ps.programs {
		for _, meal := range p.meals {
			for _, g := range p.groups {
				key := Key{p.id, meal, g.ID}
				s := l.ps.sheet(key)
				if s == nil {
					continue
				}
				if len(s.values) == 0 {
					l.fail("pattern %s: no values", key)
				}
				for _, at := range s.order {
					l.line(key.String()+"/"+at.rule+"/"+string(at.span), s.lines[at])
					if strings.HasPrefix(string(at.span), "week-") {
						for days := ShortestWeek; days <= LongestWeek; days++ {
							if s.of(at.rule, Week(days)) == nil {
								l.fail("%s/%s: %s is there, %s is not", key, at.rule, at.span, Week(days))
							}
						}
					}
				}
			}
		}
	}
}

func compare(a, b rules.Date) int {
	switch {
	case a.Before(b):
		return -1
	case b.Before(a):
		return 1
	}
	return 0
}

// line checks the values of one rule, span and pattern.
func (l *loader) line(where string, values []*Value) {
	var option string
	for _, v := range values {
		if v.Option != "" && option != "" && v.Option != option {
			l.fail("%s: hangs on two options, %s and %s", where, option, v.Option)
			return
		}
		if v.Option != "" {
			option = v.Option
		}
	}
	if option == "" {
		l.follow(where, values, "")
		return
	}
	for _, c := range l.ps.option(option).Choices {
		l.follow(where+" with "+option+"="+c.ID, values, c.ID)
	}
}

// follow checks that each value under a choice takes over the day after the
// one before it ends, and that the last has no end.
func (l *loader) follow(where string, values []*Value, choice string) {
	var last *Value
	first := values[0].From
	for _, v := range values {
		if v.Option != "" && v.Choice != choice {
			continue
		}
		switch {
		case last == nil && v.From != first:
			l.fail("%s: nothing from %s to %s", where, first, v.From.Previous())
		case last == nil:
		case last.To.IsZero() || !last.To.Before(v.From):
			l.fail("%s: the value from %s overlaps the one from %s", where, v.From, last.From)
		case last.To.Next() != v.From:
			l.fail("%s: nothing from %s to %s", where, last.To.Next(), v.From.Previous())
		}
		last = v
	}
	switch {
	case last == nil:
		l.fail("%s: no value", where)
	case !last.To.IsZero():
		l.fail("%s: ends on %s and nothing takes over: a repealed rule says none", where, last.To)
	}
}
