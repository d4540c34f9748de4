package wire_test

import (
	encjson "encoding/json"
	"os"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// BenchmarkJSON compares reading and writing with what the standard library
// and protojson do with the same messages.
func BenchmarkJSON(b *testing.B) {
	data, err := os.ReadFile("testdata/twelve.json")
	if err != nil {
		b.Fatal(err)
	}
	req, shape := wire.ReadRequest(data, wire.JSON)
	e := exampleEngine()
	credited, err := wire.Credit(e, req, shape)
	if err != nil {
		b.Fatal(err)
	}
	rec := wire.Record(credited, false)
	text, _ := protojson.Marshal(rec)
	b.Logf("request %d bytes of JSON, %d of protobuf; record %d bytes of JSON, %d of protobuf", len(data), proto.Size(req), len(text), proto.Size(rec))
	for name, f := range map[string]func(){
		"read/ours":          func() { wire.ReadJSON(data, &pb.CreditRequest{}) },
		"read/protojson":     func() { _ = protojson.Unmarshal(data, &pb.CreditRequest{}) },
		"read/encoding-json": func() { _ = encjson.Unmarshal(data, &pb.CreditRequest{}) },
		"engine":             func() { _, _ = wire.Credit(e, req, nil) },
		"record":             func() { wire.Record(credited, false) },
		"write/ours":         func() { _, _ = wire.AppendJSON(nil, rec) },
		"write/protojson":    func() { _, _ = protojson.MarshalOptions{EmitDefaultValues: true}.Marshal(rec) },
		"write/encoding":     func() { _, _ = encjson.Marshal(rec) },
		"write/protobuf":     func() { _, _ = proto.Marshal(rec) },
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				f()
			}
		})
	}
}
