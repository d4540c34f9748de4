package rules_test

import (
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/rules"
)

// small is rule data of every kind that loads. Each refusal below spoils one
// thing in a fresh copy of it.
func small() *rules.File {
	return &rules.File{
		Documents: []rules.FileDocument{
			{ID: "PAPER", Title: "A paper somebody read", Section: "(c)", Edition: "2024", Publisher: "an agency", Mark: "read"},
			{ID: "RECALLED", Title: "A paper nobody read", Edition: "recalled", Publisher: "an agency", Mark: "memory"},
		},
		Programs: []rules.FileProgram{
			{ID: "lunch", Name: "Lunch", Regulation: "1 CFR 1"},
			{ID: "snack", Name: "Snack", Regulation: "1 CFR 2"},
		},
		Options: []rules.FileOption{{
			ID: "way", Title: "Which way", Programs: []string{"lunch"},
			Choices: []rules.FileChoice{{ID: "one", Title: "One way"}, {ID: "other", Title: "The other"}},
			Default: "one", Reason: "It cannot over-credit.", Source: "PAPER", Mark: "derived",
		}},
		Rules: []rules.FileRule{
			{ID: "rule/number", Title: "A number", Unit: "g", Values: []rules.FileValue{
				{Programs: []string{"lunch"}, From: "2012-07-01", To: "2019-06-30", Value: "16", Source: "PAPER", Mark: "read"},
				{Programs: []string{"lunch"}, From: "2019-07-01", Value: "14 3/4", Source: "PAPER", Section: "(d)", Mark: "read", Note: "a note"},
				{Programs: []string{"snack"}, From: "2012-07-01", Earlier: "unknown", Value: "0", Source: "RECALLED", Mark: "memory"},
			}},
			{ID: "rule/choice", Title: "A choice", Unit: "cup", Values: []rules.FileValue{
				{Programs: []string{"lunch"}, From: "2012-07-01", When: map[string]string{"way": "one"}, Value: "1/4", Source: "PAPER", Mark: "read"},
				{Programs: []string{"lunch"}, From: "2012-07-01", When: map[string]string{"way": "other"}, Value: "1/2", Source: "PAPER", Mark: "read"},
			}},
			{ID: "rule/table", Title: "A table", Unit: "oz", Values: []rules.FileValue{
				{Programs: []string{"lunch", "snack"}, From: "2012-07-01", Steps: []rules.FileStep{
					{Credit: "1", Least: "2.0", Source: "PAPER", Mark: "read"},
					{Credit: "1/2", Least: "1.0", Source: "RECALLED", Mark: "memory"},
				}},
			}},
			{ID: "rule/word", Title: "A word", Unit: "none", Values: []rules.FileValue{
				{Programs: []string{"lunch"}, From: "2012-07-01", Value: "oz-eq", Source: "PAPER", Mark: "read"},
			}},
		},
	}
}

func TestLoad(t *testing.T) {
	r, err := rules.Load(small())
	if err != nil {
		t.Fatal(err)
	}
	v := get(t, r, day(t, "2019-07-01"), "lunch", nil, "rule/number")
	if v == nil || v.Text != "14 3/4" || v.Number.Fraction() != "59/4" || v.Note != "a note" || v.EarlierUnknown || !v.To.IsZero() {
		t.Fatalf("rule/number on 2019-07-01: %+v", v)
	}
	if got := v.Source.Citation(); got != "A paper somebody read, (c), (d), 2024, an agency" {
		t.Errorf("cited as %q", got)
	}
	if v.Record.ID != "rule/number" || v.Record.Text != "14 3/4" || v.Record.Unit != "g" || !v.Record.Used.Equal(v.Number) {
		t.Errorf("as records carry it: %+v", v.Record)
	}
	if v := get(t, r, day(t, "2012-07-01"), "snack", nil, "rule/number"); v == nil || !v.EarlierUnknown || v.Text != "0" || v.Source.Documented() {
		t.Errorf("rule/number for snacks: %+v", v)
	}
	v = get(t, r, day(t, "2012-07-01"), "snack", nil, "rule/table")
	if v == nil || len(v.Steps) != 2 || v.Text != "" || v.Steps[1].Least.Fraction() != "1" || v.Steps[1].Source.Document.ID != "RECALLED" {
		t.Errorf("rule/table: %+v", v)
	}
	if v := get(t, r, day(t, "2012-07-01"), "lunch", map[string]string{"way": "other"}, "rule/choice"); v == nil || v.Text != "1/2" {
		t.Errorf("rule/choice under the other way: %+v", v)
	}
	if v := get(t, r, day(t, "2012-07-01"), "lunch", nil, "rule/word"); v == nil || v.Text != "oz-eq" || !v.Number.IsZero() {
		t.Errorf("rule/word: %+v", v)
	}
	if rule, ok := r.Rule("rule/word"); !ok || rule != r.All()[3] {
		t.Error("Rule does not find rule/word where All has it")
	}
	if _, ok := r.Rule("rule"); ok {
		t.Error("Rule finds half an id")
	}
}

