package reading_test

import (
	"bytes"
	"reflect"
	"testing"
	"unicode/utf8"

	"example.com/ozeq/pkg/kitchen/reading"
)

// holds checks what every reading owes: bounds, offsets, a food of the catalog,
// and that what is certain has nothing open.
func holds(t *testing.T, r *reading.Reading, text string) {
	t.Helper()
	if r.Servings < 0 || len(r.Lines) == 0 {
		t.Fatalf("servings %d, %d lines", r.Servings, len(r.Lines))
	}
	for i := range r.Lines {
		l := &r.Lines[i]
		if text != "" && text[l.Start:l.Start+len(l.Text)] != l.Text {
			t.Fatalf("%q does not stand at %d", l.Text, l.Start)
		}
		if l.AmountAt.Start < 0 || l.AmountAt.End > len(l.Text) || l.AmountAt.Start > l.AmountAt.End || !utf8.ValidString(l.Text[l.AmountAt.Start:l.AmountAt.End]) {
			t.Fatalf("%q: amount at %v", l.Text, l.AmountAt)
		}
		if l.Food != "" {
			if _, ok := catalog().Food(l.Food); !ok {
				t.Fatalf("%q: food %q", l.Text, l.Food)
			}
		}
		if !l.Quantity.IsZero() && l.Quantity.Amount().Sign() <= 0 {
			t.Fatalf("%q: amount %s", l.Text, l.Quantity)
		}
		told := l.Food != "" && !l.Quantity.IsZero()
		switch l.Certainty {
		case reading.Certain:
			if !told || len(l.Doubts) > 0 {
				t.Fatalf("%q is certain with %v", l.Text, l.Doubts)
			}
		case reading.Likely:
			if !told || len(l.Doubts) == 0 {
				t.Fatalf("%q is likely with %v", l.Text, l.Doubts)
			}
		default:
			if told || len(l.Doubts) == 0 {
				t.Fatalf("%q is unknown with %v", l.Text, l.Doubts)
			}
		}
		if len(l.Alternatives) > reading.MaxAlternatives {
			t.Fatalf("%d alternatives", len(l.Alternatives))
		}
	}
	d, err := r.Draft(reading.Confirmation{})
	if err != nil {
		t.Fatal(err)
	}
	certain, likely, unknown := r.Count()
	if len(d.Open) != likely+unknown || certain+likely+unknown != len(r.Lines) {
		t.Fatalf("%d open, %d likely, %d unknown", len(d.Open), likely, unknown)
	}
}

func FuzzText(f *testing.F) {
	f.Add(pumpkinSquares)
	f.Add("1-1/2 - 2 ½ c. (3⁄4 lb) 2 46-oz cans x 3 #10 + 1 pt\r\n12# a half dozen 1,5 kg of .5 T l lb")
	f.Add("Serves 4-6\nServing size: (\n#10\n(((((\n1 (15 oz)\n-2 cups\n85/15 8:1 16\" 138 ct")
	for _, name := range []string{"../../../testdata/published/lines.csv", "testdata/lines.csv"} {
		for _, x := range table(f, name) {
			f.Add(x.line)
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := reader().Text(text)
		again, err2 := reader().Text(text)
		if (err == nil) != (err2 == nil) || !reflect.DeepEqual(got, again) {
			t.Fatal("read twice, it differs")
		}
		if err != nil {
			if got != nil {
				t.Fatal("a reading and faults")
			}
			return
		}
		holds(t, got, text)
	})
}

func FuzzJSONLD(f *testing.F) {
	f.Add([]byte(chiliPage))
	f.Add([]byte(`[{"@type":"Recipe","name":{"@value":"a"},"recipeYield":4,"ingredients":"1 cup sugar"}]`))
	f.Add([]byte(`{"@graph":{"@graph":[{"@type":"Recipe"}]}}`))
	f.Add(bytes.Repeat([]byte("["), 40))
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := reader().JSONLD(data)
		if err != nil {
			if got != nil {
				t.Fatal("a reading and faults")
			}
			return
		}
		holds(t, got, "")
	})
}
