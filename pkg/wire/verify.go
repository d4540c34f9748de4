package wire

import (
	"fmt"
	"maps"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/source"

	pb "example.com/ozeq/api/ozeq/v1"
)

var exactOne = exact.Int(1)

// Verify works a filed record out again from what stands in it, and compares
// it with today's answer when the request is given too.
func Verify(e *credit.Engine, m *pb.VerifyRecordRequest, shape *fault.List) (*pb.VerifyRecordResponse, error) {
	var faults fault.List
	if shape != nil {
		faults.Append(shape)
	}
	if m.GetRecord() == nil {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "record", Want: "the record as it was filed", Fix: "Send the JSON that the crediting call gave back."})
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	out := &pb.VerifyRecordResponse{Follows: true}
	if err := Follows(m.GetRecord()); err != nil {
		out.Follows, out.Problem = false, err.Error()
	}
	if m.GetRequest() == nil {
		return out, nil
	}
	now, wrong, err := Answer(e, m.GetRequest(), nil)
	if err != nil {
		return nil, err
	}
	if wrong != nil {
		out.Faults = wrong
		return out, nil
	}
	out.Compared = true
	out.Differences = differences(m.GetRecord(), now)
	out.StillHolds = out.Follows
	for _, d := range out.Differences {
		switch d.GetKind() {
		case "credit", "request", "record":
			out.StillHolds = false
		}
	}
	return out, nil
}

// Follows reports the first place of a record, or of one that came with it,
// that does not follow from its own figures, steps and amounts.
//
// It does not promise that they are the request's, the rules' or the catalog's:
// who writes other figures and works everything out again with them has a record
// that follows. Only the request beside it can tell.
func Follows(m *pb.Record) error {
	if m.GetServings() < 1 {
		return fmt.Errorf("%s: %d servings made", fault.Clip(m.GetName()), m.GetServings())
	}
	return follows(m)
}

func follows(m *pb.Record) error {
	r, err := readRecord(m)
	if err == nil {
		err = credit.Replay(r)
	}
	if err == nil {
		err = operandsStand(m, r)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", fault.Clip(m.GetName()), err)
	}
	for _, other := range m.GetAlso() {
		if err := follows(other); err != nil {
			return err
		}
	}
	return nil
}

// operandsStand compares the operands written beside terms with the figures and
// steps they refer to: a reader takes them for those.
func operandsStand(m *pb.Record, r *credit.Record) error {
	for i, s := range m.GetSteps() {
		for k, t := range s.GetTerms() {
			if n, ok := readFraction(t.GetValue()); !ok || !n.Equal(r.Operand(r.Steps[i].Terms[k])) {
				return fmt.Errorf("step %d: term %d is written %q, and refers to something else", i, k, fault.Clip(t.GetValue()))
			}
		}
	}
	return nil
}

