package patterns_test

import (
	"testing"

	"example.com/ozeq/pkg/rules/patterns"
)

func BenchmarkDefault(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := patterns.Default(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPattern(b *testing.B) {
	ps := load(b)
	q := patterns.Query{On: day(b, "2026-09-14"), Program: "school-lunch", Group: "k-5"}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ps.Pattern(q); err != nil {
			b.Fatal(err)
		}
	}
}
