package server

import (
	"bytes"
	"net/http/httptest"
	"os"
	"testing"
)

// BenchmarkDoor is what one request costs the HTTP door without the network.
func BenchmarkDoor(b *testing.B) {
	data, err := testData()
	if err != nil {
		b.Fatal(err)
	}
	body, err := os.ReadFile("../wire/testdata/twelve.json")
	if err != nil {
		b.Fatal(err)
	}
	s, err := New(Config{MetricsAddress: Off}, data)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		w := httptest.NewRecorder()
		r := httptest.NewRequest("POST", "/v1/recipes:credit", bytes.NewReader(body))
		s.Handler().ServeHTTP(w, r)
		if w.Code != 200 {
			b.Fatal(w.Body)
		}
	}
}
