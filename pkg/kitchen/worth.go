package kitchen

import (
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// worth is what one food of a line brings a batch, for the amount as it is
// written. It is the engine's own figure: amounts go through ratios only, so twice
// the amount brings twice as much.
type worth struct {
	key
	line   int
	value  exact.Number // credit, before floors; ounces of surimi
	sure   bool         // every figure behind it is documented
	dried  exact.Number // cups of dried fruit as served
	hidden bool
	table  *table // of printed weights, or nil
	weight exact.Number
	food   string // whose, and of which component: in a smoothie each must reach the least by itself
	grain  grainPart
}

// grainPart says whether grain counts as whole.
type grainPart uint8

const (
	otherGrain grainPart = iota
	wholeGrain
	mixedGrain // not known
)

// table is printed least weights that grain products, or surimi, are held to.
type table struct {
	rule   *rules.Value
	surimi bool // only the largest row counts, once
}

// credit is what a weight in a portion earns; sure, what documented rows of the
// table alone carry of it, which is less where a row is from memory.
func (t *table) credit(w exact.Number, sure bool) exact.Number {
	earned := exact.Number{}
	if !t.surimi {
		full := t.rule.Steps[0].Least
		whole, rest := w.RoundDown(full)
		earned, w = whole.Quo(full), rest
	}
	for i := range t.rule.Steps {
		if s := &t.rule.Steps[i]; !w.Less(s.Least) {
			if sure && !s.Source.Documented() {
				return earned
			}
			return earned.Add(s.Credit)
		}
	}
	return earned
}

// most is the most a weight from one mark on and below another earns.
func (t *table) most(from, below exact.Number, sure bool) exact.Number {
	best := t.credit(from, sure)
	for x, ok := t.above(from); ok && x.Less(below); x, ok = t.above(x) {
		best = exact.Max(best, t.credit(x, sure))
	}
	return best
}

// above returns the least printed weight above w, and whether there is one.
func (t *table) above(w exact.Number) (exact.Number, bool) {
	base := exact.Number{}
	if !t.surimi {
		base = w.DownTo(t.rule.Steps[0].Least)
	}
	for i := len(t.rule.Steps) - 1; i >= 0; i-- {
		if n := base.Add(t.rule.Steps[i].Least); w.Less(n) {
			return n, true
		}
	}
	return exact.Number{}, false
}

// below returns the largest printed weight below w, and whether there is one.
func (t *table) below(w exact.Number) (exact.Number, bool) {
	full := t.rule.Steps[0].Least
	bases := []exact.Number{{}}
	if !t.surimi {
		base := w.DownTo(full)
		bases = []exact.Number{base}
		if !base.Less(full) {
			bases = append(bases, base.Sub(full))
		}
	}
	for _, base := range bases {
		for i := range t.rule.Steps {
			if n := base.Add(t.rule.Steps[i].Least); n.Less(w) {
				return n, true
			}
		}
	}
	return exact.Number{}, false
}

// rate is the most a table earns for a unit of weight.
func (t *table) rate() exact.Number {
	most := exact.Number{}
	for i := range t.rule.Steps {
		most = exact.Max(most, t.rule.Steps[i].Credit.Quo(t.rule.Steps[i].Least))
	}
	return most
}

// linear is what all lines bring.
type linear struct {
	parts  []worth
	tables map[string]*table
	barren []exact.Number // grams of grain that does not credit, by line; nil when there is none
	limit  *exact.Number  // of it in a portion; nil when none is in force
	known  bool           // every line could be worked out
}

// surimiRule is the rule of surimi's printed weights.
const surimiRule = "meats/surimi/oz"

// model asks the engine what each line brings by itself, in so many servings that
// nothing reaches a step: then the ledger has the bare amounts.
func (s *search) model() {
	s.linear = linear{tables: make(map[string]*table), known: true}
	barren := false
	for i := range s.base.Ingredients {
		alone := s.alone(i)
		rec, err := s.engine.Credit(s.with(alone))
		if err != nil {
			s.linear.known = false
			continue
		}
		s.worthOf(i, rec)
		for k := range rec.Ingredients {
			f := rec.Ingredients[k].Food
			barren = barren || f.NoCredit == "refined-not-enriched" || f.GrainKind == food.NotCreditableGrain && f.CanCredit(food.Grains)
		}
	}
	if barren {
		s.barrenGrain()
	}
}

// crumb makes an amount small.
var crumb = exact.Frac(1, 1000)

// alone is a recipe of one line.
func (s *search) alone(line int) *recipe.Recipe {
	r := *s.base
	r.Servings, r.Portions, r.GrainsMethod, r.Dessert, r.YieldTest = recipe.MaxServings, nil, "", "", nil
	r.Ingredients = []recipe.Ingredient{r.Ingredients[line]}
	r.Ingredients[0].Quantity = r.Ingredients[0].Quantity.Times(crumb)
	return &r
}

// worthOf reads what a line brings off the ledger of its record.
func (s *search) worthOf(line int, rec *credit.Record) {
	factor := s.number("fruits/dried-factor")
	for i := range rec.Steps {
		st := &rec.Steps[i]
		if st.Operation != credit.Amount || st.Ingredient < 0 || st.Value.IsZero() {
			continue
		}
		l := &rec.Ingredients[st.Ingredient]
		if strings.HasPrefix(l.Reason, "a grain-based dessert") {
			continue
		}
		w := worth{key: key{st.Component, st.Subgroup}, line: line, value: st.Value.Quo(crumb), sure: true, food: st.Component.String() + " " + l.Food.ID + "/" + l.Food.Name}
		for _, t := range st.Terms {
			w.sure = w.sure && (t.Figure < 0 || rec.Figures[t.Figure].Source.Documented())
		}
		if l.Food.Traits.Has(food.DriedFruit) && food.Uncooked(l.State) && !factor.IsZero() {
			w.dried = w.value.Quo(factor)
		}
		w.hidden = s.base.Ingredients[line].Hidden || strings.HasPrefix(l.Reason, "a hidden puree")
		switch l.Food.GrainKind {
		case food.WholeGrain, food.Nixtamalized:
			w.grain = wholeGrain
		case food.MixedGrain:
			w.grain = mixedGrain
		}
		if st.Component == food.Grains && l.Food.GrainUse == food.Prepared && s.printed() {
			if t := s.tableOf(st.Rule); t != nil {
				w.table, w.weight = t, w.value.Mul(t.rule.Steps[0].Least)
			}
		}
		if st.Rule == surimiRule {
			w.table, w.weight, w.value = s.tableOf(st.Rule), w.value, exact.Number{}
		}
		s.linear.parts = append(s.linear.parts, w)
	}
}

// printed reports whether bought grain products are held to printed weights.
func (s *search) printed() bool {
	return s.rs.Options["exhibit-a-fractions"] != "division" && s.rs.Options["non-table-exhibit-a"] != "pooled"
}

func (s *search) tableOf(rule string) *table {
	if t := s.linear.tables[rule]; t != nil {
		return t
	}
	v, err := s.rs.Get(rule)
	if err != nil || len(v.Steps) == 0 {
		return nil
	}
	t := &table{v, rule == surimiRule}
	s.linear.tables[rule] = t
	return t
}

// number returns the value of a rule, or 0 when it is not in force.
func (s *search) number(rule string) exact.Number {
	if !s.rs.Has(rule) {
		return exact.Number{}
	}
	v, _ := s.rs.Get(rule)
	return v.Number
}

// barrenGrain asks the engine how much grain that does not credit each line
// brings: beside grain that does, and far above the limit, it tells the grams.
func (s *search) barrenGrain() {
	id := "grains/noncreditable/baked"
	if s.base.ExhibitAGroup >= "H" {
		id = "grains/noncreditable/cooked"
	}
	beside := -1
	for i := range s.linear.parts {
		if p := &s.linear.parts[i]; p.component == food.Grains {
			beside = p.line
			break
		}
	}
	if !s.rs.Has(id) || s.rs.Options["noncreditable-grain"] == "note" || beside < 0 && !s.byWeight() {
		return
	}
	limit := s.number(id)
	s.linear.limit, s.linear.barren = &limit, make([]exact.Number, len(s.base.Ingredients))
	const much = 1_000_000
	grams := func(lines ...int) exact.Number {
		r := *s.base
		r.Servings, r.Dessert, r.YieldTest, r.Ingredients = 1, "", nil, nil
		if !s.byWeight() {
			r.Portions, r.GrainsMethod = nil, ""
		}
		for _, i := range lines {
			in := s.base.Ingredients[i]
			in.Quantity = in.Quantity.Times(exact.Int(much))
			r.Ingredients = append(r.Ingredients, in)
		}
		rec, err := s.engine.Credit(s.with(&r))
		if err != nil {
			s.linear.known = false
			return exact.Number{}
		}
		for i := range rec.Findings {
			if f := &rec.Findings[i]; f.Reason == credit.NonCreditable {
				return f.Share.Quo(exact.Int(much))
			}
		}
		return exact.Number{}
	}
	if s.byWeight() { // no grain is needed beside
		for i := range s.base.Ingredients {
			s.linear.barren[i] = grams(i)
		}
		return
	}
	own := grams(beside)
	for i := range s.base.Ingredients {
		if s.linear.barren[i] = own; i != beside {
			s.linear.barren[i] = grams(beside, i).Sub(own)
		}
	}
}
