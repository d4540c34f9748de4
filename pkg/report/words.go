package report

import (
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
)

// Places is how many decimals running values are cut to.
const Places = 4

// CreditText writes a credit as the trade does: "1 1/4 oz eq", "3/8 cup".
func CreditText(r *credit.Record, cr *credit.Credit) string {
	return amountText(cr.Credited, r.Unit(cr.Component))
}

func amountText(n exact.Number, unit string) string {
	if exact.Int(1).Less(n) {
		switch unit {
		case "cup":
			unit = "cups"
		case "serving":
			unit = "servings"
		}
	} else if n.Equal(exact.Int(1)) {
		switch unit {
		case "kinds", "components", "items", "other items", "subgroups", "servings", "occasions", "times", "days":
			unit = strings.TrimSuffix(unit, "s")
		}
	}
	return n.String() + " " + unit
}

// Title names what a credit is toward.
func Title(cr *credit.Credit) string {
	if cr.Subgroup != food.NoSubgroup {
		return cr.Subgroup.Title()
	}
	return cr.Component.Title()
}

// BasisText says what a basis is.
func BasisText(b credit.Basis) string {
	switch b {
	case credit.CreditableGrains:
		return "by grams of creditable grain"
	case credit.ExhibitAWeight:
		return "by portion weight, Exhibit A as printed"
	case credit.ExhibitADivision:
		return "by portion weight, Exhibit A by division"
	case credit.ExhibitAGrams:
		return "by the gram column of Exhibit A"
	case credit.ExhibitAOunces:
		return "by the ounce column of Exhibit A"
	case credit.ExhibitAHeld:
		return "by grams of grain and Exhibit A as printed"
	case credit.ExhibitAPooled:
		return "by ingredient weight divided by the weight of 1 oz eq"
	case credit.ExactOunce:
		return "with 28.349523125 g in an ounce"
	case credit.KitchenOunce:
		return "with 28.35 g in an ounce"
	case credit.WorksheetCut:
		return "by hand worksheet, every figure cut to 3 decimals"
	case credit.CookedShareWeight:
		return "by the printed share of raw weight left after cooking"
	case credit.DriedFruitCounted:
		return "with the dried fruit counted"
	case credit.Remainder:
		return "what the subgroups leave of the total"
	case credit.FullServing:
		return "the full serving of the age group"
	case credit.SmoothieMilk:
		return "milk in a smoothie, not rounded in steps"
	case credit.EachRounded:
		return "with each ingredient rounded down before adding"
	case credit.LegumesStepped:
		return "with the cups of beans, peas and lentils rounded down to 1/8 first"
	case credit.OtherFilled:
		return "with what rounding other subgroups down leaves over"
	case credit.OtherAlone:
		return "on the sum of other vegetables alone"
	case credit.LimitNotApplied:
		return "without the rule that denies it"
	}
	return "by servings per purchase unit"
}

// AlternativeReason says why another answer is not the credit.
func AlternativeReason(b credit.Basis) string {
	switch b {
	case credit.ExhibitAWeight:
		return "grams of creditable grain decide for a standardized recipe, or the division where an option takes it"
	case credit.ExhibitADivision:
		return "the portion does not reach the printed least weight"
	case credit.ExhibitAGrams, credit.ExhibitAOunces:
		return "a portion is held against the column of the unit it was declared in"
	case credit.ExhibitAPooled:
		return "bought grain products are held to the printed least weights (option non-table-exhibit-a)"
	case credit.ExactOunce, credit.KitchenOunce:
		return "option grams-per-ounce takes the other"
	case credit.WorksheetCut:
		return "cutting on the way loses credit the exact sum keeps; a reviewer working by hand may get this"
	case credit.CookedShareWeight:
		return "the printed servings per pound decide; they are cut from the share"
	case credit.DriedFruitCounted:
		return "a portion holds less than the least dried fruit that credits"
	case credit.CreditableGrains:
		return "the request asks for the weight method"
	case credit.EachRounded:
		return "what the ingredients bring is added first and rounded down once"
	case credit.LegumesStepped:
		return "no published decision sets that order; the exact sum is rounded down once"
	case credit.OtherAlone:
		return "additional dark green, red/orange and beans, peas, lentils may meet other vegetables"
	case credit.LimitNotApplied:
		return "a rule of the program denies it"
	}
	return ""
}

