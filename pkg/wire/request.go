package wire

import (
	"slices"
	"strings"

	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
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
	req := &pb.CreditRequest{}
	faults, ok := read(data, f, req, oneRequest)
	if !ok {
		return nil, faults
	}
	return req, faults
}

// ReadJSON reads any message of the contract from JSON, as strictly as a
// request: it fills in what fits and reports everything that does not. The
// second result is false when the text could not be read at all.
func ReadJSON(data []byte, m proto.Message) (*fault.List, bool) {
	most := oneRequest
	switch m.(type) {
	case *pb.BatchCreditRequest, *pb.VerifyRecordRequest,
		*pb.ReviewRequest, *pb.BatchReviewRequest, *pb.ReviewDayRequest, *pb.LookAheadRequest, *pb.ProductionRequest:
		most = manyAtOnce
	case *pb.PurchaseRequest, *pb.CautionMenuRequest:
		most = manyAtOnce
	}
	return read(data, JSON, m, most)
}

func read(data []byte, f Format, m proto.Message, most bounds) (*fault.List, bool) {
	n, ok, faults := parse(data, f, most)
	if ok {
		decode(&n, m.ProtoReflect(), "", faults)
	}
	return faults, ok
}

// Credit reads nothing: it turns a request message into the library's, credits
// it, and returns the record or everything wrong with the request: the faults
// given, those of turning it over, and the engine's.
func Credit(e *credit.Engine, m *pb.CreditRequest, shape *fault.List) (*credit.Record, error) {
	var faults fault.List
	if shape != nil {
		faults.Append(shape)
	}
	if m == nil {
		return nil, faults.Err()
	}
	if faults.Omitted > 0 {
		// More than fits on the list is wrong already; which of the content's
		// faults only follow from those left out cannot be told.
		return nil, faults.Err()
	}
	req := request(m, &faults)
	rec, err := e.Credit(req)
	if err != nil {
		var own fault.List
		if !own.Append(err) {
			return nil, err
		}
		shown := len(faults.Faults)
		for _, f := range own.Faults {
			if !slices.ContainsFunc(faults.Faults[:shown], func(g fault.Fault) bool { return stands(g, f) }) {
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

// stands reports whether a fault of reading a place makes one of its content
// idle: the same place, or one inside a value that could not be read at all.
func stands(read, content fault.Fault) bool {
	switch rest, inside := strings.CutPrefix(content.Path, read.Path); {
	case !inside:
		return false
	case rest == "":
		return content.Path != "" || read.Reason == fault.WrongType
	case read.Reason == fault.WrongType || read.Reason == fault.YAMLFeature:
		return read.Path == "" || rest[0] == '.' || rest[0] == '['
	}
	return false
}

// Foods returns the caller's foods of a request message.
func Foods(m *pb.CreditRequest) []food.Own { return ownFoods(m.GetFoods()) }

func ownFoods(list []*pb.Food) []food.Own {
	var own []food.Own
	for _, f := range list {
		own = append(own, readFood(f))
	}
	return own
}

// request turns a message into the library's request.
func request(m *pb.CreditRequest, faults *fault.List) credit.Request {
	req := credit.Request{Program: m.GetProgram(), Options: m.GetOptions(), AgeGroup: m.GetAgeGroup()}
	if s := m.GetServiceDate(); s != "" {
		d, err := rules.ParseDate(s)
		addAt(err, "serviceDate", faults)
		req.On = d
	}
	if r := m.GetRecipe(); r != nil {
		req.Recipe = readRecipe(r, "recipe", faults)
	}
	if p := m.GetProduct(); p != nil {
		x := readProduct(p, "product", faults)
		req.Product = &x
	}
	req.SubRecipes = readSubRecipes(m.GetSubRecipes(), "subRecipes", faults)
	req.Products = readProducts(m.GetProducts(), "products", faults)
	req.Foods = Foods(m)
	return req
}

func readSubRecipes(list []*pb.Recipe, path string, faults *fault.List) []recipe.Recipe {
	if n := len(list); n > credit.MaxSubRecipes {
		return make([]recipe.Recipe, n) // refused by number
	}
	var out []recipe.Recipe
	for i, r := range list {
		out = append(out, *readRecipe(r, fault.Index(path, i), faults))
	}
	return out
}

func readProducts(list []*pb.Product, path string, faults *fault.List) []credit.Product {
	if n := len(list); n > credit.MaxProducts {
		return make([]credit.Product, n) // refused by number
	}
	var out []credit.Product
	for i, p := range list {
		out = append(out, readProduct(p, fault.Index(path, i), faults))
	}
	return out
}

func readRecipe(m *pb.Recipe, path string, faults *fault.List) *recipe.Recipe {
	r := &recipe.Recipe{Name: m.GetName(), Servings: int(m.GetServings()), ExhibitAGroup: m.GetExhibitAGroup(), GrainsMethod: m.GetGrainsMethod(),
		ID: m.GetId(), Smoothie: m.GetSmoothie(), Dessert: m.GetDessert(),
		BatchWeight:  quantity(m.GetBatchWeight(), path+".batchWeight", faults),
		BatchMeasure: quantity(m.GetBatchMeasure(), path+".batchMeasure", faults)}
	if t := m.GetYieldTest(); t != nil {
		at := path + ".yieldTest"
		r.YieldTest = &recipe.YieldTest{PortionsMade: int(t.GetPortionsMade()),
			WeightBefore: quantity(t.GetWeightBefore(), at+".weightBefore", faults),
			WeightAfter:  quantity(t.GetWeightAfter(), at+".weightAfter", faults),
			PanLoss:      quantity(t.GetPanLoss(), at+".panLoss", faults)}
	}
	for i, p := range m.GetPortions() {
		if i == recipe.MaxPortions+1 {
			break // one too many says enough
		}
		at := fault.Index(path+".portions", i)
		r.Portions = append(r.Portions, recipe.Portion{Name: p.GetName(), Scoop: int(p.GetScoop()), Servings: int(p.GetServings()),
			Weight:  quantity(p.GetWeight(), at+".weight", faults),
			Measure: quantity(p.GetMeasure(), at+".measure", faults)})
	}
	if n := len(m.GetIngredients()); n > recipe.MaxIngredients {
		// The engine refuses them by number; reading each would be in vain.
		r.Ingredients = make([]recipe.Ingredient, n)
		return r
	}
	r.Ingredients = readIngredients(m.GetIngredients(), path+".ingredients", faults)
	return r
}

func readIngredients(ms []*pb.Ingredient, path string, faults *fault.List) []recipe.Ingredient {
	out := make([]recipe.Ingredient, 0, len(ms))
	for i, in := range ms {
		at := fault.Index(path, i)
		x := recipe.Ingredient{
			Food: in.GetFood(), Name: in.GetName(), Basis: in.GetBasis(), State: in.GetState(), CreditAs: in.GetCreditAs(),
			ExhibitAGroup: in.GetExhibitAGroup(), NotCrediting: in.GetNotCrediting(), SubRecipe: in.GetSubRecipe(), Product: in.GetProduct(), Hidden: in.GetHidden(),
			Quantity: quantity(in.GetQuantity(), at+".quantity", faults)}
		if s := in.GetShare(); s != "" {
			x.Share = plainNumber(s, at+".share", "a share above 0 and at most 1, such as 0.6", faults)
		}
		out = append(out, x)
	}
	return out
}

// plainNumber reads a plain number above 0.
func plainNumber(s, path, want string, faults *fault.List) exact.Number {
	n, err := exact.Parse(s)
	if err != nil || n.IsZero() {
		faults.Add(fault.Fault{Reason: fault.BadNumber, Path: path, Value: s, Want: want, Fix: "Write a plain number: no sign, no exponent, at most 9 digits on each side of the point."})
	}
	return n
}

func readProduct(m *pb.Product, path string, faults *fault.List) credit.Product {
	p := credit.Product{ID: m.GetId(), Name: m.GetName(), ExhibitAGroup: m.GetExhibitAGroup(), Dessert: m.GetDessert(), Weight: quantity(m.GetWeight(), path+".weight", faults)}
	if l := m.GetCnLabel(); l != nil {
		at := path + ".cnLabel"
		p.Label = &credit.Label{Number: l.GetNumber(), Approved: l.GetApproved(), Portion: quantity(l.GetPortion(), at+".portion", faults), Claims: readClaims(l.GetClaims(), at+".claims", faults)}
	}
	if s := m.GetStatement(); s != nil {
		at := path + ".statement"
		p.Statement = &credit.Statement{Signed: s.GetSigned(), Portion: quantity(s.GetPortion(), at+".portion", faults), Claims: readClaims(s.GetClaims(), at+".claims", faults)}
		if s.GetDate() != "" {
			d, err := rules.ParseDate(s.GetDate())
			addAt(err, at+".date", faults)
			p.Statement.Date = d
		}
		if len(s.GetIngredients()) <= recipe.MaxIngredients {
			p.Statement.Ingredients = readIngredients(s.GetIngredients(), at+".ingredients", faults)
		} else {
			p.Statement.Ingredients = make([]recipe.Ingredient, len(s.GetIngredients()))
		}
	}
	return p
}

func readClaims(ms []*pb.Claim, path string, faults *fault.List) []credit.Claim {
	var out []credit.Claim
	for i, c := range ms {
		at := fault.Index(path, i)
		x := credit.Claim{Text: c.GetAmount(), Amount: plainNumber(c.GetAmount(), at+".amount", "an amount in oz eq or cups, such as 2.00 or 1/4", faults)}
		x.Component, _ = food.ParseComponent(c.GetComponent())
		if s := c.GetSubgroup(); s != "" {
			var ok bool
			if x.Subgroup, ok = food.ParseSubgroup(s); !ok {
				faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: at + ".subgroup", Value: s, Want: "dark-green, red-orange, beans-peas-lentils, starchy or other", Fix: "Leave it out for the component as a whole."})
			}
		}
		out = append(out, x)
		if i > 100 {
			break // far more than a paper has; the engine says so
		}
	}
	return out
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
