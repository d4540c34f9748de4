package wire

import (
	"errors"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules"

	pb "example.com/ozeq/api/ozeq/v1"
)

// MaxAhead is how many dates a look-ahead may be asked about.
const MaxAhead = 20

// ReadLookAhead reads a menu file to look ahead with. A file for [ReadReview] is
// one.
func ReadLookAhead(data []byte, f Format) (*pb.LookAheadRequest, *fault.List) {
	m := &pb.LookAheadRequest{}
	faults, ok := read(data, f, m, manyAtOnce)
	if !ok {
		return nil, faults
	}
	return m, faults
}

// LookAhead reviews the menu of a request under coming rules, or returns
// everything wrong with the request.
func LookAhead(r *menu.Reviewer, m *pb.LookAheadRequest, shape *fault.List) (*menu.LookAhead, error) {
	faults, ok := begun(m != nil, m.GetMenu() != nil, shape, "menu", "the menu to look ahead with")
	if n := len(m.GetOn()); n > MaxAhead {
		faults.Add(tooMany("on", n, MaxAhead, "Ask about fewer: the dates of change come by themselves."))
		ok = false
	}
	if !ok {
		return nil, faults.Err()
	}
	read := readMenu(m.GetMenu(), "menu", faults)
	var asked []rules.Date
	for i, s := range m.GetOn() {
		at := fault.Index("on", i)
		if s == "" {
			faults.Add(fault.Fault{Reason: fault.Missing, Path: at, Want: "a date written YYYY-MM-DD", Fix: "Leave it out to ask about the dates of change alone."})
			continue
		}
		if d := date(s, at, faults); !d.IsZero() {
			asked = append(asked, d)
		}
	}
	out, err := r.Ahead(*read, asked...)
	if err := joined(faults, below(err), ""); err != nil {
		return nil, err
	}
	return out, nil
}

func tooMany(path string, n, most int, fix string) fault.Fault {
	return fault.Fault{Reason: fault.TooMany, Path: path, Value: strconv.Itoa(n), Want: "at most " + strconv.Itoa(most), Fix: fix}
}

// below puts the faults of a menu under its field; those of the dates stand beside
// it.
func below(err error) error {
	var list *fault.List
	if !errors.As(err, &list) {
		return err
	}
	out := &fault.List{Omitted: list.Omitted}
	for _, f := range list.Faults {
		if !strings.HasPrefix(f.Path, "on[") {
			f.Path = fault.Field("menu", f.Path)
		}
		out.Add(f)
	}
	return out
}

// LookAheadMessage turns a look-ahead into the contract's message.
func LookAheadMessage(a *menu.LookAhead) *pb.LookAhead {
	out := &pb.LookAhead{Own: ReviewMessage(a.Own), LastChange: a.LastChange.String(), NewestPaper: a.Newest.String()}
	for i := range a.Coming {
		c := &a.Coming[i]
		m := &pb.ComingReview{On: c.On.String(), Asked: c.Asked, First: c.First.String(), Last: c.Last.String(), Verdict: c.Verdict().String(),
			Differences: differenceMessages(c.Differences), Changes: changeMessages(c.Changes)}
		for _, d := range c.Also {
			m.Also = append(m.Also, d.String())
		}
		if c.Review != nil {
			m.Checks = checks(c.Review.Checks)
		}
		if c.Faults != nil {
			for _, f := range c.Faults.Faults {
				m.Faults = append(m.Faults, f.Error())
			}
		}
		out.Coming = append(out.Coming, m)
	}
	return out
}

func differenceMessages(list []menu.Difference) []*pb.ReviewDifference {
	out := make([]*pb.ReviewDifference, 0, len(list))
	for i := range list {
		d := &list[i]
		m := &pb.ReviewDifference{Kind: d.Kind.String(), Date: d.On.String(), Changes: changeMessages(d.Changes), Items: d.Items}
		if d.Was != nil {
			m.Was = checks([]menu.Check{*d.Was})[0]
		}
		if d.Is != nil {
			m.Is = checks([]menu.Check{*d.Is})[0]
		}
		out = append(out, m)
	}
	return out
}

func changeMessages(list []menu.Change) []*pb.RuleChange {
	out := make([]*pb.RuleChange, 0, len(list))
	for _, c := range list {
		out = append(out, &pb.RuleChange{Rule: c.Rule, Title: c.Title, Was: c.Was, Is: c.Is, On: c.On.String(), Citation: c.Citation, Crediting: c.Crediting})
	}
	return out
}

// LookAheadHead returns what names the menu of a look-ahead, for a report.
func LookAheadHead(m *pb.LookAheadRequest) *menu.Menu {
	return MenuHead(&pb.ReviewRequest{Menu: m.GetMenu()})
}
