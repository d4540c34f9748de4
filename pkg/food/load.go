package food

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/csv"
	"encoding/hex"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/source"
)

//go:embed data/foods.csv data/figures.csv data/sources.csv
var embedded embed.FS

// Catalog is foods and their figures. It is immutable and safe for concurrent
// use.
type Catalog struct {
	foods     []*Food // by id
	byID      map[string]*Food
	documents map[string]*source.Document
	digest    string
	index     *index
}

// Default returns the catalog that comes with the library.
func Default() (*Catalog, error) {
	sub, err := fs.Sub(embedded, "data")
	if err != nil {
		return nil, err
	}
	return Load(sub)
}

// MaxTable is how many bytes one table may take.
const MaxTable = 16 << 20

// Load reads foods.csv, figures.csv and sources.csv. It refuses unknown
// columns and words, ids that stand twice or lead nowhere, figures without a
// source and values that are not plain numbers, and names the row of each.
func Load(fsys fs.FS) (*Catalog, error) {
	l := &loader{c: &Catalog{byID: make(map[string]*Food, 1024), documents: make(map[string]*source.Document, 128)}}
	h := sha256.New()
	for _, t := range []struct {
		name    string
		columns []string
		row     func(where string, r []string)
	}{
		{"sources.csv", []string{"id", "document", "section", "edition", "publisher", "url", "mark", "tier"}, l.source},
		{"foods.csv", []string{"id", "name", "also", "form", "components", "subgroup", "traits", "grain_kind", "grain_use", "exhibit_group", "allergens", "gluten", "sugar_role", "no_credit"}, l.food},
		{"figures.csv", []string{"id", "food", "state", "component", "kind", "unit", "value", "size", "basis", "tier", "mark", "confidence", "source", "note"}, l.figure},
	} {
		text, err := fs.ReadFile(fsys, t.name)
		if err != nil {
			return nil, err
		}
		if len(text) > MaxTable {
			return nil, fmt.Errorf("%s: %d bytes, at most %d", t.name, len(text), MaxTable)
		}
		h.Write(text)
		l.table(t.name, text, t.columns, t.row)
	}
	if len(l.errs) > 0 {
		return nil, fmt.Errorf("catalog: %s", strings.Join(l.errs, "; "))
	}
	c := l.c
	for _, f := range c.foods {
		f.markLarger()
	}
	slices.SortFunc(c.foods, func(a, b *Food) int { return strings.Compare(a.ID, b.ID) })
	c.digest = digestOf([sha256.Size]byte(h.Sum(nil)))
	c.index = &index{}
	return c, nil
}

// digestOf writes a digest as records carry it.
func digestOf(sum [sha256.Size]byte) string { return "sha256:" + hex.EncodeToString(sum[:16]) }

// Foods returns every food, by id. Do not change them.
func (c *Catalog) Foods() []*Food { return slices.Clone(c.foods) }

// Food returns the food with an id.
func (c *Catalog) Food(id string) (*Food, bool) {
	f, ok := c.byID[id]
	return f, ok
}

// Digest identifies the tables.
func (c *Catalog) Digest() string { return c.digest }

const maxErrs = 50

type loader struct {
	c       *Catalog
	errs    []string
	figures map[string]bool
}

func (l *loader) fail(where, format string, args ...any) {
	if len(l.errs) < maxErrs {
		l.errs = append(l.errs, where+": "+fmt.Sprintf(format, args...))
	}
}

// failer is fail for the parts shared with the foods of callers. A row is
// named as a whole: the message holds the word.
func (l *loader) failer(where string) failer {
	return func(_, _, format string, args ...any) { l.fail(where, format, args...) }
}

// failer takes what is wrong with one field: its name as requests spell it, the
// value found and what was wanted.
type failer func(field, value, format string, args ...any)

func (l *loader) table(name string, text []byte, columns []string, row func(string, []string)) {
	r := csv.NewReader(bytes.NewReader(text))
	r.ReuseRecord = true
	r.FieldsPerRecord = len(columns)
	for line := 1; ; line++ {
		rec, err := r.Read()
		if rec == nil && err != nil {
			if err.Error() != "EOF" {
				l.fail(name, "%v", err)
			}
			return
		}
		if err != nil {
			l.fail(name, "%v", err)
			return
		}
		if line == 1 {
			if !slices.Equal(rec, columns) {
				l.fail(name, "the header row must be %s", strings.Join(columns, ","))
				return
			}
			continue
		}
		row(fmt.Sprintf("%s line %d", name, line), rec)
	}
}

func (l *loader) source(where string, r []string) {
	mark, ok := source.ParseMark(r[6])
	if !ok {
		l.fail(where, "mark %q is not known", r[6])
	}
	if r[0] == "" || r[1] == "" {
		l.fail(where, "id and document are required")
	}
	if l.c.documents[r[0]] != nil {
		l.fail(where, "source %q stands twice", r[0])
	}
	l.c.documents[r[0]] = &source.Document{ID: r[0], Title: r[1], Section: r[2], Edition: r[3], Publisher: r[4], URL: r[5], Mark: mark, Tier: l.tier(where, r[7])}
}

