package server

import (
	"compress/gzip"
	"context"
	"errors"
	"io"
	"mime"
	"net/http"
	"os"
	"strconv"
	"strings"
	"time"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"github.com/klauspost/compress/gzhttp"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"example.com/ozeq/api"
	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/server/viewer"
	"example.com/ozeq/pkg/wire"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
)

// newDoor builds the HTTP door: the calls under /v1, the document of the
// contract, its viewer, and health.
func (s *Server) newDoor() (http.Handler, error) {
	inside := &channel{interceptor: s.unary}
	servicev1.RegisterCreditServiceServer(inside, s.calls)
	servicev1.RegisterMenuServiceServer(inside, s.calls)
	servicev1.RegisterReferenceServiceServer(inside, s.calls)
	gateway := runtime.NewServeMux(
		runtime.WithMarshalerOption(runtime.MIMEWildcard, &strictJSON{}),
		runtime.SetQueryParameterParser(&strictQuery{}),
		runtime.WithErrorHandler(s.writeError),
		runtime.WithWriteContentLength(),
		runtime.WithForwardResponseRewriter(rewrite),
		runtime.WithRoutingErrorHandler(s.noRoute),
		runtime.WithIncomingHeaderMatcher(func(name string) (string, bool) { return "", false }),
		runtime.WithOutgoingHeaderMatcher(func(string) (string, bool) { return "", false }),
	)
	ctx := context.Background()
	for _, err := range []error{
		servicev1.RegisterCreditServiceHandlerClient(ctx, gateway, servicev1.NewCreditServiceClient(inside)),
		servicev1.RegisterMenuServiceHandlerClient(ctx, gateway, servicev1.NewMenuServiceClient(inside)),
		servicev1.RegisterReferenceServiceHandlerClient(ctx, gateway, servicev1.NewReferenceServiceClient(inside)),
	} {
		if err != nil {
			return nil, err
		}
	}
	gz, err := gzhttp.NewWrapper(gzhttp.MinSize(4<<10), gzhttp.CompressionLevel(gzip.BestSpeed))
	if err != nil {
		return nil, err
	}
	if err := s.openKitchen(ctx, inside, gateway); err != nil {
		return nil, err
	}
	mux := http.NewServeMux()
	mux.Handle("/v1/", s.admit(gateway))
	mux.HandleFunc("GET /openapi.json", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "application/json")
		w.Header().Set("Cache-Control", "max-age=300")
		_, _ = w.Write(api.OpenAPI)
	})
	mux.Handle("GET /docs/", http.StripPrefix("/docs", viewer.Handler()))
	mux.HandleFunc("GET /livez", func(w http.ResponseWriter, _ *http.Request) { _, _ = io.WriteString(w, "ok\n") })
	mux.HandleFunc("GET /readyz", s.readyz)
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/" {
			http.Redirect(w, r, "/docs/", http.StatusFound)
			return
		}
		s.noRoute(r.Context(), gateway, nil, w, r, http.StatusNotFound)
	})
	return s.secure(gz(mux)), nil
}

func (s *Server) readyz(w http.ResponseWriter, _ *http.Request) {
	if !s.ready.Load() {
		http.Error(w, "shutting down", http.StatusServiceUnavailable)
		return
	}
	_, _ = io.WriteString(w, "ready\n")
}

// secure sets the headers every answer has, names the request, and answers
// other origins where that is allowed.
func (s *Server) secure(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		id := requestID(r.Header.Get(RequestID))
		h.Set(RequestID, id)
		if origin := r.Header.Get("Origin"); origin != "" && len(s.config.CORSOrigins) > 0 {
			h.Add("Vary", "Origin")
			for _, o := range s.config.CORSOrigins {
				if o != origin {
					continue
				}
				h.Set("Access-Control-Allow-Origin", origin)
				h.Set("Access-Control-Expose-Headers", RequestID+", Retry-After")
				h.Set("Cross-Origin-Resource-Policy", "cross-origin")
				if r.Method == http.MethodOptions {
					h.Set("Access-Control-Allow-Methods", "GET, POST")
					h.Set("Access-Control-Allow-Headers", "Authorization, Content-Type, "+RequestID)
					h.Set("Access-Control-Max-Age", "600")
					w.WriteHeader(http.StatusNoContent)
					return
				}
			}
		}
		ctx := context.WithValue(r.Context(), requestKey{}, &request{id: id, door: "http"})
		next.ServeHTTP(w, r.WithContext(ctx))
	})
}

// admit reads a body within its bounds, then takes a place among the requests
// worked on at once: a slow sender holds memory it has sent, and nothing else.
func (s *Server) admit(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		long := isLong(r.URL.Path)
		if s.limit.full(long) { // as it would be when the body is there: not worth reading it
			s.metrics.refused.Inc()
			if r.ContentLength < 0 || r.ContentLength > drained {
				s.refuseUnread(w, r, errOverloaded)
				return
			}
			_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(s.config.BodyTimeout))
			s.refuse(w, r, errOverloaded)
			return
		}
		data, drop, err := s.receive(w, r)
		defer drop()
		if err != nil {
			s.refuseUnread(w, r, err)
			return
		}
		if err := s.limit.take(long); err != nil {
			s.metrics.refused.Inc()
			s.refuse(w, r, err)
			return
		}
		defer s.limit.release(long)
		next.ServeHTTP(w, asBody(r, data))
	})
}

