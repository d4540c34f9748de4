package wire

import (
	"encoding/json"
	"strconv"
	"strings"

	pb "example.com/ozeq/api/ozeq/v1"
)

// AppendRecipeFile appends a crediting request as a YAML file for people to go on
// with: an ingredient a line, and below it the notes given for it, by index, as
// comments; those of -1 stand above the first. It reads back as the same request; foods of the caller's, sub-recipes
// and products, which have no place on a card, stand as JSON.
func AppendRecipeFile(b []byte, m *pb.CreditRequest, notes map[int][]string) ([]byte, error) {
	w := recipeFile{b: b}
	if r := m.GetRecipe(); r != nil {
		w.line("recipe:")
		w.field("  ", "name", r.GetName())
		if r.GetServings() != 0 {
			w.line("  servings: " + strconv.Itoa(int(r.GetServings())))
		}
		for _, f := range [][2]string{{"id", r.GetId()}, {"exhibitAGroup", r.GetExhibitAGroup()}, {"grainsMethod", r.GetGrainsMethod()}, {"dessert", r.GetDessert()},
			{"batchWeight", r.GetBatchWeight()}, {"batchMeasure", r.GetBatchMeasure()}} {
			w.field("  ", f[0], f[1])
		}
		if r.GetSmoothie() {
			w.line("  smoothie: true")
		}
		if t := r.GetYieldTest(); t != nil {
			w.line("  yieldTest: " + braces("", numberOf("portionsMade", t.GetPortionsMade()), pairOf("weightBefore", t.GetWeightBefore()), pairOf("weightAfter", t.GetWeightAfter()), pairOf("panLoss", t.GetPanLoss())))
		}
		if len(r.GetPortions()) > 0 {
			w.line("  portions:")
		}
		for _, p := range r.GetPortions() {
			w.line("    - " + braces("", pairOf("name", p.GetName()), pairOf("weight", p.GetWeight()), pairOf("measure", p.GetMeasure()), numberOf("scoop", p.GetScoop()), numberOf("servings", p.GetServings())))
		}
		if len(r.GetIngredients()) == 0 {
			w.line("  ingredients: []")
		} else {
			w.line("  ingredients:")
		}
		w.notes(notes[-1])
		for i, in := range r.GetIngredients() {
			w.line("    - " + braces("", pairOf("food", in.GetFood()), pairOf("subRecipe", in.GetSubRecipe()), pairOf("product", in.GetProduct()), pairOf("name", in.GetName()), pairOf("quantity", in.GetQuantity()),
				pairOf("basis", in.GetBasis()), pairOf("state", in.GetState()), pairOf("creditAs", in.GetCreditAs()), pairOf("exhibitAGroup", in.GetExhibitAGroup()), pairOf("share", in.GetShare()),
				truthOf("notCrediting", in.GetNotCrediting()), truthOf("hidden", in.GetHidden())))
			w.notes(notes[i])
		}
	}
	w.field("", "serviceDate", m.GetServiceDate())
	w.field("", "program", m.GetProgram())
	w.field("", "ageGroup", m.GetAgeGroup())
	for _, x := range []struct {
		name  string
		items *pb.CreditRequest
	}{{"options", &pb.CreditRequest{Options: m.GetOptions()}}, {"foods", &pb.CreditRequest{Foods: m.GetFoods()}}, {"subRecipes", &pb.CreditRequest{SubRecipes: m.GetSubRecipes()}},
		{"products", &pb.CreditRequest{Products: m.GetProducts()}}, {"product", &pb.CreditRequest{Product: m.GetProduct()}}} {
		whole, err := AppendJSON(nil, x.items)
		if err != nil {
			return b, err
		}
		var fields map[string]json.RawMessage
		if err := json.Unmarshal(whole, &fields); err != nil {
			return b, err
		}
		if v := string(fields[x.name]); v != "" && v != "[]" && v != "{}" {
			w.line(x.name + ": " + v)
		}
	}
	return w.b, nil
}

// recipeFile is a file as it grows.
type recipeFile struct{ b []byte }

func (w *recipeFile) line(s string) { w.b = append(append(w.b, s...), '\n') }

func (w *recipeFile) notes(list []string) {
	for _, n := range list {
		w.line("      # " + oneLine(n))
	}
}

func (w *recipeFile) field(indent, name, value string) {
	if value != "" {
		w.line(indent + name + ": " + scalarText(value))
	}
}

// braces writes fields that are set in braces.
func braces(lead string, fields ...string) string {
	set := fields[:0]
	for _, f := range fields {
		if f != "" {
			set = append(set, f)
		}
	}
	return lead + "{" + strings.Join(set, ", ") + "}"
}

func pairOf(name, value string) string {
	if value == "" {
		return ""
	}
	return name + ": " + scalarText(value)
}

func numberOf(name string, n int32) string {
	if n == 0 {
		return ""
	}
	return name + ": " + strconv.Itoa(int(n))
}

func truthOf(name string, yes bool) string {
	if !yes {
		return ""
	}
	return name + ": true"
}

// scalarText writes a text plainly where nothing in it has a meaning of its own,
// else in quotes.
func scalarText(s string) string {
	plain := s != "" && s[0] != '-' && s[len(s)-1] != ' ' && s[0] != ' ' && strings.Trim(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 ./-") == ""
	if plain {
		switch strings.ToLower(s) {
		case "true", "false", "null", "yes", "no", "on", "off":
		default:
			return s
		}
	}
	return string(appendText(nil, s))
}

// oneLine keeps a note on its line.
func oneLine(s string) string {
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool {
		return r == ' ' || unprintable(r) || r < ' ' || r == 0x85 || r == 0x2028 || r == 0x2029
	}), " ")
}
