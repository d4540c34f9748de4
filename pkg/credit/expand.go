package credit

import (
	"strconv"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// Bounds of what a request may bring beside its recipe.
const (
	MaxSubRecipes = 50
	MaxProducts   = 100
	maxNesting    = 5
)

// checkParts reports what is wrong with the sub-recipes and products of a
// request by themselves.
func (req *Request) checkParts(faults *fault.List) {
	if n := len(req.SubRecipes); n > MaxSubRecipes {
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: "subRecipes", Value: strconv.Itoa(n), Want: "at most 50 sub-recipes", Fix: "Send only those this recipe uses."})
		return
	}
	if n := len(req.Products); n > MaxProducts {
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: "products", Value: strconv.Itoa(n), Want: "at most 100 products", Fix: "Send only those this recipe uses."})
		return
	}
	for i := range req.SubRecipes {
		s, path := &req.SubRecipes[i], fault.Index("subRecipes", i)
		s.Check(path, faults)
		same := false
		for k := range i {
			same = same || req.SubRecipes[k].ID == s.ID
		}
		checkID(s.ID, same, path+".id", faults)
	}
	for i := range req.Products {
		p, path := &req.Products[i], fault.Index("products", i)
		p.check(path, faults)
		same := false
		for k := range i {
			same = same || req.Products[k].ID == p.ID
		}
		checkID(p.ID, same, path+".id", faults)
	}
	if len(req.SubRecipes) > 0 && req.Recipe != nil && len(req.Recipe.Ingredients) <= recipe.MaxIngredients {
		req.checkLines(faults)
	}
}

// checkLines refuses a recipe that has too many ingredients once those of its
// sub-recipes stand in it. It counts without writing any out: sub-recipes within
// sub-recipes multiply.
func (req *Request) checkLines(faults *fault.List) {
	counted := make([]int, len(req.SubRecipes)) // 0: not yet; -1: being counted, so a circle
	var lines func(in *recipe.Ingredient) int
	lines = func(in *recipe.Ingredient) int {
		k := -1
		for i := range req.SubRecipes {
			if in.SubRecipe != "" && req.SubRecipes[i].ID == in.SubRecipe {
				k = i
			}
		}
		switch {
		case k < 0 || counted[k] < 0:
			return 1
		case counted[k] > 0:
			return counted[k]
		}
		counted[k] = -1
		n := 0
		for i := range req.SubRecipes[k].Ingredients {
			if n += lines(&req.SubRecipes[k].Ingredients[i]); n > recipe.MaxIngredients {
				break // far enough
			}
		}
		counted[k] = max(n, 1)
		return counted[k]
	}
	n := 0
	for i := range req.Recipe.Ingredients {
		in := &req.Recipe.Ingredients[i]
		if n += lines(in); n > recipe.MaxIngredients {
			at := spot{nil, i}
			faults.Add(fault.Fault{Reason: fault.TooMany, Path: at.path("subRecipe"), Value: in.SubRecipe, Want: "at most " + strconv.Itoa(recipe.MaxIngredients) + " ingredients with those of sub-recipes", Fix: "Credit the parts of the dish apart."})
			return
		}
	}
}

// plainUse refuses what means nothing on an ingredient that is not a food: left
// in silence, it would be taken for done.
func (w *work) plainUse(in *recipe.Ingredient, of string, at spot) {
	for _, x := range [...]struct{ field, value string }{{"creditAs", in.CreditAs}, {"state", in.State}, {"basis", in.Basis}} {
		if x.value != "" {
			w.faults.Add(fault.Fault{Reason: fault.Conflicting, Path: at.path(x.field), Value: x.value, Want: "nothing here: it goes with a food, not with " + of, Fix: "Leave it out, or say it where the food stands."})
		}
	}
}

func checkID(id string, same bool, path string, faults *fault.List) {
	switch {
	case id == "":
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path, Want: "the id ingredients name it by", Fix: "Write a short name, such as pizza-sauce."})
	case same:
		faults.Add(fault.Fault{Reason: fault.Conflicting, Path: path, Value: id, Want: "each id once", Fix: "Give the second one another id."})
	}
}