func TestLoadOfNothing(t *testing.T) {
	r, err := rules.Load(&rules.File{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.Resolve(day(t, "2026-09-14"), "lunch", nil); err == nil {
		t.Error("rules of no program answer for one")
	}
}

func TestLoadRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*rules.File)
		names string // what the refusal must speak of
	}{
		"a value without a source":           {func(f *rules.File) { f.Rules[0].Values[0].Source = "" }, `source "" is not a document`},
		"a value of an unknown source":       {func(f *rules.File) { f.Rules[0].Values[0].Source = "HEARSAY" }, `"HEARSAY" is not a document`},
		"a value without a mark":             {func(f *rules.File) { f.Rules[0].Values[0].Mark = "" }, `mark "" is not known`},
		"a value of an unknown mark":         {func(f *rules.File) { f.Rules[0].Values[0].Mark = "sure" }, `mark "sure" is not known`},
		"a value read where nobody read":     {func(f *rules.File) { f.Rules[0].Values[2].Mark = "read" }, "nobody read RECALLED"},
		"a step without a source":            {func(f *rules.File) { f.Rules[2].Values[0].Steps[1].Source = "" }, `source "" is not a document`},
		"a step of an unknown mark":          {func(f *rules.File) { f.Rules[2].Values[0].Steps[0].Mark = "Read" }, `mark "Read" is not known`},
		"a step read where nobody read":      {func(f *rules.File) { f.Rules[2].Values[0].Steps[1].Mark = "read" }, "nobody read RECALLED"},
		"an option of an unknown source":     {func(f *rules.File) { f.Options[0].Source = "HEARSAY" }, `"HEARSAY" is not a document`},
		"an option read where nobody read":   {func(f *rules.File) { f.Options[0].Source, f.Options[0].Mark = "RECALLED", "read" }, "nobody read RECALLED"},
		"a document of an unknown mark":      {func(f *rules.File) { f.Documents[0].Mark = "skimmed" }, `document "PAPER"`},
		"a document without a title":         {func(f *rules.File) { f.Documents[0].Title = "" }, `document "PAPER"`},
		"a document without an edition":      {func(f *rules.File) { f.Documents[0].Edition = "" }, `document "PAPER"`},
		"a document without an id":           {func(f *rules.File) { f.Documents[1].ID = "" }, `document ""`},
		"a document twice":                   {func(f *rules.File) { f.Documents = append(f.Documents, f.Documents[0]) }, `document "PAPER" stands twice`},
		"a program twice":                    {func(f *rules.File) { f.Programs = append(f.Programs, f.Programs[1]) }, `program "snack" stands twice`},
		"a program without a name":           {func(f *rules.File) { f.Programs[0].Name = "" }, `program "lunch"`},
		"a program without its regulation":   {func(f *rules.File) { f.Programs[0].Regulation = "" }, `program "lunch"`},
		"an option twice":                    {func(f *rules.File) { f.Options = append(f.Options, f.Options[0]) }, `option "way" stands twice`},
		"an option without a reason":         {func(f *rules.File) { f.Options[0].Reason = "" }, `option "way"`},
		"an option without choices":          {func(f *rules.File) { f.Options[0].Choices = nil }, `option "way"`},
		"a default that is no choice":        {func(f *rules.File) { f.Options[0].Default = "neither" }, `default "neither" is not one of its choices`},
		"an option without a default":        {func(f *rules.File) { f.Options[0].Default = "" }, `default "" is not one of its choices`},
		"an option of an unknown program":    {func(f *rules.File) { f.Options[0].Programs = []string{"lunch", "brunch"} }, `program "brunch" is not known`},
		"a rule twice":                       {func(f *rules.File) { f.Rules = append(f.Rules, f.Rules[3]) }, `rule "rule/word" stands twice`},
		"a rule without an id":               {func(f *rules.File) { f.Rules[0].ID = "" }, `rule ""`},
		"a rule without a title":             {func(f *rules.File) { f.Rules[0].Title = "" }, `rule "rule/number"`},
		"a rule without a unit":              {func(f *rules.File) { f.Rules[0].Unit = "" }, `rule "rule/number"`},
		"a rule without values":              {func(f *rules.File) { f.Rules[0].Values = nil }, `rule "rule/number"`},
		"a value for no program":             {func(f *rules.File) { f.Rules[0].Values[0].Programs = nil }, "rule/number, value 0: no programs"},
		"a value for an unknown program":     {func(f *rules.File) { f.Rules[0].Values[0].Programs[0] = "brunch" }, `program "brunch" is not known`},
		"an overlap of one day":              {func(f *rules.File) { f.Rules[0].Values[1].From = "2019-06-30" }, "rule rule/number: value 1 overlaps"},
		"an overlap inside":                  {func(f *rules.File) { f.Rules[0].Values[1].From, f.Rules[0].Values[1].To = "2014-01-01", "2014-12-31" }, "rule rule/number: value 1 overlaps"},
		"an overlap of two open ends":        {func(f *rules.File) { f.Rules[0].Values[0].To = "" }, "rule rule/number: value 1 overlaps"},
		"an overlap in one shared program":   {func(f *rules.File) { f.Rules[0].Values[2].Programs = []string{"snack", "lunch"} }, "rule rule/number: value 2 overlaps"},
		"an overlap of one choice":           {func(f *rules.File) { f.Rules[1].Values[1].When["way"] = "one" }, "rule rule/choice: value 1 overlaps"},
		"an overlap of choice and no choice": {func(f *rules.File) { f.Rules[1].Values[1].When = nil }, "rule rule/choice: value 1 overlaps"},
		"an end before the start":            {func(f *rules.File) { f.Rules[0].Values[0].To = "2012-06-30" }, "rule/number, value 0: ends before it starts"},
		"no start":                           {func(f *rules.File) { f.Rules[0].Values[0].From = "" }, "rule/number, value 0: from"},
		"a start that is no day":             {func(f *rules.File) { f.Rules[0].Values[0].From = "2013-02-29" }, "rule/number, value 0: from"},
		"an end that is no day":              {func(f *rules.File) { f.Rules[0].Values[0].To = "2019-06-31" }, "rule/number, value 0: to"},
		"a start written another way":        {func(f *rules.File) { f.Rules[0].Values[0].From = "7/1/2012" }, "rule/number, value 0: from"},
		"an earlier that is a day":           {func(f *rules.File) { f.Rules[0].Values[0].Earlier = "2011-07-01" }, "rule/number, value 0: earlier"},
		"a choice of an unknown option":      {func(f *rules.File) { f.Rules[1].Values[0].When = map[string]string{"whim": "one"} }, "option whim=one is not known"},
		"a choice the option does not have":  {func(f *rules.File) { f.Rules[1].Values[0].When["way"] = "neither" }, "option way=neither is not known"},
		"a choice where it does not matter":  {func(f *rules.File) { f.Rules[1].Values[0].Programs = []string{"snack"} }, `option way does not matter in program "snack"`},
		"two choices at once": {func(f *rules.File) {
			second := f.Options[0]
			second.ID = "pace"
			f.Options = append(f.Options, second)
			f.Rules[1].Values[0].When = map[string]string{"way": "one", "pace": "one"}
		}, "rule/choice, value 0: more than one option"},
		"neither value nor steps":      {func(f *rules.File) { f.Rules[0].Values[0].Value = "" }, "rule/number, value 0: give a value or steps"},
		"both value and steps":         {func(f *rules.File) { f.Rules[2].Values[0].Value = "2" }, "rule/table, value 0: give a value or steps"},
		"a value that is no number":    {func(f *rules.File) { f.Rules[0].Values[0].Value = "sixteen" }, "rule/number, value 0:"},
		"a value below nothing":        {func(f *rules.File) { f.Rules[0].Values[0].Value = "-16" }, "rule/number, value 0:"},
		"a value with an exponent":     {func(f *rules.File) { f.Rules[0].Values[0].Value = "1.6e1" }, "rule/number, value 0:"},
		"a step's credit no number":    {func(f *rules.File) { f.Rules[2].Values[0].Steps[1].Credit = "half" }, "rule/table, value 0: credit"},
		"a step's weight no number":    {func(f *rules.File) { f.Rules[2].Values[0].Steps[1].Least = "some" }, `least: "some" is not an amount`},
		"a step's weight nothing":      {func(f *rules.File) { f.Rules[2].Values[0].Steps[1].Least = "0" }, `least: "0" is not an amount`},
		"steps from the smallest up":   {func(f *rules.File) { slices.Reverse(f.Rules[2].Values[0].Steps) }, "rule/table, value 0: steps run from the largest down"},
		"a smaller credit for no less": {func(f *rules.File) { f.Rules[2].Values[0].Steps[1].Least = "2.0" }, "rule/table, value 0: steps run from the largest down"},
		"the same credit for less":     {func(f *rules.File) { f.Rules[2].Values[0].Steps[1].Credit = "1" }, "rule/table, value 0: steps run from the largest down"},
		"an Exhibit A that starts below 1": {func(f *rules.File) {
			f.Rules[2].ID = "grains/exhibit-a/A/oz"
			f.Rules[2].Values[0].Steps = f.Rules[2].Values[0].Steps[1:]
		}, "grains/exhibit-a/A/oz, value 0: the first step of Exhibit A is 1"},
		"an Exhibit A that starts above 1": {func(f *rules.File) {
			f.Rules[2].ID = "grains/exhibit-a/A/oz"
			f.Rules[2].Values[0].Steps[0].Credit = "2"
		}, "grains/exhibit-a/A/oz, value 0: the first step of Exhibit A is 1"},
		"an overlap of tables, same day": {func(f *rules.File) { f.Rules[2].Values = append(f.Rules[2].Values, f.Rules[2].Values[0]) }, "rule rule/table: value 1 overlaps"},
	} {
		f := small()
		c.spoil(f)
		r, err := rules.Load(f)
		if err == nil || r != nil {
			t.Errorf("%s: loads", name)
			continue
		}
		if !strings.Contains(err.Error(), c.names) {
			t.Errorf("%s: refused with %q, want it to speak of %q", name, err, c.names)
		}
	}
}

