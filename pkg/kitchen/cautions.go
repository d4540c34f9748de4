package kitchen

import (
	"slices"
	"strings"
	"sync"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

var half = exact.Frac(1, 2)

// Cautions are what a recipe's foods call for care with, by the catalog's
// entries: allergens, gluten, what children may choke on, what infants must not
// have. They support, and never replace, label checks, local codes and licensed
// practice. What is not in them is not known to be absent.
type Cautions struct {
	Name      string
	Allergens []Allergen // those listed, in the order records list them
	// NotKnown are foods and products whose allergens the catalog does not know in
	// full: their labels decide. What is listed for them stands in Allergens too.
	NotKnown []CautionLine
	Gluten   Gluten
	Choking  []CautionLine // where the children may be under 4
	Honey    []CautionLine // where there may be infants: never before 12 months
	Juice    []CautionLine // where there may be infants: juice is no food of theirs
}

// Allergen is a major allergen with what brings it.
type Allergen struct {
	ID    string // milk, eggs, ...
	Lines []CautionLine
}

// Gluten says what the catalog lists. Nothing here ever says gluten-free.
type Gluten struct {
	Listed bool          // some food contains gluten
	Lines  []CautionLine // those that do
	Ask    []CautionLine // the label decides
	Oats   []CautionLine // of those, oats: gluten-free only when labeled so
}

// CautionLine is a line of a recipe, or an item of a menu.
type CautionLine struct {
	Path   string // in the request
	Name   string
	PartOf string     // the sub-recipe or product it came with
	Item   string     // the menu's item
	On     rules.Date // the first day it is offered on; zero outside a menu
	Line   string     // the serving line
}

// Cautions collects what a request's recipe or product calls for care with. An
// error is a [*fault.List].
func (k *Kitchen) Cautions(req credit.Request) (*Cautions, error) {
	var faults fault.List
	rec, err := k.engine.Credit(req)
	if err != nil && !faults.Append(err) {
		return nil, err
	}
	k.checkGroup(&req, &faults)
	if len(faults.Faults) > 0 {
		return nil, faults.Err()
	}
	c := CautionsOf(rec)
	c.forGroup(req.AgeGroup, rec)
	return c, nil
}

// shipped are the patterns that come with the library, which name the groups.
var shipped = sync.OnceValues(patterns.Default)

// checkGroup refuses an age group that the program does not have: taken as nobody
// in particular, it would leave out what infants and children under 4 must not have.
func (k *Kitchen) checkGroup(req *credit.Request, faults *fault.List) {
	ps, err := shipped()
	if req.AgeGroup == "" || err != nil || slices.ContainsFunc(faults.Faults, func(f fault.Fault) bool { return f.Path == "ageGroup" }) {
		return
	}
	var ids []string
	for _, g := range ps.Groups(req.Program) {
		ids = append(ids, g.ID)
	}
	// Milk as a drink names groups of its own where all ages have one pattern.
	if rs, err := k.engine.Rules().Resolve(req.On, req.Program, req.Options); err == nil {
		for _, id := range rs.AgeGroups() {
			if !slices.Contains(ids, id) {
				ids = append(ids, id)
			}
		}
	}
	if len(ids) > 0 && !slices.Contains(ids, req.AgeGroup) { // with none, the program has been refused
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: "ageGroup", Value: req.AgeGroup, Want: "an age/grade group of " + req.Program + ": " + strings.Join(ids, ", "), Fix: "Take one of these, or leave it out to be told what matters at any age."})
	}
}

