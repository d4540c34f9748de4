package kitchen

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
)

// tries goes through the ways asked for and ranks what they lead to.
func (s *search) tries() []Try {
	why := s.hopeless()
	var reached, not []Try
	for _, w := range Ways() {
		if len(s.req.Ways) > 0 && !slices.Contains(s.req.Ways, w) {
			continue
		}
		var got []Try
		if why == "" {
			got = s.try(w, reached)
		}
		if len(got) == 0 {
			t := Try{Way: w, Line: -1, Because: why}
			if why == "" {
				t.Because = s.because(w)
			}
			not = append(not, t)
			continue
		}
		reached = append(reached, got...)
	}
	slices.SortStableFunc(reached, func(a, b Try) int {
		if c := a.Change.Cmp(b.Change); c != 0 {
			return c
		}
		return cmp.Compare(slices.Index(Ways(), a.Way), slices.Index(Ways(), b.Way))
	})
	return append(reached, not...)
}

// try goes one way. What is reached so far gives the search over several amounts
// its start.
func (s *search) try(w Way, sofar []Try) []Try {
	switch w {
	case OneIngredient:
		return s.tryLines()
	case Ingredients:
		return s.tryMix(sofar)
	case Servings:
		return s.tryServings()
	}
	return s.tryWeight()
}

// tryLines tries each line by itself, both up and down.
func (s *search) tryLines() []Try {
	var out []Try
	for i := range s.base.Ingredients {
		if !s.free[i] || s.halted() {
			continue
		}
		if t, ok := s.tryLine(i); ok {
			out = append(out, t)
		}
	}
	slices.SortStableFunc(out, func(a, b Try) int { return a.Change.Cmp(b.Change) })
	return out[:min(len(out), maxTries)]
}

// lessHelps reports whether less of a line can meet anything: a bound from above,
// the share of whole grain, grain that does not credit, and other vegetables, which
// what rounding leaves over may fill.
func (s *search) lessHelps(line int) bool {
	if !s.linear.known || !s.share.IsZero() || s.linear.limit != nil && !s.linear.barren[line].IsZero() {
		return true
	}
	for i := range s.needs {
		n := &s.needs[i]
		if !n.most.IsZero() {
			return true
		}
		for k := range s.linear.parts {
			if p := &s.linear.parts[k]; n.subgroup == food.OtherVegetables && p.line == line && p.component == food.Vegetables && s.fills(p.subgroup) {
				return true
			}
		}
	}
	return false
}

func (s *search) tryLine(line int) (Try, bool) {
	was := s.base.Ingredients[line].Quantity
	t, any := Try{Way: OneIngredient, Line: line, Least: s.linear.known}, false
	for _, up := range []bool{true, false} {
		if !up && !s.lessHelps(line) {
			continue
		}
		f := s.walk(line, up)
		t.Least = t.Least && !f.ended
		s.cut[OneIngredient] = s.cut[OneIngredient] || f.ended && !f.ok
		if !f.ok || t.Reached && !off(f.at).Less(t.Change) {
			continue
		}
		if !any || off(f.at).Less(t.Exact) {
			any, t.Exact, t.Open = true, off(f.at), f.open
		}
		q, ok, ended := s.inKitchen(line, f, up, t.Change)
		t.Least = t.Least && !ended
		if !ok {
			continue
		}
		factor := q.Amount().Quo(was.Amount())
		t.Reached, t.Change = true, off(factor)
		t.Lines = []LineChange{{Line: line, Name: s.nameOf(line), Before: was, Exact: was.Times(f.at), After: q, Relative: factor.Sub(one)}}
	}
	if !t.Reached {
		return t, false
	}
	r := s.changed(line, one)
	r.Ingredients[line].Quantity = t.Lines[0].After
	return s.finish(t, r)
}

// nameOf is what the card calls a line.
func (s *search) nameOf(line int) string {
	in := &s.base.Ingredients[line]
	for _, n := range []string{in.Name, in.Food, in.SubRecipe} {
		if n != "" {
			return n
		}
	}
	return in.Product
}

