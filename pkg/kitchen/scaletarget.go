package kitchen

import (
	"strconv"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
)

// ScaleTarget is what a batch is brought to. Give one of Servings, Pans,
// BatchWeight, BatterWeight and Factor alone, or Servings with one of Scoop,
// PortionWeight and PortionMeasure.
type ScaleTarget struct {
	Servings int // of the first portion, 1 to [recipe.MaxServings]
	// Pans is how many pans to fill; [ScaleRequest.Pans] says how many the batch
	// fills as written.
	Pans exact.Number
	// BatchWeight is of the finished batch. It needs the recipe's own.
	BatchWeight measure.Quantity
	// BatterWeight is of the batch before baking or cooking. It needs
	// [ScaleRequest.BatterWeight], or a yield test with the weight before.
	BatterWeight measure.Quantity
	Factor       exact.Number // so many times the batch
	// Scoop, PortionWeight and PortionMeasure are another size of the first
	// portion, of which Servings are to be made. They need its size as written.
	Scoop          int
	PortionWeight  measure.Quantity
	PortionMeasure measure.Quantity
}

// scaling is what a target comes to.
type scaling struct {
	factor   exact.Number // of the batch
	servings int          // made of the first portion
	asked    exact.Number // servings before they were cut to whole ones
	size     exact.Number // of the first portion, as a share of what it was
}

// made is the servings the batch gives as written: those counted in its yield
// test, else those of the card.
func made(r *recipe.Recipe) int {
	if t := r.YieldTest; t != nil && t.PortionsMade > 0 {
		return t.PortionsMade
	}
	return r.Servings
}

// scaling works a target out. Faults carry paths under target.
func (req *ScaleRequest) scaling(faults *fault.List) (scaling, bool) {
	t, r := &req.Target, req.Request.Recipe
	bad := len(faults.Faults)
	req.checkTarget(faults)
	if len(faults.Faults) > bad || r == nil || made(r) <= 0 || made(r) > recipe.MaxServings {
		return scaling{}, false
	}
	was := exact.Int(int64(made(r)))
	s := scaling{size: exact.Int(1)}
	need := func(path, want, fix string) (scaling, bool) {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: path, Want: want, Fix: fix})
		return scaling{}, false
	}
	switch {
	case t.Servings > 0:
		size, ok := t.portionSize(r)
		if !ok {
			return need("recipe.portions[0]", "the size of the portion as written, in the kind the target has", "Give the portion's scoop, measure or weight, or the batch's weight or measure.")
		}
		s.size = size
		s.factor = exact.Int(int64(t.Servings)).Quo(was).Mul(size)
		s.servings, s.asked = t.Servings, exact.Int(int64(t.Servings))
		return s, true
	case !t.Pans.IsZero():
		if req.Pans.IsZero() {
			return need("pans", "how many pans the batch fills as written", "Count them when the batch is made, or scale to servings.")
		}
		s.factor = t.Pans.Quo(req.Pans)
	case !t.BatchWeight.IsZero():
		if r.BatchWeight.IsZero() || r.BatchWeight.Dimension() != measure.Mass {
			return need("recipe.batchWeight", "the weight of the finished batch as written", "Weigh it, or scale to servings.")
		}
		s.factor = share(t.BatchWeight, r.BatchWeight)
	case !t.BatterWeight.IsZero():
		before := req.batter()
		if before.IsZero() || before.Dimension() != measure.Mass {
			return need("batterWeight", "the weight of the batch as written, before baking or cooking", "Weigh it, or scale to servings.")
		}
		s.factor = share(t.BatterWeight, before)
	default:
		s.factor = t.Factor
	}
	// Only whole servings are made, of the size they have: the batch comes to no
	// more than was asked for, since a pan or a mixer holds no more.
	s.asked = s.factor.Mul(was)
	whole := s.asked.DownTo(exact.Int(1))
	n, ok := whole.Whole()
	switch {
	case whole.IsZero():
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: t.path(), Value: t.text(), Want: "enough for at least one serving", Fix: "Ask for more; the batch as written makes " + strconv.Itoa(made(r)) + " servings."})
		return scaling{}, false
	case !ok || n > recipe.MaxServings:
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: t.path(), Value: t.text(), Want: "a batch of at most 1000000 servings", Fix: "Make several batches; the batch as written makes " + strconv.Itoa(made(r)) + " servings."})
		return scaling{}, false
	}
	s.servings, s.factor = int(n), whole.Quo(was)
	return s, true
}

// share is how much of b a is; both measure the same thing.
func share(a, b measure.Quantity) exact.Number {
	n, _ := a.In(b.Unit())
	return n.Quo(b.Amount())
}

func (req *ScaleRequest) batter() measure.Quantity {
	if r := req.Request.Recipe; req.BatterWeight.IsZero() && r.YieldTest != nil {
		return r.YieldTest.WeightBefore
	}
	return req.BatterWeight
}

