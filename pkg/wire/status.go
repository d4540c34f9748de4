package wire

import (
	"fmt"

	"google.golang.org/genproto/googleapis/rpc/code"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/genproto/googleapis/rpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/anypb"

	"example.com/ozeq/pkg/fault"
)

// Domain is the domain of the reasons in an ErrorInfo.
const Domain = "ozeq"

// InvalidRequest is the one reason of a status that stands for several faults.
const InvalidRequest = "INVALID_REQUEST"

// Bounds of a status. Its message travels percent-encoded in one header and the
// whole of it as base64 in another, and some clients take no more than 8 KiB of
// headers: the rest is room for what else stands there.
const (
	maxHeaders = 7 << 10
	maxMessage = 600
)

// Status turns faults into a status: BadRequest for any gRPC client, ErrorInfo
// with the one reason, and the faults whole, as many of each as fit.
func Status(l *fault.List) *status.Status {
	reason, message := Reason(l), fault.ClipTo(Message(l), maxMessage)
	out := &status.Status{Code: int32(code.Code_INVALID_ARGUMENT), Message: message}
	left := (maxHeaders-percentEncoded(message))/4*3 - len(message) - envelope
	all := Faults(l)
	var violations []*errdetails.BadRequest_FieldViolation
	for i, f := range all.GetFaults() {
		v := &errdetails.BadRequest_FieldViolation{Field: f.GetPath(), Description: l.Faults[i].Error(), Reason: f.GetReason()}
		if left -= proto.Size(v) + proto.Size(f) + 2*perItem; left < 0 && i > 0 {
			all.Omitted += int32(len(all.GetFaults()) - i)
			all.Faults = all.GetFaults()[:i]
			break
		}
		violations = append(violations, v)
	}
	for _, m := range []proto.Message{
		&errdetails.ErrorInfo{Reason: reason, Domain: Domain},
		&errdetails.BadRequest{FieldViolations: violations},
		all,
	} {
		// A message of ours always marshals.
		if a, err := anypb.New(m); err == nil {
			out.Details = append(out.Details, a)
		}
	}
	return out
}

// What a status takes beside its message and faults: three type names and the
// ErrorInfo; and, of each fault and violation, its tag and length.
const (
	envelope = 200
	perItem  = 4
)

// percentEncoded is how long a text is as the header grpc-message.
func percentEncoded(s string) int {
	n := len(s)
	for _, b := range []byte(s) {
		if b < ' ' || b > '~' || b == '%' {
			n += 2
		}
	}
	return n
}

// Reason is the one reason a list of faults is told by: that of its faults when
// they share one, else [InvalidRequest].
func Reason(l *fault.List) string {
	reason := ""
	for _, f := range l.Faults {
		if reason != "" && reason != string(f.Reason) {
			return InvalidRequest
		}
		reason = string(f.Reason)
	}
	if reason == "" || l.Omitted > 0 {
		return InvalidRequest
	}
	return reason
}

// Message tells a list of faults in a line: the only fault, or how many there
// are and the first.
func Message(l *fault.List) string {
	n := len(l.Faults) + l.Omitted
	switch {
	case len(l.Faults) == 0:
		return "The request cannot be answered."
	case n == 1:
		return l.Faults[0].Error()
	}
	return fmt.Sprintf("%d things to mend in the request; the first: %s", n, l.Faults[0].Error())
}
