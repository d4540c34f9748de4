package credit

import (
	"strconv"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/source"
)

// Record is the crediting record of one portion: the credits, and the work.
type Record struct {
	Name        string
	Servings    int // 0 for a further portion of which the batch makes no whole number
	On          rules.Date
	Program     *rules.Program
	Options     map[string]string // every option in force, defaults included; do not change
	GrainsUnit  string            // "oz eq", or "serving" where the program still counts servings
	Portion     recipe.Portion
	IDs         IDs
	Credits     []Credit
	Ingredients []Line
	Figures     []*Figure // immutable; do not change what they point to
	Findings    []Finding
	Steps       []Step
	Also        []*Record // of the other portions of the batch, and of statements worked out again
}

// IDs are digests over the values an answer rests on.
type IDs struct {
	RuleSet string
	Catalog string
	Request string
}

// Status says how far papers carry a credit.
type Status uint8

// The statuses, from best to worst.
const (
	// NoCredit: nothing is credited.
	NoCredit Status = iota
	// Documented: every figure was read in the handbook or a rule, or came with
	// its paper.
	Documented
	// NeedsPaper: a product statement, CN label or label is missing.
	NeedsPaper
	// Estimate: a figure comes from memory or from data that is not the
	// handbook. Not claimable until checked.
	Estimate
)

// String returns the words records print.
func (s Status) String() string {
	return [...]string{"no credit", "documented", "needs paper", "estimate"}[s]
}

// Credit is what one portion earns toward a component or a subgroup.
type Credit struct {
	Component    food.Component
	Subgroup     food.Subgroup // NoSubgroup for the component as a whole
	Exact        exact.Number  // not claimable
	Credited     exact.Number  // Exact rounded down to Step
	Claimable    exact.Number  // what the documented figures alone support; Credited when Status is Documented
	Step         exact.Number
	Basis        Basis
	Status       Status
	Reason       string // why nothing is credited; empty when something is
	ToSpare      Spare  // what could be left out before the credit drops
	ToNext       Spare  // what is missing for the next step
	Alternatives []Alternative
	FirstStep    int // steps FirstStep to LastStep of the record end in this credit
	ExactStep    int // step whose value is Exact
	LastStep     int
}

// Unit returns what the credit is counted in, in this record.
func (r *Record) Unit(c food.Component) string {
	if c == food.Grains {
		return r.GrainsUnit
	}
	return c.Unit()
}

// Basis is the method behind a value, or of an alternative to it.
type Basis string

// The bases.
const (
	Sum               Basis = "sum"               // exact sum over ingredients, divided, rounded down
	CreditableGrains  Basis = "creditable-grains" // grams of creditable grain
	ExhibitAWeight    Basis = "exhibit-a"         // portion weight at the printed least weights
	ExhibitADivision  Basis = "exhibit-a-division"
	ExhibitAGrams     Basis = "exhibit-a-grams"
	ExhibitAOunces    Basis = "exhibit-a-ounces"
	ExhibitAHeld      Basis = "exhibit-a-held"   // bought products at the printed least weights, the rest by grams
	ExhibitAPooled    Basis = "exhibit-a-pooled" // division of pooled ingredient weights
	ExactOunce        Basis = "exact-ounce"
	KitchenOunce      Basis = "kitchen-ounce"
	WorksheetCut      Basis = "worksheet-cut"
	CookedShareWeight Basis = "cooked-share"
	DriedFruitCounted Basis = "dried-fruit-counted"
	Remainder         Basis = "remainder"
	FullServing       Basis = "full-serving"  // milk, as the serving of the age group
	SmoothieMilk      Basis = "smoothie-milk" // milk in a smoothie
	OtherFilled       Basis = "other-filled"  // other vegetables, with what other subgroups leave over
	OtherAlone        Basis = "other-alone"   // other vegetables on their own sum
	EachRounded       Basis = "each-ingredient-rounded-down"
	LegumesStepped    Basis = "legumes-stepped" // cups of legumes rounded down before they are turned into oz eq
	LimitNotApplied   Basis = "limit-not-applied"
)

// Spare is an amount of one ingredient of the batch.
type Spare struct {
	Ingredient int // index in the record; -1 for the portion itself; only when Unit is set
	Amount     exact.Number
	Unit       *measure.Unit // nil when there is nothing to say
}

// Alternative is another defensible answer.
type Alternative struct {
	Basis    Basis
	Exact    exact.Number
	Credited exact.Number
	Figure   int // index of the figure that decides it; -1 when the record's others do
}

// Line is an ingredient as the record states it.
type Line struct {
	Food      *food.Food
	Name      string
	Quantity  measure.Quantity
	State     string
	Credit    exact.Number // of the whole batch
	Reason    string       // why it earns nothing; empty when it earns something
	Step      int          // its step in the record; -1 when none
	at        *place       // where it stands in the request; nil for the recipe itself
	index     int32
	Basis     food.Basis
	Component food.Component // credited as; NoComponent when nothing
	Subgroup  food.Subgroup
}

// Path returns where the ingredient stands in the request.
func (l *Line) Path() string {
	prefix := "recipe"
	if l.at != nil {
		prefix = l.at.prefix
	}
	return prefix + ".ingredients[" + strconv.Itoa(int(l.index)) + "]"
}

// PartOf returns the sub-recipe or product the ingredient came with, or "".
func (l *Line) PartOf() string {
	if l.at == nil {
		return ""
	}
	return l.at.of
}

// Figure is one value the work used.
type Figure = source.Figure

