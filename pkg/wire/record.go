package wire

import (
	"slices"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"

	pb "example.com/ozeq/api/ozeq/v1"
)

// Record turns a record into the contract's message. explain writes each step
// out in words.
func Record(r *credit.Record, explain bool) *pb.Record {
	m := &pb.Record{
		Name: r.Name, Servings: int32(r.Servings), ServiceDate: r.On.String(), Program: r.Program.ID,
		Ids:     &pb.RecordIds{RuleSet: r.IDs.RuleSet, Catalog: r.IDs.Catalog, Request: r.IDs.Request},
		Options: r.Options, Portion: portion(&r.Portion),
	}
	for i := range r.Credits {
		m.Credits = append(m.Credits, creditMessage(r, &r.Credits[i]))
	}
	for i := range r.Ingredients {
		m.Ingredients = append(m.Ingredients, line(&r.Ingredients[i]))
	}
	for i := range r.Figures {
		g := r.Figures[i]
		m.Figures = append(m.Figures, &pb.Figure{Id: g.ID, Name: g.Name, Value: g.Text, Unit: g.Unit, Used: g.Used.Fraction(), Citation: g.Source.Citation(),
			Mark: g.Source.Mark.String(), Tier: int32(g.Source.Tier)})
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		p := &pb.Finding{Severity: pb.Severity(f.Severity), Reason: string(f.Reason), Text: report.FindingText(r, f)}
		if f.Ingredient >= 0 {
			p.Path = r.Ingredients[f.Ingredient].Path()
		}
		for _, k := range f.Figures {
			p.Figures = append(p.Figures, r.Figures[k].ID)
		}
		m.Findings = append(m.Findings, p)
	}
	for i := range r.Steps {
		m.Steps = append(m.Steps, step(r, i, explain))
	}
	for _, other := range r.Also {
		m.Also = append(m.Also, Record(other, explain))
	}
	return m
}

func portion(p *recipe.Portion) *pb.Portion {
	return &pb.Portion{Name: p.Name, Weight: p.Weight.Text(), Measure: p.Measure.Text(), Scoop: int32(p.Scoop), Servings: int32(p.Servings)}
}

// statuses maps the library's statuses to the contract's.
var statuses = map[credit.Status]pb.Status{
	credit.NoCredit: pb.Status_STATUS_NO_CREDIT, credit.Documented: pb.Status_STATUS_DOCUMENTED,
	credit.NeedsPaper: pb.Status_STATUS_NEEDS_PAPER, credit.Estimate: pb.Status_STATUS_ESTIMATE,
}

func creditMessage(r *credit.Record, cr *credit.Credit) *pb.Credit {
	m := &pb.Credit{
		Component: component(cr.Component), Subgroup: subgroup(cr.Subgroup),
		Exact: cr.Exact.Fraction(), Decimal: cr.Exact.DecimalText(report.Places), Credited: cr.Credited.TrimmedDecimal(3),
		Step: cr.Step.TrimmedDecimal(3), Unit: r.Unit(cr.Component), Basis: string(cr.Basis), Status: statuses[cr.Status], NoCredit: cr.Reason,
		ToSpare: report.SpareText(r, cr.ToSpare, false), ToNext: report.SpareText(r, cr.ToNext, true), Verify: report.VerifyText(r, cr), Claimable: cr.Claimable.TrimmedDecimal(3),
		ExactStep: int32(cr.ExactStep), LastStep: int32(cr.LastStep),
	}
	for _, a := range cr.Alternatives {
		m.Alternatives = append(m.Alternatives, &pb.Alternative{Basis: string(a.Basis), Exact: a.Exact.Fraction(), Credited: a.Credited.TrimmedDecimal(3), Reason: report.AlternativeReason(a.Basis)})
	}
	m.Steps = stepsOf(r, cr)
	return m
}

// stepsOf lists the steps a credit follows from, in order.
func stepsOf(r *credit.Record, cr *credit.Credit) []int32 {
	var out []int32
	seen := make(map[int]bool)
	var visit func(i int)
	visit = func(i int) {
		if i < 0 || seen[i] {
			return
		}
		seen[i] = true
		for _, t := range r.Steps[i].Terms {
			visit(int(t.Step))
		}
		out = append(out, int32(i))
	}
	for i := cr.FirstStep; i <= cr.LastStep; i++ {
		visit(i)
	}
	slices.Sort(out)
	return out
}

func line(l *credit.Line) *pb.IngredientLine {
	return &pb.IngredientLine{Food: l.Food.ID, FoodName: l.Food.Name, Name: l.Name, Quantity: l.Quantity.Text(), Basis: l.Basis.String(),
		State: l.State, Component: component(l.Component), Credit: l.Credit.Fraction(), NoCredit: l.Reason, PartOf: l.PartOf(), Step: int32(l.Step)}
}

func step(r *credit.Record, i int, explain bool) *pb.Step {
	s := &r.Steps[i]
	m := &pb.Step{Index: int32(i), Rule: s.Rule, Operation: s.Operation.String(), Component: component(s.Component), Subgroup: subgroup(s.Subgroup),
		Ingredient: int32(s.Ingredient), Start: s.Start.Fraction(), Value: s.Value.Fraction(), Outcome: pb.Outcome(s.Outcome)}
	if s.Unit != nil {
		m.Unit = s.Unit.ID
	}
	for _, t := range s.Terms {
		m.Terms = append(m.Terms, &pb.Term{Operation: t.Op.String(), Figure: t.Figure, Step: t.Step, Value: r.Operand(t).Fraction()})
	}
	if explain {
		m.Text = report.StepText(r, i)
	}
	return m
}

func component(c food.Component) pb.Component { return pb.Component(c) }

func subgroup(s food.Subgroup) pb.Subgroup { return pb.Subgroup(s) }

// Faults turns a list of faults into the contract's message.
func Faults(l *fault.List) *pb.Faults {
	m := &pb.Faults{Omitted: int32(l.Omitted)}
	for _, f := range l.Faults {
		m.Faults = append(m.Faults, &pb.Fault{Reason: string(f.Reason), Path: f.Path, Value: f.Value, Want: f.Want, Fix: f.Fix})
	}
	return m
}
