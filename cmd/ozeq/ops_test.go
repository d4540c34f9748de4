//go:build ops

package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"
)

// The tests of operation run the binary that `make build` leaves, as processes,
// with load of our own. `make test-ops` runs them.

const (
	binary      = "../../bin/ozeq"
	restarts    = 10 // of each replica
	rollingRate = 200.0
)

// overloadFor is how long the overload lasts.
const overloadFor = 30 * time.Second

// replica is one process of `ozeq serve`.
type replica struct {
	t                   *testing.T
	args                []string
	http, grpc, metrics string
	log                 bytes.Buffer
	cmd                 *exec.Cmd
}

// freeAddress is a loopback address nobody listens at.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

func newReplica(t *testing.T, args ...string) *replica {
	r := &replica{t: t, http: freeAddress(t), grpc: freeAddress(t), metrics: freeAddress(t)}
	r.args = append([]string{"serve", "--http-address", r.http, "--grpc-address", r.grpc, "--metrics-address", r.metrics}, args...)
	t.Cleanup(func() {
		if r.cmd != nil {
			_ = r.cmd.Process.Kill()
			_ = r.cmd.Wait()
		}
	})
	return r
}

// start starts the process and returns how long it took to be ready.
func (r *replica) start() time.Duration {
	r.t.Helper()
	r.cmd = exec.Command(binary, r.args...)
	r.cmd.Stderr = &r.log
	begin := time.Now()
	if err := r.cmd.Start(); err != nil {
		r.t.Fatalf("%v; `make build` builds it", err)
	}
	for time.Since(begin) < 10*time.Second {
		answer, err := http.Get("http://" + r.http + "/readyz")
		if err == nil {
			answer.Body.Close()
			if answer.StatusCode == http.StatusOK {
				return time.Since(begin)
			}
		}
		time.Sleep(time.Millisecond)
	}
	r.t.Fatalf("not ready within 10 s:\n%s", r.log.Bytes())
	return 0
}

// stop sends a signal and waits for the end. Ended by SIGTERM, the process says
// that it dropped nothing by exit code 0.
func (r *replica) stop(s syscall.Signal) {
	r.t.Helper()
	if err := r.cmd.Process.Signal(s); err != nil {
		r.t.Fatal(err)
	}
	err := r.cmd.Wait()
	r.cmd = nil
	if s == syscall.SIGTERM && err != nil {
		r.t.Fatalf("after SIGTERM: %v\n%s", err, r.log.Bytes())
	}
	r.log.Reset()
}

// memory is a line of /proc/PID/status, such as VmRSS, in MB.
func (r *replica) memory(line string) float64 {
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", r.cmd.Process.Pid))
	if err != nil {
		r.t.Error(err)
		return 0
	}
	for l := range strings.Lines(string(data)) {
		if f := strings.Fields(l); len(f) == 3 && f[0] == line+":" {
			kb, _ := strconv.ParseFloat(f[1], 64)
			return kb / 1024
		}
	}
	r.t.Errorf("no %s in /proc", line)
	return 0
}

// cpu is what the process has used of the processors so far.
func (r *replica) cpu() time.Duration {
	data, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", r.cmd.Process.Pid))
	if err != nil {
		r.t.Fatal(err)
	}
	f := strings.Fields(string(data[bytes.LastIndexByte(data, ')')+1:]))
	user, err1 := strconv.Atoi(f[11])
	system, err2 := strconv.Atoi(f[12])
	if err1 != nil || err2 != nil {
		r.t.Fatal(err1, err2)
	}
	const tick = 10 * time.Millisecond // USER_HZ is 100 on Linux
	return time.Duration(user+system) * tick
}

