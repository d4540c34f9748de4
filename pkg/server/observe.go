package server

import (
	"context"
	"crypto/rand"
	"encoding/base32"
	"errors"
	"log/slog"
	"runtime/debug"
	"strings"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/grpc/tap"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
)

// metrics are what Prometheus may ask for: few labels, and none that callers
// choose.
type metrics struct {
	requests *prometheus.CounterVec
	seconds  *prometheus.HistogramVec
	refused  prometheus.Counter
	panics   prometheus.Counter
}

func newMetrics(r prometheus.Registerer, l *limiter) *metrics {
	m := &metrics{
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "ozeq_requests_total", Help: "Requests answered, by call, door and status code."}, []string{"call", "door", "code"}),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "ozeq_request_duration_seconds", Help: "Time to answer a request, by call and door.",
			Buckets: []float64{.0001, .00025, .0005, .001, .0025, .005, .01, .025, .05, .1, .25, 1, 5}}, []string{"call", "door"}),
		refused: prometheus.NewCounter(prometheus.CounterOpts{Name: "ozeq_requests_refused_total", Help: "Requests refused because too many were being worked on."}),
		panics:  prometheus.NewCounter(prometheus.CounterOpts{Name: "ozeq_panics_total", Help: "Requests that ended in a panic. Each is a fault of ozeq."}),
	}
	r.MustRegister(m.requests, m.seconds, m.refused, m.panics,
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "ozeq_requests_in_flight", Help: "Requests being worked on."}, func() float64 { return float64(len(l.slots)) }),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "ozeq_request_body_bytes", Help: "Bytes of request bodies held."}, func() float64 { return float64(l.bytes.Load()) }),
	)
	return m
}

// request is what is known of a request before it is answered.
type request struct {
	id   string
	door string // "grpc" or "http"
}

type requestKey struct{}

func requestOf(ctx context.Context) *request {
	r, _ := ctx.Value(requestKey{}).(*request)
	return r
}

// RequestID is the header, and the metadata key in lower case, that carries the
// id of a request both ways.
const RequestID = "X-Request-Id"

// requestID takes the caller's id when it is a plain word, or makes one.
func requestID(given string) string {
	if given != "" && len(given) <= 64 && strings.Trim(given, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.") == "" {
		return given
	}
	var b [10]byte
	rand.Read(b[:])
	return strings.ToLower(base32.StdEncoding.EncodeToString(b[:]))
}

// arrive looks at a gRPC call before its message is read. It refuses one for
// which there is no place; a place is taken once the message is there, so that a
// slow sender holds none. And it bounds how long sender and reader may take.
func (s *Server) arrive(ctx context.Context, call *tap.Info) (context.Context, error) {
	if call.FullMethodName == servicev1.CreditService_StreamCredit_FullMethodName || strings.HasPrefix(call.FullMethodName, "/grpc.") {
		return ctx, nil
	}
	if s.limit.full(isLong(call.FullMethodName)) {
		s.metrics.refused.Inc()
		s.done(ctx, &request{id: requestID(first(call.Header, RequestID)), door: "grpc"}, call.FullMethodName, time.Now(), errOverloaded)
		return nil, errOverloaded
	}
	ctx, cancel := context.WithTimeout(ctx, s.wholeTime())
	_ = cancel // the end of the call ends it
	return ctx, nil
}

