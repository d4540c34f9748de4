package kitchen

import (
	"strings"

	"example.com/ozeq/pkg/food"
)

// What a food brings a batch beside its weight is common practice here: no
// source was found that prints it.

// moist is the form a food has its water or its sweetness in.
type moist uint8

const (
	notKnown        moist = iota // the catalog does not say: oils, nut butters, bought products
	dried                        // dried fruit and vegetables, flakes to be soaked
	dryLegume                    // dry beans, peas and lentils, soaked and cooked first
	dryGoods                     // flours, grains, pasta, powders
	ownWater                     // fresh, frozen, canned: stand for each other
	flowing                      // juice, milk, water
	concentrated                 // to be thinned
	liquidSweet                  // honey, syrups, molasses
	granulatedSweet              // sugars
)

var moistWords = [...]string{"", "dried", "dry", "dry", "fresh, frozen or canned", "liquid", "concentrated", "a liquid sweetener", "a granulated sweetener"}

// String says how such a food comes.
func (m moist) String() string { return moistWords[m] }

// thirsty reports whether such a food takes up water.
func (m moist) thirsty() bool {
	return m == dried || m == dryLegume || m == dryGoods || m == concentrated
}

// moistOf returns the form of a food, nil for what is no food of the catalog.
func moistOf(f *food.Food) moist {
	switch {
	case f == nil:
		return notKnown
	case f.SugarRole == "liquid-sweetener":
		return liquidSweet
	case f.SugarRole == "dry-sweetener":
		return granulatedSweet
	case f.Traits.Has(food.MilkFluid), f.Form == "juice", f.ID == "water":
		return flowing
	case f.Form == "concentrate", f.Traits.Has(food.TomatoConcentrate):
		return concentrated
	case f.Traits.Has(food.DriedFruit), f.Form == "dried", f.Form == "dehydrated":
		return dried
	case f.Form == "dry" && f.Traits.Has(food.Legume):
		return dryLegume
	case f.Form == "dry":
		return dryGoods
	case f.Form == "fresh", f.Form == "frozen", f.Form == "canned", f.Form == "refrigerated":
		return ownWater
	}
	return notKnown
}

// pack says what canned food stands in, by its name on the shelf: "juice",
// "syrup", or "" when it is not canned or the name does not say.
func pack(f *food.Food) string {
	switch {
	case f == nil || f.Form != "canned":
		return ""
	case strings.Contains(f.Name, "juice pack"):
		return "juice"
	case strings.Contains(f.Name, "syrup"):
		return "syrup or water"
	}
	return ""
}

// moistureOf says how a swap changes the water or the sweetener of a batch, or
// nothing.
func (d *SwapDone) moistureOf() (text, do string, reason SwapReason) {
	was, is := moistOf(d.foodWas), moistOf(d.foodIs)
	if d.foodWas == d.foodIs {
		return "", "", ""
	}
	both := func(a, b moist) bool { return was == a && is == b }
	sweet := func(m moist) bool { return m == liquidSweet || m == granulatedSweet }
	switch {
	case was == is:
		if a, b := pack(d.foodWas), pack(d.foodIs); a != b && d.foodIs.Form == "canned" && b != "" {
			if b == "juice" {
				return d.Name + " is packed in juice.", "Its juice may be used with it; where the old food was drained, drain it.", PackChanged
			}
			return d.Name + " is packed in syrup or water, which does not credit.", "Drain it, and count what is drained.", PackChanged
		}
		return "", "", ""
	case both(liquidSweet, granulatedSweet), both(granulatedSweet, liquidSweet):
		if is == liquidSweet {
			return d.Name + " is a liquid sweetener, " + d.NameBefore + " a granulated one: the batch gets wetter and creams less.", "Use a granulated sweetener for a granulated one, or take back liquid and bake a test batch.", SweetenerForm
		}
		return d.Name + " is a granulated sweetener, " + d.NameBefore + " a liquid one: the batch gets drier.", "Use a liquid sweetener for a liquid one, or add liquid and bake a test batch.", SweetenerForm
	case sweet(was) || sweet(is):
		return d.NameBefore + " and " + d.Name + " do not sweeten alike.", "Make a test batch.", SweetenerForm
	case both(dryLegume, ownWater):
		return "Dry beans, peas or lentils (" + d.NameBefore + "), which are soaked and cooked first, give way to moist ones (" + d.Name + ").", "Leave out the soaking and its water; drain what is canned unless the recipe uses its liquid.", CookFirst
	case both(ownWater, dryLegume):
		return "Dry beans, peas or lentils (" + d.Name + ") come in.", "Soak and cook them before they go in, and drain them.", CookFirst
	case was == notKnown || is == notKnown:
		return "The catalog does not say how much water or fat " + d.NameBefore + " or " + d.Name + " brings, so what this does to the batch is not known.", "Make a test batch, and adjust the liquid.", FormNotKnown
	case was.thirsty() && (is == ownWater || is == flowing):
		return "A food that comes " + was.String() + " (" + d.NameBefore + ") gives way to one that comes " + is.String() + " (" + d.Name + ") and brings its own water: the batch gets wetter.", "Use like for like, such as dried for dried, or take back liquid and make a test batch.", MoistureForm
	case is.thirsty() && (was == ownWater || was == flowing):
		return "A food that comes " + was.String() + " (" + d.NameBefore + ") gives way to one that comes " + is.String() + " (" + d.Name + ") and takes up water: the batch gets drier.", "Soak or thin it first, or add liquid, and make a test batch.", MoistureForm
	default:
		return "A food that comes " + was.String() + " (" + d.NameBefore + ") gives way to one that comes " + is.String() + " (" + d.Name + "): the water in the batch changes.", "Adjust the liquid and make a test batch.", MoistureForm
	}
}
