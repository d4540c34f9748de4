package reading

import (
	"slices"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
)

// hasState reports whether the catalog has a figure of the food in a state.
func hasState(f *food.Food, state string) bool {
	return slices.ContainsFunc(f.Figures, func(g *food.Figure) bool { return food.Matches(g.State, state) })
}

func hasExactState(f *food.Food, state string) bool {
	return slices.ContainsFunc(f.Figures, func(g *food.Figure) bool { return g.State == state })
}

// state settles how the food is measured or served.
func (w *work) state() {
	l := w.line
	f, _ := w.r.catalog.Food(l.Food)
	name := w.foods[0].entry.first
	cooked := w.has("cooked", "baked", "boiled", "grilled", "hardcooked") && !name["cooked"] && !name["bought"]
	produce := f.CanCredit(food.Vegetables) || f.CanCredit(food.Fruits)
	cut := w.cut(f)
	set := func(s string) { l.State = s }
	switch {
	case cooked && f.CanCredit(food.Grains) || cooked && f.Traits.Has(food.Legume) && f.Form == "dry":
		set("cooked")
		w.doubt(AboutBasis, "Read as cooked food, measured after cooking.")
		l.Basis = "as-served"
		w.offer(Choice{l.Food, "", "", l.Quantity}, "measured before cooking")
	case cooked && produce && hasState(f, "cooked"):
		set("cooked")
		w.doubt(AboutState, "Cooked in the dish; whether it was measured before or after is not written.")
		w.offer(Choice{l.Food, "cooked", "as-served", l.Quantity}, "measured after cooking")
	case cooked && hasState(f, "cooked"):
		set("cooked")
		w.doubt(AboutState, "Cooked; whether it was weighed before or after is not written.")
		w.offer(Choice{l.Food, "cooked", "as-served", l.Quantity}, "weighed after cooking")
	case w.has("reconstituted") && hasState(f, "reconstituted"):
		set("reconstituted")
	case w.has("reconstituted"):
		w.doubt(AboutState, "Reconstituted; whether the amount is of the dry food or of what it makes is not written.")
	case w.has("withliquid", "withjuice", "undrained") && hasState(f, "with-juice"):
		set("with-juice")
	case w.has("drained") && f.Form == "canned":
		w.drained(f, cut)
	case w.has("drained") && cut == "":
		w.doubt(AboutState, "Drained: what runs off is not in the amount, or is.")
	case f.Form == "fresh" && produce && cut != "":
		set("raw-" + cut)
		w.served(f)
	case f.Form == "fresh" && produce && w.cutWord() && hasState(f, "raw"):
		set("raw")
		w.served(f)
	case f.Form == "fresh" && produce && w.has("raw") && hasState(f, "raw"):
		set("raw")
	case f.Form == "frozen" && produce && w.has("thawed") && hasState(f, "thawed"):
		set("thawed")
	case (f.Form == "refrigerated" || f.Form == "shelf") && cut != "":
		set("as-is-" + cut)
	}
	l.Said = l.State
	l.State = creditable(f, l.State, l.Quantity)
}

// creditable returns a state when food in it credits by a figure, and nothing
// when the state decides nothing: the engine then asks, if it has to.
func creditable(f *food.Food, state string, q measure.Quantity) string {
	if state == "" || q.IsZero() {
		return state
	}
	asIs := food.Matches(state, "as-is")
	for _, g := range f.Figures {
		if !food.Matches(g.State, state) {
			continue
		}
		if g.Kind == food.Servings && (!asIs || g.Unit.Dimension == q.Dimension()) {
			return state
		}
		if g.Kind == food.CupWeight && f.Form == "fresh" && food.Uncooked(state) {
			return state
		}
	}
	if f.GrainKind != food.NotAGrain {
		return state
	}
	return ""
}

// served doubts whether produce that was cut is served as it was cut.
func (w *work) served(f *food.Food) {
	l := w.line
	if w.has("raw") || !hasState(f, "cooked") {
		return
	}
	w.doubt(AboutState, "Cut as written; whether it is served raw or cooked the line does not say.")
	c := l.Choice
	c.State = "cooked"
	w.offer(c, "served cooked")
}

