package menu

import (
	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// Menu is one meal of one program for one age/grade group, over a week at most.
type Menu struct {
	Program  string
	Meal     string // may be left out where the program has one
	AgeGroup string
	Age      int // 1 or 2, in the group of ages 1-2 where all children are of one age
	Site     string
	Options  map[string]string // points the patterns leave open; left out: defaults
	Lines    []Line

	// What recipes and products of the menu are credited with.
	Crediting  map[string]string // options of the crediting rules
	SubRecipes []recipe.Recipe
	Products   []credit.Product
	Foods      []food.Own // own foods and figures over the catalog
}

// Line is a serving line. Each must pass alone.
type Line struct {
	Name string
	Days []Day // of one week
}

// Day is what a line offers on a date of service.
type Day struct {
	On      rules.Date
	Meals   int // planned; 0 when not said
	Choices []Choice
}

// Choice is what a child may take from. Something every child gets, a plated meal
// included, is a choice of one item, take 1.
type Choice struct {
	Name     string
	Take     int  // items a child may take
	Same     Same // needed where more than one may be taken
	MainDish bool
	Items    []Item
}

// Same says whether a child may take the same item twice.
type Same uint8

// The answers.
const (
	NotSaid Same = iota
	Allowed
	NotAllowed
)

// Item is one thing to take, in the portion planned for the group. Its credits
// have one source: a recipe, a bought product, or credits given with their paper.
// An item with none of them is taken to credit nothing, and what would then fall
// short is not checked.
type Item struct {
	Name    string
	Recipe  *recipe.Recipe
	Product *credit.Product
	Credits []credit.Claim // vegetables by subgroup; without one they count toward the total alone
	Paper   string         // behind given credits; without one they wait for it

	Kind           string // what a child would call the same food; left out: the name
	Juice          bool   // its fruits and vegetables are juice
	Dessert        bool   // grain-based dessert
	WholeGrainRich bool
	BeansAsMeats   exact.Number  // cups of beans, peas, lentils served as meat alternate
	Nuts           *exact.Number // oz eq of its meats/meat alternates that are nuts or seeds, butters not; nil when not said
	ColdCereal     bool
	YogurtForMilk  exact.Number // oz of yogurt served in place of milk, where the group may have it so
	Milk           *Milk
	Nondairy       *Nondairy // drink in place of milk
	Sugars         []Sugars
	Infant         []InfantFood // in the groups of infants, in place of credits
	Planned        int          // servings; 0 when not said
	Nutrients      *Nutrients
	CountAs        int // items in offer versus serve, where the planner has decided; 0: by its credits
}

// Milk is fluid milk.
type Milk struct {
	Fat      string // fat-free, low-fat, reduced-fat, whole, buttermilk
	Flavored bool
	Flavor   string // where flavored milks differ in it
}

// Nondairy is a drink in place of milk.
type Nondairy struct {
	Requested bool                    // only for children for whom it was asked for
	Nutrients map[string]exact.Number // in 8 fl oz, as the patterns name them and in their units: calcium, protein, ...
}

// Nutrients are those of one serving.
type Nutrients struct {
	Calories         exact.Number  // kcal
	Sodium           exact.Number  // mg
	SaturatedFat     exact.Number  // g, milk's included
	MilkSaturatedFat exact.Number  // g of it from fluid milk; of an item that is milk, all
	AddedSugars      exact.Number  // g
	TransFat         *exact.Number // g on the labels of its products, natural in meat and dairy left out; nil when not said

	// Which of calories, sodium, saturatedFat and addedSugars are not known, by these
	// names. Averages that need them are not checked.
	Unsaid []string
}

// Sugars is what the label of a product in an item says.
type Sugars struct {
	Product string       // cereal, yogurt, flavored-milk
	Serving exact.Number // label serving
	Unit    string       // oz, g, fl oz
	Total   *exact.Number
	Added   *exact.Number // g in the serving; nil when the label does not say
}

// InfantFood is a food of the infant pattern in an item.
type InfantFood struct {
	Food   string       // breast-milk, formula, or a food of the pattern: infant-cereal, yogurt, ...
	Amount exact.Number // in the unit the pattern counts it in: fl oz, tbsp, oz or oz eq
}