// StatusText says how far papers carry a credit, and what may be claimed now.
func StatusText(r *credit.Record, cr *credit.Credit) string {
	switch cr.Status {
	case credit.NeedsPaper:
		return "NOT VERIFIED; " + cr.Reason
	case credit.Estimate:
		if cr.Claimable.Equal(cr.Credited) {
			return "NOT VERIFIED in part; claimable in full"
		}
		return "NOT VERIFIED; claimable now " + amountText(cr.Claimable, r.Unit(cr.Component))
	case credit.NoCredit:
		return cr.Reason
	}
	return cr.Status.String()
}

// FindingText puts a finding into a sentence.
func FindingText(r *credit.Record, f *credit.Finding) string {
	name := ""
	if f.Ingredient >= 0 && f.Ingredient < len(r.Ingredients) {
		name = lineName(&r.Ingredients[f.Ingredient])
	}
	switch f.Reason {
	case credit.EstimatedFigure:
		if len(f.Figures) == 0 {
			return f.Component.Title() + ": a formulation statement was worked out again with figures that were not checked in the handbook. They stand in its own record."
		}
		return f.Component.Title() + ": these figures were not checked in the handbook. Look each up and give it with document, page and edition (foods in the request)."
	case credit.PaperMissing:
		return name + " earns nothing until a CN label or a product formulation statement is on file."
	case credit.StateAssumed:
		return name + ": no state is given and it has figures for several (" + strings.Join(f.Words, ", ") + "). The lowest is used; the others credit the same."
	case credit.LegumeChoice:
		return name + " is credited as a vegetable. It can be credited as a meat alternate instead (creditAs: meats), never as both in one dish."
	case credit.WholeGrainShare:
		s := "Of the creditable grain, " + f.Share.Mul(exact.Int(100)).TrimmedDecimal(1) + " percent is whole grain"
		if f.Share.Less(exact.Frac(1, 2)) {
			return s + ": less than half, so the dish is not whole grain-rich."
		}
		return s + ": at least half, as whole grain-rich asks; every other grain must be enriched, and the labels must show it."
	case credit.AllergensListed:
		if len(f.Words) == 0 {
			return "No major allergen stands in the catalog's entries for these foods. That is not the same as allergen-free: read every label."
		}
		return "Contains by the catalog's entries: " + strings.Join(f.Words, ", ") + ". Read every label; this supports and never replaces label checks."
	case credit.GlutenListed:
		return "Contains gluten by the catalog's entries." + askLabels(f.Words)
	case credit.GlutenNotListed:
		return "No gluten-containing ingredient is listed; read each label." + askLabels(f.Words)
	case credit.ChokingHazard:
		return name + " can choke children under 4: cut, chop, cook soft or leave out. This supports and never replaces licensed practice."
	case credit.YieldTested:
		return "The yield test made " + f.Words[0] + " portions, the recipe says " + f.Words[1] + ": the portions made decide the credit. Correct the recipe."
	case credit.PortionOff:
		return "The weighed batch gives " + f.Share.DecimalText(2) + " " + f.Words[0] + " a portion, the recipe says " + f.Words[1] + ": weigh portions again before claiming."
	case credit.DessertLimited:
		s := "A grain-based dessert: it credits, and counts toward the limit on desserts in the week"
		if f.Words[0] != "" {
			s = "A grain-based dessert: it credits " + f.Words[0]
		}
		return s + " (" + f.Words[1] + ")."
	case credit.DessertNone:
		return "A grain-based dessert, which does not credit in this program on this date (" + f.Words[0] + ")."
	case credit.NonCreditable:
		s := "A portion holds " + f.Share.DecimalText(2) + " g of grain that does not credit"
		if len(f.Words) == 0 {
			return s + ". By the State's option the grain that does credit is counted."
		}
		return s + "; above " + f.Words[0] + " g the dish earns no grains. Use enriched or whole grain."
	case credit.CountsAsJuice:
		return name + ": puree and juice in a smoothie credit as juice, and count toward the limits on juice."
	case credit.LabelExpired:
		return f.Words[0] + ": CN label " + f.Words[1] + ", approved " + f.Words[2] + ", is not good on the date of service; a label is good for " + f.Words[3] + " years."
	case credit.LabelBelowLeast:
		return f.Words[0] + ": the CN label is said to give " + f.Words[1] + " oz eq of meats/meat alternates, and none is given for less than " + f.Words[2] + ". Check what it says."
	case credit.StatementBad:
		return f.Words[0] + ": " + f.Words[1] + ", so nothing is credited by it."
	case credit.OverClaim:
		return f.Words[0] + " claims " + f.Words[1] + " " + f.Component.Unit() + " of " + f.Component.String() + "; its own figures support " + f.Words[2] + ". The lower is credited; ask the maker to correct the statement."
	case credit.PortionCap:
		return f.Words[0] + ": meats/meat alternates of a bought product cannot credit above the weight of the portion, " + f.Words[1] + "; its figures would give " + f.Words[2] + " oz eq."
	case credit.CheckLabel:
		return name + ": keep the label or papers that show " + f.Words[0] + "."
	case credit.ShareGiven:
		if len(f.Words) > 1 {
			name = f.Words[1]
		}
		return name + ": the request says that " + f.Words[0] + " of it ends up in the food. Keep the weighing that shows it."
	case credit.OwnDescription:
		return name + ": what it is (component, subgroup, kind of grain) is the request's word. Keep the label or paper that shows it."
	case credit.OwnFigureUnused:
		return name + ": the figures given with the request were not used; their state, unit or component does not fit the ingredient."
	case credit.WeightMore:
		return "A portion of " + f.Words[0] + " in group " + f.Words[1] + " of Exhibit A would credit " + f.Words[2] + " " + r.Unit(f.Component) + "; the grain on the list credits " + f.Words[3] +
			". Check that the list has every grain that is in it, in full. If it has, the grain on the list decides."
	case credit.HoneyInfants:
		return name + ": never before 12 months of age, cooked or not."
	}
	return ""
}

