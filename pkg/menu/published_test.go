package menu_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/menu"
	"example.com/ozeq/pkg/rules/patterns"
)

// Published menus, trays and sugar limits, read by one map of names and one set of
// rules for all. What comes out is compared with outcomes.csv, and every outcome
// that is no match has its reason in differences.md.

const published = "../../testdata/published-menus"

// refreshMenus names the environment variable that writes outcomes.csv anew.
const refreshMenus = "OZEQ_REFRESH_OUTCOMES"

// today is the day of expectedToday.
const today = "2026-11-25"

type publishedCase struct {
	ID, Kind, Strength, Rule                 string
	Program, Meal, Group, On, Ask, Age, Note string
	Items                                    []publishedItem
	Expected, ExpectedToday                  map[string]any
	Source                                   map[string]string
}

type publishedItem struct {
	Name, Quantity, Unit string
	Credits              map[string]string
	SugarsPerOunce       string
}

// publishedIDs are the components as the cases name them.
var publishedIDs = map[string]string{
	"mma": "meats", "grain": "grains", "fruit": "fruits", "milk": "milk", "veg": "mixed", "vegetable": "mixed",
	"dg": "dark-green", "dark_green": "dark-green", "ro": "red-orange", "red_orange": "red-orange",
	"leg": "beans-peas-lentils", "legume": "beans-peas-lentils", "sta": "starchy", "starchy": "starchy",
	"oth": "other", "other": "other", "starchy_or_other": "mixed",
}

// said are the words of publishers for a verdict.
var said = map[string]string{
	"meets": "met", "True": "met", "reimbursable": "met", "credits": "met", "whole milk": "met",
	"does not meet": "not-met", "not reimbursable": "not-met", "does not credit": "not-met",
	"counts as one vegetable":       "not-met", // asked of the fruit
	"cannot decide from this label": "not-checked",
}

type menuHarness struct {
	t     *testing.T
	r     *menu.Reviewer
	ps    *patterns.Patterns
	names map[string][]string
}

func (h *menuHarness) pattern(c *publishedCase, on string) *patterns.Pattern {
	p, err := h.ps.Pattern(patterns.Query{On: date(on), Program: c.Program, Meal: c.Meal, Group: c.Group})
	if err != nil {
		h.t.Fatalf("%s: %v", c.ID, err)
	}
	return p
}

// item reads one item: printed credits, or what the map says of its name.
func (h *menuHarness) item(c *publishedCase, p *patterns.Pattern, in publishedItem) menu.Item {
	it := menu.Item{Name: in.Name, Paper: c.Source["title"]}
	credits := make(map[string]string)
	for id, amount := range in.Credits {
		to := publishedIDs[id]
		if to == "" {
			h.t.Fatalf("%s: %q is no component", c.ID, id)
		}
		if to == "mixed" && len(in.Credits) > 1 && hasSubgroup(in.Credits) {
			continue // the total of the subgroups printed beside it
		}
		credits[to] = amount
	}
	row, known := h.names[in.Name]
	if known && row[2] != "" {
		it.Milk = &menu.Milk{Fat: row[2], Flavored: row[3] == "yes"}
	}
	if !known && len(in.Credits) == 0 {
		h.t.Fatalf("%s: %q is not in names.csv", c.ID, in.Name)
	}
	if known {
		if row[7] != "" && strings.HasPrefix(c.Group, "months-") {
			it.Infant = []menu.InfantFood{{Food: row[7], Amount: number(in.Quantity)}}
		}
		it.Juice, it.Dessert, it.Kind = row[4] == "yes", row[5] == "yes", row[6]
	}
	if known && len(in.Credits) == 0 {
		for _, of := range strings.Fields(row[1]) {
			component, amount, _ := strings.Cut(of, "=")
			to := component
			if component == "vegetables" {
				to = "mixed"
			}
			switch {
			case amount != "":
				credits[to] = amount
			case in.Unit == "cup":
				credits[to] = in.Quantity
			case in.Unit == "fl oz":
				credits[to] = number(in.Quantity).Quo(exact.Int(8)).Fraction()
			default:
				n := number(in.Quantity)
				if in.Unit == "components" {
					n = exact.Int(1)
				}
				credits[to] = n.Mul(least(p, component)).Fraction()
			}
		}
	}
	it.Credits = claims(credits)
	return it
}

