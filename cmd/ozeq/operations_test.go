package main

import (
	"maps"
	"net/http/httptest"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"example.com/ozeq/pkg/food"
	"example.com/ozeq/pkg/rules"
	"example.com/ozeq/pkg/rules/patterns"
	"example.com/ozeq/pkg/server"
)

// TestMetricsTable holds the table of metrics in docs/operations.md to what
// /metrics gives.
func TestMetricsTable(t *testing.T) {
	page, err := os.ReadFile("../../docs/operations.md")
	if err != nil {
		t.Fatal(err)
	}
	told := make(map[string]bool)
	for _, m := range regexp.MustCompile("(?m)^\\| `(ozeq_[a-z_]+)` \\|").FindAllSubmatch(page, -1) {
		told[string(m[1])] = true
	}
	rs, err := rules.Default()
	if err != nil {
		t.Fatal(err)
	}
	cat, err := food.Default()
	if err != nil {
		t.Fatal(err)
	}
	ps, err := patterns.Default()
	if err != nil {
		t.Fatal(err)
	}
	s, err := server.New(server.Config{}, server.Data{Rules: rs, Catalog: cat, Patterns: ps})
	if err != nil {
		t.Fatal(err)
	}
	if code := get(s.Handler(), "/v1/programs"); code != 200 { // metrics with labels show once used
		t.Fatal(code)
	}
	w := httptest.NewRecorder()
	s.Metrics().ServeHTTP(w, httptest.NewRequest("GET", "/metrics", nil))
	given := make(map[string]bool)
	for l := range strings.Lines(w.Body.String()) {
		if f := strings.Fields(l); len(f) == 4 && f[1] == "TYPE" && strings.HasPrefix(f[2], "ozeq_") {
			given[f[2]] = true
		}
	}
	if len(given) == 0 || !maps.Equal(told, given) {
		t.Errorf("the page tells %v\n/metrics gives %v", slices.Sorted(maps.Keys(told)), slices.Sorted(maps.Keys(given)))
	}
}
