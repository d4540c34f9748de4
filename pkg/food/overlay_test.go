package food

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/source"
)

// own is the caller's food that each case below changes one thing of.
func own() Own {
	return Own{ID: "ridge-relish", Name: "Ridge relish", Components: []string{"vegetables"}, Subgroup: "red-orange",
		Figures: []OwnFigure{{State: "raw", Component: "vegetables", Kind: "servings", Unit: "lb", Value: "10.5", Size: "1/4 cup",
			Document: "Kitchen yield test", Page: "sheet 4", Edition: "2026-08-20"}}}
}

func TestWithFaults(t *testing.T) {
	long := strings.Repeat("x", maxOverlayText+1)
	for _, c := range []struct {
		name   string
		change func(*Own)
		want   string // reason and path
	}{
		{"no id", func(o *Own) { o.ID = "" }, "BAD_TEXT foods[0].id"},
		{"id with capitals", func(o *Own) { o.ID = "Ridge-Relish" }, "BAD_TEXT foods[0].id"},
		{"id with a control character", func(o *Own) { o.ID = "ridge\x1b[2J" }, "BAD_TEXT foods[0].id"},
		{"id too long", func(o *Own) { o.ID = strings.Repeat("x", 81) }, "BAD_TEXT foods[0].id"},
		{"no name", func(o *Own) { o.Name = "" }, "MISSING foods[0].name"},
		{"name too long", func(o *Own) { o.Name = long }, "TOO_LONG foods[0].name"},
		{"name too long of a known food", func(o *Own) { *o = Own{ID: "quinoa", Name: long} }, "TOO_LONG foods[0].name"},
		{"unknown component", func(o *Own) { o.Components = []string{"vegetables", "starch"} }, "UNKNOWN_VALUE foods[0].components"},
		{"unknown subgroup", func(o *Own) { o.Subgroup = "yellow" }, "UNKNOWN_VALUE foods[0].subgroup"},
		{"no subgroup", func(o *Own) { o.Subgroup = "" }, "UNKNOWN_VALUE foods[0].subgroup"},
		{"unknown trait", func(o *Own) { o.Traits = []string{"crunchy"} }, "UNKNOWN_VALUE foods[0].traits"},
		{"unknown grain kind", func(o *Own) { o.GrainKind = "plain" }, "UNKNOWN_VALUE foods[0].grainKind"},
		{"unknown grain use", func(o *Own) { o.GrainUse = "fried" }, "UNKNOWN_VALUE foods[0].grainUse"},
		{"grain without kind", func(o *Own) { *o = Own{ID: "x", Name: "X", Components: []string{"grains"}, GrainUse: "baked"} }, "UNKNOWN_VALUE foods[0].grainKind"},
		{"product without group", func(o *Own) {
			*o = Own{ID: "x", Name: "X", Components: []string{"grains"}, GrainKind: "whole", GrainUse: "product"}
		}, "UNKNOWN_VALUE foods[0].exhibitAGroup"},
		{"unknown group", func(o *Own) { o.ExhibitAGroup = "K" }, "UNKNOWN_VALUE foods[0].exhibitAGroup"},
		{"group of two letters", func(o *Own) { o.ExhibitAGroup = "AB" }, "UNKNOWN_VALUE foods[0].exhibitAGroup"},
		{"too many figures", func(o *Own) { o.Figures = slices.Repeat(o.Figures, MaxOverlayFigures+1) }, "TOO_MANY foods[0].figures"},
		{"unknown kind", func(o *Own) { o.Figures[0].Kind = "portions" }, "UNKNOWN_VALUE foods[0].figures[0].kind"},
		{"no kind", func(o *Own) { o.Figures[0].Kind = "" }, "UNKNOWN_VALUE foods[0].figures[0].kind"},
		{"no value", func(o *Own) { o.Figures[0].Value = "" }, "UNKNOWN_VALUE foods[0].figures[0].value"},
		{"value with exponent", func(o *Own) { o.Figures[0].Value = "1E1000000000" }, "UNKNOWN_VALUE foods[0].figures[0].value"},
		{"value of ten megabytes", func(o *Own) { o.Figures[0].Value = strings.Repeat("9", 10<<20) }, "UNKNOWN_VALUE foods[0].figures[0].value"},
		{"value zero", func(o *Own) { o.Figures[0].Value = "0.0" }, "UNKNOWN_VALUE foods[0].figures[0].value"},
		{"value negative", func(o *Own) { o.Figures[0].Value = "-1" }, "UNKNOWN_VALUE foods[0].figures[0].value"},
		{"no unit", func(o *Own) { o.Figures[0].Unit = "" }, "UNKNOWN_VALUE foods[0].figures[0].unit"},
		{"unknown unit", func(o *Own) { o.Figures[0].Unit = "firkin" }, "UNKNOWN_VALUE foods[0].figures[0].unit"},
		{"no component", func(o *Own) { o.Figures[0].Component = "" }, "UNKNOWN_VALUE foods[0].figures[0].component"},
		{"component of another food", func(o *Own) { o.Figures[0].Component, o.Figures[0].Size = "fruits", "1/4 cup" }, "CANNOT_CREDIT_AS foods[0].figures[0].component"},
		{"size in the wrong unit", func(o *Own) { o.Figures[0].Size = "1 oz eq" }, "UNKNOWN_VALUE foods[0].figures[0].size"},
		{"no size", func(o *Own) { o.Figures[0].Size = "" }, "UNKNOWN_VALUE foods[0].figures[0].size"},
		{"unknown basis", func(o *Own) { o.Figures[0].Basis = "cooked" }, "UNKNOWN_VALUE foods[0].figures[0].basis"},
		{"bad state", func(o *Own) { o.Figures[0].State = "Raw\n" }, "UNKNOWN_VALUE foods[0].figures[0].state"},
		{"share above all", func(o *Own) { o.Figures[0] = OwnFigure{Kind: "usable", Value: "1.01"} }, "UNKNOWN_VALUE foods[0].figures[0].value"},
		{"net weight without container", func(o *Own) { o.Figures[0] = OwnFigure{Kind: "net", Value: "106"} }, "UNKNOWN_VALUE foods[0].figures[0].unit"},
		{"cup weight per pound", func(o *Own) { o.Figures[0] = OwnFigure{Kind: "cup", Unit: "lb", Value: "106"} }, "UNKNOWN_VALUE foods[0].figures[0].unit"},
		{"document too long", func(o *Own) { o.Figures[0].Document = long }, "TOO_LONG foods[0].figures[0].document"},
		{"page too long", func(o *Own) { o.Figures[0].Page = long }, "TOO_LONG foods[0].figures[0].page"},
		{"edition too long", func(o *Own) { o.Figures[0].Edition = long }, "TOO_LONG foods[0].figures[0].edition"},
		{"one figure twice", func(o *Own) { o.Figures = append(o.Figures, o.Figures[0]) }, "CONFLICTING foods[0].figures[1]"},
		{"one row for two sizes", func(o *Own) {
			g := o.Figures[0]
			g.Unit, g.Value, g.Size = "pounds", "5.2", "1/2 cup"
			o.Figures = append(o.Figures, g)
		}, "CONFLICTING foods[0].figures[1]"},
	} {
		t.Run(c.name, func(t *testing.T) {
			o := own()
			c.change(&o)
			before := shipped().Digest()
			cat, err := shipped().With([]Own{o})
			var faults *fault.List
			if cat != nil || !errors.As(err, &faults) {
				t.Fatalf("catalog %v, error %v", cat != nil, err)
			}
			found := false
			for _, f := range faults.Faults {
				found = found || string(f.Reason)+" "+f.Path == c.want
				if f.Want == "" || f.Fix == "" || len(f.Value) > fault.MaxValue {
					t.Errorf("fault %+v", f)
				}
			}
			if !found || len(faults.Faults) != 1 {
				t.Errorf("want %s alone, got\n%.500v", c.want, faults)
			}
			if shipped().Digest() != before {
				t.Error("the base catalog changed")
			}
		})
	}
}