// CautionsOf collects what the foods of a record call for care with. Choking and
// infants are those the record itself found.
func CautionsOf(rec *credit.Record) *Cautions {
	c := &Cautions{Name: rec.Name}
	if len(rec.Ingredients) == 0 { // a product by itself
		l := CautionLine{Path: "product", Name: rec.Name}
		c.NotKnown, c.Gluten.Ask = []CautionLine{l}, []CautionLine{l}
		return c
	}
	for i := range rec.Ingredients {
		l := &rec.Ingredients[i]
		line := cautionLine(l)
		names := l.Food.Contains.Names()
		for _, name := range names {
			c.allergen(name, line)
		}
		if !labelSays(l.Food) {
			c.NotKnown = addLine(c.NotKnown, line)
		}
		switch l.Food.Gluten {
		case "contains":
			c.Gluten.Listed = true
			c.Gluten.Lines = addLine(c.Gluten.Lines, line)
		case "ask":
			c.Gluten.Ask = addLine(c.Gluten.Ask, line)
			if oats(l.Food) {
				c.Gluten.Oats = addLine(c.Gluten.Oats, line)
			}
		}
	}
	for i := range rec.Findings {
		f := &rec.Findings[i]
		if f.Ingredient < 0 || f.Ingredient >= len(rec.Ingredients) {
			continue
		}
		line := cautionLine(&rec.Ingredients[f.Ingredient])
		switch f.Reason {
		case credit.ChokingHazard:
			c.Choking = addLine(c.Choking, line)
		case credit.HoneyInfants:
			c.Honey = addLine(c.Honey, line)
		}
	}
	c.sort()
	return c
}

// Listed returns the ids of the allergens.
func (c *Cautions) Listed() []string {
	var ids []string
	for i := range c.Allergens {
		ids = append(ids, c.Allergens[i].ID)
	}
	return ids
}

func cautionLine(l *credit.Line) CautionLine {
	name := l.Name
	if name == "" {
		name = l.Food.Name
	}
	return CautionLine{Path: l.Path(), Name: name, PartOf: l.PartOf()}
}

// labelSays reports whether the catalog's entry is all there is to a food's
// allergens: a single food, not a mixture that each maker makes otherwise, and not
// what a caller brought.
func labelSays(f *food.Food) bool {
	return f.ID != "" && f.Gluten != "ask" && !f.Traits.Has(food.NeedsPapers) && !f.Traits.Has(food.ProcessedMeat) && !(f.Caller && f.Described) &&
		f.GrainUse != food.Prepared && f.GrainUse != food.Cereal && f.NoCredit != "condiment"
}

// oats reports whether a food is oats or made of them.
func oats(f *food.Food) bool {
	return f.ID == "oats" || strings.HasPrefix(f.ID, "oat-") || strings.HasPrefix(f.ID, "oats-")
}

func (c *Cautions) allergen(id string, l CautionLine) {
	i := slices.IndexFunc(c.Allergens, func(a Allergen) bool { return a.ID == id })
	if i < 0 {
		i = len(c.Allergens)
		c.Allergens = append(c.Allergens, Allergen{ID: id})
	}
	c.Allergens[i].Lines = addLine(c.Allergens[i].Lines, l)
}

// addLine adds a line once.
func addLine(lines []CautionLine, l CautionLine) []CautionLine {
	if slices.Contains(lines, l) {
		return lines
	}
	return append(lines, l)
}

// sort puts the allergens in the order records list them.
func (c *Cautions) sort() {
	order := food.AllergenSet(1<<9 - 1).Names()
	slices.SortStableFunc(c.Allergens, func(a, b Allergen) int { return slices.Index(order, a.ID) - slices.Index(order, b.ID) })
}

// noneUnderFour reports whether a group of the patterns has nobody under 4.
func noneUnderFour(group string) bool {
	switch group {
	case "k-5", "6-8", "9-12", "k-8", "6-12", "k-12", "ages-6-12", "ages-13-18", "adults":
		return true
	}
	return false
}

func infantGroup(group string) bool { return strings.HasPrefix(group, "months-") }

// forGroup leaves out what does not matter in an age group, and adds what matters
// among infants.
func (c *Cautions) forGroup(group string, rec *credit.Record) {
	if noneUnderFour(group) {
		c.Choking = nil
	}
	if noneUnderFour(group) || group == "ages-1-2" || group == "ages-3-5" {
		c.Honey = nil
	}
	if !infantGroup(group) {
		return
	}
	for i := range rec.Ingredients {
		if l := &rec.Ingredients[i]; l.Food.Traits.Has(food.Juice) {
			c.Juice = addLine(c.Juice, cautionLine(l))
		}
	}
}

// MenuCautions are the cautions of a menu, all its items together.
type MenuCautions struct {
	Cautions
	// Unread are items of which no foods are given, so that nothing about them is
	// known here.
	Unread []CautionLine
}

