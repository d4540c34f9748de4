package credit_test

import (
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
)

func served(amount, f string) line {
	return line{amount: amount, food: f, state: "cooked", basis: "as-served"}
}

// meal-patterns.md, section 1: other vegetables may be met with additional dark
// green, red/orange and beans, never with starchy.
func TestOtherVegetablesAreFilled(t *testing.T) {
	cabbage := served("6 cup", "cabbage-green-fresh")    // 0.06 other
	spinach := served("7 cup", "spinach-fresh")          // 0.07 dark green
	carrots := served("17 cup", "carrots-fresh")         // 0.17 red/orange, 0.045 left over
	corn := served("12 cup", "corn-frozen")              // 0.12 starchy
	beans := served("12 cup", "black-beans-dry")         // 0.12 beans
	mixed := served("12 cup", "mixed-vegetables-frozen") // of no known subgroup
	none := map[credit.Basis]string{credit.OtherAlone: ""}
	own := map[credit.Basis]string{credit.OtherAlone: "0"}

	r := lunch(t, batch(t, 100, cabbage, spinach, carrots))
	expect(t, r, food.Vegetables, food.NoSubgroup, "1/4", "0.3", nil)
	expect(t, r, food.Vegetables, food.DarkGreen, "0", "0.07", nil)
	expect(t, r, food.Vegetables, food.RedOrange, "1/8", "0.17", nil)
	expect(t, r, food.Vegetables, food.OtherVegetables, "1/8", "0.175", own)
	if c, ok := newKitchen(t).must(t, r).SubgroupCredit(food.Vegetables, food.Additional); ok {
		t.Errorf("%s is left, want nothing: the subgroups credit the total", c.Credited)
	}

	// Beans fill it as vegetables, not as meats.
	expect(t, lunch(t, batch(t, 100, cabbage, beans)), food.Vegetables, food.OtherVegetables, "1/8", "0.18", own)
	beans.as = "meats"
	expect(t, lunch(t, batch(t, 100, cabbage, beans)), food.Vegetables, food.OtherVegetables, "0", "0.06", none)

	// Starchy and mixed do not.
	expect(t, lunch(t, batch(t, 100, cabbage, corn)), food.Vegetables, food.OtherVegetables, "0", "0.06", none)
	expect(t, lunch(t, batch(t, 100, cabbage, mixed)), food.Vegetables, food.OtherVegetables, "0", "0.06", none)

	// A dish without other vegetables, and one whose remainders do not reach 1/8.
	expect(t, lunch(t, batch(t, 100, spinach, served("11 cup", "carrots-fresh"))), food.Vegetables, food.OtherVegetables, "1/8", "0.18", own)
	if c, ok := newKitchen(t).must(t, lunch(t, batch(t, 100, spinach, corn))).SubgroupCredit(food.Vegetables, food.OtherVegetables); ok {
		t.Errorf("other vegetables of %s from spinach alone", c.Exact)
	}
	expect(t, lunch(t, batch(t, 100, spinach, corn)), food.Vegetables, food.Additional, "1/8", "1/8", nil)

	// Where filling changes no credit it still decides what the next step takes.
	r = lunch(t, batch(t, 100, served("20 cup", "cabbage-green-fresh"), carrots))
	expect(t, r, food.Vegetables, food.OtherVegetables, "1/8", "0.245", none)
	c, _ := newKitchen(t).must(t, r).SubgroupCredit(food.Vegetables, food.OtherVegetables)
	if got := c.ToNext.Amount.String(); got != "1/2" {
		t.Errorf("the next step takes %s cup more, want 1/2", got)
	}
}