// What looks like an overlap and is none: one value ends the day before the
// next starts, two choices of one option, one day in two programs.
func TestLoadAllowsNeighbors(t *testing.T) {
	f := small()
	f.Rules[0].Values[0].To = "2012-07-01" // a life of one day
	f.Rules[0].Values[1].From = "2012-07-02"
	f.Rules[2].Values[0].Steps[0].Credit = "3 1/4" // a table that is not Exhibit A may start anywhere
	r, err := rules.Load(f)
	if err != nil {
		t.Fatal(err)
	}
	for on, want := range map[string]string{"2012-07-01": "16", "2012-07-02": "14 3/4"} {
		if v := get(t, r, day(t, on), "lunch", nil, "rule/number"); v == nil || v.Text != want {
			t.Errorf("on %s: %+v, want %s", on, v, want)
		}
	}
}

// Whoever mends rule data wants the whole list, not the first of it.
func TestLoadTellsEverything(t *testing.T) {
	f := small()
	f.Documents[0].Edition = ""
	f.Options[0].Default = "neither"
	f.Rules[0].Values[0].To = "2012-06-30"
	f.Rules[3].Values[0].Mark = "sure"
	_, err := rules.Load(f)
	if err == nil {
		t.Fatal("loads")
	}
	for _, want := range []string{`document "PAPER"`, `default "neither"`, "ends before it starts", `mark "sure"`} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q does not speak of %q", err, want)
		}
	}
}

