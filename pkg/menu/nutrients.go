package menu

import (
	"slices"
	"strings"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules/patterns"
)

func (w *work) nutrients(it *Item, path string) {
	n := it.Nutrients
	if n == nil {
		return
	}
	for _, x := range []struct {
		name string
		is   exact.Number
	}{{"calories", n.Calories}, {"sodium", n.Sodium}, {"saturatedFat", n.SaturatedFat}, {"milkSaturatedFat", n.MilkSaturatedFat}, {"addedSugars", n.AddedSugars}} {
		if x.is.Sign() < 0 {
			w.fault(fault.OutOfRange, path+".nutrients."+x.name, x.is.String(), "an amount of one serving, not below 0", "Take it from the nutrition label or the recipe's analysis.")
		}
	}
	if n.TransFat != nil && n.TransFat.Sign() < 0 {
		w.fault(fault.OutOfRange, path+".nutrients.transFat", n.TransFat.String(), "grams of one serving, not below 0", "Take it from the label.")
	}
	if n.SaturatedFat.Less(n.MilkSaturatedFat) {
		w.fault(fault.Conflicting, path+".nutrients.milkSaturatedFat", n.MilkSaturatedFat.String(), "no more than the saturated fat of the item", "Saturated fat has the milk's in it: correct one of the two.")
	}
}

// average is what a meal of the week holds, by planned servings; each day counts
// alike.
type average struct{ calories, sodium, saturatedFat, addedSugars exact.Number }

// average returns it, or what is missing to work it out: of all of it, and of one
// nutrient by its name.
func (l *line) average() (a average, missing []string, of map[string][]string) {
	of = make(map[string][]string)
	miss := func(list []string, what string) []string {
		if slices.Contains(list, what) {
			return list
		}
		return append(list, what)
	}
	for i := range l.days {
		d := &l.days[i]
		if d.meals == 0 {
			missing = miss(missing, "the meals planned on "+d.on.String())
		}
		leftOut := d.says("saturated-fat/of-milk", "left-out")
		var sum average
		for _, s := range d.all {
			n := s.item.Nutrients
			if n == nil || s.item.Planned == 0 {
				missing = miss(missing, "nutrients and planned servings of "+s.item.Name)
				continue
			}
			for _, name := range n.Unsaid {
				if name != "saturatedFat" || !leftOut || s.item.Milk == nil || !s.onlyMilk() {
					of[name] = miss(of[name], nutrientNames[name]+" of "+s.item.Name)
				}
			}
			fat := n.SaturatedFat
			switch {
			case leftOut && s.item.Milk != nil && s.onlyMilk():
				fat = exact.Number{}
			case leftOut:
				fat = fat.Sub(n.MilkSaturatedFat)
			}
			by := exact.Int(int64(s.item.Planned))
			sum.calories = sum.calories.Add(by.Mul(n.Calories))
			sum.sodium = sum.sodium.Add(by.Mul(n.Sodium))
			sum.saturatedFat = sum.saturatedFat.Add(by.Mul(fat))
			sum.addedSugars = sum.addedSugars.Add(by.Mul(n.AddedSugars))
		}
		if d.meals == 0 {
			continue
		}
		by := exact.Int(int64(d.meals * len(l.days)))
		a.calories = a.calories.Add(sum.calories.Quo(by))
		a.sodium = a.sodium.Add(sum.sodium.Quo(by))
		a.saturatedFat = a.saturatedFat.Add(sum.saturatedFat.Quo(by))
		a.addedSugars = a.addedSugars.Add(sum.addedSugars.Quo(by))
	}
	return a, missing, of
}

// nutrientNames are the names of Nutrients in words.
var nutrientNames = map[string]string{"calories": "calories", "sodium": "sodium", "saturatedFat": "saturated fat", "addedSugars": "added sugars"}

// nutrientsOf are the nutrients a limit needs, by those names.
var nutrientsOf = map[string][]string{
	"nutrient/calories-least": {"calories"}, "nutrient/calories-most": {"calories"}, "nutrient/sodium": {"sodium"},
	"nutrient/saturated-fat": {"calories", "saturatedFat"}, "nutrient/added-sugars": {"calories", "addedSugars"},
}

// onlyMilk reports whether an item that is milk is nothing else: a packed meal with its
// milk has other fat too.
func (s *served) onlyMilk() bool {
	for _, p := range []part{grains, meats, fruits, vegetables} {
		if s.of(credited, p).Sign() > 0 {
			return false
		}
	}
	return true
}

