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
	if in.NotCrediting {
		w.noLine(Line{Food: notAFood(sub.Name), Name: in.Name, Quantity: in.Quantity, Reason: "left out by the menu planner", at: at.place, index: int32(at.index)})
		return
	}
	if !in.Share.IsZero() {
		share = share.Mul(in.Share)
	}
	if sub.ExhibitAGroup != "" {
		dish = sub.ExhibitAGroup
	}
	within = append(within[:len(within):len(within)], in.SubRecipe)
	own := &place{prefix: fault.Index("subRecipes", index), of: sub.Name}
	for i := range sub.Ingredients {
		if len(w.parts) > recipe.MaxIngredients {
			w.faults.Add(fault.Fault{Reason: fault.TooMany, Path: at.path("subRecipe"), Value: in.SubRecipe, Want: "at most 500 ingredients with those of sub-recipes", Fix: "Credit the parts of the dish apart."})
			return
		}
		scaled := sub.Ingredients[i]
		scaled.Quantity = scaled.Quantity.Times(share)
		scaled.Hidden = scaled.Hidden || in.Hidden
		inner := spot{own, i}
		switch {
		case scaled.SubRecipe != "":
			w.subRecipe(&scaled, dish, inner, within)
		case scaled.Product != "":
			w.bought(&scaled, inner)
		default:
			w.ingredient(&scaled, dish, inner)
		}
	}
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
		return in.Quantity.Amount().Quo(exact.Int(int64(sub.Servings))), true
	}
	return need("a weight, a volume or a count of servings of the sub-recipe", "Write it as 3 lb, 2 qt or 12 each.")
}

// notAFood stands for a thing that is not in the catalog.
func notAFood(name string) *food.Food {
	return &food.Food{ID: "", Name: name, Gluten: "ask"}
}
