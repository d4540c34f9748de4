package credit

import (
	"strconv"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/source"
)

// Product is a product bought ready. It credits by the best paper given: its CN
// label, else the manufacturer's statement, else, for a grain product, the
// weight of its portion in Exhibit A.
type Product struct {
	ID            string // name ingredients call it by
	Name          string
	Weight        measure.Quantity // of one portion as served
	ExhibitAGroup string           // "A" to "G", or empty
	Label         *Label
	Statement     *Statement
	Dessert       string // as in recipe.Recipe
}

// Label is a Child Nutrition (CN) label.
type Label struct {
	Number   string           // six digits
	Approved string           // month, YYYY-MM
	Portion  measure.Quantity // weight the label speaks of
	Claims   []Claim
}

// Statement is a manufacturer's product formulation statement. Its arithmetic
// is worked out again from its ingredients; a claim above it does not count.
type Statement struct {
	Date        rules.Date
	Signed      bool // signed, on letterhead
	Portion     measure.Quantity
	Ingredients []recipe.Ingredient // in one portion, raw
	Claims      []Claim
}

// Claim is what a paper says one portion contributes.
type Claim struct {
	Component food.Component
	Subgroup  food.Subgroup
	Amount    exact.Number // oz eq or cups
	Text      string       // as printed
}

// check reports what is wrong with a product's own shape.
func (p *Product) check(path string, faults *fault.List) {
	recipe.CheckName(p.Name, path+".name", faults)
	weighed := func(q measure.Quantity, at string) {
		switch {
		case q.IsZero():
			faults.Add(fault.Fault{Reason: fault.Missing, Path: at, Want: "the weight of one portion as served, such as 57 g", Fix: "Take it from the label."})
		case q.Dimension() != measure.Mass:
			faults.Add(fault.Fault{Reason: fault.UnitDoesNotFit, Path: at, Value: q.Text(), Want: "a weight, such as 57 g or 2 oz", Fix: "Weigh a portion as served."})
		}
	}
	weighed(p.Weight, path+".weight")
	switch {
	case p.ExhibitAGroup == "" && p.Label == nil && p.Statement == nil:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".exhibitAGroup", Want: "an Exhibit A group A to G, a CN label or a product formulation statement", Fix: "Look a grain product up in Exhibit A (rolls are group B); for anything else give its paper."})
	case p.ExhibitAGroup != "" && (len(p.ExhibitAGroup) != 1 || p.ExhibitAGroup < "A" || p.ExhibitAGroup > "G"):
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path + ".exhibitAGroup", Value: p.ExhibitAGroup, Want: "an Exhibit A group, A to G", Fix: "Groups H and I go by cooked volume or dry weight: credit them as a recipe of one ingredient."})
	}
	switch p.Dessert {
	case "", recipe.Dessert3, recipe.Dessert4, recipe.Dessert5:
	default:
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path + ".dessert", Value: p.Dessert, Want: "dessert-3, dessert-4 or dessert-5", Fix: "Take the note that stands at the food in Exhibit A, or leave it out when none does."})
	}
	if l := p.Label; l != nil {
		at := path + ".cnLabel"
		weighed(l.Portion, at+".portion")
		if len(l.Number) != 6 || !digitsOnly(l.Number) {
			faults.Add(fault.Fault{Reason: fault.BadText, Path: at + ".number", Value: l.Number, Want: "the six digits of the CN label", Fix: "Copy the number at the upper right of the label."})
		}
		if _, err := rules.ParseDate(l.Approved + "-01"); err != nil || len(l.Approved) != 7 {
			faults.Add(fault.Fault{Reason: fault.BadDate, Path: at + ".approved", Value: l.Approved, Want: "the month of approval, YYYY-MM", Fix: "Copy month and year from the label's statement."})
		}
		checkClaims(l.Claims, at+".claims", faults)
	}
	if s := p.Statement; s != nil {
		at := path + ".statement"
		weighed(s.Portion, at+".portion")
		if s.Date.IsZero() {
			faults.Add(fault.Fault{Reason: fault.Missing, Path: at + ".date", Want: "the date on the statement, YYYY-MM-DD", Fix: "A statement without a date is not accepted."})
		}
		if len(s.Ingredients) == 0 {
			faults.Add(fault.Fault{Reason: fault.Missing, Path: at + ".ingredients", Want: "the creditable ingredients of one portion, raw", Fix: "Copy them from the statement, so that its arithmetic can be checked."})
		}
		checkClaims(s.Claims, at+".claims", faults)
	}
}