// readRecord turns a message back into what replaying needs.
func readRecord(m *pb.Record) (*credit.Record, error) {
	r := &credit.Record{Name: m.GetName(), Servings: int(m.GetServings())}
	var err error
	number := func(what, s string) exact.Number {
		n, ok := readFraction(s)
		if !ok && err == nil {
			err = fmt.Errorf("%s is %q, and not a fraction", what, fault.Clip(s))
		}
		return n
	}
	for i, f := range m.GetFigures() {
		g := &credit.Figure{ID: f.GetId(), Text: f.GetValue(), Used: number(fmt.Sprintf("figure %d", i), f.GetUsed())}
		g.Source.Mark, _ = source.ParseMark(f.GetMark()) // none is nothing that carries a claim
		if g.Source.Tier = source.OpenData; f.GetTier() >= 0 && f.GetTier() < int32(source.OpenData) {
			g.Source.Tier = source.Tier(f.GetTier())
		}
		if n, ok := printedAs(f); ok && err == nil && !n.Equal(g.Used) {
			err = fmt.Errorf("figure %d: %s %s is not the %s the work uses", i, fault.Clip(f.GetValue()), fault.Clip(f.GetUnit()), fault.Clip(f.GetUsed()))
		}
		r.Figures = append(r.Figures, g)
	}
	for i, f := range m.GetFigures() {
		if estimatedAgain(m, f) {
			r.Figures[i].Source.Mark = source.Memory
		}
	}
	for i, s := range m.GetSteps() {
		at := fmt.Sprintf("step %d", i)
		step := credit.Step{Ingredient: int(s.GetIngredient()), Component: food.Component(s.GetComponent()), Subgroup: food.Subgroup(s.GetSubgroup()), Outcome: credit.Outcome(s.GetOutcome()), Operation: operations[s.GetOperation()], Start: number(at, s.GetStart()), Value: number(at, s.GetValue())}
		if s.GetUnit() != "" {
			u, ok := measure.UnitByID(s.GetUnit())
			if !ok {
				return nil, fmt.Errorf("%s: no unit is called %q", at, fault.Clip(s.GetUnit()))
			}
			step.Unit = u
		}
		for _, t := range s.GetTerms() {
			op, ok := termOps[t.GetOperation()]
			if !ok {
				return nil, fmt.Errorf("%s: no operation is called %q", at, fault.Clip(t.GetOperation()))
			}
			step.Terms = append(step.Terms, credit.Term{Op: op, Figure: t.GetFigure(), Step: t.GetStep()})
		}
		r.Steps = append(r.Steps, step)
	}
	for i, l := range m.GetIngredients() {
		line := credit.Line{Reason: l.GetNoCredit(), Step: int(l.GetStep()), Credit: number(fmt.Sprintf("ingredient %d", i), l.GetCredit())}
		if l.GetQuantity() != "" {
			q, perr := measure.Parse(l.GetQuantity())
			if perr != nil {
				return nil, fmt.Errorf("ingredient %d: %w", i, perr)
			}
			line.Quantity = q
		}
		r.Ingredients = append(r.Ingredients, line)
	}
	for i, c := range m.GetCredits() {
		at := fmt.Sprintf("credit %d", i)
		exactly := number(at, c.GetExact())
		decimal := func(text string) exact.Number {
			if credit.Basis(c.GetBasis()) == credit.SmoothieMilk && text == exactly.TrimmedDecimal(trimmed) {
				return exactly // not in steps: the text is cut
			}
			return number(at, text)
		}
		status := slices.Index(statuses[:], c.GetStatus())
		if status < 0 || c.GetComponent() <= pb.Component_COMPONENT_UNSPECIFIED || c.GetComponent() > pb.Component_COMPONENT_MILK || c.GetSubgroup() < pb.Subgroup_SUBGROUP_UNSPECIFIED || c.GetSubgroup() > pb.Subgroup_SUBGROUP_ADDITIONAL {
			return nil, fmt.Errorf("%s: no component, subgroup or status of a record", at)
		}
		cr := credit.Credit{Component: food.Component(c.GetComponent()), Subgroup: food.Subgroup(c.GetSubgroup()), Basis: credit.Basis(c.GetBasis()), Status: credit.Status(status),
			Exact: exactly, Credited: decimal(c.GetCredited()), Claimable: decimal(c.GetClaimable()), Step: number(at, c.GetStep()),
			ExactStep: int(c.GetExactStep()), LastStep: int(c.GetLastStep())}
		if text := cr.Exact.DecimalText(report.Places); err == nil && c.GetDecimal() != text {
			err = fmt.Errorf("%s: %s written with decimals is %s, the record says %q", at, fault.Clip(c.GetExact()), text, fault.Clip(c.GetDecimal()))
		}
		r.Credits = append(r.Credits, cr)
	}
	return r, err
}

var operations = func() map[string]credit.Operation {
	m := make(map[string]credit.Operation)
	for op := credit.Amount; op <= credit.FillUp; op++ {
		m[op.String()] = op
	}
	return m
}()

// estimatedAgain reports whether a figure is the claim of a formulation statement
// that, worked out again, is an estimate: the paper is there, and does not carry it.
func estimatedAgain(m *pb.Record, f *pb.Figure) bool {
	if !strings.HasPrefix(f.GetId(), "product/") {
		return false
	}
	var again *pb.Record
	for _, other := range m.GetAlso() {
		if other.GetName() == credit.StatementName(f.GetName()) {
			if again != nil {
				return false // two products of one name: it cannot be told which
			}
			again = other
		}
	}
	for _, c := range again.GetCredits() {
		of := food.Subgroup(c.GetSubgroup())
		if of == food.NoSubgroup && c.GetComponent() == pb.Component_COMPONENT_VEGETABLES {
			of = food.Additional // what the claims of subgroups leave
		}
		if c.GetStatus() == pb.Status_STATUS_ESTIMATE && strings.HasSuffix(f.GetId(), "/"+food.Component(c.GetComponent()).String()+"/"+of.String()) {
			return true
		}
	}
	return false
}

// printedAs reads the number a figure is printed with, where the work uses just
// that, or that times the size of a serving.
func printedAs(f *pb.Figure) (exact.Number, bool) {
	n, err := exact.Parse(f.GetValue())
	if err != nil {
		return n, false
	}
	size, sized := strings.CutPrefix(f.GetUnit(), "servings of ")
	if !sized {
		return n, true
	}
	size, _, _ = strings.Cut(size, " per ")
	end := strings.LastIndexAny(size, "0123456789") + 1
	each, err := exact.Parse(size[:end])
	return n.Mul(each), err == nil
}

var termOps = func() map[string]credit.Op {
	m := make(map[string]credit.Op)
	for _, op := range []credit.Op{credit.Times, credit.DividedBy, credit.Plus, credit.Minus, credit.DownTo} {
		m[op.String()] = op
	}
	return m
}()

// maxFraction bounds the text of a fraction, above what any request within bounds
// gives.
const maxFraction = 20_000

// readFraction reads "3", "-5/4" or "0.25".
func readFraction(s string) (exact.Number, bool) {
	if s == "" || len(s) > maxFraction || strings.Trim(s, "0123456789/.-") != "" {
		return exact.Number{}, false
	}
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		return exact.Number{}, false
	}
	return exact.FromRat(r), true
}

