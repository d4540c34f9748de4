package patterns_test

import (
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// small is pattern data of every kind that loads. Each refusal below spoils one
// thing in a fresh copy of it.
func small() *patterns.File {
	life := func(from, to string) patterns.FileLife {
		return patterns.FileLife{From: from, To: to, Source: "PAPER", Section: "(c)", Mark: "read"}
	}
	weeks := func() (rows []patterns.FileRow) {
		for days := 3; days <= 7; days++ {
			rows = append(rows, patterns.FileRow{Rule: "least/fruits", Amounts: map[string]string{"small": "2 1/2", "big": "5"},
				FileLife: patterns.FileLife{Span: string(patterns.Week(days))}})
		}
		return rows
	}
	return &patterns.File{
		Documents: []rules.FileDocument{
			{ID: "PAPER", Title: "A paper somebody read", Edition: "2024", Publisher: "an agency", Mark: "read"},
			{ID: "RECALLED", Title: "A paper nobody read", Edition: "recalled", Publisher: "an agency", Mark: "memory"},
		},
		Patterns: []patterns.FilePattern{
			{Program: "lunch", Meals: []string{"lunch"}, Groups: []patterns.FileGroup{{ID: "small", Title: "The small"}, {ID: "big", Title: "The big", Ages: "11-18"}}},
			{Program: "care", Meals: []string{"lunch", "snack"}, Groups: []patterns.FileGroup{{ID: "all", Title: "All"}}},
		},
		Options: []rules.FileOption{{
			ID: "way", Title: "Which way", Programs: []string{"lunch"},
			Choices: []rules.FileChoice{{ID: "one", Title: "One way"}, {ID: "other", Title: "The other"}},
			Default: "one", Reason: "It is the stricter.", Source: "PAPER", Mark: "derived",
		}},
		Rules: []patterns.FileRule{
			{ID: "least/fruits", Title: "Fruits", Kind: "least", Unit: "cup"},
			{ID: "nutrient/sodium", Title: "Sodium", Kind: "most", Unit: "mg"},
			{ID: "milk/unflavored", Title: "Milk", Kind: "set", Words: []string{"low-fat", "whole"}},
			{ID: "offer/allowed", Title: "Offer versus serve", Kind: "word", Words: []string{"yes", "no"}},
		},
		Tables: []patterns.FileTable{
			{Programs: []string{"lunch"}, FileLife: life("2012-07-01", ""), Rows: weeks()},
			{Programs: []string{"lunch"}, FileLife: life("2012-07-01", "2019-06-30"), Rows: []patterns.FileRow{
				{Rule: "nutrient/sodium", Amounts: map[string]string{"small": "1230", "big": "1420"}},
			}},
			{Programs: []string{"lunch"}, FileLife: life("2019-07-01", ""), Rows: []patterns.FileRow{
				{Rule: "nutrient/sodium", Value: "none", FileLife: patterns.FileLife{Note: "repealed"}},
				{Rule: "milk/unflavored", Value: "low-fat, whole", Groups: []string{"big"}},
			}},
			{Programs: []string{"lunch"}, FileLife: life("2012-07-01", "2015-06-30"), Rows: []patterns.FileRow{
				{Rule: "offer/allowed", Value: "unknown", FileLife: patterns.FileLife{Source: "RECALLED", Mark: "memory", Note: "no source was found"}},
			}},
			{Programs: []string{"lunch"}, FileLife: life("2015-07-01", ""), Rows: []patterns.FileRow{
				{Rule: "offer/allowed", Value: "no", FileLife: patterns.FileLife{When: map[string]string{"way": "one"}}},
				{Rule: "offer/allowed", Value: "yes", FileLife: patterns.FileLife{When: map[string]string{"way": "other"}}},
			}},
			{Programs: []string{"care"}, Meals: []string{"snack"}, FileLife: life("2017-10-01", ""), Rows: []patterns.FileRow{
				{Rule: "least/fruits", Value: "1/2", Unit: "tbsp", FileLife: patterns.FileLife{Span: "meal", From: "2016-10-01", Earlier: "unknown", Start: "memory"}},
			}},
			{Programs: []string{"care"}, Meals: []string{"lunch"}, Groups: []string{"all"}, FileLife: life("2017-10-01", ""), Rows: []patterns.FileRow{
				{Rule: "least/fruits", Value: "1/4", FileLife: patterns.FileLife{Span: "meal", Source: "RECALLED", Mark: "memory"}},
			}},
		},
	}
}

func TestLoad(t *testing.T) {
	ps, err := patterns.Load(small())
	if err != nil {
		t.Fatal(err)
	}
	var keys []string
	for _, k := range ps.List() {
		keys = append(keys, k.String())
	}
	if want := []string{"lunch/lunch/small", "lunch/lunch/big", "care/lunch/all", "care/snack/all"}; !slices.Equal(keys, want) {
		t.Errorf("patterns %v, want %v", keys, want)
	}
	big := patterns.Key{Program: "lunch", Meal: "lunch", Group: "big"}
	v, err := at(t, ps, "2019-06-30", big, nil).Get("nutrient/sodium", patterns.NoSpan)
	if err != nil || v.ID() != "lunch/lunch/big/nutrient/sodium/2012-07-01" || v.Number.Fraction() != "1420" || v.Unit != "mg" || v.Source.Citation() != "A paper somebody read, (c), 2024, an agency" {
		t.Errorf("%+v, %v", v, err)
	}
	if f := v.Figure(); f.ID != v.ID() || f.Name != "Sodium" || f.Text != "1420" || f.Unit != "mg" || !f.Used.Equal(v.Number) || f.Source != v.Source {
		t.Errorf("as records carry it: %+v", f)
	}
	p := at(t, ps, "2019-07-01", big, map[string]string{"way": "other"})
	if v, err := p.Get("nutrient/sodium", patterns.NoSpan); err != nil || !v.None() || v.Note != "repealed" || len(p.Limits()) != 0 {
		t.Errorf("%+v, %v", v, err)
	}
	if v, err := p.Get("offer/allowed", patterns.NoSpan); err != nil || !v.Says("yes") || v.ID() != "lunch/lunch/big/offer/allowed/2015-07-01/way=other" {
		t.Errorf("%+v, %v", v, err)
	}
	if v, err := p.Get("milk/unflavored", patterns.NoSpan); err != nil || !slices.Equal(v.Words(), []string{"low-fat", "whole"}) {
		t.Errorf("%+v, %v", v, err)
	}
	snack := at(t, ps, "2016-10-01", patterns.Key{Program: "care", Meal: "snack", Group: "all"}, nil)
	m := snack.Minimums(patterns.Meal)
	if len(m) != 1 || m[0].Component != "fruits" || m[0].Subgroup != "" || m[0].Unit != "tbsp" || !m[0].EarlierUnknown || m[0].Start.String() != "memory" {
		t.Errorf("%+v", m)
	}
	meal := at(t, ps, "2017-10-01", patterns.Key{Program: "care", Meal: "lunch", Group: "all"}, nil)
	if m := meal.Minimums(patterns.Meal); len(m) != 1 || m[0].Source.Documented() || m[0].Source.Section != "" {
		t.Errorf("a row with a source of its own took the table's section: %+v", m)
	}
}

func TestLoadRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*patterns.File)
		names string // what the refusal must speak of
	}{
		"a value without a source":        {func(f *patterns.File) { f.Tables[1].Source = "" }, `source "" is not a document`},
		"a value of an unknown source":    {func(f *patterns.File) { f.Tables[1].Source = "HEARSAY" }, `"HEARSAY" is not a document`},
		"a value without a mark":          {func(f *patterns.File) { f.Tables[1].Mark = "" }, `mark "" is not known`},
		"a value of an unknown mark":      {func(f *patterns.File) { f.Tables[1].Mark = "sure" }, `mark "sure" is not known`},
		"a value read where nobody read":  {func(f *patterns.File) { f.Tables[6].Rows[0].Mark = "read" }, "nobody read RECALLED"},
		"a row's source without its mark": {func(f *patterns.File) { f.Tables[6].Rows[0].Mark = "" }, `mark "" is not known`},
		"an option without a source":      {func(f *patterns.File) { f.Options[0].Source = "" }, `source "" is not a document`},
		"an option without a reason":      {func(f *patterns.File) { f.Options[0].Reason = "" }, "option way"},
		"an option of one choice":         {func(f *patterns.File) { f.Options[0].Choices = f.Options[0].Choices[:1] }, "option way"},
		"an option for no program":        {func(f *patterns.File) { f.Options[0].Programs = nil }, "option way"},
		"an option of an unknown program": {func(f *patterns.File) { f.Options[0].Programs = []string{"lunch", "brunch"} }, `program "brunch" is not known`},
		"an option twice":                 {func(f *patterns.File) { f.Options = append(f.Options, f.Options[0]) }, "option way stands twice"},
		"a default that is no choice":     {func(f *patterns.File) { f.Options[0].Default = "neither" }, `default "neither"`},
		"a choice that decides nothing": {func(f *patterns.File) {
			f.Options[0].Choices = append(f.Options[0].Choices, rules.FileChoice{ID: "third", Title: "A third"})
		}, "way=third"},
		"a document of an unknown mark": {func(f *patterns.File) { f.Documents[0].Mark = "skimmed" }, `document "PAPER"`},
		"a document without an edition": {func(f *patterns.File) { f.Documents[0].Edition = "" }, `document "PAPER"`},
		"a document twice":              {func(f *patterns.File) { f.Documents = append(f.Documents, f.Documents[0]) }, `document "PAPER" stands twice`},
		"a pattern twice":               {func(f *patterns.File) { f.Patterns = append(f.Patterns, f.Patterns[0]) }, "pattern lunch/lunch/small stands twice"},
		"a program without meals":       {func(f *patterns.File) { f.Patterns[1].Meals = nil }, `patterns of "care"`},
		"a program without groups":      {func(f *patterns.File) { f.Patterns[1].Groups = nil }, `patterns of "care"`},
		"a group without a title":       {func(f *patterns.File) { f.Patterns[0].Groups[0].Title = "" }, `group "small" of lunch`},
		"a pattern without values":      {func(f *patterns.File) { f.Patterns[1].Meals = append(f.Patterns[1].Meals, "supper") }, "pattern care/supper/all: no values"},
		"a rule twice":                  {func(f *patterns.File) { f.Rules = append(f.Rules, f.Rules[0]) }, `rule "least/fruits" stands twice`},
		"a rule without a title":        {func(f *patterns.File) { f.Rules[0].Title = "" }, `rule "least/fruits"`},
		"a figure without a unit":       {func(f *patterns.File) { f.Rules[0].Unit = "" }, "rule least/fruits: a figure has a unit"},
		"a figure with words":           {func(f *patterns.File) { f.Rules[1].Words = []string{"much", "little"} }, "rule nutrient/sodium: a figure has a unit and no words"},
		"a word rule without words":     {func(f *patterns.File) { f.Rules[3].Words = nil }, "rule offer/allowed: words"},
		"a rule of an unknown kind":     {func(f *patterns.File) { f.Rules[1].Kind = "about" }, `kind "about" is not known`},
		"a minimum that is a limit":     {func(f *patterns.File) { f.Rules[0].Kind = "most" }, "rule least/fruits: its kind most"},
		"a printed end that is a limit": {func(f *patterns.File) { f.Rules[1].ID = "upper/sodium" }, "rule upper/sodium: its kind most"},
		"a rule without values": {func(f *patterns.File) {
			f.Rules = append(f.Rules, patterns.FileRule{ID: "nutrient/fat", Title: "Fat", Kind: "most", Unit: "g"})
		}, `rule "nutrient/fat": no value`},
		"a value of no rule":             {func(f *patterns.File) { f.Tables[1].Rows[0].Rule = "nutrient/salt" }, "row 1 (nutrient/salt): no such rule"},
		"a table for no program":         {func(f *patterns.File) { f.Tables[1].Programs = nil }, "table 2: programs and rows"},
		"a table for an unknown program": {func(f *patterns.File) { f.Tables[1].Programs[0] = "brunch" }, `program "brunch" is not known`},
		"a table for an unknown meal":    {func(f *patterns.File) { f.Tables[5].Meals[0] = "brunch" }, `no meal "brunch" in care`},
		"a table for an unknown group":   {func(f *patterns.File) { f.Tables[6].Groups[0] = "none" }, `group "none" is not in these programs`},
		"a row for an unknown group":     {func(f *patterns.File) { f.Tables[2].Rows[1].Groups[0] = "huge" }, `group "huge" is not in these programs`},
		"an amount for an unknown group": {func(f *patterns.File) { f.Tables[1].Rows[0].Amounts["huge"] = "1" }, `group "huge" is not in these programs`},
		"an amount outside its table":    {func(f *patterns.File) { f.Tables[1].Groups = []string{"big"} }, `group "small" is not of this table`},
		"amounts beside groups":          {func(f *patterns.File) { f.Tables[1].Rows[0].Groups = []string{"big"} }, "amounts name their groups"},
		"an overlap of one day":          {func(f *patterns.File) { f.Tables[2].From = "2019-06-30" }, "lunch/lunch/big/nutrient/sodium/: the value from 2019-06-30 overlaps the one from 2012-07-01"},
		"an overlap of two open ends":    {func(f *patterns.File) { f.Tables[1].To = "" }, "overlaps"},
		"an overlap in one group":        {func(f *patterns.File) { f.Tables[2].Rows = append(f.Tables[2].Rows, f.Tables[2].Rows[1]) }, "lunch/lunch/big/milk/unflavored/: the value from 2019-07-01 overlaps"},
		"an overlap of one choice":       {func(f *patterns.File) { f.Tables[4].Rows[1].When["way"] = "one" }, "with way=one: the value from 2015-07-01 overlaps"},
		"an overlap of choice and none":  {func(f *patterns.File) { f.Tables[3].To = "2015-07-01" }, "with way=other: the value from 2015-07-01 overlaps"},
		"a gap of one day":               {func(f *patterns.File) { f.Tables[2].From = "2019-07-02" }, "lunch/lunch/small/nutrient/sodium/: nothing from 2019-07-01 to 2019-07-01"},
		"a gap under one choice":         {func(f *patterns.File) { f.Tables[4].Rows[1].From = "2016-07-01" }, "with way=other: nothing from 2015-07-01 to 2016-06-30"},
		"a gap before one choice": {func(f *patterns.File) {
			f.Tables[3] = patterns.FileTable{Programs: f.Tables[1].Programs, FileLife: f.Tables[4].FileLife, Rows: f.Tables[4].Rows[:1]}
			f.Tables[4].Rows = f.Tables[4].Rows[1:]
			f.Tables[4].From = "2015-07-02"
		}, "with way=other: nothing from 2015-07-01 to 2015-07-01"},
		"an end nothing takes over":          {func(f *patterns.File) { f.Tables[2].To = "2020-06-30" }, "ends on 2020-06-30 and nothing takes over"},
		"an end of one choice":               {func(f *patterns.File) { f.Tables[4].Rows[0].From, f.Tables[4].Rows[0].To = "2015-07-01", "2020-06-30" }, "with way=one: ends on 2020-06-30 and nothing takes over"},
		"an end before the start":            {func(f *patterns.File) { f.Tables[1].To = "2012-06-30" }, "ends before it starts"},
		"no start":                           {func(f *patterns.File) { f.Tables[1].From = "" }, "from:"},
		"a start that is no day":             {func(f *patterns.File) { f.Tables[1].From = "2013-02-29" }, "from:"},
		"an end that is no day":              {func(f *patterns.File) { f.Tables[1].To = "2019-06-31" }, "to:"},
		"an earlier that is a day":           {func(f *patterns.File) { f.Tables[1].Earlier = "2011-07-01" }, "earlier is"},
		"a start of an unknown mark":         {func(f *patterns.File) { f.Tables[1].Start = "maybe" }, `start: mark "maybe"`},
		"an unknown span":                    {func(f *patterns.File) { f.Tables[1].Span = "month" }, `span "month" is not known`},
		"a week of two days":                 {func(f *patterns.File) { f.Tables[0].Rows[0].Span = "week-2" }, `span "week-2" is not known`},
		"a week length left out":             {func(f *patterns.File) { f.Tables[0].Rows = f.Tables[0].Rows[1:] }, "lunch/lunch/big/least/fruits: week-4 is there, week-3 is not"},
		"a choice of an unknown option":      {func(f *patterns.File) { f.Tables[4].Rows[0].When = map[string]string{"whim": "one"} }, "option whim=one is not known"},
		"a choice the option does not have":  {func(f *patterns.File) { f.Tables[4].Rows[0].When["way"] = "neither" }, "option way=neither is not known"},
		"a choice where it does not matter":  {func(f *patterns.File) { f.Options[0].Programs = []string{"care"} }, `option way does not matter in program "lunch"`},
		"neither value nor amounts":          {func(f *patterns.File) { f.Tables[1].Rows[0].Amounts = nil }, "give a value or amounts"},
		"both value and amounts":             {func(f *patterns.File) { f.Tables[1].Rows[0].Value = "1" }, "give a value or amounts"},
		"a figure that is no number":         {func(f *patterns.File) { f.Tables[1].Rows[0].Amounts["big"] = "much" }, "row 1 (nutrient/sodium):"},
		"a figure below nothing":             {func(f *patterns.File) { f.Tables[1].Rows[0].Amounts["big"] = "-1" }, "row 1 (nutrient/sodium):"},
		"a word the rule does not have":      {func(f *patterns.File) { f.Tables[4].Rows[0].Value = "maybe" }, `"maybe" is not one of yes, no`},
		"a set with a word it does not have": {func(f *patterns.File) { f.Tables[2].Rows[1].Value = "low-fat, skim" }, `"skim" is not one of low-fat, whole`},
		"a set with a word twice":            {func(f *patterns.File) { f.Tables[2].Rows[1].Value = "whole, whole" }, `"whole" stands twice`},
		"a set run together":                 {func(f *patterns.File) { f.Tables[2].Rows[1].Value = "low-fat,whole" }, `"low-fat,whole" is not one of`},
		"two choices at once": {func(f *patterns.File) {
			second := f.Options[0]
			second.ID = "pace"
			f.Options = append(f.Options, second)
			f.Tables[4].Rows[0].When = map[string]string{"way": "one", "pace": "one"}
		}, "more than one option"},
		"a rule that hangs on two options": {func(f *patterns.File) {
			second := f.Options[0]
			second.ID = "pace"
			f.Options = append(f.Options, second)
			f.Tables[4].Rows[0].When = map[string]string{"pace": "one"}
		}, "hangs on two options"},
	} {
		f := small()
		c.spoil(f)
		ps, err := patterns.Load(f)
		if err == nil || ps != nil {
			t.Errorf("%s: loads", name)
			continue
		}
		if !strings.Contains(err.Error(), c.names) {
			t.Errorf("%s: refused with %q, want it to speak of %q", name, err, c.names)
		}
	}
}

