package menu

import (
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/source"
)

// Production is a production record: what a kitchen planned, prepared, served and
// had left over of one meal on one day at one site, and for whom.
type Production struct {
	Site             string
	On               rules.Date
	OfferVersusServe string // yes or no; empty when not said
	Plans            []Menu // of each age/grade group, of this day alone or of its week
	Items            []Produced
	Substitutions    []Substitution
	RanOut           []RanOut
	Meals            []MealsServed
}

// Others than the age/grade groups of the plans that food is served to; their
// meals are not reimbursable.
const (
	Adults   = "adults"
	Seconds  = "seconds"
	ALaCarte = "a-la-carte"
)

// Count is a number somebody wrote down; the zero value is none.
type Count struct {
	N    int
	Said bool
}

// Counted returns a number that was written down.
func Counted(n int) Count { return Count{n, true} }

// Produced is what was prepared of an item of the menu, or served in place of one.
type Produced struct {
	Item         string
	Extra        bool // beside the menu, such as a condiment
	Recipe       string
	RecipeNumber string
	Product      string // where there is no recipe
	ProductCode  string
	Planned      Count // in all
	Portions     []ProducedPortion
	Temperatures []Temperature
}

// ProducedPortion is the servings of an item for one age/grade group, or for
// [Adults], [Seconds] or [ALaCarte], in its own portion.
type ProducedPortion struct {
	For                                 string
	Portion                             string
	Planned, Prepared, Served, LeftOver Count
}

// Temperature is a reading as it was written down.
type Temperature struct{ When, Reading string }

// Substitution is an item served in place of a planned one: for the whole service,
// from a time on, or for so many servings beside it.
type Substitution struct {
	Planned  string
	Served   Item   // one of the plan may be given by its name alone
	Line     string // empty: every line
	AgeGroup string // empty: every group
	From     string // HH:MM of 24 hours
	Servings int
	Reason   string
}

// whole reports whether it stood there for the whole service.
func (s *Substitution) whole() bool { return s.From == "" && s.Servings == 0 }

// RanOut is an item that was gone before the end of service.
type RanOut struct {
	Item     string
	Line     string // empty: every line
	AgeGroup string // empty: every group
	At       string // HH:MM of 24 hours; empty when nobody noted it
	After    Count  // reimbursable meals served after it
}

// MealsServed is a number of meals: reimbursable ones of an age/grade group, or those
// of [Adults], [Seconds] or [ALaCarte].
type MealsServed struct {
	For    string
	Served Count
}

// ProductionReview is what was checked of a production record.
type ProductionReview struct {
	Checks []Check // of the record itself: what it holds, its arithmetic, what ran out
	Groups []ServedGroup
	Keep   []*patterns.Value // what must be kept and for how long; a note, never a check
}

// ServedGroup is the meal of one age/grade group, planned and as served.
type ServedGroup struct {
	AgeGroup    string
	Meals       Count
	Planned     *Review
	Menu        Menu // as served: a line stands once for each offer children found on it
	Served      *Review
	Differences []Difference
}

// Verdict is the worst verdict of the record and of every group as served.
func (p *ProductionReview) Verdict() Verdict {
	out := (&Review{Checks: p.Checks}).Verdict()
	for i := range p.Groups {
		out = max(out, p.Groups[i].Served.Verdict())
	}
	return out
}

// Rules of a record itself. [EveryChild] and the duties to keep records are values
// of the patterns; the others are arithmetic on what the record says.
const (
	Contents   = "production/contents"
	AddsUp     = "production/adds-up" // served and left over are what was prepared
	PlannedAll = "production/planned" // groups make up what was planned in all
	MealsItems = "production/meals"   // servings fit the meals served
	EveryChild = "offer/every-child"
)

// Production checks a production record and reviews the meal as it was served,
// beside the plan. An error is a *fault.List, or what stopped a review.
func (r *Reviewer) Production(p Production) (*ProductionReview, error) {
	w := &record{r: r, p: &p, out: &ProductionReview{}}
	w.read()
	if w.err != nil {
		return nil, w.err
	}
	if err := w.faults.Err(); err != nil {
		return nil, err
	}
	for i := range w.groups {
		if err := w.serve(&w.groups[i]); err != nil {
			return nil, err
		}
	}
	if err := w.faults.Err(); err != nil {
		return nil, err
	}
	w.contents()
	w.arithmetic()
	w.access()
	for _, rule := range []string{"records/production", "records/contents", "records/retained"} {
		if v := w.value(rule); v != nil {
			w.out.Keep = append(w.out.Keep, v)
		}
	}
	for i := range w.groups {
		w.out.Groups = append(w.out.Groups, w.groups[i].out)
	}
	return w.out, nil
}

// Recalled reports whether nobody read the paper behind a value.
func Recalled(v *patterns.Value) bool { return v.Source.Mark == source.Memory }
