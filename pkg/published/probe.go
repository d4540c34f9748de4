package published

import (
	"errors"
	"regexp"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// Some figures are not what the card's amounts credit: a least, a most, a
// formula, a decision, a paper. The engine is asked for each by amounts of our
// own; what is compared is its answer, never a rule's text.
var probes = []struct {
	figure *regexp.Regexp
	words  bool // what is printed is no number
	ask    func(*Runner, *Case, *Expected, []string, *Outcome) error
}{
	{regexp.MustCompile(`^oz dry x percent protein as-is / ([0-9]+)$`), true, (*Runner).proteinFormula},
	{regexp.MustCompile(`^least in a smoothie: (vegetable|fruit|milk|yogurt), (cup|oz eq)$`), false, (*Runner).smoothieLeast},
	{regexp.MustCompile(`^limit of non-creditable grain, (g|oz eq)(?:, groups? ([A-I])(?:-[A-I])?)?$`), false, (*Runner).barrenMost},
	{regexp.MustCompile(`^(large eggs|cups) per batch$|^(oz eq|oz) of one (large egg)$`), false, (*Runner).ratio},
	{regexp.MustCompile(`^units for 100 servings of (1/4|3/8) cup$`), false, (*Runner).unitsToBuy},
	{regexp.MustCompile(`^whole grain-rich$`), true, (*Runner).wholeGrainRich},
}

// errWords says that a figure is decided from words, which carry no amounts.
var errWords = errors.New("decided from the words of a label")

// errNoAnswer says that the engine gave nothing to compare.
var errNoAnswer = errors.New("the engine gives no answer")

// probe answers a figure that is asked for by amounts of our own, and reports
// whether it is one.
func (r *Runner) probe(c *Case, e *Expected, o *Outcome) bool {
	for i := range probes {
		p := &probes[i]
		m := p.figure.FindStringSubmatch(e.Figure)
		if m == nil {
			m = p.figure.FindStringSubmatch(e.Published)
		}
		if m == nil {
			continue
		}
		if err := p.ask(r, c, e, m, o); err != nil {
			o.Verdict, o.Cause, o.Reason = NotComputable, "no-figure-in-catalog", reasons(err)
			if errors.Is(err, errWords) {
				o.Cause = "decided-from-words"
			}
		}
		return true
	}
	return false
}

// numeric reports whether what is printed for a figure must be a number.
func numeric(e *Expected) bool {
	for i := range probes {
		if p := &probes[i]; !p.words && p.figure.MatchString(e.Figure) {
			return true
		}
	}
	return answered(e.Figure)
}

// named returns the food of a name that no card prints.
func (r *Reader) named(name string) (Name, error) {
	n, ok := r.corpus.names[[2]string{name, ""}]
	if !ok {
		return n, errors.New("no entry in names.csv for " + name)
	}
	return n, nil
}

// try credits a recipe of one portion under the rule of a case.
func (r *Runner) try(c *Case, foods []food.Own, rec recipe.Recipe) (*credit.Record, error) {
	era := r.corpus.eras[c.Rule]
	rec.Name, rec.Servings = c.Title, 1
	return r.engine.Credit(credit.Request{Recipe: &rec, On: era.On, Program: era.Program, Foods: foods})
}

// proteinFormula works the divisor of a formula out of the engine's own
// answers, which must all give the same one.
func (r *Runner) proteinFormula(c *Case, e *Expected, m []string, o *Outcome) error {
	const id = "published-alternate-protein"
	divisor := exact.Number{}
	for _, percent := range []string{"18", "52", "90"} {
		for _, ounces := range []int64{1, 3} {
			own := food.Own{ID: id, Name: c.Ingredients[0].Name, Components: []string{"meats"}, Figures: []food.OwnFigure{
				{Kind: "protein", Unit: "lb", Value: percent, Document: c.Source.Title, Page: c.Source.Section, Edition: c.Source.Edition}}}
			rec, err := r.try(c, []food.Own{own}, recipe.Recipe{Ingredients: []recipe.Ingredient{
				{Food: id, Quantity: measure.New(exact.Int(ounces), measure.Ounce)}}})
			if err != nil {
				return err
			}
			cr, ok := rec.Credit(food.Meats)
			if !ok || cr.Exact.IsZero() {
				return errNoAnswer
			}
			d := exact.MustParse(percent).Mul(exact.Int(ounces)).Quo(cr.Exact)
			if !divisor.IsZero() && !d.Equal(divisor) {
				return errors.New("no such formula: the divisor is not always the same")
			}
			divisor, o.Status = d, cr.Status
		}
	}
	o.compareNeed(exact.MustParse(m[1]), divisor, divisor)
	o.Ours = "oz dry x percent protein as-is / " + divisor.TrimmedDecimal(4)
	return nil
}

// smoothieLeast finds the least of one food that credits in a smoothie, in
// steps of 1/64 cup.
func (r *Runner) smoothieLeast(c *Case, e *Expected, m []string, o *Outcome) error {
	n, err := r.named("in a smoothie: " + m[1])
	if err != nil {
		return err
	}
	comp := map[string]food.Component{"vegetable": food.Vegetables, "fruit": food.Fruits, "milk": food.Milk, "yogurt": food.Meats}[m[1]]
	for k := int64(1); k <= 64; k++ {
		cups := exact.Frac(k, 64)
		rec, err := r.try(c, nil, recipe.Recipe{Smoothie: true, Ingredients: []recipe.Ingredient{
			{Food: n.Food, State: n.State, Basis: n.Basis, Quantity: measure.New(cups, measure.Cup), Hidden: comp == food.Vegetables || comp == food.Fruits}}})
		if err != nil {
			return err
		}
		if cr, ok := rec.Credit(comp); ok && cr.Credited.Sign() > 0 {
			o.Status = cr.Status
			ours := cups
			if m[2] == "oz eq" {
				ours = cr.Credited
			}
			o.compareNeed(exact.MustParse(e.Published), ours, ours)
			return nil
		}
	}
	return errNoAnswer
}

// barrenMost finds the most grain that does not credit beside which a grain
// food still does, in steps of a hundredth of a gram.
func (r *Runner) barrenMost(c *Case, e *Expected, m []string, o *Outcome) error {
	grain, err := r.named("creditable grain")
	if err != nil {
		return err
	}
	barren, err := r.named("grain that does not credit")
	if err != nil {
		return err
	}
	group := m[2]
	if group == "" {
		group = "A"
	}
	grams, err := r.gramsPerOzEq(c)
	if err != nil {
		return err
	}
	era, most, status := r.corpus.eras[c.Rule], exact.Number{}, credit.NoCredit
	for k := int64(1); ; k++ {
		if k > 10_000 {
			return errors.New("no limit up to 100 g")
		}
		g := exact.Frac(k, 100)
		credits, err := r.engine.Credits(credit.Request{On: era.On, Program: era.Program, Recipe: &recipe.Recipe{Name: c.Title, Servings: 1, ExhibitAGroup: group,
			Ingredients: []recipe.Ingredient{
				{Food: grain.Food, Quantity: measure.New(grams.Mul(exact.Int(2)), measure.Gram)},
				{Food: barren.Food, Quantity: measure.New(g, measure.Gram)}}}})
		if err != nil {
			return err
		}
		if len(credits) == 0 {
			return errNoAnswer
		}
		if credits[0].Credited.IsZero() {
			break
		}
		most, status = g, credits[0].Status
	}
	if m[1] == "oz eq" {
		most = most.Quo(grams)
	}
	o.Status = status
	o.compare(exact.MustParse(e.Published), most.Cut(places(e.Published)), most)
	return nil
}

// gramsPerOzEq returns the grams of creditable grain in an ounce equivalent of
// baked goods.
func (r *Runner) gramsPerOzEq(c *Case) (exact.Number, error) {
	era := r.corpus.eras[c.Rule]
	rs, err := r.engine.Rules().Resolve(era.On, era.Program, nil)
	if err != nil {
		return exact.Number{}, err
	}
	v, err := rs.Get("grains/grams/baked")
	if err != nil {
		return exact.Number{}, err
	}
	return v.Number, nil
}

// unitsToBuy answers how many purchase units serve a hundred, to the tenth that
// tables print, always up.
func (r *Runner) unitsToBuy(c *Case, e *Expected, m []string, o *Outcome) error {
	rec := r.credit(c, &Expected{Figure: "servings of 1/4 cup per unit"}, o)
	if rec == nil {
		return errors.New(o.Reason)
	}
	in := rec.Ingredients[0]
	req := kitchen.BuyFood{Food: in.Food.ID, State: in.State, Component: food.Vegetables, Unit: in.Quantity.Unit().ID,
		Groups: []kitchen.BuyGroup{{Name: "all", Count: 100, Size: exact.MustParse(m[1])}}}
	if in.Quantity.Unit() == measure.Ounce {
		req.Unit = measure.Pound.ID
	}
	list, err := kitchen.New(r.engine).Buy(kitchen.BuyRequest{Foods: []kitchen.BuyFood{req}})
	if err != nil {
		return err
	}
	unit, _ := measure.UnitByID(req.Unit)
	units, ok := list.Lines[0].Need.In(unit)
	if !ok {
		return errNoAnswer
	}
	o.compareNeed(exact.MustParse(e.Published), units.RoundUp(exact.Frac(1, 10)), units)
	return nil
}

// ratio answers how many of one amount make another by dividing their credits.
func (r *Runner) ratio(c *Case, e *Expected, m []string, o *Outcome) error {
	batch := c.Ingredients[0]
	with := func(quantity string) Ingredient {
		in := batch
		in.Quantity, in.Measure = quantity, ""
		return in
	}
	piece := Ingredient{Name: "large egg", Quantity: "1 each"}
	var of, by Ingredient
	switch {
	case m[1] == "cups":
		of, by = batch, with("1 cup")
	case m[1] != "":
		of, by = batch, piece
	case m[2] == "oz":
		of, by = piece, with("1 oz")
	default:
		of = piece
	}
	value := func(in Ingredient) (exact.Number, error) {
		one := *c
		one.Servings, one.Ingredients = 1, []Ingredient{in}
		rec := r.credit(&one, &Expected{Figure: "meats"}, o)
		if rec == nil {
			return exact.Number{}, errors.New(o.Reason)
		}
		cr, ok := rec.Credit(food.Meats)
		if !ok || cr.Exact.IsZero() {
			return exact.Number{}, errNoAnswer
		}
		o.Status = max(o.Status, cr.Status)
		return cr.Exact, nil
	}
	n, err := value(of)
	if err != nil {
		return err
	}
	if by.Name != "" {
		d, err := value(by)
		if err != nil {
			return err
		}
		n = n.Quo(d)
	}
	compare := o.compare
	if m[1] == "cups" || m[2] == "oz" {
		compare = o.compareNeed
	}
	compare(exact.MustParse(e.Published), n.Cut(places(e.Published)), n)
	return nil
}

// wholeGrainRich asks for the whole share of a product's grain: the grams of
// whole grain it states, and enriched grain for the rest of what its weight
// credits.
func (r *Runner) wholeGrainRich(c *Case, e *Expected, _ []string, o *Outcome) error {
	if len(c.Ingredients) != 2 || normal(c.Ingredients[1].Name) != "whole grain content" {
		return errWords
	}
	req, ok := r.product(c, e)
	if !ok {
		return errors.New("no Exhibit A group for " + c.Ingredients[0].Name)
	}
	rec, err := r.engine.Credit(req)
	if err != nil {
		return err
	}
	cr, _ := rec.Credit(food.Grains)
	grams, err := r.gramsPerOzEq(c)
	if err != nil {
		return err
	}
	whole, err := measure.Parse(c.Ingredients[1].Quantity)
	if err != nil {
		return err
	}
	w, _ := whole.In(measure.Gram)
	wholeName, err := r.named("whole wheat flour")
	if err != nil {
		return err
	}
	ins := []recipe.Ingredient{{Food: wholeName.Food, Quantity: whole}}
	if rest := grams.Mul(cr.Credited).Sub(w); rest.Sign() > 0 {
		enriched, err := r.named("enriched flour")
		if err != nil {
			return err
		}
		ins = append(ins, recipe.Ingredient{Food: enriched.Food, Quantity: measure.New(rest, measure.Gram)})
	}
	if rec, err = r.try(c, nil, recipe.Recipe{Ingredients: ins}); err != nil {
		return err
	}
	o.Status = cr.Status
	for _, f := range rec.Findings {
		if f.Reason == credit.WholeGrainShare {
			const yes, no = "whole grain-rich", "not by this element"
			o.Ours, o.Exact = no, f.Share.TrimmedDecimal(4)
			if !f.Share.Less(exact.Frac(1, 2)) {
				o.Ours = yes
			}
			switch {
			case o.Ours == e.Published:
				o.Verdict = Match
			case o.Ours == yes:
				o.Verdict = Over
			default:
				o.Verdict = Under
			}
			return nil
		}
	}
	return errNoAnswer
}

// paper reads a product statement. One line is a label of a whole product, and
// what the case prints is what it claims: the engine only hands that back. Its
// number and month of approval are ours. Several lines are a formulation
// statement; its claim is set far beyond what a portion holds, so that what the
// engine leaves of it is the engine's own arithmetic.
func (r *Runner) paper(c *Case, e *Expected, o *Outcome) (*credit.Record, error) {
	era := r.corpus.eras[c.Rule]
	p := &credit.Product{Name: c.Title}
	if len(c.Ingredients) == 1 {
		weight, err := measure.Parse(c.Ingredients[0].Quantity)
		if err != nil {
			return nil, err
		}
		l := &credit.Label{Number: "000000", Approved: era.On.String()[:len("2006-01")], Portion: weight}
		for i := range c.Expected {
			comp, sub := target(c, &c.Expected[i])
			text := c.Expected[i].Published
			l.Claims = append(l.Claims, credit.Claim{Component: comp, Subgroup: sub, Amount: exact.MustParse(text), Text: text})
		}
		p.Weight, p.Label, o.GivenBack = weight, l, true
		return r.engine.Credit(credit.Request{Product: p, On: era.On, Program: era.Program})
	}
	lines, problem := r.lines(c, e)
	if problem != "" {
		return nil, errors.New(problem)
	}
	total := exact.Number{}
	s := &credit.Statement{Date: era.On, Signed: true}
	for i := range lines {
		in := lines[i].ingredient(c, e, 0)
		ounces, ok := in.Quantity.In(measure.Ounce)
		if !ok {
			return nil, errors.New("no weight of " + in.Name)
		}
		total = total.Add(ounces)
		s.Ingredients = append(s.Ingredients, in)
	}
	comp, sub := target(c, e)
	s.Claims = []credit.Claim{{Component: comp, Subgroup: sub, Amount: exact.Int(1000), Text: "1000"}}
	s.Portion = measure.New(total, measure.Ounce)
	p.Weight, p.Statement = s.Portion, s
	return r.engine.Credit(credit.Request{Product: p, On: era.On, Program: era.Program})
}