// More foods than a request may bring are refused by number, and the same food
// twice by its id.
func TestWithTooMany(t *testing.T) {
	var foods []Own
	for i := range MaxOverlayFoods + 1 {
		foods = append(foods, Own{ID: fmt.Sprint("ridge-", i), Name: "X"})
	}
	if _, err := shipped().With(foods); err == nil || !strings.Contains(err.Error(), string(fault.TooMany)) {
		t.Errorf("%d foods: %v", len(foods), err)
	}
	c, err := shipped().With(foods[:MaxOverlayFoods])
	if err != nil || len(c.Foods()) != len(shipped().Foods())+MaxOverlayFoods {
		t.Errorf("%d foods: %v", MaxOverlayFoods, err)
	}
	if _, err := shipped().With([]Own{own(), own()}); err == nil || !strings.Contains(err.Error(), "foods[1].id") {
		t.Errorf("one food twice: %v", err)
	}
	if c, err := shipped().With(nil); err != nil || c != shipped() {
		t.Errorf("with nothing it is another catalog: %v", err)
	}
}

// A new food stands in the new catalog alone, can be found there, and the base
// knows nothing of it.
func TestWithNewFood(t *testing.T) {
	base := shipped()
	foods, digest := base.Foods(), base.Digest()
	c, err := base.With([]Own{own()})
	if err != nil {
		t.Fatal(err)
	}
	whole(t, c)
	f, ok := c.Food("ridge-relish")
	if !ok || !f.Caller || len(f.Figures) != 1 || !f.CanCredit(Vegetables) || f.Subgroup != RedOrange {
		t.Fatalf("food %+v", f)
	}
	g := f.Figures[0]
	if !g.Source.Documented() || g.Source.Mark != source.Caller || g.Source.Citation() != "Kitchen yield test, sheet 4, 2026-08-20" {
		t.Errorf("source %+v: %s", g.Source, g.Source.Citation())
	}
	if !g.Rate.Equal(exact.MustParse("2.625")) || g.Unit != measure.Pound {
		t.Errorf("figure %+v", g)
	}
	if found := c.Search("ridge relish", 1); len(found) != 1 || found[0].Food != f {
		t.Errorf("search finds %v", found)
	}
	if _, ok := base.Food("ridge-relish"); ok || base.Digest() != digest || c.Digest() == digest || !slices.Equal(base.Foods(), foods) {
		t.Error("the base catalog changed")
	}
	if found := base.Search("ridge relish", 1); len(found) > 0 && found[0].Food.ID == "ridge-relish" {
		t.Error("the base catalog finds it")
	}
	if again, err := base.With([]Own{own()}); err != nil || again.Digest() != c.Digest() {
		t.Errorf("the same foods give another digest: %v", err)
	}
}

