package published

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
)

// Verdict of a comparison.
type Verdict string

// The verdicts.
const (
	Match         Verdict = "match"
	Under         Verdict = "under" // we credit less than is published
	Over          Verdict = "over"  // we credit more than is published
	NotComputable Verdict = "not-computable"
)

// Causes is the closed list of why an outcome is no match, and what each means.
var Causes = map[string]string{
	// The publisher.
	"cooked-yield-not-on-card":         "the card uses a cooked yield it does not print, and ours is another",
	"publisher-claims-less":            "the card's own amounts give more than it claims",
	"publisher-claims-more":            "the card claims more than its amounts give by any figure of ours",
	"legume-cups-stepped-first":        "the card rounds cups of beans down to 1/8 before turning them into ounces",
	"each-ingredient-floored":          "the card rounds each ingredient down before adding",
	"subgroups-pooled-into-other":      "the card puts subgroups together, or a food of another subgroup, under other",
	"small-batch-keeps-parent-numbers": "a small batch prints the credits of the large one it was scaled from",
	"slip-in-printed-quantity":         "a printed amount contradicts another on the same card",
	"requirement-printed":              "the card prints the meal pattern's requirement, not what the dish gives",
	"scoop-basis":                      "the card credits the scoop served, not the batch",
	"adhering-breading-only":           "the card counts only the breading that adheres",
	"two-bases-in-one-card":            "the card credits two ingredients on two bases",
	"flour-that-thickens-left-out":     "the card leaves out the flour that thickens its sauce",
	"pasta-by-cooked-volume":           "the card credits pasta by the cup cooked, not by the dry weight",
	"printed-range-low-end":            "the card prints a range, and only its high end gives the figure",
	"optional-line-left-out":           "the figure needs a line the card marks as optional",
	"publisher-rounds":                 "the publisher rounds a figure up, to nearest, or to a handy quarter",
	"old-ladder-table":                 "a superseded table with rounded steps, or with steps it does not print",
	// Ours.
	"can-yield-short":      "the catalog's yield of a can falls short of the card's",
	"figure-below-card":    "a figure of the catalog is lower than the card's amounts imply",
	"short-subgroup-fills": "a subgroup of ours falls short of the card's and fills other with what it has",
	"no-figure-in-catalog": "the catalog has no figure for the food in this state or unit",
	"no-way-in-engine":     "the catalog has the figures, and the engine has no way from this amount to them",
	"state-not-on-card":    "the card does not say how the food is served, and it decides",
	"needs-papers":         "the product needs its own statement, CN label or weight",
	"decided-from-words":   "it is decided from the words of a label, which the engine does not read",
	"not-built-yet":        "the engine does not answer this yet",
}

// given are the causes [Runner.Run] gives by itself.
var given = []string{"no-figure-in-catalog", "state-not-on-card", "decided-from-words", "not-built-yet"}

var strengths = []string{"independent", "derived", "definition", "fitted"}

// Outcome is one figure compared.
type Outcome struct {
	Case         *Case
	Expected     *Expected
	Key          string // names the figure within its case
	Ours         string
	Exact        string // cut to four places
	Verdict      Verdict
	Cause        string
	Left         []string // ingredients left out for want of a figure
	Alternatives []string // bases of other answers our record prints that are the published one
	Reason       string   // of a fault
	Component    string   // for the table: grains, meats, fruits, vegetables or other
	Status       credit.Status
	GivenBack    bool // the engine only hands back what the case's paper claims
}

// Runner compares cases with the engine.
type Runner struct {
	*Reader
	engine *credit.Engine
}

// NewRunner returns a runner.
func NewRunner(c *Corpus, e *credit.Engine) *Runner { return &Runner{NewReader(c, e.Catalog()), e} }

// answered reports whether a figure is a number this harness can compare.
func answered(figure string) bool {
	if servingsPerUnit.MatchString(figure) {
		return true
	}
	switch figure {
	case "grains", "meats", "fruits", "vegetables", "grains exact", "oz per serving":
		return true
	}
	return strings.HasPrefix(figure, "vegetables/")
}

// servingsPerUnit are the columns of a yield table. The engine works from the
// finest and never prints the others.
var servingsPerUnit = regexp.MustCompile(`^servings of (1/4|3/8) (cup) per unit$|^servings of (1) (oz eq) per (batch|lb)$`)