// value is the sum of a metric over its labels.
func (r *replica) value(name string) float64 {
	r.t.Helper()
	answer, err := http.Get("http://" + r.metrics + "/metrics")
	if err != nil {
		r.t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		r.t.Fatal(err)
	}
	sum, found := 0.0, false
	for l := range strings.Lines(string(text)) {
		rest, ok := strings.CutPrefix(strings.TrimSpace(l), name)
		if !ok || rest[0] != ' ' && rest[0] != '{' {
			continue
		}
		v, err := strconv.ParseFloat(rest[strings.LastIndexByte(rest, ' ')+1:], 64)
		if err != nil {
			r.t.Fatal(err)
		}
		sum, found = sum+v, true
	}
	if !found {
		r.t.Fatalf("no metric %s", name)
	}
	return sum
}

// balancer is HAProxy with the file under deploy.
type balancer struct {
	t          *testing.T
	http, grpc string
	stats      string
}

func startBalancer(t *testing.T, a, b *replica, env ...string) *balancer {
	t.Helper()
	if _, err := exec.LookPath("haproxy"); err != nil {
		t.Fatal("haproxy is missing: install the Debian package haproxy")
	}
	h := &balancer{t: t, http: freeAddress(t), grpc: freeAddress(t), stats: filepath.Join(t.TempDir(), "stats")}
	_, aPort, _ := net.SplitHostPort(a.http)
	_, bPort, _ := net.SplitHostPort(b.http)
	cmd := exec.Command("haproxy", "-db", "-f", "../../deploy/haproxy.cfg")
	cmd.Env = append(os.Environ(), append([]string{"OZEQ_STATS=" + h.stats, "OZEQ_HTTP=" + h.http, "OZEQ_GRPC=" + h.grpc,
		"OZEQ_A_HTTP=" + a.http, "OZEQ_A_GRPC=" + a.grpc, "OZEQ_A_PORT=" + aPort,
		"OZEQ_B_HTTP=" + b.http, "OZEQ_B_GRPC=" + b.grpc, "OZEQ_B_PORT=" + bPort}, env...)...)
	var log bytes.Buffer
	cmd.Stdout, cmd.Stderr = &log, &log
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if t.Failed() {
			t.Logf("haproxy: %s", log.Bytes())
		}
	})
	h.waitFor("a", true)
	h.waitFor("b", true)
	return h
}

// table is what HAProxy knows of each server of each backend.
func (h *balancer) table() []map[string]string {
	conn, err := net.Dial("unix", h.stats)
	if err != nil {
		return nil // not yet
	}
	defer conn.Close()
	_, _ = io.WriteString(conn, "show stat\n")
	rows, err := csv.NewReader(conn).ReadAll()
	if err != nil || len(rows) == 0 {
		return nil
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := make(map[string]string)
		for i, v := range row {
			m[strings.TrimPrefix(rows[0][i], "# ")] = v
		}
		out = append(out, m)
	}
	return out
}

// waitFor waits until HAProxy sends requests to a replica, at both doors, or
// no longer does.
func (h *balancer) waitFor(name string, up bool) {
	h.t.Helper()
	for begin := time.Now(); time.Since(begin) < 20*time.Second; time.Sleep(20 * time.Millisecond) {
		doors := 0
		for _, row := range h.table() {
			// Unchecked yet, a server counts as up without a check's result.
			if row["svname"] == name && strings.HasPrefix(row["status"], "UP") == up && strings.HasPrefix(row["check_status"], "L7") {
				doors++
			}
		}
		if doors == 2 {
			return
		}
	}
	h.t.Fatalf("haproxy does not see replica %s as up=%v: %v", name, up, h.table())
}

// counted sums a column over all servers.
func (h *balancer) counted(column string) (sum int) {
	for _, row := range h.table() {
		if row["svname"] == "a" || row["svname"] == "b" {
			n, _ := strconv.Atoi(row[column])
			sum += n
		}
	}
	return sum
}