// unary stands around every call of both doors: it names the request, lets in
// whom it may, keeps to the limits, and turns a panic into an answer.
func (s *Server) unary(ctx context.Context, in any, info *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (out any, err error) {
	if strings.HasPrefix(info.FullMethod, "/grpc.") { // health, for probes
		return handler(ctx, in)
	}
	r := requestOf(ctx)
	if r == nil { // from outside, over gRPC
		md, _ := metadata.FromIncomingContext(ctx)
		r = &request{id: requestID(first(md, RequestID)), door: "grpc"}
		ctx = context.WithValue(ctx, requestKey{}, r)
		_ = grpc.SetHeader(ctx, metadata.Pairs(RequestID, r.id))
		long := isLong(info.FullMethod)
		if err := s.limit.take(long); err != nil {
			s.metrics.refused.Inc()
			s.done(ctx, r, info.FullMethod, time.Now(), err)
			return nil, err
		}
		defer s.limit.release(long)
	}
	start := time.Now()
	defer func() {
		if p := recover(); p != nil {
			out, err = nil, s.panicked(ctx, r, info.FullMethod, p)
		}
		err = settle(err)
		s.done(ctx, r, info.FullMethod, start, err)
	}()
	if err := s.tokens.allow(ctx); err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, s.config.RequestTimeout)
	defer cancel()
	if r.door != "grpc" { // the HTTP door has a slot of its own
		return handler(ctx, in)
	}
	ctx, left := withSlot(ctx)
	if out, err = handler(ctx, in); left.credited != nil && err == nil {
		out = left.credited
	}
	return out, err
}

// stream is unary for streams. A stream takes as long as its caller likes.
func (s *Server) stream(service any, stream grpc.ServerStream, info *grpc.StreamServerInfo, handler grpc.StreamHandler) (err error) {
	md, _ := metadata.FromIncomingContext(stream.Context())
	r := &request{id: requestID(first(md, RequestID)), door: "grpc"}
	_ = stream.SetHeader(metadata.Pairs(RequestID, r.id))
	start := time.Now()
	defer func() {
		if p := recover(); p != nil {
			err = s.panicked(stream.Context(), r, info.FullMethod, p)
		}
		err = settle(err)
		s.done(stream.Context(), r, info.FullMethod, start, err)
	}()
	if !strings.HasPrefix(info.FullMethod, "/grpc.") {
		if err := s.tokens.allow(stream.Context()); err != nil {
			return err
		}
	}
	return handler(service, stream)
}

func first(md metadata.MD, key string) string {
	if v := md.Get(key); len(v) > 0 {
		return v[0]
	}
	return ""
}

// settle gives an error that is no status one, and hides what is inside.
func settle(err error) error {
	if err == nil {
		return nil
	}
	if _, ok := status.FromError(err); ok {
		return err
	}
	switch {
	case errors.Is(err, context.DeadlineExceeded):
		return refusal(codes.DeadlineExceeded, DeadlineExceeded, "The request took longer than it may; send less at a time.")
	case errors.Is(err, context.Canceled):
		return refusal(codes.Canceled, Cancelled, "The caller went away.")
	}
	return refusal(codes.Internal, Internal, "ozeq failed at this request; the operator finds it in the log by its id.")
}

func (s *Server) panicked(ctx context.Context, r *request, call string, p any) error {
	s.metrics.panics.Inc()
	s.log.LogAttrs(ctx, slog.LevelError, "panic", slog.String("request_id", r.id), slog.String("call", call), slog.Any("panic", p), slog.String("stack", string(debug.Stack())))
	return refusal(codes.Internal, Internal, "ozeq failed at this request; the operator finds it in the log by its id.")
}

// done counts a request, and logs it when it failed for a reason that is not the
// caller's, or when every request is to be logged.
func (s *Server) done(ctx context.Context, r *request, call string, start time.Time, err error) {
	c := status.Code(err)
	took := time.Since(start)
	name := call[strings.LastIndexByte(call, '/')+1:]
	s.metrics.requests.WithLabelValues(name, r.door, codeNames[c]).Inc()
	s.metrics.seconds.WithLabelValues(name, r.door).Observe(took.Seconds())
	level := slog.LevelDebug
	switch {
	case c == codes.Internal || c == codes.Unknown || c == codes.DataLoss:
		level = slog.LevelError
	case s.config.LogRequests:
		level = slog.LevelInfo
	}
	if !s.log.Enabled(ctx, level) {
		return
	}
	attrs := []slog.Attr{slog.String("request_id", r.id), slog.String("call", name), slog.String("door", r.door), slog.String("code", codeNames[c]), slog.Duration("took", took)}
	if err != nil {
		attrs = append(attrs, slog.String("reason", problem(status.Convert(err), "").GetReason()))
	}
	s.log.LogAttrs(ctx, level, "request", attrs...)
}
