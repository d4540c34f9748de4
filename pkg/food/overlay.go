package food

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/source"
)

// Bounds of what a request may bring.
const (
	MaxOverlayFoods   = 200
	MaxOverlayFigures = 50
	maxOverlayText    = 200
)

// Own is a food, or an addition to one, that a caller brings.
type Own struct {
	ID            string
	Name          string
	Components    []string
	Subgroup      string
	Traits        []string
	GrainKind     string
	GrainUse      string
	ExhibitAGroup string
	Figures       []OwnFigure
}

// OwnFigure is a figure a caller brings, with its paper. With page and edition
// it counts as documented, without them as an estimate.
type OwnFigure struct {
	State, Component, Kind, Unit, Value, Size, Basis string
	Document, Page, Edition                          string
}

// With returns a catalog with the caller's foods over it; the receiver is left
// as it was. A food whose id is known is added to: a figure for the same state,
// kind, component and unit takes the place of the catalog's. Faults carry paths
// under foods and come back as a [*fault.List].
func (c *Catalog) With(own []Own) (*Catalog, error) {
	if len(own) == 0 {
		return c, nil
	}
	var faults fault.List
	if len(own) > MaxOverlayFoods {
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: "foods", Value: fmt.Sprint(len(own)), Want: fmt.Sprintf("at most %d foods", MaxOverlayFoods), Fix: "Send only the foods this recipe uses."})
		return nil, faults.Err()
	}
	over := &Catalog{byID: make(map[string]*Food, len(c.byID)+len(own)), documents: c.documents, index: &index{}}
	under := overlaid{over.byID, c.byID}
	for i := range own {
		path := fault.Index("foods", i)
		if f := under.build(&own[i], path, &faults); f != nil {
			over.byID[f.ID] = f
		}
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	for id, f := range c.byID {
		if over.byID[id] == nil {
			over.byID[id] = f
		}
	}
	over.foods = make([]*Food, 0, len(over.byID))
	for _, f := range over.byID {
		over.foods = append(over.foods, f)
	}
	slices.SortFunc(over.foods, func(a, b *Food) int { return strings.Compare(a.ID, b.ID) })
	b := []byte(c.digest)
	for i := range own {
		b = own[i].AppendCanonical(b)
	}
	over.digest = digestOf(sha256.Sum256(b))
	return over, nil
}

type overlaid struct{ over, under map[string]*Food }

func (o overlaid) build(w *Own, path string, faults *fault.List) *Food {
	before := len(faults.Faults) + faults.Omitted
	bad := func(field, value, format string, args ...any) {
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: fault.Field(path, field), Value: value, Want: fmt.Sprintf(format, args...), Fix: "See the food's entry in the contract for the words allowed."})
	}
	if !validID(w.ID) {
		faults.Add(fault.Fault{Reason: fault.BadText, Path: path + ".id", Value: w.ID, Want: "lower-case words joined by hyphens, at most 80 characters", Fix: "Write for example my-flour-blend."})
		return nil
	}
	if o.over[w.ID] != nil {
		faults.Add(fault.Fault{Reason: fault.Conflicting, Path: path + ".id", Value: w.ID, Want: "each food once", Fix: "Put all its figures into one entry."})
		return nil
	}
	f := &Food{ID: w.ID, Name: w.Name, Form: "shelf", Gluten: "ask", Caller: true, Described: true}
	if len(w.Name) > maxOverlayText {
		faults.Add(fault.Fault{Reason: fault.TooLong, Path: path + ".name", Value: w.Name, Want: fmt.Sprintf("at most %d characters", maxOverlayText), Fix: "Shorten the name."})
	}
	if known := o.under[w.ID]; known != nil {
		clone := *known
		f = &clone
		f.Caller = true
		f.Described = len(w.Components)+len(w.Traits) > 0 || w.Subgroup+w.GrainKind+w.GrainUse+w.ExhibitAGroup != ""
		f.Figures = slices.Clone(known.Figures)
		if w.Name != "" {
			f.Name = w.Name
		}
		// Words the caller gives replace the catalog's; words left out stay.
		kind, use := w.GrainKind, w.GrainUse
		components := w.Components
		if len(components) > 0 {
			f.Components = nil
		} else if kind+use+w.Subgroup+w.ExhibitAGroup != "" || len(w.Traits) > 0 {
			for _, c := range f.Components {
				components = append(components, c.String())
			}
			f.Components = nil
		}
		f.describe(bad, components, w.Subgroup, w.Traits, kind, use, w.ExhibitAGroup)
	} else {
		if w.Name == "" {
			faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".name", Want: "a name for a food the catalog does not have", Fix: "Write what the cook calls it, or use an id of the catalog."})
		}
		if len(w.Components) == 0 {
			f.NoCredit = "not-a-component"
		}
		f.describe(bad, w.Components, w.Subgroup, w.Traits, w.GrainKind, w.GrainUse, w.ExhibitAGroup)
	}
	if len(w.Figures) > MaxOverlayFigures {
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: path + ".figures", Value: fmt.Sprint(len(w.Figures)), Want: fmt.Sprintf("at most %d figures", MaxOverlayFigures), Fix: "Send only the figures this recipe uses."})
		return nil
	}
	var added []*Figure
	for i := range w.Figures {
		at := fault.Index(path+".figures", i)
		g := o.figure(f, &w.Figures[i], at, faults)
		if g == nil {
			continue
		}
		if slices.ContainsFunc(added, g.replaces) {
			faults.Add(fault.Fault{Reason: fault.Conflicting, Path: at, Value: g.Text, Want: "one figure for a state, kind, component, unit and basis", Fix: "Keep the one for the smallest serving; the others are cut from the same measurement."})
			continue
		}
		added = append(added, g)
		f.Figures, f.kinds = append(slices.DeleteFunc(f.Figures, g.replaces), g), f.kinds|1<<g.Kind
	}
	if len(faults.Faults)+faults.Omitted > before {
		return nil
	}
	return f
}

