package wire

import (
	"slices"
	"strconv"
	"strings"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/rules"

	pb "example.com/ozeq/api/ozeq/v1"
)

// Page sizes of [ListFoods].
const (
	DefaultPage = 20
	MaxPage     = 200
)

// ListFoods finds foods, a page at a time. The token of a page is the place it
// starts at and the catalog it belongs to, so pages never mix two catalogs.
func ListFoods(c *food.Catalog, m *pb.ListFoodsRequest, shape *fault.List) (*pb.ListFoodsResponse, error) {
	var faults fault.List
	if shape != nil {
		faults.Append(shape)
	}
	size := pageSize(m.GetPageSize(), DefaultPage, MaxPage, &faults)
	component, known := food.ParseComponent(m.GetComponent())
	if m.GetComponent() != "" && !known {
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: "component", Value: m.GetComponent(), Want: "grains, meats, fruits, vegetables or milk", Fix: "Leave it out for all."})
	}
	if len(m.GetQuery()) > food.MaxSearch {
		faults.Add(fault.Fault{Reason: fault.TooLong, Path: "query", Value: m.GetQuery(), Want: "at most " + strconv.Itoa(food.MaxSearch) + " bytes", Fix: "A few words are enough."})
	}
	mark := "." + c.Digest()
	start := pageStart(m.GetPageToken(), mark, "the nextPageToken of a page of this catalog", &faults)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	var found []*food.Food
	if m.GetQuery() == "" {
		found = c.Foods()
	} else {
		for _, x := range c.Search(m.GetQuery(), 0) {
			found = append(found, x.Food)
		}
	}
	if component != food.NoComponent {
		found = slices.DeleteFunc(slices.Clone(found), func(f *food.Food) bool { return !f.CanCredit(component) })
	}
	out := &pb.ListFoodsResponse{TotalSize: int32(len(found))}
	start = min(start, len(found))
	end := min(start+size, len(found))
	for _, f := range found[start:end] {
		out.Foods = append(out.Foods, catalogFood(f, false))
	}
	if end < len(found) {
		out.NextPageToken = strconv.Itoa(end) + mark
	}
	return out, nil
}

// pageSize reads how much a page may hold; 0 takes usual.
func pageSize(asked int32, usual, most int, faults *fault.List) int {
	switch size := int(asked); {
	case size == 0:
		return usual
	case size < 0 || size > most:
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: "pageSize", Value: strconv.Itoa(size), Want: "1 to " + strconv.Itoa(most), Fix: "Ask for fewer and follow nextPageToken."})
		return usual
	default:
		return size
	}
}

// pageStart reads where a page starts out of its token: a number and the mark of
// what the pages are of.
func pageStart(token, mark, want string, faults *fault.List) int {
	if token == "" {
		return 0
	}
	number, ok := strings.CutSuffix(token, mark)
	n, err := strconv.Atoi(number)
	if !ok || err != nil || n < 0 {
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: "pageToken", Value: token, Want: want, Fix: "Start again at the first page: leave it out."})
		return 0
	}
	return n
}

// GetFood returns a food with its figures, or a fault with the nearest ids.
func GetFood(c *food.Catalog, m *pb.GetFoodRequest) (*pb.CatalogFood, error) {
	if f, ok := c.Food(m.GetFood()); ok {
		return catalogFood(f, true), nil
	}
	f := fault.Fault{Reason: fault.UnknownFood, Path: "food", Value: m.GetFood(), Want: "an id of the catalog", Fix: "Search for it by everyday words."}
	if near := c.Nearest(m.GetFood(), 3); len(near) > 0 {
		f.Want += "; near are " + strings.Join(near, ", ")
	}
	var faults fault.List
	faults.Add(f)
	return nil, faults.Err()
}

func catalogFood(f *food.Food, figures bool) *pb.CatalogFood {
	m := &pb.CatalogFood{Id: f.ID, Name: f.Name, AlsoCalled: f.Also, Form: f.Form, Subgroup: f.Subgroup.String(), NoCredit: f.NoCreditReason(),
		Allergens: f.Allergens, Gluten: f.Gluten, GrainKind: f.GrainKind.String(), GrainUse: f.GrainUse.String()}
	if f.NoCredit == "" {
		m.NoCredit = ""
	}
	if f.Subgroup == food.NoSubgroup {
		m.Subgroup = ""
	}
	if f.GrainKind == food.NotAGrain {
		m.GrainKind, m.GrainUse = "", ""
	}
	if f.ExhibitAGroup != 0 {
		m.ExhibitAGroup = string(rune(f.ExhibitAGroup))
	}
	for _, c := range f.Components {
		m.Components = append(m.Components, c.String())
		for _, s := range f.States(c) {
			if !slices.Contains(m.States, s) {
				m.States = append(m.States, s)
			}
		}
	}
	for t := food.Trait(1); t <= food.DisputedSubgroup; t <<= 1 {
		if f.Traits.Has(t) {
			m.Traits = append(m.Traits, t.String())
		}
	}
	if !figures {
		return m
	}
	for _, g := range f.Figures {
		p := &pb.CatalogFigure{Id: g.ID, State: g.State, Kind: g.Kind.String(), Value: g.Text, Unit: g.Record.Unit, Citation: g.Source.Citation(),
			Mark: g.Source.Mark.String(), Tier: int32(g.Source.Tier)}
		if g.Kind == food.Servings {
			p.Component = g.Component.String()
		}
		m.Figures = append(m.Figures, p)
	}
	return m
}