// TestOpsRollingRestart restarts two replicas behind HAProxy, ten times each,
// under load at both doors, and no request may fail.
func TestOpsRollingRestart(t *testing.T) {
	// HAProxy notices within inter x fall = 0.4 s here.
	const drain = "800ms"
	a, b := newReplica(t, "--drain-delay", drain), newReplica(t, "--drain-delay", drain)
	a.start()
	b.start()
	h := startBalancer(t, a, b, "OZEQ_INTER=200ms")
	l := startLoad(t, h.http, h.grpc, 8, rollingRate)
	begin := time.Now()
	for range restarts {
		for _, r := range []struct {
			name string
			*replica
		}{{"a", a}, {"b", b}} {
			r.stop(syscall.SIGTERM)
			r.start()
			h.waitFor(r.name, true)
		}
	}
	took := time.Since(begin)
	l.stop()
	fmt.Printf("rolling restart: %d replicas, %d restarts of each in %.0f s under %.0f requests/s\n", 2, restarts, took.Seconds(), 2*rollingRate)
	l.print()
	fmt.Printf("  retried by the balancer: %d, sent to the other replica: %d\n", h.counted("wretr"), h.counted("wredis"))
	if n := l.failed(); n > 0 {
		t.Errorf("%d requests failed", n)
	}
	for _, d := range l.doors {
		if n := float64(d.sent.Load()); n < 0.8*rollingRate*took.Seconds() {
			t.Errorf("only %.0f requests at the %s door: that is no constant load", n, d.name)
		}
	}
}

// TestOpsNoticesDrops holds that the load of TestOpsRollingRestart notices what
// it is there to notice: with slow health checks, no retries and no drain delay
// a restart drops requests, and so does a kill.
func TestOpsNoticesDrops(t *testing.T) {
	for _, c := range []struct {
		name   string
		signal syscall.Signal
	}{{"no drain delay", syscall.SIGTERM}, {"SIGKILL", syscall.SIGKILL}} {
		a, b := newReplica(t), newReplica(t)
		a.start()
		b.start()
		h := startBalancer(t, a, b, "OZEQ_INTER=10s", "OZEQ_RETRIES=0")
		l := startLoad(t, h.http, h.grpc, 8, rollingRate)
		time.Sleep(300 * time.Millisecond)
		calm := l.failed()
		a.stop(c.signal)
		time.Sleep(300 * time.Millisecond) // for a slower machine to start again
		a.start()
		l.stop()
		fmt.Printf("a careless restart (%s, checks every 10 s, no retries) is noticed:\n", c.name)
		l.print()
		if calm > 0 {
			t.Errorf("%s: %d requests failed before the restart", c.name, calm)
		}
		for _, d := range l.doors {
			if d.failures.Load() == 0 {
				t.Errorf("%s: no request failed at the %s door, so the load would not notice a drop", c.name, d.name)
			}
		}
	}
}

