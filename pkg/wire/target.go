package wire

import (
	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/report"

	pb "example.com/ozeq/api/ozeq/v1"
)

// ReadTarget reads a file that asks how a target is reached.
func ReadTarget(data []byte, f Format) (*pb.TargetRequest, *fault.List) {
	return readQuestion[pb.TargetRequest](data, f)
}

// Target turns a request into the library's, looks for the smallest changes, and
// returns them with the library's request, or everything wrong with the request.
func Target(k *kitchen.Kitchen, m *pb.TargetRequest, shape *fault.List) (*kitchen.Target, *kitchen.TargetRequest, error) {
	faults, ok := started(m != nil, shape)
	if !ok {
		return nil, nil, faults.Err()
	}
	req := kitchen.TargetRequest{Credit: readDish(m, faults), Portion: int(m.GetPortion()), Claimable: m.GetClaimable(), MayDrop: m.GetMayDrop(),
		WholeGrain: positive(m.GetWholeGrain(), "wholeGrain", "a share above 0 and at most 1, such as 1/2", faults)}
	for i, a := range m.GetAims() {
		at := fault.Index("aims", i)
		req.Aims = append(req.Aims, kitchen.Aim{Of: a.GetOf(), Least: aimed(a.GetLeast(), at+".least", faults), Most: aimed(a.GetMost(), at+".most", faults)})
		if i > kitchen.MaxAims {
			break // one too many says enough
		}
	}
	for _, w := range m.GetWays() {
		req.Ways = append(req.Ways, kitchen.Way(w))
	}
	for _, n := range m.GetLines() {
		req.Lines = append(req.Lines, int(n))
	}
	out, err := k.Target(req)
	if err := joined(faults, err, ""); err != nil {
		return nil, nil, err
	}
	return out, &req, nil
}

// aimed reads an amount of a credit that may be left out.
func aimed(s, path string, faults *fault.List) exact.Number {
	return positive(s, path, "an amount in oz eq or cups, such as 2 or 3/8", faults)
}

// TargetMessage turns an answer into the contract's message. of is the request it
// answers.
func TargetMessage(t *kitchen.Target, of *pb.TargetRequest) *pb.TargetAnswer {
	portion, portions := int(of.GetPortion()), max(1, len(of.GetRecipe().GetPortions()))
	before := report.PortionOf(t.Before, portion, portions)
	m := &pb.TargetAnswer{Met: t.Met, Reached: t.Reached(), NotClaimable: t.NotClaimable}
	for i := range t.Aims {
		a := &t.Aims[i]
		x := &pb.AimRead{Aim: &pb.Aim{Of: a.Of}, Unit: a.Unit, CreditLeast: a.CreditLeast.TrimmedDecimal(trimmed)}
		if !a.Least.IsZero() {
			x.Aim.Least = a.Least.String()
		}
		if !a.Most.IsZero() {
			x.Aim.Most, x.CreditMost = a.Most.String(), a.CreditMost.TrimmedDecimal(trimmed)
		}
		m.Aims = append(m.Aims, x)
	}
	for i := range t.Tries {
		m.Ways = append(m.Ways, targetWay(&t.Tries[i], before, portion, portions))
	}
	after := before
	switch {
	case t.Met:
		m.Recipe, m.Record = of.GetRecipe(), Record(t.Before, of.GetExplain())
	case t.Reached():
		first := &t.Tries[0]
		after = report.PortionOf(first.After, portion, portions)
		m.Recipe, m.Record = RecipeMessage(first.Request.Recipe), Record(first.After, of.GetExplain())
	}
	m.Credits = creditChanges(portion, before, after)
	return m
}

func targetWay(t *kitchen.Try, before *credit.Record, portion, portions int) *pb.TargetWay {
	m := &pb.TargetWay{Way: string(t.Way), Reached: t.Reached, Because: t.Because, Change: t.Change.Fraction(), Exact: t.Exact.Fraction(), Open: t.Open, Least: t.Least,
		Servings: int32(t.Servings), PortionWeight: written(t.Weight), NotClaimable: t.NotClaimable}
	for i := range t.Lines {
		l := &t.Lines[i]
		m.Amounts = append(m.Amounts, &pb.AmountChange{Line: int32(l.Line), Name: l.Name, Before: written(l.Before), Exact: written(l.Exact), After: written(l.After), Relative: l.Relative.Fraction()})
	}
	if t.Reached {
		m.Credits = creditChanges(portion, before, report.PortionOf(t.After, portion, portions))
	}
	for _, a := range t.Alters {
		path := ""
		if a.Line >= 0 {
			path = fault.Index("recipe.ingredients", a.Line)
		}
		m.Alters = append(m.Alters, kitchenFinding(credit.Check, string(a.Reason), path, a.Text))
	}
	return m
}
