package rules_test

import (
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/rules"
)

func TestResolveTellsEveryFault(t *testing.T) {
	r := load(t)
	on := day(t, "2026-09-14")
	for name, c := range map[string]struct {
		on      rules.Date
		program string
		options map[string]string
		want    []string
	}{
		"no program":          {on, "", nil, []string{"MISSING program"}},
		"an unknown program":  {on, "brunch", nil, []string{"UNKNOWN_PROGRAM program"}},
		"capitals":            {on, "School-Lunch", nil, []string{"UNKNOWN_PROGRAM program"}},
		"no day":              {rules.Date{}, "school-lunch", nil, []string{"MISSING serviceDate"}},
		"an unknown option":   {on, "school-lunch", map[string]string{"whim": "yes"}, []string{"UNKNOWN_OPTION options.whim"}},
		"an option of no id":  {on, "school-lunch", map[string]string{"": "yes"}, []string{"UNKNOWN_OPTION options."}},
		"an unknown choice":   {on, "school-lunch", map[string]string{"grams-per-ounce": "28"}, []string{"UNKNOWN_VALUE options.grams-per-ounce"}},
		"a choice of no id":   {on, "school-lunch", map[string]string{"grams-per-ounce": ""}, []string{"UNKNOWN_VALUE options.grams-per-ounce"}},
		"a choice in capital": {on, "school-lunch", map[string]string{"grams-per-ounce": "Exact"}, []string{"UNKNOWN_VALUE options.grams-per-ounce"}},
		"all at once": {rules.Date{}, "", map[string]string{"whim": "yes", "exhibit-a-fractions": "guess", "grams-per-ounce": "exact"},
			[]string{"MISSING program", "MISSING serviceDate", "UNKNOWN_VALUE options.exhibit-a-fractions", "UNKNOWN_OPTION options.whim"}},
	} {
		rs, err := r.Resolve(c.on, c.program, c.options)
		if rs != nil || err == nil {
			t.Errorf("%s: resolves", name)
			continue
		}
		if got := reasons(t, err); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// What a fault about options says is enough to mend the request without any
// other paper: the option's own choices, the options there are.
func TestResolveSaysWhatThereIs(t *testing.T) {
	r := load(t)
	_, err := r.Resolve(day(t, "2026-09-14"), "brunch", map[string]string{"whim": "yes", "grams-per-ounce": "28"})
	var list *fault.List
	if !errors.As(err, &list) {
		t.Fatal(err)
	}
	want := map[fault.Reason][]string{fault.UnknownValue: {"handbook", "exact"}}
	for _, p := range r.Programs() {
		want[fault.UnknownProgram] = append(want[fault.UnknownProgram], p.ID)
	}
	for _, o := range r.Options() {
		want[fault.UnknownOption] = append(want[fault.UnknownOption], o.ID)
	}
	for _, f := range list.Faults {
		for _, id := range want[f.Reason] {
			if !strings.Contains(f.Want, id) {
				t.Errorf("%s: %q does not name %s", f.Reason, f.Want, id)
			}
		}
		delete(want, f.Reason)
	}
	if len(want) > 0 {
		t.Errorf("no fault of %v", slices.Collect(maps.Keys(want)))
	}
}

// What Get says of a rule not in force names every life it has in the program.
func TestGetSaysWhenARuleHolds(t *testing.T) {
	r, err := rules.Load(small())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ on, program, rule, fix string }{
		{"2012-07-01", "snack", "rule/word", "It is not in force for this program at all in the data."},
		{"2012-07-01", "snack", "rule/choice", "It is not in force for this program at all in the data."},
		{"2012-07-01", "lunch", "rule/none", "No such rule is in the data."},
	} {
		rs, err := r.Resolve(day(t, c.on), c.program, nil)
		if err != nil {
			t.Fatal(err)
		}
		var f fault.Fault
		if _, err := rs.Get(c.rule); !errors.As(err, &f) || f.Fix != c.fix {
			t.Errorf("%s on %s for %s: fix %q, want %q", c.rule, c.on, c.program, f.Fix, c.fix)
		}
	}
	f := small()
	f.Rules[0].Values[1].From = "2020-07-01" // a year without the rule
	f.Rules[1].Values[0].From = "2013-07-01"
	f.Rules[1].Values[1].From = "2014-07-01"
	if r, err = rules.Load(f); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ on, rule, fix string }{
		{"2020-01-01", "rule/number", "It holds from 2012-07-01 to 2019-06-30; from 2020-07-01."},
		{"2012-07-01", "rule/choice", "It holds from 2013-07-01 with option way=one; from 2014-07-01 with option way=other."},
	} {
		rs, err := r.Resolve(day(t, c.on), "lunch", nil)
		if err != nil {
			t.Fatal(err)
		}
		var bad fault.Fault
		if _, err := rs.Get(c.rule); !errors.As(err, &bad) || bad.Fix != c.fix {
			t.Errorf("%s on %s: fix %q, want %q", c.rule, c.on, bad.Fix, c.fix)
		}
	}
}

