package wire

import (
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"

	pb "example.com/ozeq/api/ozeq/v1"
)

// ReadPurchase reads a file that asks what to buy.
func ReadPurchase(data []byte, f Format) (*pb.PurchaseRequest, *fault.List) {
	m := &pb.PurchaseRequest{}
	faults, ok := read(data, f, m, manyAtOnce)
	if !ok {
		return nil, faults
	}
	return m, faults
}

// PlanPurchase turns a request into the library's, plans the purchase, and returns
// it or everything wrong with the request. wait is called before each recipe and
// ends the work with its error.
func PlanPurchase(k *kitchen.Kitchen, m *pb.PurchaseRequest, shape *fault.List, wait func() error) (*kitchen.Purchase, error) {
	faults, ok := started(m != nil, shape)
	if !ok {
		return nil, faults.Err()
	}
	var req kitchen.BuyRequest
	if len(m.GetRecipes()) > kitchen.MaxBuyRecipes {
		req.Recipes = make([]kitchen.BuyRecipe, len(m.GetRecipes())) // refused by number
	} else {
		for i, r := range m.GetRecipes() {
			if err := wait(); err != nil {
				return nil, err
			}
			var own fault.List
			x := kitchen.BuyRecipe{Request: readDish(r, &own)}
			for _, f := range own.Faults {
				f.Path = fault.Field(fault.Index("recipes", i), f.Path)
				faults.Add(f)
			}
			faults.Omitted += own.Omitted
			for _, n := range r.GetPortions() {
				x.Portions = append(x.Portions, int(n))
			}
			req.Recipes = append(req.Recipes, x)
		}
	}
	for i, f := range m.GetFoods() {
		if i > kitchen.MaxBuyFoods {
			break // one too many says enough
		}
		at := fault.Index("foods", i)
		x := kitchen.BuyFood{Food: f.GetFood(), State: f.GetState(), Unit: f.GetUnit(), Groups: readGroups(f.GetGroups(), at, faults),
			PerHundred: positive(f.GetPerHundred(), at+".perHundred", "units per 100 servings, such as 10.3", faults)}
		if s := f.GetComponent(); s != "" {
			var known bool
			if x.Component, known = food.ParseComponent(s); !known {
				faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: at + ".component", Value: s, Want: "grains, meats, fruits, vegetables or milk", Fix: "Leave it out for the food's first."})
			}
		}
		req.Foods = append(req.Foods, x)
	}
	for i, p := range m.GetProducts() {
		if i > kitchen.MaxBuyFoods {
			break
		}
		at := fault.Index("products", i)
		req.Products = append(req.Products, kitchen.BuyProduct{Name: p.GetName(), Each: quantity(p.GetEach(), at+".each", faults), Groups: readGroups(p.GetGroups(), at, faults)})
	}
	for i, p := range m.GetPacks() {
		if i > kitchen.MaxBuyPacks {
			break
		}
		req.Packs = append(req.Packs, kitchen.BuyPack{Of: p.GetOf(), Name: p.GetName(), Holds: quantity(p.GetHolds(), fault.Index("packs", i)+".holds", faults)})
	}
	for i, s := range m.GetOnHand() {
		if i > kitchen.MaxBuyPacks {
			break
		}
		req.OnHand = append(req.OnHand, kitchen.BuyStock{Of: s.GetOf(), Quantity: quantity(s.GetQuantity(), fault.Index("onHand", i)+".quantity", faults)})
	}
	req.Own = Foods(&pb.CreditRequest{Foods: m.GetOwn()})
	out, err := k.Buy(req)
	if err := joined(faults, err, ""); err != nil {
		return nil, err
	}
	return out, nil
}

func readGroups(ms []*pb.EaterGroup, path string, faults *fault.List) []kitchen.BuyGroup {
	var out []kitchen.BuyGroup
	for i, g := range ms {
		if i > kitchen.MaxBuyGroups {
			break
		}
		x := kitchen.BuyGroup{Name: g.GetName(), Count: int(g.GetCount())}
		if g.GetSize() != "" {
			x.Size = plainNumber(g.GetSize(), fault.Index(path+".groups", i)+".size", "the portion in oz eq or cups, such as 1 1/2", faults)
		}
		out = append(out, x)
	}
	return out
}

// PurchaseMessage turns a shopping list into the contract's message.
func PurchaseMessage(p *kitchen.Purchase) *pb.Purchase {
	m := &pb.Purchase{}
	var used figures
	for i := range p.Lines {
		m.Lines = append(m.Lines, purchaseLine(&p.Lines[i], &used))
	}
	m.Figures = used.list
	for _, f := range p.Findings {
		path := ""
		if f.Line >= 0 {
			path = fault.Index("lines", f.Line)
		}
		m.Findings = append(m.Findings, kitchenFinding(f.Severity, string(f.Reason), path, f.Text))
	}
	return m
}

func purchaseLine(l *kitchen.BuyLine, used *figures) *pb.PurchaseLine {
	m := &pb.PurchaseLine{Of: l.Of, Name: l.Name, Need: written(l.Need), OnHand: some(l.OnHand), Buy: some(l.Buy), Packs: int32(min(l.Packs, 1<<31-1)), LeftOver: some(l.LeftOver), Estimate: l.Estimate}
	if !l.Step.IsZero() {
		m.Step = measure.New(l.Step, l.Need.Unit()).Text()
	}
	if l.Pack != nil {
		m.Pack = &pb.Pack{Of: l.Pack.Of, Name: l.Pack.Name, Holds: written(l.Pack.Holds)}
	}
	for i := range l.Uses {
		u := &l.Uses[i]
		x := &pb.PurchaseUse{Path: u.Path, Of: u.Of, Amount: written(u.Amount), Basis: u.Basis, Bought: written(u.Bought), AsMeasured: u.AsMeasured}
		x.Figures = used.ids(u.Figures)
		m.Uses = append(m.Uses, x)
	}
	for i := range l.Methods {
		x := &l.Methods[i]
		m.Methods = append(m.Methods, &pb.PurchaseMethod{Method: x.Method, Figure: used.ids([]*food.Figure{x.Figure})[0], Value: x.Value.Fraction(), WorkedOut: x.WorkedOut, Units: x.Units.Fraction(), Buy: some(x.Buy)})
	}
	return m
}

// some writes an amount, and nothing for none of it.
func some(q measure.Quantity) string {
	if q.IsZero() || q.Amount().IsZero() {
		return ""
	}
	return written(q)
}
