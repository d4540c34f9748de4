package report_test

import (
	"bytes"
	"os"
	"strings"
	"sync"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/kitchen/reading"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules"
)

var wholeCatalog = sync.OnceValue(func() *food.Catalog {
	c, err := food.Default()
	if err != nil {
		panic(err)
	}
	return c
})

var cards = sync.OnceValue(func() *reading.Reader { return reading.New(wholeCatalog()) })

// read reads a card and answers it.
func read(t *testing.T, name string, c reading.Confirmation) (*reading.Reading, *reading.Draft) {
	t.Helper()
	data, err := os.ReadFile("testdata/cards/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var r *reading.Reading
	if strings.HasSuffix(name, ".json") {
		r, err = cards().JSONLD(data)
	} else {
		r, err = cards().Text(string(data))
	}
	if err != nil {
		t.Fatal(err)
	}
	d, err := r.Draft(c)
	if err != nil {
		t.Fatal(err)
	}
	return r, d
}

func TestReadingGolden(t *testing.T) {
	for name, c := range map[string]reading.Confirmation{
		"bean-bake.txt":  {},
		"bean-bake.json": {Servings: 50, Lines: []reading.Answer{{Line: 1, AsRead: true}, {Line: 2, Alternative: 1}}},
	} {
		r, d := read(t, name, c)
		var b bytes.Buffer
		if err := report.Reading(&b, r, d, wholeCatalog()); err != nil {
			t.Fatal(err)
		}
		printable(t, b.String())
		golden(t, "reading-"+strings.ReplaceAll(name, ".", "-"), b.Bytes())
	}
}

// A record of a draft begins with what nobody has confirmed.
func TestDraftedGolden(t *testing.T) {
	rs, err := rules.Default()
	if err != nil {
		t.Fatal(err)
	}
	r, d := read(t, "bean-bake.txt", reading.Confirmation{})
	d.Recipe.ExhibitAGroup = "D"
	rec, err := credit.New(rs, wholeCatalog()).Credit(credit.Request{Recipe: d.Recipe, On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-lunch"})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := report.Drafted(&b, rec, r, d); err != nil {
		t.Fatal(err)
	}
	printable(t, b.String())
	top, _, _ := strings.Cut(b.String(), "\nTHE WORK")
	golden(t, "reading-draft", []byte(top+"\n"))
}

func TestReadingWriteErrors(t *testing.T) {
	r, d := read(t, "bean-bake.txt", reading.Confirmation{})
	if err := report.Reading(full{}, r, d, wholeCatalog()); err == nil {
		t.Error("no error")
	}
	if err := report.Drafted(full{}, &credit.Record{}, r, d); err == nil {
		t.Error("no error")
	}
}