// figure reads one figure, or reports what is wrong with it and returns nil.
func (o overlaid) figure(f *Food, w *OwnFigure, path string, faults *fault.List) *Figure {
	g := &Figure{ID: f.ownID(), Food: f}
	ok := true
	g.describe(func(field, value, format string, args ...any) {
		ok = false
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: fault.Field(path, field), Value: value, Want: fmt.Sprintf(format, args...), Fix: "Copy the figure as the paper prints it."})
	}, w.State, w.Component, w.Kind, w.Unit, w.Value, w.Size, w.Basis)
	for _, cited := range []struct{ name, text string }{{"document", w.Document}, {"page", w.Page}, {"edition", w.Edition}} {
		if len(cited.text) > maxOverlayText {
			ok = false
			faults.Add(fault.Fault{Reason: fault.TooLong, Path: path + "." + cited.name, Value: cited.text, Want: fmt.Sprintf("at most %d characters", maxOverlayText), Fix: "Cite the paper briefly."})
		}
	}
	if !ok {
		return nil
	}
	if g.Kind == Servings && !f.CanCredit(g.Component) {
		faults.Add(fault.Fault{Reason: fault.CannotCreditAs, Path: path + ".component", Value: w.Component, Want: "a component of the food", Fix: "Add it to the food's components."})
		return nil
	}
	doc := &source.Document{ID: "own", Title: w.Document, Section: w.Page, Edition: w.Edition, Mark: source.Caller, Tier: source.Handbook}
	g.Source = source.Ref{Document: doc, Mark: source.Caller, Tier: source.Handbook}
	if w.Document == "" || w.Page == "" || w.Edition == "" {
		// No paper to look it up in: it stays an estimate.
		g.Source.Mark, g.Source.Tier = source.Memory, source.OpenData
		if w.Document == "" {
			doc.Title = "the caller's word, no paper named"
		}
	}
	g.Own = true
	g.seal()
	return g
}

// ownID returns an id no figure of the food has: a food may be added to twice,
// by a folder of figures and by the request.
func (f *Food) ownID() string {
	for n := 1; ; n++ {
		id := fmt.Sprintf("own/%s/%d", f.ID, n)
		if !slices.ContainsFunc(f.Figures, func(g *Figure) bool { return g.ID == id }) {
			return id
		}
	}
}

// replaces reports whether g says the same thing as h of the same food.
func (g *Figure) replaces(h *Figure) bool {
	return h.State == g.State && h.Kind == g.Kind && h.Component == g.Component && h.Unit == g.Unit && h.Basis == g.Basis
}

// AppendCanonical appends the food in a form in which equal foods are equal
// bytes.
func (w *Own) AppendCanonical(b []byte) []byte {
	text := func(s string) {
		b = strconv.AppendInt(b, int64(len(s)), 10)
		b = append(b, ':')
		b = append(b, s...)
	}
	b = append(b, 'F')
	for _, s := range []string{w.ID, w.Name, w.Subgroup, w.GrainKind, w.GrainUse, w.ExhibitAGroup, strings.Join(w.Components, ";"), strings.Join(w.Traits, ";")} {
		text(s)
	}
	for i := range w.Figures {
		g := &w.Figures[i]
		b = append(b, 'f')
		for _, s := range []string{g.State, g.Component, g.Kind, g.Unit, g.Value, g.Size, g.Basis, g.Document, g.Page, g.Edition} {
			text(s)
		}
	}
	return b
}