// Run compares every figure of every case.
func (r *Runner) Run() []*Outcome {
	var out []*Outcome
	for _, c := range r.corpus.Cases {
		for i := range c.Expected {
			out = append(out, r.one(c, &c.Expected[i]))
		}
	}
	return out
}

func (r *Runner) one(c *Case, e *Expected) *Outcome {
	o := &Outcome{Case: c, Expected: e, Key: e.Key(), Component: componentOf(e.Figure), Verdict: NotComputable}
	if r.probe(c, e, o) {
		return o
	}
	if !answered(e.Figure) {
		o.Cause, o.Reason = "not-built-yet", "the engine has no answer of this kind"
		return o
	}
	published := exact.MustParse(e.Published)
	if e.Figure == "oz per serving" {
		n, ok := c.ounces()
		if !ok {
			o.Cause, o.Reason = "not-built-yet", "no weight"
			return o
		}
		o.compare(published, n.Cut(places(e.Published)), n)
		return o
	}
	rec := r.credit(c, e, o)
	if rec == nil {
		return o
	}
	comp, sub := target(c, e)
	cr, _ := rec.SubgroupCredit(comp, sub)
	o.Status = cr.Status
	if m := servingsPerUnit.FindStringSubmatch(e.Figure); m != nil {
		size := exact.MustParse(m[1] + m[3])
		n := cr.Exact.Mul(exact.Int(int64(c.Servings))).Quo(size)
		if m[5] == "lb" {
			w, _ := c.ounces()
			n = n.Quo(w.Mul(exact.Int(int64(c.Servings)))).Mul(exact.Int(16))
		}
		o.compare(published, n.Cut(places(e.Published)), n)
		return o
	}
	if len(rec.Also) > 0 {
		// A statement worked out again: what stands behind the claim left of it.
		again, _ := rec.Also[0].SubgroupCredit(comp, sub)
		cr.Exact = again.Exact
	}
	if e.Figure == "grains exact" {
		o.compare(published, cr.Exact.Cut(places(e.Published)), cr.Exact)
		return o
	}
	o.compare(published, cr.Credited, cr.Exact)
	if o.Verdict != Match {
		for _, a := range cr.Alternatives {
			if a.Credited.Equal(published) {
				o.Alternatives = append(o.Alternatives, string(a.Basis))
			}
		}
	}
	if o.Verdict == Under && len(o.Left) > 0 {
		// What was left out may be the difference.
		o.Verdict, o.Cause = NotComputable, "no-figure-in-catalog"
	}
	return o
}

// compareNeed compares an amount that a credit needs: the less of it is needed,
// the more is credited.
func (o *Outcome) compareNeed(published, ours, exactly exact.Number) {
	o.compare(published, ours, exactly)
	switch o.Verdict {
	case Under:
		o.Verdict = Over
	case Over:
		o.Verdict = Under
	}
}

func (o *Outcome) compare(published, ours, exactly exact.Number) {
	o.Ours, o.Exact = ours.TrimmedDecimal(4), exactly.TrimmedDecimal(4)
	switch ours.Cmp(published) {
	case 0:
		o.Verdict = Match
	case -1:
		o.Verdict = Under
	default:
		o.Verdict = Over
	}
}

// places counts the decimals a publisher prints.
func places(s string) int {
	if _, frac, ok := strings.Cut(s, "."); ok {
		return len(frac)
	}
	return 0
}

// target returns the credit a figure is about.
func target(c *Case, e *Expected) (food.Component, food.Subgroup) {
	name, sub, _ := strings.Cut(e.Figure, "/")
	switch name = strings.TrimSuffix(name, " exact"); {
	case strings.HasPrefix(e.Figure, "servings of") && strings.Contains(e.Figure, "cup"):
		return food.Vegetables, food.NoSubgroup
	case strings.HasPrefix(e.Figure, "servings of"):
		return food.Meats, food.NoSubgroup
	}
	comp, _ := food.ParseComponent(name)
	s, _ := food.ParseSubgroup(sub)
	return comp, s
}

func componentOf(figure string) string {
	for _, c := range []string{"grains", "meats", "fruits", "vegetables"} {
		if strings.HasPrefix(figure, c) {
			return c
		}
	}
	return "other"
}