// TestOpsOverload sends ten times as many requests at once as the service takes,
// all batches and each refused one again soon after, and looks at what remains
// of it. Callers and service share the processors, and so may others: the bound
// on the speed afterwards leaves room for that.
func TestOpsOverload(t *testing.T) {
	const slots = 64
	r := newReplica(t, "--max-concurrent", strconv.Itoa(slots))
	r.start()
	idle := r.memory("VmRSS")
	before, each := fullSpeed(t, r)
	busy := r.memory("VmHWM")

	var served, refused, wrong atomic.Int64
	var mu sync.Mutex
	var servedIn, refusedIn []time.Duration
	texts := make(map[string]int)
	batches := newBatches(t, r.http, r.grpc)
	end := time.Now().Add(overloadFor)
	var wg sync.WaitGroup
	for i := range 10 * slots {
		wg.Go(func() {
			send, done := batches.http, func() {}
			if i%2 == 1 {
				send, done = batches.dial()
			}
			defer done()
			for time.Now().Before(end) {
				start := time.Now()
				ok, err := send()
				took := time.Since(start)
				mu.Lock()
				switch {
				case err != nil:
					wrong.Add(1)
					texts[err.Error()]++
				case ok:
					served.Add(1)
					servedIn = append(servedIn, took)
				default:
					refused.Add(1)
					refusedIn = append(refusedIn, took)
				}
				mu.Unlock()
				if !ok {
					// The hint says a second; these callers are ruder.
					time.Sleep(100*time.Millisecond + rand.N(200*time.Millisecond))
				}
			}
		})
	}
	wg.Wait()
	time.Sleep(time.Second)
	after, _ := fullSpeed(t, r)
	counted := int64(r.value("ozeq_requests_refused_total"))
	peak, now := r.memory("VmHWM"), r.memory("VmRSS")
	inFlight, held, panics := r.value("ozeq_requests_in_flight"), r.value("ozeq_request_body_bytes"), r.value("ozeq_panics_total")
	r.stop(syscall.SIGTERM)

	fmt.Printf("overload: %d callers at both doors for %v, %d at once are taken, batches of %d recipes\n", 10*slots, overloadFor, slots, batchSize)
	fmt.Printf("  served  %7d  p50 %6.0f ms  p99 %6.0f ms\n", served.Load(), quantile(servedIn, 50), quantile(servedIn, 99))
	fmt.Printf("  refused %7d  p50 %6.0f ms  p99 %6.0f ms  all with the hint to come back in 1 s\n", refused.Load(), quantile(refusedIn, 50), quantile(refusedIn, 99))
	fmt.Printf("  failed  %7d  %v\n", wrong.Load(), texts)
	fmt.Printf("  memory: idle %.0f MB, at full speed %.0f MB, peak %.0f MB, afterwards %.0f MB\n", idle, busy, peak, now)
	fmt.Printf("  speed: before %.0f requests/s, from the first second after it %.0f, ratio %.2f; %.0f us of a processor each\n", before, after, after/before, each)

	if wrong.Load() > 0 {
		t.Errorf("%d requests were neither served nor refused as they should be", wrong.Load())
	}
	if served.Load() < 100 || refused.Load() < 10*slots {
		t.Errorf("served %d, refused %d: that was no overload", served.Load(), refused.Load())
	}
	if counted != refused.Load() {
		t.Errorf("ozeq_requests_refused_total says %d", counted)
	}
	if inFlight+held+panics != 0 {
		t.Errorf("afterwards %v requests in flight, %v bytes held, %v panics", inFlight, held, panics)
	}
	if q, s := quantile(refusedIn, 50), quantile(servedIn, 50); q > s/2 {
		t.Errorf("to be refused takes %.0f ms, to be served %.0f ms: that is not fast", q, s)
	}
	if most := 1.5 * softMemory / (1 << 20); peak > most {
		t.Errorf("peak of %.0f MB, above %.0f", peak, most)
	}
	if after < 0.7*before {
		t.Errorf("afterwards at %.2f of the speed before", after/before)
	}
}

// TestOpsSmall holds the bounds of a service nobody calls.
func TestOpsSmall(t *testing.T) {
	info, err := os.Stat(binary)
	if err != nil {
		t.Fatalf("%v; `make build` builds it", err)
	}
	size := float64(info.Size()) / (1 << 20)
	best, rss := time.Hour, 0.0
	for range 10 {
		r := newReplica(t)
		best = min(best, r.start())
		time.Sleep(200 * time.Millisecond)
		rss = max(rss, r.memory("VmRSS"))
		r.stop(syscall.SIGTERM)
	}
	fmt.Printf("binary %.1f MB; ready in %.0f ms (best of 10 starts); idle %.0f MB (largest of 10)\n", size, best.Seconds()*1000, rss)
	if size >= 45 {
		t.Error("the binary is not under 45 MB")
	}
	if best >= 100*time.Millisecond {
		t.Error("not ready in under 100 ms")
	}
	if rss >= 64 {
		t.Error("idle memory is not under 64 MB")
	}
}
