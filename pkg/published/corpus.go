// Package published runs worked cases that others have printed through the
// engine, and says where we agree. It is test support: only its own tests use
// it.
//
// The cases are files of figures under testdata/published/cases. They are read
// into requests by one map of names (names.csv), one table of rule dates
// (eras.csv) and one set of reading rules ([Reader]), the same for all cases.
// What comes out is compared with outcomes.csv; every difference is explained
// in differences.md.
package published

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules"
)

// Case is one worked case as its publisher prints it.
type Case struct {
	ID    string `json:"id"`
	Kind  string `json:"kind"`
	Title string `json:"title"` // in our words
	// Source is where the figures were read.
	Source struct {
		Title     string `json:"title"`
		Publisher string `json:"publisher"`
		Edition   string `json:"edition"`
		Section   string `json:"section"`
		URL       string `json:"url"`
	} `json:"source"`
	CheckStrength string `json:"checkStrength"`
	Rule          string `json:"rule"` // key of eras.csv
	Servings      int    `json:"servings"`
	Portion       struct {
		Size     string `json:"size"`
		Piece    string `json:"piece"`
		Utensil  string `json:"utensil"`
		Cut      string `json:"cut"`
		Pan      string `json:"pan"`
		Assembly string `json:"assembly"`
	} `json:"portion"`
	Ingredients []Ingredient `json:"ingredients"`
	Expected    []Expected   `json:"expected"`
}

// Ingredient is one line of a card.
type Ingredient struct {
	Name     string `json:"name"`
	Form     string `json:"form"`
	Quantity string `json:"quantity"` // the weight, when a card prints a weight and a measure
	Measure  string `json:"measure"`
	Notes    string `json:"notes"`
}

// Expected is one figure the publisher prints.
type Expected struct {
	Figure  string `json:"figure"`  // "grains", "vegetables/red-orange", "grains exact" and so on
	Legumes string `json:"legumes"` // "vegetables" when the card counts its beans as a vegetable instead of a meat alternate
	// Of says that the figure is of one ingredient alone, in an amount of its
	// own when the publisher lists several.
	Of *struct {
		Ingredient int    `json:"ingredient"`
		Quantity   string `json:"quantity"`
		Called     string `json:"called"`
	} `json:"of"`
	Published string `json:"published"`
}

// Key names the figure within its case.
func (e *Expected) Key() string {
	k := e.Figure
	if e.Of != nil {
		switch {
		case e.Of.Quantity != "":
			k += " of " + e.Of.Quantity
		default:
			k += " of " + e.Of.Called
		}
	}
	if e.Legumes != "" {
		k += ", legumes as " + e.Legumes
	}
	return k
}

// Era is the day and program a case is run on.
type Era struct {
	Rule    string
	Program string
	On      rules.Date
}

// Name is what a name on a card means, for every card.
type Name struct {
	Food  string
	State string // fixed by the name itself; usually empty, the reading rules give it
	Basis string // the same
}

// Corpus is the cases and what they are read with.
type Corpus struct {
	Cases []*Case
	eras  map[string]Era
	names map[[2]string]Name
}

// Kinds are the kinds of case that are run.
var Kinds = []string{"recipe", "exhibit_a", "creditable_grains", "rounding", "measure", "substitution", "wgr_decision", "product_statement", "mma_formula"}

// Load reads testdata/published. It reports everything wrong at once.
func Load(fsys fs.FS) (*Corpus, error) {
	c := &Corpus{eras: make(map[string]Era), names: make(map[[2]string]Name)}
	var errs []error
	bad := func(where, format string, args ...any) {
		errs = append(errs, fmt.Errorf("%s: %s", where, fmt.Sprintf(format, args...)))
	}
	table(fsys, "eras.csv", []string{"rule", "program", "date", "note"}, bad, func(where string, r []string) {
		on, err := rules.ParseDate(r[2])
		if err != nil {
			bad(where, "%v", err)
		}
		if _, ok := c.eras[r[0]]; ok {
			bad(where, "rule %q stands twice", r[0])
		}
		c.eras[r[0]] = Era{r[0], r[1], on}
	})
	table(fsys, "names.csv", []string{"name", "form", "food", "state", "basis", "notes"}, bad, func(where string, r []string) {
		key := [2]string{normal(r[0]), normal(r[1])}
		if _, ok := c.names[key]; ok {
			bad(where, "name %q in form %q stands twice", r[0], r[1])
		}
		c.names[key] = Name{Food: r[2], State: r[3], Basis: r[4]}
	})
	files, err := fs.Glob(fsys, "cases/*.json")
	if err != nil {
		return nil, err
	}
	for _, name := range files {
		text, err := fs.ReadFile(fsys, name)
		if err != nil {
			bad(name, "%v", err)
			continue
		}
		d := json.NewDecoder(bytes.NewReader(text))
		d.DisallowUnknownFields()
		x := new(Case)
		if err := d.Decode(x); err != nil {
			bad(name, "%v", err)
			continue
		}
		c.check(x, strings.TrimSuffix(path.Base(name), ".json"), func(format string, args ...any) { bad(name, format, args...) })
		c.Cases = append(c.Cases, x)
	}
	return c, errors.Join(errs...)
}

func (c *Corpus) check(x *Case, file string, bad func(string, ...any)) {
	if x.ID != file {
		bad("id %q is not the file's name", x.ID)
	}
	if !slices.Contains(Kinds, x.Kind) {
		bad("kind %q is not run", x.Kind)
	}
	if !slices.Contains(strengths, x.CheckStrength) {
		bad("check strength %q is not known", x.CheckStrength)
	}
	if _, ok := c.eras[x.Rule]; !ok {
		bad("rule %q is not in eras.csv", x.Rule)
	}
	if x.Title == "" || x.Source.Title == "" || x.Source.Publisher == "" || x.Source.URL == "" {
		bad("a title, and the source's title, publisher and address are required")
	}
	if x.Servings < 1 || len(x.Expected) == 0 {
		bad("servings and at least one expected figure are required")
	}
	seen := make(map[string]bool)
	for i := range x.Expected {
		e := &x.Expected[i]
		if seen[e.Key()] {
			bad("figure %q stands twice", e.Key())
		}
		seen[e.Key()] = true
		if e.Of != nil && e.Of.Ingredient >= len(x.Ingredients) {
			bad("figure %q is of ingredient %d, which is not there", e.Key(), e.Of.Ingredient)
		}
		if e.Published == "" {
			bad("figure %q has no value", e.Key())
		}
		if _, err := exact.Parse(e.Published); err != nil && numeric(e) {
			bad("figure %q: %v", e.Key(), err)
		}
	}
}

func table(fsys fs.FS, name string, columns []string, bad func(string, string, ...any), row func(where string, r []string)) {
	text, err := fs.ReadFile(fsys, name)
	if err != nil {
		bad(name, "%v", err)
		return
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		bad(name, "%v", err)
		return
	}
	if len(rows) == 0 || !slices.Equal(rows[0], columns) {
		bad(name, "the header row must be %s", strings.Join(columns, ","))
		return
	}
	for i, r := range rows[1:] {
		row(fmt.Sprintf("%s line %d", name, i+2), r)
	}
}

// normal lowers a text and leaves single spaces.
func normal(s string) string { return strings.Join(strings.Fields(strings.ToLower(s)), " ") }
