package kitchen_test

import (
	"errors"
	"fmt"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// exampleKitchen opens a kitchen over the library's rules and catalog.
func exampleKitchen() *kitchen.Kitchen {
	rs, err := rules.Default()
	if err != nil {
		panic(err)
	}
	cat, err := food.Default()
	if err != nil {
		panic(err)
	}
	return kitchen.New(credit.New(rs, cat))
}

func exampleLine(id, amount string) recipe.Ingredient {
	q, err := measure.Parse(amount)
	if err != nil {
		panic(err)
	}
	return recipe.Ingredient{Food: id, Quantity: q}
}

// biscuit is a recipe of the invented Copper Creek district.
func biscuit() credit.Request {
	return credit.Request{On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-breakfast",
		Recipe: &recipe.Recipe{Name: "Creek biscuit", Servings: 50, ExhibitAGroup: "B", Portions: []recipe.Portion{{Name: "1 biscuit", Scoop: 16}},
			Ingredients: []recipe.Ingredient{exampleLine("whole-wheat-flour", "800 g"), exampleLine("eggs-large", "6 each"), exampleLine("salt", "2 tsp")}}}
}

// A batch for 50 brought to 33: what to take, and the step that the nearest
// measure of the flour loses.
func ExampleKitchen_Scale() {
	s, err := exampleKitchen().Scale(kitchen.ScaleRequest{Request: biscuit(), Target: kitchen.ScaleTarget{Servings: 33}, Round: kitchen.Down})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, in := range s.Ingredients {
		fmt.Println(in.Kitchen, "of", in.Name, "for", in.Exact)
	}
	exactly, _ := s.ExactRecord.Credit(food.Grains)
	measured, _ := s.Record.Credit(food.Grains)
	fmt.Println("grains", exactly.Credited, "exactly,", measured.Credited, "as measured")
	for _, l := range s.Lost {
		for _, m := range l.Mend {
			fmt.Println("take", m.Kitchen, "of", s.Ingredients[m.Ingredient].Name)
		}
	}
	// Output:
	// 525 g of whole-wheat-flour for 528 g
	// 3 each of eggs-large for 3 24/25 each
	// 1 1/4 tsp of salt for 11/400 cup
	// grains 1 exactly, 3/4 as measured
	// take 530 g of whole-wheat-flour
}

// Everything wrong comes back at once.
func ExampleKitchen_Scale_refused() {
	_, err := exampleKitchen().Scale(kitchen.ScaleRequest{Request: biscuit(), Target: kitchen.ScaleTarget{Servings: -4, Scoop: 9}})
	var faults *fault.List
	if errors.As(err, &faults) {
		for _, f := range faults.Faults {
			fmt.Println(f.Path, f.Reason)
		}
	}
	// Output:
	// target.servings OUT_OF_RANGE
	// target.scoop UNKNOWN_VALUE
}

// How far a scoop may be from level before a biscuit credits less.
func ExampleKitchen_MayFallShort() {
	req := biscuit()
	req.Recipe.Ingredients[0] = exampleLine("whole-wheat-flour", "900 g") // 18 g each; 16 g make 1 oz eq
	s, err := exampleKitchen().MayFallShort(req)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Scoop, "of a scoop, for", s.Decides.Component)
	// Output: 1/9 of a scoop, for grains
}