func hasSubgroup(credits map[string]string) bool {
	for id := range credits {
		if _, ok := food.ParseSubgroup(publishedIDs[id]); ok && publishedIDs[id] != "mixed" {
			return true
		}
	}
	return false
}

// least is the amount of a component in a meal, in cups or oz eq.
func least(p *patterns.Pattern, component string) exact.Number {
	for _, rule := range []string{"least/" + component, "least/fruits-or-vegetables", "least/grains-or-meats"} {
		for _, span := range []patterns.Span{patterns.Meal, patterns.Day} {
			if v, ok := p.Amount(rule, span); ok {
				if v.Unit == "fl oz" {
					return v.Number.Quo(exact.Int(8))
				}
				return v.Number
			}
		}
	}
	return exact.Int(1)
}

// answer is what comes out for a case on a day.
func (h *menuHarness) answer(c *publishedCase, on string) string {
	p := h.pattern(c, on)
	var items []menu.Item
	if c.Ask != "sugar" {
		for _, in := range c.Items {
			items = append(items, h.item(c, p, in))
		}
	}
	age, _ := strconv.Atoi(c.Age)
	m := menu.Menu{Program: c.Program, Meal: c.Meal, AgeGroup: c.Group, Age: age}
	switch c.Ask {
	case "tray", "items", "offer":
		tr := menu.Tray{Program: c.Program, Meal: c.Meal, AgeGroup: c.Group, On: date(on)}
		for _, it := range items {
			tr.Taken = append(tr.Taken, menu.Taken{Item: it})
		}
		if c.Ask == "offer" {
			d := plate(on, items...)
			tr.Offered = &d
		}
		a, err := h.r.Tray(tr)
		if err != nil {
			h.t.Fatalf("%s: %v", c.ID, err)
		}
		switch c.Ask {
		case "items":
			return strconv.Itoa(a.Counted)
		case "offer":
			for _, k := range a.Checks {
				if k.Rule == "offer/items" {
					return k.Verdict.String()
				}
			}
		}
		return a.Verdict.String()
	case "week":
		days := make([]menu.Day, 5)
		next := date(on)
		for i := range days {
			days[i].On = next
			next = next.Next()
		}
		for i, it := range items { // what stands on which day decides nothing of a week without choices
			it.Name = fmt.Sprint(i, " ", it.Name)
			d := &days[i%5]
			d.Choices = append(d.Choices, menu.Choice{Take: 1, Items: []menu.Item{it}})
		}
		m.Lines = []menu.Line{{Days: days}}
		return h.verdict(c, m, h.printed(c), true)
	case "sugar":
		return h.sugar(c, m, on)
	case "day": // the first word of a name is its meal
		var menus []menu.Menu
		for _, it := range items {
			meal, _, _ := strings.Cut(it.Name, " ")
			m.Meal = strings.TrimSuffix(meal, ":")
			m.Lines = []menu.Line{{Days: []menu.Day{plate(on, it)}}}
			menus = append(menus, m)
		}
		r, err := h.r.CareDays(menus...)
		if err != nil {
			h.t.Fatalf("%s: %v", c.ID, err)
		}
		return r.Verdict().String()
	}
	m.Lines = []menu.Line{{Days: []menu.Day{plate(on, items...)}}}
	switch c.Ask {
	case "meal":
		return h.verdict(c, m, nil, false)
	case "printed":
		return h.verdict(c, m, h.printed(c), false)
	}
	return h.verdict(c, m, []string{c.Ask}, false)
}