// The rules that come with the library load, and everything they say has a
// source that can be looked up.
func TestDefaultIsCited(t *testing.T) {
	r := load(t)
	cited := 0
	for _, rule := range r.All() {
		for i, v := range rule.Values {
			if v.Rule != rule {
				t.Errorf("%s, value %d points to another rule", rule.ID, i)
			}
			if v.Source.Document == nil || v.Source.Citation() == "" {
				t.Errorf("%s, value %d has no source", rule.ID, i)
			}
			for _, s := range v.Steps {
				cited++
				if s.Source.Document == nil || s.Source.Citation() == "" {
					t.Errorf("%s, value %d, step %s has no source", rule.ID, i, s.CreditText)
				}
			}
			cited++
		}
	}
	for _, o := range r.Options() {
		cited++
		if o.Source.Document == nil || o.Reason == "" {
			t.Errorf("option %s has no source or reason", o.ID)
		}
	}
	if cited < 500 {
		t.Errorf("only %d citations seen", cited)
	}
	t.Logf("%d citations", cited)
}

// What Rules hands out are copies: nobody changes the rules for all.
func TestRulesAreImmutable(t *testing.T) {
	r := load(t)
	before := r.Digest()
	r.All()[0] = nil
	r.Programs()[0] = nil
	r.Options()[0] = nil
	r.Changes("school-lunch")[0] = rules.Date{}
	if r.All()[0] == nil || r.Programs()[0] == nil || r.Options()[0] == nil || r.Changes("school-lunch")[0].IsZero() {
		t.Error("a caller changed the rules")
	}
	if r.Digest() != before || load(t).Digest() != before {
		t.Errorf("the digest of the same rules is %s and %s", before, load(t).Digest())
	}
}

