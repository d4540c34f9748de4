package rules

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/source"
)

//go:embed rules.json
var compiled []byte

// File is the form rule data takes on disk, in YAML sources and in the
// compiled rules.json alike. Everything is text, as printed.
type File struct {
	Documents []FileDocument `json:"documents,omitempty"`
	Programs  []FileProgram  `json:"programs,omitempty"`
	Options   []FileOption   `json:"options,omitempty"`
	Rules     []FileRule     `json:"rules,omitempty"`
}

// FileDocument is a paper in a [File].
type FileDocument struct {
	ID        string `json:"id"`
	Title     string `json:"title"`
	Section   string `json:"section,omitempty"`
	Edition   string `json:"edition"`
	Publisher string `json:"publisher"`
	Mark      string `json:"mark"`
}

// FileProgram is a program in a [File].
type FileProgram struct {
	ID         string `json:"id"`
	Name       string `json:"name"`
	Regulation string `json:"regulation"`
}

// FileOption is an option in a [File].
type FileOption struct {
	ID       string       `json:"id"`
	Title    string       `json:"title"`
	Programs []string     `json:"programs,omitempty"`
	Choices  []FileChoice `json:"choices"`
	Default  string       `json:"default"`
	Reason   string       `json:"reason"`
	Source   string       `json:"source"`
	Mark     string       `json:"mark"`
}

// FileChoice is a choice in a [FileOption].
type FileChoice struct {
	ID    string `json:"id"`
	Title string `json:"title"`
}

// FileRule is a rule in a [File].
type FileRule struct {
	ID     string      `json:"id"`
	Title  string      `json:"title"`
	Unit   string      `json:"unit"`
	Values []FileValue `json:"values"`
}

// FileValue is a value in a [FileRule].
type FileValue struct {
	Programs []string          `json:"programs"`
	From     string            `json:"from"`
	To       string            `json:"to,omitempty"`
	Earlier  string            `json:"earlier,omitempty"`
	When     map[string]string `json:"when,omitempty"`
	Value    string            `json:"value,omitempty"`
	Steps    []FileStep        `json:"steps,omitempty"`
	Source   string            `json:"source,omitempty"`
	Section  string            `json:"section,omitempty"`
	Mark     string            `json:"mark,omitempty"`
	Note     string            `json:"note,omitempty"`
}

// FileStep is a row of a table in a [FileValue].
type FileStep struct {
	Credit string `json:"credit"`
	Least  string `json:"least"`
	Source string `json:"source"`
	Mark   string `json:"mark"`
}

// Rules is everything the rule data says. It is immutable and safe for
// concurrent use.
type Rules struct {
	documents source.Papers
	programs  []*Program
	options   []*Option
	rules     []*Rule
	byID      map[string]*Rule
	changes   map[string][]Date // by program, earliest first
	digest    string
	cache     resolved
}

// Default returns the rules that come with the library.
func Default() (*Rules, error) {
	var f File
	if err := json.Unmarshal(compiled, &f); err != nil {
		return nil, fmt.Errorf("rules.json: %w", err)
	}
	return Load(&f)
}

// Load checks rule data and builds Rules from it. It refuses a value without a
// source, an unknown mark or program, a life that ends before it starts, two
// values for one day, and tables out of order.
func Load(f *File) (*Rules, error) {
	r := &Rules{documents: make(source.Papers, len(f.Documents)), byID: make(map[string]*Rule, len(f.Rules))}
	l := loader{r: r}
	for _, d := range f.Documents {
		l.r.documents.Add(source.Document{ID: d.ID, Title: d.Title, Section: d.Section, Edition: d.Edition, Publisher: d.Publisher}, d.Mark, l.fail)
	}
	for _, p := range f.Programs {
		if p.ID == "" || p.Name == "" || p.Regulation == "" {
			l.fail("program %q: id, name and regulation are required", p.ID)
		}
		if r.program(p.ID) != nil {
			l.fail("program %q stands twice", p.ID)
		}
		r.programs = append(r.programs, &Program{p.ID, p.Name, p.Regulation})
	}
	for _, o := range f.Options {
		l.option(o)
	}
	for _, fr := range f.Rules {
		l.rule(fr)
	}
	if len(l.errs) > 0 {
		return nil, fmt.Errorf("rule data: %s", strings.Join(l.errs, "; "))
	}
	r.findChanges()
	r.digest = digestValues(r.rules, func(*Value) bool { return true })
	return r, nil
}