// compiled returns the data that comes with the library.
func compiled(t testing.TB) *patterns.File {
	t.Helper()
	text, err := os.ReadFile("patterns.json")
	if err != nil {
		t.Fatal(err)
	}
	var f patterns.File
	if err := json.Unmarshal(text, &f); err != nil {
		t.Fatal(err)
	}
	return &f
}

// The library's own data, with one value at a time without its citation, begun
// a day late, or ended: the loader refuses each.
func TestLoadRefusesSpoiledData(t *testing.T) {
	f := compiled(t)
	spoiled := 0
	try := func(what, row string, change func(*patterns.FileLife), life *patterns.FileLife) {
		kept := *life
		change(life)
		if _, err := patterns.Load(f); err == nil {
			t.Errorf("%s of %s: loads", what, row)
		}
		*life = kept
		spoiled++
	}
	for i := range f.Tables {
		table := &f.Tables[i]
		for j := range table.Rows {
			row := &table.Rows[j]
			if (i+j)%16 != 0 { // a sixteenth of the rows, spread over all tables: each try loads everything
				continue
			}
			try("an unknown source", row.Rule, func(l *patterns.FileLife) { l.Source, l.Mark = "HEARSAY", "read" }, &row.FileLife)
			try("an unknown mark", row.Rule, func(l *patterns.FileLife) { l.Mark = "sure" }, &row.FileLife)
			try("an end", row.Rule, func(l *patterns.FileLife) {
				if l.From == "" {
					l.From = table.From
				}
				l.To = "2999-12-31"
			}, &row.FileLife)
		}
	}
	if spoiled < 60 {
		t.Errorf("only %d tries", spoiled)
	}
}

