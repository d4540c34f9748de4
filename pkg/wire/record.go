package wire

import (
	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/report"

	pb "example.com/ozeq/api/ozeq/v1"
)

// Record turns a record into the contract's message. explain writes each step
// out in words.
func Record(r *credit.Record, explain bool) *pb.Record {
	m := &pb.Record{}
	if err := proto.Unmarshal(AppendRecord(nil, r, explain), m); err != nil {
		panic(err) // a test reads back what is written of every case
	}
	return m
}

// AppendRecord appends a record as the contract's message in protobuf.
func AppendRecord(b []byte, r *credit.Record, explain bool) []byte {
	w := writer{b: b}
	w.record(r, explain)
	return w.b
}

// AppendRecordJSON appends a record as [AppendJSON] writes the contract's
// message.
func AppendRecordJSON(b []byte, r *credit.Record, explain bool) []byte {
	w := writer{b: append(b, '{'), json: true}
	w.record(r, explain)
	return append(w.b, '}')
}

// AppendStreamAnswer appends the answer to a request of a stream, in protobuf:
// a record.
func AppendStreamAnswer(b []byte, id string, r *credit.Record, explain bool) []byte {
	w := writer{b: b}
	w.text(1, "id", id)
	at := w.open(2, "record")
	w.record(r, explain)
	w.close(at)
	return w.b
}

// record writes the fields of message Record.
func (w *writer) record(r *credit.Record, explain bool) {
	w.text(1, "name", r.Name)
	w.number(2, "servings", r.Servings)
	w.text(3, "serviceDate", r.On.String())
	w.text(4, "program", r.Program.ID)
	at := w.open(5, "ids")
	w.text(1, "ruleSet", r.IDs.RuleSet)
	w.text(2, "catalog", r.IDs.Catalog)
	w.text(3, "request", r.IDs.Request)
	w.close(at)
	w.list("credits")
	for i := range r.Credits {
		at := w.open(6, "")
		w.credit(r, &r.Credits[i])
		w.close(at)
	}
	w.endList()
	w.list("ingredients")
	for i := range r.Ingredients {
		at := w.open(7, "")
		w.line(&r.Ingredients[i])
		w.close(at)
	}
	w.endList()
	w.list("figures")
	for _, g := range r.Figures {
		at := w.open(8, "")
		w.text(1, "id", g.ID)
		w.text(2, "value", g.Text)
		w.text(3, "unit", g.Unit)
		w.fraction(4, "used", g.Used)
		w.text(5, "citation", g.Source.Citation())
		w.text(6, "mark", g.Source.Mark.String())
		w.number(7, "tier", int(g.Source.Tier))
		w.text(8, "name", g.Name)
		w.close(at)
	}
	w.endList()
	w.list("findings")
	for i := range r.Findings {
		at := w.open(9, "")
		w.finding(r, &r.Findings[i])
		w.close(at)
	}
	w.endList()
	w.list("steps")
	for i := range r.Steps {
		at := w.open(10, "")
		w.step(r, i, explain)
		w.close(at)
	}
	w.endList()
	w.pairs(11, "options", r.Options)
	at = w.open(12, "portion")
	w.text(1, "name", r.Portion.Name)
	w.text(2, "weight", r.Portion.Weight.Text())
	w.text(3, "measure", r.Portion.Measure.Text())
	w.number(4, "scoop", r.Portion.Scoop)
	w.number(5, "servings", r.Portion.Servings)
	w.close(at)
	w.list("also")
	for _, other := range r.Also {
		at := w.open(13, "")
		w.record(other, explain)
		w.close(at)
	}
	w.endList()
}

// The names of the contract's enums, by number, as JSON has them.
var (
	componentNames = quoted(pb.Component_name)
	subgroupNames  = quoted(pb.Subgroup_name)
	statusNames    = quoted(pb.Status_name)
	severityNames  = quoted(pb.Severity_name)
	outcomeNames   = quoted(pb.Outcome_name)
)

func quoted(names map[int32]string) []string {
	out := make([]string, len(names))
	for n, s := range names {
		out[n] = `"` + s + `"`
	}
	return out
}

// statuses maps the library's statuses to the contract's.
var statuses = [...]pb.Status{
	credit.NoCredit: pb.Status_STATUS_NO_CREDIT, credit.Documented: pb.Status_STATUS_DOCUMENTED,
	credit.NeedsPaper: pb.Status_STATUS_NEEDS_PAPER, credit.Estimate: pb.Status_STATUS_ESTIMATE,
}

