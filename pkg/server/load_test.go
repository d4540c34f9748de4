package server

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"

	"example.com/ozeq/pkg/wire"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
	pb "example.com/ozeq/api/ozeq/v1"
)

// BenchmarkService puts the service beside its ceilings in one run, with the
// same messages: for gRPC an echo that answers every request with one record
// made before, for HTTP the same echo behind net/http and encoding/json, and
// behind an empty gateway on the same kind of channel. Servers run as processes
// of their own; client and server share the machine. It reports a table of
// ratios and fails on none: what matters is one column beside another.
//
// OZEQ_LOAD_SECONDS is how long each of five interleaved rounds takes (2).
func BenchmarkService(b *testing.B) {
	seconds := 2.0
	if s := os.Getenv("OZEQ_LOAD_SECONDS"); s != "" {
		var err error
		if seconds, err = strconv.ParseFloat(s, 64); err != nil {
			b.Fatal(err)
		}
	}
	const callers, rounds = 64, 5
	span := time.Duration(seconds * float64(time.Second))
	body, err := os.ReadFile("../wire/testdata/twelve.json")
	if err != nil {
		b.Fatal(err)
	}
	var compact bytes.Buffer
	if err := json.Compact(&compact, body); err != nil {
		b.Fatal(err)
	}
	runs := []*loadRun{
		{name: "grpc echo", mode: "grpc-echo", drive: driveGRPC},
		{name: "grpc ozeq", mode: "ozeq", drive: driveGRPC},
		{name: "stream echo", mode: "grpc-echo", drive: driveStream},
		{name: "stream ozeq", mode: "ozeq", drive: driveStream},
		{name: "net/http json echo", mode: "json-echo", drive: driveHTTP},
		{name: "gateway echo", mode: "gateway-echo", drive: driveHTTP},
		{name: "http ozeq", mode: "ozeq", drive: driveHTTP},
	}
	for _, r := range runs {
		r.start(b)
		r.drive(b, r, compact.Bytes(), callers, 200*time.Millisecond, 0) // warm
	}
	for range rounds {
		for _, r := range runs {
			before := r.cpu(b)
			n, lat := r.drive(b, r, compact.Bytes(), callers, span, 0)
			r.rates = append(r.rates, float64(n)/span.Seconds())
			r.cpus = append(r.cpus, (r.cpu(b)-before).Seconds()*1e6/float64(n))
			r.p50 = append(r.p50, percentile(lat, 50))
			r.p99 = append(r.p99, percentile(lat, 99))
		}
	}
	for range rounds {
		for _, r := range runs {
			if strings.HasPrefix(r.name, "stream") {
				continue
			}
			_, lat := r.drive(b, r, compact.Bytes(), callers, span, middle(r.rates)/2)
			r.half = append(r.half, percentile(lat, 99))
		}
	}
	fmt.Printf("\n%d callers, %d rounds of %v, medians; GOGC %d in every server\n", callers, rounds, span, loadGC)
	fmt.Printf("%-20s %12s %10s %10s %14s %12s\n", "", "requests/s", "p50 ms", "p99 ms", "CPU us/req", "p99 at half")
	for _, r := range runs {
		fmt.Printf("%-20s %12.0f %10.2f %10.2f %14.1f %12.2f\n", r.name, middle(r.rates), middle(r.p50), middle(r.p99), middle(r.cpus), middle(r.half))
	}
	ratio := func(what string, a, c int, bar string, of func(*loadRun) []float64) {
		v := middle(of(runs[a])) / middle(of(runs[c]))
		fmt.Printf("%-58s %6.2f   (%s)\n", what, v, bar)
	}
	rates := func(r *loadRun) []float64 { return r.rates }
	halves := func(r *loadRun) []float64 { return r.half }
	fmt.Println()
	ratio("gRPC unary / empty gRPC echo", 1, 0, "at least 0.7", rates)
	ratio("HTTP / bare net/http JSON echo", 6, 4, "at least 0.45", rates)
	ratio("HTTP / empty gateway echo", 6, 5, "at least 0.8", rates)
	ratio("stream / empty stream", 3, 2, "at least 0.5", rates)
	ratio("p99 at half load, gRPC / echo", 1, 0, "under 2", halves)
	ratio("p99 at half load, HTTP / gateway echo", 6, 5, "under 2", halves)
	fmt.Printf("server CPU a request: HTTP %.1f us, gateway echo %.1f us; gRPC %.1f us, echo %.1f us\n", middle(runs[6].cpus), middle(runs[5].cpus), middle(runs[1].cpus), middle(runs[0].cpus))
}

// loadGC is the garbage collector's setting in every server of the comparison,
// that of `ozeq serve`.
const loadGC = 400

// loadRun is one server under one kind of load.
type loadRun struct {
	name, mode                  string
	drive                       driver
	pid                         int
	http, grpc                  string
	conn                        *grpc.ClientConn
	rates, cpus, p50, p99, half []float64
}

