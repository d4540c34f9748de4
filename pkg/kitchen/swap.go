package kitchen

import (
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// Swap puts another food, or the same food in another state, on one line of a
// recipe or of one of its sub-recipes.
type Swap struct {
	// Path is the line: recipe.ingredients[2], subRecipes[0].ingredients[1], or
	// just 2 for a line of the recipe.
	Path string
	Food string // in its place; empty for the same food
	Name string // as the card calls it
	// How it is served, what its amount measures and what it credits as, as in
	// [recipe.Ingredient]. Component and Exhibit A group stay those of the line
	// where the new food can have them.
	State, Basis, CreditAs, ExhibitAGroup string
	Hidden                                bool // a puree that cannot be recognized in the dish; so too where the line had one
	// Amount, or what of the old amount is kept. One of the two; neither for the
	// same food in another state, whose amount stays.
	Amount measure.Quantity
	Keep   Keep
	// Component whose credit is kept, with [SameCredit]; empty where the line
	// credits toward one alone.
	Component string
}

// Keep is what of an amount stays when the food is swapped.
type Keep uint8

const (
	// SameWeight keeps the weight. A measure is weighed by the old food's cup.
	SameWeight Keep = iota + 1
	// SameVolume keeps the measure. A weight is measured by the old food's cup.
	SameVolume
	// SamePurchase keeps what is bought: as many cans, pieces or pounds.
	SamePurchase
	// SameCredit takes the least amount that credits no less than the line did.
	SameCredit
)

var keepIDs = [...]string{"", "weight", "volume", "purchase-unit", "credit"}

// String returns the id used in requests: "weight", "volume", "purchase-unit",
// "credit".
func (k Keep) String() string {
	if int(k) < len(keepIDs) {
		return keepIDs[k]
	}
	return ""
}

// ParseKeep reads what [Keep.String] writes.
func ParseKeep(s string) (Keep, bool) {
	i := slices.Index(keepIDs[:], s)
	return Keep(max(i, 0)), i > 0
}

// SwapDone is a swap with its amount worked out.
type SwapDone struct {
	Path             string            // in the request: recipe.ingredients[2]
	Before, After    recipe.Ingredient // After as the kitchen takes it
	NameBefore, Name string
	Keep             Keep
	Component        food.Component // whose credit is kept
	Measured                        // the amount; Kitchen is Exact where it was given or stays as it was
	Figures          []*food.Figure // that turned weight and measure into each other
	foodWas, foodIs  *food.Food     // nil for what is no food
	section, index   int            // section -1 is the recipe itself
	path             string         // swaps[0]
	worked           bool           // the amount was worked out
	unsettled        bool           // the amount is not, or not yet, the one asked for
}

// lines returns the ingredients of the recipe, or of a sub-recipe.
func (s *SwapDone) lines(req *credit.Request) []recipe.Ingredient {
	if s.section < 0 {
		return req.Recipe.Ingredients
	}
	return req.SubRecipes[s.section].Ingredients
}

// swapPath reads where a swapped line stands.
func swapPath(req *credit.Request, text, at string, faults *fault.List) (section, index int, ok bool) {
	bad := func(reason fault.Reason, want, fix string) (int, int, bool) {
		faults.Add(fault.Fault{Reason: reason, Path: at, Value: text, Want: want, Fix: fix})
		return 0, 0, false
	}
	const form = "the line, such as recipe.ingredients[2] or subRecipes[0].ingredients[1]"
	if text == "" {
		return bad(fault.Missing, form, "Count the lines from 0.")
	}
	section, rest := -1, text
	lines := req.Recipe.Ingredients
	if tail, found := strings.CutPrefix(text, "subRecipes["); found {
		n, after, _ := strings.Cut(tail, "]")
		k, err := strconv.Atoi(n)
		if err != nil || k < 0 || n[0] == '+' {
			return bad(fault.UnknownValue, form, "Count the sub-recipes from 0.")
		}
		if k >= len(req.SubRecipes) {
			return bad(fault.OutOfRange, "one of the "+strconv.Itoa(len(req.SubRecipes))+" sub-recipes of the request", "Count the sub-recipes from 0.")
		}
		section, rest, lines = k, strings.TrimPrefix(after, "."), req.SubRecipes[k].Ingredients
	} else {
		rest = strings.TrimPrefix(rest, "recipe.")
	}
	number := rest
	if tail, found := strings.CutPrefix(rest, "ingredients["); found {
		number, rest, found = strings.Cut(tail, "]")
		if !found || rest != "" {
			return bad(fault.UnknownValue, form, "Write the line and nothing behind it.")
		}
	} else if section >= 0 {
		return bad(fault.UnknownValue, form, "Write which line of the sub-recipe.")
	}
	index, err := strconv.Atoi(number)
	switch {
	case err != nil || number[0] == '+':
		return bad(fault.UnknownValue, form, "Count the lines from 0.")
	case index < 0 || index >= len(lines):
		return bad(fault.OutOfRange, "one of its "+strconv.Itoa(len(lines))+" lines, 0 to "+strconv.Itoa(len(lines)-1), "Count the lines from 0.")
	}
	return section, index, true
}

// linePath names a line as records do.
func linePath(section, index int) string {
	if section < 0 {
		return fault.Index("recipe.ingredients", index)
	}
	return fault.Index(fault.Index("subRecipes", section)+".ingredients", index)
}

// check reports what is wrong with a swap by itself, and reads it.
func (s *Swap) check(req *credit.Request, cat *food.Catalog, path string, faults *fault.List) (SwapDone, bool) {
	d := SwapDone{Keep: s.Keep, path: path}
	before := len(faults.Faults) + faults.Omitted
	var ok bool
	if d.section, d.index, ok = swapPath(req, s.Path, path+".path", faults); ok {
		d.Path = linePath(d.section, d.index)
		d.Before = d.lines(req)[d.index]
		d.NameBefore = nameOnCard(req, cat, &d.Before)
		d.foodWas, _ = cat.Food(d.Before.Food)
	}
	changed := s.State+s.Basis+s.CreditAs+s.ExhibitAGroup != "" || s.Hidden
	given := !s.Amount.IsZero()
	switch {
	case s.Food == "" && ok && d.Before.Food == "":
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".food", Want: "the id of the food in its place", Fix: "This line is no food of the catalog: say what stands for it."})
	case s.Food == "" && !changed && !given:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".food", Want: "the id of the food in its place, or another state, basis or amount", Fix: "Find it with `ozeq food search`."})
	}
	switch {
	case s.Keep.String() == "" && s.Keep != 0:
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path + ".keep", Value: strconv.Itoa(int(s.Keep)), Want: "weight, volume, purchase-unit or credit", Fix: "Leave it out and give the amount."})
	case given && s.Keep != 0:
		faults.Add(fault.Fault{Reason: fault.Conflicting, Path: path + ".keep", Value: s.Keep.String(), Want: "either an amount or what is kept of the old one", Fix: "Leave one of them out."})
	case !given && s.Keep == 0 && s.Food != "":
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".amount", Want: "how much of it, or what to keep: weight, volume, purchase-unit or credit", Fix: "To credit as before, keep the credit."})
	}
	if s.Component != "" {
		c, known := food.ParseComponent(s.Component)
		switch {
		case !known:
			faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path + ".component", Value: s.Component, Want: "grains, meats, fruits, vegetables or milk", Fix: "Leave it out where the line credits toward one alone."})
		case s.Keep != SameCredit:
			faults.Add(fault.Fault{Reason: fault.Conflicting, Path: path + ".component", Value: s.Component, Want: "a component only where the credit is kept", Fix: "Leave it out, or keep the credit."})
		}
		d.Component = c
	}
	if !ok {
		return d, false
	}
	d.After = s.ingredient(&d, cat)
	d.foodIs, _ = cat.Food(d.After.Food)
	d.Name = nameOnCard(req, cat, &d.After)
	return d, len(faults.Faults)+faults.Omitted == before
}

