package server

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
	"golang.org/x/net/netutil"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	_ "google.golang.org/grpc/encoding/gzip" // callers may compress
	"google.golang.org/grpc/health"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/keepalive"
	"google.golang.org/grpc/reflection"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/menu"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
)

// Server is both doors. It holds no global state: a process may run several.
type Server struct {
	config   Config
	log      *slog.Logger
	calls    *calls
	kitchen  *kitchenCalls
	limit    *limiter
	tokens   tokens
	tls      *tls.Config
	metrics  *metrics
	registry *prometheus.Registry
	door     http.Handler
	ready    atomic.Bool

	mu    sync.Mutex
	addrs map[string]net.Addr
}

// New checks the configuration and builds a server; it opens nothing yet.
func New(c Config, data Data) (*Server, error) {
	if err := c.Check(); err != nil {
		return nil, err
	}
	c = c.withDefaults()
	s := &Server{config: c, log: c.Logger, limit: newLimiter(c.MaxConcurrent, c.MaxBodyMemory), registry: prometheus.NewRegistry(), addrs: make(map[string]net.Addr)}
	s.registry.MustRegister(collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	s.metrics = newMetrics(s.registry, s.limit)
	if data.Rules == nil || data.Catalog == nil || data.Patterns == nil {
		return nil, errors.New("a server answers from rules, a catalog and meal patterns: one of them is not given")
	}
	engine := credit.New(data.Rules, data.Catalog)
	s.calls = &calls{data: data, engine: engine, reviewer: menu.New(engine, data.Patterns), limit: s.limit, stopping: make(chan struct{})}
	var err error
	s.kitchen = newKitchenCalls(s.calls)
	if c.TokenFile != "" {
		if s.tokens, err = readTokens(c.TokenFile); err != nil {
			return nil, fmt.Errorf("token-file: %w", err)
		}
	}
	if c.TLSCert != "" {
		if s.tls, err = newTLS(c.TLSCert, c.TLSKey); err != nil {
			return nil, fmt.Errorf("tls-cert: %w", err)
		}
	}
	s.door, err = s.newDoor()
	return s, err
}

// Handler returns the HTTP door, for a program that listens itself. It is ready
// as soon as the program says so with [Server.SetReady].
func (s *Server) Handler() http.Handler { return s.door }

// SetReady turns readiness on or off for a program that uses [Server.Handler];
// Serve does it itself.
func (s *Server) SetReady(ready bool) { s.ready.Store(ready) }

// Metrics returns the handler of /metrics.
func (s *Server) Metrics() http.Handler {
	return promhttp.HandlerFor(s.registry, promhttp.HandlerOpts{})
}

// Addr returns where a door listens, "grpc", "http" or "metrics", once Serve
// has opened it; nil before, and for a door that is off.
func (s *Server) Addr(door string) net.Addr {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.addrs[door]
}

// Serve opens the doors and answers until the context ends; then it turns
// readiness off, waits for DrainDelay, lets what was accepted finish, and
// returns. What is not finished within ShutdownTimeout is cut off, which is an
// error. A server serves once.
func (s *Server) Serve(ctx context.Context) error {
	listeners, err := s.listen()
	if err != nil {
		return err
	}
	failed := make(chan error, 3)
	var running sync.WaitGroup
	run := func(serve func() error) {
		running.Go(func() {
			if err := serve(); err != nil && !errors.Is(err, http.ErrServerClosed) && !errors.Is(err, grpc.ErrServerStopped) {
				failed <- err
			}
		})
	}
	checks := health.NewServer()
	var rpc *grpc.Server
	if l := listeners["grpc"]; l != nil {
		rpc = s.newGRPC(checks)
		run(func() error { return rpc.Serve(l) })
	}
	web := s.newHTTP(s.door)
	if l := listeners["http"]; l != nil {
		run(func() error { return web.Serve(l) })
	}
	stats := http.NewServeMux()
	stats.Handle("GET /metrics", s.Metrics())
	monitor := &http.Server{Handler: stats, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 5 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 8 << 10}
	if l := listeners["metrics"]; l != nil {
		run(func() error { return monitor.Serve(l) })
	}
	s.ready.Store(true)
	s.log.Info("serving", "grpc", addrText(s.Addr("grpc")), "http", addrText(s.Addr("http")), "metrics", addrText(s.Addr("metrics")),
		"rules", s.calls.data.Rules.Digest(), "catalog", s.calls.data.Catalog.Digest())

	var failure error
	select {
	case <-ctx.Done():
	case failure = <-failed:
	}
	s.log.Info("stopping")
	s.ready.Store(false)
	checks.Shutdown()
	if failure == nil {
		time.Sleep(s.config.DrainDelay)
	}
	close(s.calls.stopping)
	until, cancel := context.WithTimeout(context.Background(), s.config.ShutdownTimeout)
	defer cancel()
	err = web.Shutdown(until)
	if err != nil {
		_ = web.Close()
	}
	if rpc != nil {
		err = errors.Join(err, stopGRPC(until, rpc))
	}
	_ = monitor.Close()
	running.Wait()
	s.log.Info("stopped")
	return errors.Join(failure, err)
}

// stopGRPC lets calls finish, and cuts them off when time is up.
func stopGRPC(ctx context.Context, rpc *grpc.Server) error {
	done := make(chan struct{})
	go func() {
		rpc.GracefulStop()
		close(done)
	}()
	select {
	case <-done:
		return nil
	case <-ctx.Done():
		rpc.Stop()
		<-done
		return fmt.Errorf("gRPC calls were cut off: %w", ctx.Err())
	}
}

func addrText(a net.Addr) string {
	if a == nil {
		return Off
	}
	return a.String()
}

// listen opens every door or none.
func (s *Server) listen() (map[string]net.Listener, error) {
	out := make(map[string]net.Listener)
	for _, d := range []struct{ door, address string }{{"grpc", s.config.GRPCAddress}, {"http", s.config.HTTPAddress}, {"metrics", s.config.MetricsAddress}} {
		if d.address == Off {
			continue
		}
		l, err := net.Listen("tcp", d.address)
		if err != nil {
			for _, open := range out {
				_ = open.Close()
			}
			return nil, fmt.Errorf("%s-address: %w", d.door, err)
		}
		s.mu.Lock()
		s.addrs[d.door] = l.Addr()
		s.mu.Unlock()
		l = netutil.LimitListener(l, s.config.MaxConnections)
		if d.door == "http" && s.tls != nil {
			l = tls.NewListener(l, s.tls)
		}
		out[d.door] = l
	}
	return out, nil
}

// wholeTime bounds a request from its head to the end of its answer.
func (s *Server) wholeTime() time.Duration {
	return s.config.BodyTimeout + s.config.RequestTimeout + 10*time.Second
}

// newHTTP bounds what a caller may make the HTTP door wait for.
func (s *Server) newHTTP(h http.Handler) *http.Server {
	return &http.Server{
		Handler:           h,
		ReadHeaderTimeout: 5 * time.Second,
		WriteTimeout:      s.wholeTime(),
		IdleTimeout:       s.config.IdleTimeout,
		MaxHeaderBytes:    16 << 10,
		ErrorLog:          slog.NewLogLogger(s.log.Handler(), slog.LevelDebug),
	}
}

// Bounds of the gRPC door. A batch of a hundred recipes of five hundred
// ingredients is some 3 MiB as protobuf, less than half of what it is as JSON.
// Messages on their way are bounded by their number alone, so both are low.
const (
	maxMessage = 4 << 20 // bytes
	maxStreams = 100     // calls at once on one connection
)

func (s *Server) newGRPC(checks *health.Server) *grpc.Server {
	opts := []grpc.ServerOption{
		grpc.InTapHandle(s.arrive), grpc.UnaryInterceptor(s.unary), grpc.StreamInterceptor(s.stream),
		grpc.MaxRecvMsgSize(maxMessage), grpc.MaxHeaderListSize(16 << 10), grpc.MaxConcurrentStreams(maxStreams),
		grpc.ConnectionTimeout(10 * time.Second),
		grpc.KeepaliveParams(keepalive.ServerParameters{MaxConnectionIdle: s.config.IdleTimeout, Time: time.Minute, Timeout: 20 * time.Second}),
		grpc.KeepaliveEnforcementPolicy(keepalive.EnforcementPolicy{MinTime: 10 * time.Second, PermitWithoutStream: true}),
		grpc.WaitForHandlers(true), grpc.ForceServerCodecV2(newDirect()),
		// Goroutines that are kept have the depth of stack a call needs.
		grpc.NumStreamWorkers(uint32(s.config.MaxConcurrent)),
	}
	if s.tls != nil {
		opts = append(opts, grpc.Creds(credentials.NewTLS(s.tls)))
	}
	rpc := grpc.NewServer(opts...)
	servicev1.RegisterCreditServiceServer(rpc, s.calls)
	servicev1.RegisterMenuServiceServer(rpc, s.calls)
	servicev1.RegisterReferenceServiceServer(rpc, s.calls)
	servicev1.RegisterKitchenServiceServer(rpc, s.kitchen)
	healthpb.RegisterHealthServer(rpc, checks)
	for name := range rpc.GetServiceInfo() {
		checks.SetServingStatus(name, healthpb.HealthCheckResponse_SERVING)
	}
	reflection.Register(rpc)
	return rpc
}