// cut returns the cut the line names that the catalog has a figure for.
func (w *work) cut(f *food.Food) string {
	family := "raw-"
	switch f.Form {
	case "refrigerated", "shelf":
		family = "as-is-"
	case "canned":
		family = "drained-"
	}
	for _, s := range w.words {
		if (s == "dice" || s == "diced") && w.inches() && hasExactState(f, family+"cubed") { // dice of a size are cubes
			return "cubed"
		}
		if w.foods[0].entry.first[s] && f.Form != "canned" { // the food's own name tells it
			continue
		}
		for _, c := range cuts[s] {
			if hasExactState(f, family+c) {
				return c
			}
		}
	}
	return ""
}

// inches reports whether the line gives a size of piece in inches.
func (w *work) inches() bool {
	for i, t := range w.toks {
		if t.kind == number && w.used[i] {
			for j := i + 1; j < len(w.toks) && j < i+3; j++ {
				if is(w.toks, j, "inch", "inches", "in", "\"", "”", "″") {
					return true
				}
			}
		}
	}
	return false
}

// cutWord reports whether the line names a cut, whatever the catalog has.
func (w *work) cutWord() bool {
	return slices.ContainsFunc(w.words, func(s string) bool { return cuts[s] != nil && !w.foods[0].entry.all[s] })
}

// drained settles canned food that was drained.
func (w *work) drained(f *food.Food, cut string) {
	l := w.line
	var has []string
	for _, s := range []string{"drained", "drained-unheated", "heated-drained"} {
		if hasExactState(f, s) {
			has = append(has, s)
		}
	}
	switch {
	case cut != "":
		l.State = "drained-" + cut
	case hasState(f, "drained"):
		l.State = "drained"
	case len(has) > 0:
		l.State = has[0]
	default:
		w.doubt(AboutState, "Drained; the catalog has no figure for this food drained.")
		return
	}
	if len(has) > 1 {
		w.doubt(AboutState, "Drained; whether it is heated the line does not say, and that changes the credit.")
		for _, s := range has {
			if s != l.State {
				w.offer(Choice{l.Food, s, l.Basis, l.Quantity}, drainedWords[s])
			}
		}
	}
}

var drainedWords = map[string]string{"drained": "drained", "drained-unheated": "drained, served without heating", "heated-drained": "heated and drained"}

// basis settles what the amount measures.
func (w *work) basis() {
	l := w.line
	f, _ := w.r.catalog.Food(l.Food)
	switch {
	case w.has("ap"):
		l.Basis = "as-purchased"
		return
	case w.has("ep", "usable"):
		l.Basis = "usable"
		return
	case l.Basis != "" || l.Quantity.IsZero() || l.Quantity.Dimension() != measure.Mass:
		return
	}
	produce := f.Form == "fresh" && (f.CanCredit(food.Vegetables) || f.CanCredit(food.Fruits))
	drained := f.Form == "canned" && w.has("drained") && !w.packed()
	if !produce && !drained {
		return
	}
	prepared := slices.ContainsFunc(w.words, func(s string) bool { return preparing[s] })
	switch {
	case drained:
		w.usable("The weight is taken for the drained food; it may be of the can.")
	case w.measured():
		w.usable("A measure stands beside the weight, so the weight is taken for food ready to use.")
	case prepared && w.before():
		w.usable("The weight is taken for food ready to use, since its preparation stands before its name.")
	case prepared && f.HasUsableShare():
		w.doubt(AboutBasis, "The weight is taken as purchased; it may be of the food after preparation.")
		c := l.Choice
		c.Basis = "usable"
		w.offer(c, "weighed after preparation")
	}
}

func (w *work) usable(why string) {
	l := w.line
	c := l.Choice
	c.Basis = "as-purchased"
	l.Basis = "usable"
	w.doubt(AboutBasis, why)
	w.offer(c, "weighed as purchased")
}

// packed reports whether the amount is of packages, which hold what is poured
// off too.
func (w *work) packed() bool {
	return slices.ContainsFunc(w.amounts, func(a amount) bool { return a.pack })
}

// measured reports whether a measure stands beside the weight.
func (w *work) measured() bool {
	return slices.ContainsFunc(w.amounts, func(a amount) bool { return !a.q.IsZero() && a.q.Dimension() == measure.Volume })
}

// before reports whether a word of preparation stands before the food's name,
// with the amount before both.
func (w *work) before() bool {
	main := w.mainAmount()
	if main == nil || main.from > 0 && !slices.Contains(w.used[:1], true) {
		return false
	}
	for i, s := range w.words {
		if preparing[s] {
			return w.wordTok[i] > main.from
		}
		if !silent[s] && !forms[s] {
			return false
		}
	}
	return false
}
