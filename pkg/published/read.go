package published

import (
	"regexp"
	"slices"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// Reader turns cards into requests. These are all of its rules; no rule names
// a case.
//
// Amounts
//
//  1. A printed weight goes before a printed measure. The cans a card names in
//     its notes come next, the measure last; they are tried only when the
//     engine has no way from the one before.
//  2. A note that says what a piece or a cup weighs makes a weight of a count or
//     of a measure.
//  3. Lines the card marks as optional or as a garnish are left out: not every
//     portion gets them.
//  4. A printed range is taken at its low end.
//
// What the amount measures (basis)
//
//  5. A form that says peeled, trimmed, cut or drained means food ready to use.
//     So does a cup measure printed beside the weight of a fresh food.
//  6. A grain or a bean called cooked is as served. "Dry" beans, and all else,
//     are as purchased; measures are of food ready to use.
//
// How it is served (state)
//
//  7. A dish whose title or portion says one of the cold words is served raw;
//     every other dish is hot. A line whose form or notes say it was roasted,
//     baked, steamed or sauteed is cooked in any dish.
//  8. In a hot dish vegetables are cooked or heated; in one whose title says
//     soup, stew or chili they are simmered, and a boiled figure goes first.
//     Fruit keeps the state it is measured in unless rule 7 says it was cooked.
//  9. Canned food is with its juice unless the card says drained. Measured in
//     cups after draining it is as measured: it was cooked in the can.
//  10. Of the states the catalog has figures for, the one nearest to the form
//     words is taken; where the form says nothing of a cut, chopped.
//
// Credit
//
//  11. Beans count as a meat alternate when the card prints a meats figure, else
//     as a vegetable; the card's other mode is run as printed.
//  12. Oats and bran are baked in.
//
// Figures that are not what a card's amounts credit
//
//  13. A least or a most is found by trying amounts in small even steps; what
//     the foods tried are stands in names.csv.
//  14. A count, weight or measure that makes another is the ratio of the two
//     credits.
//  15. Grams of whole grain that a product states are held against the grams its
//     weight credits; the rest is taken as enriched.
//  16. A statement of one line is a label. The engine hands its claims back, so
//     that agreement shows no more than that; number and month of approval are
//     made up here. A statement of several lines is worked out again from them,
//     under a claim no portion could hold.
type Reader struct {
	corpus  *Corpus
	catalog *food.Catalog
}

// NewReader returns a reader of the corpus over a catalog.
func NewReader(c *Corpus, cat *food.Catalog) *Reader { return &Reader{c, cat} }

var (
	coldWords   = regexp.MustCompile(`\b(salad|slaw|wrap|sandwich|sandwiches|salsa|parfait|smoothie)\b`)
	simmerWords = regexp.MustCompile(`\b(soup|stew|chili)\b`)
	cookedWords = regexp.MustCompile(`\b(roasted|baked|steamed|sauteed)\b`)
	readyWords  = regexp.MustCompile(`\b(peeled|trimmed|cubed|diced|chopped|sliced|shredded|halved|mashed|florets|drained|no stems|stems removed)\b`)
	leftWords   = regexp.MustCompile(`\b(optional|garnish)\b`)
	cutWords    = regexp.MustCompile(`\b(peeled|cubed|diced|chopped|sliced|shredded|halved|mashed|florets|strips|wedges|grated)\b`)
	pieceNote   = regexp.MustCompile(`([0-9][0-9 /.]*) ?(oz|g) each`)
	cupNote     = regexp.MustCompile(`([0-9][0-9 /.]*) oz = 1 cup`)
	canNote     = regexp.MustCompile(`[0-9][0-9 /]* No\. [0-9/]+ cans?`)
	groupName   = regexp.MustCompile(`\bgroup ([a-g])\b`)
)

// line is one ingredient on its way into a request.
type line struct {
	food    *food.Food
	card    *Ingredient
	amounts []measure.Quantity // in the order they are tried
	skip    bool               // by rule 3
	words   string             // name, form and notes, normal
	fixed   Name
}

// lines reads the ingredients a figure is of.
func (r *Reader) lines(c *Case, e *Expected) ([]line, string) {
	var out []line
	for i := range c.Ingredients {
		in := c.Ingredients[i]
		if e.Of != nil {
			if i != e.Of.Ingredient {
				continue
			}
			if e.Of.Quantity != "" {
				in.Quantity, in.Measure = e.Of.Quantity, ""
			}
		}
		n, ok := r.corpus.names[[2]string{normal(in.Name), normal(in.Form)}]
		if !ok {
			n, ok = r.corpus.names[[2]string{normal(in.Name), "*"}]
		}
		if !ok {
			return nil, "no entry in names.csv for " + in.Name + " (" + in.Form + ")"
		}
		f, ok := r.catalog.Food(n.Food)
		if !ok {
			return nil, "no food " + n.Food + " in the catalog"
		}
		l := line{food: f, card: &in, words: normal(in.Name + " " + in.Form + " " + in.Notes), fixed: n}
		l.skip = leftWords.MatchString(normal(in.Form + " " + in.Notes))
		l.amounts = amounts(&in)
		if len(l.amounts) == 0 && !l.skip {
			return nil, "no amount that can be read for " + in.Name + ": " + in.Quantity
		}
		out = append(out, l)
	}
	return out, ""
}

// amounts reads what a line prints, in the order of rules 1 and 2.
func amounts(in *Ingredient) []measure.Quantity {
	var out []measure.Quantity
	add := func(s string) {
		if q, err := measure.Parse(strings.Replace(s, " oz eq", " oz", 1)); err == nil {
			out = append(out, q)
		}
	}
	q, err := measure.Parse(in.Quantity)
	if err == nil && q.Dimension() == measure.Count {
		if m := pieceNote.FindStringSubmatch(in.Notes); m != nil {
			if w, err := measure.Parse(m[1] + " " + m[2]); err == nil {
				out = append(out, w.Times(q.Amount()))
			}
		}
	}
	if err == nil && q.Dimension() == measure.Volume {
		if m := cupNote.FindStringSubmatch(in.Notes); m != nil {
			if w, err := measure.Parse(m[1] + " oz"); err == nil {
				cups, _ := q.In(measure.Cup)
				out = append(out, w.Times(cups))
			}
		}
	}
	add(in.Quantity)
	if cans := canNote.FindString(in.Notes); cans != "" {
		add(cans)
	}
	if in.Measure != "" {
		add(in.Measure)
	}
	return out
}

// Cold reports whether the dish is served raw (rule 7).
func (c *Case) Cold() bool { return coldWords.MatchString(normal(c.Title + " " + c.Portion.Size)) }

// printsMeats reports whether the card claims a meat alternate at all (rule
// 11).
func (c *Case) printsMeats() bool {
	return slices.ContainsFunc(c.Expected, func(e Expected) bool { return e.Figure == "meats" })
}

// component returns what a line credits as, for a figure of the case.
func (l *line) component(c *Case, e *Expected) food.Component {
	if len(l.food.Components) == 0 {
		return food.NoComponent
	}
	if l.food.Traits.Has(food.Legume) && l.food.CanCredit(food.Meats) && l.food.CanCredit(food.Vegetables) {
		if c.printsMeats() && e.Legumes != "vegetables" {
			return food.Meats
		}
		return food.Vegetables
	}
	return l.food.Components[0]
}

// ingredient reads a line with one of its amounts.
func (l *line) ingredient(c *Case, e *Expected, amount int) recipe.Ingredient {
	comp := l.component(c, e)
	in := recipe.Ingredient{Food: l.food.ID, Name: l.card.Name, NotCrediting: l.skip}
	if amount < len(l.amounts) {
		in.Quantity = l.amounts[amount]
	}
	if comp == food.NoComponent || l.skip {
		return in
	}
	if len(l.food.Components) > 1 {
		in.CreditAs = comp.String()
	}
	if l.food.GrainUse == food.Either {
		in.ExhibitAGroup = "D" // rule 12; any of A to G says the same
	}
	in.Basis, in.State = l.basis(comp, in.Quantity), l.state(c, comp, in.Quantity)
	if l.fixed.Basis != "" {
		in.Basis = l.fixed.Basis
	}
	if l.fixed.State != "" {
		in.State = l.fixed.State
	}
	return in
}

func (l *line) has(word string) bool {
	return slices.Contains(strings.FieldsFunc(l.words, func(r rune) bool { return r == ' ' || r == ',' || r == ';' }), word)
}

// basis says what the amount measures (rules 5 and 6).
func (l *line) basis(comp food.Component, q measure.Quantity) string {
	if l.has("cooked") && (comp == food.Grains || l.food.Traits.Has(food.Legume)) {
		return "as-served"
	}
	if q.Dimension() != measure.Mass || comp == food.Grains || l.food.Form == "dry" {
		return ""
	}
	if readyWords.MatchString(l.words) {
		return "usable"
	}
	if m, err := measure.Parse(l.card.Measure); err == nil && m.Dimension() == measure.Volume && l.food.Form == "fresh" {
		return "usable"
	}
	return ""
}

// state says how the food is served (rules 7 to 10).
func (l *line) state(c *Case, comp food.Component, q measure.Quantity) string {
	f := l.food
	if comp == food.Grains {
		if l.has("cooked") {
			return "cooked"
		}
		return ""
	}
	cooked := cookedWords.MatchString(l.words)
	hot := cooked || comp == food.Meats || comp == food.Vegetables && !c.Cold()
	var want []string
	switch {
	case f.Form == "canned" && l.has("drained") && q.Dimension() == measure.Volume:
		want = []string{"drained", "drained-unheated"}
	case f.Form == "canned" && (l.has("drained") || f.Traits.Has(food.Legume)) && hot && !c.Cold():
		want = []string{"heated-drained", "heated", "drained"}
	case f.Form == "canned" && l.has("drained"):
		want = []string{"drained-unheated", "drained"}
	case f.Form == "canned" && hot:
		want = []string{"with-juice", "heated", "as-is", "heated-drained", "drained"}
	case f.Form == "canned":
		want = []string{"with-juice", "as-is", "drained"}
	case f.Form == "fresh" && hot && !cooked && simmerWords.MatchString(normal(c.Title)):
		want = append([]string{"cooked-boiled"}, cuts("cooked", l.words)...)
	case f.Form == "fresh" && hot:
		want = cuts("cooked", l.words)
	case f.Form == "fresh":
		want = cuts("raw", l.words)
	case f.Form == "frozen" && hot:
		want = []string{"cooked", "heated", "thawed", "frozen"}
	case f.Form == "frozen":
		want = []string{"thawed", "frozen", "raw", "heated", "cooked"}
	case f.Form == "dry":
		want = []string{"cooked"}
	default:
		return ""
	}
	// A state with a crediting figure first, then one with a cup weight.
	for _, s := range want {
		if slices.ContainsFunc(f.Figures, func(g *food.Figure) bool {
			return g.Kind == food.Servings && g.Component == comp && food.Matches(g.State, s)
		}) {
			return s
		}
	}
	for _, s := range want {
		if slices.ContainsFunc(f.Figures, func(g *food.Figure) bool { return g.Kind == food.CupWeight && food.Matches(g.State, s) }) {
			return s
		}
	}
	return want[0]
}

// cuts lists the states of a family, nearest to the words first.
func cuts(family, words string) []string {
	var out []string
	for _, w := range cutWords.FindAllString(words, -1) {
		out = append(out, family+"-"+w)
		switch w {
		case "cubed":
			out = append(out, family+"-diced", family+"-chopped")
		case "diced":
			out = append(out, family+"-chopped", family+"-cubed")
		case "chopped", "halved":
			out = append(out, family+"-diced")
		}
	}
	if family == "raw" {
		out = append(out, family+"-chopped", family+"-diced")
	}
	return append(out, family)
}

// request reads a case into a request for one figure. Amounts says which amount
// of each line is tried; left marks lines left out.
func (r *Reader) request(c *Case, e *Expected, lines []line, tried []int, left []bool) credit.Request {
	era := r.corpus.eras[c.Rule]
	rec := &recipe.Recipe{Name: c.Title, Servings: c.Servings}
	for i := range lines {
		in := lines[i].ingredient(c, e, tried[i])
		in.NotCrediting = in.NotCrediting || left[i]
		rec.Ingredients = append(rec.Ingredients, in)
	}
	return credit.Request{Recipe: rec, On: era.On, Program: era.Program}
}

// product reads the first line as a bought grain product of Exhibit A groups A
// to G: one the name gives the group of, or a food of the catalog. Popcorn and
// cereals go by a recipe.
func (r *Reader) product(c *Case, e *Expected) (credit.Request, bool) {
	if len(c.Ingredients) == 0 {
		return credit.Request{}, false
	}
	in := c.Ingredients[0]
	group := ""
	if m := groupName.FindStringSubmatch(normal(in.Name)); m != nil {
		group = strings.ToUpper(m[1])
	} else if n, ok := r.corpus.names[[2]string{normal(in.Name), normal(in.Form)}]; ok {
		if f, ok := r.catalog.Food(n.Food); ok && f.ExhibitAGroup >= 'A' && f.ExhibitAGroup <= 'G' {
			group = string(f.ExhibitAGroup)
		}
	}
	if group == "" {
		return credit.Request{}, false
	}
	text := in.Quantity
	if e.Of != nil && e.Of.Quantity != "" {
		text = e.Of.Quantity
	}
	q, err := measure.Parse(text)
	if err != nil {
		return credit.Request{}, false
	}
	era := r.corpus.eras[c.Rule]
	return credit.Request{Product: &credit.Product{Name: in.Name, Weight: q, ExhibitAGroup: group}, On: era.On, Program: era.Program}, true
}

// ounces returns the ounces of the first ingredient in one serving.
func (c *Case) ounces() (exact.Number, bool) {
	q, err := measure.Parse(c.Ingredients[0].Quantity)
	if err != nil || q.Dimension() != measure.Mass {
		return exact.Number{}, false
	}
	n, ok := q.In(measure.Ounce)
	return n.Quo(exact.Int(int64(c.Servings))), ok
}
