package server

import (
	"errors"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/durationpb"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/wire"

	pb "example.com/ozeq/api/ozeq/v1"
)

// Reasons of refusals that are not about the content of a request.
const (
	Overloaded       = "OVERLOADED"
	Unauthenticated  = "UNAUTHENTICATED"
	DeadlineExceeded = "DEADLINE_EXCEEDED"
	Cancelled        = "CANCELLED"
	Internal         = "INTERNAL"
	NoSuchPath       = "NO_SUCH_PATH"
	MethodNotAllowed = "METHOD_NOT_ALLOWED"
	NotJSON          = "NOT_JSON"
	SlowBody         = "SLOW_BODY"
	Stopping         = "STOPPING"
	Unimplemented    = "UNIMPLEMENTED"
)

// retryAfter is when a caller refused for overload should come back.
const retryAfter = time.Second

// refusal is a status with one reason.
func refusal(c codes.Code, reason, message string) error {
	s, err := status.New(c, message).WithDetails(&errdetails.ErrorInfo{Reason: reason, Domain: wire.Domain})
	if err == nil && c == codes.ResourceExhausted {
		s, err = s.WithDetails(&errdetails.RetryInfo{RetryDelay: durationpb.New(retryAfter)})
	}
	if err != nil {
		return status.Error(c, message) // details of ours always fit
	}
	return s.Err()
}

// faulty is faults on their way to a caller: whole in the body of an HTTP
// answer; as many as fit its headers in the status of a gRPC one.
type faulty struct {
	*fault.List
	status *status.Status
}

// GRPCStatus implements the interface by which grpc knows a status.
func (f *faulty) GRPCStatus() *status.Status { return f.status }

// statusOf turns what the library returned into a status. Anything but faults
// is ozeq's own failure.
func statusOf(err error) error { return withCode(err, codes.InvalidArgument) }

// withCode is statusOf with another code for faults.
func withCode(err error, c codes.Code) error {
	var faults *fault.List
	if !errors.As(err, &faults) {
		return err
	}
	s := wire.Status(faults)
	s.Code = int32(c)
	return &faulty{faults, status.FromProto(s)}
}

// problemOf turns an error of a call into the body of an HTTP answer.
func problemOf(err error, id string) *pb.Problem {
	p := problem(status.Convert(err), id)
	var f *faulty
	if errors.As(err, &f) {
		all := wire.Faults(f.List)
		p.Message, p.Faults, p.Omitted = wire.Message(f.List), all.GetFaults(), all.GetOmitted()
	}
	return p
}

// problem says what a status says.
func problem(s *status.Status, id string) *pb.Problem {
	p := &pb.Problem{Code: int32(s.Code()), Status: codeNames[s.Code()], Message: s.Message(), RequestId: id}
	for _, d := range s.Details() {
		switch d := d.(type) {
		case *errdetails.ErrorInfo:
			p.Reason = d.GetReason()
		case *pb.Faults:
			p.Faults, p.Omitted = d.GetFaults(), d.GetOmitted()
		}
	}
	if p.Reason == "" {
		p.Reason = codeNames[s.Code()]
	}
	return p
}

// codeNames are the names of google.rpc.Code.
var codeNames = map[codes.Code]string{
	codes.OK: "OK", codes.Canceled: Cancelled, codes.Unknown: "UNKNOWN", codes.InvalidArgument: "INVALID_ARGUMENT",
	codes.DeadlineExceeded: DeadlineExceeded, codes.NotFound: "NOT_FOUND", codes.AlreadyExists: "ALREADY_EXISTS",
	codes.PermissionDenied: "PERMISSION_DENIED", codes.ResourceExhausted: "RESOURCE_EXHAUSTED", codes.FailedPrecondition: "FAILED_PRECONDITION",
	codes.Aborted: "ABORTED", codes.OutOfRange: "OUT_OF_RANGE", codes.Unimplemented: Unimplemented, codes.Internal: Internal,
	codes.Unavailable: "UNAVAILABLE", codes.DataLoss: "DATA_LOSS", codes.Unauthenticated: Unauthenticated,
}
