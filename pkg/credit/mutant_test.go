package credit_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"example.com/ozeq/pkg/credit"
)

// Two ways of doing the same sum that look right: float64, and decimals divided
// line by line, which keeps 16 places. Both read the same cards as the oracle,
// in the same order, through the same figures. If the recipes built to an edge
// could not tell them from the exact answer, those recipes would prove nothing
// about the engine either.

var floats = numbers[float64]{
	read: func(s string) float64 {
		whole, part, mixed := strings.Cut(s, " ")
		if !mixed && strings.Contains(s, "/") {
			whole, part = "0", s
		}
		v, err := strconv.ParseFloat(whole, 64)
		if err != nil {
			panic(err)
		}
		if num, den, ok := strings.Cut(part, "/"); ok {
			n, err1 := strconv.ParseFloat(num, 64)
			d, err2 := strconv.ParseFloat(den, 64)
			if err1 != nil || err2 != nil {
				panic(s)
			}
			v += n / d
		}
		return v
	},
	add:   func(a, b float64) float64 { return a + b },
	mul:   func(a, b float64) float64 { return a * b },
	quo:   func(a, b float64) float64 { return a / b },
	less:  func(a, b float64) bool { return a < b },
	floor: func(x, step float64) float64 { return math.Floor(x/step) * step },
}

var decimals = numbers[decimal.Decimal]{
	read: func(s string) decimal.Decimal {
		whole, part, mixed := strings.Cut(s, " ")
		if !mixed && strings.Contains(s, "/") {
			whole, part = "0", s
		}
		v := decimal.RequireFromString(whole)
		if num, den, ok := strings.Cut(part, "/"); ok {
			v = v.Add(decimal.RequireFromString(num).Div(decimal.RequireFromString(den)))
		}
		return v
	},
	add:   decimal.Decimal.Add,
	mul:   decimal.Decimal.Mul,
	quo:   decimal.Decimal.Div,
	less:  decimal.Decimal.LessThan,
	floor: func(x, step decimal.Decimal) decimal.Decimal { return x.Div(step).Floor().Mul(step) },
}

// wrong counts the requests on which a mutant credits something else than the
// oracle, too much or too little.
type wrong struct{ requests, over, under int }

// judge compares the credits of one card. Steps are far wider than what the
// mutants lose, so comparing credited values as float64 is no loss.
func (w *wrong) judge(want, got []float64) {
	over, under := len(got) > len(want), len(got) < len(want)
	for i := range min(len(want), len(got)) {
		over = over || got[i] > want[i]+1e-6
		under = under || got[i] < want[i]-1e-6
	}
	if over || under {
		w.requests++
	}
	if over {
		w.over++
	}
	if under {
		w.under++
	}
}

// creditedAs lists what a card credits in the order of the oracle, what the
// subgroups leave apart: it follows from the others.
func creditedAs[T any](answers []answer[T], value func(T) float64) []float64 {
	var out []float64
	for _, a := range answers {
		if a.subgroup != "additional" {
			out = append(out, value(a.credited))
		}
	}
	return out
}

// run puts n requests of a seed to the oracle and to both mutants.
func run(t *testing.T, k *kitchen, n int, seed uint64, atEdge bool) (byFloat, byDecimal wrong) {
	for i := range n {
		req, _ := k.draw(random{rand.New(rand.NewPCG(seed, uint64(i)))}, atEdge)
		c := mustRead(t, k, &req)
		var want []float64
		for _, a := range credits(&rationals, c) {
			if a.subgroup != "additional" {
				f, _ := a.credited.Float64()
				want = append(want, f)
			}
		}
		byFloat.judge(want, creditedAs(credits(&floats, c), func(f float64) float64 { return f }))
		byDecimal.judge(want, creditedAs(credits(&decimals, c), func(d decimal.Decimal) float64 { return d.InexactFloat64() }))
	}
	return byFloat, byDecimal
}

func mustRead(t *testing.T, k *kitchen, req *credit.Request) *card {
	t.Helper()
	rs, err := k.rules.Resolve(req.On, req.Program, req.Options)
	if err != nil {
		t.Fatal(err)
	}
	c, ok := readCard(k.catalog, rs, req)
	if !ok {
		t.Fatalf("the oracle declines\n%s", show(req))
	}
	return c
}

func TestEdgesKillInexactArithmetic(t *testing.T) {
	k := newKitchen(t)
	n := 20_000
	if testing.Short() || racing() {
		n = 3_000
	}
	byFloat, byDecimal := run(t, k, n, 31, true)
	for name, w := range map[string]wrong{"float64": byFloat, "16-place decimals": byDecimal} {
		t.Logf("%s: wrong on %d of %d recipes built to an edge (%d credit too much, %d too little)", name, w.requests, n, w.over, w.under)
		if w.requests == 0 || w.under == 0 {
			t.Errorf("%s survives %d recipes built to an edge: they do not test exactness", name, n)
		}
	}
	// Away from the edges both are right: what kills them is the rounding, not
	// that they work another sum out.
	byFloat, byDecimal = run(t, k, n, 32, false)
	for name, w := range map[string]wrong{"float64": byFloat, "16-place decimals": byDecimal} {
		t.Logf("%s: wrong on %d of %d recipes drawn freely", name, w.requests, n)
		if w.requests > n/200 {
			t.Errorf("%s is wrong on %d of %d recipes drawn freely: it works out something else", name, w.requests, n)
		}
	}
}
