package credit

import (
	"slices"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
)

// findings collects what to know and to check.
func (w *work) findings() {
	w.estimates()
	for i := range w.rec.Ingredients {
		l := &w.rec.Ingredients[i]
		if l.Food.Traits.Has(food.NeedsPapers) && l.Reason != "" {
			w.find(Finding{Severity: Check, Reason: PaperMissing, Ingredient: i})
		}
		if l.Food.Traits.Has(food.Legume) && l.Component == food.Vegetables && l.Food.CanCredit(food.Meats) {
			w.find(Finding{Severity: Note, Reason: LegumeChoice, Ingredient: i, Component: food.Meats})
		}
	}
	for i := range w.parts {
		if p := &w.parts[i]; p.states != nil {
			w.find(Finding{Severity: Note, Reason: StateAssumed, Ingredient: p.ingredient, Words: p.states})
		}
	}
	w.wholeGrain()
	w.cautions()
}

func (w *work) find(f Finding) { w.rec.Findings = append(w.rec.Findings, f) }

// estimates names, for each credit that is an estimate, the figures to check.
func (w *work) estimates() {
	for i := range w.rec.Credits {
		cr := &w.rec.Credits[i]
		if cr.Status != Estimate || cr.Subgroup != food.NoSubgroup {
			continue
		}
		var figs []int
		for _, s := range w.rec.Steps {
			if s.Component != cr.Component {
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

// wholeGrain reports the whole share of the creditable grain, which decides
// whether the dish can be whole grain-rich.
func (w *work) wholeGrain() {
	if w.total.IsZero() {
		return
	}
	whole, some, all := exact.Number{}, false, true
	for i := range w.parts {
		p := &w.parts[i]
		if p.component != food.Grains {
			continue
		}
		switch p.food.GrainKind {
		case food.WholeGrain, food.Nixtamalized:
			some = true
		case food.MixedGrain:
			return // not known
		default:
			all = false
		}
	}
	switch {
	case all:
		whole = w.total
	case some:
		for i := range w.parts {
			p := &w.parts[i]
			if p.component == food.Grains && (p.food.GrainKind == food.WholeGrain || p.food.GrainKind == food.Nixtamalized) {
				whole = whole.Add(p.opt.chain.value)
			}
		}
	}
	w.find(Finding{Severity: Note, Reason: WholeGrainShare, Component: food.Grains, Ingredient: -1, Share: whole.Quo(w.total)})
}

// careAges are the programs that serve children under four, where choking and
// honey matter.
var careAges = []string{"preschool", "child-adult-care", "summer"}

func (w *work) cautions() {
	var listed [16]string
	allergens, gluten, ask := listed[:0], false, listed[8:8]
	young := slices.Contains(careAges, w.rec.Program.ID)
	for i := range w.rec.Ingredients {
		f := w.rec.Ingredients[i].Food
		for _, a := range f.Allergens {
			if !slices.Contains(allergens, a) {
				allergens = append(allergens, a)
			}
		}
		gluten = gluten || f.Gluten == "contains"
		if f.Gluten == "ask" && !slices.Contains(ask, f.Name) {
			ask = append(ask, f.Name)
		}
		if young && (f.Traits.Has(food.WholeLargeRound) || f.Traits.Has(food.Nut) || f.Traits.Has(food.Seed) || f.Traits.Has(food.DriedFruit) || f.Traits.Has(food.Popcorn)) {
			w.find(Finding{Severity: Caution, Reason: ChokingHazard, Ingredient: i})
		}
		if young && f.Traits.Has(food.Honey) {
			w.find(Finding{Severity: Caution, Reason: HoneyInfants, Ingredient: i})
		}
	}
	if len(w.rec.Ingredients) == 0 {
		return
	}
	w.find(Finding{Severity: Caution, Reason: AllergensListed, Ingredient: -1, Words: slices.Clone(allergens)})
	f := Finding{Severity: Caution, Reason: GlutenNotListed, Ingredient: -1}
	if gluten {
		f.Reason = GlutenListed
	}
	if len(ask) > 0 {
		f.Words = slices.Clone(ask)
	}
	w.find(f)
}