// ingredient is the line as it is after the swap, its amount not yet worked out.
func (s *Swap) ingredient(d *SwapDone, cat *food.Catalog) recipe.Ingredient {
	was := &d.Before
	in := recipe.Ingredient{Food: s.Food, Name: s.Name, State: s.State, Basis: s.Basis, CreditAs: s.CreditAs, ExhibitAGroup: s.ExhibitAGroup,
		Hidden: was.Hidden || s.Hidden, NotCrediting: was.NotCrediting, Share: was.Share, Quantity: was.Quantity}
	if !s.Amount.IsZero() {
		in.Quantity = s.Amount
	}
	or := func(x *string, y string) {
		if *x == "" {
			*x = y
		}
	}
	if s.Food == "" || s.Food == was.Food { // the same food
		in.Food = was.Food
		or(&in.Name, was.Name)
		or(&in.State, was.State)
		or(&in.Basis, was.Basis)
		or(&in.CreditAs, was.CreditAs)
		or(&in.ExhibitAGroup, was.ExhibitAGroup)
		return in
	}
	f, known := cat.Food(s.Food)
	if !known {
		return in
	}
	if c, ok := food.ParseComponent(was.CreditAs); ok && f.CanCredit(c) && f.NoCredit == "" {
		or(&in.CreditAs, was.CreditAs)
	}
	if f.CanCredit(food.Grains) {
		or(&in.ExhibitAGroup, was.ExhibitAGroup)
	}
	return in
}

