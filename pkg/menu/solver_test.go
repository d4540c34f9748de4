//go:build solver

package menu_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
)

// What children can take over a week, put as a linear program in whole numbers to a
// solver that knows nothing of this package: glpsol of Debian's glpk-utils, which
// `make test-solver` installs. Amounts are in eighths, so that all figures are whole.

// program is a linear program in the text form glpsol reads with --lp.
type program struct {
	minimize, rules, bounds, whole strings.Builder
	n                              int
}

// solve returns the least value of the objective, and the values of the first so many
// variables in it.
func (p *program) solve(t *rapid.T, dir string, variables int) (least float64, values []float64) {
	lp, out := filepath.Join(dir, "week.lp"), filepath.Join(dir, "week.out")
	text := "Minimize\n" + p.minimize.String() + "\nSubject To\n" + p.rules.String() + "Bounds\n" + p.bounds.String() + "General\n" + p.whole.String() + "End\n"
	if err := os.WriteFile(lp, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	said, err := exec.Command("glpsol", "--lp", lp, "--write", out).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s\n%s", err, said, text)
	}
	answer, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	solved := false
	for _, line := range strings.Split(string(answer), "\n") {
		f := strings.Fields(line) // s mip ROWS COLUMNS o OBJECTIVE, then i ROW VALUE and j COLUMN VALUE
		number := func(text string) float64 {
			n, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			return n
		}
		switch {
		case len(f) == 6 && f[0] == "s" && f[1] == "mip" && f[4] == "o":
			solved, least = true, number(f[5])
		case len(f) == 3 && f[0] == "j" && len(values) < variables && f[1] == strconv.Itoa(len(values)+1):
			values = append(values, number(f[2]))
		}
	}
	if !solved || len(values) < variables {
		t.Fatalf("no optimum: %s\n%s", answer, text)
	}
	return least, values
}

func (p *program) rule(format string, a ...any) {
	fmt.Fprintf(&p.rules, " r%d: %s\n", p.n, fmt.Sprintf(format, a...))
	p.n++
}

// takes adds a variable for each item of each choice: how often a child takes it.
func (p *program) takes(days []menu.Day, child string) {
	for d := range days {
		for c := range days[d].Choices {
			ch := &days[d].Choices[c]
			var sum []string
			for i := range ch.Items {
				x := fmt.Sprintf("%s_%d_%d_%d", child, d, c, i)
				sum = append(sum, x)
				most := 1
				if ch.Same == menu.Allowed {
					most = ch.Take
				}
				fmt.Fprintf(&p.bounds, " 0 <= %s <= %d\n", x, most)
				fmt.Fprintf(&p.whole, " %s\n", x)
			}
			p.rule("%s = %d", strings.Join(sum, " + "), ch.Take)
		}
	}
}

// sum writes a sum over what a child takes.
func sum(days []menu.Day, child string, of func(menu.Item) int) string {
	var b strings.Builder
	for d := range days {
		for c := range days[d].Choices {
			for i, it := range days[d].Choices[c].Items {
				if n := of(it); n != 0 {
					fmt.Fprintf(&b, " %+d %s_%d_%d_%d", n, child, d, c, i)
				}
			}
		}
	}
	return b.String()
}

func eighths(n exact.Number) int {
	k, ok := n.Mul(exact.Int(8)).Whole()
	if !ok {
		panic("no eighths: " + n.String())
	}
	return int(k)
}

// has is what an item has of a component or subgroup, in eighths.
func has(id string) func(menu.Item) int {
	return func(it menu.Item) int {
		return eighths(sumOf([]menu.Item{it}, func(c credit.Claim, _ menu.Item) bool {
			if component, ok := food.ParseComponent(id); ok {
				return c.Component == component
			}
			sub, _ := food.ParseSubgroup(id)
			return c.Component == food.Vegetables && c.Subgroup == sub
		}))
	}
}

// printed are weekly amounts of 7 CFR 210.10(c), table 1, and of its week of three
// days, in eighths: dark green, red/orange, beans, starchy, other, additional, and
// all vegetables.
var printed = []struct {
	group string
	days  int
	need  [6]int
	total int
}{
	{"k-5", 3, [6]int{4, 4, 4, 4, 2, 0}, 18},
	{"k-5", 5, [6]int{4, 6, 4, 4, 4, 8}, 30},
	{"6-8", 5, [6]int{4, 6, 4, 4, 4, 8}, 30},
	{"9-12", 5, [6]int{4, 10, 4, 4, 6, 12}, 40},
}