type loader struct {
	r    *Rules
	errs []string
}

func (l *loader) fail(format string, args ...any) {
	l.errs = append(l.errs, fmt.Sprintf(format, args...))
}

func (l *loader) ref(where, doc, section, mark string) source.Ref {
	return l.r.documents.Ref(where, doc, section, mark, l.fail)
}

func (l *loader) option(o FileOption) {
	if o.ID == "" || o.Title == "" || o.Reason == "" || len(o.Choices) == 0 {
		l.fail("option %q: id, title, choices and reason are required", o.ID)
	}
	if l.r.option(o.ID) != nil {
		l.fail("option %q stands twice", o.ID)
	}
	opt := &Option{ID: o.ID, Title: o.Title, Programs: o.Programs, Default: o.Default, Reason: o.Reason,
		Source: l.ref("option "+o.ID, o.Source, "", o.Mark)}
	found := false
	for _, c := range o.Choices {
		found = found || c.ID == o.Default
		opt.Choices = append(opt.Choices, Choice(c))
	}
	if !found {
		l.fail("option %q: default %q is not one of its choices", o.ID, o.Default)
	}
	for _, p := range o.Programs {
		if l.r.program(p) == nil {
			l.fail("option %q: program %q is not known", o.ID, p)
		}
	}
	l.r.options = append(l.r.options, opt)
}

func (l *loader) rule(fr FileRule) {
	rule := &Rule{ID: fr.ID, Title: fr.Title, Unit: fr.Unit}
	if fr.ID == "" || fr.Title == "" || fr.Unit == "" || len(fr.Values) == 0 {
		l.fail("rule %q: id, title, unit and values are required", fr.ID)
	}
	if l.r.byID[fr.ID] != nil {
		l.fail("rule %q stands twice", fr.ID)
	}
	for i, fv := range fr.Values {
		v := l.value(rule, fmt.Sprintf("rule %s, value %d", fr.ID, i), fv)
		for _, o := range rule.Values {
			if o.Option == v.Option && o.Choice != v.Choice || !overlap(o, v) {
				continue
			}
			l.fail("rule %s: value %d overlaps an earlier one", fr.ID, i)
		}
		rule.Values = append(rule.Values, v)
	}
	l.r.rules = append(l.r.rules, rule)
	l.r.byID[fr.ID] = rule
}

func overlap(a, b *Value) bool {
	if !a.To.IsZero() && a.To.Before(b.From) || !b.To.IsZero() && b.To.Before(a.From) {
		return false
	}
	for _, p := range a.Programs {
		if b.covers(p) {
			return true
		}
	}
	return false
}

func (l *loader) value(rule *Rule, where string, fv FileValue) *Value {
	v := &Value{Rule: rule, Programs: fv.Programs, Text: fv.Value, Note: fv.Note}
	if len(fv.Programs) == 0 {
		l.fail("%s: no programs", where)
	}
	for _, p := range fv.Programs {
		if l.r.program(p) == nil {
			l.fail("%s: program %q is not known", where, p)
		}
	}
	var err error
	if v.From, err = ParseDate(fv.From); err != nil {
		l.fail("%s: from: %v", where, err)
	}
	if fv.To != "" {
		if v.To, err = ParseDate(fv.To); err != nil {
			l.fail("%s: to: %v", where, err)
		}
		if v.To.Before(v.From) {
			l.fail("%s: ends before it starts", where)
		}
	}
	switch fv.Earlier {
	case "":
	case "unknown":
		v.EarlierUnknown = true
	default:
		l.fail("%s: earlier is %q, want unknown or nothing", where, fv.Earlier)
	}
	for opt, choice := range fv.When {
		o := l.r.option(opt)
		if o == nil || !slices.ContainsFunc(o.Choices, func(c Choice) bool { return c.ID == choice }) {
			l.fail("%s: option %s=%s is not known", where, opt, choice)
		}
		for _, p := range fv.Programs {
			if o != nil && !o.applies(p) {
				l.fail("%s: option %s does not matter in program %q", where, opt, p)
			}
		}
		v.Option, v.Choice = opt, choice
	}
	if len(fv.When) > 1 {
		l.fail("%s: more than one option", where)
	}
	switch {
	case (fv.Value == "") == (len(fv.Steps) == 0):
		l.fail("%s: give a value or steps", where)
	case fv.Value != "":
		v.Source = l.ref(where, fv.Source, fv.Section, fv.Mark)
		if rule.Unit != "none" {
			if v.Number, err = exact.Parse(fv.Value); err != nil {
				l.fail("%s: %v", where, err)
			}
		}
	default:
		l.steps(v, where, fv.Steps)
	}
	v.Record = source.Figure{ID: rule.ID, Name: rule.Title, Text: v.Text, Unit: rule.Unit, Used: v.Number, Source: v.Source}
	return v
}