func digitsOnly(s string) bool {
	for _, c := range []byte(s) {
		if c < '0' || c > '9' {
			return false
		}
	}
	return true
}

const maxClaims = 20

func checkClaims(claims []Claim, path string, faults *fault.List) {
	switch n := len(claims); {
	case n == 0:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path, Want: "what the paper says a portion contributes", Fix: "Copy component and amount from it."})
	case n > maxClaims:
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: path, Value: strconv.Itoa(n), Want: "at most 20 claims", Fix: "One a component and subgroup is enough."})
	}
	total, subgroups, stated := exact.Number{}, exact.Number{}, false
	for i := range claims {
		c := &claims[i]
		switch {
		case c.Component != food.Vegetables:
		case c.Subgroup == food.NoSubgroup:
			total, stated = c.Amount, true
		default:
			subgroups = subgroups.Add(c.Amount)
		}
		if c.Component == food.NoComponent || c.Component == food.Milk {
			faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: fault.Index(path, i) + ".component", Want: "grains, meats, fruits or vegetables", Fix: "Milk credits as a drink, not by a paper."})
		}
		if c.Subgroup != food.NoSubgroup && c.Component != food.Vegetables {
			faults.Add(fault.Fault{Reason: fault.Conflicting, Path: fault.Index(path, i) + ".subgroup", Value: c.Subgroup.String(), Want: "a subgroup on vegetables only", Fix: "Leave it out."})
		}
		for k := range i {
			if claims[k].Component == c.Component && claims[k].Subgroup == c.Subgroup {
				faults.Add(fault.Fault{Reason: fault.Conflicting, Path: fault.Index(path, i), Value: c.Text, Want: "each component and subgroup once", Fix: "Keep one."})
			}
		}
	}
	if stated && total.Less(subgroups) {
		faults.Add(fault.Fault{Reason: fault.Conflicting, Path: path, Value: subgroups.String(), Want: "subgroups that add up to no more than the vegetables as a whole, " + total.String() + " cup", Fix: "Copy the amounts again; if the paper says so, ask its maker."})
	}
}

// product credits a bought product by itself.
func (w *work) product(p *Product) {
	w.rec.Name, w.rec.Servings = p.Name, 1
	w.rec.Portion = recipe.Portion{Name: p.Name, Weight: p.Weight}
	w.servingsFact(one)
	w.grainsUnit()
	if p.Label == nil && p.Statement == nil {
		if cr, ok := w.portionWeight(p.Weight, p.ExhibitAGroup); ok {
			w.rec.Credits = append(w.rec.Credits, cr)
			w.dessert(&w.rec.Credits[0], p.Dessert)
		}
		return
	}
	w.papers(p, &recipe.Ingredient{Name: p.Name, Quantity: p.Weight}, spot{&place{prefix: "product"}, 0}, "product")
	if len(w.faults.Faults) > 0 {
		return
	}
	w.sumCredit(food.Grains, food.NoSubgroup)
	if len(w.rec.Credits) > 0 {
		w.dessert(&w.rec.Credits[0], p.Dessert)
	}
	w.sumCredit(food.Meats, food.NoSubgroup)
	w.sumCredit(food.Fruits, food.NoSubgroup)
	w.vegetables()
}

