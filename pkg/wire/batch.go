package wire

import (
	"strconv"
	"strings"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"

	pb "example.com/ozeq/api/ozeq/v1"
)

// Batch credits the requests of a batch in order. Faults of shape that stand
// inside one request are that request's; any other is the batch's, and then
// nothing is credited. wait is called before each request and ends the batch
// with its error.
func Batch(e *credit.Engine, m *pb.BatchCreditRequest, shape *fault.List, wait func() error) (*pb.BatchCreditResponse, error) {
	answers, err := inTurn(m.GetRequests(), "Put each recipe with its date and program into the list.", "Send the rest in another batch, or use the stream.", shape, wait,
		func(i int, r *pb.CreditRequest, own *fault.List) (*pb.BatchAnswer, error) {
			rec, faults, err := Answer(e, r, own)
			return &pb.BatchAnswer{Index: int32(i), Record: rec, Faults: faults}, err
		})
	if err != nil {
		return nil, err
	}
	return &pb.BatchCreditResponse{Answers: answers}, nil
}

// inTurn answers the requests of a batch one after another; none and more are how
// to mend a batch of none and of too many.
func inTurn[Q, A any](requests []Q, none, more string, shape *fault.List, wait func() error, answer func(int, Q, *fault.List) (A, error)) ([]A, error) {
	own, whole := byRequest(shape, len(requests))
	switch n := len(requests); {
	case n == 0:
		whole.Add(fault.Fault{Reason: fault.Missing, Path: "requests", Want: "1 to " + strconv.Itoa(MaxBatch) + " requests", Fix: none})
	case n > MaxBatch:
		whole.Add(fault.Fault{Reason: fault.TooMany, Path: "requests", Value: strconv.Itoa(n), Want: "at most " + strconv.Itoa(MaxBatch) + " requests", Fix: more})
	}
	if err := whole.Err(); err != nil {
		return nil, err
	}
	out := make([]A, 0, len(requests))
	for i, r := range requests {
		if err := wait(); err != nil {
			return nil, err
		}
		a, err := answer(i, r, own[i])
		if err != nil {
			return nil, err
		}
		out = append(out, a)
	}
	return out, nil
}

// Answer credits a request and returns the record as a message, or what is
// wrong with the request. An error is ozeq's own failure.
func Answer(e *credit.Engine, m *pb.CreditRequest, shape *fault.List) (*pb.Record, *pb.Faults, error) {
	rec, err := Credit(e, m, shape)
	if err != nil {
		var faults fault.List
		if !faults.Append(err) {
			return nil, nil, err
		}
		return nil, Faults(&faults), nil
	}
	return Record(rec, m.GetExplain()), nil, nil
}

// byRequest parts the faults of a batch's shape: those inside requests[i] go to
// i with the rest of their path, the others stay with the batch.
func byRequest(shape *fault.List, n int) (own []*fault.List, whole fault.List) {
	own = make([]*fault.List, n)
	if shape == nil {
		return own, whole
	}
	whole.Omitted = shape.Omitted
	for _, f := range shape.Faults {
		i, rest, ok := inside(f.Path)
		if !ok || i >= n || rest == "" {
			whole.Add(f)
			continue
		}
		if own[i] == nil {
			own[i] = &fault.List{}
		}
		f.Path = rest
		own[i].Add(f)
	}
	if whole.Omitted > 0 && len(whole.Faults) == 0 {
		// What is not on the list may be in any request.
		for _, f := range shape.Faults {
			whole.Add(f)
		}
	}
	return own, whole
}

// inside takes "requests[3].recipe.name" apart into 3 and "recipe.name".
func inside(path string) (i int, rest string, ok bool) {
	s, ok := strings.CutPrefix(path, "requests[")
	if !ok {
		return 0, "", false
	}
	number, rest, _ := strings.Cut(s, "]")
	i, err := strconv.Atoi(number)
	return i, strings.TrimPrefix(rest, "."), err == nil
}
