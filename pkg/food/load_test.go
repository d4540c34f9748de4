package food

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"example.com/ozeq/pkg/exact"
)

// shipped is the catalog that comes with the library, loaded once.
var shipped = sync.OnceValue(func() *Catalog {
	c, err := Default()
	if err != nil {
		panic(err)
	}
	return c
})

// Small tables every case below changes one thing of.
const (
	sourceRows = `id,document,section,edition,publisher,url,mark,tier
BOOK,Handbook,Section 2,2022,an agency,,read,1
`
	foodRows = `id,name,also,form,components,subgroup,traits,grain_kind,grain_use,exhibit_group,allergens,gluten,sugar_role,no_credit
blue-corn-meal,blue corn meal,blue meal,dry,grains,,,whole,baked,,,none-listed,,
ridge-kale-fresh,"ridge kale, fresh",,fresh,vegetables,dark-green,leafy,,,,,none-listed,,
salt-plain,salt,,shelf,,,,,,,,none-listed,,pantry
`
	figureRows = `id,food,state,component,kind,unit,value,size,basis,tier,mark,confidence,source,note
F-1,ridge-kale-fresh,raw,vegetables,servings,lb,21.0,1/4 cup,as-purchased,1,read,high,BOOK,
F-2,ridge-kale-fresh,raw,,cup,cup,21,,as-purchased,1,read,high,BOOK,
`
)

func tables(foods, figures, sources string) fstest.MapFS {
	return fstest.MapFS{"foods.csv": {Data: []byte(foods)}, "figures.csv": {Data: []byte(figures)}, "sources.csv": {Data: []byte(sources)}}
}

func TestLoadSmall(t *testing.T) {
	c, err := Load(tables(foodRows, figureRows, sourceRows))
	if err != nil {
		t.Fatal(err)
	}
	f, ok := c.Food("ridge-kale-fresh")
	if !ok || len(c.Foods()) != 3 || len(f.Figures) != 2 {
		t.Fatalf("loaded %d foods, kale with %d figures", len(c.Foods()), len(f.Figures))
	}
	g := f.Figures[0]
	if g.Text != "21.0" || !g.Rate.Equal(exact.MustParse("5.25")) || g.Source.Citation() != "Handbook, Section 2, 2022, an agency" || !g.Source.Documented() {
		t.Errorf("figure %+v from %s", g, g.Source.Citation())
	}
	if f.Subgroup != DarkGreen || !f.Traits.Has(Leafy) || !f.CanCredit(Vegetables) || f.CanCredit(Grains) {
		t.Errorf("food %+v", f)
	}
}

