//go:build ops

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/wire"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
	pb "example.com/ozeq/api/ozeq/v1"
)

// chili is the request of the load, as JSON and as a message.
func chili(t *testing.T) ([]byte, *pb.CreditRequest) {
	t.Helper()
	body, err := os.ReadFile("../../pkg/wire/testdata/twelve.json")
	if err != nil {
		t.Fatal(err)
	}
	m := &pb.CreditRequest{}
	if faults, ok := wire.ReadJSON(body, m); !ok || faults.Err() != nil {
		t.Fatal(faults)
	}
	return body, m
}

// onlyReader hides what a body is, so that the HTTP client cannot send it a
// second time by itself and hide a failure.
type onlyReader struct{ io.Reader }

func post(client *http.Client, url string, body []byte) (*http.Response, error) {
	r, err := http.NewRequest("POST", url, onlyReader{bytes.NewReader(body)})
	if err != nil {
		return nil, err
	}
	r.ContentLength = int64(len(body))
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Accept-Encoding", "identity")
	return client.Do(r)
}

func newHTTPClient(connections int) *http.Client {
	return &http.Client{Timeout: 20 * time.Second, Transport: &http.Transport{MaxIdleConnsPerHost: connections}}
}

// callHTTP returns a caller that holds every answer to be the first one, byte
// for byte.
func callHTTP(t *testing.T, client *http.Client, address string, body []byte) func() error {
	url := "http://" + address + "/v1/recipes:credit"
	var want atomic.Pointer[[]byte]
	return func() error {
		answer, err := post(client, url, body)
		if err != nil {
			return err
		}
		defer answer.Body.Close()
		got, err := io.ReadAll(answer.Body)
		if err != nil {
			return err
		}
		if answer.StatusCode != http.StatusOK {
			return fmt.Errorf("HTTP %d", answer.StatusCode)
		}
		if len(got) < 1000 {
			return fmt.Errorf("an answer of %d bytes", len(got))
		}
		if !want.CompareAndSwap(nil, &got) && !bytes.Equal(got, *want.Load()) {
			return fmt.Errorf("another answer than before")
		}
		return nil
	}
}

func callGRPC(conn *grpc.ClientConn, m *pb.CreditRequest) func() error {
	client := servicev1.NewCreditServiceClient(conn)
	var want atomic.Pointer[pb.Record]
	return func() error {
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		got, err := client.Credit(ctx, m)
		if err != nil {
			return err
		}
		if len(got.GetCredits()) == 0 {
			return fmt.Errorf("an empty record")
		}
		if !want.CompareAndSwap(nil, got) && !proto.Equal(got, want.Load()) {
			return fmt.Errorf("another answer than before")
		}
		return nil
	}
}

func dial(t *testing.T, address string) *grpc.ClientConn {
	t.Helper()
	conn, err := grpc.NewClient(address, grpc.WithTransportCredentials(insecure.NewCredentials()), grpc.WithDisableRetry(),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(64<<20)))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	return conn
}

// load is constant load at both doors.
type load struct {
	doors []*loadDoor
	end   chan struct{}
	wg    sync.WaitGroup
}

// loadDoor counts what was asked at one door.
type loadDoor struct {
	name           string
	sent, failures atomic.Int64

	mu    sync.Mutex
	texts map[string]int
	took  []time.Duration
}

// startLoad calls at both doors, each with so many callers and at a rate
// together, until stopped.
func startLoad(t *testing.T, httpAddress, grpcAddress string, callers int, rate float64) *load {
	t.Helper()
	body, m := chili(t)
	l := &load{end: make(chan struct{}), doors: []*loadDoor{{name: "http"}, {name: "grpc"}}}
	web := callHTTP(t, newHTTPClient(callers), httpAddress, body)
	conns := []*grpc.ClientConn{dial(t, grpcAddress), dial(t, grpcAddress)}
	rpc := []func() error{callGRPC(conns[0], m), callGRPC(conns[1], m)}
	pause := time.Duration(float64(callers) / rate * float64(time.Second))
	for i := range callers {
		l.doors[0].run(l, web, pause)
		l.doors[1].run(l, rpc[i%len(rpc)], pause)
	}
	return l
}

func (d *loadDoor) run(l *load, call func() error, pause time.Duration) {
	d.texts = make(map[string]int)
	l.wg.Go(func() {
		tick := time.NewTicker(pause)
		defer tick.Stop()
		for {
			select {
			case <-l.end:
				return
			case <-tick.C:
			}
			start := time.Now()
			err := call()
			took := time.Since(start)
			d.sent.Add(1)
			d.mu.Lock()
			d.took = append(d.took, took)
			if err != nil {
				d.failures.Add(1)
				d.texts[err.Error()]++
			}
			d.mu.Unlock()
		}
	})
}

func (l *load) stop() {
	close(l.end)
	l.wg.Wait()
}

func (l *load) failed() (n int64) {
	for _, d := range l.doors {
		n += d.failures.Load()
	}
	return n
}

