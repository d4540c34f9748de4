package kitchen

import (
	"strconv"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// Bounds of what one purchase may take in.
const (
	MaxBuyRecipes = 100
	MaxBuyFoods   = 200
	MaxBuyPacks   = 500
	MaxBuyGroups  = 50 // groups of eaters of one recipe, food or product
)

// BuyRequest asks how much to buy for recipes, foods and products together.
type BuyRequest struct {
	Recipes  []BuyRecipe
	Foods    []BuyFood
	Products []BuyProduct
	Packs    []BuyPack  // what is sold in packs of a size
	OnHand   []BuyStock // what need not be bought
	Own      []food.Own // the caller's figures, for Foods
}

// BuyRecipe is a recipe and how many portions of it are served.
type BuyRecipe struct {
	Request credit.Request // with a recipe; its sub-recipes and products are bought too
	// Portions are how many of each portion of the recipe, in its order; one
	// number for a recipe without portions.
	Portions []int
}

// BuyFood is a food served by itself, bought by the servings its purchase unit
// gives.
type BuyFood struct {
	Food      string
	State     string         // as served; may be left out when the food has figures for one
	Component food.Component // credited as; the food's first when not given
	Unit      string         // purchase unit, such as lb or can no. 10; the nearest figure's when not given
	Groups    []BuyGroup
	// PerHundred is units per 100 servings as the caller's table prints it, for
	// servings of the size of the figure; 0 to have it worked out.
	PerHundred exact.Number
}

// BuyGroup is so many portions of a size.
type BuyGroup struct {
	Name  string
	Count int
	Size  exact.Number // oz eq, or cups
}

// BuyProduct is something bought ready and counted out, or weighed out.
type BuyProduct struct {
	Name   string
	Each   measure.Quantity // of one serving; one piece when not given
	Groups []BuyGroup       // their sizes are not used
}

// BuyPack is how a food or product is sold.
type BuyPack struct {
	Of    string           // id of a food, or name of a product
	Name  string           // such as case or bag; "pack" when not given
	Holds measure.Quantity // such as 6 can no. 10, 30 lb or 12 each
}

// BuyStock is what is on hand, as purchased.
type BuyStock struct {
	Of       string // id of a food, or name of a product
	Quantity measure.Quantity
}

// Purchase is a shopping list.
type Purchase struct {
	Lines    []BuyLine // foods by name, then products
	Findings []BuyFinding
}

// BuyLine is one food or product to buy, everything that uses it pooled. All its
// amounts are as purchased and in one unit.
type BuyLine struct {
	Of   string     // id of the food, or name of the product
	Name string     // what a cook says
	Food *food.Food // nil for a product
	Uses []BuyUse
	Need measure.Quantity // exactly
	// OnHand is what need not be bought of it; zero when nothing is.
	OnHand measure.Quantity
	// Buy is what to buy: Need less OnHand, up to what is sold. Zero when there is
	// enough on hand.
	Buy  measure.Quantity
	Step exact.Number // what Buy is a multiple of, in Buy's base unit; 0 for a kitchen measure
	// Packs is how many packs Buy is; 0 when it is not sold in packs.
	Packs    int64
	Pack     *BuyPack // nil likewise
	LeftOver measure.Quantity
	// Methods are the two ways tables are used, where a food is bought by its
	// servings: dividing by servings per unit, and multiplying by units per 100
	// servings. Buy goes by the first; they may differ in the last step.
	Methods  []BuyMethod
	Estimate bool // a figure is not documented
}

// BuyUse is what one recipe line, food or product takes.
type BuyUse struct {
	Path    string // in the request
	Of      string // name of the recipe or group
	Amount  measure.Quantity
	Basis   string           // usable, as-served, as-purchased, or "portions"
	Bought  measure.Quantity // the same as purchased, exactly
	Figures []*food.Figure   // on the way from Amount to Bought, in order
	// AsMeasured is set when no figure says what is drained or cooked away: Bought
	// is then Amount in another unit, and may be too little.
	AsMeasured bool
}

// Ways a table of servings is used.
const (
	ServingsPerUnit = "servings-per-unit"
	UnitsPerHundred = "units-per-100"
)

// BuyMethod is what one way of using a table comes to.
type BuyMethod struct {
	Method string       // ServingsPerUnit or UnitsPerHundred
	Figure *food.Figure // of servings per unit
	Value  exact.Number // servings per unit, or units per 100 servings
	// WorkedOut is set when no table was given for Value: units per 100 are then
	// 100 divided by the servings per unit, up to the next tenth, as the handbook's
	// tables that were read have it.
	WorkedOut bool
	Units     exact.Number     // exactly, before what is on hand is taken off
	Buy       measure.Quantity // after it, up to what is sold; zero when there is enough
}

// BuyReason is the cause of a finding.
type BuyReason string

// The causes.
const (
	BuyMethodsDiffer BuyReason = "METHODS_DIFFER"   // the two methods buy different amounts
	BuyEstimate      BuyReason = "ESTIMATED"        // a figure is not documented
	BuyNotSold       BuyReason = "NO_PURCHASE_UNIT" // no figure leads to a purchase unit
	BuyAsMeasured    BuyReason = "AS_MEASURED"      // no figure says what is drained or cooked away
	BuySeveralUnits  BuyReason = "SEVERAL_UNITS"    // uses of a food that cannot be pooled
)

// BuyFinding is a thing to know or to check about a purchase.
type BuyFinding struct {
	Severity credit.Severity
	Reason   BuyReason
	Line     int // index
	Text     string
}

// check reports everything wrong with the request's own shape.
func (req *BuyRequest) check(faults *fault.List) {
	if len(req.Recipes)+len(req.Foods)+len(req.Products) == 0 {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "recipes", Want: "recipes, foods or products to buy for", Fix: "Say what is served and how many portions of it."})
	}
	for _, x := range []struct {
		path    string
		n, most int
	}{{"recipes", len(req.Recipes), MaxBuyRecipes}, {"foods", len(req.Foods), MaxBuyFoods}, {"products", len(req.Products), MaxBuyFoods}, {"packs", len(req.Packs), MaxBuyPacks}, {"onHand", len(req.OnHand), MaxBuyPacks}} {
		if x.n > x.most {
			faults.Add(fault.Fault{Reason: fault.TooMany, Path: x.path, Value: strconv.Itoa(x.n), Want: "at most " + strconv.Itoa(x.most), Fix: "Plan the rest in another request."})
		}
	}
	if len(faults.Faults) > 0 {
		return
	}
	for i := range req.Recipes {
		r, path := &req.Recipes[i], fault.Index("recipes", i)
		if r.Request.Recipe == nil {
			faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".recipe", Want: "a recipe", Fix: "Give the recipe, or put a bought product under products."})
			continue
		}
		sizes := max(len(r.Request.Recipe.Portions), 1)
		switch n := len(r.Portions); {
		case n == 0:
			faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".portions", Want: "how many portions are served", Fix: "Give a number for each size of the recipe."})
		case n > sizes:
			faults.Add(fault.Fault{Reason: fault.TooMany, Path: path + ".portions", Value: strconv.Itoa(n), Want: "a number for each of the recipe's " + strconv.Itoa(sizes) + " portions", Fix: "Add the size to the recipe, or leave the number out."})
		}
		total := 0
		for j, n := range r.Portions {
			checkCount(n, fault.Index(path+".portions", j), faults)
			total += min(max(n, 0), recipe.MaxServings)
		}
		if len(r.Portions) > 0 {
			checkTotal(total, path+".portions", faults)
		}
	}
	for i := range req.Foods {
		f, path := &req.Foods[i], fault.Index("foods", i)
		if f.Food == "" {
			faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".food", Want: "the id of a food", Fix: "Find it with `ozeq food search`."})
		}
		if f.PerHundred.Sign() < 0 {
			faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path + ".perHundred", Value: f.PerHundred.String(), Want: "units per 100 servings, above 0", Fix: "Copy it from your table, or leave it out."})
		}
		checkGroups(f.Groups, path, true, faults)
	}
	for i := range req.Products {
		p, path := &req.Products[i], fault.Index("products", i)
		recipe.CheckName(p.Name, path+".name", faults)
		if q := p.Each; !q.IsZero() && q.Amount().Sign() <= 0 {
			faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path + ".each", Value: q.Text(), Want: "an amount above 0, such as 1 each or 2 oz", Fix: "Leave it out for one piece a serving."})
		}
		checkGroups(p.Groups, path, false, faults)
	}
	of := map[string]bool{}
	for i := range req.Packs {
		p, path := &req.Packs[i], fault.Index("packs", i)
		checkOf(p.Of, path, faults)
		checkHolds(p.Holds, path+".holds", "what a pack holds, such as 6 can no. 10, 30 lb or 12 each", faults)
		if len(p.Name) > recipe.MaxName {
			faults.Add(fault.Fault{Reason: fault.TooLong, Path: path + ".name", Value: p.Name, Want: "at most 200 characters", Fix: "Shorten the name."})
		}
		if of[p.Of] && p.Of != "" {
			faults.Add(fault.Fault{Reason: fault.Conflicting, Path: path + ".of", Value: p.Of, Want: "one pack for each food or product", Fix: "Keep the one that is ordered."})
		}
		of[p.Of] = true
	}
	for i := range req.OnHand {
		s, path := &req.OnHand[i], fault.Index("onHand", i)
		checkOf(s.Of, path, faults)
		checkHolds(s.Quantity, path+".quantity", "what is on hand, such as 12 lb or 2 can no. 10", faults)
	}
}

