package rules

import (
	"maps"
	"testing"
)

// Every combination of options is a rule set of its own, and callers name the
// options: what is kept must stay bounded, and forgetting must not change an
// answer.
func TestCacheIsBounded(t *testing.T) {
	r, err := Default()
	if err != nil {
		t.Fatal(err)
	}
	// All ways to name some of the options, each with one of its choices.
	ways := []map[string]string{{}}
	for _, o := range r.options {
		for _, w := range ways[:len(ways):len(ways)] {
			for _, c := range o.Choices {
				more := maps.Clone(w)
				more[o.ID] = c.ID
				ways = append(ways, more)
			}
		}
		if len(ways) > 2*maxResolved+1 {
			ways = ways[:2*maxResolved+1]
			break
		}
	}
	if len(ways) <= 2*maxResolved {
		t.Fatalf("only %d ways to choose: the bound of %d is not reached twice", len(ways), maxResolved)
	}
	const program = "summer"
	p := r.program(program)
	on := Date{2026, 9, 14}
	most, forgot := 0, 0
	for i, way := range ways {
		had := len(r.cache.m)
		rs, err := r.Resolve(on, program, way)
		if err != nil {
			t.Fatal(err)
		}
		kept := len(r.cache.m)
		most = max(most, kept)
		if kept < had {
			forgot++
		}
		if kept > maxResolved {
			t.Fatalf("%d rule sets kept, the bound is %d", kept, maxResolved)
		}
		if i%64 == 0 || kept < had {
			if want := r.resolve(on, p, way).id; rs.id != want {
				t.Fatalf("%v: id %s from the cache, %s anew", way, rs.id, want)
			}
		}
	}
	if most != maxResolved || forgot == 0 {
		t.Errorf("at most %d kept and %d times forgotten: want the bound %d reached and passed", most, forgot, maxResolved)
	}
}

// One stretch of days is one entry, however many days are asked for, and a day
// asked for twice is the same rule set.
func TestCacheKeepsOneStretchOnce(t *testing.T) {
	r, err := Default()
	if err != nil {
		t.Fatal(err)
	}
	first := r.lastChange(Date{2026, 1, 1}, "school-lunch")
	var kept *RuleSet
	for d := (Date{2026, 1, 1}); d.Before(Date{2026, 3, 1}); d = d.Next() {
		if r.lastChange(d, "school-lunch") != first {
			t.Fatalf("the rules change on %s: give this test other days", d)
		}
		rs, err := r.Resolve(d, "school-lunch", nil)
		if err != nil {
			t.Fatal(err)
		}
		if rs.on != d {
			t.Fatalf("asked for %s, got the rules of %s", d, rs.on)
		}
		again, err := r.Resolve(d, "school-lunch", nil)
		if err != nil || again.id != rs.id {
			t.Fatalf("%s twice: %s and %s, %v", d, rs.id, again.id, err)
		}
		if kept == nil {
			kept = rs
		}
	}
	if len(r.cache.m) != 1 {
		t.Errorf("%d entries for one stretch of days", len(r.cache.m))
	}
	if again, err := r.Resolve(kept.on, "school-lunch", nil); err != nil || again != kept {
		t.Errorf("the same day again is another rule set (%v)", err)
	}
	// A day with no rules is a refusal, not an entry.
	if _, err := r.Resolve(Date{1900, 1, 1}, "school-lunch", nil); err == nil || len(r.cache.m) != 1 {
		t.Errorf("1900-01-01: %v, and %d entries", err, len(r.cache.m))
	}
}
