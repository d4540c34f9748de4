package wire_test

import (
	"strings"
	"testing"

	"example.com/ozeq/pkg/wire"
)

// Everything wrong with a production record comes back at once, with its path.
func TestFaultsOfProductions(t *testing.T) {
	ask := func(data string) error {
		m, shape := wire.ReadProduction([]byte(data), wire.FormatOf([]byte(data)))
		_, err := wire.Production(exampleReviewer(), m, shape)
		return err
	}
	const plan = `
  plans:
    - program: school-lunch
      ageGroup: k-5
      lines:
        - name: main
          days: [{date: 2026-09-14, choices: [{name: fruit, take: 1, items: [{name: Pear, paper: card, credits: {fruits: 1/2}}]}]}]
`
	holds(t, ask("production:\n  date: 2026-09-14\n  offerVersusServe: maybe\n  sight: here"+plan+`
  items:
    - {item: Peer, portions: [{for: k-6, prepared: -1, served: many}, {for: adults}, {for: adults}, {served: 3}]}
    - {item: Pear, planned: 2000000000}
    - {item: Pear}
    - {recipe: Card}
  substitutions:
    - {planned: Apple, served: {name: Pear}, line: mane, ageGroup: 9-12, from: noon, servings: -2}
    - {planned: Pear, served: {name: Pear}}
    - {served: {credits: {candy: 1}}}
  ranOut:
    - {item: Grape, at: "24:10", mealsAfter: -1}
    - {item: Pear}
    - {item: Pear}
    - {at: "11:60"}
  meals:
    - {for: k-5}
    - {for: k-5, served: 3}
    - {for: nobody, served: -3}
`),
		"UNKNOWN_FIELD production.sight", "UNKNOWN_VALUE production.offerVersusServe",
		"UNKNOWN_VALUE production.items[0].item", "UNKNOWN_VALUE production.items[0].portions[0].for", "OUT_OF_RANGE production.items[0].portions[0].prepared",
		"WRONG_TYPE production.items[0].portions[0].served", "CONFLICTING production.items[0].portions[2].for", "MISSING production.items[0].portions[3].for",
		"OUT_OF_RANGE production.items[1].planned", "CONFLICTING production.items[2].item", "MISSING production.items[3].item",
		"UNKNOWN_VALUE production.substitutions[0].line", "UNKNOWN_VALUE production.substitutions[0].ageGroup", "BAD_DATE production.substitutions[0].from", "OUT_OF_RANGE production.substitutions[0].servings",
		"CONFLICTING production.substitutions[1].served.name", "MISSING production.substitutions[2].planned", "MISSING production.substitutions[2].served.name", "UNKNOWN_VALUE production.substitutions[2].served.credits.candy",
		"UNKNOWN_VALUE production.ranOut[0].item", "BAD_DATE production.ranOut[0].at", "OUT_OF_RANGE production.ranOut[0].mealsAfter", "CONFLICTING production.ranOut[2].item",
		"MISSING production.ranOut[3].item", "BAD_DATE production.ranOut[3].at",
		"MISSING production.meals[0].served", "CONFLICTING production.meals[1].for", "UNKNOWN_VALUE production.meals[2].for", "OUT_OF_RANGE production.meals[2].served")

	// Of the plans: another day, a group twice, and a plan with faults of its own.
	holds(t, ask("production:\n  date: 2026-09-15\n"+plan+strings.Replace(strings.TrimPrefix(plan, "\n  plans:\n"), "take: 1", "take: 0", 1)),
		"MISSING production.plans[0].lines", "MISSING production.plans[1].lines", "CONFLICTING production.plans[1].ageGroup", "OUT_OF_RANGE production.plans[1].lines[0].days[0].choices[0].take")

	// What is wrong with a dish that stood in is told where the dish is written.
	holds(t, ask("production:\n  date: 2026-09-14\n"+plan+`
  substitutions: [{planned: Pear, served: {name: Cider, credits: {fruits: 1/2}, milk: {fat: creamy}}}]
`), "UNKNOWN_VALUE production.substitutions[0].served.milk.fat")

	holds(t, ask("{}"), "MISSING production")
	holds(t, ask("production: {}"), "MISSING production.date", "MISSING production.plans")
	holds(t, ask("production:\n  date: 2026-09-14\n  plans: ["+strings.Repeat("{},", wire.MaxPlans)+"{}]\n"), "TOO_MANY production.plans")

	// What nobody noted the time of doubles the offers there may have been.
	var out []string
	items := make([]string, 6)
	for i := range items {
		items[i] = "{name: Pear " + string(rune('A'+i)) + ", paper: card, credits: {fruits: 1/2}}"
		out = append(out, "{item: Pear "+string(rune('A'+i))+"}")
	}
	many := strings.Replace(plan, "{name: Pear, paper: card, credits: {fruits: 1/2}}", strings.Join(items, ", "), 1)
	holds(t, ask("production:\n  date: 2026-09-14\n"+many+"\n  ranOut: ["+strings.Join(out, ", ")+"]\n"), "TOO_MANY production.plans[0]")
}