// nameOnCard is what a card calls a line.
func nameOnCard(req *credit.Request, cat *food.Catalog, in *recipe.Ingredient) string {
	if in.Name != "" {
		return in.Name
	}
	if f, ok := cat.Food(in.Food); ok {
		return f.Name
	}
	for i := range req.SubRecipes {
		if in.SubRecipe != "" && req.SubRecipes[i].ID == in.SubRecipe {
			return req.SubRecipes[i].Name
		}
	}
	for i := range req.Products {
		if in.Product != "" && req.Products[i].ID == in.Product {
			return req.Products[i].Name
		}
	}
	return in.Food + in.SubRecipe + in.Product
}

// keepAmount works out the amount of a swap that keeps weight, measure or what is
// bought. The fault says which figure is missing.
func (d *SwapDone) keepAmount(req *credit.Request, faults *fault.List) {
	was := &d.Before
	refuse := func(reason fault.Reason, want, fix string) {
		faults.Add(fault.Fault{Reason: reason, Path: d.path + ".keep", Value: d.Keep.String(), Want: want, Fix: fix})
	}
	if was.Quantity.IsZero() {
		return // the engine misses it
	}
	dim := was.Quantity.Dimension()
	switch d.Keep {
	case SameWeight:
		if dim == measure.Mass {
			return
		}
		q, g, usable := d.weightBefore(req)
		if q.IsZero() {
			refuse(fault.UnitNeedsDensity, "a weight: no figure says what "+was.Quantity.Text()+" of "+d.NameBefore+" weighs", "Weigh it and give the amount, or bring a figure of kind cup, each or net under foods.")
			return
		}
		d.After.Quantity, d.worked, d.Figures = q, true, g
		if usable && d.After.Basis == "" && d.After.Food != "" {
			d.After.Basis = "usable" // what was measured was ready to use
		}
	case SameVolume:
		if dim == measure.Volume {
			return
		}
		q, g := d.volumeBefore()
		if q.IsZero() {
			refuse(fault.UnitNeedsDensity, "a measure: no cup weight says how many cups "+was.Quantity.Text()+" of "+d.NameBefore+" are", "Measure it and give the amount, or bring a figure of kind cup under foods.")
			return
		}
		d.After.Quantity, d.worked, d.Figures = q, true, g
	case SamePurchase:
		switch {
		case dim == measure.Volume:
			refuse(fault.UnitDoesNotFit, "an amount as it is bought: "+was.Quantity.Text()+" is a measure", "Keep the volume, or give the amount.")
			return
		case was.Basis == "as-served":
			refuse(fault.UnitDoesNotFit, "an amount as it is bought: "+was.Quantity.Text()+" is on the plate", "Give the amount.")
			return
		case was.Basis == "usable" && dim == measure.Mass && d.foodWas != nil:
			share := d.foodWas.UsableShare(was.State)
			switch {
			case share != nil && share.Value.Sign() > 0:
				d.After.Quantity, d.worked, d.Figures = was.Quantity.Times(exact.Int(1).Quo(share.Value)), true, []*food.Figure{share}
			case d.foodWas.HasUsableShare() || d.foodWas.Form == "canned":
				refuse(fault.NoFigure, "an amount as it is bought: no figure says how much of "+d.NameBefore+" is trimmed or drained away", "Give the amount.")
				return
			}
		}
		if d.After.Basis == "" && d.After.Food != "" {
			d.After.Basis = "as-purchased"
		}
	}
}

