package reading

import (
	"strconv"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/recipe"
)

// Answer is what somebody says of one line. Exactly one of AsRead, Alternative,
// Own and LeaveOut is set.
type Answer struct {
	Line        int     // index in [Reading.Lines]
	AsRead      bool    // the reading is right as it stands
	Alternative int     // this alternative is right, counted from 1
	Own         *Choice // this is right; an amount left out is the line's
	LeaveOut    bool    // the line is no ingredient, or not every portion has it
}

// Confirmation is what somebody says of a reading.
type Confirmation struct {
	Servings int // servings the batch makes; 0 takes what was read, when nothing about it is doubted
	Lines    []Answer
}

// Open is a line that is held out of every credit until somebody confirms it.
type Open struct {
	Line       int // index in [Reading.Lines]
	Ingredient int // index in the draft's ingredients; -1 when food or amount is unknown, and nothing stands for it there
}

// Draft is a recipe to look at before everything is confirmed.
type Draft struct {
	Recipe *recipe.Recipe
	// Open are the lines that credit nothing yet, in their order. What the
	// draft credits holds only for the other lines. Whether it is whole
	// grain-rich, what it contains and what is to be cautioned of are not known
	// before all of them are confirmed.
	Open []Open
	// At is, for each line of the reading, the index of its ingredient in the
	// recipe; -1 when nothing stands for it there.
	At []int
	// ServingsDoubt is what is to be confirmed about the servings, or empty.
	ServingsDoubt string
}

// Recipe returns the recipe to credit. Certain lines stand as they were read.
// Each likely or unknown line needs an answer; without one it is refused, so
// that nothing is credited which nobody has said is right. All that is missing
// comes back at once, as a *fault.List: of lines with their own paths, of
// answers under "answers".
func (r *Reading) Recipe(c Confirmation) (*recipe.Recipe, error) {
	faults := &fault.List{}
	d := r.draft(c, faults)
	for _, o := range d.Open {
		l := &r.Lines[o.Line]
		want, fix := "somebody's confirmation of what was read", "Confirm it as read, take one of the alternatives, say what is right, or leave the line out."
		if l.Certainty == Unknown {
			want, fix = "the food and how much of it", "Say the food and the amount, or leave the line out."
		}
		if len(l.Doubts) > 0 {
			fix = l.Doubts[0].Words + " " + fix
		}
		faults.Add(fault.Fault{Reason: fault.Missing, Path: l.Path, Value: l.Text, Want: want, Fix: fix})
	}
	if d.ServingsDoubt != "" {
		faults.Add(fault.Fault{Reason: fault.Missing, Path: "servings", Value: r.ServingsText, Want: "the servings the batch makes", Fix: d.ServingsDoubt})
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return d.Recipe, nil
}

// Draft returns the recipe with every line that is neither certain nor
// confirmed held out of the credit, and says which those are. Faults are of the
// answers only.
func (r *Reading) Draft(c Confirmation) (*Draft, error) {
	faults := &fault.List{}
	d := r.draft(c, faults)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return d, nil
}

func (r *Reading) draft(c Confirmation, faults *fault.List) *Draft {
	answers := r.answers(c, faults)
	rec := &recipe.Recipe{Name: r.Name, Servings: r.Servings}
	d := &Draft{Recipe: rec, At: make([]int, len(r.Lines)), ServingsDoubt: r.ServingsDoubt}
	switch {
	case c.Servings < 0 || c.Servings > recipe.MaxServings:
		faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: "servings", Value: strconv.Itoa(c.Servings), Want: "a whole number from 1 to 1000000", Fix: "Count the portions the batch actually gives."})
	case c.Servings > 0:
		rec.Servings, d.ServingsDoubt = c.Servings, ""
	case r.Servings == 0 && d.ServingsDoubt == "":
		d.ServingsDoubt = "The text does not say how many servings the batch makes."
	}
	if r.PortionDoubt == "" && (r.PortionName != "" || !r.PortionWeight.IsZero() || !r.PortionVolume.IsZero()) {
		rec.Portions = []recipe.Portion{{Name: r.PortionName, Weight: r.PortionWeight, Measure: r.PortionVolume}}
	}
	for i := range r.Lines {
		l := &r.Lines[i]
		take, confirmed := l.Choice, l.Certainty == Certain
		d.At[i] = -1
		if a := answers[i]; a != nil {
			switch {
			case a.LeaveOut:
				continue
			case a.Alternative > 0:
				take = l.Alternatives[a.Alternative-1].Choice
			case a.Own != nil:
				take = *a.Own
				if take.Quantity.IsZero() {
					take.Quantity = l.Quantity
				}
			}
			confirmed = true
			if take.Food == "" || take.Quantity.IsZero() {
				confirmed = false
			}
		}
		if !confirmed {
			at := -1
			if take.Food != "" && !take.Quantity.IsZero() {
				at = len(rec.Ingredients)
			}
			d.Open = append(d.Open, Open{i, at})
			if at < 0 {
				continue
			}
		}
		d.At[i] = len(rec.Ingredients)
		rec.Ingredients = append(rec.Ingredients, recipe.Ingredient{Food: take.Food, Name: cut(l.Name, recipe.MaxName), Quantity: take.Quantity,
			Basis: take.Basis, State: take.State, NotCrediting: !confirmed})
	}
	return d
}

// answers checks the answers and puts each beside its line.
func (r *Reading) answers(c Confirmation, faults *fault.List) []*Answer {
	out := make([]*Answer, len(r.Lines))
	for i := range c.Lines {
		a := &c.Lines[i]
		path := fault.Index("answers", i)
		given := 0
		for _, is := range []bool{a.AsRead, a.Alternative != 0, a.Own != nil, a.LeaveOut} {
			if is {
				given++
			}
		}
		switch {
		case a.Line < 0 || a.Line >= len(r.Lines):
			faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path + ".line", Value: strconv.Itoa(a.Line), Want: "the index of a line of the reading, from 0", Fix: "Count the ingredients only, not what was skipped."})
			continue
		case given != 1:
			faults.Add(fault.Fault{Reason: fault.Conflicting, Path: path, Want: "one of asRead, alternative, own and leaveOut", Fix: "Say one thing of the line."})
			continue
		case a.Alternative < 0 || a.Alternative > len(r.Lines[a.Line].Alternatives):
			faults.Add(fault.Fault{Reason: fault.OutOfRange, Path: path + ".alternative", Value: strconv.Itoa(a.Alternative), Want: "the number of one of the line's alternatives, from 1", Fix: "See the alternatives of the line."})
			continue
		case out[a.Line] != nil:
			faults.Add(fault.Fault{Reason: fault.Conflicting, Path: path + ".line", Value: strconv.Itoa(a.Line), Want: "one answer for each line", Fix: "Leave one of the two out."})
			continue
		}
		out[a.Line] = a
	}
	return out
}
