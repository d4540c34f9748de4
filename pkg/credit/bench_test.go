package credit_test

import (
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/rules"
)

// benchBatch is twelve grain ingredients in ounces: the task every way below
// works out, sum of grams over the divisor, over the servings, rounded down.
var benchBatch = []struct {
	food    string
	ounces  string
	divisor int64
}{
	{"flour-all-purpose-enriched", "36.5", 16}, {"whole-wheat-flour", "24", 16}, {"sorghum-flour-whole", "18.25", 16},
	{"cornmeal-whole", "12", 16}, {"brown-rice-long", "40", 28}, {"quinoa", "8.75", 28},
	{"bulgur", "10", 28}, {"millet", "6.5", 28}, {"pasta-elbow-enriched", "32", 28},
	{"pasta-spaghetti-enriched", "16", 28}, {"masa-harina", "9", 16}, {"oats-rolled", "20", 16},
}

const benchServings = 100

func benchRequest(tb testing.TB, eng *credit.Engine) credit.Request {
	tb.Helper()
	r := &recipe.Recipe{Name: "Twelve grains", Servings: benchServings, ExhibitAGroup: "D"}
	for _, x := range benchBatch {
		q, err := measure.Parse(x.ounces + " oz")
		if err != nil {
			tb.Fatal(err)
		}
		r.Ingredients = append(r.Ingredients, recipe.Ingredient{Food: x.food, Quantity: q})
	}
	on, err := rules.ParseDate("2026-09-14")
	if err != nil {
		tb.Fatal(err)
	}
	return credit.Request{Recipe: r, On: on, Program: "school-breakfast"}
}

func benchEngine(tb testing.TB) *credit.Engine {
	tb.Helper()
	rs, err := rules.Default()
	if err != nil {
		tb.Fatal(err)
	}
	cat, err := food.Default()
	if err != nil {
		tb.Fatal(err)
	}
	return credit.New(rs, cat)
}

// naiveShopspring is the sum as most programs write it: a division for each
// line, 16 places kept.
func naiveShopspring(ounces []decimal.Decimal, divisors []decimal.Decimal) decimal.Decimal {
	grams := decimal.RequireFromString("28.35")
	total := decimal.Zero
	for i := range ounces {
		total = total.Add(ounces[i].Mul(grams).Div(divisors[i]))
	}
	quarter := decimal.RequireFromString("0.25")
	return total.Div(decimal.NewFromInt(benchServings)).Div(quarter).Floor().Mul(quarter)
}

func benchDecimals() (ounces, divisors []decimal.Decimal) {
	for _, x := range benchBatch {
		ounces = append(ounces, decimal.RequireFromString(x.ounces))
		divisors = append(divisors, decimal.NewFromInt(x.divisor))
	}
	return ounces, divisors
}

// BenchmarkCredit times the engine beside its ceilings.
func BenchmarkCredit(b *testing.B) {
	eng := benchEngine(b)
	req := benchRequest(b, eng)
	ounces, divisors := benchDecimals()
	b.Run("float", func(b *testing.B) {
		b.ReportAllocs()
		fs, ds := make([]float64, len(ounces)), make([]float64, len(ounces))
		for i := range ounces {
			fs[i], _ = ounces[i].Float64()
			ds[i], _ = divisors[i].Float64()
		}
		var sink float64
		for b.Loop() {
			total := 0.0
			for i := range fs {
				total += fs[i] * 28.35 / ds[i]
			}
			sink = float64(int(total/benchServings*4)) / 4
		}
		_ = sink
	})
	b.Run("shopspring", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			naiveShopspring(ounces, divisors)
		}
	})
	b.Run("alone", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := eng.Credits(req); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("everything", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := eng.Credit(req); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// turn is how often each way runs before the next has its turn: long enough
// that each pays for the garbage it makes itself.
const turn = 5000

// BenchmarkRatio reports the engine's cost as multiples of the naive decimal
// sum, the three taken in turns so that a busy machine slows them alike.
func BenchmarkRatio(b *testing.B) {
	eng := benchEngine(b)
	req := benchRequest(b, eng)
	ounces, divisors := benchDecimals()
	var naive, alone, everything time.Duration
	for b.Loop() {
		t0 := time.Now()
		for range turn {
			naiveShopspring(ounces, divisors)
		}
		t1 := time.Now()
		for range turn {
			if _, err := eng.Credits(req); err != nil {
				b.Fatal(err)
			}
		}
		t2 := time.Now()
		for range turn {
			if _, err := eng.Credit(req); err != nil {
				b.Fatal(err)
			}
		}
		t3 := time.Now()
		naive, alone, everything = naive+t1.Sub(t0), alone+t2.Sub(t1), everything+t3.Sub(t2)
	}
	b.ReportMetric(float64(alone)/float64(naive), "alone/naive")
	b.ReportMetric(float64(everything)/float64(naive), "everything/naive")
}

// TestAllocations holds the full record of twelve ingredients to 40
// allocations.
func TestAllocations(t *testing.T) {
	eng := benchEngine(t)
	req := benchRequest(t, eng)
	n := testing.AllocsPerRun(100, func() {
		if _, err := eng.Credit(req); err != nil {
			t.Fatal(err)
		}
	})
	if n > 40 {
		t.Errorf("a record of %d ingredients takes %v allocations, at most 40", len(benchBatch), n)
	}
}
