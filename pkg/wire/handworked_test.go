package wire_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/exact"
	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/wire"
)

// TestHandworked compares the engine with recipes that were credited by hand,
// from the papers and the catalog's printed figures alone, by somebody who had
// not seen the engine's answer. The arithmetic of each stands beside it; other
// and additional vegetables were worked out again from it when the engine
// learned what other may be met with.
func TestHandworked(t *testing.T) {
	rs, err := rules.Default()
	if err != nil {
		t.Fatal(err)
	}
	cat, err := food.Default()
	if err != nil {
		t.Fatal(err)
	}
	eng := credit.New(rs, cat)
	dir := filepath.Join("..", "..", "testdata", "handworked")
	names, err := filepath.Glob(filepath.Join(dir, "*.yaml"))
	if err != nil || len(names) < 10 {
		t.Fatalf("%d recipes in %s, want at least 10 (%v)", len(names), dir, err)
	}
	for _, name := range names {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".yaml"), func(t *testing.T) {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			m, shape := wire.ReadRequest(data, wire.YAML)
			rec, err := wire.Credit(eng, m, shape)
			if err != nil {
				t.Fatal(err)
			}
			compareByHand(t, rec, strings.TrimSuffix(name, ".yaml")+".credits.csv")
		})
	}
}

func compareByHand(t *testing.T, rec *credit.Record, path string) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, row := range rows[1:] {
		comp, ok := food.ParseComponent(row[0])
		if !ok {
			t.Fatalf("%s: component %q", path, row[0])
		}
		sub := food.NoSubgroup
		if row[1] == "additional" {
			sub = food.Additional
		} else if row[1] != "" {
			if sub, ok = food.ParseSubgroup(row[1]); !ok {
				t.Fatalf("%s: subgroup %q", path, row[1])
			}
		}
		cr, ok := rec.SubgroupCredit(comp, sub)
		if !ok {
			t.Errorf("%s %s: by hand %s, the engine has none", row[0], row[1], row[3])
			continue
		}
		seen++
		if want := exact.MustParse(row[3]); !cr.Credited.Equal(want) {
			t.Errorf("%s %s: credited %s, by hand %s", row[0], row[1], cr.Credited, row[3])
		}
		if got := cr.Exact.Fraction(); got != row[2] && sub != food.Additional {
			t.Errorf("%s %s: exact %s (%s), by hand %s", row[0], row[1], got, cr.Exact.DecimalText(4), row[2])
		}
	}
	if seen != len(rec.Credits) {
		t.Errorf("the engine has %d credits, by hand there are %d", len(rec.Credits), seen)
	}
}