func (l *loader) tier(where, s string) source.Tier {
	switch s {
	case "1":
		return source.Handbook
	case "2":
		return source.PublicRecipe
	case "3":
		return source.OpenData
	}
	l.fail(where, "tier %q, want 1, 2 or 3", s)
	return source.OpenData
}

var idPattern = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

var (
	forms = []string{"fresh", "frozen", "canned", "dried", "dry", "dehydrated", "juice", "concentrate", "prepared", "refrigerated", "shelf"}
)

func list(s string) []string {
	if s == "" {
		return nil
	}
	return strings.Split(s, ";")
}

func (l *loader) food(where string, r []string) {
	f := &Food{ID: strings.Clone(r[0]), Name: strings.Clone(r[1]), Also: list(strings.Clone(r[2])), Form: r[3],
		Allergens: list(strings.Clone(r[10])), Gluten: r[11], SugarRole: r[12], NoCredit: strings.Clone(r[13])}
	if !validID(f.ID) || f.Name == "" {
		l.fail(where, "an id of lower-case words joined by hyphens, and a name, are required; the id is %q", f.ID)
	}
	if l.c.byID[f.ID] != nil {
		l.fail(where, "food %q stands twice", f.ID)
	}
	if !slices.Contains(forms, f.Form) {
		l.fail(where, "form %q is not known", f.Form)
	}
	f.describe(l.failer(where), list(r[4]), r[5], list(r[6]), r[7], r[8], r[9])
	for _, a := range f.Allergens {
		i := slices.Index(allergens, a)
		if i < 0 {
			l.fail(where, "allergen %q is not known", a)
			continue
		}
		f.Contains |= 1 << i
	}
	if !slices.Contains([]string{"contains", "none-listed", "ask"}, f.Gluten) {
		l.fail(where, "gluten %q is not known", f.Gluten)
	}
	if len(f.Components) == 0 && f.NoCredit == "" {
		l.fail(where, "a food of no component must say why it does not credit")
	}
	if f.NoCredit != "" && noCreditWords[f.NoCredit] == "" {
		l.fail(where, "no_credit %q is not known", f.NoCredit)
	}
	l.c.byID[f.ID] = f
	l.c.foods = append(l.c.foods, f)
}

// validID avoids the regexp for plain ids; it is the same language.
func validID(s string) bool { return len(s) <= 80 && idPattern.MatchString(s) }

// describe reads the words that say how a food credits.
func (f *Food) describe(fail failer, components []string, subgroup string, traits []string, kind, use, group string) {
	for _, s := range components {
		c, ok := ParseComponent(s)
		if !ok {
			fail("components", s, "component %.80q is not known", s)
		}
		f.Components = append(f.Components, c)
	}
	if subgroup != "" {
		var ok bool
		if f.Subgroup, ok = ParseSubgroup(subgroup); !ok {
			fail("subgroup", subgroup, "subgroup %.80q is not known", subgroup)
		}
	}
	for _, s := range traits {
		t, ok := ParseTrait(s)
		if !ok {
			fail("traits", s, "trait %.80q is not known", s)
		}
		f.Traits |= t
	}
	if kind != "" {
		var ok bool
		if f.GrainKind, ok = ParseGrainKind(kind); !ok {
			fail("grainKind", kind, "grain kind %.80q is not known", kind)
		}
	}
	if use != "" {
		var ok bool
		if f.GrainUse, ok = ParseGrainUse(use); !ok {
			fail("grainUse", use, "grain use %.80q is not known", use)
		}
	}
	if group != "" {
		if len(group) != 1 || group[0] < 'A' || group[0] > 'I' {
			fail("exhibitAGroup", group, "Exhibit A group %.80q, want A to I", group)
		} else {
			f.ExhibitAGroup = group[0]
		}
	}
	// What is wrong already is not missing as well.
	if f.CanCredit(Vegetables) && f.Subgroup == NoSubgroup && subgroup == "" {
		fail("subgroup", "", "a vegetable needs its subgroup")
	}
	if f.CanCredit(Grains) && !f.Traits.Has(NeedsPapers) {
		if f.GrainKind == NotAGrain && kind == "" {
			fail("grainKind", "", "a grain needs its kind and its use")
		}
		if f.GrainUse == NoUse && use == "" {
			fail("grainUse", "", "a grain needs its kind and its use")
		}
		if f.GrainUse == Prepared && f.ExhibitAGroup == 0 && group == "" {
			fail("exhibitAGroup", "", "a bought grain product needs its Exhibit A group")
		}
	}
}

