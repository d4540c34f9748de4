package credit

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"sort"
	"sync"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// Engine credits recipes and products. It is immutable and safe for concurrent
// use.
type Engine struct {
	rules   *rules.Rules
	catalog *food.Catalog
	scratch sync.Pool // of *work
}

// New returns an engine over rules and a catalog.
func New(r *rules.Rules, c *food.Catalog) *Engine { return &Engine{rules: r, catalog: c} }

// Rules returns the rules the engine resolves from.
func (e *Engine) Rules() *rules.Rules { return e.rules }

// Catalog returns the catalog the engine looks foods up in.
func (e *Engine) Catalog() *food.Catalog { return e.catalog }

// Request asks what one portion credits. Give either Recipe or Product.
type Request struct {
	Recipe  *recipe.Recipe
	Product *Product
	On      rules.Date // date of service
	Program string     // program id
	Options map[string]string
	Foods   []food.Own // the caller's own foods and figures

	SubRecipes []recipe.Recipe // recipes that ingredients name
	Products   []Product       // bought products that ingredients name
	AgeGroup   string          // needed only where milk is served as a drink
}

// Credit credits one portion. An error is a [*fault.List].
func (e *Engine) Credit(req Request) (*Record, error) { return e.credit(req, 0) }

// credit credits one of the portions of a batch.
func (e *Engine) credit(req Request, portion int) (*Record, error) {
	w, err := e.start(req, true)
	if err != nil {
		return nil, err
	}
	defer e.release(w)
	w.portion = portion
	w.rec.IDs = IDs{RuleSet: w.rs.ID(), Catalog: w.cat.Digest(), Request: w.digest(w.req)}
	w.rec.Options = w.rs.Options
	w.request()
	if err := w.failure(); err != nil {
		return nil, err
	}
	w.findings()
	rec := w.rec
	if req.Recipe != nil && len(req.Recipe.Portions) > 1 && w.portion == 0 {
		for i := 1; i < len(req.Recipe.Portions); i++ {
			other, err := e.credit(req, i)
			if err != nil {
				return nil, err
			}
			rec.Also = append(rec.Also, other)
		}
	}
	return rec, nil
}

// Credits works out the credits alone, without the ledger, the alternatives,
// the amounts to spare and the digests. It gives the same credits as
// [Engine.Credit] and is meant for loops that try many recipes.
func (e *Engine) Credits(req Request) ([]Credit, error) {
	w, err := e.start(req, false)
	if err != nil {
		return nil, err
	}
	defer e.release(w)
	w.request()
	if err := w.failure(); err != nil {
		return nil, err
	}
	return w.rec.Credits, nil
}

// request credits what is asked for.
func (w *work) request() {
	if w.req.Product != nil {
		w.product(w.req.Product)
	} else {
		w.recipe(w.req.Recipe)
	}
}

// work is one request on its way through the engine.
type work struct {
	e         *Engine
	req       *Request // to copy
	copy      Request
	light     Record // when no full record is asked for
	lightMade Figure
	portion   int  // which of the portions
	drinks    bool // milk and juice credit here
	smoothie  bool
	rs        *rules.RuleSet
	cat       *food.Catalog
	rec       *Record
	full      bool // write the ledger and everything beside the credits
	faults    fault.List
	values    [ruleKeys]*rules.Value // of the rule set of, nil when not in force
	looked    [ruleKeys]bool         // which of them have been looked up
	of        *rules.RuleSet
	ofProgram string // with no options, and ofDay, what of was resolved for
	ofDay     rules.Date
	made      *Figure       // servings made
	other     []Alternative // room for the first one
	total     exact.Number  // of the batch, of the component last added up
	ways      []option      // room for those of the first ingredients
	free      []option      // what is left of it, or of more room
	terms     []Term
	parts     []part
	barren    []barren
	surplus   surplus             // of vegetable subgroups
	lift      exact.Number        // what printed weights add to the exact grains of a portion, or take
	papersOf  map[*Product]paper  // read once, however many ingredients are of the product
	waiting   []food.Component    // of foods that wait for a paper
	traits    food.Trait          // of all the foods together
	brought   [food.Milk + 1]bool // components that parts are of
	unsure    bool                // a state was left open
	shares    bool                // a share was given
	setAside  bool                // grain that is not whole, or may not be, was left out of the credit and is still in the dish
	text      []byte              // canonical form of the request
}

