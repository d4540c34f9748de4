package report_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"unicode"
	"unicode/utf8"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/measure"
	"example.com/ozeq/pkg/recipe"
	"example.com/ozeq/pkg/report"
	"example.com/ozeq/pkg/rules"
)

var update = flag.Bool("update", false, "write the golden files anew")

// engine credits with a small catalog of invented figures: what is tested here
// is how records read, not what the catalog holds.
var engine = sync.OnceValue(func() *credit.Engine {
	rs, err := rules.Default()
	if err != nil {
		panic(err)
	}
	cat, err := food.Load(os.DirFS("testdata/catalog"))
	if err != nil {
		panic(err)
	}
	return credit.New(rs, cat)
})

func amount(s string) measure.Quantity {
	q, err := measure.Parse(s)
	if err != nil {
		panic(err)
	}
	return q
}

func line(id, quantity string) recipe.Ingredient {
	return recipe.Ingredient{Food: id, Quantity: amount(quantity)}
}

// lunch asks about a recipe in school lunch on a day of autumn 2026.
func lunch(r recipe.Recipe) credit.Request {
	return credit.Request{Recipe: &r, On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-lunch"}
}

// requests are the records that are held fast.
func requests() map[string]credit.Request {
	named := func(i recipe.Ingredient, name string) recipe.Ingredient { i.Name = name; return i }
	in := func(i recipe.Ingredient, state string) recipe.Ingredient { i.State = state; return i }
	all := map[string]credit.Request{
		// Two grains, dried fruit by a figure from memory, an ingredient left
		// out, another answer by weight.
		"breakfast-bake": lunch(recipe.Recipe{Name: "Ridge breakfast square", Servings: 48, ExhibitAGroup: "D",
			Portions: []recipe.Portion{{Name: "1 square", Weight: amount("3.4 oz")}},
			Ingredients: []recipe.Ingredient{named(line("sorghum-meal", "2 lb 4 oz"), "Stone-ground sorghum"), line("oat-flakes", "1 lb 8 oz"), line("dried-plums", "3 lb"),
				{Food: "grapes-whole", Quantity: amount("1 lb"), NotCrediting: true}}}),
		// Raw greens at half, three subgroups, what they leave of the total.
		"salad": lunch(recipe.Recipe{Name: "Ridge salad", Servings: 100,
			Portions:    []recipe.Portion{{Measure: amount("1 cup"), Scoop: 8}},
			Ingredients: []recipe.Ingredient{in(line("ridge-romaine", "6 lb"), "raw"), in(line("ridge-carrots", "8 lb"), "raw-shredded"), in(line("ridge-corn", "5 lb"), "cooked"), line("salt-plain", "1 tsp")}}),
		// Beans as a meat alternate, beef with another answer, a bought product
		// without papers, tofu whose label must be kept.
		"chili": lunch(recipe.Recipe{Name: "Ridge chili", Servings: 50,
			Ingredients: []recipe.Ingredient{line("ridge-beef", "6 lb"), {Food: "ridge-beans", Quantity: amount("1 can no. 10"), CreditAs: "meats"}, line("ridge-tofu", "2 lb 8 oz"), line("fish-fingers", "3 lb")}}),
		// No state given, and none needed: the lower figure is taken.
		"beans": lunch(recipe.Recipe{Name: "Ridge beans", Servings: 50, Ingredients: []recipe.Ingredient{line("ridge-beans", "1 can no. 10")}}),
		// A product by weight, held to the printed least weights.
		"roll": {Product: &credit.Product{Name: "Ridge roll", Weight: amount("34 g"), ExhibitAGroup: "B"}, On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-breakfast"},
		// A statement that claims more than its own figures support.
		"over-claim": {Product: &credit.Product{Name: "Ridge patty", Weight: amount("2.5 oz"),
			Statement: &credit.Statement{Date: rules.Date{Year: 2026, Month: 1, Day: 15}, Signed: true, Portion: amount("2.5 oz"),
				Ingredients: []recipe.Ingredient{line("ridge-beef", "2.2 oz")},
				Claims:      []credit.Claim{{Component: food.Meats, Amount: exact.Int(2), Text: "2.00"}}}},
			On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "school-lunch"},
		// Two portions of one batch.
		"two-portions": lunch(recipe.Recipe{Name: "Ridge biscuit", Servings: 40, ExhibitAGroup: "B",
			Portions:    []recipe.Portion{{Name: "large"}, {Name: "small", Servings: 80}},
			Ingredients: []recipe.Ingredient{line("white-flour", "2 lb")}}),
		// Small children: what may choke, and honey.
		"preschool": {Recipe: &recipe.Recipe{Name: "Grapes and honey", Servings: 20, Ingredients: []recipe.Ingredient{line("grapes-whole", "2 lb"), line("honey-jar", "1 cup")}},
			On: rules.Date{Year: 2026, Month: 9, Day: 14}, Program: "preschool"},
		// Too little of everything.
		"too-little": lunch(recipe.Recipe{Name: "Thin soup", Servings: 200, Ingredients: []recipe.Ingredient{line("white-flour", "1 lb"), line("ridge-beef", "8 oz"), line("dried-plums", "1 lb"), in(line("ridge-corn", "1 lb"), "cooked")}}),
		// Bought products held to their printed weights beside flour, and a list
		// that the weight of a portion finds wanting.
		"held": heldRequest(),
		// Portions of which the batch makes no whole number.
		"not-whole": lunch(recipe.Recipe{Name: "Ridge scone", Servings: 40, ExhibitAGroup: "B",
			Portions:    []recipe.Portion{{Name: "large", Weight: amount("3 oz")}, {Name: "small", Weight: amount("2.8 oz")}},
			Ingredients: []recipe.Ingredient{line("white-flour", "4 lb")}}),
		// Nothing that credits at all.
		"nothing": lunch(recipe.Recipe{Name: "Salted water", Servings: 10, Ingredients: []recipe.Ingredient{line("salt-plain", "1 Tbsp")}}),
	}
	return all
}

func heldRequest() credit.Request {
	req := lunch(recipe.Recipe{Name: "Ridge trifle", Servings: 10, ExhibitAGroup: "D", Portions: []recipe.Portion{{Weight: amount("115 g")}},
		Ingredients: []recipe.Ingredient{{Product: "muffin", Quantity: amount("415 g")}, {Product: "roll", Quantity: amount("3 oz")}, line("white-flour", "40 g")}})
	req.Products = []credit.Product{{ID: "muffin", Name: "Ridge muffin", Weight: amount("57 g"), ExhibitAGroup: "D"}, {ID: "roll", Name: "Ridge roll", Weight: amount("28 g"), ExhibitAGroup: "B"}}
	return req
}

// digests change with every rule and figure; the words of a record do not.
var digests = regexp.MustCompile(`sha256:[0-9a-f]+`)

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	got = digests.ReplaceAll(got, []byte("sha256:..."))
	file := filepath.Join("testdata", name+".txt")
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s reads otherwise (go test ./pkg/report -update writes it anew):\n%s", file, difference(string(want), string(got)))
	}
}