// A figure for the same state, component and unit takes the place of the
// catalog's; the rest stays, and the base is left as it was.
func TestWithReplacesFigure(t *testing.T) {
	base := shipped()
	known, _ := base.Food("raisins")
	before := slices.Clone(known.Figures)
	values := make([]Figure, len(before))
	for i, g := range before {
		values[i] = *g
	}
	c, err := base.With([]Own{{ID: "raisins", Figures: []OwnFigure{
		{State: "as-is", Kind: "servings", Component: "fruits", Unit: "lb", Value: "12.7", Size: "1/4 cup", Document: "Handbook", Page: "3-52", Edition: "2022"},
		{State: "as-is", Kind: "cup", Value: "150"},
	}}})
	if err != nil {
		t.Fatal(err)
	}
	f, _ := c.Food("raisins")
	if f == known || f.Name != known.Name || !f.Caller || known.Caller {
		t.Errorf("food %+v", f)
	}
	var perPound []*Figure
	for _, g := range f.Figures {
		if g.Kind == Servings && g.Unit == measure.Pound {
			perPound = append(perPound, g)
		}
	}
	if len(perPound) != 1 || perPound[0].Text != "12.7" || !perPound[0].Source.Documented() {
		t.Errorf("servings per pound: %+v", perPound)
	}
	ids := make(map[string]bool)
	for _, g := range f.Figures {
		if ids[g.ID] {
			t.Errorf("two figures are called %s", g.ID)
		}
		ids[g.ID] = true
	}
	if !slices.Equal(known.Figures, before) {
		t.Error("the base catalog's figures changed")
	}
	for i, g := range before {
		if *g != values[i] {
			t.Errorf("figure %s of the base changed", g.ID)
		}
	}

	// A second overlay over the first goes on from there, under new ids.
	two, err := c.With([]Own{{ID: "raisins", Figures: []OwnFigure{{State: "packed", Kind: "cup", Value: "165"}, {State: "as-is", Kind: "cup", Value: "151"}}}})
	if err != nil {
		t.Fatal(err)
	}
	f, _ = two.Food("raisins")
	ids = make(map[string]bool)
	var cups []string
	for _, g := range f.Figures {
		if ids[g.ID] {
			t.Errorf("two figures are called %s", g.ID)
		}
		ids[g.ID] = true
		if g.Kind == CupWeight && g.Food.Caller {
			cups = append(cups, g.Text)
		}
	}
	if !slices.Contains(cups, "165") || !slices.Contains(cups, "151") || slices.Contains(cups, "150") {
		t.Errorf("the caller's cups are %v", cups)
	}
}