// tryMix searches several amounts, exactly and in kitchen measures.
func (s *search) tryMix(sofar []Try) []Try {
	if s.fixed() {
		return nil
	}
	m := s.mix()
	start := func(change func(*Try) (exact.Number, bool)) {
		for i := range sofar {
			t := &sofar[i]
			if t.Way != OneIngredient {
				continue
			}
			c, ok := change(t)
			k, in := m.column[t.Line]
			if !ok || !in || m.found != nil && !c.Less(m.best) {
				continue
			}
			m.best, m.found = c, make([]exact.Number, len(m.lines))
			for j := range m.found {
				m.found[j] = one
			}
			m.found[k] = one.Add(t.Lines[0].Relative)
			if !m.grid {
				m.found[k] = t.Lines[0].Exact.Amount().Quo(t.Lines[0].Before.Amount())
			}
		}
	}
	start(func(t *Try) (exact.Number, bool) { return t.Exact, !t.Open })
	m.run()
	exactly, least := m.found, m.best
	whole := m.whole
	m.found, m.best, m.grid = nil, exact.Number{}, true
	start(func(t *Try) (exact.Number, bool) { return t.Change, true })
	m.run()
	if m.found == nil {
		s.cut[Ingredients] = !whole || !m.whole
		return nil
	}
	t := Try{Way: Ingredients, Line: -1, Reached: true, Change: m.best, Exact: least, Least: whole && m.whole}
	if exactly == nil || m.best.Less(least) { // the exact search ended at its bounds
		exactly, t.Exact, t.Least = m.found, m.best, false
	}
	for k, i := range m.lines {
		if m.found[k].Equal(one) && exactly[k].Equal(one) {
			continue
		}
		was := s.base.Ingredients[i].Quantity
		c := LineChange{Line: i, Name: s.nameOf(i), Before: was, Exact: was.Times(exactly[k]), After: was, Relative: m.found[k].Sub(one)}
		if !m.found[k].Equal(one) {
			c.After, _ = kitchenQuantity(was.Amount().Mul(m.found[k]), was.Unit())
		}
		t.Lines = append(t.Lines, c)
	}
	r := m.batch(m.found)
	for i := range t.Lines {
		r.Ingredients[t.Lines[i].Line].Quantity = t.Lines[i].After
	}
	if t, ok := s.finish(t, r); ok {
		return []Try{t}
	}
	return nil
}

// fixed reports whether the weight of the portion decides grains that are short:
// no amount changes that.
func (s *search) fixed() bool {
	return s.byWeight() && slices.ContainsFunc(s.needs, func(n need) bool { return n.component == food.Grains && s.outweighed(&n) })
}

// outweighed reports whether grains that go by weight are short of a need, and not
// for the grain that does not credit: that is a matter of amounts.
func (s *search) outweighed(n *need) bool {
	return !n.metBy(s.before.Credits) && !strings.HasPrefix(creditOf(s.before.Credits, n.key).Reason, "more than")
}

func (s *search) tryServings() []Try {
	t := Try{Way: Servings, Line: -1, Least: s.linear.known}
	var at exact.Number
	for _, more := range []bool{false, true} {
		f := s.walkServings(more)
		t.Least = t.Least && !f.ended
		if c := off(f.at.Quo(s.made)); f.ok && (!t.Reached || c.Less(t.Change)) {
			t.Reached, t.Change, at = true, c, f.at
		}
	}
	if !t.Reached {
		return nil
	}
	n, _ := at.Whole()
	t.Exact, t.Servings = t.Change, int(n)
	if t, ok := s.finish(t, s.serveAt(at)); ok {
		return []Try{t}
	}
	return nil
}

func (s *search) tryWeight() []Try {
	if _, ok := s.weightMarks(); !ok {
		return nil
	}
	was := s.base.Portions[s.req.Portion].Weight
	f := s.walkWeight()
	t := Try{Way: PortionWeight, Line: -1, Least: s.linear.known && !f.ended}
	for _, up := range []bool{true, false} {
		from := found{at: was.Amount(), open: true}
		if up {
			from = f
		}
		if up && !f.ok {
			continue
		}
		w, ok := s.weightInKitchen(from, up)
		if !ok {
			continue
		}
		c := off(w.Amount().Quo(was.Amount()))
		if t.Reached && !c.Less(t.Change) {
			continue
		}
		t.Reached, t.Change, t.Exact, t.Weight = true, c, c, w
		if up {
			t.Exact, t.Open = off(f.at.Quo(was.Amount())), f.open
		}
	}
	if !t.Reached {
		return nil
	}
	r, _ := s.weigh(t.Weight)
	t.Servings = r.Servings
	if s.req.Portion > 0 {
		t.Servings = r.Portions[s.req.Portion].Servings
	}
	if t, ok := s.finish(t, r); ok {
		return []Try{t}
	}
	return nil
}

