package kitchen

import (
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/measure"
)

// Direction is which way an amount goes to the measures a kitchen has.
type Direction uint8

const (
	// Up takes the least measure that is not below the amount. A dish rounded up
	// loses no credit, but for two that more of another food takes from: other
	// vegetables filled with what the rest of the subgroups leave over, and grain
	// beside grain that does not credit.
	Up Direction = iota + 1
	// Down takes the largest measure that is not above the amount.
	Down
	// Nearest takes the nearer of the two; halfway between them it goes up.
	Nearest
)

var directionIDs = [...]string{"", "up", "down", "nearest"}

// String returns the id used in requests: "up", "down", "nearest".
func (d Direction) String() string {
	if int(d) < len(directionIDs) {
		return directionIDs[d]
	}
	return ""
}

// ParseDirection reads what [Direction.String] writes.
func ParseDirection(s string) (Direction, bool) {
	for i, id := range directionIDs {
		if id == s && i > 0 {
			return Direction(i), true
		}
	}
	return 0, false
}

// Measured is an amount beside what a kitchen weighs, measures or counts for it.
type Measured struct {
	Exact   measure.Quantity // as worked out
	Kitchen measure.Quantity // as a cook takes it; its text reads back to exactly this amount
	// Change is how much more the kitchen takes, as a share of the exact amount:
	// 1/100 is 1 percent more, -1/100 is 1 percent less.
	Change exact.Number
	// BelowLeast is set when the amount is below the least measure there is. The
	// least measure is taken then, in every direction: never nothing.
	BelowLeast bool
}

// InMeasures brings an amount to the measures a kitchen has. Weights and volumes
// stay in the system they are in. Which measures those are is common practice
// here; no source prints a list of them:
//
//   - pounds and ounces: to 1/8 oz below 4 oz, 1/4 oz below 10 lb, 1 oz below
//     100 lb, 1/4 lb from there; at least 1/8 oz
//   - spoons: 1/8 tsp, then to 1/4 tsp below 1 Tbsp; below 1/4 cup whole
//     tablespoons, with 1/2 Tbsp, 1 tsp or 2 tsp more; at least 1/8 tsp
//   - cups: 1/4, 1/3, 1/2, 2/3, 3/4 and whole, below 2 cups to the tablespoon
//     between them; the same fractions below 1 gal, 1/2 cup below 4 gal, 1 cup
//     below 16 gal, 1 qt from there
//   - grams and milliliters: 1 below 100, 5 below 1000, 10 below 10,000, 100
//     from there; at least 1
//   - counts, eggs among them, and cans: whole ones; at least 1
//
// An amount that is one of these stays as it is. The error is a [fault.Fault]
// without a path: for no amount, and for one that has more digits than a
// quantity may.
func InMeasures(q measure.Quantity, d Direction) (Measured, error) {
	if q.IsZero() || q.Amount().Sign() <= 0 {
		return Measured{}, fault.Fault{Reason: fault.OutOfRange, Value: q.Text(), Want: "an amount above 0", Fix: "Leave the ingredient out if the batch takes none."}
	}
	amount, least := ladderOf(q.Unit()).round(q.Amount(), d)
	text := cookText(amount, q.Unit())
	taken, err := measure.Parse(text)
	if err != nil || taken.Unit() != q.Unit() || !taken.Amount().Equal(amount) {
		return Measured{}, fault.Fault{Reason: fault.OutOfRange, Value: q.Text(), Want: "an amount with at most 9 digits before the point", Fix: "Make several batches."}
	}
	return Measured{Exact: q, Kitchen: taken, Change: amount.Quo(q.Amount()).Sub(exact.Int(1)), BelowLeast: least}, nil
}

// ladder is the amounts of a base unit a kitchen can take, as stretches from
// small to large.
type ladder []stretch

// stretch is the amounts below an end: wholes of a size, and marks within each.
// Its end is an amount of this stretch and of the next, so rounding never skips
// over it and an amount that was rounded stays.
type stretch struct {
	end   exact.Number // 0 for the last stretch
	whole exact.Number
	marks []exact.Number // above 0 and below whole, in order
}

func fractions(text string) []exact.Number {
	var ns []exact.Number
	for _, s := range strings.Fields(text) {
		ns = append(ns, exact.MustParse(s))
	}
	return ns
}

func below(end string, whole string, marks string) stretch {
	return stretch{exact.MustParse(end), exact.MustParse(whole), fractions(marks)}
}

