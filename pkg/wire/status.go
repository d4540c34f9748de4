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

// maxDetails bounds the details of a status: they travel in a header, of which
// some clients take no more than 8 KiB.
const maxDetails = 5 << 10

// Status turns faults into a status: BadRequest for any gRPC client, ErrorInfo
// with the one reason, and the faults whole, as many of each as fit.
func Status(l *fault.List) *status.Status {
	reason, message := Reason(l), Message(l)
	c := code.Code_INVALID_ARGUMENT
	out := &status.Status{Message: message}
	all := Faults(l)
	var violations []*errdetails.BadRequest_FieldViolation
	size := 0
	for i, f := range all.GetFaults() {
		v := &errdetails.BadRequest_FieldViolation{Field: f.GetPath(), Description: l.Faults[i].Error(), Reason: f.GetReason()}
		if size += proto.Size(v) + proto.Size(f); size > maxDetails && i > 0 {
			all.Omitted += int32(len(all.GetFaults()) - i)
			all.Faults = all.GetFaults()[:i]
			break
		}
		violations = append(violations, v)
	}
	out.Code = int32(c)
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