// weightBefore is what the old amount weighs, with the figure that says so, and
// whether it was weighed ready to use. It is in ounces where the card writes in
// cups and pounds.
func (d *SwapDone) weightBefore(req *credit.Request) (measure.Quantity, []*food.Figure, bool) {
	in := &d.Before
	if in.Product != "" && in.Quantity.Dimension() == measure.Count {
		for i := range req.Products {
			if req.Products[i].ID == in.Product {
				return req.Products[i].Weight.Times(in.Quantity.Amount()), nil, false
			}
		}
	}
	f := d.foodWas
	if f == nil {
		return measure.Quantity{}, nil, false
	}
	switch in.Quantity.Dimension() {
	case measure.Volume:
		state, uncooked := in.State, in.Basis != "as-served"
		if uncooked && !food.Uncooked(state) {
			state = "" // measured before it was cooked
		}
		g := f.CupWeight(state, uncooked)
		if g == nil && uncooked {
			g = f.CupWeight("", true)
		}
		if g == nil {
			return measure.Quantity{}, nil, false
		}
		cups, _ := in.Quantity.In(measure.Cup)
		return asWritten(cups.Mul(g.Value), in.Quantity.System()), []*food.Figure{g}, true
	case measure.Count:
		g := f.Figure(food.PieceWeight, measure.Each)
		if g == nil {
			return measure.Quantity{}, nil, false
		}
		return asWritten(in.Quantity.Amount().Mul(g.Value), measure.Customary), []*food.Figure{g}, true
	case measure.Container:
		g := f.Figure(food.NetWeight, in.Quantity.Unit())
		if g == nil {
			return measure.Quantity{}, nil, false
		}
		oz := in.Quantity.Amount().Mul(g.Value)
		if !strings.Contains(in.State, "drained") {
			return measure.New(oz, measure.Ounce), []*food.Figure{g}, false
		}
		share := f.UsableShare(in.State)
		if share == nil {
			share = f.UsableShare("drained")
		}
		if share == nil {
			return measure.Quantity{}, nil, false // the can is not all used
		}
		return measure.New(oz.Mul(share.Value), measure.Ounce), []*food.Figure{g, share}, true
	}
	return measure.Quantity{}, nil, false
}

// asWritten is a weight of so many grams in the system a card is written in.
func asWritten(grams exact.Number, s measure.System) measure.Quantity {
	q := measure.New(grams, measure.Gram)
	if s == measure.Metric {
		return q
	}
	oz, _ := q.In(measure.Ounce)
	return measure.New(oz, measure.Ounce)
}

// volumeBefore is how many cups the old amount is, with the figures that say so:
// of several cup weights the heaviest, which gives the fewest cups.
func (d *SwapDone) volumeBefore() (measure.Quantity, []*food.Figure) {
	f, in := d.foodWas, &d.Before
	if f == nil {
		return measure.Quantity{}, nil
	}
	state, served := in.State, in.Basis == "as-served"
	if !served && !food.Uncooked(state) {
		state = ""
	}
	if strings.Contains(in.State, "drained") {
		state = "drained" // a cup of what is left in the sieve
	}
	cup := f.HeaviestCup(state)
	if cup != nil && !served && !food.Uncooked(cup.State) {
		cup = heaviestUncooked(f, state) // dried apples are measured dry, though a cup of stewed ones weighs more
	}
	if cup == nil || cup.Value.Sign() <= 0 || !served && !food.Uncooked(cup.State) {
		return measure.Quantity{}, nil
	}
	by := []*food.Figure{cup}
	weight, usable := in.Quantity, in.Basis == "usable" || served
	switch in.Quantity.Dimension() {
	case measure.Count:
		g := f.Figure(food.PieceWeight, measure.Each)
		if g == nil {
			return measure.Quantity{}, nil
		}
		weight, usable, by = measure.New(in.Quantity.Amount().Mul(g.Value), measure.Gram), true, append(by, g)
	case measure.Container:
		g := f.Figure(food.NetWeight, in.Quantity.Unit())
		if g == nil {
			return measure.Quantity{}, nil
		}
		weight, by = measure.New(in.Quantity.Amount().Mul(g.Value), measure.Ounce), append(by, g)
	}
	grams, ok := weight.In(measure.Gram)
	if !ok {
		return measure.Quantity{}, nil
	}
	if !usable && cup.State != "as-is" && cup.State != "with-juice" {
		switch share := f.UsableShare(cup.State); {
		case share != nil:
			grams, by = grams.Mul(share.Value), append(by, share)
		case f.Form == "fresh" || f.Form == "canned" || f.HasUsableShare():
			return measure.Quantity{}, nil // how much is trimmed or drained away is not known
		}
	}
	cups := grams.Quo(cup.Value)
	if in.Quantity.System() == measure.Metric {
		n, _ := measure.New(cups, measure.Cup).In(measure.Milliliter)
		return measure.New(n, measure.Milliliter), by
	}
	return measure.New(cups, measure.Cup), by
}

// heaviestUncooked is the heaviest cup of what was measured before cooking.
func heaviestUncooked(f *food.Food, state string) *food.Figure {
	var best *food.Figure
	for _, g := range f.Figures {
		if g.Kind == food.CupWeight && food.Uncooked(g.State) && food.Matches(g.State, state) &&
			(best == nil || g.Source.Tier < best.Source.Tier || g.Source.Tier == best.Source.Tier && best.Value.Less(g.Value)) {
			best = g
		}
	}
	return best
}