// subRecipe takes a share of a sub-recipe's batch into the batch: each of its
// ingredients, scaled exactly, stands in the record for itself.
func (w *work) subRecipe(in *recipe.Ingredient, dish string, at spot, within []string) {
	index := -1
	for i := range w.req.SubRecipes {
		if w.req.SubRecipes[i].ID == in.SubRecipe {
			index = i
		}
	}
	if index < 0 {
		w.faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: at.path("subRecipe"), Value: in.SubRecipe, Want: "the id of a recipe in subRecipes", Fix: "Add the recipe to the request, or use a food."})
		return
	}
	for _, id := range within {
		if id == in.SubRecipe {
			w.faults.Add(fault.Fault{Reason: fault.Conflicting, Path: at.path("subRecipe"), Value: in.SubRecipe, Want: "a recipe that does not contain itself", Fix: "Take the circle out."})
			return
		}
	}
	if len(within) == maxNesting {
		w.faults.Add(fault.Fault{Reason: fault.TooDeep, Path: at.path("subRecipe"), Value: in.SubRecipe, Want: "sub-recipes nested at most 5 deep", Fix: "Credit the inner recipe by itself first."})
		return
	}
	sub := &w.req.SubRecipes[index]
	share, ok := w.shareOf(in, sub, at)
	if !ok {
		return
	}
	w.plainUse(in, "a sub-recipe", at)
	if !in.Share.IsZero() {
		share = share.Mul(in.Share)
		w.find(Finding{Severity: Check, Reason: ShareGiven, Ingredient: -1, Words: []string{in.Share.String(), sub.Name}})
	}
	switch {
	case in.ExhibitAGroup != "":
		dish = in.ExhibitAGroup
	case sub.ExhibitAGroup != "":
		dish = sub.ExhibitAGroup
	}
	parts := len(w.parts)
	within = append(within[:len(within):len(within)], in.SubRecipe)
	own := &place{prefix: fault.Index("subRecipes", index), of: sub.Name}
	for i := range sub.Ingredients {
		scaled := sub.Ingredients[i]
		scaled.Quantity = scaled.Quantity.Times(share)
		scaled.Hidden = scaled.Hidden || in.Hidden
		// What is left out is still in the dish, allergens and all.
		scaled.NotCrediting = scaled.NotCrediting || in.NotCrediting
		inner, line := spot{own, i}, len(w.rec.Ingredients)
		switch {
		case scaled.SubRecipe != "":
			w.subRecipe(&scaled, dish, inner, within)
		case scaled.Product != "":
			w.bought(&scaled, inner)
		default:
			w.ingredient(&scaled, dish, inner)
		}
		if scaled.SubRecipe == "" && !scaled.Share.IsZero() && len(w.rec.Ingredients) > line {
			w.find(Finding{Severity: Check, Reason: ShareGiven, Ingredient: line, Words: []string{scaled.Share.String()}})
		}
	}
	w.dessertWithin(sub.Dessert, parts)
}

// shareOf returns what part of a sub-recipe's batch an ingredient takes.
func (w *work) shareOf(in *recipe.Ingredient, sub *recipe.Recipe, at spot) (exact.Number, bool) {
	need := func(want, fix string) (exact.Number, bool) {
		w.faults.Add(fault.Fault{Reason: fault.UnitDoesNotFit, Path: at.path("quantity"), Value: in.Quantity.Text(), Want: want, Fix: fix})
		return exact.Number{}, false
	}
	of := func(batch measure.Quantity) exact.Number {
		n, _ := in.Quantity.In(batch.Unit())
		return n.Quo(batch.Amount())
	}
	switch in.Quantity.Dimension() {
	case measure.Mass:
		if sub.BatchWeight.IsZero() {
			return need("servings of the sub-recipe: its batchWeight is not given", "Give the sub-recipe's batchWeight, or count its servings (\"12 each\").")
		}
		return of(sub.BatchWeight), true
	case measure.Volume:
		if sub.BatchMeasure.IsZero() {
			return need("servings of the sub-recipe: its batchMeasure is not given", "Give the sub-recipe's batchMeasure, or count its servings (\"12 each\").")
		}
		return of(sub.BatchMeasure), true
	case measure.Count:
		made := sub.Servings
		if t := sub.YieldTest; t != nil && t.PortionsMade > 0 {
			made = t.PortionsMade
		}
		return in.Quantity.Amount().Quo(exact.Int(int64(made))), true
	}
	return need("a weight, a volume or a count of servings of the sub-recipe", "Write it as 3 lb, 2 qt or 12 each.")
}

// notAFood stands for a thing that is not in the catalog.
func notAFood(name string) *food.Food {
	return &food.Food{ID: "", Name: name, Gluten: "ask"}
}
