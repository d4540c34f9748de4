package wire

import (
	"crypto/sha256"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"

	pb "example.com/ozeq/api/ozeq/v1"
)

// Page sizes of [ListPatterns]. A pattern of school lunch is some 40 KB as JSON.
const (
	DefaultPatternPage = 10
	MaxPatternPage     = 100
)

// ListPatterns finds the meal patterns of a day, a page at a time. The token of a
// page is the place it starts at and what was asked for, so pages never mix two
// questions.
func ListPatterns(ps *patterns.Patterns, m *pb.ListPatternsRequest, shape *fault.List) (*pb.ListPatternsResponse, error) {
	var faults fault.List
	if shape != nil {
		faults.Append(shape)
	}
	size := pageSize(m.GetPageSize(), DefaultPatternPage, MaxPatternPage, &faults)
	mark := "." + patternsAsked(m)
	start := pageStart(m.GetPageToken(), mark, "the nextPageToken of a page of this date, filter and options", &faults)
	var on rules.Date
	if m.GetServiceDate() == "" {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "serviceDate", Want: "a date of service, YYYY-MM-DD", Fix: "Say on which day the patterns are asked for."})
	} else {
		d, err := rules.ParseDate(m.GetServiceDate())
		addAt(err, "serviceDate", &faults)
		on = d
	}
	if err := ps.CheckOptions(m.GetOptions()); err != nil {
		faults.Append(err)
	}
	keys := patternKeys(ps, m, &faults)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	out := &pb.ListPatternsResponse{}
	var known []patterns.Key
	for _, k := range keys {
		if first := ps.Changes(k)[0]; on.Before(first) {
			out.Later = append(out.Later, &pb.LaterPattern{Program: k.Program, Meal: k.Meal, AgeGroup: k.Group, From: first.String()})
			continue
		}
		known = append(known, k)
	}
	if len(known) == 0 {
		first := slices.MinFunc(out.GetLater(), func(a, b *pb.LaterPattern) int { return strings.Compare(a.GetFrom(), b.GetFrom()) }).GetFrom()
		faults.Add(fault.Fault{Reason: fault.RuleNotInForce, Path: "serviceDate", Value: m.GetServiceDate(), Want: "a date on or after " + first + ", the first day anything of these patterns is known here",
			Fix: "Check the year; earlier patterns are not in the data."})
		return nil, faults.Err()
	}
	out.TotalSize = int32(len(known))
	start = min(start, len(known))
	end := min(start+size, len(known))
	if start > 0 {
		out.Later = nil
	}
	chosen := make(map[string]string)
	for _, k := range known[start:end] {
		p, err := ps.Pattern(patterns.Query{On: on, Program: k.Program, Meal: k.Meal, Group: k.Group, Options: m.GetOptions()})
		if err != nil {
			return nil, err
		}
		maps.Copy(chosen, p.Options())
		out.Patterns = append(out.Patterns, PatternMessage(p))
	}
	for _, o := range ps.Options() {
		if c, ok := chosen[o.ID]; ok {
			out.Options = append(out.Options, ruleOption(o, c))
		}
	}
	if end < len(known) {
		out.NextPageToken = strconv.Itoa(end) + mark
	}
	return out, nil
}

// patternsAsked is a digest of what pages of patterns are of.
func patternsAsked(m *pb.ListPatternsRequest) string {
	h := sha256.New()
	for _, s := range []string{m.GetServiceDate(), m.GetProgram(), m.GetMeal(), m.GetAgeGroup()} {
		h.Write(append([]byte(s), 0))
	}
	for _, k := range slices.Sorted(maps.Keys(m.GetOptions())) {
		h.Write(append([]byte(k+"="+m.GetOptions()[k]), 0))
	}
	return fmt.Sprintf("%x", h.Sum(nil)[:8])
}

// patternKeys finds the patterns a filter lets through, and says of each part of
// it what there is instead.
func patternKeys(ps *patterns.Patterns, m *pb.ListPatternsRequest, faults *fault.List) []patterns.Key {
	keys := ps.List()
	for _, f := range []struct {
		path, value string
		reason      fault.Reason
		of          func(patterns.Key) string
	}{
		{"program", m.GetProgram(), fault.UnknownProgram, func(k patterns.Key) string { return k.Program }},
		{"meal", m.GetMeal(), fault.UnknownValue, func(k patterns.Key) string { return k.Meal }},
		{"ageGroup", m.GetAgeGroup(), fault.UnknownValue, func(k patterns.Key) string { return k.Group }},
	} {
		if f.value == "" {
			continue
		}
		left := slices.DeleteFunc(slices.Clone(keys), func(k patterns.Key) bool { return f.of(k) != f.value })
		if len(left) > 0 {
			keys = left
			continue
		}
		var there []string
		for _, k := range keys {
			if v := f.of(k); !slices.Contains(there, v) {
				there = append(there, v)
			}
		}
		faults.Add(fault.Fault{Reason: f.reason, Path: f.path, Value: f.value, Want: "one of " + strings.Join(there, ", "), Fix: "Write one of them, or leave it out for all."})
	}
	return keys
}

// PatternMessage turns a pattern into the contract's message.
func PatternMessage(p *patterns.Pattern) *pb.Pattern {
	from, to := p.Stretch()
	out := &pb.Pattern{Id: p.ID(), Program: p.Key.Program, Meal: p.Key.Meal, AgeGroup: p.Key.Group, Title: p.Group.Title, Ages: p.Group.Ages, Note: p.Group.Note,
		From: from.String(), To: to.String(), Options: p.Options()}
	for _, v := range p.Values() {
		if v.Unknown() {
			continue // among the gaps
		}
		m := &pb.PatternValue{Id: v.ID(), Rule: v.Rule.ID, Title: v.Rule.Title, Kind: string(v.Rule.Kind), Span: string(v.Span), Value: v.Text, Unit: v.Unit, Words: v.Words(),
			From: v.From.String(), EarlierUnknown: v.EarlierUnknown, To: v.To.String(), Option: v.Option, Choice: v.Choice,
			Citation: v.Source.Citation(), Mark: v.Source.Mark.String(), Note: v.Note}
		if v.Start != v.Source.Mark && v.Start != 0 {
			m.FromMark = v.Start.String()
		}
		if k := v.Rule.Kind; !v.None() && k != patterns.Word && k != patterns.Set {
			m.Amount = v.Number.Fraction()
		}
		out.Values = append(out.Values, m)
	}
	for _, g := range p.Unknown() {
		out.Gaps = append(out.Gaps, &pb.PatternGap{Rule: g.Rule.ID, Title: g.Rule.Title, Span: string(g.Span), KnownFrom: g.Next.String(), Note: g.Note})
	}
	return out
}