func (l *loader) steps(v *Value, where string, rows []FileStep) {
	for i, fs := range rows {
		s := Step{CreditText: fs.Credit, LeastText: fs.Least, Source: l.ref(where, fs.Source, "", fs.Mark)}
		var err error
		if s.Credit, err = exact.Parse(fs.Credit); err != nil {
			l.fail("%s: credit: %v", where, err)
		}
		if s.Least, err = exact.Parse(fs.Least); err != nil || s.Least.IsZero() {
			l.fail("%s: least: %q is not an amount", where, fs.Least)
		}
		if i > 0 && (!s.Credit.Less(v.Steps[i-1].Credit) || !s.Least.Less(v.Steps[i-1].Least)) {
			l.fail("%s: steps run from the largest down", where)
		}
		if i == 0 && strings.HasPrefix(v.Rule.ID, "grains/exhibit-a") && !s.Credit.Equal(exact.Int(1)) {
			l.fail("%s: the first step of Exhibit A is 1", where)
		}
		s.Record = source.Figure{ID: v.Rule.ID + "/" + fs.Credit, Name: v.Rule.Title + ", " + fs.Credit, Text: fs.Least, Unit: v.Rule.Unit, Used: s.Least, Source: s.Source}
		s.Earns = source.Figure{ID: v.Rule.ID + "/" + fs.Credit + "/credit", Name: s.Record.Name, Text: fs.Credit, Unit: "for " + fs.Least + " " + v.Rule.Unit, Used: s.Credit, Source: s.Source}
		v.Steps = append(v.Steps, s)
	}
	v.Source = v.Steps[0].Source
}

// appendRef appends what decides how far a value can be trusted.
func appendRef(b []byte, r *source.Ref) []byte {
	b = append(b, 0)
	if r.Document != nil {
		b = append(b, r.Document.ID...)
	}
	return append(b, '/', byte('0'+r.Mark), byte('0'+r.Tier))
}

// digestValues is a digest over the values that keep lets through: ids, lives,
// figures, citations' keys and marks, not prose.
func digestValues(rules []*Rule, keep func(*Value) bool) string {
	h := sha256.New()
	var b []byte
	for _, r := range rules {
		for _, v := range r.Values {
			if !keep(v) {
				continue
			}
			b = append(b[:0], r.ID...)
			b = append(b, 0)
			b = append(b, v.From.String()...)
			b = append(b, 0)
			b = append(b, v.To.String()...)
			b = append(b, 0)
			b = append(b, v.Text...)
			b = appendRef(b, &v.Source)
			for i := range v.Steps {
				s := &v.Steps[i]
				b = append(b, 0)
				b = append(b, s.CreditText...)
				b = append(b, '=')
				b = append(b, s.LeastText...)
				b = appendRef(b, &s.Source)
			}
			for _, p := range v.Programs {
				b = append(b, 0)
				b = append(b, p...)
			}
			b = append(b, 0)
			b = append(b, v.Option...)
			b = append(b, '=')
			b = append(b, v.Choice...)
			b = append(b, '\n')
			h.Write(b)
		}
	}
	return "sha256:" + hex.EncodeToString(h.Sum(nil)[:16])
}