// credit runs a case for one figure. When the whole card faults, it is run for
// the figure's component alone; an ingredient the engine has no way for is
// tried in its other printed amounts and then left out, which never credits
// more. A question the card does not answer ends it.
func (r *Runner) credit(c *Case, e *Expected, o *Outcome) *credit.Record {
	if c.Kind == "product_statement" {
		rec, err := r.paper(c, e, o)
		if err != nil {
			o.Cause, o.Reason = "no-figure-in-catalog", reasons(err)
			return nil
		}
		return rec
	}
	if req, ok := r.product(c, e); ok && c.Kind == "exhibit_a" && len(c.Ingredients) == 1 {
		rec, err := r.engine.Credit(req)
		if err != nil {
			o.Cause, o.Reason = "not-built-yet", reasons(err)
			return nil
		}
		return rec
	}
	lines, problem := r.lines(c, e)
	if problem != "" {
		o.Cause, o.Reason = "no-figure-in-catalog", problem
		return nil
	}
	tried, left := make([]int, len(lines)), make([]bool, len(lines))
	comp, sub := target(c, e)
	also := r.also(c, sub)
	alone := false
	for {
		rec, err := r.engine.Credit(r.request(c, e, lines, tried, left))
		if err == nil {
			o.Left = o.Left[:0]
			for i := range lines {
				if left[i] && lines[i].counts(c, e, comp, sub, also) {
					o.Left = append(o.Left, lines[i].card.Name)
				}
			}
			return rec
		}
		o.Reason = reasons(err)
		var faults *fault.List
		if !errors.As(err, &faults) {
			o.Cause = "not-built-yet"
			return nil
		}
		if !alone {
			// First what the figure is not about.
			alone = true
			for i := range lines {
				left[i] = !lines[i].counts(c, e, comp, sub, also)
			}
			continue
		}
		again := false
		for _, f := range faults.Faults {
			i, ok := ingredientOf(f.Path)
			if !ok || left[i] || f.Reason == fault.StateNeeded || !slices.Contains(noWay, f.Reason) {
				continue
			}
			again = true
			if tried[i]+1 < len(lines[i].amounts) {
				tried[i]++
			} else {
				left[i] = true
			}
		}
		if !again {
			o.Cause = "no-figure-in-catalog"
			if slices.ContainsFunc(faults.Faults, func(f fault.Fault) bool { return f.Reason == fault.StateNeeded }) {
				o.Cause = "state-not-on-card"
			}
			return nil
		}
	}
}

// noWay are the faults that say the engine cannot credit an amount.
var noWay = []fault.Reason{fault.NoFigure, fault.UnitNeedsDensity, fault.UnitDoesNotFit, fault.UnknownState}

// also returns the subgroups that a subgroup may be met with beside its own, by
// the rule of the case's era.
func (r *Runner) also(c *Case, sub food.Subgroup) []string {
	era := r.corpus.eras[c.Rule]
	rs, err := r.engine.Rules().Resolve(era.On, era.Program, nil)
	if err != nil || sub != food.OtherVegetables {
		return nil
	}
	v, err := rs.Get("vegetables/other-met-with")
	if err != nil {
		return nil
	}
	return strings.Split(v.Text, ", ")
}

// counts reports whether a line belongs to the credit a figure is about.
func (l *line) counts(c *Case, e *Expected, comp food.Component, sub food.Subgroup, also []string) bool {
	return l.component(c, e) == comp && (sub == food.NoSubgroup || l.food.Subgroup == sub || slices.Contains(also, l.food.Subgroup.String()))
}

var ingredientPath = regexp.MustCompile(`^recipe\.ingredients\[(\d+)\]`)

func ingredientOf(path string) (int, bool) {
	m := ingredientPath.FindStringSubmatch(path)
	if m == nil {
		return 0, false
	}
	i, err := strconv.Atoi(m[1])
	return i, err == nil
}

// reasons writes the faults of an error in one line.
func reasons(err error) string {
	var faults *fault.List
	if !errors.As(err, &faults) {
		return err.Error()
	}
	var out []string
	for _, f := range faults.Faults {
		out = append(out, fmt.Sprintf("%s %s", f.Reason, f.Path))
	}
	return strings.Join(out, "; ")
}
