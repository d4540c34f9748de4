package server

import (
	"fmt"
	"os"
	"testing"

	"go.uber.org/goleak"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
)

// TestMain also makes the test binary one of the servers of BenchmarkService,
// and fails the tests when a goroutine outlives them.
func TestMain(m *testing.M) {
	if mode := os.Getenv(loadMode); mode != "" {
		if err := beServer(mode); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	goleak.VerifyTestMain(m)
}

func testData() (Data, error) {
	rs, err := rules.Default()
	if err != nil {
		return Data{}, err
	}
	cat, err := food.Default()
	if err != nil {
		return Data{}, err
	}
	ps, err := patterns.Default()
	return Data{Rules: rs, Catalog: cat, Patterns: ps}, err
}