// difference shows the first lines that are not the same.
func difference(want, got string) string {
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range max(len(w), len(g)) {
		at := func(s []string) string {
			if i < len(s) {
				return s[i]
			}
			return "(the end)"
		}
		if at(w) != at(g) {
			return "want " + at(w) + "\ngot  " + at(g)
		}
	}
	return ""
}

func TestTextGolden(t *testing.T) {
	for name, req := range requests() {
		t.Run(name, func(t *testing.T) {
			rec, err := engine().Credit(req)
			if err != nil {
				t.Fatal(err)
			}
			var b bytes.Buffer
			if err := report.Text(&b, rec); err != nil {
				t.Fatal(err)
			}
			if err := report.Steps(&b, rec); err != nil {
				t.Fatal(err)
			}
			printable(t, b.String())
			golden(t, name, b.Bytes())
		})
	}
}

// printable checks what every text owes a printer and a terminal.
func printable(t testing.TB, s string) {
	t.Helper()
	if !utf8.ValidString(s) || !strings.HasSuffix(s, "\n") {
		t.Errorf("valid UTF-8 %v, ends in a line end %v", utf8.ValidString(s), strings.HasSuffix(s, "\n"))
	}
	for i, l := range strings.Split(s, "\n") {
		if n := utf8.RuneCountInString(l); n > report.Width {
			t.Errorf("line %d has %d columns: %s", i+1, n, l)
		}
		if strings.TrimRight(l, " ") != l {
			t.Errorf("line %d ends in spaces: %q", i+1, l)
		}
		for _, r := range l {
			if unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp, unicode.Bidi_Control) {
				t.Errorf("line %d holds %U: %q", i+1, r, l)
			}
		}
	}
}

func TestFaultsGolden(t *testing.T) {
	l := &fault.List{Omitted: 2}
	for _, f := range []fault.Fault{
		{Reason: fault.UnknownFood, Path: "recipe.ingredients[0].food", Value: "kinwa", Want: "a food of the catalog or of foods in the request", Fix: "Nearest: quinoa, quinoa-flour, kiwifruit-fresh."},
		{Reason: fault.BadSyntax, Want: "valid JSON: unexpected end of JSON input", Fix: "Check commas, quotes and braces there."},
		{Reason: fault.WrongType, Path: "recipe." + strings.Repeat("x", 120), Value: strings.Repeat("9", 200), Want: "a whole number without quotes, such as 48"},
		{Reason: fault.UnknownUnit, Path: "recipe.ingredients[17].quantity", Value: "2 \x1b[31mT\u202e\n", Want: "a unit the kitchen\tand this program both know", Fix: "Write Tbsp for tablespoons or tsp for teaspoons: a single T is read both ways."},
	} {
		l.Add(f)
	}
	var b bytes.Buffer
	if err := report.Faults(&b, "menu\x07 week.yaml", l); err != nil {
		t.Fatal(err)
	}
	printable(t, b.String())
	golden(t, "faults", b.Bytes())

	one := &fault.List{}
	one.Add(fault.Fault{Reason: fault.Missing, Path: "program", Want: "a program id", Fix: "Say which."})
	b.Reset()
	if err := report.Faults(&b, "-", one); err != nil {
		t.Fatal(err)
	}
	if got := b.String(); !strings.HasPrefix(got, "-: no answer yet, 1 thing to mend\n  1. program\n") {
		t.Errorf("one fault reads\n%s", got)
	}
}
