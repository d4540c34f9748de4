package kitchen

import (
	"strconv"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/source"
)

// steamer and cans are the papers pan capacities and can sizes were read from.
// Neither is the handbook: both are for planning, and no credit comes from them.
var (
	steamer = &source.Document{ID: "PANMAN", Title: "Steamer manual, pan capacity tables", Edition: "undated", Publisher: "an equipment maker",
		URL: "https://manualshive.com/ru/manual/cleveland/21cet16/2622783?page=26", Mark: source.Read, Tier: source.OpenData}
	canSizes = &source.Document{ID: "CANS", Title: "Column and trade tables on can sizes", Edition: "2009 and older", Publisher: "a newspaper's extension column and can makers",
		URL: "https://www2.ljworld.com/news/2009/aug/26/can-sizes-call-translation", Mark: source.Read, Tier: source.OpenData}
)

// PanSize is what a steam-table pan holds. Tables differ on it, so a portion is
// never credited from a pan's volume.
type PanSize struct {
	Name   string           // "full 12x20, 2 1/2 in"
	Usable measure.Quantity // filled as it is carried
	Brim   measure.Quantity // filled to the brim
	Source source.Ref
}

var panSizes = []struct{ name, usable, brim string }{
	{"full 12x20, 2 1/2 in", "240 fl oz", "7.875 qt"}, {"full 12x20, 4 in", "420 fl oz", "13.5 qt"}, {"full 12x20, 6 in", "625 fl oz", "20 qt"},
	{"half 12x10, 2 1/2 in", "125 fl oz", "4.125 qt"}, {"half 12x10, 4 in", "208 fl oz", "6.75 qt"}, {"half 12x10, 6 in", "314 fl oz", "10.125 qt"},
	{"two-thirds 12x13, 2 1/2 in", "175 fl oz", "5.75 qt"}, {"third 12x6, 2 1/2 in", "75 fl oz", "2.625 qt"}, {"third 12x6, 4 in", "125 fl oz", "4.125 qt"},
	{"third 12x6, 6 in", "186 fl oz", "6.125 qt"}, {"quarter 10x6, 2 1/2 in", "55 fl oz", "1.875 qt"}, {"sixth 6x6, 2 1/2 in", "35 fl oz", "1.25 qt"},
}

// Pans lists the pan sizes that were read, largest first by shape. Gallons and
// servings a pan, as posters print them, were not read and are left out.
func Pans() []PanSize {
	var out []PanSize
	for _, p := range panSizes {
		out = append(out, PanSize{p.name, must(p.usable), must(p.brim), read(steamer)})
	}
	return out
}

// CanSize is what a can of a size holds. Contents differ from food to food: what
// a can credits goes by the food's own figure for it, never by these.
type CanSize struct {
	Name     string
	Net      string           // net contents as printed, by weight or by volume
	Cups     string           // cups as printed
	Capacity measure.Quantity // filled with water
	Source   source.Ref
}

var cansRead = []struct{ name, net, cups, capacity string }{
	{"no. 10", "6 lb to 7 lb 5 oz", "12 to 13", "109.43 fl oz"}, {"no. 5 squat", "4 to 4 1/2 lb", "8", "59.10 fl oz"},
	{"no. 3 cyl", "46 fl oz or 51 oz", "5 3/4", "51.70 fl oz"}, {"no. 2-1/2", "26 to 30 oz", "3 1/2", "29.79 fl oz"},
	{"no. 2", "18 fl oz or 20 oz", "2 1/2", "20.55 fl oz"}, {"no. 303", "16 to 17 oz (modern packs 14.5 to 15.25)", "2", "16.88 fl oz"},
	{"no. 300", "14 to 16 oz", "1 3/4", "15.22 fl oz"}, {"no. 2 vacuum", "12 oz", "1 1/2", "14.71 fl oz"},
	{"no. 1 picnic", "10 1/2 to 12 oz", "1 1/4", "10.94 fl oz"}, {"8 oz", "8 oz", "1", "8.68 fl oz"}, {"6 oz", "6 fl oz", "3/4", "6.08 fl oz"},
}

// Cans lists the can sizes that were read, largest first.
func Cans() []CanSize {
	var out []CanSize
	for _, c := range cansRead {
		out = append(out, CanSize{c.name, c.net, c.cups, must(c.capacity), read(canSizes)})
	}
	return out
}

// Cut is a pan cut into equal pieces.
type Cut struct {
	Pieces        int
	Share         exact.Number // of the pan that one piece is
	Length, Width exact.Number // of a piece, in the unit the pan was given in
}

// CutPan cuts a pan of the given inside length and width into rows across its
// length and columns across its width. The sides are the caller's, measured on
// the pan: printed cutting charts were not read. The error is a [*fault.List].
func CutPan(length, width exact.Number, rows, columns int) (Cut, error) {
	var faults fault.List
	for _, x := range []struct {
		path string
		n    exact.Number
	}{{"length", length}, {"width", width}} {
		if x.n.Sign() <= 0 {
			faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: x.path, Value: x.n.String(), Want: "a side above 0", Fix: "Measure the inside of the pan."})
		}
	}
	for _, x := range []struct {
		path string
		n    int
	}{{"rows", rows}, {"columns", columns}} {
		if x.n < 1 || x.n > 100 {
			faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: x.path, Value: strconv.Itoa(x.n), Want: "a whole number from 1 to 100", Fix: "Say how many pieces lie along the side."})
		}
	}
	if err := faults.Err(); err != nil {
		return Cut{}, err
	}
	return Cut{Pieces: rows * columns, Share: exact.Frac(1, int64(rows*columns)), Length: length.Quo(exact.Int(int64(rows))), Width: width.Quo(exact.Int(int64(columns)))}, nil
}