func (l *load) print() {
	for _, d := range l.doors {
		fmt.Printf("  %s: %d requests, %d failed, p50 %.1f ms, p99 %.1f ms, longest %.0f ms\n", d.name, d.sent.Load(), d.failures.Load(),
			quantile(d.took, 50), quantile(d.took, 99), quantile(d.took, 100))
		for text, n := range d.texts {
			fmt.Printf("    %d x %.200s\n", n, text)
		}
	}
}

// quantile is in ms.
func quantile(took []time.Duration, p int) float64 {
	if len(took) == 0 {
		return 0
	}
	slices.Sort(took)
	return took[min(len(took)*p/100, len(took)-1)].Seconds() * 1000
}

// fullSpeed is how many requests a second eight callers at each door get
// answered, the middle of five half seconds, for the machine may be shared; and
// what each takes of the service's processors, in microseconds.
func fullSpeed(t *testing.T, r *replica) (rate, each float64) {
	t.Helper()
	body, m := chili(t)
	client := newHTTPClient(8)
	defer client.CloseIdleConnections()
	calls := []func() error{callHTTP(t, client, r.http, body), callGRPC(dial(t, r.grpc), m)}
	var n, failures atomic.Int64
	ctx, cancel := context.WithCancel(context.Background())
	var wg sync.WaitGroup
	for i := range 16 {
		wg.Go(func() {
			for ctx.Err() == nil {
				if err := calls[i%2](); err != nil {
					failures.Add(1)
				}
				n.Add(1)
			}
		})
	}
	var rates []float64
	used, from := r.cpu(), n.Load()
	for range 5 {
		start, from := time.Now(), n.Load()
		time.Sleep(500 * time.Millisecond)
		rates = append(rates, float64(n.Load()-from)/time.Since(start).Seconds())
	}
	each = (r.cpu() - used).Seconds() * 1e6 / float64(n.Load()-from)
	cancel()
	wg.Wait()
	if failures.Load() > 0 {
		t.Errorf("%d of %d requests failed without overload", failures.Load(), n.Load())
	}
	slices.Sort(rates)
	return rates[len(rates)/2], each
}

// batchSize is as many recipes as a batch may hold.
const batchSize = wire.MaxBatch

// batches are the requests of the overload: long enough to be worked on at the
// same time.
type batches struct {
	t      *testing.T
	client *http.Client
	url    string
	grpc   string
	body   []byte
	m      *pb.BatchCreditRequest
}

func newBatches(t *testing.T, httpAddress, grpcAddress string) *batches {
	one, m := chili(t)
	b := &batches{t: t, client: newHTTPClient(1000), url: "http://" + httpAddress + "/v1/recipes:batchCredit", grpc: grpcAddress, m: &pb.BatchCreditRequest{}}
	var compact bytes.Buffer
	if err := json.Compact(&compact, one); err != nil {
		t.Fatal(err)
	}
	b.body = append(b.body, `{"requests":[`...)
	for i := range batchSize {
		if i > 0 {
			b.body = append(b.body, ',')
		}
		b.body = append(b.body, compact.Bytes()...)
		b.m.Requests = append(b.m.Requests, m)
	}
	b.body = append(b.body, "]}"...)
	return b
}

// http sends a batch and reports whether it was served; false without an error
// is a refusal as it should be.
func (b *batches) http() (bool, error) {
	answer, err := post(b.client, b.url, b.body)
	if err != nil {
		return false, err
	}
	defer answer.Body.Close()
	if answer.StatusCode == http.StatusTooManyRequests {
		var problem struct{ Reason string }
		if err := json.NewDecoder(answer.Body).Decode(&problem); err != nil {
			return false, err
		}
		_, _ = io.Copy(io.Discard, answer.Body)
		if problem.Reason != "OVERLOADED" || answer.Header.Get("Retry-After") != "1" {
			return false, fmt.Errorf("a refusal with reason %q and Retry-After %q", problem.Reason, answer.Header.Get("Retry-After"))
		}
		return false, nil
	}
	n, err := io.Copy(io.Discard, answer.Body)
	if err != nil {
		return false, err
	}
	if answer.StatusCode != http.StatusOK || n < batchSize*1000 {
		return false, fmt.Errorf("HTTP %d with %d bytes", answer.StatusCode, n)
	}
	return true, nil
}

// dial is http over gRPC, with a connection of the caller's own.
func (b *batches) dial() (send func() (bool, error), done func()) {
	conn := dial(b.t, b.grpc)
	client := servicev1.NewCreditServiceClient(conn)
	return func() (bool, error) {
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		out, err := client.BatchCredit(ctx, b.m)
		if status.Code(err) == codes.ResourceExhausted {
			for _, d := range status.Convert(err).Details() {
				if hint, ok := d.(*errdetails.RetryInfo); ok && hint.GetRetryDelay().AsDuration() == time.Second {
					return false, nil
				}
			}
			return false, fmt.Errorf("a refusal without a hint: %w", err)
		}
		if err != nil {
			return false, err
		}
		if len(out.GetAnswers()) != batchSize {
			return false, fmt.Errorf("%d results", len(out.GetAnswers()))
		}
		return true, nil
	}, func() { _ = conn.Close() }
}
