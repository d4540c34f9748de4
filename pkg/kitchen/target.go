package kitchen

import (
	"strconv"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// Aim is what a portion is to credit toward one component or vegetable subgroup.
type Aim struct {
	// Of is a component (grains, meats, fruits, vegetables, milk) or a vegetable
	// subgroup (dark-green, red-orange, beans-peas-lentils, starchy, other).
	Of string
	// Least is in oz eq (in servings where the program still counts them) or cups.
	// An amount between two steps is read as the step above it: a credit that is
	// at least 0.3 oz eq is one of 1/2.
	Least exact.Number
	// Most bounds the credit; 0 sets no bound. Between two steps it is read as the
	// step below.
	Most exact.Number
}

// Way is a way to reach a target.
type Way string

// The ways.
const (
	OneIngredient Way = "one-ingredient"      // the amount of one line
	Ingredients   Way = "several-ingredients" // the amounts of any lines
	Servings      Way = "servings"            // more or fewer servings of the same batch
	PortionWeight Way = "portion-weight"      // where the weight of the portion decides the grains
)

// Ways lists the ways, in the order in which equal changes are ranked: what
// touches the recipe least comes first.
func Ways() []Way { return []Way{Servings, PortionWeight, OneIngredient, Ingredients} }

// Names of what may credit less, beside those that [Aim.Of] takes.
const (
	Everything     = "everything"
	WholeGrainRich = "whole-grain-rich" // half of the creditable grain
)

// TargetRequest asks for the smallest change of a recipe after which a portion
// credits what it is to.
type TargetRequest struct {
	Credit  credit.Request // the recipe, its day and program
	Portion int            // index of the portion meant; 0 is the first, which the servings count
	Aims    []Aim
	// WholeGrain is the least share of the creditable grain that is whole, such as
	// 1/2; 0 asks for none. With 1/2 and grain that does not credit within its
	// limit, which the engine holds it to, the dish is whole grain-rich.
	WholeGrain exact.Number
	// Claimable asks that documented figures alone reach the aims. Without it an
	// estimate may, and the answer says that it is not claimable.
	Claimable bool
	// MayDrop names what may credit less than before. Whatever else credits now is
	// kept, what is claimable of it too. An aim needs no mention.
	MayDrop []string
	Ways    []Way // to try; empty: all
	Lines   []int // indexes of the ingredients that may change; empty: all
}

// Target is how a target is reached.
type Target struct {
	Aims   []AimRead
	Before *credit.Record // of the batch; other portions are in Also
	Met    bool           // by the recipe as it is: nothing is to be changed
	// NotClaimable names what meets the target as the recipe is, but rests on an
	// estimate.
	NotClaimable []string
	Tries        []Try // what reaches it first, the smallest change first; then what does not
}

// AimRead is how an aim was read.
type AimRead struct {
	Aim
	Component   food.Component
	Subgroup    food.Subgroup
	Unit        string       // "oz eq", "serving" or "cup"
	CreditLeast exact.Number // the least credit that meets it
	CreditMost  exact.Number // the most that does; 0 when there is no bound
}

// Try is one way and where it leads.
type Try struct {
	Way  Way
	Line int // of the ingredient for OneIngredient; else -1

	Reached bool
	Because string // why it cannot be reached, when it is not

	// Change is what the kitchen changes: of amounts the sum of their relative
	// changes (a line from 4 lb to 5 lb is 1/4), of servings and portion weight the
	// relative change itself.
	Change exact.Number
	// Exact is the same before rounding to kitchen measures. No smaller change
	// reaches the target when Least is set.
	Exact exact.Number
	// Open is set when the exact change is a bound that is not enough itself, and
	// anything more is.
	Open bool
	// Least is set when no smaller change this way reaches the target, in kitchen
	// measures or exactly. It is not when the search ended at its bounds.
	Least bool

	Lines    []LineChange
	Servings int // of the portion meant after the change; 0 when unchanged
	Weight   measure.Quantity

	Request      credit.Request // the changed recipe, kitchen rounding included
	After        *credit.Record // what the engine credits it; other portions are in Also
	NotClaimable []string       // aims that are reached but rest on estimates
	Alters       []Alteration
}

// LineChange is a changed amount.
type LineChange struct {
	Line     int // index of the ingredient
	Name     string
	Before   measure.Quantity
	Exact    measure.Quantity // before rounding to kitchen measures
	After    measure.Quantity
	Relative exact.Number // After over Before less 1: 1/4 is a quarter more
}

// Bounds of targets and of changes.
const (
	MaxAims   = 20
	MaxAim    = 24  // oz eq or cups in a portion
	MaxGrowth = 100 // times an amount may grow
	maxTries  = 40  // one-ingredient tries that are told
)

// component and subgroup of an aim.
func parseAim(of string) (food.Component, food.Subgroup, bool) {
	if c, ok := food.ParseComponent(of); ok {
		return c, food.NoSubgroup, true
	}
	if s, ok := food.ParseSubgroup(of); ok && s != food.Additional {
		return food.Vegetables, s, true
	}
	return food.NoComponent, food.NoSubgroup, false
}

const aimNames = "grains, meats, fruits, vegetables, milk, dark-green, red-orange, beans-peas-lentils, starchy or other"

// Target finds the smallest changes of a recipe after which a portion credits what
// it is to. Whatever it hands out has been credited by the engine. An error is a
// [*fault.List].
//
// Amounts are worked out exactly: the engine's credits are piecewise linear in
// them, so along one amount, or the servings, it goes from one point at which a
// credit can change to the next and asks the engine at each; for several amounts it
// solves linear programs over rationals, branching where the rules branch (least
// amounts of dried fruit, hidden puree and smoothies, printed least weights, what
// fills other vegetables). Then the same is done over the measures a kitchen has,
// see [InMeasures]; an amount that does not change stays as it is written.
func (k *Kitchen) Target(req TargetRequest) (*Target, error) {
	var faults fault.List
	reads := req.check(&faults)
	before, err := k.engine.Credit(req.Credit)
	if err != nil && !faults.Append(err) {
		return nil, err
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	s, err := k.search(&req, reads, before)
	if err != nil {
		return nil, err
	}
	t := &Target{Aims: s.reads, Before: before}
	if s.meets(s.base) {
		t.Met = true
		t.NotClaimable = s.notClaimable(s.base)
		return t, nil
	}
	s.model()
	t.Tries = s.tries()
	if s.err != nil {
		return nil, s.err
	}
	return t, nil
}

// check reports what is wrong with what is asked, the recipe's own faults apart,
// and reads the aims as far as it can.
func (req *TargetRequest) check(faults *fault.List) []AimRead {
	if req.Credit.Recipe == nil && req.Credit.Product != nil {
		faults.Add(fault.Fault{Reason: fault.Conflicting, Path: "product", Want: "a recipe: a bought product cannot be changed", Fix: "Buy it in another size, or put it into a recipe."})
	}
	if len(req.Aims) == 0 && req.WholeGrain.IsZero() {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "aims", Want: "what a portion is to credit, such as grains at least 2", Fix: "Name at least one component or vegetable subgroup with its amount, or a whole grain share."})
	}
	if n := len(req.Aims); n > MaxAims {
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: "aims", Value: strconv.Itoa(n), Want: "at most " + strconv.Itoa(MaxAims) + " aims", Fix: "Name each component and subgroup once."})
		return nil
	}
	reads := make([]AimRead, 0, len(req.Aims))
	for i, a := range req.Aims {
		at := fault.Index("aims", i)
		c, sub, ok := parseAim(a.Of)
		switch {
		case a.Of == "":
			faults.Add(fault.Fault{Reason: fault.Missing, Path: at + ".of", Want: aimNames, Fix: "Say what the amount is of."})
		case !ok:
			faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: at + ".of", Value: a.Of, Want: aimNames, Fix: "Take one of these; what subgroups leave of the vegetables is no aim of its own."})
		}
		for k := range i {
			if ok && req.Aims[k].Of == a.Of {
				faults.Add(fault.Fault{Reason: fault.Conflicting, Path: at + ".of", Value: a.Of, Want: "each component and subgroup once", Fix: "Put least and most on one aim."})
				break
			}
		}
		most := exact.Int(MaxAim)
		bound := func(n exact.Number, name string) {
			if n.Sign() < 0 || most.Less(n) {
				faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: at + "." + name, Value: n.String(), Want: "an amount from 0 to " + strconv.Itoa(MaxAim) + " oz eq or cups in a portion", Fix: "Give what one portion is to credit, not the batch."})
			}
		}
		bound(a.Least, "least")
		bound(a.Most, "most")
		switch {
		case a.Least.IsZero() && a.Most.IsZero():
			faults.Add(fault.Fault{Reason: fault.Missing, Path: at + ".least", Want: "the least a portion is to credit, or the most", Fix: "Give an amount above 0."})
		case !a.Most.IsZero() && a.Most.Less(a.Least):
			faults.Add(fault.Fault{Reason: fault.Conflicting, Path: at + ".most", Value: a.Most.String(), Want: "no less than least, " + a.Least.String(), Fix: "Change places, or leave most out."})
		}
		reads = append(reads, AimRead{Aim: a, Component: c, Subgroup: sub})
	}
	if req.WholeGrain.Sign() < 0 || exact.Int(1).Less(req.WholeGrain) {
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: "wholeGrain", Value: req.WholeGrain.String(), Want: "a share from 0 to 1, such as 1/2", Fix: "Whole grain-rich is at least half."})
	}
	for i, of := range req.MayDrop {
		if _, _, ok := parseAim(of); !ok && of != Everything && of != WholeGrainRich {
			faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: fault.Index("mayDrop", i), Value: of, Want: aimNames + ", or " + WholeGrainRich + " or " + Everything, Fix: "Name what may credit less."})
		}
	}
	for i, w := range req.Ways {
		switch w {
		case OneIngredient, Ingredients, Servings, PortionWeight:
		default:
			faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: fault.Index("ways", i), Value: string(w), Want: "one-ingredient, several-ingredients, servings or portion-weight", Fix: "Leave ways out to try them all."})
		}
	}
	if r := req.Credit.Recipe; r != nil {
		req.checkRecipe(r, faults)
	}
	return reads
}