// Between two changes of a program's rules the rule set carries one id, the
// same in every process, and across each change another.
func TestIDFollowsTheChanges(t *testing.T) {
	r, other := load(t), load(t)
	stretches := 0
	for _, p := range r.Programs() {
		changes := r.Changes(p.ID)
		if len(changes) == 0 {
			t.Errorf("%s has no rules", p.ID)
		}
		var before string
		for i, first := range changes {
			stretches++
			last := rules.Date{Year: 2199, Month: 12, Day: 31}
			if i+1 < len(changes) {
				last = changes[i+1].Previous()
			}
			if last.Before(first) {
				t.Fatalf("%s: changes out of order: %v", p.ID, changes)
			}
			id := resolveID(t, r, first, p.ID, nil)
			// The last day first: what is asked first must not matter.
			if got := resolveID(t, other, last, p.ID, nil); got != id {
				t.Errorf("%s: %s on %s and %s on %s, with no change between", p.ID, id, first, got, last)
			}
			if got := resolveID(t, r, last, p.ID, nil); got != id {
				t.Errorf("%s: %s on %s and then %s on %s", p.ID, id, first, got, last)
			}
			if id == before {
				t.Errorf("%s: the rules change on %s, the id does not", p.ID, first)
			}
			before = id
		}
	}
	if stretches < 10 {
		t.Errorf("only %d stretches of days", stretches)
	}
	t.Logf("%d stretches of days", stretches)
}

func resolveID(t testing.TB, r *rules.Rules, on rules.Date, program string, options map[string]string) string {
	t.Helper()
	rs, err := r.Resolve(on, program, options)
	if err != nil {
		t.Fatal(err)
	}
	return rs.ID()
}

// Every choice but the default changes the id where the option matters, and
// naming the default changes nothing.
func TestIDFollowsTheOptions(t *testing.T) {
	r := load(t)
	on := day(t, "2026-09-14")
	for _, p := range r.Programs() {
		plain := resolveID(t, r, on, p.ID, nil)
		for _, o := range r.Options() {
			matters := len(o.Programs) == 0 || slices.Contains(o.Programs, p.ID)
			seen := map[string]string{}
			for _, c := range o.Choices {
				rs, err := r.Resolve(on, p.ID, map[string]string{o.ID: c.ID})
				if err != nil {
					t.Fatal(err)
				}
				if got, ok := rs.Options[o.ID]; ok != matters || matters && got != c.ID {
					t.Errorf("%s with %s=%s: the rule set carries %q (%v)", p.ID, o.ID, c.ID, got, ok)
				}
				if want := !matters || c.ID == o.Default; want != (rs.ID() == plain) {
					t.Errorf("%s with %s=%s: id like without it: %v, want %v", p.ID, o.ID, c.ID, rs.ID() == plain, want)
				}
				if twin, ok := seen[rs.ID()]; ok && matters {
					t.Errorf("%s: %s=%s and %s have one id", p.ID, o.ID, c.ID, twin)
				}
				seen[rs.ID()] = c.ID
			}
		}
	}
}

