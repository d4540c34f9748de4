package credit

import (
	"slices"
	"strconv"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
)

// findings collects what to know and to check.
func (w *work) findings() {
	w.estimates()
	for i := 0; w.traits&(food.NeedsPapers|food.Legume) != 0 && i < len(w.rec.Ingredients); i++ {
		l := &w.rec.Ingredients[i]
		if l.Food.Traits.Has(food.NeedsPapers) && l.Reason != "" {
			w.find(Finding{Severity: Check, Reason: PaperMissing, Ingredient: i})
		}
		if l.Food.Traits.Has(food.Legume) && l.Component == food.Vegetables && l.Food.CanCredit(food.Meats) {
			w.find(Finding{Severity: Note, Reason: LegumeChoice, Ingredient: i, Component: food.Meats})
		}
	}
	for i := 0; w.unsure && i < len(w.parts); i++ {
		if p := &w.parts[i]; p.states != nil {
			w.find(Finding{Severity: Note, Reason: StateAssumed, Ingredient: p.ingredient, Words: p.states})
		}
	}
	w.yieldTest()
	w.checks()
	w.wholeGrain()
	w.cautions()
}

// yieldTest compares what a weighed batch gave with what the recipe says.
func (w *work) yieldTest() {
	if w.req.Recipe == nil || w.req.Recipe.YieldTest == nil {
		return
	}
	r, t := w.req.Recipe, w.req.Recipe.YieldTest
	if t.PortionsMade > 0 && t.PortionsMade != r.Servings {
		w.find(Finding{Severity: Check, Reason: YieldTested, Ingredient: -1, Words: []string{strconv.Itoa(t.PortionsMade), strconv.Itoa(r.Servings)}})
	}
	portion := w.rec.Portion.Weight
	if t.WeightAfter.IsZero() || portion.IsZero() || w.portion > 0 {
		return
	}
	ready := w.weight(t.WeightAfter, portion.Unit())
	if !t.PanLoss.IsZero() {
		ready = ready.Sub(w.weight(t.PanLoss, portion.Unit()))
	}
	if ready.Sign() <= 0 {
		return
	}
	// A twentieth either way is what scoops and cuts vary by anyway.
	each := ready.Quo(w.servingsMade())
	low, high := portion.Amount().Mul(exact.Frac(19, 20)), portion.Amount().Mul(exact.Frac(21, 20))
	if each.Less(low) || high.Less(each) {
		w.find(Finding{Severity: Check, Reason: PortionOff, Ingredient: -1, Share: each, Words: []string{portion.Unit().ID, portion.Text()}})
	}
}

// checks names what a label or a weighing must show.
func (w *work) checks() {
	for i := range w.parts {
		p := &w.parts[i]
		switch {
		case p.food.Traits.Has(food.Tofu):
			w.find(Finding{Severity: Check, Reason: CheckLabel, Ingredient: p.ingredient, Words: []string{"at least 5 g of protein in 2.2 oz by weight"}})
		case p.component == food.Meats && p.food.Figure(food.Protein, nil) != nil:
			w.find(Finding{Severity: Check, Reason: CheckLabel, Ingredient: p.ingredient, Words: []string{"the maker's papers for an alternate protein product: percent protein as-is, 18 percent when hydrated, protein quality of at least 80 percent of casein"}})
		}
		if w.smoothie && (p.component == food.Fruits || p.component == food.Vegetables) && !p.left {
			w.find(Finding{Severity: Note, Reason: CountsAsJuice, Ingredient: p.ingredient, Component: p.component})
		}
	}
	w.ownFigures()
	if w.req.Recipe == nil || !w.shares {
		return
	}
	for i := range w.rec.Ingredients {
		l := &w.rec.Ingredients[i]
		if i > 0 && l.at == w.rec.Ingredients[i-1].at && l.index == w.rec.Ingredients[i-1].index {
			continue // another component of the same product
		}
		if l.at == nil && !w.req.Recipe.Ingredients[l.index].Share.IsZero() {
			w.find(Finding{Severity: Check, Reason: ShareGiven, Ingredient: i, Words: []string{w.req.Recipe.Ingredients[l.index].Share.String()}})
		}
	}
}

// find notes a finding. What is found about the whole is noted once, however
// many ingredients lead to it.
func (w *work) find(f Finding) {
	if f.Ingredient < 0 {
		for i := range w.rec.Findings {
			g := &w.rec.Findings[i]
			if g.Reason == f.Reason && g.Component == f.Component && g.Ingredient < 0 && slices.Equal(g.Words, f.Words) {
				return
			}
		}
	}
	w.rec.Findings = append(w.rec.Findings, f)
}

