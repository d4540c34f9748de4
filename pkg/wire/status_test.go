package wire_test

import (
	"encoding/base64"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// A status fits the headers of a client that takes 8 KiB of them, as HTTP/2
// counts, whatever is wrong; all faults are in it or counted.
func TestStatusFitsHeaders(t *testing.T) {
	const most = 8 << 10
	wheat, private := strings.Repeat("\U0001F33E", 5000), strings.Repeat("\ue000", 5000)
	for name, f := range map[string]fault.Fault{
		"short":                {Path: "program", Want: "a program", Fix: "Name one."},
		"a long path":          {Path: "options." + wheat, Want: "an option"},
		"long in every part":   {Path: wheat, Value: wheat, Want: wheat, Fix: wheat},
		"what is not printed":  {Path: private, Value: private, Want: private, Fix: private},
		"percent signs":        {Path: strings.Repeat("%", 5000), Value: wheat, Want: strings.Repeat("%", 5000), Fix: wheat},
		"a long reason to fix": {Path: "program", Fix: strings.Repeat("a", 5000)},
	} {
		for _, n := range []int{1, 2, 10, 100, 150, 100_000} {
			var l fault.List
			for i := range n {
				f.Reason = fault.Reason("REASON_" + strconv.Itoa(i%2))
				l.Add(f)
			}
			s := wire.Status(&l)
			raw, err := proto.Marshal(s)
			if err != nil {
				t.Fatal(err)
			}
			size := 0
			for header, length := range map[string]int{
				"grpc-status":             2,
				"grpc-message":            len(url.PathEscape(s.GetMessage())) - 2*strings.Count(s.GetMessage(), " "),
				"grpc-status-details-bin": base64.RawStdEncoding.EncodedLen(len(raw)),
			} {
				size += len(header) + length + 32
			}
			var all pb.Faults
			if err := s.GetDetails()[2].UnmarshalTo(&all); err != nil {
				t.Fatal(err)
			}
			if size > most {
				t.Errorf("%s, %d times: %d bytes of headers, at most %d", name, n, size, most)
			}
			if kept := len(all.GetFaults()); kept == 0 || kept+int(all.GetOmitted()) != n {
				t.Errorf("%s, %d times: %d faults and %d more", name, n, kept, all.GetOmitted())
			}
		}
	}
}
