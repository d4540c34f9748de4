package measure

import (
	"bytes"
	"encoding/json"
	"math/big"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// npm is where make installs the reference library.
const npm = "../../tools/npm"

const runDeps = "run `make tools-deps`, which needs Node.js and npm"

// verdicts is what the reference library says: of each code, whether it is
// one, and of each pair, how many of the second make one of the first.
type verdicts struct {
	Codes []string `json:"codes"`
	Pairs []struct {
		Status  string      `json:"status"`
		Value   json.Number `json:"value"` // its own digits: no float of ours in between
		Message string      `json:"message"`
	} `json:"pairs"`
}

// askUCUM runs the reference library once over everything asked. Without it
// nothing is compared, so its absence fails the test.
func askUCUM(t *testing.T, codes []string, pairs [][2]string) verdicts {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		t.Fatalf("node is missing, so UCUM conversions cannot be checked: %s", runDeps)
	}
	var pinned struct {
		Dependencies map[string]string `json:"dependencies"`
	}
	readJSON(t, filepath.Join(npm, "package.json"), &pinned)
	var installed struct {
		Version string `json:"version"`
	}
	readJSON(t, filepath.Join(npm, "node_modules/@lhncbc/ucum-lhc/package.json"), &installed)
	if want := pinned.Dependencies["@lhncbc/ucum-lhc"]; installed.Version != want {
		t.Fatalf("@lhncbc/ucum-lhc %s is installed, %s is pinned: %s", installed.Version, want, runDeps)
	}
	const script = "testdata/ucum.mjs"
	if _, err := os.Stat(script); err != nil { // also tells go test that its result depends on the script
		t.Fatal(err)
	}
	in, err := json.Marshal(map[string]any{"codes": codes, "pairs": pairs})
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), node, script)
	cmd.Stdin = bytes.NewReader(in)
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v: %s\n%s", script, err, complaint.String(), runDeps)
	}
	var v verdicts
	if err := json.Unmarshal(out, &v); err != nil {
		t.Fatalf("%s answered %q: %v", script, out, err)
	}
	if len(v.Codes) != len(codes) || len(v.Pairs) != len(pairs) {
		t.Fatalf("%s answered for %d codes and %d pairs, asked for %d and %d", script, len(v.Codes), len(v.Pairs), len(codes), len(pairs))
	}
	return v
}

func readJSON(t *testing.T, name string, into any) {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatalf("%v: %s", err, runDeps)
	}
	if err := json.Unmarshal(text, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// Every unit's UCUM code is one, and every conversion between two units that
// have codes is what the reference implementation says, as far as its floating
// point goes.
func TestUCUM(t *testing.T) {
	var coded []*Unit
	var codes []string
	for _, u := range Units() {
		if u.UCUM != "" {
			coded = append(coded, u)
			codes = append(codes, u.UCUM)
		}
	}
	type pair struct{ from, to *Unit }
	var pairs []pair
	var asked [][2]string
	for _, u := range coded {
		for _, v := range coded {
			if u != v && u.Dimension == v.Dimension {
				pairs = append(pairs, pair{u, v})
				asked = append(asked, [2]string{u.UCUM, v.UCUM})
			}
		}
	}
	// Two controls, which the library must refuse: a code there is not, and
	// weight turned into volume. A reference that says yes to all proves nothing.
	v := askUCUM(t, append(codes, "[ozeq]"), append(asked, [2]string{"[lb_av]", "[cup_us]"}))
	if got := v.Codes[len(codes)]; got == "valid" {
		t.Errorf("the reference takes [ozeq] for a unit: %s", got)
	}
	if got := v.Pairs[len(pairs)]; got.Status == "succeeded" {
		t.Errorf("the reference makes %s cups of a pound", got.Value)
	}
	for i, u := range coded {
		if v.Codes[i] != "valid" {
			t.Errorf("%s: UCUM code %q is %s", u.ID, u.UCUM, v.Codes[i])
		}
	}
	limit := big.NewRat(1, 1e12)
	worst, worstPair := new(big.Rat), ""
	for i, p := range pairs {
		got := v.Pairs[i]
		theirs, ok := new(big.Rat).SetString(got.Value.String())
		if got.Status != "succeeded" || !ok {
			t.Errorf("%s to %s: the reference says %s %q %s", p.from.UCUM, p.to.UCUM, got.Status, got.Value, got.Message)
			continue
		}
		r, ok := p.from.Ratio(p.to)
		if !ok {
			t.Errorf("%s to %s: the reference converts, we do not", p.from.ID, p.to.ID)
			continue
		}
		ours := r.Rat()
		off := new(big.Rat).Sub(theirs, ours)
		off.Abs(off).Quo(off, ours)
		if off.Cmp(worst) > 0 {
			worst, worstPair = off, p.from.ID+" to "+p.to.ID
		}
		if off.Cmp(limit) > 0 {
			t.Errorf("1 %s = %s %s, the reference says %s: %s off", p.from.ID, r.DecimalText(15), p.to.ID, got.Value, off.FloatString(18))
		}
	}
	if len(coded) != 17 || len(pairs) != 5*4+10*9+2*1 {
		t.Errorf("%d units with codes and %d pairs: a unit came or went, so count again", len(coded), len(pairs))
	}
	t.Logf("%d UCUM codes, %d conversions compared; the furthest off is %s, by %s", len(coded), len(pairs), worstPair, worst.FloatString(18))
}
