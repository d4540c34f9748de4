package measure

import (
	"strconv"
	"strings"

	"example.com/ozeq/pkg/exact"
)

// Dimension is what a unit measures.
type Dimension uint8

const (
	// Mass is weight, held in ounces or grams.
	Mass Dimension = iota + 1
	// Volume is held in US cups or milliliters.
	Volume
	// Count is pieces.
	Count
	// Container is a package sold whole, such as a no. 10 can. Each size is a
	// unit of its own and converts into nothing but itself.
	Container
)

// String returns the word used in messages.
func (d Dimension) String() string {
	switch d {
	case Mass:
		return "weight"
	case Volume:
		return "volume"
	case Count:
		return "count"
	case Container:
		return "container"
	}
	return "nothing"
}

// System is the family a unit belongs to.
type System uint8

const (
	// Customary units: pounds, cups.
	Customary System = iota + 1
	// Metric units: grams, milliliters.
	Metric
	// NoSystem is for counts and containers.
	NoSystem
)

// Unit is a unit of measure. Units are compared by pointer; there is one of
// each.
type Unit struct {
	ID        string // as records write it: "lb", "fl oz", "can no. 10"
	UCUM      string // code in the Unified Code for Units of Measure, if it has one
	Dimension Dimension
	System    System
	ratio     exact.Number // how many base units of its dimension and system
	aliases   []string
}

// The units. Ounce, Gram, Cup, Milliliter and Each are the bases amounts are
// held in.
var (
	Ounce    = &Unit{ID: "oz", UCUM: "[oz_av]", Dimension: Mass, System: Customary, ratio: exact.Int(1), aliases: []string{"ounce", "ounces", "ozs"}}
	Pound    = &Unit{ID: "lb", UCUM: "[lb_av]", Dimension: Mass, System: Customary, ratio: exact.Int(16), aliases: []string{"pound", "pounds", "lbs"}}
	Gram     = &Unit{ID: "g", UCUM: "g", Dimension: Mass, System: Metric, ratio: exact.Int(1), aliases: []string{"gram", "grams", "gm", "gms"}}
	Kilogram = &Unit{ID: "kg", UCUM: "kg", Dimension: Mass, System: Metric, ratio: exact.Int(1000), aliases: []string{"kilogram", "kilograms", "kilo", "kilos"}}
	// Milligram serves labels and spices.
	Milligram = &Unit{ID: "mg", UCUM: "mg", Dimension: Mass, System: Metric, ratio: exact.Frac(1, 1000), aliases: []string{"milligram", "milligrams"}}

	Cup        = &Unit{ID: "cup", UCUM: "[cup_us]", Dimension: Volume, System: Customary, ratio: exact.Int(1), aliases: []string{"cups", "c"}}
	Teaspoon   = &Unit{ID: "tsp", UCUM: "[tsp_us]", Dimension: Volume, System: Customary, ratio: exact.Frac(1, 48), aliases: []string{"teaspoon", "teaspoons", "tsps"}}
	Tablespoon = &Unit{ID: "Tbsp", UCUM: "[tbs_us]", Dimension: Volume, System: Customary, ratio: exact.Frac(1, 16), aliases: []string{"tablespoon", "tablespoons", "tbsps", "tbs"}}
	FluidOunce = &Unit{ID: "fl oz", UCUM: "[foz_us]", Dimension: Volume, System: Customary, ratio: exact.Frac(1, 8), aliases: []string{"fluid ounce", "fluid ounces", "floz"}}
	Pint       = &Unit{ID: "pt", UCUM: "[pt_us]", Dimension: Volume, System: Customary, ratio: exact.Int(2), aliases: []string{"pint", "pints", "pts"}}
	Quart      = &Unit{ID: "qt", UCUM: "[qt_us]", Dimension: Volume, System: Customary, ratio: exact.Int(4), aliases: []string{"quart", "quarts", "qts"}}
	Gallon     = &Unit{ID: "gal", UCUM: "[gal_us]", Dimension: Volume, System: Customary, ratio: exact.Int(16), aliases: []string{"gallon", "gallons", "gals"}}
	Milliliter = &Unit{ID: "mL", UCUM: "mL", Dimension: Volume, System: Metric, ratio: exact.Int(1), aliases: []string{"ml", "milliliter", "milliliters", "millilitre", "millilitres", "cc"}}
	Deciliter  = &Unit{ID: "dL", UCUM: "dL", Dimension: Volume, System: Metric, ratio: exact.Int(100), aliases: []string{"deciliter", "deciliters"}}
	Liter      = &Unit{ID: "L", UCUM: "L", Dimension: Volume, System: Metric, ratio: exact.Int(1000), aliases: []string{"liter", "liters", "litre", "litres"}}

	Each  = &Unit{ID: "each", UCUM: "{each}", Dimension: Count, System: NoSystem, ratio: exact.Int(1), aliases: []string{"ea", "piece", "pieces", "whole"}}
	Dozen = &Unit{ID: "dozen", UCUM: "12.{each}", Dimension: Count, System: NoSystem, ratio: exact.Int(12), aliases: []string{"doz", "dozens"}}
)

// Exact facts between the two systems: the international avoirdupois ounce and
// the US gallon of 231 cubic inches.
var (
	gramsPerOunce     = exact.MustParse("28.349523125")
	millilitersPerCup = exact.MustParse("236.5882365")
)

