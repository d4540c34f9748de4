package menu

import (
	"example.com/ozeq/pkg/exact"
)

// mends say in a kitchen's words what makes up for what is missing; the second
// part follows the amount.
var mends = map[string][2]string{
	"grains":               {"Plan another ", " oz eq of grains for each child, such as a larger roll, or take the item that has least off the choice."},
	"meats":                {"Plan another ", " oz eq of meats/meat alternates for each child, such as cheese or beans beside the entree, or take the item that has least off the choice."},
	"grains-or-meats":      {"Plan another ", " oz eq of grains or meats/meat alternates for each child, such as toast, yogurt or an egg."},
	"vegetables":           {"Plan another ", " cup of vegetables for each child: a larger scoop, or a second vegetable."},
	"fruits":               {"Plan another ", " cup of fruit for each child: a larger scoop, or a second piece."},
	"fruits-or-vegetables": {"Plan another ", " cup of fruit or vegetables for each child."},
	"milk":                 {"Offer another ", " cup of milk that credits."},
	"dark-green":           {"Put another ", " cup of dark green vegetables, such as broccoli, on a day where it is no choice against another subgroup that is short."},
	"red-orange":           {"Put another ", " cup of red/orange vegetables, such as carrots, on a day where it is no choice against another subgroup that is short."},
	"beans-peas-lentils":   {"Put another ", " cup of beans, peas or lentils on a day where it is no choice against another subgroup that is short."},
	"starchy":              {"Put another ", " cup of starchy vegetables, such as corn, on a day where it is no choice against another subgroup that is short."},
	"other":                {"Put another ", " cup of other vegetables, such as green beans, on a day where it is no choice against another subgroup that is short."},
	"additional":           {"Put another ", " cup of any vegetable on a day."},
}

func mend(of string, short exact.Number) string {
	m, ok := mends[of]
	if !ok {
		return ""
	}
	return m[0] + short.Fraction() + m[1]
}
