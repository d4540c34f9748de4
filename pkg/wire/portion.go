package wire

import (
	"strconv"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/source"

	pb "example.com/ozeq/api/ozeq/v1"
)

// SizePortion works out what a portion weighs, the scoops it takes and how a pan is
// cut, or returns everything wrong with the request.
func SizePortion(m *pb.SizePortionRequest, shape *fault.List) (*pb.PortionSize, error) {
	faults, ok := started(m != nil, shape)
	if !ok {
		return nil, faults.Err()
	}
	out := &pb.PortionSize{}
	batter, loss, panLoss := quantity(m.GetBatterWeight(), "batterWeight", faults), amountOf(m.GetBakeLoss(), "bakeLoss", faults), quantity(m.GetPanLoss(), "panLoss", faults)
	if m.GetBatterWeight() == "" && m.GetMeasure() == "" && m.GetPan() == nil {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "batterWeight", Want: "a weight, a measure or a pan to size portions of", Fix: "Give batterWeight with servings, measure, or pan."})
	} else if m.GetBatterWeight() != "" || m.GetBakeLoss() != "" || m.GetPanLoss() != "" || m.GetServings() != 0 {
		each, err := kitchen.WeightOfPortion(batter, loss, panLoss, int(m.GetServings()))
		if err := joined(faults, err, ""); err == nil {
			measured, err := kitchen.InMeasures(each, kitchen.Nearest)
			addAt(err, "batterWeight", faults)
			if err == nil {
				out.Weight = measuredMessage(measured)
			}
		}
	}
	if s := m.GetMeasure(); s != "" {
		scoops(s, out, faults)
	}
	if p := m.GetPan(); p != nil {
		cut, err := kitchen.CutPan(side(p.GetLength(), "pan.length", faults), side(p.GetWidth(), "pan.width", faults), int(p.GetRows()), int(p.GetColumns()))
		if err := joined(faults, err, "pan"); err == nil {
			out.Pan = &pb.PanCut{Pieces: int32(cut.Pieces), Share: cut.Share.Fraction(), Length: cut.Length.Fraction(), Width: cut.Width.Fraction()}
		}
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return out, nil
}

// side reads a side of a pan.
func side(s, path string, faults *fault.List) exact.Number {
	if s == "" {
		return exact.Number{} // missed by the library
	}
	return plainNumber(s, path, "a side above 0, such as 20 or 12 3/4", faults)
}

func scoops(s string, out *pb.PortionSize, faults *fault.List) {
	q := quantity(s, "measure", faults)
	if q.IsZero() {
		return
	}
	for _, sc := range kitchen.Scoops() {
		n, ok := kitchen.ScoopsFor(q, sc)
		if !ok {
			faults.Add(fault.Fault{Reason: fault.UnitDoesNotFit, Path: "measure", Value: s, Want: "a volume, such as 3/4 cup", Fix: "This is a " + q.Dimension().String() + "; a scoop holds a volume."})
			return
		}
		_, whole := n.Whole()
		out.Scoops = append(out.Scoops, &pb.ScoopCount{Scoop: int32(sc.Number), Scoops: n.Fraction(), Whole: whole})
	}
}

// CheckShortfall works out how far a portion may fall short, or returns everything
// wrong with the request.
func CheckShortfall(k *kitchen.Kitchen, m *pb.ShortfallRequest, shape *fault.List) (*pb.Shortfall, error) {
	faults, ok := started(m != nil, shape)
	if !ok {
		return nil, faults.Err()
	}
	s, err := k.MayFallShort(readDish(m, faults))
	if err := joined(faults, err, ""); err != nil {
		return nil, err
	}
	out := &pb.Shortfall{Share: s.Share.Fraction(), Component: pb.Component(s.Decides.Component), Subgroup: pb.Subgroup(s.Decides.Subgroup), Weight: written(s.Weight), Measure: written(s.Measure)}
	if s.Decides.Component != food.NoComponent {
		out.Credited, out.Unit = s.Decides.Credited.TrimmedDecimal(trimmed), s.Decides.Component.Unit()
		if s.Decides.Component == food.Grains {
			out.Unit = s.GrainsUnit
		}
	}
	if !s.Scoop.IsZero() {
		out.Scoop = s.Scoop.Fraction()
	}
	return out, nil
}

// ListServingTools lists scoops, ladles, pans and cans.
func ListServingTools() *pb.ListServingToolsResponse {
	out := &pb.ListServingToolsResponse{}
	tool := func(name string, number int, holds, printed string, from source.Ref) *pb.ServingTool {
		if printed == holds {
			printed = ""
		}
		return &pb.ServingTool{Name: name, Number: int32(number), Holds: holds, Printed: printed, Citation: from.Citation(), Mark: from.Mark.String()}
	}
	for _, s := range kitchen.Scoops() {
		printed := ""
		if !s.Printed.Amount().Equal(s.Exact.Amount()) {
			printed = s.Printed.Text()
		}
		out.Scoops = append(out.Scoops, tool("no. "+strconv.Itoa(s.Number), s.Number, s.Exact.Amount().String()+" cup", printed, s.Source))
	}
	for _, l := range kitchen.Ladles() {
		out.Ladles = append(out.Ladles, tool(strconv.Itoa(l.FluidOunces)+" fl oz", l.FluidOunces, l.Holds.Text(), "", l.Source))
	}
	for _, p := range kitchen.Pans() {
		out.Pans = append(out.Pans, tool(p.Name, 0, p.Usable.Text(), p.Brim.Text(), p.Source))
	}
	for _, c := range kitchen.Cans() {
		out.Cans = append(out.Cans, tool(c.Name, 0, c.Capacity.Text(), c.Net+", "+c.Cups+" cups", c.Source))
	}
	return out
}
