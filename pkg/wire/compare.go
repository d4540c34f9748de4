package wire

import (
	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"

	pb "example.com/ozeq/api/ozeq/v1"
)

// ReadCompare reads a file that asks what substitutions change.
func ReadCompare(data []byte, f Format) (*pb.CompareRequest, *fault.List) {
	return readQuestion[pb.CompareRequest](data, f)
}

// unknownKeep stands for what could not be read, so that the library does not miss it.
const unknownKeep kitchen.Keep = 255

// Compare turns a request into the library's, works out what its swaps change, and
// returns that or everything wrong with the request.
func Compare(k *kitchen.Kitchen, m *pb.CompareRequest, shape *fault.List) (*kitchen.Comparison, error) {
	faults, ok := started(m != nil, shape)
	if !ok {
		return nil, faults.Err()
	}
	req := kitchen.CompareRequest{Request: readDish(m, faults)}
	for i, s := range m.GetSwaps() {
		if i > kitchen.MaxSwaps {
			break // one too many says enough
		}
		at := fault.Index("swaps", i)
		x := kitchen.Swap{Path: s.GetPath(), Food: s.GetFood(), Name: s.GetName(), State: s.GetState(), Basis: s.GetBasis(), CreditAs: s.GetCreditAs(), ExhibitAGroup: s.GetExhibitAGroup(),
			Hidden: s.GetHidden(), Component: s.GetComponent(), Amount: quantity(s.GetAmount(), at+".amount", faults)}
		if s.GetAmount() != "" && x.Amount.IsZero() {
			x.Amount = measure.New(exact.Int(1), measure.Each) // there is one, so that none is missed
		}
		if keep := s.GetKeep(); keep != "" {
			var known bool
			if x.Keep, known = kitchen.ParseKeep(keep); !known {
				faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: at + ".keep", Value: keep, Want: "weight, volume, purchase-unit or credit", Fix: "Leave it out and give the amount."})
				x.Keep = unknownKeep
			}
		}
		req.Swaps = append(req.Swaps, x)
	}
	out, err := k.Compare(req)
	if err := joined(faults, err, ""); err != nil {
		return nil, err
	}
	return out, nil
}

// CompareMessage turns a comparison into the contract's message. explain writes the
// steps of its record out in words.
func CompareMessage(c *kitchen.Comparison, explain bool) *pb.Comparison {
	m := &pb.Comparison{Recipe: RecipeMessage(&c.After.Recipe), AllergensGained: c.AllergensGained, AllergensLost: c.AllergensLost,
		CautionsBefore: CautionsMessage(c.Cautions[0]), CautionsAfter: CautionsMessage(c.Cautions[1]),
		WholeGrainBefore: wholeGrain(c.WholeGrain[0]), WholeGrainAfter: wholeGrain(c.WholeGrain[1]),
		WeightBefore: written(c.Weight.Before), WeightAfter: written(c.Weight.After), Unweighed: c.Weight.Unweighed, Record: Record(c.After.Record, explain)}
	for i := range c.After.SubRecipes {
		m.SubRecipes = append(m.SubRecipes, RecipeMessage(&c.After.SubRecipes[i]))
	}
	var used figures
	for i := range c.Swaps {
		d := &c.Swaps[i]
		x := &pb.SwapDone{Path: d.Path, NameBefore: d.NameBefore, Name: d.Name, Before: ingredientMessage(&d.Before), After: ingredientMessage(&d.After),
			Keep: d.Keep.String(), Component: pb.Component(d.Component), Amount: measuredMessage(d.Measured)}
		x.Figures = used.ids(d.Figures)
		m.Swaps = append(m.Swaps, x)
	}
	m.Figures = used.list
	for i := range c.Checks {
		m.Checks = append(m.Checks, findingMessage(c.After.Record, &c.Checks[i]))
	}
	of := max(1, len(c.After.Recipe.Portions))
	for p := range of {
		before, exactly, after := report.PortionOf(c.Before, p, of), report.PortionOf(c.Exact.Record, p, of), report.PortionOf(c.After.Record, p, of)
		for _, at := range places(before, exactly, after) {
			m.Credits = append(m.Credits, &pb.SwapCredit{Portion: int32(p), Component: pb.Component(at.component), Subgroup: pb.Subgroup(at.subgroup), Unit: unitOf(at.component, before),
				Before: creditSide(at.of(before)), Exact: creditSide(at.of(exactly)), After: creditSide(at.of(after))})
		}
	}
	for _, f := range c.Findings {
		x := &pb.SwapFinding{Severity: pb.Severity(f.Severity), Reason: string(f.Reason), Path: f.Path, Text: f.Text, Remedy: f.Do}
		if f.Mark != 0 {
			x.Mark = f.Mark.String()
		}
		m.Findings = append(m.Findings, x)
	}
	return m
}

// findingMessage turns a finding of a record into the contract's message.
func findingMessage(r *credit.Record, f *credit.Finding) *pb.Finding {
	m := &pb.Finding{Severity: pb.Severity(f.Severity), Reason: string(f.Reason), Text: report.FindingText(r, f)}
	if f.Ingredient >= 0 {
		m.Path = r.Ingredients[f.Ingredient].Path()
	}
	for _, k := range f.Figures {
		m.Figures = append(m.Figures, r.Figures[k].ID)
	}
	return m
}

func wholeGrain(w kitchen.WholeGrain) string {
	if !w.Known {
		return ""
	}
	return w.Share.Fraction()
}

func ingredientMessage(in *recipe.Ingredient) *pb.Ingredient {
	x := &pb.Ingredient{Food: in.Food, Name: in.Name, Quantity: written(in.Quantity), Basis: in.Basis, State: in.State, CreditAs: in.CreditAs, ExhibitAGroup: in.ExhibitAGroup,
		NotCrediting: in.NotCrediting, SubRecipe: in.SubRecipe, Product: in.Product, Hidden: in.Hidden}
	if !in.Share.IsZero() {
		x.Share = in.Share.String()
	}
	return x
}