var subgroupNames = []string{"dark-green", "red-orange", "beans-peas-lentils", "starchy", "other", "mixed"}

// misses puts the subgroups of a week: what a child takes stays in its own group or
// flows on, dark green, red/orange and beans to other (o) or additional (a), starchy
// and other to additional; what is missing (m) is to be least. With the total, what
// is missing of it is added.
func misses(days []menu.Day, need [6]int, total int, withTotal bool) *program {
	p := &program{}
	p.takes(days, "x")
	p.minimize.WriteString(" obj: m0 + m1 + m2 + m3 + m4 + m5")
	if withTotal {
		p.minimize.WriteString(" + mt")
	}
	out := []string{"- o0 - a0", "- o1 - a1", "- o2 - a2", "- a3", "+ o0 + o1 + o2 - a4", "+ a0 + a1 + a2 + a3 + a4"}
	flows := []string{"o0 + a0", "o1 + a1", "o2 + a2", "a3", "a4"}
	for g, name := range subgroupNames {
		own := sum(days, "x", func(it menu.Item) int {
			if name == "beans-peas-lentils" { // as meat alternate they stay: only vegetables flow on
				return has(name)(it) + eighths(it.BeansAsMeats)
			}
			return has(name)(it)
		})
		p.rule("%s %s + m%d >= %d", own, out[g], g, need[g])
		if g < len(flows) {
			// no more flows on than is taken as vegetable
			p.rule("%s %s <= 0", flows[g], negated(sum(days, "x", has(name))))
		}
	}
	all := sum(days, "x", func(it menu.Item) int {
		n := 0
		for _, name := range subgroupNames {
			n += has(name)(it)
		}
		return n
	})
	p.rule("%s + mt >= %d", all, total)
	return p
}

func negated(sum string) string {
	return strings.NewReplacer("+", "-", "-", "+").Replace(sum)
}

func solverWeek(t *rapid.T, group string, days int) menu.Menu {
	l := menu.Line{Name: "main"}
	from := []string{"grains", "meats", "fruits", "fruits", "milk", "dark-green", "red-orange", "beans-peas-lentils", "starchy", "other", "mixed"}
	for d := range days {
		day := menu.Day{On: date(schoolWeek[d])}
		for c := range rapid.IntRange(1, 3).Draw(t, "choices") {
			ch := menu.Choice{Name: fmt.Sprint(c), Same: menu.NotAllowed}
			n := rapid.IntRange(1, 4).Draw(t, "items")
			for i := range n {
				it := menu.Item{Name: fmt.Sprint(d, c, i), Paper: "drawn", Juice: rapid.IntRange(0, 2).Draw(t, "juice") == 0}
				in := make(map[string]string)
				for range rapid.IntRange(1, 3).Draw(t, "credits") {
					in[rapid.SampledFrom(from).Draw(t, "of")] = fmt.Sprintf("%d/8", rapid.IntRange(2, 8).Draw(t, "eighths"))
				}
				if rapid.IntRange(0, 2).Draw(t, "beans") == 0 {
					n := rapid.IntRange(1, 6).Draw(t, "as meats")
					it.BeansAsMeats, in["meats"] = exact.Frac(int64(n), 8), fmt.Sprintf("%d/8", 4*n)
				}
				for _, of := range []string{"grains", "meats"} { // in quarters, as credits go
					if n, _ := strconv.Atoi(strings.TrimSuffix(in[of], "/8")); n%2 == 1 {
						in[of] = fmt.Sprintf("%d/8", n+1)
					}
				}
				it.Credits = claims(in)
				ch.Items = append(ch.Items, it)
			}
			if rapid.Bool().Draw(t, "same") {
				ch.Same = menu.Allowed
			}
			ch.Take = rapid.IntRange(1, min(2, n)).Draw(t, "take")
			day.Choices = append(day.Choices, ch)
		}
		l.Days = append(l.Days, day)
	}
	return menu.Menu{Program: "school-lunch", AgeGroup: group, Lines: []menu.Line{l}}
}

