package recipe

import (
	"encoding/binary"

	"example.com/ozeq/pkg/measure"
)

// AppendCanonical appends a form of the recipe in which equal recipes are equal
// bytes: fields in a fixed order, amounts as exact fractions of their own base
// unit. What only people read (the names) is part of it too, so that a digest
// names one card.
func (r *Recipe) AppendCanonical(b []byte) []byte {
	b = appendText(b, r.Name)
	b = binary.AppendVarint(b, int64(r.Servings))
	b = appendText(b, r.ExhibitAGroup)
	b = appendText(b, r.GrainsMethod)
	if r.ID != "" || !r.BatchWeight.IsZero() || !r.BatchMeasure.IsZero() || r.Smoothie || r.Dessert != "" {
		b = append(b, 'R')
		b = appendText(b, r.ID)
		b = appendQuantity(b, &r.BatchWeight)
		b = appendQuantity(b, &r.BatchMeasure)
		b = appendBool(b, r.Smoothie)
		b = appendText(b, r.Dessert)
	}
	if t := r.YieldTest; t != nil {
		b = append(b, 'Y')
		b = binary.AppendVarint(b, int64(t.PortionsMade))
		b = appendQuantity(b, &t.WeightBefore)
		b = appendQuantity(b, &t.WeightAfter)
		b = appendQuantity(b, &t.PanLoss)
	}
	for i := range r.Portions {
		p := &r.Portions[i]
		b = append(b, 'P')
		b = appendText(b, p.Name)
		b = appendQuantity(b, &p.Weight)
		b = appendQuantity(b, &p.Measure)
		b = binary.AppendVarint(b, int64(p.Scoop))
		b = binary.AppendVarint(b, int64(p.Servings))
	}
	for i := range r.Ingredients {
		b = r.Ingredients[i].appendCanonical(b)
	}
	return b
}

// appendCanonical appends a byte that says which fields are given, then those.
func (in *Ingredient) appendCanonical(b []byte) []byte {
	at := len(b)
	b = append(b, 0, 0)
	b = appendText(b, in.Food)
	b = appendQuantity(b, &in.Quantity)
	flags := 0
	if in.Name != "" {
		flags |= 1
		b = appendText(b, in.Name)
	}
	if in.State != "" {
		flags |= 1 << 1
		b = appendText(b, in.State)
	}
	if in.Basis != "" || in.CreditAs != "" || in.ExhibitAGroup != "" {
		flags |= 1 << 2
		b = appendText(appendText(appendText(b, in.Basis), in.CreditAs), in.ExhibitAGroup)
	}
	if in.SubRecipe != "" || in.Product != "" {
		flags |= 1 << 3
		b = appendText(appendText(b, in.SubRecipe), in.Product)
	}
	if !in.Share.IsZero() {
		flags |= 1 << 7
		b = in.Share.AppendKey(b)
	}
	more := byte('I')
	if in.NotCrediting {
		more |= 1 << 7
	}
	if in.Hidden {
		more |= 1 << 5
	}
	b[at], b[at+1] = more, byte(flags)
	return b
}

// appendText writes the length first, so that no two lists of texts run into
// the same bytes.
func appendText(b []byte, s string) []byte {
	b = binary.AppendUvarint(b, uint64(len(s)))
	return append(b, s...)
}

func appendQuantity(b []byte, q *measure.Quantity) []byte {
	if q.IsZero() {
		return append(b, '-')
	}
	b = append(b, '=')
	b = q.Amount().AppendKey(b)
	return appendText(b, q.Unit().ID)
}

func appendBool(b []byte, v bool) []byte {
	if v {
		return append(b, 'y')
	}
	return append(b, 'n')
}
