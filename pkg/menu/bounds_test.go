package menu_test

import (
	"errors"
	"fmt"
	"testing"

	"example.com/ozeq/pkg/menu"
)

// barWeek is a week of one bar a day, of which a child takes some; each item is of
// two subgroups, in amounts of its own on each day.
func barWeek(take, items int, amounts func(item, day int) (string, string)) menu.Menu {
	subgroups := []string{"dark-green", "red-orange", "beans-peas-lentils", "starchy", "other"}
	m := menu.Menu{Program: "school-lunch", AgeGroup: "9-12", Lines: []menu.Line{{Name: "main"}}}
	on := date("2026-09-14")
	for d := range 5 {
		c := menu.Choice{Name: "bar", Take: take, Same: menu.NotAllowed}
		for i := range items {
			a, b := amounts(i, d)
			c.Items = append(c.Items, item(fmt.Sprint("Vegetable ", i), subgroups[i%5], a, subgroups[(i+1)%5], b))
		}
		m.Lines[0].Days = append(m.Lines[0].Days, menu.Day{On: on, Choices: []menu.Choice{c}})
		on = on.Next()
	}
	return m
}

// A bar of vegetables in eighths has an answer, however many it has.
func TestBarsAreAnswered(t *testing.T) {
	for _, take := range []int{2, 3, 6} {
		m := barWeek(take, 20, func(i, d int) (string, string) { return fmt.Sprintf("%d/8", 1+(i+d)%3), "1/8" })
		if c, _ := find(review(t, m), "main", menu.Subgroups, "", ""); c.Verdict != menu.Met && c.Verdict != menu.NotMet {
			t.Errorf("take %d: %+v", take, c)
		}
	}
}

// uneven are amounts of which any few add up to something of their own.
func uneven(i, d int) (string, string) {
	primes := []int{2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73, 79, 83, 89, 97}
	p, q := primes[(i*7+d)%25], primes[(i*3+d)%25]
	return fmt.Sprintf("%d/%d", 127*p+1, 1000*p), fmt.Sprintf("%d/%d", 20*q+1, 1000*q)
}

// A review ends with the error of whoever waits for it, wherever it is by then.
func TestUntil(t *testing.T) {
	gone := errors.New("nobody waits")
	m := barWeek(2, 12, uneven)
	asked := 0
	if r, err := reviewer(t).Until(func() error { asked++; return nil }).Review(m); err != nil || r == nil || asked < 20 {
		t.Fatalf("%v, asked %d times", err, asked)
	}
	for _, last := range []int{0, 1, 4, asked / 2, asked - 1} {
		n := 0
		r, err := reviewer(t).Until(func() error {
			if n++; n > last {
				return gone
			}
			return nil
		}).Review(m)
		if r != nil || err != gone {
			t.Errorf("stopped after %d of %d: %v, %v", last, asked, r, err)
		}
	}
}
