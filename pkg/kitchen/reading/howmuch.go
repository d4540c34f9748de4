package reading

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
)

// amount settles how much there is.
func (w *work) amount() {
	l := w.line
	main := w.mainAmount()
	if main == nil && w.counted() {
		return
	}
	if main == nil {
		if len(l.Doubts) == 0 || !slices.ContainsFunc(l.Doubts, func(d Doubt) bool { return d.About == AboutAmount }) {
			w.doubt(AboutAmount, "No amount is written.")
		}
		return
	}
	l.Amount = main.text
	l.AmountAt = Span{w.toks[main.from].start, w.toks[main.to-1].end}
	f, _ := w.r.catalog.Food(l.Food)
	for _, d := range main.doubts {
		w.doubt(AboutAmount, d)
	}
	switch {
	case main.unread:
		w.doubt(AboutAmount, "The number can be read in two ways, or not at all: write it out.")
		if n, ok := spaced(main); ok && !main.q.IsZero() {
			c := l.Choice
			c.Quantity = n
			w.offer(c, "a whole number and a fraction")
			c.Quantity = main.q
			w.offer(c, "the fraction as it stands")
		}
		return
	case main.sum:
		w.doubt(AboutAmount, "A package and a measure do not add up to one amount.")
		return
	case main.unsized != "" && w.eachOf(main):
	case main.unsized != "":
		w.doubt(AboutAmount, "A "+main.unsized+" has no weight of its own: weigh or measure it.")
		return
	case main.q.IsZero():
		w.doubt(AboutAmount, "The amount is none at all, or cannot be read.")
		return
	}
	l.Quantity = asWritten(main)
	if main.q.Dimension() == measure.Count && w.has("juice", "zest", "juiced", "zested") && (w.has("of") || f == nil || f.CanCredit(food.Fruits) && f.Form == "juice" || strings.Contains(f.Name, "zest") || strings.Contains(f.Name, "juice")) {
		l.Quantity = measure.Quantity{}
		w.doubt(AboutAmount, "What so many pieces give is no amount: measure it.")
		return
	}
	if !main.high.IsZero() {
		w.noAmount("A range is written; say how much it is.", l.Quantity, "the low end of the range", main.high, "the high end of the range")
		return
	}
	if main.countless && main.packWord == "cup" {
		w.noAmount("Cups of so many ounces are sold by weight and by measure, and how many is not written.", measure.Quantity{}, "", measure.Quantity{}, "")
		return
	}
	if main.countless {
		n := w.countAside(main)
		if n == nil {
			w.noAmount("How many packages is not written.", l.Quantity, "one package", measure.Quantity{}, "")
			return
		}
		l.Quantity = l.Quantity.Times(n.q.Amount())
		n.q, main.pack = measure.Quantity{}, true
	}
	if main.pack && main.packWord == "cup" {
		w.noAmount("Cups of so many ounces are sold by weight and by measure.", l.Quantity, "by weight", measure.Quantity{}, "")
		return
	}
	if n := w.timesAside(main); n != nil {
		l.Quantity = l.Quantity.Times(n.q.Amount())
		n.q, main.pack = measure.Quantity{}, true
	}
	if p := w.packagesAside(main); p != "" {
		w.noAmount("Whether "+l.Amount+" is of one "+p+" or of all is not written.", l.Quantity, "all of them together", measure.Quantity{}, "")
		return
	}
	if main.pack {
		w.canned(main)
		if main.ounces && f != nil && drink(f) {
			w.fluid(main)
		} else {
			w.doubt(AboutAmount, "What is printed on the packages was multiplied: "+l.Quantity.Text()+" in all.")
		}
	}
	if main.ounces && !main.pack && f != nil && drink(f) {
		w.fluid(main)
	}
	if f != nil && l.Quantity.Dimension() == measure.Count && !w.weighed(f) {
		w.doubt(AboutAmount, "What one weighs is not written.")
	}
	if main.bare && f != nil && f.NoCredit != "" && !slices.ContainsFunc(f.Figures, func(g *food.Figure) bool {
		return g.Kind == food.PieceWeight || g.Unit != nil && g.Unit.Dimension == measure.Count
	}) {
		w.doubt(AboutAmount, "A number without a unit.")
	}
	if k := main.from; k > 0 && is(w.toks, k-1, "-", "−", "–") && glued(w.toks, k) && !glued(w.toks, k-1) {
		w.doubt(AboutAmount, "The dash before the number may be a minus sign.")
	}
	if u := main.q.Unit(); u == measure.Gram || u == measure.Milliliter {
		if _, part, ok := strings.Cut(w.toks[main.from].text, "."); ok && len(part) == 3 {
			w.doubt(AboutAmount, "A point before three digits may part thousands.")
		}
	}
	w.others(main, f)
}