// Whoever mends pattern data wants the whole list, not the first of it.
func TestLoadTellsEverything(t *testing.T) {
	f := small()
	f.Documents[0].Edition = ""
	f.Options[0].Default = "neither"
	f.Tables[2].From = "2019-07-03"
	f.Tables[6].Rows[0].Mark = "sure"
	_, err := patterns.Load(f)
	if err == nil {
		t.Fatal("loads")
	}
	for _, want := range []string{`document "PAPER"`, `default "neither"`, "nothing from 2019-07-01 to 2019-07-02", `mark "sure"`} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q does not speak of %q", err, want)
		}
	}
}

// Programs, groups and citations agree with those of the crediting rules.
func TestAgreesWithTheRules(t *testing.T) {
	all, err := rules.Default()
	if err != nil {
		t.Fatal(err)
	}
	ps := load(t)
	f := compiled(t)
	var ids []string
	for _, p := range all.Programs() {
		ids = append(ids, p.ID)
		rs, err := all.Resolve(day(t, "2026-09-14"), p.ID, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range rs.AgeGroups() {
			if !slices.ContainsFunc(ps.Groups(p.ID), func(o patterns.Group) bool { return o.ID == g }) && g != "6-12" && g != "k-12" {
				t.Errorf("%s has a serving of milk for %s and no pattern", p.ID, g)
			}
		}
	}
	for _, k := range ps.List() {
		if !slices.Contains(ids, k.Program) {
			t.Errorf("pattern %s is of no program of the rules", k)
		}
	}
	for _, o := range ps.Options() {
		for _, other := range all.Options() {
			if o.ID == other.ID {
				t.Errorf("option %s stands in the rules and in the patterns", o.ID)
			}
		}
	}
	cited := make(map[string]string)
	for _, rule := range all.All() {
		for _, v := range rule.Values {
			cited[v.Source.Document.ID] = v.Source.Document.Citation()
		}
	}
	for _, d := range f.Documents {
		for _, k := range ps.List() {
			for _, v := range ps.History(k) {
				if c, ok := cited[d.ID]; ok && v.Source.Document.ID == d.ID && v.Source.Document.Citation() != c {
					t.Fatalf("%s is cited as %q here and as %q in the rules", d.ID, v.Source.Document.Citation(), c)
				}
			}
		}
	}
}

// FuzzLoad holds the loader to refusing with an error: whatever loads answers
// for each of its patterns.
func FuzzLoad(f *testing.F) {
	text, err := json.Marshal(small())
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add([]byte(`{"patterns":[{"program":"p","meals":["m"],"groups":[{"id":"g","title":"t"}]}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		var file patterns.File
		if json.Unmarshal(text, &file) != nil {
			return
		}
		ps, err := patterns.Load(&file)
		if err != nil {
			return
		}
		for _, k := range ps.List() {
			for _, on := range ps.Changes(k) {
				p, err := ps.Pattern(patterns.Query{On: on, Program: k.Program, Meal: k.Meal, Group: k.Group})
				if err != nil {
					t.Fatalf("%s on %s: %v", k, on, err)
				}
				if len(p.Values())+len(p.Unknown()) == 0 {
					t.Fatalf("%s on %s says nothing", k, on)
				}
				_ = p.ID()
			}
		}
	})
}