// bought takes a product into a recipe as an ingredient.
func (w *work) bought(in *recipe.Ingredient, at spot) {
	for i := range w.req.Products {
		p := &w.req.Products[i]
		if p.ID != in.Product {
			continue
		}
		path := fault.Index("products", i)
		if d := in.Quantity.Dimension(); d != measure.Mass && d != measure.Count {
			w.faults.Add(fault.Fault{Reason: fault.UnitDoesNotFit, Path: at.path("quantity"), Value: in.Quantity.Text(), Want: "a weight, or a count of the product's portions, such as 50 each", Fix: "Weigh it, or count its portions."})
			return
		}
		w.plainUse(in, "a product", at)
		if in.ExhibitAGroup != "" {
			w.faults.Add(fault.Fault{Reason: fault.Conflicting, Path: at.path("exhibitAGroup"), Value: in.ExhibitAGroup, Want: "nothing here: the product says its group", Fix: "Leave it out."})
		}
		if in.NotCrediting {
			w.setAside = w.setAside || p.ExhibitAGroup != "" // what of its grain is whole is not known
			w.noLine(Line{Food: notAFood(p.Name), Name: in.Name, Quantity: in.Quantity, Reason: "left out by the menu planner", at: at.place, index: int32(at.index)})
			return
		}
		taken, parts := *in, len(w.parts)
		if taken.Quantity.Dimension() == measure.Count {
			taken.Quantity = p.Weight.Times(taken.Quantity.Amount())
		}
		if p.Label != nil || p.Statement != nil {
			w.papers(p, &taken, at, path)
		} else {
			w.byGroup(p, &taken, at)
		}
		w.dessertWithin(p.Dessert, parts)
		return
	}
	w.faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: at.path("product"), Value: in.Product, Want: "the id of a product in products", Fix: "Add the product to the request, or use a food."})
}

// byGroup credits a grain product without papers by its weight in Exhibit A.
func (w *work) byGroup(p *Product, in *recipe.Ingredient, at spot) {
	f := notAFood(p.Name)
	f.GrainKind, f.GrainUse, f.ExhibitAGroup = food.MixedGrain, food.Prepared, p.ExhibitAGroup[0]
	q := in.Quantity
	if !in.Share.IsZero() {
		q = q.Times(in.Share) // what is left of it is weighed by the printed table
	}
	opts := w.preparedGrain(&amount{f: f, q: q, basis: food.AsPurchased}, p.ExhibitAGroup, nil)
	if len(opts) == 0 {
		return
	}
	part := w.part(f, food.Grains, at, opts)
	if w.full {
		w.rec.Ingredients = append(w.rec.Ingredients, Line{Food: f, Name: in.Name, Quantity: q, Basis: food.AsPurchased, State: part.opt.state, Step: -1,
			Component: food.Grains, Credit: part.opt.chain.value, at: at.place, index: int32(at.index)})
	}
}

// takeShare leaves only the share of an amount that ends up in the food.
func (w *work) takeShare(in *recipe.Ingredient, c *chain) {
	if in.Share.IsZero() {
		return
	}
	share := fact(shareID, "Share of the amount that ends up in the food", in.Share.String(), "", in.Share)
	c.plain(Times, &share)
}

// paper is what a paper lets a portion of a product contribute.
type paper struct {
	claims  []Claim
	portion measure.Quantity
	doc     *source.Document
	rank    int8
	reason  string // why nothing; empty when the claims count
}

