package recipe

import (
	"strconv"

	"example.com/ozeq/pkg/measure"
)

// AppendCanonical appends a form of the recipe in which equal recipes are equal
// bytes: fields in a fixed order, amounts as exact fractions of their own base
// unit. What only people read (the names) is part of it too, so that a digest
// names one card.
func (r *Recipe) AppendCanonical(b []byte) []byte {
	b = appendText(b, r.Name)
	b = strconv.AppendInt(b, int64(r.Servings), 10)
	b = append(b, '|')
	b = appendText(b, r.ExhibitAGroup)
	b = appendText(b, r.GrainsMethod)
	if r.ID != "" || !r.BatchWeight.IsZero() || !r.BatchMeasure.IsZero() || r.Smoothie || r.Dessert != "" {
		b = append(b, 'R')
		b = appendText(b, r.ID)
		b = appendQuantity(b, r.BatchWeight)
		b = appendQuantity(b, r.BatchMeasure)
		b = strconv.AppendBool(b, r.Smoothie)
		b = appendText(b, r.Dessert)
	}
	if t := r.YieldTest; t != nil {
		b = append(b, 'Y')
		b = strconv.AppendInt(b, int64(t.PortionsMade), 10)
		b = appendQuantity(b, t.WeightBefore)
		b = appendQuantity(b, t.WeightAfter)
		b = appendQuantity(b, t.PanLoss)
	}
	for i := range r.Portions {
		p := &r.Portions[i]
		b = append(b, 'P')
		b = appendText(b, p.Name)
		b = appendQuantity(b, p.Weight)
		b = appendQuantity(b, p.Measure)
		b = strconv.AppendInt(b, int64(p.Scoop), 10)
		b = append(b, ',')
		b = strconv.AppendInt(b, int64(p.Servings), 10)
	}
	for i := range r.Ingredients {
		in := &r.Ingredients[i]
		b = append(b, 'I')
		b = appendText(b, in.Food)
		b = appendText(b, in.Name)
		b = appendQuantity(b, in.Quantity)
		b = appendText(b, in.Basis)
		b = appendText(b, in.State)
		b = appendText(b, in.CreditAs)
		b = appendText(b, in.ExhibitAGroup)
		b = strconv.AppendBool(b, in.NotCrediting)
		if in.SubRecipe != "" || in.Product != "" || in.Hidden || !in.Share.IsZero() {
			b = append(b, 's')
			b = appendText(b, in.SubRecipe)
			b = appendText(b, in.Product)
			b = in.Share.AppendFraction(b)
			b = strconv.AppendBool(b, in.Hidden)
		}
	}
	return b
}

// appendText writes the length first, so that no two lists of texts run into
// the same bytes.
func appendText(b []byte, s string) []byte {
	b = strconv.AppendInt(b, int64(len(s)), 10)
	b = append(b, ':')
	return append(b, s...)
}

func appendQuantity(b []byte, q measure.Quantity) []byte {
	if q.IsZero() {
		return append(b, '-')
	}
	b = q.Amount().AppendFraction(b)
	b = append(b, ' ')
	return appendText(b, q.Unit().ID)
}