// printed are the rules of the components a case prints credits of.
func (h *menuHarness) printed(c *publishedCase) []string {
	out := []string{"milk/unflavored", "milk/flavored"}
	for _, in := range c.Items {
		credits := in.Credits
		if len(credits) == 0 && h.names[in.Name] != nil && h.names[in.Name][2] != "" {
			credits = map[string]string{"milk": ""}
		}
		for id := range credits {
			to := publishedIDs[id]
			if _, ok := food.ParseSubgroup(to); ok {
				out = append(out, "least/vegetables")
				if to != "mixed" {
					out = append(out, menu.Subgroups)
				}
				continue
			}
			out = append(out, "least/"+to)
		}
	}
	return out
}

// verdict is the worst of the checks asked for; nil asks for all amounts.
func (h *menuHarness) verdict(c *publishedCase, m menu.Menu, rules []string, week bool) string {
	r, err := h.r.Review(m)
	if err != nil {
		h.t.Fatalf("%s: %v", c.ID, err)
	}
	var worst menu.Verdict
	for _, k := range r.Checks {
		if k.On.IsZero() != week {
			continue
		}
		if rules == nil && !strings.HasPrefix(k.Rule, "least/") && k.Rule != "milk/unflavored" && k.Rule != "milk/flavored" && k.Rule != "fruits-or-vegetables/kinds" ||
			rules != nil && !slices.Contains(rules, k.Rule) {
			continue
		}
		worst = max(worst, k.Verdict)
	}
	return worst.String()
}

// sugar asks of each product alone whether it credits.
func (h *menuHarness) sugar(c *publishedCase, m menu.Menu, on string) string {
	ask := func(g menu.Sugars) string {
		it := item("Product", "grains", "1", "meats", "1")
		it.Sugars = []menu.Sugars{g}
		m.Lines = []menu.Line{{Days: []menu.Day{plate(on, it)}}}
		return h.verdict(c, m, []string{"product/" + g.Product + "/total-sugars", "product/" + g.Product + "/added-sugars"}, false)
	}
	worst := "met"
	for i, in := range c.Items {
		g := menu.Sugars{Product: "cereal", Serving: number(in.Quantity), Unit: strings.TrimSuffix(in.Unit, " label serving")}
		grams := func(text string) {
			n := number(text)
			if on < "2025-10-01" {
				g.Total = &n
			} else {
				g.Added = &n
			}
		}
		switch {
		case in.Name == "total sugars":
			continue // of the product before it
		case strings.Contains(in.Name, "yogurt"):
			g.Product = "yogurt"
			grams(c.Expected["meets_at_g"].(string))
			if got := ask(g); got != "met" {
				return got + " at " + c.Expected["meets_at_g"].(string) + " g"
			}
			grams(c.Expected["fails_at_g"].(string))
			if got := ask(g); got != "not-met" {
				return got + " at " + c.Expected["fails_at_g"].(string) + " g"
			}
			return "limit"
		case in.SugarsPerOunce != "":
			n := number(in.SugarsPerOunce).Mul(g.Serving)
			grams(n.Fraction())
		case i+1 < len(c.Items) && c.Items[i+1].Name == "total sugars":
			n := number(c.Items[i+1].Quantity)
			g.Total = &n
		}
		if got := ask(g); got == "not-met" || worst == "met" {
			worst = got
		}
	}
	return worst
}

// wanted is what a case expects, in our words; several answers stand side by side.
func (h *menuHarness) wanted(c *publishedCase, in map[string]any) string {
	if in == nil {
		return ""
	}
	for _, key := range []string{"food_items", "items"} {
		if c.Ask != "items" || in[key] == nil {
			continue
		}
		if list, ok := in[key].([]any); ok {
			return strings.Trim(strings.ReplaceAll(fmt.Sprint(list...), " ", "|"), "[]")
		}
		return fmt.Sprint(in[key])
	}
	if in["verdict"] == "limit" {
		return "limit"
	}
	for _, key := range []string{"verdict", "meets"} {
		if word, ok := in[key].(string); ok {
			return said[word]
		}
	}
	return ""
}