func (l *loader) figure(where string, r []string) {
	f := l.c.byID[r[1]]
	if f == nil {
		l.fail(where, "food %.80q is not in foods.csv", r[1])
		return
	}
	if l.figures == nil {
		l.figures = make(map[string]bool, 4096)
	}
	switch {
	case r[0] == "":
		l.fail(where, "a figure needs an id, for records to name it by")
	case l.figures[r[0]]:
		l.fail(where, "figure %.80q stands twice", r[0])
	}
	g := &Figure{ID: strings.Clone(r[0]), Food: f, Confidence: r[11], Note: strings.Clone(r[13])}
	l.figures[g.ID] = true
	g.describe(l.failer(where), strings.Clone(r[2]), r[3], r[4], r[5], strings.Clone(r[6]), r[7], r[8])
	doc := l.c.documents[r[12]]
	if doc == nil {
		l.fail(where, "source %.80q is not in sources.csv", r[12])
	}
	mark, ok := source.ParseMark(r[10])
	if !ok {
		l.fail(where, "mark %.80q is not known", r[10])
	}
	g.Source = source.Ref{Document: doc, Mark: mark, Tier: l.tier(where, r[9])}
	if len(l.errs) == 0 {
		g.seal() // of a figure with a fault not every part is there
	}
	f.Figures, f.kinds = append(f.Figures, g), f.kinds|1<<g.Kind
}

// describe reads what a figure says. It is shared by the tables and by the
// figures callers bring.
func (g *Figure) describe(fail failer, state, component, kind, unit, value, size, basis string) {
	g.State, g.Text, g.SizeText = state, value, strings.Clone(size)
	if state != "" && !validID(state) {
		fail("state", state, "state %.80q, want lower-case words joined by hyphens", state)
	}
	var ok bool
	if g.Kind, ok = ParseKind(kind); !ok {
		fail("kind", kind, "kind %.80q, want servings, usable, cooked-share, cup, net, each, grain-share or protein", kind)
		return
	}
	var err error
	if g.Value, err = exact.Parse(value); err != nil || g.Value.IsZero() {
		fail("value", value, "value %.80q, want a plain number above 0 such as 21.0 or 1/4", value)
		return
	}
	g.Rate = g.Value
	switch basis {
	case "", "as-purchased":
		g.Basis = AsPurchased
	case "usable":
		g.Basis = ReadyToUse
	case "drained":
		g.Basis = Drained
	default:
		fail("basis", basis, "basis %.80q, want as-purchased, usable or drained", basis)
	}
	if unit != "" {
		if g.Unit, ok = measure.UnitByID(unit); !ok {
			fail("unit", unit, "unit %.80q is not known", unit)
			return
		}
	}
	one := exact.Int(1)
	switch g.Kind {
	case Servings:
		if g.Component, ok = ParseComponent(component); !ok {
			fail("component", component, "component %.80q, want grains, meats, fruits, vegetables or milk", component)
			return
		}
		if g.Unit == nil {
			fail("unit", "", "servings are per a unit; none is given")
			return
		}
		g.size(fail, size)
	case Usable, CookedShare, GrainShare:
		if one.Less(g.Value) {
			fail("value", value, "a share of %s is above 1", value)
		}
	case Protein:
		g.Unit = nil
		if exact.Int(100).Less(g.Value) || g.Value.Less(exact.Int(18)) {
			fail("value", value, "%s percent protein: an alternate protein product has 18 to 100", value)
		}
	case CupWeight:
		if g.Unit != nil && g.Unit != measure.Cup {
			fail("unit", unit, "a cup weight is grams per cup; the unit is %.80q", unit)
		}
		g.Unit = measure.Cup
	case NetWeight:
		if g.Unit == nil || g.Unit.Dimension != measure.Container {
			fail("unit", unit, "a net weight is per container; the unit is %.80q", unit)
		}
	case PieceWeight:
		if g.Unit != nil && g.Unit != measure.Each {
			fail("unit", unit, "the weight of a piece is grams each; the unit is %.80q", unit)
		}
		g.Unit = measure.Each
	}
}

// seal fills in the form records carry; it is the last thing done to a figure.
func (g *Figure) seal() {
	name := g.Food.Name
	if g.State != "" {
		name += ", " + strings.ReplaceAll(g.State, "-", " ")
	}
	g.Record = source.Figure{ID: g.ID, Name: name, Text: g.Text, Unit: g.counts(), Size: g.SizeText, Used: g.Rate, Source: g.Source}
}

// size reads the serving of a Servings figure.
func (g *Figure) size(fail failer, size string) {
	want := " " + g.Component.Unit()
	number, ok := strings.CutSuffix(size, want)
	if !ok && want == " cup" {
		number, ok = strings.CutSuffix(size, " cups")
	}
	n, err := exact.Parse(number)
	if !ok || err != nil || n.IsZero() {
		fail("size", size, "serving size %.80q, want an amount in%s", size, want)
		return
	}
	g.Size = n
	g.Rate = g.Value.Mul(n)
}