// papers credits an amount of a product by its papers.
func (w *work) papers(p *Product, in *recipe.Ingredient, at spot, path string) {
	pa, known := w.papersOf[p]
	if !known {
		if p.Label != nil {
			pa = w.label(p)
		} else {
			pa = w.statement(p, path)
		}
		if w.papersOf == nil {
			w.papersOf = make(map[*Product]paper)
		}
		w.papersOf[p] = pa
	}
	f := notAFood(p.Name)
	if pa.reason != "" || len(w.faults.Faults) > 0 {
		w.noLine(Line{Food: f, Name: in.Name, Quantity: in.Quantity, Reason: pa.reason, at: at.place, index: int32(at.index)})
		return
	}
	unit := pa.portion.Unit()
	perPortion := fact("product/portion", "Weight of one portion on the paper", pa.portion.Amount().TrimmedDecimal(4), unit.ID, pa.portion.Amount())
	none := true
	for i := range pa.claims {
		c := &pa.claims[i]
		if c.Amount.IsZero() {
			continue
		}
		none = false
		var ch chain
		w.weigh(&ch, &in.Quantity, unit, "papers/claim")
		ch.plain(DividedBy, &perPortion)
		mark, text := source.Caller, c.Text
		if text == "" {
			text = c.Amount.String()
		}
		claim := &Figure{ID: "product/" + p.ID + "/" + c.Component.String() + "/" + c.Subgroup.String(), Name: p.Name, Text: text, Unit: c.Component.Unit() + " in a portion",
			Used: c.Amount, Source: source.Ref{Document: pa.doc, Mark: mark, Tier: source.Handbook}}
		ch.plain(Times, claim)
		ch.rank = max(ch.rank, pa.rank)
		w.takeShare(in, &ch)
		part := w.part(f, c.Component, at, []option{{"as bought", ch}})
		part.subgroup, part.hidden = c.Subgroup, in.Hidden
		if w.full {
			w.rec.Ingredients = append(w.rec.Ingredients, Line{Food: f, Name: in.Name, Quantity: in.Quantity, Basis: food.AsPurchased, State: "as bought", Step: -1,
				Component: c.Component, Subgroup: c.Subgroup, Credit: ch.value, at: at.place, index: int32(at.index)})
		}
	}
	if none {
		w.noLine(Line{Food: f, Name: in.Name, Quantity: in.Quantity, Reason: "its own figures support none of what it claims", at: at.place, index: int32(at.index)})
	}
}

// label reads a CN label: what it claims, for a portion of its weight, within
// the years it is good for.
func (w *work) label(p *Product) paper {
	l := p.Label
	pa := paper{claims: spread(l.Claims), portion: l.Portion, doc: &source.Document{ID: "cn-label", Title: "CN label " + l.Number, Edition: "approved " + l.Approved, Mark: source.Caller, Tier: source.Handbook}}
	approved, _ := rules.ParseDate(l.Approved + "-01")
	if years, err := w.rs.Get("papers/cn-label-years"); err == nil {
		n := 0
		for n < 100 && !years.Number.Less(exact.Int(int64(n+1))) {
			n++
		}
		end := approved
		end.Year += n
		if !w.rec.On.Before(end) || w.rec.On.Before(approved) {
			w.find(Finding{Severity: Check, Reason: LabelExpired, Ingredient: -1, Words: []string{p.Name, l.Number, l.Approved, years.Text}})
			pa.reason = "the CN label is not good on the date of service"
			return pa
		}
	}
	if least, err := w.rs.Get("meats/cn-label-least"); err == nil {
		for i := range l.Claims {
			if c := &l.Claims[i]; c.Component == food.Meats && c.Amount.Less(least.Number) {
				w.find(Finding{Severity: Check, Reason: LabelBelowLeast, Component: food.Meats, Ingredient: -1, Words: []string{p.Name, c.Text, least.Text}})
				pa.reason = "a CN label is not given for so little meat or meat alternate: check what it says"
			}
		}
	}
	return pa
}

// spread makes the claims of vegetables add up once: a claim for the component
// as a whole counts only what its subgroups leave of it.
func spread(claims []Claim) []Claim {
	out := append([]Claim(nil), claims...)
	for i := range out {
		if out[i].Component != food.Vegetables || out[i].Subgroup != food.NoSubgroup {
			continue
		}
		left := out[i].Amount
		for k := range claims {
			if claims[k].Component == food.Vegetables && claims[k].Subgroup != food.NoSubgroup {
				left = left.Sub(claims[k].Amount)
			}
		}
		if left.Sign() < 0 {
			left = exact.Number{}
		}
		if !left.Equal(out[i].Amount) {
			out[i].Text = left.String() // what the work multiplies by, not the whole
		}
		out[i].Amount, out[i].Subgroup = left, food.Additional
	}
	return out
}

