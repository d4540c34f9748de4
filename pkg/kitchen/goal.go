package kitchen

import (
	"slices"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// key is a component, or a subgroup of vegetables.
type key struct {
	component food.Component
	subgroup  food.Subgroup
}

// need is what a portion must credit: an aim, or what it credits already.
type need struct {
	key
	least, most exact.Number // of the credit; most is 0 when there is no bound
	sure        exact.Number // the least of what is claimable
	step        exact.Number
	aimed       bool
}

// search is one target on its way.
type search struct {
	engine *credit.Engine
	req    *TargetRequest
	rs     *rules.RuleSet
	base   *recipe.Recipe
	before *credit.Record // of the portion meant
	reads  []AimRead
	needs  []need
	share  exact.Number // least whole share of the creditable grain; 0 when none is asked
	free   []bool       // lines that may change
	made   exact.Number // portions the batch gives as it is
	linear linear

	stop func() error // see Kitchen.Until
	err  error        // of stop
	cut  map[Way]bool // the search this way ended at its bounds and found none
	// hurried looks no further than for an answer, the least or not.
	hurried bool
}

// search reads the aims in the steps of their components, and adds what is to be
// kept. The error is a [*fault.List].
func (k *Kitchen) search(req *TargetRequest, reads []AimRead, before *credit.Record) (*search, error) {
	s := &search{engine: k.engine, stop: k.stop, cut: make(map[Way]bool), req: req, base: req.Credit.Recipe, reads: reads}
	var err error
	if s.rs, err = k.engine.Rules().Resolve(req.Credit.On, req.Credit.Program, req.Credit.Options); err != nil {
		return nil, err
	}
	s.before = recordOf(before, s.base, req.Portion)
	var faults fault.List
	for i := range s.reads {
		a := &s.reads[i]
		a.Unit = s.before.Unit(a.Component)
		a.CreditLeast, a.CreditMost = a.Least, a.Most
		var step exact.Number
		if v, err := s.rs.Get("credit/step/" + a.Component.String()); err == nil {
			step = v.Number
			a.CreditLeast = a.Least.RoundUp(step)
			if a.CreditMost = a.Most.DownTo(step); a.CreditMost.Less(a.CreditLeast) && !a.Most.IsZero() || a.CreditMost.IsZero() && !a.Most.IsZero() {
				faults.Add(fault.Fault{Reason: fault.Conflicting, Path: fault.Index("aims", i) + ".most", Value: a.Most.String(),
					Want: "a credit that can be: it goes in steps of " + step.String() + " " + a.Unit, Fix: "Leave room for a step from least to most."})
			}
		}
		n := need{key: key{a.Component, a.Subgroup}, least: a.CreditLeast, most: a.CreditMost, step: step, aimed: true}
		if req.Claimable {
			n.sure = n.least
		}
		s.needs = append(s.needs, n)
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	s.keep()
	s.free = make([]bool, len(s.base.Ingredients))
	for i := range s.free {
		s.free[i] = len(req.Lines) == 0 || slices.Contains(req.Lines, i)
	}
	s.made = madeOf(s.base, req.Portion)
	return s, nil
}

// keep adds what credits now and may not drop.
func (s *search) keep() {
	all := slices.Contains(s.req.MayDrop, Everything)
	for i := range s.before.Credits {
		c := &s.before.Credits[i]
		k := key{c.Component, c.Subgroup}
		name := c.Component.String()
		if c.Subgroup != food.NoSubgroup {
			name = c.Subgroup.String()
		}
		aimed := slices.ContainsFunc(s.needs, func(n need) bool { return n.key == k })
		// What subgroups leave of the total gets less as they get more.
		if all || aimed || c.Subgroup == food.Additional || c.Credited.IsZero() || slices.Contains(s.req.MayDrop, name) {
			continue
		}
		s.needs = append(s.needs, need{key: k, least: c.Credited, sure: c.Claimable, step: c.Step})
	}
	half := exact.Frac(1, 2)
	s.share = s.req.WholeGrain
	if share, ok := wholeShare(s.before); ok && s.share.IsZero() && !share.Less(half) && !all && !slices.Contains(s.req.MayDrop, WholeGrainRich) {
		s.share = half
	}
}

// wholeShare returns the whole share of the creditable grain, when it is known.
func wholeShare(r *credit.Record) (exact.Number, bool) {
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Reason == credit.WholeGrainShare {
			return f.Share, true
		}
	}
	return exact.Number{}, false
}

// recordOf returns the record of one of the portions of a batch.
func recordOf(rec *credit.Record, r *recipe.Recipe, portion int) *credit.Record {
	if portion == 0 {
		return rec
	}
	// Records of portions stand behind those of statements.
	return rec.Also[len(rec.Also)-len(r.Portions)+portion]
}

// madeOf returns how many of a portion the batch gives.
func madeOf(r *recipe.Recipe, portion int) exact.Number {
	n := exact.Int(int64(r.Servings))
	if t := r.YieldTest; t != nil && t.PortionsMade > 0 {
		n = exact.Int(int64(t.PortionsMade))
	}
	if portion > 0 {
		if ratio, ok := r.Portions[portion].Ratio(&r.Portions[0], r.Servings); ok {
			n = n.Quo(ratio)
		}
	}
	return n
}

// halted reports whether the search is to end; see Kitchen.Until.
func (s *search) halted() bool {
	if s.err == nil && s.stop != nil {
		s.err = s.stop()
	}
	return s.err != nil
}

// with returns the request with another recipe.
func (s *search) with(r *recipe.Recipe) credit.Request {
	req := s.req.Credit
	req.Recipe = r
	return req
}

// credited returns what the engine credits the portion meant, or false when it
// refuses the recipe: a changed amount may need a state that was not given.
func (s *search) credited(r *recipe.Recipe) (credits []credit.Credit, share exact.Number, known, ok bool) {
	if s.req.Portion == 0 && s.share.IsZero() {
		credits, err := s.engine.Credits(s.with(r))
		return credits, share, false, err == nil
	}
	rec, err := s.engine.Credit(s.with(r))
	if err != nil {
		return nil, share, false, false
	}
	rec = recordOf(rec, r, s.req.Portion)
	share, known = wholeShare(rec)
	return rec.Credits, share, known, true
}

// meets reports whether the engine credits a recipe what is needed.
func (s *search) meets(r *recipe.Recipe) bool {
	if s.req.Portion == 0 && !s.share.IsZero() {
		// The whole share takes a record; most of what is tried fails before.
		credits, err := s.engine.Credits(s.with(r))
		if err != nil || !s.met(credits) {
			return false
		}
	}
	credits, share, known, ok := s.credited(r)
	return ok && (s.share.IsZero() || known && !share.Less(s.share)) && s.met(credits)
}

func (s *search) met(credits []credit.Credit) bool {
	for i := range s.needs {
		if !s.needs[i].metBy(credits) {
			return false
		}
	}
	return true
}

func (n *need) metBy(credits []credit.Credit) bool {
	c := creditOf(credits, n.key)
	return !c.Credited.Less(n.least) && !c.Claimable.Less(n.sure) && (n.most.IsZero() || !n.most.Less(c.Credited))
}

func creditOf(credits []credit.Credit, k key) credit.Credit {
	for i := range credits {
		if credits[i].Component == k.component && credits[i].Subgroup == k.subgroup {
			return credits[i]
		}
	}
	return credit.Credit{}
}

// notClaimable names the aims that a recipe reaches by estimates.
func (s *search) notClaimable(r *recipe.Recipe) []string {
	credits, _, _, _ := s.credited(r)
	var names []string
	for i := range s.needs {
		n := &s.needs[i]
		if !n.aimed {
			continue
		}
		if c := creditOf(credits, n.key); c.Claimable.Less(n.least) {
			names = append(names, aimTitle(n.component, n.subgroup)+": "+needText(c.Claimable, s.before.Unit(n.component))+" of "+needText(c.Credited, s.before.Unit(n.component))+" is claimable")
		}
	}
	return names
}
