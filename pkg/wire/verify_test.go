package wire_test

import (
	"fmt"
	"math/big"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// forgeries make of a filed record one that claims more, or that reads as if it
// did, with its steps brought in line as far as one hand would. Each reports
// whether it found something to change.
var forgeries = map[string]func(m *pb.Record, c *pb.Credit) bool{
	"claimable raised": func(m *pb.Record, c *pb.Credit) bool {
		c.Claimable = plus(c.GetClaimable(), c.GetStep())
		return c.GetStep() != "0"
	},
	"claimable below 0": func(m *pb.Record, c *pb.Credit) bool {
		c.Claimable = "-1/4"
		return true
	},
	"an estimate claimable in full": func(m *pb.Record, c *pb.Credit) bool {
		was := c.GetClaimable()
		c.Claimable = c.GetCredited()
		return c.GetBasis() == "sum" && was != c.GetCredited()
	},
	"called documented": func(m *pb.Record, c *pb.Credit) bool {
		was := c.GetStatus()
		c.Status, c.Claimable = pb.Status_STATUS_DOCUMENTED, c.GetCredited()
		return was != c.GetStatus()
	},
	"credited raised with its last step": func(m *pb.Record, c *pb.Credit) bool {
		s := m.GetSteps()[c.GetLastStep()]
		c.Credited = plus(c.GetCredited(), c.GetStep())
		c.Claimable, s.Value, s.Start = c.GetCredited(), c.GetCredited(), c.GetStep()
		return s.GetOperation() == "round-down" && c.GetStep() != "0"
	},
	"not rounded down": func(m *pb.Record, c *pb.Credit) bool {
		s := m.GetSteps()[c.GetLastStep()]
		was := c.GetCredited()
		s.Terms, s.Value = s.GetTerms()[:max(len(s.GetTerms())-1, 0)], c.GetExact()
		c.Credited, c.Claimable = c.GetExact(), c.GetExact()
		return s.GetOperation() == "round-down" && !same2(was, c.GetExact())
	},
	"rounded down to a smaller step": func(m *pb.Record, c *pb.Credit) bool {
		c.Step = "0.001"
		return slices.Contains([]string{"sum", "creditable-grains", "other-filled", "exhibit-a-division"}, c.GetBasis()) && c.GetStatus() != pb.Status_STATUS_NO_CREDIT
	},
	"an ingredient counted twice": func(m *pb.Record, c *pb.Credit) bool {
		for _, s := range m.GetSteps() {
			if s.GetOperation() == "sum" && len(s.GetTerms()) > 0 {
				t := s.GetTerms()[0]
				s.Terms, s.Value = append(s.Terms, t), plus(s.GetValue(), t.GetValue())
				return bringInLine(m)
			}
		}
		return false
	},
	"divided by fewer servings": func(m *pb.Record, c *pb.Credit) bool {
		for i, f := range m.GetFigures() {
			if f.GetId() == "recipe/servings" {
				m.Figures = append(m.Figures, &pb.Figure{Id: "recipe/serving", Value: "1", Used: "1", Mark: "read"})
				for _, s := range m.GetSteps() {
					for _, t := range s.GetTerms() {
						if int(t.GetFigure()) == i && t.GetStep() < 0 {
							t.Figure, t.Value = int32(len(m.Figures)-1), "1"
						}
					}
				}
				return m.GetServings() > 1 && bringInLine(m)
			}
		}
		return false
	},
	"the same credit twice": func(m *pb.Record, c *pb.Credit) bool {
		m.Credits = append(m.Credits, proto.CloneOf(c))
		return true
	},
	"a figure that reads otherwise": func(m *pb.Record, c *pb.Credit) bool {
		m.Figures[0].Value = "12345"
		return m.Figures[0].GetUnit() != "none"
	},
	"an operand that reads otherwise": func(m *pb.Record, c *pb.Credit) bool {
		for _, s := range m.GetSteps() {
			if len(s.GetTerms()) > 0 {
				s.Terms[0].Value = "12345"
				return true
			}
		}
		return false
	},
	"an exact value that reads otherwise": func(m *pb.Record, c *pb.Credit) bool {
		c.Decimal = "9.9999"
		return true
	},
	"no servings": func(m *pb.Record, c *pb.Credit) bool {
		m.Servings = 0
		return true
	},
	"no such status":    func(m *pb.Record, c *pb.Credit) bool { c.Status = 77; return true },
	"no such component": func(m *pb.Record, c *pb.Credit) bool { c.Component = -1; return true },
	"no such subgroup":  func(m *pb.Record, c *pb.Credit) bool { c.Subgroup = 77; return true },
	"a basis of its own": func(m *pb.Record, c *pb.Credit) bool {
		c.Basis = "by eye"
		return c.GetStatus() != pb.Status_STATUS_NO_CREDIT
	},
}

func rat(s string) exact.Number {
	whole, den, ok := strings.Cut(s, "/")
	n := exact.MustParse(strings.TrimPrefix(whole, "-"))
	if ok {
		n = n.Quo(exact.MustParse(den))
	}
	if strings.HasPrefix(s, "-") {
		n = n.Neg()
	}
	return n
}

func plus(a, b string) string { return rat(a).Add(rat(b)).Fraction() }
func same2(a, b string) bool  { return rat(a).Equal(rat(b)) }

// bringInLine works all steps and credits of a changed record out again.
func bringInLine(m *pb.Record) bool {
	for _, s := range m.GetSteps() {
		v := rat(s.GetStart())
		for _, t := range s.GetTerms() {
			x := m.GetSteps()[max(t.GetStep(), 0)].GetValue()
			if t.GetStep() < 0 {
				x = m.GetFigures()[t.GetFigure()].GetUsed()
			}
			t.Value = x
			switch n := rat(x); t.GetOperation() {
			case "times":
				v = v.Mul(n)
			case "divided-by":
				v = v.Quo(n)
			case "plus":
				v = v.Add(n)
			case "minus":
				v = v.Sub(n)
			default:
				v = v.DownTo(n)
			}
		}
		s.Value = v.Fraction()
	}
	for _, c := range m.GetCredits() {
		c.Exact = m.GetSteps()[c.GetExactStep()].GetValue()
		c.Decimal = rat(c.GetExact()).DecimalText(4)
		c.Credited = m.GetSteps()[c.GetLastStep()].GetValue()
		if c.GetStatus() == pb.Status_STATUS_DOCUMENTED {
			c.Claimable = c.GetCredited()
		}
	}
	return true
}

// No record of the corpus can be made to claim more by any of the forgeries, each
// credit in turn, and still follow.
func TestVerifySeesForgeries(t *testing.T) {
	names, err := filepath.Glob("../../testdata/cases/good/*.yaml")
	if err != nil || len(names) < 20 {
		t.Fatal(len(names), err)
	}
	tried := map[string]int{}
	for _, name := range names {
		_, clean := filed(t, name)
		for what, forge := range forgeries {
			for i := range clean.GetCredits() {
				m := proto.CloneOf(clean)
				if !forge(m, m.GetCredits()[i]) {
					continue
				}
				tried[what]++
				if wire.Follows(m) == nil {
					t.Errorf("%s, credit %d: %s: it follows", filepath.Base(name), i, what)
				}
			}
		}
	}
	for what := range forgeries {
		if tried[what] < 3 {
			t.Errorf("%s: tried %d times", what, tried[what])
		}
	}
}

// What follows but is not the request's is told by the request.
func TestVerifyNamesWhatIsNotTheRequests(t *testing.T) {
	req, clean := filed(t, "../../testdata/cases/good/garden-salad.yaml")
	for what, change := range map[string]func(m *pb.Record) (kind string, holds bool){
		"citation":   func(m *pb.Record) (string, bool) { m.Figures[0].Citation = "Hearsay"; return "figure", true },
		"mark":       func(m *pb.Record) (string, bool) { m.Figures[0].Mark = "caller"; return "figure", true },
		"name":       func(m *pb.Record) (string, bool) { m.Name = "Another dish"; return "record", false },
		"program":    func(m *pb.Record) (string, bool) { m.Program = "summer"; return "record", false },
		"day":        func(m *pb.Record) (string, bool) { m.ServiceDate = "2031-01-01"; return "record", false },
		"option":     func(m *pb.Record) (string, bool) { m.Options["other-vegetables"] = "alone"; return "record", false },
		"portion":    func(m *pb.Record) (string, bool) { m.Portion = &pb.Portion{Weight: "9 oz"}; return "record", false },
		"ingredient": func(m *pb.Record) (string, bool) { m.Ingredients[0].FoodName = "kale"; return "ingredient", true },
		"dropped": func(m *pb.Record) (string, bool) {
			m.Ingredients = m.Ingredients[:len(m.Ingredients)-1]
			return "ingredient", true
		},
		"claimable": func(m *pb.Record) (string, bool) { m.Credits[0].Claimable = "0"; return "credit", false },
		"another portion": func(m *pb.Record) (string, bool) {
			m.Also = append(m.Also, proto.CloneOf(m))
			return "record", false
		},
	} {
		m := proto.CloneOf(clean)
		kind, holds := change(m)
		out, err := wire.Verify(exampleEngine(), &pb.VerifyRecordRequest{Record: m, Request: req}, nil)
		if err != nil || !slices.ContainsFunc(out.GetDifferences(), func(d *pb.Difference) bool { return d.GetKind() == kind }) || out.GetFollows() && out.GetStillHolds() != holds {
			t.Errorf("%s: %v %v", what, out, err)
		}
	}
}

// A filed record holds whatever its numbers come to: milk in thirds of a cup,
// which the credit is written without, and two products with a portion each.
func TestVerifyHoldsForRareShapes(t *testing.T) {
	for what, request := range map[string]string{
		"milk in thirds": `{"recipe":{"name":"Smoothie","servings":3,"smoothie":true,"ingredients":[{"food":"milk-1pct","quantity":"1 cup"}]},"serviceDate":"2026-09-14","program":"school-breakfast"}`,
		"two products": `{"recipe":{"name":"Plate","servings":10,"ingredients":[{"product":"a","quantity":"10 each"},{"product":"b","quantity":"10 each"}]},
			"products":[{"id":"a","name":"Patty","weight":"2 oz","cnLabel":{"number":"123456","approved":"2025-01","portion":"2 oz","claims":[{"component":"meats","amount":"1"}]}},
			{"id":"b","name":"Nuggets","weight":"3 oz","cnLabel":{"number":"123457","approved":"2025-01","portion":"3 oz","claims":[{"component":"meats","amount":"2"},{"component":"grains","amount":"1"}]}}],
			"serviceDate":"2026-09-14","program":"school-lunch"}`,
	} {
		req, shape := wire.ReadRequest([]byte(request), wire.JSON)
		rec, faults, err := wire.Answer(exampleEngine(), req, shape)
		if err != nil || faults != nil {
			t.Fatal(what, faults, err)
		}
		out, err := wire.Verify(exampleEngine(), &pb.VerifyRecordRequest{Record: rec, Request: req}, nil)
		if err != nil || !out.GetFollows() || !out.GetStillHolds() || len(out.GetDifferences()) > 0 {
			t.Errorf("%s: %v %v", what, out, err)
		}
	}
}

// The longest numbers a request within bounds can ask for still follow: 500
// amounts with 9 digits in each denominator, of which no two share a factor.
func TestVerifyHoldsForTheLongestNumbers(t *testing.T) {
	req := &pb.CreditRequest{ServiceDate: "2026-09-14", Program: "school-lunch", Recipe: &pb.Recipe{Name: "Salad", Servings: 999_983}}
	for p := int64(999_999_999); len(req.GetRecipe().GetIngredients()) < 500; p -= 2 {
		if big.NewInt(p).ProbablyPrime(0) {
			food := []string{"romaine-fresh", "tomatoes-cherry-fresh"}[p/2%2]
			req.Recipe.Ingredients = append(req.Recipe.Ingredients, &pb.Ingredient{Food: food, State: "raw", Quantity: fmt.Sprintf("999999937/%d lb", p)})
		}
	}
	rec, faults, err := wire.Answer(exampleEngine(), req, nil)
	if err != nil || faults != nil {
		t.Fatal(faults, err)
	}
	if err := wire.Follows(rec); err != nil {
		t.Error(fault.Clip(err.Error()))
	}
}

// A statement worked out again with a figure from memory makes an estimate, which
// nobody makes documented or claimable by writing so.
func TestVerifyReadsStatementsWorkedOutAgain(t *testing.T) {
	req, shape := wire.ReadRequest([]byte(`{"recipe":{"name":"Plate","servings":10,"ingredients":[{"product":"b","quantity":"10 each"}]},
		"products":[{"id":"b","name":"Fruit bar","weight":"2 oz","statement":{"date":"2026-01-05","signed":true,"portion":"2 oz",
			"ingredients":[{"food":"raisins","quantity":"2 oz"}],"claims":[{"component":"fruits","amount":"3/4"}]}}],
		"serviceDate":"2026-09-14","program":"school-lunch"}`), wire.JSON)
	rec, faults, err := wire.Answer(exampleEngine(), req, shape)
	if err != nil || faults != nil {
		t.Fatal(faults, err)
	}
	c := rec.GetCredits()[0]
	if err := wire.Follows(rec); err != nil || c.GetStatus() != pb.Status_STATUS_ESTIMATE || c.GetClaimable() != "0" {
		t.Fatal(err, c)
	}
	c.Claimable = c.GetCredited()
	if wire.Follows(rec) == nil {
		t.Error("claimable in full: it follows")
	}
	c.Status = pb.Status_STATUS_DOCUMENTED
	if wire.Follows(rec) == nil {
		t.Error("documented: it follows")
	}
}