// The caller's figure is documented with all of document, page and edition, and
// an estimate with any of them missing.
func TestWithPapers(t *testing.T) {
	for _, c := range []struct {
		document, page, edition string
		documented              bool
	}{
		{"Handbook", "2-61", "2022", true},
		{"", "2-61", "2022", false}, {"Handbook", "", "2022", false}, {"Handbook", "2-61", "", false}, {"", "", "", false},
	} {
		o := own()
		o.Figures[0].Document, o.Figures[0].Page, o.Figures[0].Edition = c.document, c.page, c.edition
		cat, err := shipped().With([]Own{o})
		if err != nil {
			t.Fatal(err)
		}
		f, _ := cat.Food(o.ID)
		src := f.Figures[0].Source
		if src.Documented() != c.documented || src.Citation() == "" {
			t.Errorf("%+v: documented %v, cited as %q", c, src.Documented(), src.Citation())
		}
	}
}

// Words given for a known food replace the catalog's; words left out stay.
func TestWithWords(t *testing.T) {
	c, err := shipped().With([]Own{{ID: "quinoa", Name: "Red quinoa"}, {ID: "oats-rolled", GrainUse: "cooked"}, {ID: "kale-fresh", Subgroup: "other"}})
	if err != nil {
		t.Fatal(err)
	}
	was, _ := shipped().Food("quinoa")
	if f, _ := c.Food("quinoa"); f.Name != "Red quinoa" || f.GrainKind != was.GrainKind || f.GrainUse != was.GrainUse || !f.CanCredit(Grains) {
		t.Errorf("quinoa %+v", f)
	}
	if f, _ := c.Food("oats-rolled"); f.GrainUse != Cooked || f.GrainKind != WholeGrain {
		t.Errorf("oats %+v", f)
	}
	if f, _ := c.Food("kale-fresh"); f.Subgroup != OtherVegetables || !f.Traits.Has(Leafy) {
		t.Errorf("kale %+v", f)
	}
	if f, _ := shipped().Food("kale-fresh"); f.Subgroup != DarkGreen {
		t.Error("the base catalog's kale changed")
	}
}

// A food of no component says so, and figures of it still load.
func TestWithoutComponents(t *testing.T) {
	c, err := shipped().With([]Own{{ID: "ridge-dust", Name: "Ridge dust", Figures: []OwnFigure{{Kind: "cup", Value: "120"}}}})
	if err != nil {
		t.Fatal(err)
	}
	f, _ := c.Food("ridge-dust")
	if f.NoCredit == "" || f.NoCreditReason() == f.NoCredit || len(f.Components) != 0 {
		t.Errorf("food %+v", f)
	}
}

// Foods that differ in any word have different canonical bytes, and none runs
// into its neighbor.
func TestOwnCanonical(t *testing.T) {
	base := own()
	seen := map[string]string{string(base.AppendCanonical(nil)): "the base"}
	note := func(what string, o Own) {
		b := string(o.AppendCanonical(nil))
		if with, ok := seen[b]; ok {
			t.Errorf("%s is the same bytes as %s", what, with)
		}
		seen[b] = what
	}
	for what, change := range map[string]func(*Own){
		"id": func(o *Own) { o.ID += "x" }, "name": func(o *Own) { o.Name += "x" }, "subgroup": func(o *Own) { o.Subgroup = "other" },
		"components": func(o *Own) { o.Components = append(o.Components, "fruits") }, "traits": func(o *Own) { o.Traits = []string{"leafy"} },
		"kind": func(o *Own) { o.GrainKind = "whole" }, "use": func(o *Own) { o.GrainUse = "baked" }, "group": func(o *Own) { o.ExhibitAGroup = "B" },
		"id and name moved": func(o *Own) { o.ID, o.Name = o.ID[:5], o.ID[5:]+o.Name },
		"state":             func(o *Own) { o.Figures[0].State += "x" }, "value": func(o *Own) { o.Figures[0].Value += "0" }, "unit": func(o *Own) { o.Figures[0].Unit = "oz" },
		"size": func(o *Own) { o.Figures[0].Size = "1/2 cup" }, "basis": func(o *Own) { o.Figures[0].Basis = "drained" },
		"document": func(o *Own) { o.Figures[0].Document = "" }, "page": func(o *Own) { o.Figures[0].Page = "" }, "edition": func(o *Own) { o.Figures[0].Edition = "" },
		"figure kind": func(o *Own) { o.Figures[0].Kind = "cup" }, "figure component": func(o *Own) { o.Figures[0].Component = "" },
		"one more figure": func(o *Own) { o.Figures = append(o.Figures, OwnFigure{}) }, "no figure": func(o *Own) { o.Figures = nil },
	} {
		o := own()
		change(&o)
		note(what, o)
	}
}