// containers are the packages the handbook sells by, smallest names first.
var containers = []struct {
	id      string
	aliases []string
}{
	{"can no. 10", []string{"cans no. 10", "#10 can", "#10 cans", "no. 10 can", "no. 10 cans", "can #10", "cans #10", "number 10 can", "number 10 cans", "no 10 can", "no 10 cans", "can no 10", "cans no 10"}},
	{"can no. 5", []string{"cans no. 5", "#5 can", "#5 cans", "no. 5 can", "no. 5 cans", "can #5", "cans #5"}},
	{"can no. 3 cyl", []string{"cans no. 3 cyl", "#3 cylinder can", "#3 cylinder cans", "no. 3 cylinder can", "no. 3 cylinder cans", "can no. 3 cylinder", "cans no. 3 cylinder"}},
	{"can no. 2-1/2", []string{"cans no. 2-1/2", "#2-1/2 can", "#2-1/2 cans", "no. 2-1/2 can", "no. 2-1/2 cans", "#2 1/2 can", "#2 1/2 cans", "no. 2 1/2 can", "no. 2 1/2 cans",
		"can no. 2 1/2", "cans no. 2 1/2", "can #2-1/2", "cans #2-1/2", "can #2 1/2", "cans #2 1/2",
		"can no. 2½", "cans no. 2½", "no. 2½ can", "no. 2½ cans", "#2½ can", "#2½ cans", "can #2½", "cans #2½"}},
	{"can no. 303", []string{"cans no. 303", "#303 can", "#303 cans", "no. 303 can", "no. 303 cans", "can #303", "cans #303"}},
	{"can no. 300", []string{"cans no. 300", "#300 can", "#300 cans", "no. 300 can", "no. 300 cans", "can #300", "cans #300"}},
	{"can 66.5 oz", []string{"cans 66.5 oz", "66.5 oz can", "66.5 oz cans"}},
	{"can 46 fl oz", []string{"cans 46 fl oz", "46 fl oz can", "46 fl oz cans"}},
	{"can 12 fl oz", []string{"cans 12 fl oz", "12 fl oz can", "12 fl oz cans"}},
	{"can 6 fl oz", []string{"cans 6 fl oz", "6 fl oz can", "6 fl oz cans"}},
	{"carton 4 fl oz", []string{"cartons 4 fl oz", "4 fl oz carton", "4 fl oz cartons"}},
	{"half-gal", []string{"half gallon", "half gallons", "half-gallon", "half-gallons"}},
	{"half-pt", []string{"half pint", "half pints", "half-pint", "half-pints"}},
}

// printedScoops are the disher numbers kitchens have.
var scoopNumbers = []int{6, 8, 10, 12, 16, 20, 24, 30, 40, 50, 60, 70, 100}

var (
	allUnits = buildUnits()
	byAlias  = buildAliases(allUnits)
)

func buildUnits() []*Unit {
	us := []*Unit{Ounce, Pound, Gram, Kilogram, Milligram,
		Cup, Teaspoon, Tablespoon, FluidOunce, Pint, Quart, Gallon, Milliliter, Deciliter, Liter,
		Each, Dozen}
	for _, c := range containers {
		u := &Unit{ID: c.id, Dimension: Container, System: NoSystem, ratio: exact.Int(1), aliases: c.aliases}
		switch c.id { // sold by volume: plain volumes under a package's name
		case "half-gal":
			u.Dimension, u.System, u.ratio = Volume, Customary, exact.Int(8)
		case "half-pt":
			u.Dimension, u.System, u.ratio = Volume, Customary, exact.Int(1)
		}
		us = append(us, u)
	}
	for _, n := range scoopNumbers {
		no := strconv.Itoa(n)
		us = append(us, &Unit{ID: "scoop no. " + no, Dimension: Volume, System: Customary, ratio: exact.Frac(4, int64(n)),
			aliases: []string{"scoops no. " + no, "no. " + no + " scoop", "no. " + no + " scoops", "#" + no + " scoop", "#" + no + " scoops", "scoop #" + no, "scoops #" + no,
				"no. " + no + " disher", "#" + no + " disher"}})
	}
	return us
}

func buildAliases(us []*Unit) map[string]*Unit {
	m := make(map[string]*Unit, 8*len(us))
	for _, u := range us {
		m[strings.ToLower(u.ID)] = u
		if u.UCUM != "" {
			m[strings.ToLower(u.UCUM)] = u
		}
		for _, a := range u.aliases {
			m[a] = u
		}
	}
	return m
}

// Units returns every unit known, in a fixed order.
func Units() []*Unit { return append([]*Unit(nil), allUnits...) }

// UnitByID returns the unit records call id, or one of its everyday spellings.
func UnitByID(id string) (*Unit, bool) {
	u, ok := byAlias[strings.ToLower(strings.TrimSpace(id))]
	return u, ok
}

// ScoopNumbers returns the disher numbers known, largest scoop first.
func ScoopNumbers() []int { return append([]int(nil), scoopNumbers...) }

// Scoop returns what a level scoop of the given number holds, one quart divided
// by the number, and whether kitchens have that number.
func Scoop(number int) (Quantity, bool) {
	u, ok := byAlias["scoop no. "+strconv.Itoa(number)]
	if !ok {
		return Quantity{}, false
	}
	return New(exact.Int(1), u), true
}

// Ratio returns how many of v make one u, when they measure the same thing.
func (u *Unit) Ratio(v *Unit) (exact.Number, bool) {
	if u == v {
		return exact.Int(1), true
	}
	if u.Dimension != v.Dimension || u.Dimension == Container {
		return exact.Number{}, false
	}
	r := u.ratio.Quo(v.ratio)
	if u.System == v.System {
		return r, true
	}
	between := gramsPerOunce
	if u.Dimension == Volume {
		between = millilitersPerCup
	}
	if u.System == Customary {
		return r.Mul(between), true
	}
	return r.Quo(between), true
}