// ListRules returns the rules in force for a program on a day.
func ListRules(all *rules.Rules, m *pb.ListRulesRequest, shape *fault.List) (*pb.ListRulesResponse, error) {
	var faults fault.List
	if shape != nil {
		faults.Append(shape)
	}
	var on rules.Date
	if m.GetServiceDate() == "" {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "serviceDate", Want: "a date of service, YYYY-MM-DD", Fix: "Say on which day the rules are asked for."})
	} else {
		d, err := rules.ParseDate(m.GetServiceDate())
		addAt(err, "serviceDate", &faults)
		on = d
	}
	if len(faults.Faults) > 0 {
		return nil, faults.Err()
	}
	rs, err := all.Resolve(on, m.GetProgram(), m.GetOptions())
	if err != nil {
		return nil, err
	}
	out := &pb.ListRulesResponse{RuleSet: rs.ID(), AgeGroups: rs.AgeGroups()}
	for _, r := range all.All() {
		if !rs.Has(r.ID) {
			continue
		}
		v, err := rs.Get(r.ID)
		if err != nil {
			return nil, err
		}
		out.Values = append(out.Values, ruleValue(r, v))
	}
	for _, o := range all.Options() {
		if chosen, ok := rs.Options[o.ID]; ok {
			out.Options = append(out.Options, ruleOption(o, chosen))
		}
	}
	return out, nil
}

func ruleOption(o *rules.Option, chosen string) *pb.RuleOption {
	p := &pb.RuleOption{Id: o.ID, Title: o.Title, Default: o.Default, Reason: o.Reason, Chosen: chosen, Citation: o.Source.Citation(), Mark: o.Source.Mark.String(), Programs: o.Programs}
	for _, c := range o.Choices {
		p.Choices = append(p.Choices, &pb.RuleChoice{Id: c.ID, Title: c.Title})
	}
	return p
}

func ruleValue(r *rules.Rule, v *rules.Value) *pb.RuleValue {
	p := &pb.RuleValue{Rule: r.ID, Title: r.Title, Value: v.Text, Unit: r.Unit, From: v.From.String(), EarlierUnknown: v.EarlierUnknown, To: v.To.String(), Note: v.Note}
	if v.Source.Document != nil {
		p.Citation, p.Mark = v.Source.Citation(), v.Source.Mark.String()
	}
	for i := range v.Steps {
		s := &v.Steps[i]
		p.Table = append(p.Table, &pb.RuleStep{Least: s.LeastText, Credits: s.CreditText})
		if p.Citation == "" {
			p.Citation, p.Mark = s.Source.Citation(), s.Source.Mark.String()
		}
	}
	return p
}

// ListPrograms returns the programs there are.
func ListPrograms(all *rules.Rules) *pb.ListProgramsResponse {
	out := &pb.ListProgramsResponse{}
	for _, p := range all.Programs() {
		out.Programs = append(out.Programs, &pb.Program{Id: p.ID, Name: p.Name, Regulation: p.Regulation})
	}
	return out
}

// ListMeasures returns the units an amount may be written in.
func ListMeasures() *pb.ListMeasuresResponse {
	out := &pb.ListMeasuresResponse{}
	for _, u := range measure.Units() {
		p := &pb.Measure{Id: u.ID, Ucum: u.UCUM, Dimension: u.Dimension.String()}
		base := measure.New(exactOne, u).Unit()
		if r, ok := u.Ratio(base); ok && u.Dimension != measure.Container {
			p.Size, p.Base = r.Fraction(), base.ID
		}
		out.Measures = append(out.Measures, p)
	}
	for _, n := range measure.ScoopNumbers() {
		q, ok := measure.Scoop(n)
		if !ok {
			continue
		}
		if cups, ok := q.In(measure.Cup); ok {
			out.Scoops = append(out.Scoops, &pb.Scoop{Number: int32(n), Cups: cups.Fraction()})
		}
	}
	return out
}
