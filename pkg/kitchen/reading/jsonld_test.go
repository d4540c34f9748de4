package reading_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/kitchen/reading"
)

const chiliPage = `{"@context": "https://schema.org", "@graph": [
  {"@type": "WebPage", "name": "Copper Creek kitchen"},
  {"@type": ["Recipe", "NewsArticle"], "name": "Copper Creek Chili &amp; Beans",
   "recipeYield": ["50", "50 servings"],
   "nutrition": {"@type": "NutritionInformation", "servingSize": "1 cup (8 oz)"},
   "recipeIngredient": ["2 #10 cans black beans, drained", "1&frac12; qt canned pumpkin", "For the topping:", " 3 cups sour cream ", 12, ""],
   "recipeInstructions": [{"@type": "HowToStep", "text": "Heat to 165 F."}]},
  {"@type": "Recipe", "name": "Cornbread", "recipeIngredient": "1 lb cornmeal"}]}`

func TestJSONLD(t *testing.T) {
	got, err := reader().JSONLD([]byte(chiliPage))
	if err != nil {
		t.Fatal(err)
	}
	if got.Name != "Copper Creek Chili & Beans" || got.Servings != 50 || got.ServingsDoubt != "" || got.PortionVolume.Text() != "1 cup" {
		t.Errorf("%q, %d %q, %s", got.Name, got.Servings, got.ServingsDoubt, got.PortionVolume)
	}
	var lines []string
	for _, l := range got.Lines {
		lines = append(lines, fmt.Sprintf("%s %s %s %s %s", l.Path, l.Certainty, l.Food, l.Quantity.Text(), l.Heading))
	}
	want := []string{
		"@graph[1].recipeIngredient[0] likely black-beans-canned 2 #10 cans ",
		"@graph[1].recipeIngredient[1] certain pumpkin-canned 1½ qt ",
		"@graph[1].recipeIngredient[3] certain sour-cream 3 cups For the topping",
		"@graph[1].recipeIngredient[4] unknown  12 each For the topping",
	}
	if a, b := strings.Join(lines, "\n"), strings.Join(want, "\n"); a != b {
		t.Errorf("got\n%s\nwant\n%s", a, b)
	}
	if n := len(got.Skipped); n != 2 || got.Skipped[1].Words != "another recipe" {
		t.Errorf("skipped %v", got.Skipped)
	}
}

func TestJSONLDFaults(t *testing.T) {
	deep := strings.Repeat("[", reading.MaxDepth+1) + strings.Repeat("]", reading.MaxDepth+1)
	many := `{"@type":"Recipe","recipeIngredient":[` + strings.Repeat(`"",`, 501) + `""]}`
	for name, c := range map[string]struct {
		text string
		want []string
	}{
		"empty":       {"", []string{"BAD_SYNTAX "}},
		"cut off":     {`{"@type":"Recipe","name":`, []string{"BAD_SYNTAX name"}},
		"not UTF-8":   {"\"\xff\"", []string{"NOT_UTF8 "}},
		"two":         {`{"@type":"Recipe","recipeIngredient":"1 cup sugar"}{}`, []string{"BAD_SYNTAX "}},
		"no recipe":   {`{"@type":"Thing"}`, []string{"MISSING "}},
		"deep":        {deep, []string{"TOO_DEEP " + strings.Repeat("[0]", reading.MaxDepth)[:3*reading.MaxDepth]}},
		"too large":   {strings.Repeat(" ", reading.MaxJSON+1), []string{"TOO_LARGE "}},
		"values":      {"[" + strings.Repeat("0,", reading.MaxValues) + "0]", []string{"TOO_MANY [99999]"}},
		"twice":       {`{"@type":"Recipe","name":"a","name":"b","recipeIngredient":["1 cup sugar"]}`, []string{"DUPLICATE_FIELD name"}},
		"none":        {`{"@type":"Recipe","recipeIngredient":[]}`, []string{"MISSING recipeIngredient"}},
		"many":        {many, []string{"TOO_MANY recipeIngredient"}},
		"all at once": {`{"@type":"Recipe","name":[true],"recipeYield":{},"recipeIngredient":["1 cup sugar",null,["x"],"` + strings.Repeat("x", reading.MaxLine+1) + `"]}`, []string{"WRONG_TYPE name[0]", "WRONG_TYPE recipeYield", "WRONG_TYPE recipeIngredient[1]", "WRONG_TYPE recipeIngredient[2]", "TOO_LONG recipeIngredient[3]"}},
	} {
		got, err := reader().JSONLD([]byte(c.text))
		var l *fault.List
		if got != nil || !errors.As(err, &l) {
			t.Errorf("%s: got %v, %v", name, got, err)
			continue
		}
		var have []string
		for _, f := range l.Faults {
			have = append(have, string(f.Reason)+" "+f.Path)
		}
		if a, b := strings.Join(have, "; "), strings.Join(c.want, "; "); a != b {
			t.Errorf("%s: got %s, want %s", name, a, b)
		}
	}
}