// differences lists where a filed record and today's differ.
func differences(filed, now *pb.Record) []*pb.Difference {
	var out []*pb.Difference
	add := func(kind, what, was, is string) {
		if was != is {
			out = append(out, &pb.Difference{Kind: kind, What: what, Filed: fault.Clip(was), Now: fault.Clip(is)})
		}
	}
	add("request", "digest", filed.GetIds().GetRequest(), now.GetIds().GetRequest())
	add("rule-set", "digest", filed.GetIds().GetRuleSet(), now.GetIds().GetRuleSet())
	add("catalog", "digest", filed.GetIds().GetCatalog(), now.GetIds().GetCatalog())
	compare(filed, now, "", add)
	return out
}

// compare compares what records say. in names a record that came with another.
func compare(filed, now *pb.Record, in string, add func(kind, what, was, is string)) {
	add("record", in+"name", filed.GetName(), now.GetName())
	add("record", in+"servings", strconv.Itoa(int(filed.GetServings())), strconv.Itoa(int(now.GetServings())))
	add("record", in+"serviceDate", filed.GetServiceDate(), now.GetServiceDate())
	add("record", in+"program", filed.GetProgram(), now.GetProgram())
	add("record", in+"portion", portionValue(filed.GetPortion()), portionValue(now.GetPortion()))
	options := make(map[string]bool)
	for _, m := range []map[string]string{filed.GetOptions(), now.GetOptions()} {
		for k := range m {
			options[k] = true
		}
	}
	for _, k := range slices.Sorted(maps.Keys(options)) {
		add("record", in+"options."+k, filed.GetOptions()[k], now.GetOptions()[k])
	}
	eachPair(filed.GetCredits(), now.GetCredits(), creditName, func(name string, a, b *pb.Credit) {
		add("credit", in+name, creditValue(a), creditValue(b))
	})
	eachPair(filed.GetFigures(), now.GetFigures(), (*pb.Figure).GetId, func(name string, a, b *pb.Figure) {
		add("figure", in+name, figureValue(a), figureValue(b))
	})
	for i := range max(len(filed.GetIngredients()), len(now.GetIngredients())) {
		add("ingredient", fmt.Sprintf("%singredients[%d]", in, i), lineValue(filed.GetIngredients(), i), lineValue(now.GetIngredients(), i))
	}
	for i := range max(len(filed.GetAlso()), len(now.GetAlso())) {
		var a, b *pb.Record
		if i < len(filed.GetAlso()) {
			a = filed.GetAlso()[i]
		}
		if i < len(now.GetAlso()) {
			b = now.GetAlso()[i]
		}
		compare(a, b, fmt.Sprintf("%salso[%d].", in, i), add)
	}
}

// eachPair walks two lists by name: first in the order of the one, then what
// only the other has. Of several with one name the first goes with the first.
func eachPair[T any](as, bs []*T, name func(*T) string, visit func(string, *T, *T)) {
	other := make(map[string][]*T, len(bs))
	for _, b := range bs {
		other[name(b)] = append(other[name(b)], b)
	}
	next := func(name string) *T {
		of := other[name]
		if len(of) == 0 {
			return nil
		}
		other[name] = of[1:]
		return of[0]
	}
	for _, a := range as {
		visit(name(a), a, next(name(a)))
	}
	for _, b := range bs {
		if left := other[name(b)]; len(left) > 0 && left[0] == b {
			visit(name(b), nil, next(name(b)))
		}
	}
}

func creditName(c *pb.Credit) string {
	name := food.Component(c.GetComponent()).String()
	if s := c.GetSubgroup(); s != pb.Subgroup_SUBGROUP_UNSPECIFIED {
		name += "/" + food.Subgroup(s).String()
	}
	return name
}

func creditValue(c *pb.Credit) string {
	if c == nil {
		return ""
	}
	text := c.GetCredited() + " " + c.GetUnit() + ", " + strings.ToLower(strings.TrimPrefix(c.GetStatus().String(), "STATUS_"))
	if c.GetClaimable() != c.GetCredited() {
		text += ", claimable " + c.GetClaimable()
	}
	return text
}

func figureValue(f *pb.Figure) string {
	if f == nil {
		return ""
	}
	text := f.GetValue() + " " + f.GetUnit() + ", " + f.GetMark() + ", " + f.GetCitation()
	if f.GetUsed() != f.GetValue() {
		text = f.GetUsed() + ", printed " + text
	}
	return text
}

func lineValue(lines []*pb.IngredientLine, i int) string {
	if i >= len(lines) {
		return ""
	}
	l := lines[i]
	text := l.GetQuantity() + " of " + l.GetFoodName()
	for _, s := range []string{l.GetName(), l.GetBasis(), l.GetState(), l.GetPartOf(), l.GetCredit(), l.GetNoCredit()} {
		if s != "" {
			text += ", " + s
		}
	}
	return text
}

func portionValue(p *pb.Portion) string {
	text := p.GetName()
	for _, s := range []string{p.GetWeight(), p.GetMeasure()} {
		if s != "" {
			text += ", " + s
		}
	}
	return fmt.Sprintf("%s, scoop %d, servings %d", text, p.GetScoop(), p.GetServings())
}