// The rule is of the lunch pattern of 2012 and of a State's choice; elsewhere
// nothing is met with subgroups, and each stands on its own sum.
func TestOtherVegetablesAloneElsewhere(t *testing.T) {
	r := lunch(t, batch(t, 100, served("6 cup", "cabbage-green-fresh"), served("7 cup", "spinach-fresh")))
	for _, x := range []struct {
		program, on, choice, want string
	}{
		{"school-lunch", "2012-06-30", "", "0"},
		{"school-lunch", "2012-07-01", "", "1/8"},
		{"school-lunch", "2012-07-02", "", "1/8"},
		{"school-lunch", aDay, "filled", "1/8"},
		{"school-lunch", aDay, "alone", "0"},
		{"school-breakfast", aDay, "", "0"},
		{"afterschool-snack", aDay, "", "0"},
		{"preschool", aDay, "", "0"},
		{"child-adult-care", aDay, "", "0"},
		{"summer", aDay, "", "0"},
	} {
		r.Program, r.On, r.Options = x.program, day(t, x.on), nil
		if x.choice != "" {
			r.Options = map[string]string{"other-vegetables": x.choice}
		}
		exactly := "0.06"
		if x.want != "0" {
			exactly = "0.13"
		}
		expect(t, r, food.Vegetables, food.OtherVegetables, x.want, exactly, nil)
	}
}

// What fills other vegetables must be as documented as they are: an estimate
// that lifts them makes them one, and one that does not leaves them alone.
func TestWhatFillsOtherMustBeDocumented(t *testing.T) {
	k := newKitchen(t)
	guess := food.Own{ID: "guessed-greens", Name: "guessed greens", Components: []string{"vegetables"}, Subgroup: "dark-green",
		Figures: []food.OwnFigure{{State: "cooked", Component: "vegetables", Kind: "servings", Unit: "lb", Value: "4", Size: "1/4 cup"}}}
	for _, x := range []struct {
		other, claimable string
		status           credit.Status
	}{
		{"6 cup", "0", credit.Estimate},      // 0.06 + 0.07 of the guess
		{"14 cup", "1/8", credit.Documented}, // 0.14 by itself
	} {
		r := lunch(t, batch(t, 100, served(x.other, "cabbage-green-fresh"), line{amount: "7 lb", food: guess.ID, state: "cooked"}), guess)
		c, _ := k.must(t, r).SubgroupCredit(food.Vegetables, food.OtherVegetables)
		if c.Credited.String() != "1/8" || c.Claimable.String() != x.claimable || c.Status != x.status {
			t.Errorf("%s: credits %s, claimable %s, %s; want 1/8, %s, %s", x.other, c.Credited, c.Claimable, c.Status, x.claimable, x.status)
		}
	}
}

// No more of other vegetables is claimable than is credited, though documented
// figures alone would leave more over: 0.12 of 0.31, twice, and 0.02.
func TestClaimableOtherWithinTheCredit(t *testing.T) {
	guess := func(subgroup string) food.Own {
		return food.Own{ID: "guessed-" + subgroup, Name: "guessed " + subgroup, Components: []string{"vegetables"}, Subgroup: subgroup,
			Figures: []food.OwnFigure{{State: "cooked", Component: "vegetables", Kind: "servings", Unit: "lb", Value: "4", Size: "1/4 cup"}}}
	}
	r := lunch(t, batch(t, 100, served("2 cup", "cabbage-green-fresh"), served("12 cup", "spinach-fresh"), served("12 cup", "carrots-fresh"),
		line{amount: "19 lb", food: "guessed-dark-green", state: "cooked"}, line{amount: "19 lb", food: "guessed-red-orange", state: "cooked"}), guess("dark-green"), guess("red-orange"))
	expect(t, r, food.Vegetables, food.OtherVegetables, "1/8", "0.14", nil)
	c, _ := newKitchen(t).must(t, r).SubgroupCredit(food.Vegetables, food.OtherVegetables)
	if c.Claimable.String() != "1/8" {
		t.Errorf("%s is claimable of 1/8", c.Claimable)
	}
}

// A can of beans gives 27.8 or 45.0 quarter cups. Where either leaves the beans
// short of a step of their own but one of them fills other, the state is asked.
func TestStateIsAskedWhereItFillsOther(t *testing.T) {
	can := line{amount: "1 can no. 10", food: "black-beans-canned"} // of 100: 0.0695 or 0.1125
	_, err := newKitchen(t).engine.Credit(lunch(t, batch(t, 100, can, served("2 cup", "cabbage-green-fresh"), served("10 cup", "corn-frozen"))))
	if err == nil {
		t.Error("no question, and the state decides whether other vegetables reach 1/8")
	}
	r := lunch(t, batch(t, 100, can, served("2 cup", "cabbage-green-fresh"), served("10 cup", "corn-frozen")))
	r.Options = map[string]string{"other-vegetables": "alone"}
	newKitchen(t).must(t, r)
}
