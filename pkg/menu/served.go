package menu

import (
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// part is what an item has some of.
type part int

const (
	grains part = iota
	meats
	fruits
	milk
	vegetables // all of them
	darkGreen
	redOrange
	beans
	starchy
	otherVegetables
	mixed // toward the total alone
	beansAsMeats
	nuts // in meats
	parts
)

var componentParts = map[food.Component]part{
	food.Grains: grains, food.Meats: meats, food.Fruits: fruits, food.Milk: milk,
}

var subgroupParts = map[food.Subgroup]part{
	food.NoSubgroup: mixed, food.Additional: mixed, food.DarkGreen: darkGreen, food.RedOrange: redOrange,
	food.BeansPeasLentils: beans, food.Starchy: starchy, food.OtherVegetables: otherVegetables,
}

// view is a way to look at credits: as credited, as far as papers carry them, and
// after a small slip of the spoon.
type view int

const (
	credited view = iota
	documented
	slipped
	views
)

// served is an item with its credits.
type served struct {
	item    *Item
	path    string
	has     [views][parts]exact.Number
	unknown bool // no source of credits
	over    bool // a product in it is over a sugar limit
	juice   [parts]exact.Number
	dessert bool
	whole   bool
	differs bool // between views
	badMilk bool // milk that does not credit on this day
	nutty   bool // its recipe has nuts, seeds or their butter

	nutsUnsaid bool
}

func (s *served) of(v view, p part) exact.Number { return s.has[v][p] }

func (s *served) kind() string {
	kind := s.item.Kind
	if kind == "" {
		kind = s.item.Name
	}
	return strings.ToLower(strings.Join(strings.Fields(kind), " "))
}

// serve credits an item on a day.
func (w *work) serve(d *day, it *Item, path string) *served {
	s := &served{item: it, path: path, dessert: it.Dessert, whole: it.WholeGrainRich}
	if it.Name == "" {
		w.fault(fault.Missing, path+".name", "", "a name", "Findings name the item they are about.")
	}
	if it.Planned < 0 {
		w.fault(fault.OutOfRange, path+".planned", strconv.Itoa(it.Planned), "planned servings, or 0 when not known", "Write how many servings are planned, or leave it out.")
	}
	if it.CountAs < 0 || it.CountAs > 2 {
		w.fault(fault.OutOfRange, path+".countAs", strconv.Itoa(it.CountAs), "1 or 2 items, or 0 where its credits decide", "Leave it out unless the planner has decided it.")
	}
	sources := 0
	for _, has := range []bool{it.Recipe != nil, it.Product != nil, len(it.Credits) > 0} {
		if has {
			sources++
		}
	}
	switch {
	case sources > 1:
		w.fault(fault.Conflicting, path, it.Name, "one source of credits: recipe, product or credits", "Keep the one with the papers.")
	case len(it.Credits) > 0:
		w.given(s, d)
	case sources == 1:
		w.credit(s, d, path)
	default:
		s.unknown = true
	}
	if it.BeansAsMeats.Sign() < 0 {
		w.fault(fault.OutOfRange, path+".beansAsMeats", it.BeansAsMeats.String(), "cups, not below 0", "Write the cups of one portion.")
	}
	if most := s.of(credited, meats); len(it.Credits) > 0 && most.Less(it.BeansAsMeats.Mul(exact.Int(4)).DownTo(ozEqStep)) {
		w.fault(fault.Conflicting, path+".beansAsMeats", it.BeansAsMeats.String(), "no more than make the "+most.String()+" oz eq of meats/meat alternates of the item, 1/4 cup for each", "They are part of them: correct one of the two.")
	}
	for v := range views {
		if !s.unknown { // what credits nothing that is known fills no subgroup
			s.has[v][beansAsMeats] = exact.Max(s.has[v][beansAsMeats], it.BeansAsMeats)
		}
		sum := exact.Number{}
		for p := darkGreen; p <= mixed; p++ {
			sum = sum.Add(s.has[v][p])
		}
		s.has[v][vegetables] = sum
	}
	if s.dessert && d.p != nil && d.says("dessert/credits", "no") {
		for v := range views {
			s.has[v][grains] = exact.Number{}
		}
		v, _ := d.p.Amount("dessert/credits", patterns.NoSpan)
		d.out = append(d.out, Check{Verdict: NotMet, Note: true, Rule: v.Rule.ID, Value: v, On: d.on, Item: it.Name, Word: "no",
			Because: "grain-based desserts do not credit here", Mend: "Serve another grain."})
	}
	w.infant(it, path)
	w.nutrients(it, path)
	if d.p != nil {
		w.tooLittle(s, d)
		w.coldCereal(s, d)
	}
	w.milk(s, d, path)
	w.sugars(s, d, path)
	w.nondairy(s, d, path)
	w.yogurtForMilk(s, d, path)
	w.nuts(s, path)
	if it.Juice {
		s.juice[fruits], s.juice[vegetables] = s.of(credited, fruits), s.of(credited, vegetables)
	}
	for v := documented; v < views; v++ {
		for p := range parts {
			s.differs = s.differs || !s.has[v][p].Equal(s.has[credited][p])
		}
	}
	return s
}

// tooLittle takes credits that are below the least amount that counts, which the
// engine has left out already where it worked them out.
func (w *work) tooLittle(s *served, d *day) {
	for _, q := range []struct {
		rule string
		from []part
	}{
		{"creditable/fruits", []part{fruits}}, {"creditable/grains", []part{grains}}, {"creditable/meats", []part{meats}},
		{"creditable/grains-or-meats", []part{grains, meats}},
		{"creditable/vegetables", []part{vegetables, darkGreen, redOrange, beans, starchy, otherVegetables, mixed}},
	} {
		v, ok := d.p.Amount(q.rule, patterns.NoSpan)
		if !ok {
			continue
		}
		var sum exact.Number
		for i, p := range q.from {
			if i == 0 || q.from[0] != vegetables {
				sum = sum.Add(s.of(credited, p))
			}
		}
		if sum.Sign() == 0 || !sum.Less(v.Number) {
			continue
		}
		d.out = append(d.out, Check{Verdict: NotMet, Note: true, Rule: q.rule, Value: v, On: d.on, Item: s.item.Name, Needed: v.Number, There: sum,
			Short: v.Number.Sub(sum), Unit: v.Unit, Because: "so little does not credit; it is not counted", Mend: "Plan a larger portion, or count on other items."})
		for at := range views {
			for _, p := range q.from {
				s.has[at][p] = exact.Number{}
			}
		}
	}
}

// Credits go in steps, below which they are rounded down.
var (
	ozEqStep = exact.Frac(1, 4)
	cupStep  = exact.Frac(1, 8)
)

// given takes credits the caller brings, each down to its step. Without a paper
// nothing carries them. Vegetables given beside subgroups are those and what they
// leave, as in a crediting record.
func (w *work) given(s *served, d *day) {
	var total, ofSubgroups exact.Number
	for i, c := range s.item.Credits {
		path := fault.Index(s.path+".credits", i)
		p, ok := componentParts[c.Component]
		if c.Component == food.Vegetables {
			p, ok = subgroupParts[c.Subgroup]
		}
		if !ok || c.Component != food.Vegetables && c.Subgroup != food.NoSubgroup {
			w.fault(fault.UnknownValue, path, c.Component.String(), "a component, and for vegetables a subgroup", "Name the component, or the subgroup of vegetables.")
			continue
		}
		if c.Amount.Sign() < 0 {
			w.fault(fault.OutOfRange, path+".amount", c.Amount.String(), "oz eq or cups, not below 0", "Write what one portion credits.")
			continue
		}
		if s.has[credited][p].Sign() > 0 || p == mixed && total.Sign() > 0 {
			w.fault(fault.Conflicting, path, c.Component.String(), "each component and subgroup once", "Add the two up, or keep one.")
		}
		n := w.toStep(s, d, c.Component, c.Amount)
		if c.Component == food.Vegetables && c.Subgroup == food.NoSubgroup {
			total = n
			continue
		}
		if c.Component == food.Vegetables {
			ofSubgroups = ofSubgroups.Add(n)
		}
		s.takes(p, n)
	}
	if total.Sign() > 0 {
		if total.Less(ofSubgroups) {
			w.fault(fault.Conflicting, s.path+".credits.vegetables", total.String(), "no less than the "+ofSubgroups.String()+" cup of its subgroups", "Vegetables are all of the portion, subgroups included: correct one of them, or leave vegetables out.")
			return
		}
		s.takes(mixed, s.has[credited][mixed].Add(total.Sub(ofSubgroups)))
	}
}

// takes sets a given credit in every view that may count it.
func (s *served) takes(p part, n exact.Number) {
	s.has[credited][p], s.has[slipped][p] = n, n
	if s.item.Paper != "" {
		s.has[documented][p] = n
	}
}

// toStep rounds a given credit down to its step and points that out. Milk credits as
// the serving of its group.
func (w *work) toStep(s *served, d *day, of food.Component, n exact.Number) exact.Number {
	step, unit := ozEqStep, "oz eq"
	switch of {
	case food.Milk:
		return n
	case food.Fruits, food.Vegetables:
		step, unit = cupStep, "cup"
	}
	down := n.DownTo(step)
	if down.IsZero() {
		return n // see tooLittle
	}
	if !down.Equal(n) {
		d.out = append(d.out, Check{Verdict: AtRisk, Note: true, Rule: CreditSteps, On: d.on, Item: s.item.Name, Needed: n, There: down, Unit: unit, Short: n.Sub(down),
			Because: "credits go in steps of " + step.Fraction() + " " + unit + ", rounded down: " + n.Fraction() + " counts as " + down.Fraction(), Mend: "Write the credit as its paper gives it, or plan a larger portion."})
	}
	return down
}

// credit asks the engine.
func (w *work) credit(s *served, d *day, path string) {
	at := path + ".recipe"
	if s.item.Product != nil {
		at = path + ".product"
	}
	if w.r.engine == nil {
		w.fault(fault.NotYet, at, s.item.Name, "given credits, for a reviewer without an engine", "Give credits with their paper.")
		return
	}
	if d.on.IsZero() {
		return
	}
	if rec := w.records[recordKey{s.item.Recipe, s.item.Product, d.on}]; rec != nil {
		w.record(s, rec)
		return
	}
	if w.halted() {
		return
	}
	rec, err := w.r.engine.Credit(credit.Request{Recipe: s.item.Recipe, Product: s.item.Product, On: d.on, Program: w.m.Program,
		Options: w.m.Crediting, SubRecipes: w.m.SubRecipes, Products: w.m.Products, Foods: w.m.Foods, AgeGroup: w.m.AgeGroup})
	if err != nil {
		if !w.crediting(err, path) {
			w.err = err
		}
		return
	}
	if w.records == nil {
		w.records = make(map[recordKey]*credit.Record)
	}
	w.records[recordKey{s.item.Recipe, s.item.Product, d.on}] = rec
	w.record(s, rec)
}

// crediting takes the faults of crediting an item to where their cause stands in
// the menu: what every item is credited with stands there once.
func (w *work) crediting(err error, path string) bool {
	var l fault.List
	if !l.Append(err) {
		return false
	}
	for _, f := range l.Faults {
		once := true
		switch name, _, _ := strings.Cut(strings.ReplaceAll(f.Path, "[", "."), "."); name {
		case "program", "ageGroup":
		case "subRecipes", "products", "foods":
			once = false
		case "options":
			f.Path = "crediting" + strings.TrimPrefix(f.Path, "options")
		case "serviceDate":
			f.Path = dayOf(path) + "date"
		default:
			f.Path, once = fault.Field(path, f.Path), false
		}
		if !slices.ContainsFunc(w.faults.Faults, func(g fault.Fault) bool { return g == f || once && g.Path == f.Path }) {
			w.faults.Add(f)
		}
	}
	w.faults.Omitted += l.Omitted
	return true
}

// dayOf is the path of the day an item stands on, with a dot; a tray is of one day.
func dayOf(path string) string {
	if i := strings.LastIndex(path, "choices["); i >= 0 {
		return path[:i]
	}
	return ""
}

// recordKey is what a record of one review depends on: the same recipe may stand
// on several lines of a day.
type recordKey struct {
	recipe  *recipe.Recipe
	product *credit.Product
	on      rules.Date
}

// thinShare is how near above its step a credit is called thin: a portion a
// hundredth smaller would credit a step less. A credit that meets its step exactly
// was planned so.
var thinShare = exact.Frac(1, 100)

// record takes credits from a crediting record.
func (w *work) record(s *served, rec *credit.Record) {
	for i := range rec.Credits {
		c := &rec.Credits[i]
		p, ok := componentParts[c.Component]
		if c.Component == food.Vegetables {
			if c.Subgroup == food.NoSubgroup {
				continue // the sum of its subgroups and what they leave
			}
			p, ok = subgroupParts[c.Subgroup]
		}
		if !ok {
			continue
		}
		s.has[credited][p], s.has[slipped][p] = c.Credited, c.Credited
		s.has[documented][p] = exact.Min(c.Claimable, c.Credited)
		if spare := c.Exact.Sub(c.Credited); spare.Sign() > 0 && spare.Less(c.Exact.Mul(thinShare)) && s.item.Recipe != nil {
			s.has[slipped][p] = exact.Max(c.Credited.Sub(c.Step), exact.Number{})
		}
	}
	s.legumes(rec)
	for i := range rec.Ingredients {
		if l := &rec.Ingredients[i]; l.Component == food.Meats && shelled(l.Food) {
			s.nutty = true
		}
	}
	for i := range rec.Findings {
		switch f := &rec.Findings[i]; f.Reason {
		case credit.WholeGrainShare:
			s.whole = s.whole || !f.Share.Less(exact.Frac(1, 2))
		case credit.DessertLimited:
			s.dessert = true
		case credit.CountsAsJuice:
			if c, ok := rec.Credit(f.Component); ok {
				p := vegetables
				if f.Component == food.Fruits {
					p = fruits
				}
				s.juice[p] = c.Credited
			}
		}
	}
}

// legumes works out the cups of beans, peas and lentils that a recipe serves as
// meat alternate: a quarter cup is 1 oz eq (7 CFR 210.10(c)(2)(iv)(E)).
func (s *served) legumes(rec *credit.Record) {
	if rec.Servings < 1 {
		return
	}
	var ozEq exact.Number
	for i := range rec.Ingredients {
		if l := &rec.Ingredients[i]; l.Component == food.Meats && l.Food.Traits.Has(food.Legume) {
			ozEq = ozEq.Add(l.Credit)
		}
	}
	cups := ozEq.Quo(exact.Int(int64(rec.Servings) * 4)).DownTo(exact.Frac(1, 8))
	s.has[credited][beansAsMeats], s.has[slipped][beansAsMeats] = cups, cups
	if c, ok := rec.Credit(food.Meats); ok && c.Status == credit.Documented {
		s.has[documented][beansAsMeats] = cups
	}
}