// trimmed is how many places credits have at most: eighths of a cup.
const trimmed = 3

func (w *writer) credit(r *credit.Record, cr *credit.Credit) {
	w.enum(1, "component", int(cr.Component), componentNames)
	w.enum(2, "subgroup", int(cr.Subgroup), subgroupNames)
	w.fraction(3, "exact", cr.Exact)
	w.decimal(4, "decimal", cr.Exact, report.Places, false)
	w.decimal(5, "credited", cr.Credited, trimmed, true)
	w.decimal(6, "step", cr.Step, trimmed, true)
	w.text(7, "unit", r.Unit(cr.Component))
	w.text(8, "basis", string(cr.Basis))
	w.enum(9, "status", int(statuses[cr.Status]), statusNames)
	w.text(10, "noCredit", cr.Reason)
	w.text(11, "toSpare", report.SpareText(r, cr.ToSpare, false))
	w.text(12, "toNext", report.SpareText(r, cr.ToNext, true))
	w.list("alternatives")
	for _, a := range cr.Alternatives {
		at := w.open(13, "")
		w.text(1, "basis", string(a.Basis))
		w.fraction(2, "exact", a.Exact)
		w.decimal(3, "credited", a.Credited, trimmed, true)
		w.text(4, "reason", report.AlternativeReason(a.Basis))
		w.close(at)
	}
	w.endList()
	w.numbers(14, "steps", stepsOf(r, cr))
	w.text(15, "verify", report.VerifyText(r, cr))
	w.decimal(16, "claimable", cr.Claimable, trimmed, true)
	w.number(17, "exactStep", cr.ExactStep)
	w.number(18, "lastStep", cr.LastStep)
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

func (w *writer) line(l *credit.Line) {
	w.text(1, "food", l.Food.ID)
	w.text(2, "foodName", l.Food.Name)
	w.text(3, "name", l.Name)
	w.text(4, "quantity", l.Quantity.Text())
	w.text(5, "basis", l.Basis.String())
	w.text(6, "state", l.State)
	w.enum(7, "component", int(l.Component), componentNames)
	w.fraction(8, "credit", l.Credit)
	w.text(9, "noCredit", l.Reason)
	w.text(10, "partOf", l.PartOf())
	w.number(11, "step", l.Step)
}

func (w *writer) finding(r *credit.Record, f *credit.Finding) {
	w.enum(1, "severity", int(f.Severity), severityNames)
	w.text(2, "reason", string(f.Reason))
	path := ""
	if f.Ingredient >= 0 {
		path = r.Ingredients[f.Ingredient].Path()
	}
	w.text(3, "path", path)
	w.text(4, "text", report.FindingText(r, f))
	ids := make([]string, len(f.Figures))
	for i, k := range f.Figures {
		ids[i] = r.Figures[k].ID
	}
	w.texts(5, "figures", ids)
}

func (w *writer) step(r *credit.Record, i int, explain bool) {
	s := &r.Steps[i]
	w.number(1, "index", i)
	w.text(2, "rule", s.Rule)
	w.text(3, "operation", s.Operation.String())
	w.enum(4, "component", int(s.Component), componentNames)
	w.enum(5, "subgroup", int(s.Subgroup), subgroupNames)
	w.number(6, "ingredient", s.Ingredient)
	w.fraction(7, "start", s.Start)
	unit := ""
	if s.Unit != nil {
		unit = s.Unit.ID
	}
	w.text(8, "unit", unit)
	w.list("terms")
	for _, t := range s.Terms {
		at := w.open(9, "")
		w.text(1, "operation", t.Op.String())
		w.number(2, "figure", int(t.Figure))
		w.number(3, "step", int(t.Step))
		w.fraction(4, "value", r.Operand(t))
		w.close(at)
	}
	w.endList()
	w.fraction(10, "value", s.Value)
	w.enum(11, "outcome", int(s.Outcome), outcomeNames)
	text := ""
	if explain {
		text = report.StepText(r, i)
	}
	w.text(12, "text", text)
}

// Faults turns a list of faults into the contract's message.
func Faults(l *fault.List) *pb.Faults {
	m := &pb.Faults{Omitted: int32(l.Omitted)}
	for _, f := range l.Faults {
		m.Faults = append(m.Faults, &pb.Fault{Reason: string(f.Reason), Path: f.Path, Value: f.Value, Want: f.Want, Fix: f.Fix})
	}
	return m
}