func askLabels(words []string) string {
	if len(words) == 0 {
		return ""
	}
	return " The label decides for: " + strings.Join(words, ", ") + "."
}

// lineName is what the card calls an ingredient, else what the catalog does.
func lineName(l *credit.Line) string {
	if l.Name != "" {
		return l.Name
	}
	return l.Food.Name
}

// VerifyText says what would turn a credit into a documented one; empty when it
// is.
func VerifyText(r *credit.Record, cr *credit.Credit) string {
	if cr.Status != credit.Estimate {
		return ""
	}
	var parts []string
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Reason != credit.EstimatedFigure || f.Component != cr.Component {
			continue
		}
		for _, k := range f.Figures {
			parts = append(parts, figureName(r.Figures[k]))
		}
	}
	if len(parts) == 0 {
		return "Check in the handbook the figures its formulation statement was worked out with again"
	}
	return "Check in the handbook: " + strings.Join(parts, "; ")
}

// figureName names a figure by what it counts and its value.
func figureName(g *credit.Figure) string {
	name := g.Name
	if name != "" {
		name += ", "
	}
	if g.Unit == "none" { // words
		return name + g.Text
	}
	return name + g.Text + " " + g.Unit
}

// SpareText writes an amount of an ingredient in kitchen units, cut for what is
// to spare and rounded up for what is missing, to 2 decimals.
func SpareText(r *credit.Record, s credit.Spare, up bool) string {
	if s.Unit == nil {
		return ""
	}
	n, unit := asKitchensSay(s)
	hundredth := exact.Frac(1, 100)
	if up {
		n = n.RoundUp(hundredth)
	} else {
		n, _ = n.RoundDown(hundredth)
	}
	what := "the portion"
	if s.Ingredient >= 0 {
		what = lineName(&r.Ingredients[s.Ingredient])
	}
	return n.TrimmedDecimal(2) + " " + unit + " of " + what
}