// The order in which a map gives its options up makes no difference.
func TestIDOfSeveralOptions(t *testing.T) {
	r := load(t)
	on := day(t, "2026-09-14")
	want := resolveID(t, load(t), on, "summer", map[string]string{"summer-grains": "oz-eq", "summer-leafy": "as-served", "exhibit-a-fractions": "division"})
	for range 20 {
		if got := resolveID(t, r, on, "summer", map[string]string{"exhibit-a-fractions": "division", "summer-leafy": "as-served", "summer-grains": "oz-eq"}); got != want {
			t.Fatalf("%s and %s for one choice", got, want)
		}
	}
}

// query is a request for rules, and its answer as one text.
type query struct {
	on      rules.Date
	program string
	options map[string]string
}

func (q query) answer(t testing.TB, r *rules.Rules, ids []string) string {
	rs, err := r.Resolve(q.on, q.program, q.options)
	if err != nil {
		return err.Error()
	}
	var b strings.Builder
	fmt.Fprintln(&b, rs.ID(), rs.Program.ID, rs.Options)
	for _, id := range ids {
		v, err := rs.Get(id)
		if err != nil {
			fmt.Fprintln(&b, err) // names the day asked for
			continue
		}
		fmt.Fprintln(&b, id, v.Text, v.From, len(v.Steps))
	}
	return b.String()
}

// Many goroutines asking one Rules get what one alone, asking its own, gets.
// Run with the race detector.
func TestResolveConcurrently(t *testing.T) {
	r := load(t)
	ids := []string{"grains/unit", "grains/grams/baked", "grains/grams/serving", "grains/exhibit-a/D/g", "fruits/dried-factor", "measure/grams-per-ounce", "no/such/rule"}
	var queries []query
	random := rand.New(rand.NewPCG(1, 2))
	for _, p := range r.Programs() {
		for _, change := range r.Changes(p.ID) {
			for _, on := range []rules.Date{change.Previous(), change, change.Next()} {
				options := make(map[string]string)
				for _, o := range r.Options() {
					if random.IntN(3) == 0 {
						options[o.ID] = o.Choices[random.IntN(len(o.Choices))].ID
					}
				}
				queries = append(queries, query{on, p.ID, nil}, query{on, p.ID, options})
			}
		}
	}
	alone := make([]string, len(queries))
	for i, q := range queries {
		alone[i] = q.answer(t, load(t), ids)
	}
	var wg sync.WaitGroup
	for g := range 8 {
		wg.Go(func() {
			order := rand.New(rand.NewPCG(3, uint64(g))).Perm(len(queries))
			for _, i := range order {
				if got := queries[i].answer(t, r, ids); got != alone[i] {
					t.Errorf("%s %s %v: among others\n%s\nalone\n%s", queries[i].on, queries[i].program, queries[i].options, got, alone[i])
				}
			}
		})
	}
	wg.Wait()
	if len(queries) < 60 {
		t.Errorf("only %d queries", len(queries))
	}
}

// The groups a program serves milk to are those it has a serving for on the
// day, and no others.
func TestAgeGroups(t *testing.T) {
	r := load(t)
	for program, want := range map[string][]string{
		"school-lunch":      {"k-5", "6-8", "9-12", "k-8", "6-12", "k-12"},
		"school-breakfast":  {"k-5", "6-8", "9-12", "k-8", "6-12", "k-12"},
		"afterschool-snack": {"k-5", "6-8", "9-12", "k-8", "6-12", "k-12"},
		"preschool":         {"ages-1-2", "ages-3-5"},
		"child-adult-care":  {"ages-1-2", "ages-3-5", "ages-6-12", "ages-13-18", "adults"},
		"summer":            {"summer"},
	} {
		rs, err := r.Resolve(day(t, "2026-09-14"), program, nil)
		if err != nil {
			t.Fatal(err)
		}
		got := rs.AgeGroups()
		if !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", program, got, want)
		}
		for _, group := range got {
			if v, err := rs.Get("milk/serving/" + group); err != nil || v.Number.Sign() <= 0 {
				t.Errorf("%s: no serving of milk for %s: %v", program, group, err)
			}
		}
	}
	rs, err := r.Resolve(day(t, "2017-09-30"), "child-adult-care", nil)
	if err != nil {
		t.Fatal(err)
	}
	if got := rs.AgeGroups(); len(got) != 0 {
		t.Errorf("child and adult care the day before its servings of milk are known: %v", got)
	}
}