// counted takes "200 ct" for a count where no other amount is written and the
// food is not sold by how many fill a case, as fresh produce is.
func (w *work) counted() bool {
	l := w.line
	f, ok := w.r.catalog.Food(l.Food)
	if !ok || len(w.sizes) != 1 || f.Form == "fresh" {
		return false
	}
	for i, t := range w.toks {
		if t.text != w.sizes[0] || !is(w.toks, i+1, "ct", "count") || packageAt(w.toks, i+2) != "" || packageAt(w.toks, i-1) != "" || t.paren {
			continue
		}
		n, used := numberAt(w.toks, i)
		if k, whole := n.n.Whole(); used != 1 || !whole || k < 1 || n.twoWays || n.broken {
			return false
		}
		l.Quantity = measure.New(n.n, measure.Each)
		l.Amount = spanText(w.toks[i : i+2])
		l.AmountAt = Span{t.start, w.toks[i+1].end}
		w.doubt(AboutAmount, "A count of pieces is taken; it may be how many fill a package.")
		return true
	}
	return false
}

// noAmount leaves the amount open, for a reason, with what it may be.
func (w *work) noAmount(why string, one measure.Quantity, oneWords string, other measure.Quantity, otherWords string) {
	l := w.line
	w.doubt(AboutAmount, why)
	l.Quantity = measure.Quantity{}
	for _, a := range []struct {
		q     measure.Quantity
		words string
	}{{one, oneWords}, {other, otherWords}} {
		if !a.q.IsZero() {
			c := l.Choice
			c.Quantity = a.q
			w.offer(c, a.words)
		}
	}
}

// spaced is 1 1/2 of 11/2.
func spaced(a *amount) (measure.Quantity, bool) {
	k := strings.IndexByte(a.text, '/')
	if k < 2 || a.q.IsZero() {
		return measure.Quantity{}, false
	}
	q, err := measure.Parse(a.text[:k-1] + " " + a.text[k-1:])
	return q, err == nil
}

// countAside is the one bare number that stands apart from a package and says how
// many there are: "#10 can diced tomatoes, 3".
func (w *work) countAside(main *amount) *amount {
	var out *amount
	for i := range w.amounts {
		a := &w.amounts[i]
		switch {
		case a == main:
		case a.q.IsZero() || a.q.Unit() != measure.Each || out != nil || !a.high.IsZero() || a.unread:
			return nil
		default:
			out = a
		}
	}
	if out != nil && out.from > 0 && out.to < len(w.toks) {
		return nil // neither before nor after everything else
	}
	return out
}

// timesAside is the number after an x at the end of the line: "2 lb honey x 3".
func (w *work) timesAside(main *amount) *amount {
	n := len(w.amounts)
	if n != 2 || main.bare || main.pack {
		return nil
	}
	if a := &w.amounts[n-1]; a != main && a.bare && a.to == len(w.toks) && is(w.toks, a.from-1, "x", "×") && !a.q.IsZero() && a.high.IsZero() && !a.unread {
		return a
	}
	return nil
}

// packagesAside names the packages that stand beside the amount of them, when
// there are several or nobody knows how many: "2 bags peas, 5 lb".
func (w *work) packagesAside(main *amount) string {
	if d := main.q.Dimension(); main.pack || main.container || d != measure.Mass && d != measure.Volume || w.has("total") {
		return ""
	}
	for i := range w.amounts {
		a := &w.amounts[i]
		if a != main && packages[singularOf(a.unsized)] && w.toks[a.from].text != "1" && !a.paren && !main.paren {
			return singularOf(a.unsized)
		}
	}
	return ""
}