// driver calls a server from so many callers for a time, at full speed or at a
// rate, and returns how many calls were answered and how long each took.
type driver func(b *testing.B, r *loadRun, body []byte, callers int, span time.Duration, rate float64) (int, []time.Duration)

// start runs the server in a process of its own.
func (r *loadRun) start(b *testing.B) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), loadMode+"="+r.mode)
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		b.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		b.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = in.Close(); _ = cmd.Wait() })
	if _, err := fmt.Fscan(bufio.NewReader(out), &r.http, &r.grpc); err != nil {
		b.Fatal(err)
	}
	r.pid = cmd.Process.Pid
	if r.grpc != Off {
		r.conn, err = grpc.NewClient(r.grpc, grpc.WithTransportCredentials(insecure.NewCredentials()))
		if err != nil {
			b.Fatal(err)
		}
		b.Cleanup(func() { _ = r.conn.Close() })
	}
}

// cpu is what the server has used of the processors so far.
func (r *loadRun) cpu(b *testing.B) time.Duration {
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", r.pid))
	if err != nil {
		b.Fatal(err)
	}
	f := strings.Fields(string(data[bytes.LastIndexByte(data, ')')+1:]))
	user, err1 := strconv.Atoi(f[11])
	system, err2 := strconv.Atoi(f[12])
	if err1 != nil || err2 != nil {
		b.Fatal(err1, err2)
	}
	const tick = 10 * time.Millisecond // USER_HZ is 100 on Linux
	return time.Duration(user+system) * tick
}

// each runs one caller's loop on so many goroutines. call answers one request.
func each(b *testing.B, callers int, span time.Duration, rate float64, caller func() (call func() error, done func())) (int, []time.Duration) {
	var wg sync.WaitGroup
	var mu sync.Mutex
	var all []time.Duration
	var failed atomic.Pointer[error]
	begin := time.Now()
	for i := range callers {
		call, done := caller()
		wg.Go(func() {
			defer done()
			var mine []time.Duration
			next := begin
			if rate > 0 {
				next = begin.Add(time.Duration(float64(i) / rate * float64(time.Second)))
			}
			for time.Since(begin) < span && failed.Load() == nil {
				if rate > 0 {
					time.Sleep(time.Until(next))
					next = next.Add(time.Duration(float64(callers) / rate * float64(time.Second)))
				}
				start := time.Now()
				if err := call(); err != nil {
					failed.Store(&err)
					return
				}
				mine = append(mine, time.Since(start))
			}
			mu.Lock()
			all = append(all, mine...)
			mu.Unlock()
		})
	}
	wg.Wait()
	if err := failed.Load(); err != nil {
		b.Fatal(*err)
	}
	return len(all), all
}

func loadRequest(b *testing.B, body []byte) *pb.CreditRequest {
	m := &pb.CreditRequest{}
	if faults, ok := wire.ReadJSON(body, m); !ok || faults.Err() != nil {
		b.Fatal(faults)
	}
	return m
}

func driveGRPC(b *testing.B, r *loadRun, body []byte, callers int, span time.Duration, rate float64) (int, []time.Duration) {
	m, client := loadRequest(b, body), servicev1.NewCreditServiceClient(r.conn)
	return each(b, callers, span, rate, func() (func() error, func()) {
		return func() error {
			rec, err := client.Credit(context.Background(), m)
			if err == nil && len(rec.GetCredits()) == 0 {
				err = fmt.Errorf("an empty record")
			}
			return err
		}, func() {}
	})
}

// driveStream sends on four streams with sixteen requests under way on each.
func driveStream(b *testing.B, r *loadRun, body []byte, callers int, span time.Duration, _ float64) (int, []time.Duration) {
	m, client := &pb.StreamCreditRequest{Request: loadRequest(b, body)}, servicev1.NewCreditServiceClient(r.conn)
	const streams = 4
	return each(b, streams, span, 0, func() (func() error, func()) {
		ctx, cancel := context.WithCancel(context.Background())
		stream, err := client.StreamCredit(ctx)
		if err != nil {
			b.Fatal(err)
		}
		for range callers / streams {
			if err := stream.Send(m); err != nil {
				b.Fatal(err)
			}
		}
		return func() error {
			out, err := stream.Recv()
			if err != nil {
				return err
			}
			if out.GetRecord() == nil {
				return fmt.Errorf("no record: %v", out.GetFaults())
			}
			return stream.Send(m)
		}, cancel
	})
}

// driveHTTP writes requests and reads answers on connections of its own: the
// standard client would take more of the processors than the servers do.
func driveHTTP(b *testing.B, r *loadRun, body []byte, callers int, span time.Duration, rate float64) (int, []time.Duration) {
	request := []byte(fmt.Sprintf("POST /v1/recipes:credit HTTP/1.1\r\nHost: %s\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n%s", r.http, len(body), body))
	return each(b, callers, span, rate, func() (func() error, func()) {
		conn, err := net.Dial("tcp", r.http)
		if err != nil {
			b.Fatal(err)
		}
		in := bufio.NewReaderSize(conn, 64<<10)
		return func() error {
			if _, err := conn.Write(request); err != nil {
				return err
			}
			return readAnswer(in)
		}, func() { _ = conn.Close() }
	})
}

