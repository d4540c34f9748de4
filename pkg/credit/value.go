package credit

import (
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
)

// ruleKey names a rule the engine reads. A request looks each up in the rule
// set at most once.
type ruleKey uint8

const (
	gramsPerOunce ruleKey = iota
	grainsUnit
	bakedGrams
	cookedGrams
	cerealGrams
	cookedCups
	popcornCups
	flakesCups
	puffedCups
	granolaCups
	servingGrams
	servingDryGrams
	servingCookedCups
	producePerCup
	leafyFactor
	driedFactor
	driedLeast
	otherMetWith
	legumeCups
	grainsStep
	meatsStep
	fruitsStep
	vegetablesStep
	ruleKeys // how many there are
)

var ruleIDs = [ruleKeys]string{
	"measure/grams-per-ounce", "grains/unit", "grains/grams/baked", "grains/grams/cooked", "grains/grams/cereal",
	"grains/cups/cooked", "grains/cups/popcorn", "grains/cups/flakes", "grains/cups/puffed", "grains/cups/granola", "grains/grams/serving", "grains/grams/serving-dry", "grains/cups/serving-cooked",
	"produce/as-served", "vegetables/raw-leafy-factor", "fruits/dried-factor", "fruits/dried-least", "vegetables/other-met-with", "legumes/cups-per-oz-eq",
	"credit/step/grains", "credit/step/meats", "credit/step/fruits", "credit/step/vegetables",
}

// id returns the rule's id in the rule data.
func (k ruleKey) id() string { return ruleIDs[k] }

// stepOf returns the rule of the step a component is rounded down to.
func stepOf(c food.Component) ruleKey {
	return [...]ruleKey{food.Grains: grainsStep, food.Meats: meatsStep, food.Fruits: fruitsStep, food.Vegetables: vegetablesStep}[c]
}

// value returns the value of a rule in force, or nil.
func (w *work) value(k ruleKey) *rules.Value {
	if !w.looked[k] {
		w.lookUp(k)
	}
	return w.values[k]
}

// lookUp remembers what value returns.
func (w *work) lookUp(k ruleKey) {
	w.looked[k] = true
	if w.rs.Has(ruleIDs[k]) { // a fault about it is costly
		w.values[k], _ = w.rs.Get(ruleIDs[k])
	}
}

// inForce returns the value of a rule, or nil with the fault that it is not in
// force.
func (w *work) inForce(k ruleKey) *rules.Value {
	if v := w.value(k); v != nil {
		return v
	}
	_, err := w.rs.Get(ruleIDs[k])
	w.notInForce(err)
	return nil
}

// rule applies the value of a rule, or adds the fault that it is not in force.
func (w *work) rule(c *chain, op Op, k ruleKey) {
	if v := w.inForce(k); v != nil {
		c.by(op, v)
	}
}

// notInForce adds a fault about a missing rule, once.
func (w *work) notInForce(err error) {
	f, ok := err.(fault.Fault)
	if !ok {
		return
	}
	for _, g := range w.faults.Faults {
		if g == f {
			return
		}
	}
	w.faults.Add(f)
}