// statement works a formulation statement out again and lets it claim no more
// than its own figures support, nor more meat than the portion weighs.
func (w *work) statement(p *Product, path string) paper {
	s := p.Statement
	pa := paper{portion: s.Portion, doc: &source.Document{ID: "statement", Title: "Product formulation statement", Section: p.Name, Edition: s.Date.String(), Mark: source.Caller, Tier: source.Handbook}}
	switch {
	case !s.Signed:
		pa.reason = "the product formulation statement is not signed"
	case w.rec.On.Before(s.Date):
		pa.reason = "the product formulation statement is dated after the date of service"
	}
	if pa.reason != "" {
		w.find(Finding{Severity: Check, Reason: StatementBad, Ingredient: -1, Words: []string{p.Name, pa.reason}})
		return pa
	}
	inner := Request{Recipe: &recipe.Recipe{Name: StatementName(p.Name), Servings: 1, ExhibitAGroup: p.ExhibitAGroup, Ingredients: s.Ingredients},
		On: w.req.On, Program: w.req.Program, Options: w.req.Options, Foods: w.req.Foods}
	rec, err := w.e.Credit(inner)
	if err != nil {
		l, ok := err.(*fault.List)
		if !ok {
			l = &fault.List{Faults: []fault.Fault{{Reason: fault.BadText, Want: err.Error()}}}
		}
		for _, f := range l.Faults {
			const own = "recipe"
			if len(f.Path) >= len(own) && f.Path[:len(own)] == own {
				f.Path = path + ".statement" + f.Path[len(own):]
			}
			w.faults.Add(f)
		}
		return pa
	}
	if w.full {
		w.rec.Also = append(w.rec.Also, rec)
	}
	claims := append([]Claim(nil), s.Claims...)
	for i := range claims {
		c := &claims[i]
		supported := exact.Number{}
		if cr, ok := rec.SubgroupCredit(c.Component, c.Subgroup); ok {
			supported = cr.Credited
			if cr.Status == Estimate {
				pa.rank = max(pa.rank, 1)
			}
		}
		if c.Component == food.Meats {
			ounces := w.weight(s.Portion, measure.Ounce)
			if most, _ := ounces.RoundDown(exact.Frac(1, 4)); most.Less(supported) {
				w.find(Finding{Severity: Check, Reason: PortionCap, Component: c.Component, Ingredient: -1, Words: []string{p.Name, s.Portion.Text(), supported.String()}})
				supported = most
			}
		}
		if supported.Less(c.Amount) {
			w.find(Finding{Severity: Check, Reason: OverClaim, Component: c.Component, Ingredient: -1, Words: []string{p.Name, c.Text, supported.String()}})
			c.Amount, c.Text = supported, supported.String()
		}
	}
	pa.claims = spread(claims)
	return pa
}

// StatementName names the record of a product's formulation statement worked out
// again.
func StatementName(product string) string { return "Statement of " + product + ", worked out again" }

// appendCanonical appends the product in a form in which equal products are
// equal bytes.
func (p *Product) appendCanonical(b []byte) []byte {
	text := func(s string) {
		b = strconv.AppendInt(b, int64(len(s)), 10)
		b = append(b, ':')
		b = append(b, s...)
	}
	weight := func(q measure.Quantity) {
		if q.IsZero() {
			b = append(b, '-')
			return
		}
		b = q.Amount().AppendFraction(b)
		text(q.Unit().ID)
	}
	claims := func(cs []Claim) {
		for i := range cs {
			b = append(b, 'c', byte('0'+cs[i].Component), byte('0'+cs[i].Subgroup))
			b = cs[i].Amount.AppendFraction(b)
		}
	}
	b = append(b, "|product|"...)
	text(p.ID)
	text(p.Name)
	weight(p.Weight)
	text(p.ExhibitAGroup)
	text(p.Dessert)
	if l := p.Label; l != nil {
		b = append(b, 'L')
		text(l.Number)
		text(l.Approved)
		weight(l.Portion)
		claims(l.Claims)
	}
	if s := p.Statement; s != nil {
		b = append(b, 'F')
		text(s.Date.String())
		b = strconv.AppendBool(b, s.Signed)
		weight(s.Portion)
		claims(s.Claims)
		r := recipe.Recipe{Ingredients: s.Ingredients}
		b = r.AppendCanonical(b)
	}
	return b
}
