package recipe

import (
	"strconv"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/measure"
)

// Recipe is one standardized batch.
type Recipe struct {
	Name          string
	Servings      int       // servings made by the batch
	Portions      []Portion // the first is the one Servings counts
	ExhibitAGroup string    // group of the finished product, "A" to "I", or empty
	GrainsMethod  string    // CreditableGrains, ExhibitA or empty
	Ingredients   []Ingredient
	ID            string           // name other recipes call it by, for a sub-recipe
	BatchWeight   measure.Quantity // of the finished batch; zero when not given
	BatchMeasure  measure.Quantity // of the finished batch; zero when not given
	Smoothie      bool             // milk, juice and puree credit only in one
	Dessert       string           // Dessert3, Dessert4, Dessert5 or empty
	YieldTest     *YieldTest       // nil when none was made
}

// Kinds of grain-based dessert, after the notes of Exhibit A.
const (
	Dessert3 = "dessert-3" // at school lunch only
	Dessert4 = "dessert-4" // at school lunch, and allowed at school breakfast
	Dessert5 = "dessert-5" // sweet crackers
)

// YieldTest is what a weighed batch really gave.
type YieldTest struct {
	PortionsMade int              // they decide the credit in place of Servings
	WeightBefore measure.Quantity // of the batch before baking or cooking
	WeightAfter  measure.Quantity // of the batch ready to serve
	PanLoss      measure.Quantity // left in pans and on utensils
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
	// Servings the batch makes at this size, for a portion after the first; 0
	// when the sizes say it.
	Servings int
}

// Ingredient is one line of the batch.
type Ingredient struct {
	Food          string // id
	Name          string // as the card calls it
	Quantity      measure.Quantity
	Basis         string       // as-purchased, usable, as-served, or empty for the usual one
	State         string       // as served, or empty
	CreditAs      string       // component, or empty for the food's first
	ExhibitAGroup string       // or empty for the recipe's
	NotCrediting  bool         // the planner leaves it out of every credit
	SubRecipe     string       // id of a recipe of the request, in place of Food
	Product       string       // id of a product of the request, in place of Food
	Share         exact.Number // share of the amount that ends up in the food; 0 means all
	Hidden        bool         // a puree that cannot be recognized in the dish
}

// Bounds of a recipe.
const (
	MaxServings    = 1_000_000
	MaxIngredients = 500
	MaxName        = 200
	MaxState       = 80
	MaxPortions    = 10
)

// Check reports everything wrong with the recipe's own shape, with paths under
// the given one. It adds to faults and looks up neither foods nor rules.
func (r *Recipe) Check(path string, faults *fault.List) {
	if r.Name == "" || len(r.Name) > MaxName {
		CheckName(r.Name, path+".name", faults)
	}
	switch {
	case r.Servings == 0:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".servings", Want: "the servings the batch makes, 1 to 1000000", Fix: "Count the portions the batch actually gives."})
	case r.Servings < 0 || r.Servings > MaxServings:
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path + ".servings", Value: strconv.Itoa(r.Servings), Want: "a whole number from 1 to 1000000", Fix: "Count the portions the batch actually gives."})
	}
	if !groupOK(r.ExhibitAGroup) {
		CheckGroup(r.ExhibitAGroup, path+".exhibitAGroup", faults)
	}
	switch r.GrainsMethod {
	case "", CreditableGrains, ExhibitA:
	default:
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path + ".grainsMethod", Value: r.GrainsMethod, Want: CreditableGrains + " or " + ExhibitA, Fix: "Leave it out to take creditable-grains."})
	}
	if len(r.Portions) > MaxPortions {
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: path + ".portions", Value: strconv.Itoa(len(r.Portions)), Want: "at most 10 portions", Fix: "Send the other sizes in another request."})
	}
	for i := range r.Portions {
		r.Portions[i].check(fault.Index(path+".portions", i), faults)
		if i > 0 && len(r.Portions) <= MaxPortions {
			r.checkSize(i, path, faults)
		}
	}
	switch r.Dessert {
	case "", Dessert3, Dessert4, Dessert5:
	default:
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path + ".dessert", Value: r.Dessert, Want: "dessert-3, dessert-4 or dessert-5", Fix: "Take the note that stands at the food in Exhibit A, or leave it out when none does."})
	}
	if !r.BatchWeight.IsZero() || !r.BatchMeasure.IsZero() {
		checkKind(r.BatchWeight, measure.Mass, path+".batchWeight", "a weight, such as 14 lb 6 oz", faults)
		checkKind(r.BatchMeasure, measure.Volume, path+".batchMeasure", "a volume, such as 1 3/4 gal", faults)
	}
	if t := r.YieldTest; t != nil {
		t.check(path+".yieldTest", faults)
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
		if in.Food != "" && len(in.Name) <= MaxName && in.State == "" && in.ExhibitAGroup == "" && !in.Quantity.IsZero() && in.Basis == "" &&
			in.SubRecipe == "" && in.Product == "" && in.Share.IsZero() {
			continue // nothing to say; most lines are this plain
		}
		in.check(fault.Index(path+".ingredients", i), faults)
	}
}

