package wire

import (
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen"

	pb "example.com/ozeq/api/ozeq/v1"
)

// CautionNotice is what goes with every list of cautions.
const CautionNotice = "By the catalog's entries, not by the labels in the kitchen: read every label. What is not listed is not known to be absent, and nothing here says gluten-free. These notes support, and never replace, label checks, local codes and licensed practice."

// Cautions turns a request into the library's and collects what its foods call for
// care with, or returns everything wrong with the request.
func Cautions(k *kitchen.Kitchen, m *pb.CautionRequest, shape *fault.List) (*kitchen.Cautions, error) {
	faults, ok := started(m != nil, shape)
	if !ok {
		return nil, faults.Err()
	}
	req := readDish(m, faults)
	if p := m.GetProduct(); p != nil {
		x := readProduct(p, "product", faults)
		req.Product = &x
	}
	out, err := k.Cautions(req)
	if err := joined(faults, err, ""); err != nil {
		return nil, err
	}
	return out, nil
}

// CautionMenu is Cautions for the items of a menu.
func CautionMenu(k *kitchen.Kitchen, m *pb.CautionMenuRequest, shape *fault.List) (*kitchen.MenuCautions, error) {
	faults, ok := begun(m != nil, m.GetMenu() != nil, shape, "menu", "the menu to collect cautions of")
	if !ok {
		return nil, faults.Err()
	}
	out, err := k.MenuCautions(readMenu(m.GetMenu(), "menu", faults))
	if err := joined(faults, err, "menu"); err != nil {
		return nil, err
	}
	return out, nil
}

// CautionsMessage turns cautions into the contract's message.
func CautionsMessage(c *kitchen.Cautions) *pb.Cautions { return cautions(c, "") }

// cautions writes the places of lines as inside what path names.
func cautions(c *kitchen.Cautions, path string) *pb.Cautions {
	lines := func(list []kitchen.CautionLine) []*pb.CautionLine { return cautionLines(list, path) }
	m := &pb.Cautions{Name: c.Name, NotKnown: lines(c.NotKnown), GlutenListed: c.Gluten.Listed, Gluten: lines(c.Gluten.Lines), GlutenAsk: lines(c.Gluten.Ask),
		Oats: lines(c.Gluten.Oats), Choking: lines(c.Choking), Honey: lines(c.Honey), Juice: lines(c.Juice), Notice: CautionNotice}
	for i := range c.Allergens {
		m.Allergens = append(m.Allergens, &pb.Allergen{Id: c.Allergens[i].ID, Lines: lines(c.Allergens[i].Lines)})
	}
	return m
}

// MenuCautionsMessage turns the cautions of a menu into the contract's message.
func MenuCautionsMessage(c *kitchen.MenuCautions) *pb.MenuCautions {
	return &pb.MenuCautions{Cautions: cautions(&c.Cautions, "menu"), Unread: cautionLines(c.Unread, "menu")}
}

func cautionLines(list []kitchen.CautionLine, path string) []*pb.CautionLine {
	var out []*pb.CautionLine
	for i := range list {
		l := &list[i]
		m := &pb.CautionLine{Path: fault.Field(path, l.Path), Name: l.Name, PartOf: l.PartOf, Item: l.Item, Line: l.Line}
		if !l.On.IsZero() {
			m.Date = l.On.String()
		}
		out = append(out, m)
	}
	return out
}

// ReadCaution reads a recipe file to collect the cautions of.
func ReadCaution(data []byte, f Format) (*pb.CautionRequest, *fault.List) {
	return readQuestion[pb.CautionRequest](data, f)
}

// ReadCautionMenu reads a menu file to collect the cautions of.
func ReadCautionMenu(data []byte, f Format) (*pb.CautionMenuRequest, *fault.List) {
	m := &pb.CautionMenuRequest{}
	faults, ok := read(data, f, m, manyAtOnce)
	if !ok {
		return nil, faults
	}
	return m, faults
}