// canned takes a size of can that measure knows for that can.
func (w *work) canned(a *amount) {
	l := w.line
	u, ok := measure.UnitByID("can 66.5 oz")
	if !ok || !a.ounces || a.packWord != "can" && a.packWord != "cn" && a.packWord != "tin" && a.packWord != "cans" || l.Quantity.Unit() != measure.Ounce || !(strings.Contains(a.text, "66.5") || strings.Contains(a.text, "66 1/2") || strings.Contains(a.text, "66½")) {
		return
	}
	if n := l.Quantity.Amount().Quo(exact.Frac(133, 2)); n.Sign() > 0 {
		if _, whole := n.Whole(); whole {
			l.Quantity, a.ounces = measure.New(n, u), false
		}
	}
}

// weighed reports whether the catalog knows what a piece of the food is.
func (w *work) weighed(f *food.Food) bool {
	return f.NoCredit != "" || slices.ContainsFunc(f.Figures, func(g *food.Figure) bool {
		return g.Kind == food.PieceWeight || g.Unit != nil && g.Unit.Dimension == measure.Count
	})
}

// drink reports whether a food is poured, so that its ounces may be fluid.
func drink(f *food.Food) bool {
	if f.Form == "juice" || f.Form == "concentrate" || f.Traits.Has(food.MilkFluid) || f.Traits.Has(food.Juice) {
		return true
	}
	head, _, _ := strings.Cut(f.Name, ",")
	ws := food.Words(head)
	switch ws[len(ws)-1] {
	case "juice", "milk", "oil", "broth", "water", "vinegar", "cream", "sauce", "syrup", "drink", "extract", "dressing", "coffee", "tea", "soda", "nectar":
		return f.Form != "dry" && !slices.Contains(ws, "dry")
	}
	return false
}

// fluid doubts ounces of something poured. That a can of 46, 12 or 6 is sold by
// fluid ounces is common practice, so the line is asked about all the same.
func (w *work) fluid(a *amount) {
	l := w.line
	c := l.Choice
	if a.pack && a.packWord == "can" {
		for _, size := range []int64{46, 12, 6} {
			n := l.Quantity.Amount().Quo(exact.Int(size))
			if u, ok := measure.UnitByID("can " + exact.Int(size).String() + " fl oz"); ok {
				if k, whole := n.Whole(); whole && k > 0 && sizeOf(a.text, size) {
					c.Quantity = l.Quantity
					l.Quantity = measure.New(n, u)
					w.doubt(AboutAmount, "Ounces of a drink in cans are taken for fluid ounces.")
					w.offer(c, "ounces by weight")
					return
				}
			}
		}
	}
	n, _ := l.Quantity.In(measure.Ounce)
	c.Quantity = measure.New(n, measure.FluidOunce)
	w.doubt(AboutAmount, "Ounces by weight are taken; a drink is often poured in fluid ounces.")
	w.offer(c, "fluid ounces")
}

func sizeOf(text string, size int64) bool {
	return slices.Contains(strings.FieldsFunc(text, func(r rune) bool { return !digit(r) }), exact.Int(size).String())
}

// asWritten keeps the text of an amount that measure reads to the same.
func asWritten(a *amount) measure.Quantity {
	if q, err := measure.Parse(strings.Trim(a.text, " .")); err == nil && sameAmount(q, a.q) {
		return q
	}
	return a.q
}

// mainAmount picks the amount of the line: the first outside parentheses that
// has a unit, else a bare number that counts something.
func (w *work) mainAmount() *amount {
	var best *amount
	rank := func(a *amount) int {
		r := 0
		if a.bare {
			r = 4
		}
		if a.unsized != "" {
			r += 3
		}
		if a.countless {
			r += 2
		}
		if a.paren {
			r += 8
		}
		return r
	}
	for i := range w.amounts {
		a := &w.amounts[i]
		if best != nil && (perPiece(best, a) || perPiece(a, best)) {
			if perPiece(a, best) {
				best = a
			}
			continue
		}
		if best == nil || rank(a) < rank(best) {
			best = a
		}
	}
	return best
}