// Ground beef for three grade groups, pooled with what a dish takes of it.
func ExampleKitchen_Buy() {
	chili := credit.Request{On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-lunch",
		Recipe: &recipe.Recipe{Name: "Creek chili", Servings: 50, Ingredients: []recipe.Ingredient{exampleLine("ground-beef-20", "6 lb")}}}
	two := exact.Int(2)
	p, err := exampleKitchen().Buy(kitchen.BuyRequest{
		Recipes: []kitchen.BuyRecipe{{Request: chili, Portions: []int{120}}},
		Foods: []kitchen.BuyFood{{Food: "ground-beef-20", Unit: "lb",
			Groups: []kitchen.BuyGroup{{Name: "K-5", Count: 153, Size: two}, {Name: "6-8", Count: 157, Size: two}, {Name: "9-12", Count: 90, Size: two}}}},
		Products: []kitchen.BuyProduct{{Name: "Rolls", Groups: []kitchen.BuyGroup{{Count: 97}}}},
		Packs:    []kitchen.BuyPack{{Of: "Rolls", Name: "bag", Holds: measure.New(exact.Int(1), measure.Dozen)}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	beef, rolls := p.Lines[0], p.Lines[1]
	for _, u := range beef.Uses {
		n, _ := u.Bought.In(measure.Pound)
		fmt.Println(u.Path, n.DecimalText(2), "lb")
	}
	fmt.Println("buy", beef.Buy, "and", rolls.Packs, "bags of rolls,", rolls.LeftOver, "left over")
	// Output:
	// recipes[0].recipe.ingredients[0] 14.40 lb
	// foods[0] 67.79 lb
	// buy 82 lb 4 oz and 9 bags of rolls, 11 each left over
}

// A poster prints another size for some scoops than a quart divided by the
// number.
func ExampleScoopByNumber() {
	s, ok := kitchen.ScoopByNumber(20)
	tbsp, _ := s.Exact.In(measure.Tablespoon)
	fmt.Println(tbsp, "Tbsp, printed", s.Printed, ok)
	fmt.Println(s.Source.Citation())
	// Output:
	// 3 1/5 Tbsp, printed 3 1/3 Tbsp true
	// Basics at a Glance poster, undated, Institute of Child Nutrition
}

func ExampleScoops() {
	for _, s := range kitchen.Scoops()[:3] {
		fmt.Println(s.Number, s.Printed)
	}
	// Output:
	// 6 2/3 cup
	// 8 1/2 cup
	// 10 3/8 cup
}

func ExampleLadles() {
	for _, l := range kitchen.Ladles()[:2] {
		fmt.Println(l.FluidOunces, "fl oz", l.Holds)
	}
	// Output:
	// 1 fl oz 1/8 cup
	// 2 fl oz 1/4 cup
}

func ExamplePans() {
	p := kitchen.Pans()[0]
	fmt.Println(p.Name, p.Usable, "of", p.Brim)
	// Output: full 12x20, 2 1/2 in 240 fl oz of 7.875 qt
}

func ExampleCans() {
	c := kitchen.Cans()[0]
	fmt.Println(c.Name, c.Net, "or", c.Cups, "cups")
	// Output: no. 10 6 lb to 7 lb 5 oz or 12 to 13 cups
}

func ExampleCutPan() {
	c, err := kitchen.CutPan(exact.Int(26), exact.Int(18), 10, 6)
	fmt.Println(c.Pieces, "pieces,", c.Length, "by", c.Width, "in", err)
	// Output: 60 pieces, 2 3/5 by 3 in <nil>
}

// Ten pounds of batter lose a tenth in the oven.
func ExampleWeightOfPortion() {
	q, err := kitchen.WeightOfPortion(measure.New(exact.Int(10), measure.Pound), exact.Frac(1, 10), measure.Quantity{}, 50)
	fmt.Println(q, err)
	// Output: 2 22/25 oz <nil>
}

func ExampleScoopsFor() {
	s, _ := kitchen.ScoopByNumber(16)
	n, ok := kitchen.ScoopsFor(measure.New(exact.Frac(3, 4), measure.Cup), s)
	fmt.Println(n, ok)
	// Output: 3 true
}

// A batch for 100 brought to 348 takes 4.35 lb where it took 1.25 lb.
func ExampleInMeasures() {
	butter := measure.New(exact.Frac(5, 4), measure.Pound).Times(exact.Frac(348, 100))
	for _, d := range []kitchen.Direction{kitchen.Down, kitchen.Nearest, kitchen.Up} {
		m, err := kitchen.InMeasures(butter, d)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(d, m.Kitchen, "is", m.Change.Mul(exact.Int(100)).DecimalText(2), "percent more")
	}
	// Output:
	// down 4 lb 5 1/2 oz is -0.14 percent more
	// nearest 4 lb 5 1/2 oz is -0.14 percent more
	// up 4 lb 5 3/4 oz is 0.21 percent more
}

func ExampleParseDirection() {
	d, ok := kitchen.ParseDirection("nearest")
	fmt.Println(d == kitchen.Nearest, ok)
	// Output: true true
}