// asKitchensSay turns base units into the ones a kitchen says: pounds from 16 oz on,
// spoons under a quarter cup.
func asKitchensSay(s credit.Spare) (exact.Number, string) {
	switch s.Unit.ID {
	case "oz":
		if !s.Amount.Less(exact.Int(16)) {
			return s.Amount.Quo(exact.Int(16)), "lb"
		}
	case "cup":
		if s.Amount.Less(exact.Frac(1, 4)) {
			return s.Amount.Mul(exact.Int(16)), "Tbsp"
		}
	case "g":
		if !s.Amount.Less(exact.Int(1000)) {
			return s.Amount.Quo(exact.Int(1000)), "kg"
		}
	}
	return s.Amount, unitText(s.Unit.ID)
}

// StepText puts one step of the work into a sentence.
func StepText(r *credit.Record, i int) string {
	s := &r.Steps[i]
	var b strings.Builder
	switch s.Operation {
	case credit.Amount:
		if s.Ingredient >= 0 {
			b.WriteString(lineName(&r.Ingredients[s.Ingredient]) + ": ")
		}
		b.WriteString(s.Start.TrimmedDecimal(Places) + " " + s.Unit.ID)
		for _, t := range s.Terms {
			b.WriteString(" " + termText(r, t))
		}
		b.WriteString(" = " + s.Value.TrimmedDecimal(Places) + " " + r.Unit(s.Component))
		if s.Outcome == credit.Nothing {
			b.WriteString(", not counted")
		}
	case credit.SumUp:
		b.WriteString("Batch total of " + stepTitle(s) + ": " + s.Value.TrimmedDecimal(Places) + " " + r.Unit(s.Component))
	case credit.PerServing:
		if g := tableGroup(s); g != "" {
			b.WriteString("Of that, group " + g + " of Exhibit A: " + s.Value.TrimmedDecimal(Places) + " " + r.Unit(s.Component))
			break
		}
		b.WriteString("Divided by the servings made: " + s.Value.TrimmedDecimal(Places) + " " + r.Unit(s.Component))
	case credit.RoundDown:
		b.WriteString("Rounded down, once: " + amountText(s.Value, r.Unit(s.Component)))
	case credit.LookUp:
		if s.Outcome == credit.Nothing && len(s.Terms) == 0 {
			b.WriteString("A rule gives no credit here")
			break
		}
		if s.Outcome == credit.Nothing {
			b.WriteString("A portion holds less than the least dried fruit that credits")
			break
		}
		if s.Component == food.Milk {
			b.WriteString("Milk is not rounded in steps: " + amountText(s.Value, r.Unit(s.Component)))
			break
		}
		b.WriteString("Largest printed weight not above the portion's: " + amountText(s.Value, r.Unit(s.Component)))
	case credit.FillUp:
		b.WriteString("Added, what rounding other subgroups down leaves over: " + s.Value.TrimmedDecimal(Places) + " " + r.Unit(s.Component))
	case credit.Remains:
		if s.Outcome == credit.Nothing {
			b.WriteString("A rule denies it: " + amountText(s.Value, r.Unit(s.Component)))
			break
		}
		b.WriteString("Total less the subgroups: " + amountText(s.Value, r.Unit(s.Component)))
	}
	return b.String()
}

func stepTitle(s *credit.Step) string {
	if s.Subgroup != food.NoSubgroup && s.Operation != credit.Amount {
		return s.Subgroup.Title()
	}
	return s.Component.Title()
}