var (
	ounces = ladder{below("4", "1/8", ""), below("160", "1/4", ""), below("1600", "1", ""), below("0", "4", "")}
	// In cups: a teaspoon is 1/48, a tablespoon 1/16.
	cups = ladder{
		below("1/192", "1/384", ""),
		below("1/16", "1/192", ""),
		below("1/4", "1/16", "1/48 1/32 1/24"),
		below("2", "1", "1/16 1/8 3/16 1/4 5/16 1/3 3/8 7/16 1/2 9/16 5/8 2/3 11/16 3/4 13/16 7/8 15/16"),
		below("16", "1", "1/4 1/3 1/2 2/3 3/4"),
		below("64", "1/2", ""), below("256", "1", ""), below("0", "4", ""),
	}
	metric = ladder{below("100", "1", ""), below("1000", "5", ""), below("10000", "10", ""), below("0", "100", "")}
	pieces = ladder{below("0", "1", "")}
)

func ladderOf(u *measure.Unit) ladder {
	switch u {
	case measure.Ounce:
		return ounces
	case measure.Cup:
		return cups
	case measure.Gram, measure.Milliliter:
		return metric
	}
	return pieces
}

// round brings x, which is above 0, onto the ladder, and reports whether x is
// below its least amount.
func (l ladder) round(x exact.Number, d Direction) (exact.Number, bool) {
	i := 0
	for !l[i].end.IsZero() && !x.Less(l[i].end) {
		i++
	}
	down, up := l[i].around(x)
	switch {
	case down.IsZero():
		return up, true
	case d == Down, d == Nearest && x.Sub(down).Less(up.Sub(x)):
		return down, false
	}
	return up, false
}

// around returns the largest amount not above x and the least not below it; the
// first is 0 when x is below them all.
func (s *stretch) around(x exact.Number) (down, up exact.Number) {
	base, rest := x.RoundDown(s.whole)
	if rest.IsZero() {
		return x, x
	}
	down, up = base, base.Add(s.whole)
	for _, m := range s.marks {
		if rest.Less(m) {
			return down, base.Add(m)
		}
		down = base.Add(m)
		if rest.Equal(m) {
			return down, down
		}
	}
	return down, up
}

// cookText writes an amount of the ladders as a recipe card has it.
func cookText(x exact.Number, u *measure.Unit) string {
	var parts []string
	// take writes the whole ones of a size that are in what is left.
	take := func(size exact.Number, id string) {
		if whole, rest := x.RoundDown(size); !whole.IsZero() {
			parts = append(parts, whole.Quo(size).String()+" "+id)
			x = rest
		}
	}
	left := func(per exact.Number, id string) {
		if !x.IsZero() {
			parts = append(parts, x.Mul(per).String()+" "+id)
		}
	}
	switch u {
	case measure.Ounce:
		take(exact.Int(16), "lb")
		left(exact.Int(1), "oz")
	case measure.Cup:
		take(exact.Int(16), "gal")
		take(exact.Int(4), "qt")
		c := x.DownTo(exact.Frac(1, 4))
		if third := x.DownTo(exact.Frac(1, 3)); third.Equal(x) {
			c = third
		}
		if x = x.Sub(c); !c.IsZero() {
			parts = append(parts, c.String()+" cup")
		}
		spoons(&parts, x)
	case measure.Gram, measure.Milliliter:
		small, large := "g", "kg"
		if u == measure.Milliliter {
			small, large = "mL", "L"
		}
		if x.Less(exact.Int(1000)) {
			left(exact.Int(1), small)
		} else {
			parts = append(parts, x.Quo(exact.Int(1000)).TrimmedDecimal(3)+" "+large)
		}
	default:
		left(exact.Int(1), u.ID)
	}
	return strings.Join(parts, " ")
}

// spoons writes cups below 1/4 in tablespoons and teaspoons.
func spoons(parts *[]string, x exact.Number) {
	tsp := x.Mul(exact.Int(48))
	whole, rest := tsp.RoundDown(exact.Int(3))
	switch {
	case x.IsZero():
	case whole.IsZero():
		*parts = append(*parts, tsp.String()+" tsp")
	case rest.Equal(exact.Frac(3, 2)):
		*parts = append(*parts, tsp.Quo(exact.Int(3)).String()+" Tbsp")
	default:
		*parts = append(*parts, whole.Quo(exact.Int(3)).String()+" Tbsp")
		if !rest.IsZero() {
			*parts = append(*parts, rest.String()+" tsp")
		}
	}
}
