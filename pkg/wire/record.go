package wire

import (
	"sync"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
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
	t := spare.Get().(*texts)
	defer spare.Put(t)
	credits := make([]pb.Credit, len(r.Credits))
	m.Credits = make([]*pb.Credit, len(r.Credits))
	for i := range r.Credits {
		m.Credits[i] = &credits[i]
		creditMessage(&credits[i], r, &r.Credits[i], t)
	}
	lines := make([]pb.IngredientLine, len(r.Ingredients))
	m.Ingredients = make([]*pb.IngredientLine, len(r.Ingredients))
	for i := range r.Ingredients {
		m.Ingredients[i] = &lines[i]
		line(&lines[i], &r.Ingredients[i], t)
	}
	figures := make([]pb.Figure, len(r.Figures))
	m.Figures = make([]*pb.Figure, len(r.Figures))
	for i := range r.Figures {
		g, p := r.Figures[i], &figures[i]
		m.Figures[i] = p
		p.Id, p.Name, p.Value, p.Unit, p.Citation, p.Mark, p.Tier = g.ID, g.Name, g.Text, g.Unit, g.Source.Citation(), g.Source.Mark.String(), int32(g.Source.Tier)
		t.fraction(&p.Used, g.Used)
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
	steps(m, r, explain, t)
	t.settle()
	for _, other := range r.Also {
		m.Also = append(m.Also, Record(other, explain))
	}
	return m
}

// texts are numbers to be written: all of a record are written one behind the
// other and cut out of one text, where each by itself would be an allocation.
type texts struct {
	all  []byte
	cuts []cut
}

type cut struct {
	to         *string
	start, end int
}

func (t *texts) add(to *string, all []byte) {
	t.cuts = append(t.cuts, cut{to, len(t.all), len(all)})
	t.all = all
}

func (t *texts) fraction(to *string, n exact.Number) { t.add(to, n.AppendFraction(t.all)) }

// settle hands the texts out and makes t ready for the next record.
func (t *texts) settle() {
	all := string(t.all)
	for i := range t.cuts {
		c := &t.cuts[i]
		*c.to = all[c.start:c.end]
		c.to = nil
	}
	t.all, t.cuts = t.all[:0], t.cuts[:0]
}

// spare are texts between records.
var spare = sync.Pool{New: func() any { return new(texts) }}

func portion(p *recipe.Portion) *pb.Portion {
	return &pb.Portion{Name: p.Name, Weight: p.Weight.Text(), Measure: p.Measure.Text(), Scoop: int32(p.Scoop), Servings: int32(p.Servings)}
}

// statuses maps the library's statuses to the contract's.
var statuses = map[credit.Status]pb.Status{
	credit.NoCredit: pb.Status_STATUS_NO_CREDIT, credit.Documented: pb.Status_STATUS_DOCUMENTED,
	credit.NeedsPaper: pb.Status_STATUS_NEEDS_PAPER, credit.Estimate: pb.Status_STATUS_ESTIMATE,
}

func creditMessage(m *pb.Credit, r *credit.Record, cr *credit.Credit, t *texts) {
	m.Component, m.Subgroup = component(cr.Component), subgroup(cr.Subgroup)
	m.Unit, m.Basis, m.Status, m.NoCredit = r.Unit(cr.Component), string(cr.Basis), statuses[cr.Status], cr.Reason
	m.ToSpare, m.ToNext, m.Verify = report.SpareText(r, cr.ToSpare, false), report.SpareText(r, cr.ToNext, true), report.VerifyText(r, cr)
	m.ExactStep, m.LastStep = int32(cr.ExactStep), int32(cr.LastStep)
	t.fraction(&m.Exact, cr.Exact)
	t.add(&m.Decimal, cr.Exact.AppendDecimal(t.all, report.Places))
	m.Credited, m.Step, m.Claimable = cr.Credited.TrimmedDecimal(3), cr.Step.TrimmedDecimal(3), cr.Claimable.TrimmedDecimal(3)
	for _, a := range cr.Alternatives {
		p := &pb.Alternative{Basis: string(a.Basis), Credited: a.Credited.TrimmedDecimal(3), Reason: report.AlternativeReason(a.Basis)}
		t.fraction(&p.Exact, a.Exact)
		m.Alternatives = append(m.Alternatives, p)
	}
	m.Steps = stepsOf(r, cr)
}

// stepsOf lists the steps a credit follows from, in order.
func stepsOf(r *credit.Record, cr *credit.Credit) []int32 {
	needed := make([]bool, cr.LastStep+1)
	count := 0
	var visit func(i int)
	visit = func(i int) {
		if i < 0 || needed[i] {
			return
		}
		needed[i] = true
		count++
		for _, t := range r.Steps[i].Terms {
			visit(int(t.Step))
		}
	}
	for i := cr.FirstStep; i <= cr.LastStep; i++ {
		visit(i)
	}
	out := make([]int32, 0, count)
	for i, yes := range needed {
		if yes {
			out = append(out, int32(i))
		}
	}
	return out
}

func line(m *pb.IngredientLine, l *credit.Line, t *texts) {
	m.Food, m.FoodName, m.Name, m.Quantity, m.Basis = l.Food.ID, l.Food.Name, l.Name, l.Quantity.Text(), l.Basis.String()
	m.State, m.Component, m.NoCredit, m.PartOf, m.Step = l.State, component(l.Component), l.Reason, l.PartOf(), int32(l.Step)
	t.fraction(&m.Credit, l.Credit)
}

func steps(m *pb.Record, r *credit.Record, explain bool, t *texts) {
	n := 0
	for i := range r.Steps {
		n += len(r.Steps[i].Terms)
	}
	all, terms := make([]pb.Step, len(r.Steps)), make([]pb.Term, n)
	pointers := make([]*pb.Term, n)
	m.Steps = make([]*pb.Step, len(r.Steps))
	n = 0
	for i := range r.Steps {
		s, p := &r.Steps[i], &all[i]
		m.Steps[i] = p
		p.Index, p.Rule, p.Operation, p.Ingredient, p.Outcome = int32(i), s.Rule, s.Operation.String(), int32(s.Ingredient), pb.Outcome(s.Outcome)
		p.Component, p.Subgroup = component(s.Component), subgroup(s.Subgroup)
		t.fraction(&p.Start, s.Start)
		t.fraction(&p.Value, s.Value)
		if s.Unit != nil {
			p.Unit = s.Unit.ID
		}
		first := n
		for _, x := range s.Terms {
			q := &terms[n]
			pointers[n] = q
			n++
			q.Operation, q.Figure, q.Step = x.Op.String(), x.Figure, x.Step
			t.fraction(&q.Value, r.Operand(x))
		}
		p.Terms = pointers[first:n:n]
		if explain {
			p.Text = report.StepText(r, i)
		}
	}
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