// portionSize is the first portion of the target as a share of the one written.
func (t *ScaleTarget) portionSize(r *recipe.Recipe) (exact.Number, bool) {
	to, _ := t.portion()
	if to.IsZero() {
		return exact.Int(1), true
	}
	var first recipe.Portion
	if len(r.Portions) > 0 {
		first = r.Portions[0]
	}
	from, batch := first.Weight, r.BatchWeight
	if to.Dimension() == measure.Volume {
		from, batch = first.Measure, r.BatchMeasure
		if from.IsZero() && first.Scoop > 0 {
			from, _ = measure.Scoop(first.Scoop)
		}
	}
	if from.IsZero() && !batch.IsZero() {
		from = batch.Times(exact.Frac(1, int64(made(r))))
	}
	if from.IsZero() || from.Dimension() != to.Dimension() {
		return exact.Number{}, false
	}
	return share(to, from), true
}

// portion is the size the target asks for; zero when it asks for none.
func (t *ScaleTarget) portion() (measure.Quantity, recipe.Portion) {
	switch {
	case t.Scoop != 0:
		q, _ := measure.Scoop(t.Scoop)
		return q, recipe.Portion{Scoop: t.Scoop}
	case !t.PortionWeight.IsZero():
		return t.PortionWeight, recipe.Portion{Weight: t.PortionWeight}
	}
	return t.PortionMeasure, recipe.Portion{Measure: t.PortionMeasure}
}

// path and text name the target in faults.
func (t *ScaleTarget) path() string { p, _ := t.named(); return p }
func (t *ScaleTarget) text() string { _, v := t.named(); return v }

func (t *ScaleTarget) named() (path, text string) {
	switch {
	case !t.Pans.IsZero():
		return "target.pans", t.Pans.String()
	case !t.BatchWeight.IsZero():
		return "target.batchWeight", t.BatchWeight.Text()
	case !t.BatterWeight.IsZero():
		return "target.batterWeight", t.BatterWeight.Text()
	}
	return "target.factor", t.Factor.String()
}

// checkTarget reports everything wrong with the target's own shape.
func (req *ScaleRequest) checkTarget(faults *fault.List) {
	t := &req.Target
	if t.Servings < 0 || t.Servings > recipe.MaxServings {
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: "target.servings", Value: strconv.Itoa(t.Servings), Want: "a whole number from 1 to 1000000", Fix: "Say how many servings to make."})
	}
	whole, sizes := 0, 0
	for _, x := range []struct {
		path  string
		n     exact.Number
		count *int
	}{{"target.pans", t.Pans, &whole}, {"target.factor", t.Factor, &whole}, {"pans", req.Pans, new(int)}} {
		if x.n.IsZero() {
			continue
		}
		*x.count++
		if x.n.Sign() < 0 {
			faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: x.path, Value: x.n.String(), Want: "a number above 0, such as 2 or 1/2", Fix: "Say how many times, or how many pans."})
		}
	}
	for _, x := range []struct {
		path  string
		q     measure.Quantity
		d     measure.Dimension
		count *int
	}{
		{"target.batchWeight", t.BatchWeight, measure.Mass, &whole}, {"target.batterWeight", t.BatterWeight, measure.Mass, &whole},
		{"target.portionWeight", t.PortionWeight, measure.Mass, &sizes}, {"target.portionMeasure", t.PortionMeasure, measure.Volume, &sizes},
		{"batterWeight", req.BatterWeight, measure.Mass, new(int)},
	} {
		if x.q.IsZero() {
			continue
		}
		*x.count++
		checkAmount(x.q, x.d, x.path, faults)
	}
	if t.Scoop != 0 {
		sizes++
		checkScoop(t.Scoop, "target.scoop", faults)
	}
	switch {
	case t.Servings == 0 && sizes > 0:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "target.servings", Want: "how many servings of the new size to make", Fix: "Say how many servings, 1 to 1000000."})
	case t.Servings == 0 && whole == 0:
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "target", Want: "what to scale to: servings, pans, batchWeight, batterWeight or factor", Fix: "Say how many servings to make."})
	}
	if sizes > 1 || whole > 1 || whole > 0 && (sizes > 0 || t.Servings != 0) {
		faults.Add(fault.Fault{Reason: fault.Conflicting, Path: "target", Want: "one thing to scale to", Fix: "Give servings, pans, batchWeight, batterWeight or factor alone, or servings with one of scoop, portionWeight and portionMeasure."})
	}
}

// checkAmount refuses an amount of the wrong kind, or of nothing.
func checkAmount(q measure.Quantity, d measure.Dimension, path string, faults *fault.List) {
	want := "a weight, such as 14 lb 6 oz"
	if d == measure.Volume {
		want = "a volume, such as 1/2 cup"
	}
	switch {
	case q.Dimension() != d:
		faults.Add(fault.Fault{Reason: fault.UnitDoesNotFit, Path: path, Value: q.Text(), Want: want, Fix: "This is a " + q.Dimension().String() + "."})
	case q.Amount().Sign() <= 0:
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path, Value: q.Text(), Want: want + ", above 0", Fix: "Leave it out when there is none."})
	}
}

// checkScoop refuses a scoop number no kitchen has.
func checkScoop(n int, path string, faults *fault.List) {
	if _, ok := measure.Scoop(n); !ok {
		faults.Add(fault.Fault{Reason: fault.UnknownValue, Path: path, Value: strconv.Itoa(n), Want: "a scoop number: 6, 8, 10, 12, 16, 20, 24, 30, 40, 50, 60, 70 or 100", Fix: "Read the number on the scoop's lever."})
	}
}
