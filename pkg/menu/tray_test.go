package menu_test

import (
	"slices"
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/menu"
)

func taken(items ...menu.Item) []menu.Taken {
	var out []menu.Taken
	for _, it := range items {
		out = append(out, menu.Taken{Item: it})
	}
	return out
}

func tray(t *testing.T, tr menu.Tray) *menu.TrayAnswer {
	t.Helper()
	a, err := reviewer(t).Tray(tr)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// At lunch one of fruits and vegetables counts from 1/2 cup, the other in full
// only; the least amount of any other component does not count in part.
func TestLunchTrays(t *testing.T) {
	sandwich, milk := item("Sandwich", "grains", "2", "meats", "2"), item("Milk", "milk", "1")
	for _, q := range []struct {
		name    string
		items   []menu.Item
		want    menu.Verdict
		counted int
		add     []string
	}{
		{"half a cup of vegetables is enough", []menu.Item{sandwich, item("Carrots", "red-orange", "1/2")}, menu.Met, 3, nil},
		{"3/8 cup is not", []menu.Item{sandwich, item("Carrots", "red-orange", "3/8")}, menu.NotMet, 2, []string{"1/2 cup fruits", "1/8 cup vegetables"}},
		{"three components without fruit or vegetable", []menu.Item{sandwich, milk}, menu.NotMet, 3, []string{"1/2 cup fruits", "1/2 cup vegetables"}},
		{"half fruit and half vegetables are one short component and one that counts", []menu.Item{milk, item("Pear", "fruits", "1/2"), item("Carrots", "red-orange", "1/2")}, menu.NotMet, 2,
			[]string{"1/2 cup vegetables", "2 oz eq grains", "2 oz eq meats"}},
		{"milk alone", []menu.Item{milk}, menu.NotMet, 1, []string{"1/2 cup fruits, and 1 more of the components in full", "1/2 cup vegetables, and 1 more of the components in full"}},
	} {
		a := tray(t, menu.Tray{Program: "school-lunch", AgeGroup: "9-12", On: date("2026-09-14"), Taken: taken(q.items...)})
		if a.Verdict != q.want || a.Counted != q.counted {
			t.Errorf("%s: %s with %d %s %v", q.name, a.Verdict, a.Counted, a.Of, a.Names)
		}
		if !slices.Equal(a.Add, q.add) {
			t.Errorf("%s: add %q, want %q", q.name, a.Add, q.add)
		}
	}
}

// At breakfast the size of a fruit item is an option, and so is what a dish of two
// components counts as.
func TestBreakfastTrays(t *testing.T) {
	grapes, muffin, milk := item("Grapes", "fruits", "1"), item("Muffin", "grains", "2"), item("Milk", "milk", "1")
	tr := menu.Tray{Program: "school-breakfast", AgeGroup: "k-5", On: date("2026-09-14"), Taken: taken(muffin, grapes, milk)}
	if a := tray(t, tr); a.Counted != 5 || a.Verdict != menu.Met {
		t.Errorf("%d items, %s", a.Counted, a.Verdict)
	}
	tr.Options = map[string]string{"breakfast-fruit-item": "cup"}
	if a := tray(t, tr); a.Counted != 4 {
		t.Errorf("%d items", a.Counted)
	}
	sandwich := item("Egg sandwich", "grains", "1", "meats", "1")
	tr.Options, tr.Taken = nil, taken(sandwich, item("Juice", "fruits", "1/2"))
	if a := tray(t, tr); a.Verdict != menu.Met {
		t.Errorf("%s with %d items", a.Verdict, a.Counted)
	}
	sandwich.CountAs = 1
	tr.Taken = taken(sandwich, item("Juice", "fruits", "1/2"))
	if a := tray(t, tr); a.Verdict != menu.NotMet || a.Add[0] != "1 more of the items offered" {
		t.Errorf("%s, add %q", a.Verdict, a.Add)
	}
}

// With three items offered nothing may be declined, and without the offer that is
// not checked.
func TestTooFewItemsOffered(t *testing.T) {
	items := []menu.Item{item("Toast", "grains", "1"), item("Melon", "fruits", "1/2"), item("Milk", "milk", "1")}
	day := plate("2026-09-14", items...)
	tr := menu.Tray{Program: "school-breakfast", AgeGroup: "k-5", On: date("2026-09-14"), Taken: taken(items...), Offered: &day}
	if a := tray(t, tr); a.Verdict != menu.NotMet {
		t.Errorf("%s", a.Verdict)
	}
	tr.Offered = nil
	a := tray(t, tr)
	if a.Verdict != menu.Met || !slices.ContainsFunc(a.Checks, func(c menu.Check) bool { return c.Rule == "offer/items" && c.Verdict == menu.NotChecked }) {
		t.Errorf("%s: %+v", a.Verdict, a.Checks)
	}
}

// Half a portion is half the credit, and a credit without its paper is at risk.
func TestPortionsAndPapersOnTrays(t *testing.T) {
	pear, plateful := item("Pear", "fruits", "1/2"), item("Plate", "grains", "2", "meats", "2")
	tr := menu.Tray{Program: "school-lunch", AgeGroup: "k-5", On: date("2026-09-14"), Taken: taken(pear, plateful)}
	if a := tray(t, tr); a.Verdict != menu.Met {
		t.Errorf("%s", a.Verdict)
	}
	tr.Taken[0].Portions = exact.Frac(1, 2)
	if a := tray(t, tr); a.Verdict != menu.NotMet {
		t.Errorf("half a pear: %s", a.Verdict)
	}
	tr.Taken[0].Portions = exact.Int(1)
	tr.Taken[1].Item.Paper = ""
	if a := tray(t, tr); a.Verdict != menu.AtRisk {
		t.Errorf("no paper: %s", a.Verdict)
	}
}
