package menu

import (
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules/patterns"
)

// What is kept of the ways through days misses as little as all of them do, and
// reaches subgroups and total at once where one of them does: for needs and flows of
// any kind, those of no pattern too.
func TestKeptWaysDecideAsAllDo(t *testing.T) {
	short, atOnce := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		eighths := func(most int, name string) exact.Number {
			return exact.Frac(int64(rapid.IntRange(0, most).Draw(t, name)), 8)
		}
		var n needs
		for i := range n.least {
			n.least[i] = eighths(5, "least")
			n.total = n.total.Add(n.least[i])
			n.fillOther[i] = i < wayOther && rapid.Bool().Draw(t, "fills other")
			n.fillAdditional[i] = i < wayAdditional && rapid.Bool().Draw(t, "fills additional")
		}
		n.total = n.total.Add(eighths(6, "total beyond"))
		all, kept := picker{keep: func(in []vec) []vec { return in }}, picker{keep: n.furthest}
		every, some := []vec{make(vec, wayLen)}, []vec{make(vec, wayLen)}
		for range rapid.IntRange(1, 4).Draw(t, "choices") {
			c := choice{take: 1, same: rapid.Bool().Draw(t, "same")}
			vecs := make(map[*served]vec)
			for range rapid.IntRange(1, 4).Draw(t, "items") {
				s, v := &served{}, make(vec, wayLen)
				for range rapid.IntRange(1, 2).Draw(t, "parts") {
					at := rapid.IntRange(0, wayLen-1).Draw(t, "part")
					v[at] = v[at].Add(eighths(6, "amount"))
				}
				vecs[s] = v
				c.items = append(c.items, s)
			}
			c.take = rapid.IntRange(1, min(2, len(c.items))).Draw(t, "take")
			value := func(s *served) vec { return vecs[s] }
			if len(every)*len(c.items)*len(c.items) > mostSums {
				break // all of them would be too many to hold
			}
			every, some = all.choice(&c, every, value), kept.choice(&c, some, value)
		}
		if all.over || kept.over {
			t.Fatalf("%d ways, of which %d are kept, are too many", len(every), len(some))
		}
		_, want, wantOnce := n.best(every)
		_, got, gotOnce := n.best(some)
		if !got.Equal(want) || gotOnce != wantOnce {
			t.Fatalf("of %d ways %d are kept: they miss %s, all of them %s; at once %v, all of them %v", len(every), len(some), got, want, gotOnce, wantOnce)
		}
		if most := maxTotal(every); maxTotal(some).Less(n.total) != most.Less(n.total) {
			t.Fatalf("the total %s is reached by one of %v", n.total, most)
		}
		if want.Sign() > 0 {
			short++
		}
		if wantOnce {
			atOnce++
		}
	})
	if short == 0 || atOnce == 0 {
		t.Errorf("%d ways fall short, %d reach all: one of the two was never tried", short, atOnce)
	}
}

// Amounts that no kitchen has, and that no credit comes in, make more ways than can be
// looked at, and the answer says so: neither a minute of work nor a guess.
func TestTooManyWaysAreNotChecked(t *testing.T) {
	p, err := lunchOfToday()
	if err != nil {
		t.Fatal(err)
	}
	n, _ := weekNeeds(p, patterns.Week(5))
	l := &line{days: make([]day, 5)}
	primes := []int64{2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73, 79, 83, 89, 97}
	for d := range l.days {
		c := choice{take: 2}
		for i := range 12 {
			s := &served{item: &Item{}}
			a, b := primes[(i*7+d)%25], primes[(i*3+d)%25]
			s.has[credited][darkGreen+part(i%5)] = exact.Frac(127*a+1, 1000*a)
			s.has[credited][darkGreen+part((i+1)%5)] = exact.Frac(20*b+1, 1000*b)
			c.items = append(c.items, s)
		}
		l.days[d] = day{p: p, choices: []choice{c}}
	}
	w := &work{r: &Reviewer{}, out: &Review{}}
	w.together(l, &n)
	for _, c := range w.out.Checks {
		if c.Rule == Subgroups && (c.Verdict != NotChecked || c.Because != tooManyWays) {
			t.Errorf("%+v", c)
		}
	}
}
