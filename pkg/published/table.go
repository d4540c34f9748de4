package published

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"sort"
	"strings"
)

// columns of outcomes.csv.
var columns = []string{"case", "component", "published", "ours", "exact", "outcome", "cause", "left_out", "alternative"}

func (o *Outcome) row() []string {
	return []string{o.Case.ID, o.Key, o.Expected.Published, o.Ours, o.Exact, string(o.Verdict), o.Cause, strings.Join(o.Left, "; "), strings.Join(o.Alternatives, "; ")}
}

// WriteOutcomes writes outcomes.csv.
func WriteOutcomes(all []*Outcome) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Write(columns)
	for _, o := range all {
		w.Write(o.row())
	}
	w.Flush()
	return b.Bytes()
}

// ReadOutcomes reads outcomes.csv into rows by case and component.
func ReadOutcomes(text []byte) (map[[2]string][]string, error) {
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	if len(rows) == 0 || !slices.Equal(rows[0], columns) {
		return nil, fmt.Errorf("outcomes.csv: the header row must be %s", strings.Join(columns, ","))
	}
	out := make(map[[2]string][]string)
	for _, r := range rows[1:] {
		out[[2]string{r[0], r[1]}] = r
	}
	return out, nil
}

// TakeCauses gives each outcome that is no match the cause the committed list
// has for it. A cause holds only as long as the verdict does, and one given by
// the run itself is always given anew.
func TakeCauses(all []*Outcome, committed map[[2]string][]string) {
	for _, o := range all {
		r := committed[[2]string{o.Case.ID, o.Key}]
		if o.Verdict != Match && r != nil && r[5] == string(o.Verdict) && r[6] != "" && !slices.Contains(given, r[6]) {
			o.Cause = r[6]
		}
	}
}

// Difference is a written reason in differences.md.
type Difference struct {
	Verdict, Cause, Text string
}

// ReadDifferences reads the tables of differences.md: rows of case, figure,
// outcome, cause and arithmetic. A figure of * stands for all of the case.
func ReadDifferences(text []byte) map[[2]string]Difference {
	out := make(map[[2]string]Difference)
	for _, line := range strings.Split(string(text), "\n") {
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|")
		if len(cells) != 5 || !strings.HasPrefix(strings.TrimSpace(cells[0]), "`") {
			continue
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		out[[2]string{strings.Trim(cells[0], "`"), cells[1]}] = Difference{cells[2], cells[3], cells[4]}
	}
	return out
}

// tally counts verdicts.
type tally struct{ figures, match, left, under, over, not, alternative int }

func (t *tally) add(o *Outcome) {
	t.figures++
	if len(o.Alternatives) > 0 {
		t.alternative++
	}
	switch o.Verdict {
	case Match:
		t.match++
		if len(o.Left) > 0 {
			t.left++
		}
	case Under:
		t.under++
	case Over:
		t.over++
	default:
		t.not++
	}
}

func (t tally) String() string {
	return fmt.Sprintf("%7d %6d %5d %6d %5d %5d %5d", t.figures, t.match, t.left, t.under, t.over, t.not, t.alternative)
}

// Table writes the results: by kind and component, by check strength, and the
// causes.
func Table(all []*Outcome) string {
	var b strings.Builder
	head := fmt.Sprintf("%7s %6s %5s %6s %5s %5s %5s", "figures", "match", "left*", "under", "over", "not", "alt**")
	section := func(title string, key func(*Outcome) string) {
		sums := make(map[string]*tally)
		for _, o := range all {
			k := key(o)
			if k == "" {
				continue
			}
			if sums[k] == nil {
				sums[k] = new(tally)
			}
			sums[k].add(o)
		}
		fmt.Fprintf(&b, "\n%-42s %s\n", title, head)
		for _, k := range sortedKeys(sums) {
			fmt.Fprintf(&b, "%-42s %s\n", k, sums[k])
		}
	}
	cases := make(map[string]bool)
	var total tally
	back := 0
	for _, o := range all {
		cases[o.Case.ID] = true
		total.add(o)
		if o.GivenBack && o.Verdict == Match {
			back++
		}
	}
	fmt.Fprintf(&b, "%d published cases, %d figures\n", len(cases), total.figures)
	section("kind, component", func(o *Outcome) string { return o.Case.Kind + ", " + o.component() })
	section("check strength", func(o *Outcome) string { return o.Case.CheckStrength })
	section("recipes, check strength, component", func(o *Outcome) string {
		if o.Case.Kind != "recipe" {
			return ""
		}
		return o.Case.CheckStrength + ", " + o.component()
	})
	section("status of our credit", func(o *Outcome) string {
		if o.Ours == "" {
			return "(none)"
		}
		return o.Status.String()
	})
	fmt.Fprintf(&b, "%-42s %s\n", "all", total)
	b.WriteString("*  of the matches, those with an ingredient left out for want of a figure\n")
	b.WriteString("** of the differences, those where our record prints the published figure as an alternative\n")
	fmt.Fprintf(&b, "%d of the matches only hand back what a label claims\n", back)
	fmt.Fprintf(&b, "\n%-42s %7s %6s %5s\n", "cause", "under", "over", "not")
	causes := make(map[string]*tally)
	for _, o := range all {
		if o.Verdict != Match {
			k := o.Cause
			if k == "" {
				k = "(none given)"
			}
			if causes[k] == nil {
				causes[k] = new(tally)
			}
			causes[k].add(o)
		}
	}
	for _, k := range sortedKeys(causes) {
		t := causes[k]
		fmt.Fprintf(&b, "%-42s %7d %6d %5d\n", k, t.under, t.over, t.not)
	}
	return b.String()
}

// component is what the table groups by. The meats of a card that counts its
// beans as a vegetable stand apart.
func (o *Outcome) component() string {
	if o.Component == "meats" && o.Expected.Legumes != "" {
		return "meats (beans as vegetable)"
	}
	return o.Component
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