// finish credits what a try hands out, and says what it upsets.
func (s *search) finish(t Try, r *recipe.Recipe) (Try, bool) {
	t.Request = s.with(r)
	rec, err := s.engine.Credit(t.Request)
	if err != nil || !s.meets(r) {
		return t, false
	}
	t.After = rec
	t.NotClaimable = s.notClaimable(r)
	t.Alters = s.alters(&t, rec)
	return t, true
}

// hopeless returns why no change at all reaches the target, or "".
func (s *search) hopeless() string {
	if !s.linear.known {
		return ""
	}
	for i := range s.needs {
		n := &s.needs[i]
		if n.metBy(s.before.Credits) || n.least.IsZero() && n.sure.IsZero() {
			continue
		}
		title, unit := aimTitle(n.component, n.subgroup), s.before.Unit(n.component)
		c := creditOf(s.before.Credits, n.key)
		if strings.HasPrefix(c.Reason, "a grain-based dessert") {
			return "it is " + c.Reason
		}
		if n.component == food.Grains && s.byWeight() {
			continue
		}
		all, sure := s.everything(n, false), s.everything(n, true)
		switch {
		case all.IsZero():
			return s.nothingCredits(n, title)
		case n.sure.Sign() > 0 && sure.IsZero():
			return "what credits " + title + " rests on figures that are not the handbook's: no amount of it is claimable until they are checked, so add an ingredient that is"
		case n.component == food.Milk && !s.base.Smoothie && s.milkLeast()[0].Less(n.least):
			return "milk as a drink credits " + needText(s.milkLeast()[0], unit) + ", whatever is poured"
		}
		if most, ok := s.mostSurimi(n); ok && most.Less(n.least) {
			return "only surimi credits " + title + " here, and its printed weights end at " + needText(most, unit)
		}
	}
	return s.noWhole()
}

// mostSurimi returns the most a need can come to when surimi alone credits it.
func (s *search) mostSurimi(n *need) (exact.Number, bool) {
	most := exact.Number{}
	for i := range s.linear.parts {
		p := &s.linear.parts[i]
		if !p.in(n.key) {
			continue
		}
		if p.table == nil || !p.table.surimi {
			return most, false
		}
		most = p.table.rule.Steps[0].Credit
	}
	return most, most.Sign() > 0
}

// nothingCredits says that no ingredient credits a need, and which might.
func (s *search) nothingCredits(n *need, title string) string {
	for i := range s.before.Ingredients {
		l := &s.before.Ingredients[i]
		if l.Reason == "" || !l.Food.CanCredit(n.component) || n.subgroup != food.NoSubgroup && l.Food.Subgroup != n.subgroup {
			continue
		}
		name := l.Name
		if name == "" {
			name = l.Food.Name
		}
		return "no ingredient credits " + title + ": " + name + " might, but " + l.Reason
	}
	return "no ingredient credits " + title + ": add one that does"
}

// noWhole returns why the share of whole grain cannot be reached, or "".
func (s *search) noWhole() string {
	if s.share.IsZero() {
		return ""
	}
	grain, whole := false, false
	for i := range s.linear.parts {
		switch p := &s.linear.parts[i]; {
		case p.component != food.Grains:
		case p.grain == mixedGrain:
			return "how much of the grain of " + s.nameOf(p.line) + " is whole is not known"
		default:
			grain, whole = true, whole || p.grain == wholeGrain
		}
	}
	switch {
	case !grain:
		return "no ingredient is a grain, so no share of it is whole: add a whole grain"
	case s.base.GrainsMethod == recipe.ExhibitA:
		return "the grains go by the weight of the portion, which does not tell how much is whole: credit them by creditable grains"
	case !whole:
		return "no ingredient is a whole grain: add one, or take one in place of another grain"
	}
	return ""
}

// because says why one way does not reach what another might.
func (s *search) because(w Way) string {
	switch w {
	case Servings:
		if credits, share, known, ok := s.credited(s.base); ok && !s.share.IsZero() && (!known || share.Less(s.share)) && len(credits) > 0 {
			return "the number of servings does not change which share of the grain is whole"
		}
	case PortionWeight:
		if _, ok := s.weightMarks(); !ok {
			return "the weight of the portion does not decide what it credits: the ingredients do"
		}
	}
	if s.fixed() && (w == OneIngredient || w == Ingredients) {
		return "the weight of the portion decides its grains: the ingredients do not"
	}
	if names := s.inTheWay(w); names != "" {
		return "only when " + names + " may credit less (mayDrop)"
	}
	short := s.short()
	if s.cut[w] {
		return "the search ended at its bounds before it found what brings " + short + "; there may be something. Let fewer lines change, or aim at less" + s.among()
	}
	switch w {
	case OneIngredient:
		return "no amount of one ingredient alone, up to " + strconv.Itoa(MaxGrowth) + " times what it is, brings " + short + s.among()
	case Ingredients:
		return "no amounts, up to " + strconv.Itoa(MaxGrowth) + " times what they are, bring " + short + s.among()
	case Servings:
		return "no number of servings, 1 to " + strconv.Itoa(recipe.MaxServings) + ", gives a portion " + short
	}
	return "no weight of the portion that the batch gives brings " + short
}

