package wire

import (
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules/patterns"

	pb "example.com/ozeq/api/ozeq/v1"
)

// ReadProduction reads a production record file as [ReadReview] reads a menu's.
func ReadProduction(data []byte, f Format) (*pb.ProductionRequest, *fault.List) {
	m := &pb.ProductionRequest{}
	faults, ok := read(data, f, m, manyAtOnce)
	if !ok {
		return nil, faults
	}
	return m, faults
}

// MaxPlans is how many age/grade groups a production record may have plans of.
const MaxPlans = 10

// Production turns a request into the library's record, checks it and reviews the
// meal as served, or returns everything wrong with the request.
func Production(r *menu.Reviewer, m *pb.ProductionRequest, shape *fault.List) (*menu.ProductionReview, error) {
	faults, ok := begun(m != nil, m.GetProduction() != nil, shape, "production", "the production record")
	if n := len(m.GetProduction().GetPlans()); n > MaxPlans {
		faults.Add(tooMany("production.plans", n, MaxPlans, "Each age/grade group has one plan."))
		ok = false
	}
	if !ok {
		return nil, faults.Err()
	}
	out, err := r.Production(*readProduction(m.GetProduction(), "production", faults))
	if err := joined(faults, err, "production"); err != nil {
		return nil, err
	}
	return out, nil
}

func readProduction(m *pb.Production, path string, faults *fault.List) *menu.Production {
	out := &menu.Production{Site: m.GetSite(), On: date(m.GetDate(), path+".date", faults), OfferVersusServe: m.GetOfferVersusServe()}
	for i, p := range m.GetPlans() {
		out.Plans = append(out.Plans, *readMenu(p, fault.Index(path+".plans", i), faults))
	}
	for _, it := range m.GetItems() {
		x := menu.Produced{Item: it.GetItem(), Extra: it.GetExtra(), Recipe: it.GetRecipe(), RecipeNumber: it.GetRecipeNumber(), Product: it.GetProduct(), ProductCode: it.GetProductCode(), Planned: countOf(it.Planned)}
		for _, p := range it.GetPortions() {
			x.Portions = append(x.Portions, menu.ProducedPortion{For: p.GetFor(), Portion: p.GetPortion(),
				Planned: countOf(p.Planned), Prepared: countOf(p.Prepared), Served: countOf(p.Served), LeftOver: countOf(p.LeftOver)})
		}
		for _, t := range it.GetTemperatures() {
			x.Temperatures = append(x.Temperatures, menu.Temperature{When: t.GetWhen(), Reading: t.GetReading()})
		}
		out.Items = append(out.Items, x)
	}
	for i, s := range m.GetSubstitutions() {
		x := menu.Substitution{Planned: s.GetPlanned(), Line: s.GetLine(), AgeGroup: s.GetAgeGroup(), From: s.GetFrom(), Servings: int(s.GetServings()), Reason: s.GetReason()}
		if s.GetServed() != nil {
			x.Served = readItem(s.GetServed(), fault.Index(path+".substitutions", i)+".served", faults)
		}
		out.Substitutions = append(out.Substitutions, x)
	}
	for _, o := range m.GetRanOut() {
		out.RanOut = append(out.RanOut, menu.RanOut{Item: o.GetItem(), Line: o.GetLine(), AgeGroup: o.GetAgeGroup(), At: o.GetAt(), After: countOf(o.MealsAfter)})
	}
	for _, x := range m.GetMeals() {
		out.Meals = append(out.Meals, menu.MealsServed{For: x.GetFor(), Served: countOf(x.Served)})
	}
	return out
}

// countOf is a number that may not have been said.
func countOf(n *int32) menu.Count {
	if n == nil {
		return menu.Count{}
	}
	return menu.Counted(int(*n))
}

// ProductionRecord returns what a request's record says, for a report to print
// beside what was checked. The request must have been answered.
func ProductionRecord(m *pb.ProductionRequest) *menu.Production {
	return readProduction(m.GetProduction(), "production", &fault.List{})
}

// ProductionMessage turns what was checked into the contract's message.
func ProductionMessage(p *menu.ProductionReview) *pb.ProductionReview {
	out := &pb.ProductionReview{Verdict: p.Verdict().String(), Checks: checks(p.Checks)}
	for i := range p.Groups {
		g := &p.Groups[i]
		out.Groups = append(out.Groups, &pb.ProductionGroup{AgeGroup: g.AgeGroup, Meals: int32(g.Meals.N), Planned: ReviewMessage(g.Planned), Served: ReviewMessage(g.Served),
			Differences: differenceMessages(g.Differences)})
	}
	for _, v := range p.Keep {
		out.Keep = append(out.Keep, &pb.ProductionNote{Rule: v.Rule.ID, Text: keepText(v), Citation: v.Source.Citation(), Recalled: menu.Recalled(v)})
	}
	return out
}

// keepText says what a value asks of records.
func keepText(v *patterns.Value) string {
	s := v.Rule.Title + ": " + v.Text
	if v.Unit != "" {
		s += " " + v.Unit
	}
	return s
}