// The digest covers the figures and their lives, not the prose.
func TestDigestIsOfValues(t *testing.T) {
	digest := func(change func(*rules.File)) string {
		f := small()
		change(f)
		r, err := rules.Load(f)
		if err != nil {
			t.Fatal(err)
		}
		return r.Digest()
	}
	plain := digest(func(*rules.File) {})
	if !strings.HasPrefix(plain, "sha256:") || len(plain) != len("sha256:")+32 {
		t.Errorf("digest %q", plain)
	}
	for name, change := range map[string]func(*rules.File){
		"a title":    func(f *rules.File) { f.Rules[0].Title = "Another title" },
		"a note":     func(f *rules.File) { f.Rules[0].Values[1].Note = "another note" },
		"an edition": func(f *rules.File) { f.Documents[0].Edition = "2025" },
		"a reason":   func(f *rules.File) { f.Options[0].Reason = "Another reason." },
	} {
		if got := digest(change); got != plain {
			t.Errorf("%s changes the digest", name)
		}
	}
	for name, change := range map[string]func(*rules.File){
		"a figure":      func(f *rules.File) { f.Rules[0].Values[0].Value = "17" },
		"a first day":   func(f *rules.File) { f.Rules[0].Values[0].From = "2012-07-02" },
		"a last day":    func(f *rules.File) { f.Rules[0].Values[0].To = "2019-06-29" },
		"a program":     func(f *rules.File) { f.Rules[2].Values[0].Programs = []string{"lunch"} },
		"a choice":      func(f *rules.File) { f.Rules[1].Values = f.Rules[1].Values[:1] },
		"a step":        func(f *rules.File) { f.Rules[2].Values[0].Steps[1].Least = "1.1" },
		"a step's earn": func(f *rules.File) { f.Rules[2].Values[0].Steps[1].Credit = "3/4" },
		"a rule's id":   func(f *rules.File) { f.Rules[3].ID = "rule/other" },
	} {
		if got := digest(change); got == plain {
			t.Errorf("%s does not change the digest", name)
		}
	}
}
