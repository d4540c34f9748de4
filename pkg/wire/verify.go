package wire

import (
	"fmt"
	"math/big"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"

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
		if d.GetKind() == "credit" || d.GetKind() == "request" {
			out.StillHolds = false
		}
	}
	return out, nil
}

// Follows reports the first place of a record, or of one that came with it,
// that does not follow from its own figures, steps and amounts.
func Follows(m *pb.Record) error {
	r, err := readRecord(m)
	if err == nil {
		err = credit.Replay(r)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", fault.Clip(m.GetName()), err)
	}
	for _, other := range m.GetAlso() {
		if err := Follows(other); err != nil {
			return err
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
		r.Figures = append(r.Figures, &credit.Figure{ID: f.GetId(), Text: f.GetValue(), Used: number(fmt.Sprintf("figure %d", i), f.GetUsed())})
	}
	for i, s := range m.GetSteps() {
		at := fmt.Sprintf("step %d", i)
		step := credit.Step{Ingredient: int(s.GetIngredient()), Start: number(at, s.GetStart()), Value: number(at, s.GetValue())}
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
		cr := credit.Credit{Exact: number(at, c.GetExact()), Credited: number(at, c.GetCredited()), ExactStep: int(c.GetExactStep()), LastStep: int(c.GetLastStep())}
		r.Credits = append(r.Credits, cr)
	}
	return r, err
}

var termOps = func() map[string]credit.Op {
	m := make(map[string]credit.Op)
	for _, op := range []credit.Op{credit.Times, credit.DividedBy, credit.Plus, credit.Minus, credit.DownTo} {
		m[op.String()] = op
	}
	return m
}()

// maxFraction bounds the text of a fraction, far above what any request within
// bounds gives.
const maxFraction = 2500

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
	eachPair(filed.GetCredits(), now.GetCredits(), creditName, func(name string, a, b *pb.Credit) {
		add("credit", name, creditValue(a), creditValue(b))
	})
	eachPair(filed.GetFigures(), now.GetFigures(), (*pb.Figure).GetId, func(name string, a, b *pb.Figure) {
		add("figure", name, figureValue(a), figureValue(b))
	})
	return out
}

// eachPair walks two lists by name: first in the order of the one, then what
// only the other has.
func eachPair[T any](as, bs []*T, name func(*T) string, visit func(string, *T, *T)) {
	other := make(map[string]*T, len(bs))
	for _, b := range bs {
		other[name(b)] = b
	}
	for _, a := range as {
		visit(name(a), a, other[name(a)])
		delete(other, name(a))
	}
	for _, b := range bs {
		if other[name(b)] != nil {
			visit(name(b), nil, b)
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
	return c.GetCredited() + " " + c.GetUnit() + ", " + strings.ToLower(strings.TrimPrefix(c.GetStatus().String(), "STATUS_"))
}

func figureValue(f *pb.Figure) string {
	if f == nil {
		return ""
	}
	return f.GetValue() + " " + f.GetUnit() + ", " + f.GetMark()
}
