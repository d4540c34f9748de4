package recipe

import (
	"strconv"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/measure"
)

// Recipe is one standardized batch.
type Recipe struct {
	Name          string
	Servings      int       // servings made by the batch
	Portions      []Portion // at most one for now
	ExhibitAGroup string    // group of the finished product, "A" to "I", or empty
	GrainsMethod  string    // CreditableGrains, ExhibitA or empty
	Ingredients   []Ingredient
}

// Methods of the grains credit.
const (
	CreditableGrains = "creditable-grains"
	ExhibitA         = "exhibit-a"
)

// Portion is what one child is served.
type Portion struct {
	Name    string
	Weight  measure.Quantity // as served, after baking; zero when not given
	Measure measure.Quantity // volume as served; zero when not given
	Scoop   int              // disher number; 0 when none
}

// Ingredient is one line of the batch.
type Ingredient struct {
	Food          string // id
	Name          string // as the card calls it
	Quantity      measure.Quantity
	Basis         string // as-purchased, usable, as-served, or empty for the usual one
	State         string // as served, or empty
	CreditAs      string // component, or empty for the food's first
	ExhibitAGroup string // or empty for the recipe's
	NotCrediting  bool   // the planner leaves it out of every credit
}

// Bounds of a recipe.
const (
	MaxServings    = 1_000_000
	MaxIngredients = 500
	MaxName        = 200
	MaxState       = 80
)

// Check reports everything wrong with the recipe's own shape, with paths under
// the given one. It adds to faults and looks up neither foods nor rules.
func (r *Recipe) Check(path string, faults *fault.List) {
	CheckName(r.Name, path+".name", faults)
	switch {
	case r.Servings == 0:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".servings", Want: "the servings the batch makes, 1 to 1000000", Fix: "Count the portions the batch actually gives."})
	case r.Servings < 0 || r.Servings > MaxServings:
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path + ".servings", Value: strconv.Itoa(r.Servings), Want: "a whole number from 1 to 1000000", Fix: "Count the portions the batch actually gives."})
	}
	CheckGroup(r.ExhibitAGroup, path+".exhibitAGroup", faults)
	switch r.GrainsMethod {
	case "", CreditableGrains, ExhibitA:
	default:
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path + ".grainsMethod", Value: r.GrainsMethod, Want: CreditableGrains + " or " + ExhibitA, Fix: "Leave it out to take creditable-grains."})
	}
	if len(r.Portions) > 1 {
		faults.Add(fault.Fault{Reason: fault.NotYet, Path: path + ".portions", Value: strconv.Itoa(len(r.Portions)), Want: "at most one portion", Fix: "Send one request for each portion size, with the servings that size makes."})
	}
	for i := range r.Portions {
		r.Portions[i].check(fault.Index(path+".portions", i), faults)
	}
	switch n := len(r.Ingredients); {
	case n == 0:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".ingredients", Want: "at least one ingredient", Fix: "List what goes into the batch."})
	case n > MaxIngredients:
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: path + ".ingredients", Value: strconv.Itoa(n), Want: "at most " + strconv.Itoa(MaxIngredients) + " ingredients", Fix: "Put the same food on one line, or credit the parts of the dish apart."})
		return
	}
	for i := range r.Ingredients {
		in := &r.Ingredients[i]
		if in.Food != "" && in.Food[0] > ' ' && len(in.Name) <= MaxName && in.State == "" && in.ExhibitAGroup == "" && !in.Quantity.IsZero() && in.Basis == "" {
			continue // nothing to say; most lines are this plain
		}
		in.check(fault.Index(path+".ingredients", i), faults)
	}
}

func (p *Portion) check(path string, faults *fault.List) {
	if len(p.Name) > MaxName {
		faults.Add(fault.Fault{Reason: fault.TooLong, Path: path + ".name", Value: p.Name, Want: "at most 200 characters", Fix: "Shorten the name."})
	}
	if !p.Weight.IsZero() && p.Weight.Dimension() != measure.Mass {
		faults.Add(fault.Fault{Reason: fault.UnitDoesNotFit, Path: path + ".weight", Value: p.Weight.Text(), Want: "a weight, such as 2.1 oz or 60 g", Fix: "Weigh a portion as served; put a volume under measure."})
	}
	if !p.Measure.IsZero() && p.Measure.Dimension() != measure.Volume {
		faults.Add(fault.Fault{Reason: fault.UnitDoesNotFit, Path: path + ".measure", Value: p.Measure.Text(), Want: "a volume, such as 1/2 cup", Fix: "Put a weight under weight."})
	}
	if p.Scoop != 0 {
		if _, ok := measure.Scoop(p.Scoop); !ok {
			faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path + ".scoop", Value: strconv.Itoa(p.Scoop), Want: "a scoop number: 6, 8, 10, 12, 16, 20, 24, 30, 40, 50, 60, 70 or 100", Fix: "Read the number on the scoop's lever, or leave it out."})
		}
	}
}

func (in *Ingredient) check(path string, faults *fault.List) {
	if in.Food == "" {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".food", Want: "the id of a food", Fix: "Find it with `ozeq food search`."})
	}
	if len(in.Name) > MaxName {
		faults.Add(fault.Fault{Reason: fault.TooLong, Path: path + ".name", Value: in.Name, Want: "at most 200 characters", Fix: "Shorten the name."})
	}
	if len(in.State) > MaxState {
		faults.Add(fault.Fault{Reason: fault.TooLong, Path: path + ".state", Value: in.State, Want: "at most 80 characters", Fix: "Use a state that `ozeq food show` lists."})
	}
	if in.Quantity.IsZero() {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".quantity", Want: "how much the batch takes, such as 3 lb 2 oz", Fix: "Write the amount with its unit."})
	}
	switch in.Basis {
	case "", "as-purchased", "usable", "as-served":
	default:
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path + ".basis", Value: in.Basis, Want: "as-purchased, usable or as-served", Fix: "As-purchased is as it is bought, usable is trimmed or drained, as-served is on the plate."})
	}
	CheckGroup(in.ExhibitAGroup, path+".exhibitAGroup", faults)
}

// CheckName refuses an empty, overlong or unprintable name.
func CheckName(name, path string, faults *fault.List) {
	switch {
	case name == "":
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path, Want: "a name", Fix: "Write what the recipe card calls it."})
	case len(name) > MaxName:
		faults.Add(fault.Fault{Reason: fault.TooLong, Path: path, Value: name, Want: "at most 200 characters", Fix: "Shorten the name."})
	}
}

// CheckGroup refuses an Exhibit A group that is not one of A to I.
func CheckGroup(g, path string, faults *fault.List) {
	if g != "" && (len(g) != 1 || g[0] < 'A' || g[0] > 'I') {
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path, Value: g, Want: "an Exhibit A group, A to I", Fix: "Look the product up in Exhibit A; muffins other than corn are group D."})
	}
}