// share returns the part of the calories that grams give.
func (a average) share(grams exact.Number, kcal int64) exact.Number {
	if a.calories.IsZero() {
		return exact.Number{}
	}
	return grams.Mul(exact.Int(kcal * 100)).Quo(a.calories)
}

// averages checks the limits on nutrients: means of a day over the week.
func (w *work) averages(l *line) {
	a, missing, of := l.average()
	if a.calories.IsZero() && len(missing) == 0 && len(of["calories"]) == 0 {
		missing = []string{"calories"}
	}
	is := map[string]exact.Number{
		"nutrient/calories-least": a.calories, "nutrient/calories-most": a.calories, "nutrient/sodium": a.sodium,
		"nutrient/saturated-fat": a.share(a.saturatedFat, 9), "nutrient/added-sugars": a.share(a.addedSugars, 4),
	}
	for _, rule := range []string{"nutrient/calories-least", "nutrient/calories-most", "nutrient/saturated-fat", "nutrient/added-sugars", "nutrient/sodium", "nutrient/trans-fat"} {
		for _, v := range l.values(rule, patterns.NoSpan) {
			n, counted := is[rule]
			missing := slices.Clone(missing)
			for _, name := range nutrientsOf[rule] {
				missing = append(missing, of[name]...)
			}
			c := Check{Rule: rule, Value: v.Value, Line: l.name, Days: len(l.days), Needed: v.Number, There: n, Unit: v.Unit, Verdict: Met}
			switch {
			case !counted:
				l.transFat(&c)
			case len(missing) > 0:
				c.Verdict, c.There = NotChecked, exact.Number{}
				c.Because, c.Mend = "not said: "+strings.Join(missing, ", "), "Give the nutrients of a serving and the planned servings of every item."
			case v.Rule.Kind == patterns.Least && n.Less(v.Number):
				c.Verdict, c.Short = NotMet, v.Number.Sub(n)
				c.Mend = "Plan larger portions, or another item."
			case v.Rule.Kind == patterns.Most && v.Number.Less(n), v.Rule.Kind == patterns.Below && !n.Less(v.Number):
				c.Verdict, c.Short = NotMet, n.Sub(v.Number)
				c.Mend = "Look at the items with the most of it times their planned servings: " + strings.Join(l.heaviest(rule), ", ") + "."
			}
			w.add(c)
		}
	}
}

// transFat holds the labels of every item to the limit a serving had.
func (l *line) transFat(c *Check) {
	var unsaid, over []string
	for i := range l.days {
		for _, s := range l.days[i].all {
			switch n := s.item.Nutrients; {
			case n == nil || n.TransFat == nil:
				unsaid = append(unsaid, s.item.Name)
			default:
				c.There = exact.Max(c.There, *n.TransFat)
				if !n.TransFat.Less(c.Needed) {
					over = append(over, s.item.Name)
				}
			}
		}
	}
	switch {
	case len(over) > 0:
		c.Verdict, c.Short = NotMet, c.There.Sub(c.Needed)
		c.Because = "it is in a serving of " + strings.Join(slices.Compact(slices.Sorted(slices.Values(over))), ", ")
		c.Mend = "Buy products whose label shows 0 g."
	case len(unsaid) > 0:
		c.Verdict, c.Because = NotChecked, "the trans fat of their labels is not said: "+strings.Join(slices.Compact(slices.Sorted(slices.Values(unsaid))), ", ")
		c.Mend = "Read it from the label of each product; what is natural in meat and dairy is left out."
	}
}

// heaviest names the three items of the week that bring most of what a limit is
// on.
func (l *line) heaviest(rule string) []string {
	var all []*Item
	for i := range l.days {
		for _, s := range l.days[i].all {
			all = append(all, s.item)
		}
	}
	return heaviest(all, rule)
}

// heaviest is that of any items; what has no nutrients brings nothing that is known.
func heaviest(items []*Item, rule string) []string {
	var names []string
	amount := make(map[string]exact.Number)
	for _, it := range items {
		n := it.Nutrients
		if n == nil {
			continue
		}
		x := n.Calories
		switch rule {
		case "nutrient/sodium":
			x = n.Sodium
		case "nutrient/saturated-fat":
			x = n.SaturatedFat.Sub(n.MilkSaturatedFat)
		case "nutrient/added-sugars":
			x = n.AddedSugars
		}
		if _, ok := amount[it.Name]; !ok {
			names = append(names, it.Name)
		}
		amount[it.Name] = amount[it.Name].Add(x.Mul(exact.Int(int64(it.Planned))))
	}
	slices.SortStableFunc(names, func(a, b string) int { return amount[b].Cmp(amount[a]) })
	return names[:min(3, len(names))]
}