// Subgroups, the juice a child could take, and the sums of a week, against glpsol.
func TestSolverAgrees(t *testing.T) {
	if _, err := exec.LookPath("glpsol"); err != nil {
		t.Fatal("glpsol is missing: run make test-solver, or install Debian's glpk-utils")
	}
	r, dir := reviewer(t), t.TempDir()
	weeks, missing, apart, juicy := 0, 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.SampledFrom(printed).Draw(t, "pattern")
		m := solverWeek(t, q.group, q.days)
		days := m.Lines[0].Days
		got, err := r.Review(m)
		if err != nil {
			t.Fatal(err)
		}
		of := func(rule string, note bool) (menu.Check, bool) {
			for _, c := range got.Checks {
				if c.Rule == rule && c.On.IsZero() && c.Note == note {
					return c, true
				}
			}
			return menu.Check{}, false
		}
		same := func(what string, is exact.Number, solved float64, unit int64) {
			if want := math.Round(solved); math.Abs(want-solved) > 1e-6 || !is.Equal(exact.Frac(int64(want), unit)) {
				t.Fatalf("%s: %s, glpsol %v of 1/%d", what, is, solved, unit)
			}
		}
		weeks++
		short, _ := misses(days, q.need, q.total, false).solve(t, dir, 0)
		c, ok := of(menu.Subgroups, false)
		if !ok {
			t.Fatal("no check of the subgroups")
		}
		same("subgroups miss", c.Short, short, 8)
		if short > 0.5 {
			missing++
		}
		// The sums, each of a child of its own, and what could be drunk of the fruit.
		sums := []struct {
			rule string
			sign int // 1 for the least, -1 for the most
			of   func(menu.Item) int
		}{{"least/grains", 1, has("grains")}, {"least/meats", 1, has("meats")}, {"least/fruits", -1, has("fruits")},
			{"least/vegetables", -1, func(it menu.Item) int {
				n := 0
				for _, name := range subgroupNames {
					n += has(name)(it)
				}
				return n
			}},
			{"", -1, func(it menu.Item) int { // juice above the rest: twice what is above half
				if it.Juice {
					return has("fruits")(it)
				}
				return -has("fruits")(it)
			}}}
		p := &program{}
		p.minimize.WriteString(" obj:")
		for k, s := range sums {
			child := fmt.Sprintf("x%d", k)
			fmt.Fprintf(&p.minimize, " %+d y%d", s.sign, k)
			fmt.Fprintf(&p.bounds, " y%d free\n", k)
			p.takes(days, child)
			p.rule("y%d %s = 0", k, negated(sum(days, child, s.of)))
		}
		_, solved := p.solve(t, dir, len(sums))
		for k, s := range sums {
			if s.rule == "" {
				continue
			}
			c, ok := of(s.rule, false)
			if !ok {
				t.Fatalf("no check of %s", s.rule)
			}
			same(s.rule, c.There, solved[k], 8)
		}
		total, _ := of("least/vegetables", false)
		_, is := of(menu.SubgroupsAndTotal, false)
		want := short < 0.5 && !total.There.Less(exact.Frac(int64(q.total), 8))
		if want {
			both, _ := misses(days, q.need, q.total, true).solve(t, dir, 0)
			want = both > 0.5
		}
		if is != want {
			t.Fatalf("that subgroups and total are reached apart only is said: %v, by glpsol %v", is, want)
		}
		if is {
			apart++
		}
		if c, _ := of("juice/share-of-fruits", false); c.Verdict == menu.Met {
			over := solved[len(sums)-1]
			note, said := of("juice/share-of-fruits", true)
			if said != (over > 0.5) {
				t.Fatalf("a child who could drink too much is said: %v, by glpsol %v above", said, over)
			}
			if said {
				juicy++
				same("juice above half", note.Short, over, 16)
			}
		}
	})
	t.Logf("%d weeks: %d miss a subgroup, %d reach subgroups and total apart only, %d could be drunk as juice", weeks, missing, apart, juicy)
	if missing == 0 || missing == weeks || juicy == 0 {
		t.Error("the weeks drawn decide nothing")
	}
}