// Severity of a finding.
type Severity uint8

// The severities.
const (
	Note Severity = iota + 1
	Check
	Caution
)

// FindingReason is the cause of a finding.
type FindingReason string

// The causes.
const (
	EstimatedFigure FindingReason = "ESTIMATED_FIGURE"
	PaperMissing    FindingReason = "PAPER_MISSING"
	StateAssumed    FindingReason = "STATE_ASSUMED"
	LegumeChoice    FindingReason = "LEGUME_CHOICE"
	WholeGrainShare FindingReason = "WHOLE_GRAIN_SHARE"
	AllergensListed FindingReason = "ALLERGENS_LISTED"
	GlutenListed    FindingReason = "GLUTEN_LISTED"
	GlutenNotListed FindingReason = "GLUTEN_NOT_LISTED"
	ChokingHazard   FindingReason = "CHOKING_HAZARD"
	HoneyInfants    FindingReason = "HONEY_INFANTS"
	YieldTested     FindingReason = "YIELD_TESTED"
	PortionOff      FindingReason = "PORTION_OFF"
	DessertLimited  FindingReason = "DESSERT_LIMITED"
	DessertNone     FindingReason = "DESSERT_NONE"
	NonCreditable   FindingReason = "NONCREDITABLE_GRAIN"
	CountsAsJuice   FindingReason = "COUNTS_AS_JUICE"
	LabelExpired    FindingReason = "LABEL_EXPIRED"
	LabelBelowLeast FindingReason = "LABEL_BELOW_LEAST"
	StatementBad    FindingReason = "STATEMENT_NOT_ACCEPTED"
	OverClaim       FindingReason = "OVER_CLAIM"
	PortionCap      FindingReason = "PORTION_CAP"
	CheckLabel      FindingReason = "CHECK_LABEL"
	ShareGiven      FindingReason = "SHARE_GIVEN"
	OwnFigureUnused FindingReason = "OWN_FIGURE_UNUSED"
	OwnDescription  FindingReason = "OWN_DESCRIPTION"
	WeightMore      FindingReason = "WEIGHT_CREDITS_MORE"
)

// Finding is a thing to know or to check. It holds values; package report puts
// it into words.
type Finding struct {
	Severity   Severity
	Reason     FindingReason
	Component  food.Component
	Ingredient int // index; -1 for the whole
	Figures    []int
	Share      exact.Number
	Words      []string
}

// Operation of a step.
type Operation uint8

// The operations.
const (
	Amount     Operation = iota + 1 // an ingredient's amount, through its figures
	SumUp                           // the batch total of a component
	PerServing                      // divided by the servings made
	RoundDown                       // to the step of the component
	LookUp                          // the largest printed weight not above the portion's
	Remains                         // what subgroups leave of the total
	FillUp                          // what rounding other subgroups down leaves over, added
)

var operationIDs = [...]string{"", "amount", "sum", "per-serving", "round-down", "look-up", "remainder", "fill-up"}

// String returns the id records use.
func (o Operation) String() string { return operationIDs[o] }

// Outcome of a step.
type Outcome uint8

// The outcomes.
const (
	Counted Outcome = iota + 1
	Nothing
	RoundedDown
)

// Step is one line of the work: a starting value, then operations on it.
type Step struct {
	Rule       string
	Operation  Operation
	Component  food.Component
	Subgroup   food.Subgroup
	Outcome    Outcome
	Ingredient int // index; -1 when none
	Start      exact.Number
	Unit       *measure.Unit // of Start; nil when it is credit already
	Terms      []Term
	Value      exact.Number
}

// Op is what a term does to the running value.
type Op uint8

// The term operations.
const (
	Times Op = iota + 1
	DividedBy
	Plus
	Minus
	DownTo // rounded down to a multiple of
)

var opIDs = [...]string{"", "times", "divided-by", "plus", "minus", "round-down-to"}

// String returns the id records use.
func (o Op) String() string { return opIDs[o] }

// Term is one operation on the running value of a step. Its operand is the
// value of a figure or of an earlier step.
type Term struct {
	Op     Op
	Figure int32 // index in the record's figures; -1 when the operand is a step
	Step   int32 // index of an earlier step; -1 when the operand is a figure
}

// Operand returns the value a term works with.
func (r *Record) Operand(t Term) exact.Number {
	if t.Step >= 0 {
		return r.Steps[t.Step].Value
	}
	return r.Figures[t.Figure].Used
}

// Credit returns the record's credit toward a component as a whole, and
// whether anything of the kind was counted.
func (r *Record) Credit(c food.Component) (Credit, bool) {
	return r.SubgroupCredit(c, food.NoSubgroup)
}

// SubgroupCredit returns the credit toward a vegetable subgroup.
func (r *Record) SubgroupCredit(c food.Component, s food.Subgroup) (Credit, bool) {
	for i := range r.Credits {
		if r.Credits[i].Component == c && r.Credits[i].Subgroup == s {
			return r.Credits[i], true
		}
	}
	return Credit{}, false
}

// AllDocumented reports whether every credit above 0 is documented, and no
// ingredient waits for its paper.
func (r *Record) AllDocumented() bool {
	for i := range r.Credits {
		if s := r.Credits[i].Status; s == NeedsPaper || s == Estimate {
			return false
		}
	}
	for i := range r.Findings {
		switch r.Findings[i].Reason {
		case PaperMissing, LabelExpired, LabelBelowLeast, StatementBad:
			return false
		}
	}
	return true
}
