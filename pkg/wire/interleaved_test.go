package wire_test

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// An engine asked by many at once, good requests and bad, with and without
// options, gives each what an engine gives that was asked nothing before.
func TestInterleavedRequestsKeepApart(t *testing.T) {
	names, err := filepath.Glob("../../testdata/cases/*/*.yaml")
	if err != nil || len(names) < 60 {
		t.Fatal(len(names), err)
	}
	shared := exampleEngine()
	type asked struct {
		name string
		req  *pb.CreditRequest
		want []byte
	}
	answerOf := func(e *credit.Engine, req *pb.CreditRequest) []byte {
		rec, err := wire.Credit(e, req, nil)
		if err != nil {
			return []byte(err.Error())
		}
		return wire.AppendRecordJSON(nil, rec, true)
	}
	var all []asked
	add := func(name string, req *pb.CreditRequest) {
		all = append(all, asked{name, req, answerOf(credit.New(shared.Rules(), shared.Catalog()), req)})
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		read := func() *pb.CreditRequest {
			req, _ := wire.ReadRequest(data, wire.FormatOf(data))
			return req
		}
		if read() == nil {
			continue
		}
		add(name, read())
		for _, change := range []func(*pb.CreditRequest){
			func(m *pb.CreditRequest) { m.Program = "" },
			func(m *pb.CreditRequest) { m.Options = map[string]string{"grams-per-ounce": "exact"} },
			func(m *pb.CreditRequest) { m.Options, m.Program = nil, "summer" },
			func(m *pb.CreditRequest) { m.Foods = nil },
			func(m *pb.CreditRequest) { m.Products = nil },
		} {
			req := read()
			change(req)
			add(name, req)
		}
	}
	var wg sync.WaitGroup
	for g := range 4 {
		wg.Go(func() {
			r := rand.New(rand.NewPCG(1, uint64(g)))
			for range 2000 {
				x := &all[r.IntN(len(all))]
				if got := answerOf(shared, x.req); !bytes.Equal(got, x.want) {
					t.Errorf("%s: among others it gives\n%s\nalone\n%s", x.name, got, x.want)
					return
				}
			}
		})
	}
	wg.Wait()
}