func (req *TargetRequest) checkRecipe(r *recipe.Recipe, faults *fault.List) {
	for i, n := range req.Lines {
		if n < 0 || n >= len(r.Ingredients) {
			faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: fault.Index("lines", i), Value: strconv.Itoa(n), Want: "the index of an ingredient, 0 to " + strconv.Itoa(len(r.Ingredients)-1), Fix: "Count the ingredients from 0."})
		}
		for k := range i {
			if req.Lines[k] == n {
				faults.Add(fault.Fault{Reason: fault.Conflicting, Path: fault.Index("lines", i), Value: strconv.Itoa(n), Want: "each line once", Fix: "Leave the second one out."})
				break
			}
		}
	}
	if n := max(len(r.Portions), 1); req.Portion < 0 || req.Portion >= n {
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: "portion", Value: strconv.Itoa(req.Portion), Want: "the index of a portion of the recipe, 0 to " + strconv.Itoa(n-1), Fix: "Leave it out for the first portion."})
	}
}

// needText writes an amount with its unit.
func needText(n exact.Number, unit string) string {
	if exact.Int(1).Less(n) && (unit == "cup" || unit == "serving") {
		unit += "s"
	}
	return n.String() + " " + unit
}

// aimTitle names a component or subgroup in running words.
func aimTitle(c food.Component, s food.Subgroup) string {
	if s != food.NoSubgroup {
		return strings.ToLower(s.Title()) + " vegetables"
	}
	return strings.ToLower(c.Title())
}