// failure returns the faults found, apart from the scratch space.
func (w *work) failure() error {
	if len(w.faults.Faults) == 0 {
		return nil
	}
	faults := w.faults
	return &faults
}

// waysAtOnce is how many ways room is made for at once: most recipes need less.
const waysAtOnce = 32

// block is a record with room for what most records hold.
type block struct {
	record   Record
	credits  [1]Credit
	findings [3]Finding
	figures  [6]*Figure
	made     Figure
	other    [1]Alternative
}

// release gives a request's scratch space back for the next one. What the parts
// point to is not cleared: the pool lets go of it at the next collection.
func (e *Engine) release(w *work) {
	w.copy, w.papersOf = Request{}, nil
	if !w.full {
		w.light, w.lightMade = Record{}, Figure{}
	}
	w.faults, w.rec, w.cat, w.rs, w.terms, w.other, w.total, w.made, w.req, w.e = fault.List{}, nil, nil, nil, nil, nil, exact.Number{}, nil, nil, nil
	w.parts, w.barren, w.waiting, w.free = w.parts[:0], w.barren[:0], w.waiting[:0], nil
	e.scratch.Put(w)
}

// start resolves what does not depend on the foods, and collects all faults of
// the request's shape.
func (e *Engine) start(request Request, full bool) (*work, error) {
	w, _ := e.scratch.Get().(*work)
	if w == nil {
		w = &work{parts: make([]part, 0, waysAtOnce), ways: make([]option, 0, waysAtOnce)}
	}
	w.copy = request
	req := &w.copy
	w.full, w.e, w.req, w.portion, w.drinks, w.smoothie = full, e, req, 0, false, false
	w.traits, w.unsure, w.shares, w.setAside, w.surplus = 0, false, false, false, surplus{}
	w.lift, w.free, w.brought = exact.Number{}, w.ways, [food.Milk + 1]bool{}
	if full {
		// What a record of ordinary size holds, in one piece of memory.
		b := new(block)
		w.rec = &b.record
		w.rec.Credits, w.rec.Findings, w.rec.Figures = b.credits[:0], b.findings[:0], b.figures[:0]
		w.made, w.other = &b.made, b.other[:0]
	} else {
		w.rec, w.made = &w.light, &w.lightMade
	}
	w.rec.On = req.On
	switch {
	case req.Recipe == nil && req.Product == nil:
		w.faults.Add(fault.Fault{Reason: fault.Missing, Path: "recipe", Want: "a recipe or a product", Fix: "Give the recipe to credit."})
	case req.Recipe != nil && req.Product != nil:
		w.faults.Add(fault.Fault{Reason: fault.Conflicting, Path: "product", Want: "either a recipe or a product", Fix: "Credit them in two requests."})
	case req.Recipe != nil:
		req.Recipe.Check("recipe", &w.faults)
	default:
		req.Product.check("product", &w.faults)
	}
	req.checkParts(&w.faults)
	var err error
	if len(req.Options) == 0 && w.ofProgram != "" && w.ofProgram == req.Program && w.ofDay == req.On {
		w.rs = w.of // as for the request before
	} else if w.rs, err = e.rules.Resolve(req.On, req.Program, req.Options); err != nil && !w.faults.Append(err) {
		return nil, err
	}
	if w.cat, err = e.catalog.With(req.Foods); err != nil {
		if !w.faults.Append(err) {
			return nil, err
		}
		w.cat = e.catalog
	}
	if w.rs == nil {
		// Foods can still be checked, so that all faults come at once.
		w.checkFoods(req.Recipe)
		return nil, w.faults.Err()
	}
	w.rec.Program = w.rs.Program
	if w.of != w.rs {
		w.values, w.looked = [ruleKeys]*rules.Value{}, [ruleKeys]bool{}
		w.of, w.ofProgram, w.ofDay = w.rs, req.Program, req.On
		if len(req.Options) > 0 {
			w.ofProgram = "" // not the defaults
		}
	}
	if len(w.faults.Faults) > 0 {
		w.checkFoods(req.Recipe)
		return nil, w.faults.Err()
	}
	return w, nil
}

