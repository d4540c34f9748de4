package menu

import (
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// The order in which surplus flows on misses no more than any way to share it out,
// tried one by one in steps of a cup quarter.
func TestAllocateAgainstEverySharing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var n needs
		n.fillOther = [6]bool{true, true, true}
		n.fillAdditional = [6]bool{true, true, true, true, true}
		way := make(vec, wayLen)
		var need [6]int
		have := make([]int, wayLen)
		for i := range have {
			have[i] = rapid.IntRange(0, 4).Draw(t, "have")
			way[i] = exact.Frac(int64(have[i]), 4)
		}
		for i := range need {
			need[i] = rapid.IntRange(0, 4).Draw(t, "need")
			n.least[i] = exact.Frac(int64(need[i]), 4)
		}
		miss := func(need, have int) int { return max(need-have, 0) }
		best := 1000
		// o* goes to other, a* to additional, what is left stays.
		for o0 := 0; o0 <= have[0]; o0++ {
			for a0 := 0; a0 <= have[0]-o0; a0++ {
				for o1 := 0; o1 <= have[1]; o1++ {
					for a1 := 0; a1 <= have[1]-o1; a1++ {
						for o2 := 0; o2 <= have[2]; o2++ {
							for a2 := 0; a2 <= have[2]-o2; a2++ {
								for a3 := 0; a3 <= have[3]; a3++ {
									for a4 := 0; a4 <= have[4]; a4++ {
										best = min(best, miss(need[0], have[0]-o0-a0)+miss(need[1], have[1]-o1-a1)+
											miss(need[2], have[2]-o2-a2+have[6])+miss(need[3], have[3]-a3)+
											miss(need[4], have[4]-a4+o0+o1+o2)+miss(need[5], have[5]+a0+a1+a2+a3+a4))
									}
								}
							}
						}
					}
				}
			}
		}
		_, short := n.allocate(way)
		if !short.Equal(exact.Frac(int64(best), 4)) {
			t.Fatalf("%v for %v misses %s, by every sharing %d/4", have, need, short, best)
		}
	})
}

// The most of each subgroup by itself, worked out in closed form, is the most that
// sharing out reaches on any way through two days, tried one by one.
func TestMostOfEachSubgroup(t *testing.T) {
	p, err := lunchOfToday()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		var n needs
		n.fillOther = [6]bool{true, true, true}
		n.fillAdditional = [6]bool{true, true, true, true, true}
		for i := range n.least {
			n.least[i] = exact.Frac(int64(rapid.IntRange(0, 6).Draw(t, "need")), 8)
		}
		l := &line{days: make([]day, 2)}
		for d := range l.days {
			for range rapid.IntRange(1, 2).Draw(t, "choices") {
				c := choice{take: 1, same: true}
				for range rapid.IntRange(1, 3).Draw(t, "items") {
					s := &served{item: &Item{}}
					for range 2 {
						of := darkGreen + part(rapid.IntRange(0, 5).Draw(t, "of"))
						s.has[credited][of] = exact.Frac(int64(rapid.IntRange(1, 8).Draw(t, "eighths")), 8)
					}
					c.items = append(c.items, s)
				}
				l.days[d].choices = append(l.days[d].choices, c)
			}
			l.days[d].p = p
		}
		var most [6]exact.Number
		l.days[0].selections(func(first []*served) {
			first = append([]*served(nil), first...)
			l.days[1].selections(func(second []*served) {
				way := make(vec, wayLen)
				for _, s := range append(append([]*served(nil), first...), second...) {
					way = way.plus(wayOf(s, credited, false))
				}
				has, _ := n.allocate(way)
				for i := range has {
					most[i] = exact.Max(most[i], has[i])
				}
			})
		})
		for i := range most {
			if got := n.alone(l, i); !got.Equal(most[i]) {
				t.Fatalf("%s: %s, by every way %s", subgroupIDs[i], got, most[i])
			}
		}
	})
}

// lunchOfToday is a pattern by which beans as meat alternate fill their subgroup.
func lunchOfToday() (*patterns.Pattern, error) {
	ps, err := patterns.Default()
	if err != nil {
		return nil, err
	}
	on, err := rules.ParseDate("2026-09-14")
	if err != nil {
		return nil, err
	}
	return ps.Pattern(patterns.Query{On: on, Program: "school-lunch", Group: "k-5"})
}