// estimates names, for each credit that is an estimate, the figures to check.
func (w *work) estimates() {
	for i := range w.rec.Credits {
		cr := &w.rec.Credits[i]
		if cr.Status != Estimate || cr.Subgroup != food.NoSubgroup {
			continue
		}
		var figs []int
		// A hidden puree counts with what is shown beside it, of either component.
		beside := slices.ContainsFunc(w.parts, func(p part) bool { return p.component == cr.Component && p.hidden && p.lent })
		for _, s := range w.rec.Steps {
			if s.Component != cr.Component && !(beside && (s.Component == food.Fruits || s.Component == food.Vegetables)) {
				continue
			}
			for _, t := range s.Terms {
				if t.Figure >= 0 && !w.rec.Figures[t.Figure].Source.Documented() && !slices.Contains(figs, int(t.Figure)) {
					figs = append(figs, int(t.Figure))
				}
			}
		}
		w.find(Finding{Severity: Check, Reason: EstimatedFigure, Component: cr.Component, Ingredient: -1, Figures: figs})
	}
}

// ownFigures names foods of the recipe for which the caller brought figures
// that the work did not use: a misspelt state, most often.
func (w *work) ownFigures() {
	if len(w.req.Foods) == 0 {
		return
	}
	for i := range w.rec.Ingredients {
		l := &w.rec.Ingredients[i]
		brought, used := false, false
		for _, g := range l.Food.Figures {
			if g.Own {
				brought = true
				used = used || slices.Contains(w.rec.Figures, &g.Record)
			}
		}
		if l.Food.Described && l.Component != food.NoComponent {
			w.find(Finding{Severity: Check, Reason: OwnDescription, Ingredient: i})
		}
		if brought && !used && l.Component != food.NoComponent {
			w.find(Finding{Severity: Check, Reason: OwnFigureUnused, Ingredient: i})
		}
	}
}

// wholeGrain reports the whole share of the creditable grain, which decides
// whether the dish can be whole grain-rich. Leaving grain out never makes it so.
func (w *work) wholeGrain() {
	if w.total.IsZero() {
		return
	}
	whole, all := exact.Number{}, true
	for i := range w.parts {
		p := &w.parts[i]
		if p.component != food.Grains || p.left {
			continue
		}
		switch p.food.GrainKind {
		case food.WholeGrain, food.Nixtamalized:
			whole = whole.Add(p.opt.chain.value)
		case food.MixedGrain:
			return // not known
		default:
			all = false
		}
	}
	if all {
		whole = w.total
	}
	share := whole.Quo(w.total)
	if w.setAside && !share.Less(exact.Frac(1, 2)) {
		return // grain left out of the credit is still in the dish: half may be less than half
	}
	w.find(Finding{Severity: Note, Reason: WholeGrainShare, Component: food.Grains, Ingredient: -1, Share: share})
}

// careAges are the programs that serve children under four, where choking and
// honey matter.
var careAges = []string{"preschool", "child-adult-care", "summer"}

func (w *work) cautions() {
	if len(w.rec.Ingredients) == 0 {
		return
	}
	var contained food.AllergenSet
	var room [8]string
	gluten, ask := false, room[:0]
	young := slices.Contains(careAges, w.rec.Program.ID)
	const hard = food.WholeLargeRound | food.Nut | food.Seed | food.DriedFruit | food.Popcorn
	for i := range w.rec.Ingredients {
		f := w.rec.Ingredients[i].Food
		contained |= f.Contains
		gluten = gluten || f.Gluten == "contains"
		if f.Gluten == "ask" && !slices.Contains(ask, f.Name) {
			ask = append(ask, f.Name)
		}
		if young && f.Traits&hard != 0 {
			w.find(Finding{Severity: Caution, Reason: ChokingHazard, Ingredient: i})
		}
		if young && f.Traits.Has(food.Honey) {
			w.find(Finding{Severity: Caution, Reason: HoneyInfants, Ingredient: i})
		}
	}
	w.find(Finding{Severity: Caution, Reason: AllergensListed, Ingredient: -1, Words: contained.Names()})
	f := Finding{Severity: Caution, Reason: GlutenNotListed, Ingredient: -1}
	if gluten {
		f.Reason = GlutenListed
	}
	if len(ask) > 0 {
		f.Words = slices.Clone(ask)
	}
	w.find(f)
}
