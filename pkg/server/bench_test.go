package server

import (
	"bytes"
	"context"
	"net/http/httptest"
	"os"
	"testing"

	"google.golang.org/grpc"

	"example.com/ozeq/pkg/wire"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
	pb "example.com/ozeq/api/ozeq/v1"
)

// BenchmarkCall is what one request costs within the gRPC door.
func BenchmarkCall(b *testing.B) {
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
	m := &pb.CreditRequest{}
	if faults, ok := wire.ReadJSON(body, m); !ok || faults.Err() != nil {
		b.Fatal(faults)
	}
	info := &grpc.UnaryServerInfo{FullMethod: servicev1.CreditService_Credit_FullMethodName}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.unary(context.Background(), m, info, func(ctx context.Context, in any) (any, error) {
			return s.calls.Credit(ctx, in.(*pb.CreditRequest))
		}); err != nil {
			b.Fatal(err)
		}
	}
}

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