// among says that the lines were few.
func (s *search) among() string {
	if len(s.req.Lines) == 0 {
		return ""
	}
	return "; only " + strconv.Itoa(len(s.req.Lines)) + " of " + strconv.Itoa(len(s.base.Ingredients)) + " lines may change"
}

// short names what is missing.
func (s *search) short() string {
	var names []string
	for i := range s.needs {
		n := &s.needs[i]
		c := creditOf(s.before.Credits, n.key)
		if n.metBy(s.before.Credits) {
			continue
		}
		title, unit := aimTitle(n.component, n.subgroup), s.before.Unit(n.component)
		switch {
		case c.Credited.Less(n.least):
			names = append(names, needText(n.least, unit)+" of "+title)
		case c.Claimable.Less(n.sure):
			names = append(names, needText(n.sure, unit)+" of "+title+" that is claimable")
		default:
			names = append(names, "no more than "+needText(n.most, unit)+" of "+title)
		}
		if c.Reason != "" && !strings.HasPrefix(c.Reason, "less than") {
			names[len(names)-1] += " (now none: " + c.Reason + ")"
		}
	}
	if share, known := wholeShare(s.before); !s.share.IsZero() && (!known || share.Less(s.share)) {
		names = append(names, "a whole share of "+s.share.String()+" of the grain")
	}
	if len(names) == 0 {
		return "all of it at once"
	}
	return strings.Join(names, " and ")
}

// inTheWay names what would credit less if a way were taken without keeping it.
func (s *search) inTheWay(w Way) string {
	bare := *s
	bare.hurried = true
	bare.needs = slices.DeleteFunc(slices.Clone(s.needs), func(n need) bool { return !n.aimed })
	bare.share = s.req.WholeGrain
	if len(bare.needs) == len(s.needs) && bare.share.Equal(s.share) {
		return ""
	}
	got := bare.try(w, nil)
	if len(got) == 0 {
		return ""
	}
	var names []string
	after := recordOf(got[0].After, got[0].Request.Recipe, s.req.Portion)
	for i := range s.needs {
		if n := &s.needs[i]; !n.aimed && !n.metBy(after.Credits) {
			names = append(names, aimTitle(n.component, n.subgroup))
		}
	}
	if share, known := wholeShare(after); !s.share.Equal(bare.share) && (!known || share.Less(s.share)) {
		names = append(names, "the whole share of the grain")
	}
	return strings.Join(names, " and ")
}

// Alteration is something a change upsets.
type Alteration struct {
	Reason AlterReason
	Line   int    // index of the ingredient; -1 for the whole
	Text   string // what, in a cook's words
}

// AlterReason is the cause of an alteration.
type AlterReason string

// The causes. Their thresholds are common practice here; no source sets them.
const (
	LargeChange  AlterReason = "LARGE_CHANGE"  // an amount, by more than AlterShare
	Moisture     AlterReason = "MOISTURE"      // flour against liquids, by more than RatioShare
	Leavening    AlterReason = "LEAVENING"     // leavening against flour, by more than RatioShare
	PortionSize  AlterReason = "PORTION_SIZE"  // by more than RatioShare
	WeighAgain   AlterReason = "WEIGH_AGAIN"   // a weight or measure given is of the recipe as it was
	OtherPortion AlterReason = "OTHER_PORTION" // another portion of the batch credits less
)

// AlterShare and RatioShare are how far an amount, and the balance of flour with
// liquids or leavening, may move before a test batch is due: a quarter and a tenth.
// Common practice; no source.
var (
	AlterShare = exact.Frac(1, 4)
	RatioShare = exact.Frac(1, 10)
)