func readAnswer(in *bufio.Reader) error {
	length := -1
	for line := 0; ; line++ {
		l, err := in.ReadSlice('\n')
		if err != nil {
			return err
		}
		if line == 0 && !bytes.HasPrefix(l, []byte("HTTP/1.1 200")) {
			return fmt.Errorf("answered %s", l)
		}
		if len(l) == 2 {
			break
		}
		if v, ok := bytes.CutPrefix(l, []byte("Content-Length: ")); ok {
			if length, err = strconv.Atoi(string(bytes.TrimSpace(v))); err != nil {
				return err
			}
		}
	}
	if length < 1000 {
		return fmt.Errorf("an answer of %d bytes", length)
	}
	_, err := in.Discard(length)
	return err
}

func middle(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Sorted(slices.Values(v))
	return s[len(s)/2]
}

func percentile(lat []time.Duration, p int) float64 {
	if len(lat) == 0 {
		return 0
	}
	slices.Sort(lat)
	return lat[min(len(lat)*p/100, len(lat)-1)].Seconds() * 1000
}

// loadMode is the environment variable that makes this test binary a server.
const loadMode = "OZEQ_LOAD_MODE"

// echo answers every request with one record made before.
type echo struct {
	servicev1.UnimplementedCreditServiceServer
	record *pb.Record
}

func (e *echo) Credit(context.Context, *pb.CreditRequest) (*pb.Record, error) { return e.record, nil }

func (e *echo) StreamCredit(s grpc.BidiStreamingServer[pb.StreamCreditRequest, pb.StreamCreditResponse]) error {
	for {
		m, err := s.Recv()
		if err != nil {
			return nil
		}
		if err := s.Send(&pb.StreamCreditResponse{Id: m.GetId(), Record: e.record}); err != nil {
			return nil
		}
	}
}

// beServer is what the test binary does as a server: it prints where it listens
// and ends when its standard input does.
func beServer(mode string) error {
	debug.SetGCPercent(loadGC)
	data, err := testData()
	if err != nil {
		return err
	}
	body, err := os.ReadFile("../wire/testdata/twelve.json")
	if err != nil {
		return err
	}
	ended := func() { _, _ = io.Copy(io.Discard, os.Stdin) }
	if mode == "ozeq" {
		s, err := New(Config{GRPCAddress: "127.0.0.1:0", HTTPAddress: "127.0.0.1:0", MetricsAddress: Off}, data)
		if err != nil {
			return err
		}
		ctx, cancel := context.WithCancel(context.Background())
		go func() { ended(); cancel() }()
		go func() {
			for !s.ready.Load() {
				time.Sleep(time.Millisecond)
			}
			fmt.Println(s.Addr("http"), s.Addr("grpc"))
		}()
		return s.Serve(ctx)
	}
	m := &pb.CreditRequest{}
	if faults, ok := wire.ReadJSON(body, m); !ok || faults.Err() != nil {
		return faults
	}
	s, err := New(Config{GRPCAddress: "127.0.0.1:0", MetricsAddress: Off}, data)
	if err != nil {
		return err
	}
	record, err := s.calls.Credit(context.Background(), m)
	if err != nil {
		return err
	}
	service := &echo{record: record}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	switch mode {
	case "grpc-echo":
		rpc := grpc.NewServer()
		servicev1.RegisterCreditServiceServer(rpc, service)
		fmt.Println(Off, l.Addr())
		go func() { _ = rpc.Serve(l) }()
	case "json-echo":
		fmt.Println(l.Addr(), Off)
		go func() {
			_ = http.Serve(l, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				in := &pb.CreditRequest{}
				if err := json.NewDecoder(r.Body).Decode(in); err != nil {
					http.Error(w, err.Error(), http.StatusBadRequest)
					return
				}
				out, _ := json.Marshal(record)
				w.Header().Set("Content-Type", "application/json")
				w.Header().Set("Content-Length", strconv.Itoa(len(out)))
				_, _ = w.Write(out)
			}))
		}()
	case "gateway-echo":
		inside := &channel{interceptor: func(ctx context.Context, in any, _ *grpc.UnaryServerInfo, h grpc.UnaryHandler) (any, error) {
			return h(ctx, in)
		}}
		servicev1.RegisterCreditServiceServer(inside, service)
		mux := runtime.NewServeMux(runtime.WithWriteContentLength())
		if err := servicev1.RegisterCreditServiceHandlerClient(context.Background(), mux, servicev1.NewCreditServiceClient(inside)); err != nil {
			return err
		}
		fmt.Println(l.Addr(), Off)
		go func() { _ = http.Serve(l, mux) }()
	default:
		return fmt.Errorf("no mode is called %s", mode)
	}
	ended()
	return nil
}
