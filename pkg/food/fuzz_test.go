package food

import (
	"bytes"
	"testing"
)

// FuzzLoad looks for tables that panic the loader, or that load into a catalog
// with a hole in it: a figure without food, source or unit, a food nobody can
// look up. The three tables come from one input, parted by NUL.
func FuzzLoad(f *testing.F) {
	f.Add([]byte(foodRows + "\x00" + figureRows + "\x00" + sourceRows))
	f.Add([]byte("\x00\x00"))
	f.Add([]byte(foodRows + "\x00" + figureRows + "F-3,ridge-kale-fresh,,,net,can no. 10,106,,as-purchased,1,read,high,BOOK,\x00" + sourceRows))
	f.Add([]byte(foodRows + "\x00" + figureRows + "F-3,ridge-kale-fresh,,,net,,106,,as-purchased,1,read,high,BOOK,\x00" + sourceRows))
	f.Add([]byte(foodRows + "\x00" + figureRows + "F-3,ridge-kale-fresh,,vegetables,servings,,106,1/4 cup,,1,read,high,BOOK,\x00" + sourceRows))
	f.Add([]byte(foodRows + "\x00" + figureRows + "F-3,ridge-kale-fresh,,,each,each,1/3,,,2,memory,low,BOOK,\"a \"\"note\"\"\"\x00" + sourceRows))
	f.Add([]byte(foodRows + "\x00" + figureRows + "F-3,blue-corn-meal,dry,,protein,,50,,,1,caller,,BOOK,\x00" + sourceRows))
	f.Fuzz(func(t *testing.T, data []byte) {
		parts := bytes.SplitN(data, []byte{0}, 3)
		if len(data) > 1<<16 || len(parts) < 3 {
			return
		}
		c, err := Load(tables(string(parts[0]), string(parts[1]), string(parts[2])))
		if (c == nil) == (err == nil) {
			t.Fatalf("catalog %v and error %v", c != nil, err)
		}
		if err != nil {
			return
		}
		whole(t, c)
		c.Search(string(data), 5)
	})
}

// whole checks that a catalog has no hole the engine would fall into.
func whole(t testing.TB, c *Catalog) {
	t.Helper()
	for _, f := range c.Foods() {
		if g, ok := c.Food(f.ID); !ok || g != f || !validID(f.ID) || f.Name == "" {
			t.Errorf("food %q, %q cannot be looked up", f.ID, f.Name)
		}
		if len(f.Components) == 0 && f.NoCredit == "" {
			t.Errorf("%s credits nothing and says no reason", f.ID)
		}
		if f.CanCredit(Vegetables) && f.Subgroup == NoSubgroup {
			t.Errorf("%s is a vegetable of no subgroup", f.ID)
		}
		for _, g := range f.Figures {
			if g.Food != f && !f.Caller || g.ID == "" || g.Value.Sign() <= 0 || g.Rate.Sign() <= 0 || g.Source.Document == nil || g.Record.Unit == "" || g.Record.Name == "" {
				t.Errorf("%s: figure %+v", f.ID, g)
			}
			if g.Kind == Servings && (g.Unit == nil || g.Size.Sign() <= 0 || g.Component == NoComponent || g.Basis == NoBasis) {
				t.Errorf("%s: servings %+v", f.ID, g)
			}
			if (g.Kind == CupWeight || g.Kind == NetWeight || g.Kind == PieceWeight) && g.Unit == nil {
				t.Errorf("%s: %+v", f.ID, g)
			}
		}
	}
}