func checkOf(of, path string, faults *fault.List) {
	if of == "" || len(of) > recipe.MaxName {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path + ".of", Value: of, Want: "the id of a food, or the name of a product", Fix: "Write it as it stands in the recipe or under foods or products."})
	}
}

func checkHolds(q measure.Quantity, path, want string, faults *fault.List) {
	switch {
	case q.IsZero():
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path, Want: want, Fix: "Read it on the package."})
	case q.Amount().Sign() <= 0:
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path, Value: q.Text(), Want: want, Fix: "Leave it out when there is none."})
	}
}

func checkCount(n int, path string, faults *fault.List) {
	if n < 0 || n > recipe.MaxServings {
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path, Value: strconv.Itoa(n), Want: "a whole number from 0 to 1000000", Fix: "Count the portions that are served."})
	}
}

func checkTotal(n int, path string, faults *fault.List) {
	if n == 0 {
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path, Value: "0", Want: "at least one portion in all", Fix: "Leave out what is not served."})
	}
}

func checkGroups(groups []BuyGroup, path string, sized bool, faults *fault.List) {
	path += ".groups"
	switch n := len(groups); {
	case n == 0:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path, Want: "how many portions are served", Fix: "Give a count for each group of eaters."})
		return
	case n > MaxBuyGroups:
		faults.Add(fault.Fault{Reason: fault.TooMany, Path: path, Value: strconv.Itoa(n), Want: "at most " + strconv.Itoa(MaxBuyGroups) + " groups", Fix: "Put groups with the same portion together."})
		return
	}
	total := 0
	for i := range groups {
		g := &groups[i]
		checkCount(g.Count, fault.Index(path, i)+".count", faults)
		total += min(max(g.Count, 0), recipe.MaxServings)
		if sized && g.Size.Sign() <= 0 {
			faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: fault.Index(path, i) + ".size", Value: g.Size.String(), Want: "the portion in oz eq or cups, such as 1 1/2", Fix: "Say what one portion is to credit."})
		}
	}
	checkTotal(total, path, faults)
}