// checkFoods reports what is wrong with the foods when nothing more can be
// worked out.
func (w *work) checkFoods(r *recipe.Recipe) {
	if r == nil || len(r.Ingredients) > recipe.MaxIngredients {
		return
	}
	for i := range r.Ingredients {
		in := &r.Ingredients[i]
		if in.Food == "" {
			continue
		}
		at := spot{nil, i}
		if f, ok := w.cat.Food(in.Food); ok {
			w.componentOf(f, in, at)
		} else {
			w.unknownFood(at, in.Food)
		}
	}
}

// maxNearest bounds how many unknown foods get suggestions: looking them up
// costs far more than crediting does.
const maxNearest = 20

func (w *work) unknownFood(at spot, id string) {
	f := fault.Fault{Reason: fault.UnknownFood, Path: at.path("food"), Value: id, Want: "a food of the catalog or of foods in the request", Fix: "Find it with `ozeq food search`, or bring it under foods."}
	if len(w.faults.Faults) < maxNearest {
		if near := w.cat.Nearest(id, 3); len(near) > 0 {
			f.Fix = "Nearest: " + join(near, ", ", "") + "."
		}
	}
	w.faults.Add(f)
}

func join(words []string, sep, last string) string {
	s := ""
	for i, x := range words {
		switch {
		case i == 0:
		case i == len(words)-1 && last != "":
			s += last
		default:
			s += sep
		}
		s += x
	}
	return s
}

// digest names the request by its values.
func (w *work) digest(req *Request) string {
	b := w.text[:0]
	if req.Recipe != nil {
		b = req.Recipe.AppendCanonical(b)
	}
	if p := req.Product; p != nil {
		b = p.appendCanonical(b)
	}
	for i := range req.SubRecipes {
		b = append(b, 'S')
		b = req.SubRecipes[i].AppendCanonical(b)
	}
	for i := range req.Products {
		b = req.Products[i].appendCanonical(b)
	}
	b = append(b, '|')
	b = req.On.Append(b)
	b = append(b, '|')
	b = append(b, req.Program...)
	b = append(b, '|')
	b = append(b, req.AgeGroup...)
	if len(req.Options) > 0 {
		keys := make([]string, 0, len(req.Options))
		for k := range req.Options {
			keys = append(keys, k)
		}
		sort.Strings(keys)
		for _, k := range keys {
			b = append(b, '|')
			b = append(b, k...)
			b = append(b, '=')
			b = append(b, req.Options[k]...)
		}
	}
	for i := range req.Foods {
		b = req.Foods[i].AppendCanonical(b)
	}
	w.text = b
	sum := sha256.Sum256(b)
	var text [7 + 32]byte
	copy(text[:], "sha256:")
	hex.Encode(text[7:], sum[:16])
	return string(text[:])
}

// figure returns the index of a figure in the record, adding it on first use.
func (w *work) figure(g *Figure) int {
	if i := slices.Index(w.rec.Figures, g); i >= 0 {
		return i
	}
	w.rec.Figures = append(w.rec.Figures, g)
	return len(w.rec.Figures) - 1
}

// with returns a term with a figure.
func (w *work) with(op Op, g *Figure) Term { return Term{op, int32(w.figure(g)), -1} }

// from returns a term with an earlier step.
func from(op Op, step int) Term { return Term{op, -1, int32(step)} }

// step adds a step to the ledger and returns its index.
func (w *work) step(s Step) int {
	w.rec.Steps = append(w.rec.Steps, s)
	return len(w.rec.Steps) - 1
}

// take copies terms into the record's own array and returns the copy.
func (w *work) take(terms ...Term) []Term {
	n := len(w.terms)
	w.terms = append(w.terms, terms...)
	return w.terms[n:len(w.terms):len(w.terms)]
}

var one = exact.Int(1)