// The loader refuses every table a mistake got into, and names the row.
func TestLoadRefuses(t *testing.T) {
	kale := `ridge-kale-fresh,"ridge kale, fresh",,fresh,vegetables,dark-green,leafy,,,,,none-listed,,`
	src := `BOOK,Handbook,Section 2,2022,an agency,,read,1`
	for _, c := range []struct {
		name, table, old, new, want string
	}{
		{"unknown column", "foods.csv", "sugar_role,no_credit", "sugar_role,no_credit,color", "wrong number of fields"},
		{"renamed column", "foods.csv", "id,name,also", "id,title,also", "foods.csv: the header row must be id,name"},
		{"columns changed about", "figures.csv", "value,size", "size,value", "figures.csv: the header row"},
		{"row too short", "foods.csv", "none-listed,,pantry", "none-listed", "wrong number of fields"},
		{"open quote", "foods.csv", "blue meal,", `"blue meal,`, "foods.csv"},

		{"food twice", "foods.csv", kale, kale + "\n" + kale, `foods.csv line 4: food "ridge-kale-fresh" stands twice`},
		{"id with capitals", "foods.csv", "salt-plain,", "Salt,", `the id is "Salt"`},
		{"id with a space", "foods.csv", "salt-plain,", "salt plain,", `the id is "salt plain"`},
		{"no id", "foods.csv", "salt-plain,", ",", `the id is ""`},
		{"no name", "foods.csv", "salt-plain,salt,", "salt-plain,,", "and a name, are required"},
		{"unknown form", "foods.csv", "salt,,shelf", "salt,,boxed", `form "boxed" is not known`},
		{"unknown component", "foods.csv", ",vegetables,dark-green", ",vegetable,dark-green", `component "vegetable" is not known`},
		{"unknown subgroup", "foods.csv", "dark-green", "green", `subgroup "green" is not known`},
		{"vegetable without subgroup", "foods.csv", "dark-green", "", "a vegetable needs its subgroup"},
		{"unknown trait", "foods.csv", "leafy", "leafy;crunchy", `trait "crunchy" is not known`},
		{"unknown grain kind", "foods.csv", "whole,baked", "full,baked", `grain kind "full" is not known`},
		{"unknown grain use", "foods.csv", "whole,baked", "whole,fried", `grain use "fried" is not known`},
		{"grain without kind", "foods.csv", "whole,baked", ",baked", "a grain needs its kind and its use"},
		{"grain without use", "foods.csv", "whole,baked", "whole,", "a grain needs its kind and its use"},
		{"bought grain without group", "foods.csv", "whole,baked", "whole,product", "a bought grain product needs its Exhibit A group"},
		{"unknown group", "foods.csv", "whole,baked,,", "whole,baked,K,", `Exhibit A group "K"`},
		{"unknown allergen", "foods.csv", "whole,baked,,,", "whole,baked,,gluten,", `allergen "gluten" is not known`},
		{"unknown gluten word", "foods.csv", "dark-green,leafy,,,,,none-listed", "dark-green,leafy,,,,,free", `gluten "free" is not known`},
		{"no credit without reason", "foods.csv", "none-listed,,pantry", "none-listed,,", "must say why it does not credit"},
		{"unknown reason", "foods.csv", "pantry", "because", `no_credit "because" is not known`},

		{"figure twice", "figures.csv", "F-2,", "F-1,", `figure "F-1" stands twice`},
		{"figure without an id", "figures.csv", "F-2,", ",", `a figure needs an id`},
		{"figure of no food", "figures.csv", "F-1,ridge-kale-fresh", "F-1,ridge-chard", `food "ridge-chard" is not in foods.csv`},
		{"figure without source", "figures.csv", "high,BOOK,\nF-2", "high,,\nF-2", `source "" is not in sources.csv`},
		{"figure of unknown source", "figures.csv", "high,BOOK,\nF-2", "high,PAPER,\nF-2", `source "PAPER" is not in sources.csv`},
		{"unknown mark", "figures.csv", "1,read,high,BOOK,\nF-2", "1,seen,high,BOOK,\nF-2", `mark "seen" is not known`},
		{"unknown tier", "figures.csv", "as-purchased,1,read,high,BOOK,\nF-2", "as-purchased,4,read,high,BOOK,\nF-2", `tier "4", want 1, 2 or 3`},
		{"unknown kind", "figures.csv", "servings,lb", "portions,lb", `kind "portions"`},
		{"value is no number", "figures.csv", ",21.0,", ",about 21,", `value "about 21", want a plain number`},
		{"value is a float", "figures.csv", ",21.0,", ",2.1e1,", `value "2.1e1"`},
		{"value is negative", "figures.csv", ",21.0,", ",-21,", `value "-21"`},
		{"value is nothing", "figures.csv", ",21.0,", ",0,", `value "0"`},
		{"value is missing", "figures.csv", ",21.0,", ",,", `value ""`},
		{"value of a million digits", "figures.csv", ",21.0,", "," + strings.Repeat("9", 1_000_000) + ",", "want a plain number"},
		{"unknown unit", "figures.csv", "servings,lb", "servings,firkin", `unit "firkin" is not known`},
		{"servings per nothing", "figures.csv", "servings,lb", "servings,", "servings are per a unit; none is given"},
		{"servings of no component", "figures.csv", "raw,vegetables,servings", "raw,,servings", `component "", want grains`},
		{"size in another component's unit", "figures.csv", "1/4 cup", "1 oz eq", `serving size "1 oz eq", want an amount in cup`},
		{"size without unit", "figures.csv", "1/4 cup", "1/4", `serving size "1/4"`},
		{"size of nothing", "figures.csv", "1/4 cup", "0 cup", `serving size "0 cup"`},
		{"no size", "figures.csv", "1/4 cup", "", `serving size ""`},
		{"unknown basis", "figures.csv", "1/4 cup,as-purchased", "1/4 cup,as-is", `basis "as-is"`},
		{"bad state", "figures.csv", "ridge-kale-fresh,raw,vegetables", "ridge-kale-fresh,Raw kale,vegetables", `state "Raw kale"`},
		{"share above all", "figures.csv", ",cup,cup,21,", ",usable,lb,1.01,", "a share of 1.01 is above 1"},
		{"cup weight per pound", "figures.csv", ",cup,cup,21,", ",cup,lb,21,", `a cup weight is grams per cup; the unit is "lb"`},
		{"net weight of a pound", "figures.csv", ",cup,cup,21,", ",net,lb,21,", `a net weight is per container; the unit is "lb"`},
		{"net weight of nothing", "figures.csv", ",cup,cup,21,", ",net,,21,", `a net weight is per container; the unit is ""`},
		{"piece per pound", "figures.csv", ",cup,cup,21,", ",each,lb,21,", `the weight of a piece is grams each; the unit is "lb"`},
		{"protein of meat", "figures.csv", ",cup,cup,21,", ",protein,,17.9,", "an alternate protein product has 18 to 100"},
		{"protein above all", "figures.csv", ",cup,cup,21,", ",protein,,100.1,", "an alternate protein product has 18 to 100"},

		{"source twice", "sources.csv", src, src + "\n" + src, `source "BOOK" stands twice`},
		{"source without title", "sources.csv", "BOOK,Handbook", "BOOK,", "id and document are required"},
		{"source of unknown mark", "sources.csv", ",,read,1", ",,heard,1", `mark "heard" is not known`},
		{"source of unknown tier", "sources.csv", ",,read,1", ",,read,0", `tier "0"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			fsys := tables(foodRows, figureRows, sourceRows)
			before := string(fsys[c.table].Data)
			after := strings.Replace(before, c.old, c.new, 1)
			if before == after {
				t.Fatalf("%q does not stand in %s", c.old, c.table)
			}
			fsys[c.table].Data = []byte(after)
			cat, err := Load(fsys)
			if err == nil || cat != nil {
				t.Fatalf("loaded: %v, %v", cat != nil, err)
			}
			if !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %.300v\nwant it to say %q", err, c.want)
			}
		})
	}
}

// All mistakes come at once, up to a bound, and a missing table is one.
func TestLoadReportsAll(t *testing.T) {
	figures := figureRows + "F-3,nobody,,,cup,cup,0,,,9,seen,high,PAPER,\n" + "F-4,ridge-kale-fresh,raw,,cup,cup,-1,,,1,seen,high,PAPER,\n"
	_, err := Load(tables(foodRows, figures, sourceRows))
	for _, want := range []string{`line 4: food "nobody"`, `line 5: value "-1"`, `line 5: source "PAPER"`, `line 5: mark "seen"`} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v does not say %q", err, want)
		}
	}
	var many strings.Builder
	many.WriteString(figureRows)
	for i := range 10_000 {
		fmt.Fprintf(&many, "G-%d,nobody,,,cup,cup,0,,,9,seen,high,PAPER,\n", i)
	}
	if _, err := Load(tables(foodRows, many.String(), sourceRows)); err == nil || len(err.Error()) > 10_000 {
		t.Errorf("ten thousand mistakes give an error of %d bytes", len(fmt.Sprint(err)))
	}
	for _, name := range []string{"foods.csv", "figures.csv", "sources.csv"} {
		fsys := tables(foodRows, figureRows, sourceRows)
		delete(fsys, name)
		if _, err := Load(fsys); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("without %s: %v", name, err)
		}
	}
	big := tables(foodRows, figureRows, sourceRows)
	big["foods.csv"].Data = make([]byte, MaxTable+1)
	if _, err := Load(big); err == nil || !strings.Contains(err.Error(), "at most") {
		t.Errorf("a table past the bound: %v", err)
	}
}

// The digest changes with any byte of the tables, and only then.
func TestDigest(t *testing.T) {
	one, err := Load(tables(foodRows, figureRows, sourceRows))
	if err != nil {
		t.Fatal(err)
	}
	two, err := Load(tables(foodRows, figureRows, sourceRows))
	if err != nil {
		t.Fatal(err)
	}
	other, err := Load(tables(foodRows, strings.Replace(figureRows, "21.0", "21.1", 1), sourceRows))
	if err != nil {
		t.Fatal(err)
	}
	if one.Digest() != two.Digest() || one.Digest() == other.Digest() || !strings.HasPrefix(one.Digest(), "sha256:") {
		t.Errorf("digests %s, %s and %s", one.Digest(), two.Digest(), other.Digest())
	}
}

// Rows printed for several serving sizes: the smallest is the finer figure.
func TestLargerServingsAreMarked(t *testing.T) {
	figures := figureRows + "F-3,ridge-kale-fresh,raw,vegetables,servings,lb,10.5,1/2 cup,as-purchased,1,read,high,BOOK,\n" +
		"F-4,ridge-kale-fresh,cooked,vegetables,servings,lb,5.5,1/2 cup,as-purchased,1,read,high,BOOK,\n"
	c, err := Load(tables(foodRows, figures, sourceRows))
	if err != nil {
		t.Fatal(err)
	}
	f, _ := c.Food("ridge-kale-fresh")
	got := make(map[string]bool)
	for _, g := range f.Figures {
		if g.Kind == Servings {
			got[g.ID] = g.Larger
		}
	}
	if want := map[string]bool{"F-1": false, "F-3": true, "F-4": false}; !maps.Equal(got, want) {
		t.Errorf("larger: %v, want %v", got, want)
	}
}

// Of several figures the best source is taken, then the one that never credits
// more.
func TestFigureChosen(t *testing.T) {
	figures := figureRows +
		"F-3,ridge-kale-fresh,raw-chopped,,cup,cup,30,,as-purchased,1,read,high,BOOK,\n" +
		"F-4,ridge-kale-fresh,cooked,,cup,cup,10,,as-purchased,1,read,high,BOOK,\n" +
		"F-5,ridge-kale-fresh,raw,,cup,cup,5,,as-purchased,3,read,high,BOOK,\n" +
		"F-6,ridge-kale-fresh,ready-to-use,,usable,lb,0.6,,as-purchased,1,read,high,BOOK,\n" +
		"F-7,ridge-kale-fresh,ready-to-use-chopped,,usable,lb,0.7,,as-purchased,1,read,high,BOOK,\n" +
		"F-8,ridge-kale-fresh,ready-to-use,,usable,lb,0.9,,as-purchased,2,read,high,BOOK,\n"
	c, err := Load(tables(foodRows, figures, sourceRows))
	if err != nil {
		t.Fatal(err)
	}
	f, _ := c.Food("ridge-kale-fresh")
	for what, g := range map[string]*Figure{
		"F-2": f.CupWeight("", true), "F-4": f.CupWeight("cooked", false), "F-3": f.HeaviestCup("raw"), "F-7": f.UsableShare(""),
	} {
		if g == nil || g.ID != what {
			t.Errorf("want %s, got %+v", what, g)
		}
	}
	if g := f.CookedShareFigure(); g != nil {
		t.Errorf("a cooked share from nowhere: %+v", g)
	}
	if g := f.CupWeight("baked", false); g != nil {
		t.Errorf("a cup of it baked: %+v", g)
	}
}

// Ids of words read back as what they were written from.
func TestWords(t *testing.T) {
	for c := Grains; c <= Milk; c++ {
		if got, ok := ParseComponent(c.String()); !ok || got != c || c.Title() == "" || c.Unit() == "" {
			t.Errorf("component %d: %q reads back as %d, %v", c, c, got, ok)
		}
	}
	for s := DarkGreen; s < Additional; s++ {
		if got, ok := ParseSubgroup(s.String()); !ok || got != s || s.Title() == "" {
			t.Errorf("subgroup %d: %q reads back as %d, %v", s, s, got, ok)
		}
	}
	for k := WholeGrain; k <= MixedGrain; k++ {
		if got, ok := ParseGrainKind(k.String()); !ok || got != k {
			t.Errorf("grain kind %d: %q reads back as %d, %v", k, k, got, ok)
		}
	}
	for u := Baked; u <= Prepared; u++ {
		if got, ok := ParseGrainUse(u.String()); !ok || got != u {
			t.Errorf("grain use %d: %q reads back as %d, %v", u, u, got, ok)
		}
	}
	for k := Servings; int(k) < len(kindIDs); k++ {
		if got, ok := ParseKind(k.String()); !ok || got != k {
			t.Errorf("kind %d: %q reads back as %d, %v", k, k, got, ok)
		}
	}
	for _, id := range traitIDs {
		if got, ok := ParseTrait(id); !ok || got.String() != id {
			t.Errorf("trait %q reads back as %q, %v", id, got, ok)
		}
	}
	if got, ok := ParseSubgroup("mixed"); !ok || got != Additional {
		t.Errorf("mixed is %v, %v", got, ok)
	}
	for _, bad := range []string{"", "Grains", "grain", "additional"} {
		if _, ok := ParseComponent(bad); ok {
			t.Errorf("component %q is known", bad)
		}
		if _, ok := ParseSubgroup(bad); ok {
			t.Errorf("subgroup %q is known", bad)
		}
		if _, ok := ParseKind(bad); ok {
			t.Errorf("kind %q is known", bad)
		}
	}
	for _, why := range slices.Sorted(maps.Keys(noCreditWords)) {
		if (&Food{NoCredit: why}).NoCreditReason() == why {
			t.Errorf("%s has no words", why)
		}
	}
}
