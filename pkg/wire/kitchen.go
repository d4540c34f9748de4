package wire

import (
	"slices"

	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"

	pb "example.com/ozeq/api/ozeq/v1"
)

// Dish is the part of a kitchen request that is a crediting request: the same
// fields at the same paths, so that a recipe file needs only its question added.
type Dish interface {
	GetRecipe() *pb.Recipe
	GetServiceDate() string
	GetProgram() string
	GetOptions() map[string]string
	GetFoods() []*pb.Food
	GetSubRecipes() []*pb.Recipe
	GetProducts() []*pb.Product
	GetAgeGroup() string
}

// readDish turns that part into the library's request.
func readDish(m Dish, faults *fault.List) credit.Request {
	return request(&pb.CreditRequest{Recipe: m.GetRecipe(), ServiceDate: m.GetServiceDate(), Program: m.GetProgram(), Options: m.GetOptions(), Foods: m.GetFoods(),
		SubRecipes: m.GetSubRecipes(), Products: m.GetProducts(), AgeGroup: m.GetAgeGroup()}, faults)
}

// readQuestion reads a request file of the kitchen. Faults of shape come back with
// whatever could be read, to be reported with those of content; without a result
// nothing could be.
func readQuestion[M any, P interface {
	*M
	proto.Message
}](data []byte, f Format) (P, *fault.List) {
	m := P(new(M))
	faults, ok := read(data, f, m, oneRequest)
	if !ok {
		return nil, faults
	}
	return m, faults
}

// started collects the faults of shape. The second result is false when there is
// nothing to ask, or more is wrong already than fits on the list.
func started(read bool, shape *fault.List) (*fault.List, bool) {
	faults := &fault.List{}
	if shape != nil {
		faults.Append(shape)
	}
	return faults, read && faults.Omitted == 0
}

// positive reads a number above 0 that may be left out.
func positive(s, path, want string, faults *fault.List) exact.Number {
	if s == "" {
		return exact.Number{}
	}
	return plainNumber(s, path, want, faults)
}

func measuredMessage(m kitchen.Measured) *pb.Measured {
	return &pb.Measured{Exact: m.Exact.Text(), Kitchen: m.Kitchen.Text(), Change: m.Change.Fraction(), BelowLeast: m.BelowLeast}
}

func creditSide(c *credit.Credit) *pb.CreditSide {
	if c == nil {
		return nil
	}
	return &pb.CreditSide{Exact: c.Exact.Fraction(), Credited: c.Credited.TrimmedDecimal(trimmed), Claimable: c.Claimable.TrimmedDecimal(trimmed), Status: statuses[c.Status]}
}

// toward is a component, or a subgroup of vegetables.
type toward struct {
	component food.Component
	subgroup  food.Subgroup
}

// places lists what any of several records has credits for, in their order.
func places(records ...*credit.Record) []toward {
	var out []toward
	for _, r := range records {
		if r == nil {
			continue
		}
		for i := range r.Credits {
			if p := (toward{r.Credits[i].Component, r.Credits[i].Subgroup}); !slices.Contains(out, p) {
				out = append(out, p)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b toward) int { // components, then subgroups, as in a record
		return min(1, int(a.subgroup)) - min(1, int(b.subgroup))
	})
	return out
}

func (p toward) of(r *credit.Record) *credit.Credit {
	if r == nil {
		return nil
	}
	for i := range r.Credits {
		if r.Credits[i].Component == p.component && r.Credits[i].Subgroup == p.subgroup {
			return &r.Credits[i]
		}
	}
	return nil
}

// creditChanges lists what a portion credits before and after.
func creditChanges(portion int, before, after *credit.Record) []*pb.CreditChange {
	var out []*pb.CreditChange
	for _, p := range places(before, after) {
		out = append(out, &pb.CreditChange{Portion: int32(portion), Component: pb.Component(p.component), Subgroup: pb.Subgroup(p.subgroup), Unit: unitOf(p.component, before, after),
			Before: creditSide(p.of(before)), After: creditSide(p.of(after))})
	}
	return out
}

func unitOf(c food.Component, records ...*credit.Record) string {
	for _, r := range records {
		if r != nil {
			return r.Unit(c)
		}
	}
	return ""
}

// RecipeMessage turns a recipe into the contract's message, which reads back as the
// same recipe where its amounts are within the grammar's digits.
func RecipeMessage(r *recipe.Recipe) *pb.Recipe {
	m := &pb.Recipe{Name: r.Name, Servings: int32(r.Servings), ExhibitAGroup: r.ExhibitAGroup, GrainsMethod: r.GrainsMethod, Id: r.ID,
		BatchWeight: written(r.BatchWeight), BatchMeasure: written(r.BatchMeasure), Smoothie: r.Smoothie, Dessert: r.Dessert}
	if t := r.YieldTest; t != nil {
		m.YieldTest = &pb.YieldTest{PortionsMade: int32(t.PortionsMade), WeightBefore: written(t.WeightBefore), WeightAfter: written(t.WeightAfter), PanLoss: written(t.PanLoss)}
	}
	for i := range r.Portions {
		p := &r.Portions[i]
		m.Portions = append(m.Portions, &pb.Portion{Name: p.Name, Weight: written(p.Weight), Measure: written(p.Measure), Scoop: int32(p.Scoop), Servings: int32(p.Servings)})
	}
	for i := range r.Ingredients {
		m.Ingredients = append(m.Ingredients, ingredientMessage(&r.Ingredients[i]))
	}
	return m
}

func written(q measure.Quantity) string {
	if q.IsZero() {
		return ""
	}
	return q.Text()
}

// figures collects the figures an answer uses, each once.
type figures struct{ list []*pb.Figure }

// ids takes figures in and names them.
func (u *figures) ids(gs []*food.Figure) []string {
	var out []string
	for _, g := range gs {
		out = append(out, g.ID)
		if !slices.ContainsFunc(u.list, func(f *pb.Figure) bool { return f.GetId() == g.ID }) {
			r := &g.Record
			u.list = append(u.list, &pb.Figure{Id: r.ID, Value: r.Text, Unit: r.Unit, Used: r.Used.Fraction(), Citation: r.Source.Citation(), Mark: r.Source.Mark.String(), Tier: int32(r.Source.Tier), Name: r.Name})
		}
	}
	return out
}