func TestPublishedMenus(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(published, "cases.json"))
	if err != nil {
		t.Fatal(err)
	}
	var cases []publishedCase
	if err := json.Unmarshal(text, &cases); err != nil {
		t.Fatal(err)
	}
	ps, err := patterns.Default()
	if err != nil {
		t.Fatal(err)
	}
	h := &menuHarness{t: t, r: reviewer(t), ps: ps, names: make(map[string][]string)}
	for _, row := range rows(t, filepath.Join(published, "names.csv"))[1:] {
		h.names[row[0]] = row
	}
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	_ = w.Write([]string{"case", "strength", "on", "published", "ours", "outcome"})
	var notMatched []string
	tally := make(map[string]int)
	for i := range cases {
		c := &cases[i]
		for _, q := range []struct {
			on   string
			want map[string]any
		}{{c.On, c.Expected}, {today, c.ExpectedToday}} {
			want := h.wanted(c, q.want)
			if want == "" && (q.on == today || c.Ask != "none") {
				continue // nothing is printed for this day
			}
			ours, outcome := "", "not-asked"
			if c.Ask != "none" {
				ours, outcome = h.answer(c, q.on), "differ"
				if slices.Contains(strings.Split(want, "|"), ours) {
					outcome = "match"
				}
			}
			_ = w.Write([]string{c.ID, c.Strength, q.on, want, ours, outcome})
			tally[c.Strength+" "+outcome]++
			if outcome != "match" && c.Strength == "independent" {
				t.Errorf("%s on %s: published %s, ours %s", c.ID, q.on, want, ours)
			}
			if key := c.ID + " " + q.on; outcome != "match" {
				notMatched = append(notMatched, key)
			}
		}
	}
	w.Flush()
	t.Logf("%v", tally)
	file := filepath.Join(published, "outcomes.csv")
	if os.Getenv(refreshMenus) != "" {
		if err := os.WriteFile(file, out.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	committed, err := os.ReadFile(file)
	if err != nil || !bytes.Equal(committed, out.Bytes()) {
		t.Errorf("outcomes changed; when that is right, run with %s=1 and bring differences.md up to date:\n%s", refreshMenus, out.String())
	}
	reasons, err := os.ReadFile(filepath.Join(published, "differences.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range notMatched {
		id, on, _ := strings.Cut(key, " ")
		if !bytes.Contains(reasons, []byte("| `"+id+"` | "+on+" |")) {
			t.Errorf("%s has no reason in differences.md", key)
		}
	}
	if n := strings.Count(string(reasons), "\n| `"); n != len(notMatched) {
		t.Errorf("differences.md explains %d outcomes, %d are no match", n, len(notMatched))
	}
}

func rows(t *testing.T, file string) [][]string {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// The published short and long weeks, through the review: what it says is needed.
func TestPublishedWeeks(t *testing.T) {
	r := reviewer(t)
	cases := make(map[string]bool)
	for _, row := range rows(t, "../rules/patterns/testdata/published-weeks.csv")[1:] {
		n, err := strconv.Atoi(strings.TrimPrefix(row[6], "week-"))
		if err != nil || !strings.HasPrefix(row[5], "least/") {
			continue // upper ends are no limits, and days have no length
		}
		on, days := date(row[4]), []menu.Day(nil)
		for range n {
			days = append(days, plate(on.String(), item("Plate", "milk", "1")))
			on = on.Next()
		}
		got, err := r.Review(menu.Menu{Program: row[1], Meal: row[2], AgeGroup: row[3], Lines: []menu.Line{{Name: "main", Days: days}}})
		if err != nil {
			t.Fatal(err)
		}
		cases[row[0]] = true
		found := false
		for _, c := range got.Checks {
			found = found || c.Rule == row[5] && c.Days == n && c.Needed.Equal(exact.MustParse(row[7]))
		}
		if want := exact.MustParse(row[7]); !found && want.Sign() > 0 {
			t.Errorf("%s on %s: the review does not ask for %s %s", row[0], row[4], row[7], row[5])
		}
	}
	if len(cases) < 20 {
		t.Errorf("%d cases", len(cases))
	}
}
