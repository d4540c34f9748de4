package wire

import (
	"strconv"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/menu"

	pb "example.com/ozeq/api/ozeq/v1"
)

// BatchReview reviews the menus of a batch as [Batch] credits recipes.
func BatchReview(r *menu.Reviewer, m *pb.BatchReviewRequest, shape *fault.List, wait func() error) (*pb.BatchReviewResponse, error) {
	answers, err := inTurn(m.GetRequests(), "Put each menu into the list.", "Send the rest in another batch.", shape, wait,
		func(i int, q *pb.ReviewRequest, own *fault.List) (*pb.ReviewAnswer, error) {
			a := &pb.ReviewAnswer{Index: int32(i)}
			out, err := Review(r, q, own)
			if err == nil {
				a.Review = ReviewMessage(out)
				return a, nil
			}
			var faults fault.List
			if !faults.Append(err) {
				return nil, err
			}
			a.Faults = Faults(&faults)
			return a, nil
		})
	if err != nil {
		return nil, err
	}
	return &pb.BatchReviewResponse{Answers: answers}, nil
}

// DayMessage turns a review of whole days into the contract's message.
func DayMessage(r *menu.Review) *pb.DayReview {
	m := ReviewMessage(r)
	return &pb.DayReview{Verdict: m.GetVerdict(), Checks: m.GetChecks(), Patterns: m.GetPatterns()}
}

// ReviewDay is Review for what goes over all meals and snacks of a day of care.
func ReviewDay(r *menu.Reviewer, m *pb.ReviewDayRequest, shape *fault.List) (*menu.Review, error) {
	faults, ok := begun(m != nil, len(m.GetMenus()) > 0, shape, "menus", "the menus of the meals and snacks of the day")
	if n := len(m.GetMenus()); n > MaxBatch {
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: "menus", Value: strconv.Itoa(n), Want: "at most " + strconv.Itoa(MaxBatch) + " menus", Fix: "Ask of fewer days at a time."})
		ok = false
	}
	if !ok {
		return nil, faults.Err()
	}
	menus := make([]menu.Menu, len(m.GetMenus()))
	for i, x := range m.GetMenus() {
		menus[i] = *readMenu(x, fault.Index("menus", i), faults)
	}
	out, err := r.CareDays(menus...)
	if err := joined(faults, err, ""); err != nil {
		return nil, err
	}
	return out, nil
}