func (p *Portion) check(path string, faults *fault.List) {
	if len(p.Name) > MaxName {
		faults.Add(fault.Fault{Reason: fault.TooLong, Path: path + ".name", Value: p.Name, Want: "at most 200 characters", Fix: "Shorten the name."})
	}
	checkKind(p.Weight, measure.Mass, path+".weight", "a weight, such as 2.1 oz or 60 g", faults)
	checkKind(p.Measure, measure.Volume, path+".measure", "a volume, such as 1/2 cup", faults)
	if p.Servings < 0 || p.Servings > MaxServings {
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path + ".servings", Value: strconv.Itoa(p.Servings), Want: "a whole number from 1 to 1000000", Fix: "Count the portions the batch gives at this size."})
	}
	if p.Scoop != 0 {
		if _, ok := measure.Scoop(p.Scoop); !ok {
			faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path + ".scoop", Value: strconv.Itoa(p.Scoop), Want: "a scoop number: 6, 8, 10, 12, 16, 20, 24, 30, 40, 50, 60, 70 or 100", Fix: "Read the number on the scoop's lever, or leave it out."})
		}
	}
}

// checkSize reports a further portion whose share of the batch is not said.
func (r *Recipe) checkSize(i int, path string, faults *fault.List) {
	if _, ok := r.Portions[i].Ratio(&r.Portions[0], r.Servings); !ok {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: fault.Index(path+".portions", i), Want: "the servings the batch makes at this size, or a weight or measure beside the first portion's",
			Fix: "Give servings, or weigh or measure both sizes in the same way."})
	}
}

// Ratio returns how much of a serving of the first portion this portion is: by
// the servings the batch makes at each size, else by their weights, else by
// their measures or scoops.
func (p *Portion) Ratio(first *Portion, servings int) (exact.Number, bool) {
	if p.Servings > 0 {
		return exact.Frac(int64(servings), int64(p.Servings)), true
	}
	for _, size := range []struct{ a, b measure.Quantity }{{p.Weight, first.Weight}, {p.volume(), first.volume()}} {
		if size.a.IsZero() || size.b.IsZero() {
			continue
		}
		if n, ok := size.a.In(size.b.Unit()); ok && !size.b.Amount().IsZero() {
			return n.Quo(size.b.Amount()), true
		}
	}
	return exact.Number{}, false
}

// volume is the measure of a portion, or what its scoop holds.
func (p *Portion) volume() measure.Quantity {
	if p.Measure.IsZero() && p.Scoop > 0 {
		q, _ := measure.Scoop(p.Scoop)
		return q
	}
	return p.Measure
}

func (t *YieldTest) check(path string, faults *fault.List) {
	if t.PortionsMade < 0 || t.PortionsMade > MaxServings {
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path + ".portionsMade", Value: strconv.Itoa(t.PortionsMade), Want: "a whole number from 1 to 1000000", Fix: "Count the portions the batch gave."})
	}
	for _, x := range []struct {
		name string
		q    measure.Quantity
	}{{"weightBefore", t.WeightBefore}, {"weightAfter", t.WeightAfter}, {"panLoss", t.PanLoss}} {
		checkKind(x.q, measure.Mass, path+"."+x.name, "a weight, such as 18 lb 4 oz", faults)
	}
}

// checkKind refuses an amount of the wrong kind.
func checkKind(q measure.Quantity, d measure.Dimension, path, want string, faults *fault.List) {
	if !q.IsZero() && q.Dimension() != d {
		faults.Add(fault.Fault{Reason: fault.UnitDoesNotFit, Path: path, Value: q.Text(), Want: want, Fix: "This is a " + q.Dimension().String() + "."})
	}
}

func (in *Ingredient) check(path string, faults *fault.List) {
	given := 0
	for _, s := range []string{in.Food, in.SubRecipe, in.Product} {
		if s != "" {
			given++
		}
	}
	switch {
	case given == 0:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".food", Want: "the id of a food", Fix: "Find it with `ozeq food search`."})
	case given > 1:
		faults.Add(fault.Fault{Reason: fault.Conflicting, Path: path + ".food", Value: in.Food, Want: "one of food, subRecipe and product", Fix: "Put each on an ingredient of its own."})
	}
	if exact.Int(1).Less(in.Share) {
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path + ".share", Value: in.Share.String(), Want: "a share above 0 and at most 1, such as 0.6", Fix: "Leave it out when all of it ends up in the food."})
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
	if !groupOK(g) {
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path, Value: g, Want: "an Exhibit A group, A to I", Fix: "Look the product up in Exhibit A; muffins other than corn are group D."})
	}
}

func groupOK(g string) bool { return g == "" || len(g) == 1 && g[0] >= 'A' && g[0] <= 'I' }