// eachOf multiplies unsized packages or pieces by what stands in parentheses as
// the size of each: 3 cans tuna (66.5 oz each).
func (w *work) eachOf(main *amount) bool {
	var size *amount
	for i := range w.amounts {
		switch a := &w.amounts[i]; {
		case a == main:
		case size != nil || !a.paren || a.q.IsZero() || a.pack || a.unread || !a.high.IsZero():
			return false
		default:
			size = a
		}
	}
	if size == nil || main.many.Sign() <= 0 || size.q.Dimension() != measure.Mass && size.q.Dimension() != measure.Volume || !is(w.toks, size.to, "each", "ea") {
		return false
	}
	main.q, main.pack, main.packWord, main.ounces = size.q.Times(main.many), true, main.unsized, size.ounces
	main.unsized, size.q = "", measure.Quantity{}
	main.text += " " + size.text
	return true
}

// perPiece reports whether a counts pieces and b is what one weighs: 100 egg
// patties, 1.5 oz.
func perPiece(a, b *amount) bool {
	if a.paren || b.paren || a.q.IsZero() || b.q.IsZero() || a.q.Unit() != measure.Each || b.q.Dimension() != measure.Mass || a.unread || b.unread || b.pack || !a.high.IsZero() {
		return false
	}
	n, ok := b.q.In(measure.Ounce)
	return ok && !exact.Int(8).Less(n) && !a.q.Amount().Less(exact.Int(10))
}

// others weighs what else the line says of its amount.
func (w *work) others(main *amount, f *food.Food) {
	l := w.line
	for i := range w.amounts {
		a := &w.amounts[i]
		if a != main && (a.unsized != "" && (!a.paren || packages[singularOf(a.unsized)]) || a.unread || a.sum) {
			w.doubt(AboutAmount, "Beside "+l.Amount+" stands "+a.text+", which was not used.")
		}
		if a == main || a.q.IsZero() {
			continue
		}
		switch {
		case sameMeasure(a.q, l.Quantity):
			if !near(a.q, l.Quantity, 1) {
				c := l.Choice
				c.Quantity = a.q
				w.doubt(AboutAmount, "Two amounts are written, "+l.Amount+" and "+a.text+"; the first is taken.")
				w.offer(c, "the other amount written")
			}
		case l.Quantity.Dimension() == measure.Count || a.q.Dimension() == measure.Count || a.q.Dimension() == measure.Container || l.Quantity.Dimension() == measure.Container:
			w.doubt(AboutAmount, "Beside "+l.Amount+" stands "+a.text+", which was not used.")
			c := l.Choice
			c.Quantity = a.q
			w.offer(c, "the other amount written")
		default: // a weight and a measure of the same food
			if f == nil || !w.agree(f, l.Quantity, a.q) {
				w.doubt(AboutAmount, "A weight and a measure are written, "+l.Amount+" and "+a.text+"; nothing shows that they are the same amount. The first is taken.")
				c := l.Choice
				c.Quantity = a.q
				w.offer(c, "the other amount written")
			}
		}
	}
}

func sameMeasure(a, b measure.Quantity) bool {
	return a.Dimension() == b.Dimension() && a.Dimension() != measure.Container || a.Unit() == b.Unit()
}

// near reports whether two amounts of one dimension are within so many percent.
func near(a, b measure.Quantity, percent int64) bool {
	x, ok := a.In(b.Unit())
	if !ok {
		return false
	}
	y := b.Amount()
	diff := x.Sub(y)
	if diff.Sign() < 0 {
		diff = y.Sub(x)
	}
	return !y.Mul(exact.Frac(percent, 100)).Less(diff)
}

// agree reports whether a weight and a measure fit one of the food's cup
// weights, to a quarter, which no source sets.
func (w *work) agree(f *food.Food, a, b measure.Quantity) bool {
	if a.Dimension() == measure.Volume {
		a, b = b, a
	}
	if a.Dimension() != measure.Mass || b.Dimension() != measure.Volume {
		return false
	}
	grams, ok1 := a.In(measure.Gram)
	cups, ok2 := b.In(measure.Cup)
	if !ok1 || !ok2 || cups.Sign() <= 0 {
		return false
	}
	per := measure.New(grams.Quo(cups), measure.Gram)
	return slices.ContainsFunc(f.Figures, func(g *food.Figure) bool {
		return g.Kind == food.CupWeight && near(per, measure.New(g.Value, measure.Gram), 25)
	})
}
