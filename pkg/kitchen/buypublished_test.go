package kitchen_test

import (
	"bytes"
	"encoding/json"
	"os"
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
)

// published is a published purchase: figures as printed, and its source.
type published struct {
	ID, Title, Source string
	Food              *struct {
		Food, State, Unit, PerHundred string
		Own                           *struct{ Component, Value, Size string } // a figure the catalog does not have, from the same paper
		Groups                        []publishedGroup
	}
	Product *struct {
		Name   string
		Groups []publishedGroup
	}
	Pack, OnHand string
	Exact        string // purchase units by servings per unit, cut to two places
	Printed      string // the same as printed, where that is rounded and not cut
	Buy          string
	Hundred      string // purchase units by units per 100, cut to two places
	BuyHundred   string
	Packs        int64
	Left         string
}

type publishedGroup struct {
	Name  string
	Count int
	Size  string
}

func groups(gs []publishedGroup) []kitchen.BuyGroup {
	var out []kitchen.BuyGroup
	for _, g := range gs {
		out = append(out, kitchen.BuyGroup{Name: g.Name, Count: g.Count, Size: num(g.Size)})
	}
	return out
}

// TestPublishedPurchases works out what papers have worked out in print.
func TestPublishedPurchases(t *testing.T) {
	text, err := os.ReadFile("testdata/published/purchases.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []published
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&cases); err != nil {
		t.Fatal(err)
	}
	if len(cases) < 12 {
		t.Fatalf("%d cases", len(cases))
	}
	b := newBench(t)
	for _, c := range cases {
		t.Run(c.ID, func(t *testing.T) {
			if c.Source == "" || c.Exact == "" && c.Hundred == "" {
				t.Fatal("no source, or nothing to compare")
			}
			var req kitchen.BuyRequest
			of := ""
			if f := c.Food; f != nil {
				of = f.Food
				if f.Own != nil {
					own := food.Own{ID: f.Food}
					if _, ok := b.engine.Catalog().Food(f.Food); !ok {
						own.Name, own.Components = f.Food, []string{f.Own.Component}
						if f.Own.Component == "vegetables" {
							own.Subgroup = "starchy"
						}
					}
					req.Own = []food.Own{own}
					req.Own[0].Figures = []food.OwnFigure{{State: f.State, Component: f.Own.Component, Kind: "servings", Unit: f.Unit, Value: f.Own.Value, Size: f.Own.Size,
						Document: c.Source[:40], Page: c.ID, Edition: "as printed"}}
				}
				req.Foods = []kitchen.BuyFood{{Food: f.Food, State: f.State, Unit: f.Unit, PerHundred: num(f.PerHundred), Groups: groups(f.Groups)}}
			} else {
				of = c.Product.Name
				req.Products = []kitchen.BuyProduct{{Name: of, Groups: groups(c.Product.Groups)}}
			}
			if c.Pack != "" {
				req.Packs = []kitchen.BuyPack{{Of: of, Holds: quantity(t, c.Pack)}}
			}
			if c.OnHand != "" {
				req.OnHand = []kitchen.BuyStock{{Of: of, Quantity: quantity(t, c.OnHand)}}
			}
			out, err := b.Buy(req)
			if err != nil {
				t.Fatal(err)
			}
			l := out.Lines[0]
			units := l.Uses[0].Amount.Amount()
			if len(l.Methods) == 2 {
				units = l.Methods[0].Units
				if h := &l.Methods[1]; c.Hundred != "" && (h.Units.DecimalText(2) != c.Hundred || h.Buy.Text() != c.BuyHundred) {
					t.Errorf("by units per 100: %s, buy %s, want %s, %s", h.Units.DecimalText(4), h.Buy, c.Hundred, c.BuyHundred)
				}
			}
			if c.Exact != "" && (units.DecimalText(2) != c.Exact || l.Buy.Text() != c.Buy) {
				t.Errorf("by servings per unit: %s, buy %s, want %s, %s", units.DecimalText(4), l.Buy, c.Exact, c.Buy)
			}
			if near := units.Add(exact.Frac(1, 200)); c.Printed != "" && near.DecimalText(2) != c.Printed {
				t.Errorf("printed as %s, worked out %s", c.Printed, units.DecimalText(4))
			}
			if c.Packs > 0 && (l.Packs != c.Packs || l.LeftOver.Amount().String() != c.Left) {
				t.Errorf("%d packs, %s left over, want %d, %s", l.Packs, l.LeftOver, c.Packs, c.Left)
			}
		})
	}
}
