package wire

import (
	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"

	pb "example.com/ozeq/api/ozeq/v1"
)

// ReadRequest reads a crediting request. Faults of shape come back with
// whatever could be read, so that [Credit] can report those of content too.
func ReadRequest(data []byte, f Format) (*pb.CreditRequest, *fault.List) {
	n, ok, faults := parse(data, f)
	req := &pb.CreditRequest{}
	if !ok {
		return nil, faults
	}
	decode(&n, req.ProtoReflect(), "", faults)
	return req, faults
}

// Credit reads nothing: it turns a request message into the library's, credits
// it, and returns the record or everything wrong with the request: the faults
// given, those of turning it over, and the engine's.
func Credit(e *credit.Engine, m *pb.CreditRequest, shape *fault.List) (*credit.Record, error) {
	var faults fault.List
	if shape != nil {
		faults.Append(shape)
	}
	req := request(m, &faults)
	rec, err := e.Credit(req)
	if err != nil {
		var own fault.List
		if !own.Append(err) {
			return nil, err
		}
		known := make(map[string]bool, len(faults.Faults))
		for _, f := range faults.Faults {
			known[f.Path] = true
		}
		for _, f := range own.Faults {
			if f.Path == "" || !known[f.Path] {
				faults.Add(f)
			}
		}
		faults.Omitted += own.Omitted
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return rec, nil
}

// request turns a message into the library's request.
func request(m *pb.CreditRequest, faults *fault.List) credit.Request {
	req := credit.Request{Program: m.GetProgram(), Options: m.GetOptions()}
	if s := m.GetServiceDate(); s != "" {
		d, err := rules.ParseDate(s)
		addAt(err, "serviceDate", faults)
		req.On = d
	}
	if r := m.GetRecipe(); r != nil {
		req.Recipe = readRecipe(r, faults)
	}
	if p := m.GetProduct(); p != nil {
		req.Product = &credit.Product{Name: p.GetName(), Weight: quantity(p.GetWeight(), "product.weight", faults), ExhibitAGroup: p.GetExhibitAGroup()}
	}
	for _, f := range m.GetFoods() {
		req.Foods = append(req.Foods, readFood(f))
	}
	return req
}

func readRecipe(m *pb.Recipe, faults *fault.List) *recipe.Recipe {
	r := &recipe.Recipe{Name: m.GetName(), Servings: int(m.GetServings()), ExhibitAGroup: m.GetExhibitAGroup(), GrainsMethod: m.GetGrainsMethod()}
	for i, p := range m.GetPortions() {
		at := fault.Index("recipe.portions", i)
		r.Portions = append(r.Portions, recipe.Portion{Name: p.GetName(), Scoop: int(p.GetScoop()),
			Weight:  quantity(p.GetWeight(), at+".weight", faults),
			Measure: quantity(p.GetMeasure(), at+".measure", faults)})
	}
	if n := len(m.GetIngredients()); n > recipe.MaxIngredients {
		// The engine refuses them by number; reading each would be in vain.
		r.Ingredients = make([]recipe.Ingredient, n)
		return r
	}
	r.Ingredients = make([]recipe.Ingredient, 0, len(m.GetIngredients()))
	for i, in := range m.GetIngredients() {
		r.Ingredients = append(r.Ingredients, recipe.Ingredient{
			Food: in.GetFood(), Name: in.GetName(), Basis: in.GetBasis(), State: in.GetState(), CreditAs: in.GetCreditAs(),
			ExhibitAGroup: in.GetExhibitAGroup(), NotCrediting: in.GetNotCrediting(),
			Quantity: quantity(in.GetQuantity(), fault.Index("recipe.ingredients", i)+".quantity", faults)})
	}
	return r
}

func readFood(m *pb.Food) food.Own {
	f := food.Own{ID: m.GetId(), Name: m.GetName(), Components: m.GetComponents(), Subgroup: m.GetSubgroup(), Traits: m.GetTraits(),
		GrainKind: m.GetGrainKind(), GrainUse: m.GetGrainUse(), ExhibitAGroup: m.GetExhibitAGroup()}
	for _, g := range m.GetFigures() {
		f.Figures = append(f.Figures, food.OwnFigure{State: g.GetState(), Component: g.GetComponent(), Kind: g.GetKind(), Unit: g.GetUnit(),
			Value: g.GetValue(), Size: g.GetSize(), Basis: g.GetBasis(), Document: g.GetDocument(), Page: g.GetPage(), Edition: g.GetEdition()})
	}
	return f
}

// quantity reads an amount; none is left to the engine to miss where it must
// not.
func quantity(s, path string, faults *fault.List) measure.Quantity {
	if s == "" {
		return measure.Quantity{}
	}
	q, err := measure.Parse(s)
	addAt(err, path, faults)
	return q
}

// addAt adds a fault that does not know where it stood.
func addAt(err error, path string, faults *fault.List) {
	if f, ok := err.(fault.Fault); ok {
		f.Path = path
		faults.Add(f)
	}
}