// receive reads the body of a request that may have one.
func (s *Server) receive(w http.ResponseWriter, r *http.Request) ([]byte, func(), error) {
	none := func() {}
	if r.Method != http.MethodPost {
		return nil, none, nil
	}
	if t := r.Header.Get("Content-Type"); t != "" {
		if kind, _, err := mime.ParseMediaType(t); err != nil || kind != "application/json" && !strings.HasSuffix(kind, "+json") {
			return nil, none, refusal(codes.InvalidArgument, NotJSON, "The body must be JSON: send Content-Type: application/json.")
		}
	}
	most := int64(wire.MaxRequest)
	if isLong(r.URL.Path) {
		most = wire.MaxBatchBytes
	}
	if r.ContentLength > most {
		return nil, none, tooLong(most)
	}
	_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(s.config.BodyTimeout))
	var in io.Reader = http.MaxBytesReader(w, r.Body, most+1)
	switch enc := r.Header.Get("Content-Encoding"); enc {
	case "", "identity":
	case "gzip":
		z, err := gzip.NewReader(in)
		if err != nil {
			return nil, none, refusal(codes.InvalidArgument, NotJSON, "The body says it is gzip and is not.")
		}
		in = z
	default:
		return nil, none, refusal(codes.InvalidArgument, NotJSON, "The body may be plain or gzip, and no other encoding.")
	}
	data, drop, err := s.limit.readBody(in, most)
	if err == nil {
		_ = http.NewResponseController(w).SetReadDeadline(time.Time{})
		return data, drop, nil
	}
	var tooBig *http.MaxBytesError
	switch {
	case errors.Is(err, errTooLong), errors.As(err, &tooBig):
		return nil, drop, tooLong(most)
	case errors.Is(err, errTooMuch):
		s.metrics.refused.Inc()
		return nil, drop, refusal(codes.ResourceExhausted, Overloaded, "The bodies of other requests take all the memory there is for them; come back in a second.")
	case errors.Is(err, os.ErrDeadlineExceeded):
		return nil, drop, refusal(codes.DeadlineExceeded, SlowBody, "The body did not arrive in time.")
	}
	return nil, drop, refusal(codes.InvalidArgument, NotJSON, "The body could not be read to its end.")
}

// tooLong is the same fault the library has for a file that is too long.
func tooLong(most int64) error {
	var l fault.List
	l.Add(fault.Fault{Reason: fault.TooLarge, Want: "a body of at most " + strconv.FormatInt(most, 10) + " bytes", Fix: "Send fewer recipes at a time."})
	return statusOf(&l)
}

// drained is the longest body that net/http reads to its end by itself, to keep
// the connection.
const drained = 256 << 10

// linger is how long the rest of a refused body is read, to no purpose but that
// a caller who is still sending gets to read why.
const linger = time.Second

// refuseUnread refuses a request whose body may still be on its way: the answer
// goes first, and the connection does not outlive it.
func (s *Server) refuseUnread(w http.ResponseWriter, r *http.Request, err error) {
	c := http.NewResponseController(w)
	_ = c.EnableFullDuplex() // else net/http would wait for the body before it answers
	w.Header().Set("Connection", "close")
	s.refuse(w, r, err)
	_ = c.Flush()
	_ = c.SetReadDeadline(time.Now().Add(linger))
	_, _ = io.CopyN(io.Discard, r.Body, wire.MaxBatchBytes)
}

// refuse answers before the services are asked, and counts it.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, err error) {
	s.done(r.Context(), requestOf(r.Context()), "/refused", time.Now(), err)
	s.writeProblem(w, r, err, 0)
}

// writeError writes an error of a call as a Problem.
func (s *Server) writeError(_ context.Context, _ *runtime.ServeMux, _ runtime.Marshaler, w http.ResponseWriter, r *http.Request, err error) {
	if b, ok := r.Context().Value(bodyKey{}).(*body); ok && b.broken {
		err = statusOf(b.shape)
	} else if l, ok := fromQuery(status.Convert(err).Message()); ok {
		err = statusOf(l)
	}
	s.writeProblem(w, r, err, 0)
}

// noRoute answers paths and methods that are not there.
func (s *Server) noRoute(_ context.Context, _ *runtime.ServeMux, _ runtime.Marshaler, w http.ResponseWriter, r *http.Request, code int) {
	err := refusal(codes.NotFound, NoSuchPath, "Nothing is at "+fault.Clip(r.URL.Path)+"; /openapi.json lists what there is.")
	if code == http.StatusMethodNotAllowed {
		err = refusal(codes.Unimplemented, MethodNotAllowed, "What is at "+fault.Clip(r.URL.Path)+" does not take "+fault.Clip(r.Method)+".")
	} else {
		code = http.StatusNotFound
	}
	s.writeProblem(w, r, err, code)
}

func (s *Server) writeProblem(w http.ResponseWriter, r *http.Request, err error, code int) {
	id := ""
	if q := requestOf(r.Context()); q != nil {
		id = q.id
	}
	p, grpcCode := problemOf(err, id), status.Code(err)
	text, err := wire.AppendJSON(nil, p)
	if err != nil {
		text = []byte(`{"code":13}`) // a message of ours is always written
	}
	if code == 0 {
		code = runtime.HTTPStatusFromCode(grpcCode)
		if p.GetReason() == SlowBody {
			code = http.StatusRequestTimeout
		}
		if p.GetReason() == string(fault.TooLarge) {
			code = http.StatusRequestEntityTooLarge
		}
	}
	h := w.Header()
	if grpcCode == codes.ResourceExhausted {
		h.Set("Retry-After", strconv.Itoa(int(retryAfter/time.Second)))
	}
	if grpcCode == codes.Unauthenticated {
		h.Set("WWW-Authenticate", `Bearer realm="ozeq"`)
	}
	h.Set("Content-Type", "application/json")
	h.Set("Content-Length", strconv.Itoa(len(text)))
	w.WriteHeader(code)
	_, _ = w.Write(text)
}