// MenuCautions collects what the items of a menu call for care with, each item
// named with the first day it is offered on. An error is a [*fault.List].
func (k *Kitchen) MenuCautions(m *menu.Menu) (*MenuCautions, error) {
	if m == nil {
		l := &fault.List{}
		l.Add(fault.Fault{Reason: fault.Missing, Path: "menu", Want: "a menu", Fix: "Give the menu."})
		return nil, l
	}
	var faults fault.List
	k.checkGroup(&credit.Request{Program: m.Program, AgeGroup: m.AgeGroup}, &faults)
	out := &MenuCautions{}
	out.Name = strings.Join(slices.DeleteFunc([]string{m.Program, m.Meal, m.AgeGroup, m.Site}, func(s string) bool { return s == "" }), ", ")
	seen := map[CautionLine]bool{}
	for i := range m.Lines {
		for j := range m.Lines[i].Days {
			d := &m.Lines[i].Days[j]
			for n := range d.Choices {
				for x := range d.Choices[n].Items {
					it := &d.Choices[n].Items[x]
					path := fault.Index(fault.Index(fault.Index(fault.Index("lines", i)+".days", j)+".choices", n)+".items", x)
					k.item(m, &m.Lines[i], d, it, path, out, seen, &faults)
				}
			}
		}
	}
	if len(faults.Faults) > 0 {
		return nil, faults.Err()
	}
	out.sort()
	return out, nil
}

// item takes the cautions of one item into those of the menu. The same line of
// the same item on a later day is not said again.
func (k *Kitchen) item(m *menu.Menu, l *menu.Line, d *menu.Day, it *menu.Item, path string, out *MenuCautions, seen map[CautionLine]bool, faults *fault.List) {
	place := func(line CautionLine) CautionLine {
		line.Item, line.On, line.Line = it.Name, d.On, l.Name
		line.Path = fault.Field(path, line.Path)
		return line
	}
	said := func(what string, line CautionLine) bool {
		key := CautionLine{Path: what, Name: line.Name, PartOf: line.PartOf, Item: it.Name}
		was := seen[key]
		seen[key] = true
		return was
	}
	add := func(what string, to *[]CautionLine, lines []CautionLine) {
		for _, line := range lines {
			if !said(what, line) {
				*to = append(*to, place(line))
			}
		}
	}
	if it.Juice && infantGroup(m.AgeGroup) {
		add("juice", &out.Juice, []CautionLine{{Name: it.Name}})
	}
	if it.Milk != nil && !said("milk", CautionLine{Name: it.Name}) {
		out.allergen("milk", place(CautionLine{Name: it.Name}))
	}
	if it.Recipe == nil && it.Product == nil {
		add("unread", &out.Unread, []CautionLine{{Name: it.Name}})
		return
	}
	req := credit.Request{Recipe: it.Recipe, Product: it.Product, On: d.On, Program: m.Program, Options: m.Crediting, SubRecipes: m.SubRecipes, Products: m.Products, AgeGroup: m.AgeGroup}
	rec, err := k.engine.Credit(req)
	if err != nil {
		if f, ok := err.(*fault.List); ok {
			for _, x := range f.Faults {
				if strings.HasPrefix(x.Path, "recipe") || strings.HasPrefix(x.Path, "product.") || x.Path == "product" {
					x.Path = fault.Field(path, x.Path)
				}
				if !slices.Contains(faults.Faults, x) {
					faults.Add(x)
				}
			}
		}
		return
	}
	c := CautionsOf(rec)
	c.forGroup(m.AgeGroup, rec)
	for _, a := range c.Allergens {
		for _, line := range a.Lines {
			if !said(a.ID, line) {
				out.allergen(a.ID, place(line))
			}
		}
	}
	add("not known", &out.NotKnown, c.NotKnown)
	out.Gluten.Listed = out.Gluten.Listed || c.Gluten.Listed
	add("gluten", &out.Gluten.Lines, c.Gluten.Lines)
	add("ask", &out.Gluten.Ask, c.Gluten.Ask)
	add("oats", &out.Gluten.Oats, c.Gluten.Oats)
	add("choking", &out.Choking, c.Choking)
	add("honey", &out.Honey, c.Honey)
	add("juice", &out.Juice, c.Juice)
}