// alters says what a try upsets.
func (s *search) alters(t *Try, after *credit.Record) []Alteration {
	var list []Alteration
	add := func(r AlterReason, line int, text string) { list = append(list, Alteration{r, line, text}) }
	for i := range t.Lines {
		if c := &t.Lines[i]; AlterShare.Less(off(one.Add(c.Relative))) {
			add(LargeChange, c.Line, percent(c.Relative)+" "+c.Name+" changes the recipe: make a test batch")
		}
	}
	s.balance(t, add)
	if len(t.Lines) > 0 {
		given := !s.base.BatchWeight.IsZero() || !s.base.BatchMeasure.IsZero() || s.base.YieldTest != nil
		for i := range s.base.Portions {
			given = given || !s.base.Portions[i].Weight.IsZero() || !s.base.Portions[i].Measure.IsZero()
		}
		if given {
			add(WeighAgain, -1, "the weights and measures given of batch and portion are of the recipe as it was: weigh them again, and see that the batch still fits its pans")
		}
	}
	if t.Servings > 0 {
		size := s.made.Quo(exact.Int(int64(t.Servings))).Sub(one)
		if RatioShare.Less(off(one.Add(size))) {
			add(PortionSize, -1, "each portion is "+percent(size)+": cut or scoop it anew")
		}
		if s.base.YieldTest != nil && s.base.YieldTest.PortionsMade > 0 {
			add(WeighAgain, -1, "the yield test counted other portions: make it again")
		}
	}
	if n := len(s.base.Portions); n > 1 {
		was, err := s.engine.Credit(s.req.Credit)
		for i := range n {
			if i == s.req.Portion || err != nil {
				continue
			}
			now := recordOf(after, t.Request.Recipe, i)
			for _, c := range recordOf(was, s.base, i).Credits {
				if c.Subgroup != food.Additional && creditOf(now.Credits, key{c.Component, c.Subgroup}).Credited.Less(c.Credited) {
					add(OtherPortion, -1, "portion "+strconv.Itoa(i+1)+" of the batch credits less "+aimTitle(c.Component, c.Subgroup)+" than before")
				}
			}
		}
	}
	return list
}

// percent writes a relative change, cut to whole percent.
func percent(change exact.Number) string {
	word := " percent more"
	if change.Sign() < 0 {
		change, word = change.Neg(), " percent less"
	}
	return change.Mul(exact.Int(100)).DecimalText(0) + word
}

// leavenings are the catalog's foods that raise a dough.
var leavenings = []string{"baking-powder", "baking-soda", "yeast", "cream-of-tartar"}

// balance compares flour with the liquids and the leavening of a batter or dough.
func (s *search) balance(t *Try, add func(AlterReason, int, string)) {
	if len(t.Lines) == 0 {
		return
	}
	factor := func(line int) exact.Number {
		for i := range t.Lines {
			if t.Lines[i].Line == line {
				return one.Add(t.Lines[i].Relative)
			}
		}
		return one
	}
	var was, now exact.Number // grains baked in
	foods := make(map[int]*food.Food)
	for i := range s.base.Ingredients {
		path := "recipe.ingredients[" + strconv.Itoa(i) + "]"
		for k := range s.before.Ingredients {
			if l := &s.before.Ingredients[k]; l.Path() == path {
				foods[i] = l.Food
			}
		}
	}
	for i := range s.linear.parts {
		p := &s.linear.parts[i]
		if f := foods[p.line]; f != nil && p.component == food.Grains && (f.GrainUse == food.Baked || f.GrainUse == food.Either && s.base.ExhibitAGroup < "H") {
			was, now = was.Add(p.value), now.Add(p.value.Mul(factor(p.line)))
		}
	}
	if was.IsZero() {
		return
	}
	flour := now.Quo(was)
	for i := range s.base.Ingredients {
		f := foods[i]
		if f == nil {
			continue
		}
		shift := factor(i).Quo(flour).Sub(one)
		if !RatioShare.Less(off(one.Add(shift))) {
			continue
		}
		switch {
		case slices.ContainsFunc(leavenings, func(id string) bool { return f.ID == id || strings.HasPrefix(f.ID, id+"-") }):
			add(Leavening, i, "against the flour there is "+percent(shift)+" "+s.nameOf(i)+": the rise changes")
		case liquid(f):
			add(Moisture, i, "against the flour there is "+percent(shift)+" "+s.nameOf(i)+": the batter or dough gets "+wetter(shift))
		}
	}
}

func wetter(shift exact.Number) string {
	if shift.Sign() > 0 {
		return "wetter"
	}
	return "drier"
}

// liquid reports whether a food brings a batter its moisture.
func liquid(f *food.Food) bool {
	return f.Traits&(food.MilkFluid|food.Juice|food.Puree|food.Egg|food.Honey) != 0 || f.SugarRole == "liquid-sweetener" || f.ID == "water" || strings.HasPrefix(f.ID, "oil-")
}
