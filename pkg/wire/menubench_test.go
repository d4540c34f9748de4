package wire_test

import (
	"bytes"
	stdjson "encoding/json"
	"fmt"
	"testing"

	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// kitchenWeek is five days of three choices with four recipes each, every recipe of
// twelve ingredients with the names of its card: more than a line of a school has.
func kitchenWeek(lines int) *pb.ReviewRequest {
	foods := []string{"quinoa", "broccoli-frozen", "raisins", "whole-wheat-flour", "sorghum-flour-whole"}
	m := &pb.Menu{Program: "school-lunch", AgeGroup: "k-5", Site: "Copper Creek"}
	for l := range lines {
		line := &pb.MenuLine{Name: fmt.Sprint("line ", l)}
		for d := range 5 {
			day := &pb.MenuDay{Date: fmt.Sprint("2026-09-", 14+d), Meals: 400}
			for c := range 3 {
				choice := &pb.MenuChoice{Name: fmt.Sprint("choice ", c), Take: 1}
				for i := range 4 {
					r := &pb.Recipe{Name: fmt.Sprintf("Recipe %d of the Copper Creek kitchens", i), Servings: 400, ExhibitAGroup: "D"}
					for n := range 12 {
						g := &pb.Ingredient{Food: foods[(n+i)%len(foods)], Name: "as the card of the kitchen calls it", Quantity: fmt.Sprintf("%d lb %d oz", n+2, i+c)}
						if g.Food == "broccoli-frozen" {
							g.State = "cooked"
						}
						r.Ingredients = append(r.Ingredients, g)
					}
					choice.Items = append(choice.Items, &pb.MenuItem{Name: fmt.Sprint("Item ", i), Recipe: r, Planned: 100})
				}
				day.Choices = append(day.Choices, choice)
			}
			line.Days = append(line.Days, day)
		}
		m.Lines = append(m.Lines, line)
	}
	return &pb.ReviewRequest{Menu: m}
}

// A week of recipes is far from the bounds of a body, on twenty lines too.
func TestWeekFitsTheBody(t *testing.T) {
	for lines, most := range map[int]int{1: wire.MaxRequest / 2, 20: wire.MaxBatchBytes} {
		text, err := wire.AppendJSON(nil, kitchenWeek(lines))
		if err != nil {
			t.Fatal(err)
		}
		var pretty bytes.Buffer
		if err := stdjson.Indent(&pretty, text, "", "  "); err != nil {
			t.Fatal(err)
		}
		t.Logf("%d lines: %d bytes with every field, %d indented", lines, len(text), pretty.Len())
		if len(text) > most {
			t.Errorf("%d lines take %d bytes", lines, len(text))
		}
		if faults, ok := wire.ReadJSON(text, &pb.ReviewRequest{}); !ok || faults.Err() != nil {
			t.Errorf("%d lines: %v", lines, faults)
		}
	}
}

// BenchmarkReviewWeek reads, reviews and writes a week of recipes, beside one recipe
// of it.
func BenchmarkReviewWeek(b *testing.B) {
	ps, err := patterns.Default()
	if err != nil {
		b.Fatal(err)
	}
	r := menu.New(engine(), ps)
	for _, lines := range []int{1, 4} {
		week := kitchenWeek(lines)
		body, err := wire.AppendJSON(nil, week)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprint("lines=", lines), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(body)))
			for b.Loop() {
				m := &pb.ReviewRequest{}
				shape, _ := wire.ReadJSON(body, m)
				out, err := wire.Review(r, m, shape)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := wire.AppendJSON(nil, wire.ReviewMessage(out)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	one := kitchenWeek(1).GetMenu().GetLines()[0].GetDays()[0].GetChoices()[0].GetItems()[0].GetRecipe()
	b.Run("recipe", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := wire.Credit(engine(), &pb.CreditRequest{Recipe: one, ServiceDate: "2026-09-14", Program: "school-lunch"}, nil); err != nil {
				b.Fatal(err)
			}
		}
	})
}
