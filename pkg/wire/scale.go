package wire

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/report"

	pb "example.com/ozeq/api/ozeq/v1"
)

// ReadScale reads a file that asks for a batch of another size.
func ReadScale(data []byte, f Format) (*pb.ScaleRequest, *fault.List) {
	return readQuestion[pb.ScaleRequest](data, f)
}

// Scale turns a request into the library's, scales the batch, and returns it or
// everything wrong with the request.
func Scale(k *kitchen.Kitchen, m *pb.ScaleRequest, shape *fault.List) (*kitchen.Scaled, error) {
	faults, ok := started(m != nil, shape)
	if !ok {
		return nil, faults.Err()
	}
	req := kitchen.ScaleRequest{Request: readDish(m, faults), Pans: positive(m.GetPans(), "pans", "pans, such as 2 or 2 1/2", faults),
		BatterWeight: quantity(m.GetBatterWeight(), "batterWeight", faults)}
	if s := m.GetRound(); s != "" {
		var known bool
		if req.Round, known = kitchen.ParseDirection(s); !known {
			faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: "round", Value: s, Want: "up, down or nearest", Fix: "Leave it out to take the nearest measure."})
		}
	}
	if t := m.GetTarget(); t != nil {
		req.Target = kitchen.ScaleTarget{Servings: int(t.GetServings()), Scoop: int(t.GetScoop()),
			Pans:           positive(t.GetPans(), "target.pans", "pans, such as 5 or 2 1/2", faults),
			Factor:         positive(t.GetFactor(), "target.factor", "how many times the batch, such as 2 1/2", faults),
			BatchWeight:    quantity(t.GetBatchWeight(), "target.batchWeight", faults),
			BatterWeight:   quantity(t.GetBatterWeight(), "target.batterWeight", faults),
			PortionWeight:  quantity(t.GetPortionWeight(), "target.portionWeight", faults),
			PortionMeasure: quantity(t.GetPortionMeasure(), "target.portionMeasure", faults)}
	}
	out, err := k.Scale(req)
	if l, ok := err.(*fault.List); ok && slices.ContainsFunc(faults.Faults, func(f fault.Fault) bool { return strings.HasPrefix(f.Path, "target.") }) {
		// A target that could not be read is not missing.
		l.Faults = slices.DeleteFunc(l.Faults, func(f fault.Fault) bool { return f.Reason == fault.Missing && f.Path == "target" })
		err = l.Err()
	}
	if err := joined(faults, err, ""); err != nil {
		return nil, err
	}
	return out, nil
}

// ScaleMessage turns a scaled batch into the contract's message. explain writes the
// steps of its record out in words.
func ScaleMessage(s *kitchen.Scaled, explain bool) *pb.ScaledRecipe {
	m := &pb.ScaledRecipe{Factor: s.Factor.Fraction(), Recipe: RecipeMessage(&s.Kitchen), Record: Record(s.Record, explain)}
	if !s.Pans.IsZero() {
		m.Pans = s.Pans.Fraction()
	}
	for i := range s.Ingredients {
		in := &s.Ingredients[i]
		x := &pb.ScaledIngredient{Path: in.Path, Name: in.Name, Before: written(in.Before), Amount: measuredMessage(in.Measured)}
		if o := in.Also; o != nil {
			x.Other = &pb.OtherMeasure{Amount: measuredMessage(o.Measured), Figure: o.Figure.Text, Citation: o.Figure.Source.Citation(), Estimate: o.Estimate}
		}
		m.Ingredients = append(m.Ingredients, x)
	}
	of := max(1, len(s.Exact.Portions))
	for p := range of {
		before, exactly, cooked := report.PortionOf(s.Before, p, of), report.PortionOf(s.ExactRecord, p, of), report.PortionOf(s.Record, p, of)
		for _, at := range places(before, exactly, cooked) {
			m.Credits = append(m.Credits, &pb.ScaledCredit{Portion: int32(p), Component: pb.Component(at.component), Subgroup: pb.Subgroup(at.subgroup), Unit: unitOf(at.component, before),
				Before: creditSide(at.of(before)), Exact: creditSide(at.of(exactly)), Kitchen: creditSide(at.of(cooked))})
		}
	}
	for _, b := range s.SubRecipes {
		m.SubRecipes = append(m.SubRecipes, &pb.SubBatches{Path: b.Path, Name: b.Name, Batches: b.Batches.Fraction(), Kitchen: b.Kitchen.Fraction()})
	}
	for i := range s.Lost {
		m.Lost = append(m.Lost, lostStep(s, &s.Lost[i]))
	}
	for _, f := range s.Findings {
		m.Findings = append(m.Findings, kitchenFinding(f.Severity, string(f.Reason), f.Path, f.Text))
	}
	return m
}

func lostStep(s *kitchen.Scaled, l *kitchen.LostStep) *pb.LostStep {
	out := &pb.LostStep{Portion: int32(l.Portion), Component: pb.Component(l.Component), Subgroup: pb.Subgroup(l.Subgroup), Unit: s.Record.Unit(l.Component),
		Exact: l.Exact.TrimmedDecimal(trimmed), Kitchen: l.Kitchen.TrimmedDecimal(trimmed)}
	for _, i := range l.Because {
		out.Because = append(out.Because, int32(i))
	}
	for _, x := range l.Mend {
		out.Mend = append(out.Mend, &pb.OtherTake{Ingredient: int32(x.Ingredient), Amount: measuredMessage(x.Measured)})
	}
	return out
}

func kitchenFinding(s credit.Severity, reason, path, words string) *pb.KitchenFinding {
	return &pb.KitchenFinding{Severity: pb.Severity(s), Reason: reason, Path: path, Text: words}
}
