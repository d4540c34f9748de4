package server

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"golang.org/x/net/http2"
	"golang.org/x/net/http2/hpack"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/encoding"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/wire"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
	pb "example.com/ozeq/api/ozeq/v1"
)

// unhurt checks that a server answers as if nothing had happened: no place is
// taken, no byte is held, and a good request is credited through both doors.
func (r *running) unhurt(t *testing.T) {
	t.Helper()
	for until := time.Now().Add(5 * time.Second); len(r.limit.slots) > 0 || r.limit.bytes.Load() > 0; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(until) {
			t.Errorf("%d places taken and %d bytes held after 5 s", len(r.limit.slots), r.limit.bytes.Load())
			break
		}
	}
	if _, err := r.credits.Credit(context.Background(), demo(t)); err != nil {
		t.Errorf("afterwards over gRPC: %v", err)
	}
	body, _ := wire.AppendJSON(nil, demo(t))
	if code, answer := r.post(t, "/v1/recipes:credit", body); code != http.StatusOK {
		t.Errorf("afterwards over HTTP: %d %s", code, answer)
	}
}

// raw opens a connection to the HTTP door.
func (r *running) raw(t *testing.T) net.Conn {
	t.Helper()
	c, err := net.Dial("tcp", r.Addr("http").String())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Close() })
	_ = c.SetDeadline(time.Now().Add(20 * time.Second))
	return c
}

// answer reads an HTTP answer from a connection of raw.
func answer(t *testing.T, c net.Conn) (int, *pb.Problem) {
	t.Helper()
	resp, err := http.ReadResponse(bufio.NewReader(c), nil)
	if err != nil {
		return 0, nil
	}
	defer resp.Body.Close()
	body, _ := io.ReadAll(resp.Body)
	p := &pb.Problem{}
	if protojson.Unmarshal(body, p) != nil {
		return resp.StatusCode, nil
	}
	return resp.StatusCode, p
}

const head = "POST /v1/recipes:credit HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"

// Whoever sends slowly is cut off in time and holds no place meanwhile.
func TestSlowSenders(t *testing.T) {
	r := start(t, func(c *Config) { c.BodyTimeout = 300 * time.Millisecond; c.MaxConcurrent = 1 })
	var wg sync.WaitGroup
	for range 50 {
		c := r.raw(t)
		wg.Go(func() {
			fmt.Fprint(c, head, "Content-Length: 1000\r\n\r\n{")
			if code, p := answer(t, c); code != http.StatusRequestTimeout || p.GetReason() != SlowBody {
				t.Errorf("answered with %d %v", code, p)
			}
		})
	}
	time.Sleep(50 * time.Millisecond)
	r.post(t, "/v1/recipes:credit", []byte("{}")) // while fifty bodies are awaited
	if _, err := r.credits.Credit(context.Background(), demo(t)); err != nil {
		t.Errorf("slow bodies keep others out: %v", err)
	}
	wg.Wait()
	// Byte by byte: the time is for the whole body and not for each byte.
	c := r.raw(t)
	fmt.Fprint(c, head, "Content-Length: 1000\r\n\r\n")
	begin := time.Now()
	for time.Since(begin) < 3*time.Second {
		if _, err := c.Write([]byte(" ")); err != nil {
			break
		}
		time.Sleep(20 * time.Millisecond)
		if time.Since(begin) > 600*time.Millisecond {
			break
		}
	}
	if code, _ := answer(t, c); code != http.StatusRequestTimeout {
		t.Errorf("byte by byte is answered with %d", code)
	}
	// Headers that never end.
	c = r.raw(t)
	fmt.Fprint(c, "POST / HTTP/1.1\r\nHost: x\r\nX-A: ")
	begin = time.Now()
	_, _ = io.Copy(io.Discard, c)
	if d := time.Since(begin); d > 10*time.Second {
		t.Errorf("headers are awaited for %v", d)
	}
	r.unhurt(t)
}

// Over gRPC too a message that never comes is not awaited for ever.
func TestSlowGRPCSender(t *testing.T) {
	t.Parallel()
	r := start(t, func(c *Config) {
		c.BodyTimeout, c.RequestTimeout, c.MaxConcurrent = 50*time.Millisecond, 50*time.Millisecond, 1
	})
	stream, err := r.conn.NewStream(context.Background(), &grpc.StreamDesc{ClientStreams: true}, servicev1.CreditService_Credit_FullMethodName)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.credits.Credit(context.Background(), demo(t)); err != nil {
		t.Errorf("a slow message keeps others out: %v", err)
	}
	begin := time.Now()
	err = stream.RecvMsg(&pb.Record{})
	if status.Code(err) != codes.DeadlineExceeded || time.Since(begin) > 12*time.Second {
		t.Errorf("ended after %v with %v", time.Since(begin), err)
	}
	r.unhurt(t)
}

// A body longer than it may be is refused, whatever it says of its length, and
// without being read to its end.
func TestLongBodies(t *testing.T) {
	r := start(t, nil)
	const gb = 1 << 30
	c := r.raw(t)
	fmt.Fprint(c, head, "Content-Length: ", gb, "\r\n\r\n")
	if code, p := answer(t, c); code != http.StatusRequestEntityTooLarge || p.GetReason() != string(fault.TooLarge) || len(p.GetFaults()) != 1 {
		t.Errorf("a gigabyte foretold: %d %v", code, p)
	}
	c = r.raw(t)
	fmt.Fprint(c, head, "Transfer-Encoding: chunked\r\n\r\n")
	sent := 0
	go func() {
		chunk := "10000\r\n" + strings.Repeat(" ", 0x10000) + "\r\n"
		for sent < gb {
			n, err := io.WriteString(c, chunk)
			sent += n
			if err != nil {
				return
			}
		}
	}()
	if code, p := answer(t, c); code != http.StatusRequestEntityTooLarge || p.GetReason() != string(fault.TooLarge) {
		t.Errorf("a gigabyte in chunks: %d %v", code, p)
	}
	_ = c.Close()
	// A little gzip of a lot.
	var bomb bytes.Buffer
	z := gzip.NewWriter(&bomb)
	for range 64 {
		_, _ = z.Write(make([]byte, 1<<20))
	}
	_ = z.Close()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	req, _ := http.NewRequest("POST", r.http+"/v1/recipes:credit", &bomb)
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Content-Encoding", "gzip")
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	runtime.ReadMemStats(&after)
	if grew := after.TotalAlloc - before.TotalAlloc; resp.StatusCode != http.StatusRequestEntityTooLarge || grew > 32<<20 {
		t.Errorf("a gzip bomb: %d, %d MB allocated", resp.StatusCode, grew>>20)
	}
	// The same over gRPC, where the library unpacks.
	_, err = r.credits.Credit(context.Background(), &pb.CreditRequest{Program: strings.Repeat("x", maxMessage+1)})
	if status.Code(err) != codes.ResourceExhausted {
		t.Errorf("a long message over gRPC: %v", err)
	}
	if encoding.GetCompressor("gzip") == nil {
		t.Fatal("no gzip over gRPC")
	}
	_, err = r.credits.Credit(context.Background(), &pb.CreditRequest{Program: strings.Repeat("x", 16<<20)}, grpc.UseCompressor("gzip"))
	if status.Code(err) != codes.ResourceExhausted {
		t.Errorf("a gzip bomb over gRPC: %v", err)
	}
	r.unhurt(t)
}

// Bodies together are bounded too.
func TestManyBodies(t *testing.T) {
	r := start(t, func(c *Config) { c.MaxBodyMemory = 64 << 10; c.BodyTimeout = 5 * time.Second })
	var refused, open int
	for range 20 {
		c := r.raw(t)
		fmt.Fprint(c, head, "Content-Length: 100000\r\n\r\n", strings.Repeat(" ", 9<<10))
		_ = c.SetReadDeadline(time.Now().Add(100 * time.Millisecond))
		code, p := answer(t, c)
		switch {
		case code == http.StatusTooManyRequests && p.GetReason() == Overloaded:
			refused++
		case code == 0:
			open++
		default:
			t.Errorf("answered with %d %v", code, p)
		}
	}
	if refused == 0 || open == 0 || r.limit.bytes.Load() > 64<<10 {
		t.Errorf("%d refused, %d waiting, %d bytes held", refused, open, r.limit.bytes.Load())
	}
}

// What is no request is answered in words, through each path, and never with a
// fault of ozeq's own.
func TestNonsense(t *testing.T) {
	r := start(t, nil)
	bodies := [][]byte{nil, []byte("null"), []byte("[]"), []byte("7"), []byte(`"x"`), []byte("{"), []byte("{}}"), []byte(`{"recipe":null}`), []byte("\x00\x01\x02"), []byte("\xef\xbb\xbf{}"),
		[]byte(strings.Repeat(`{"recipe":`, 10_000)), []byte(strings.Repeat("[", 10_000)), []byte(`{"requests":[null,1,{}]}`), []byte(`{"record":{"steps":[{"terms":[{}]}]}}`),
		[]byte(`{"record":{"steps":[{"ingredient":-1,"start":"1","value":"1","terms":[{"operation":"divided-by","figure":-1,"step":-1}]}]}}`),
		[]byte(`{"record":{"credits":[{"steps":[-1,2147483647],"exactStep":-5,"lastStep":9}]}}`),
		[]byte(`{"record":{"ingredients":[{"step":77,"credit":"1"}]}}`), []byte(`{"record":{"also":[{"also":[{}]}]}}`), []byte(`{"record":{"figures":[{"used":"1/0"}]}}`)}
	for _, path := range []string{"/v1/recipes:credit", "/v1/products:credit", "/v1/recipes:batchCredit", "/v1/records:verify"} {
		for _, body := range bodies {
			code, text := r.post(t, path, body)
			if code >= 500 || code == 200 && !strings.Contains(path, "verify") && !strings.Contains(path, "batch") {
				t.Errorf("%s of %.40q: %d %s", path, body, code, text)
			}
			if p := (&pb.Problem{}); code != 200 {
				if err := protojson.Unmarshal(text, p); err != nil || p.GetReason() == "" || p.GetMessage() == "" || p.GetRequestId() == "" {
					t.Errorf("%s of %.40q: %v in %s", path, body, err, text)
				}
			}
		}
	}
	for _, c := range []struct {
		method, path, kind string
		code               int
		reason             string
	}{
		{"POST", "/v1/recipes:credit", "text/plain", 400, NotJSON},
		{"POST", "/v1/recipes:credit", "application/x-www-form-urlencoded", 400, NotJSON},
		{"PUT", "/v1/recipes:credit", "application/json", 405, MethodNotAllowed},
		{"DELETE", "/v1/foods", "", 405, MethodNotAllowed},
		{"TRACE", "/v1/foods", "", 405, MethodNotAllowed},
		{"POST", "/v1/foods", "application/json", 405, MethodNotAllowed},
		{"POST", "/docs/", "", 404, NoSuchPath},
		{"GET", "/v1/recipes:credit", "", 405, MethodNotAllowed},
		{"GET", "/v1/", "", 404, NoSuchPath},
		{"GET", "/v2/foods", "", 404, NoSuchPath},
		{"GET", "/v1/foods/a/b", "", 404, NoSuchPath},
		{"GET", "/v1/foods/%00%ff", "", 404, string(fault.UnknownFood)},
		{"GET", "/v1/foods?query=%ff%00", "", 400, ""},
		{"GET", "/v1/foods?query=" + strings.Repeat("a", 12_000), "", 400, string(fault.TooLong)},
		{"GET", "/v1/foods?pageSize=99999999999", "", 400, string(fault.WrongType)},
		{"GET", "/v1/rules?options%5Bx%5D=y&options[x]=z", "", 400, ""},
		{"GET", "/v1/rules?options[", "", 400, ""},
		{"GET", "/v1/rules", "", 400, ""},
	} {
		req, err := http.NewRequest(c.method, r.http+c.path, nil)
		if err != nil {
			t.Fatal(err)
		}
		if c.kind != "" {
			req.Header.Set("Content-Type", c.kind)
		}
		resp, err := http.DefaultClient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		text, _ := io.ReadAll(resp.Body)
		resp.Body.Close()
		p := &pb.Problem{}
		if err := protojson.Unmarshal(text, p); err != nil || resp.StatusCode != c.code || c.reason != "" && p.GetReason() != c.reason {
			t.Errorf("%s %.60s: %d %v %.300s", c.method, c.path, resp.StatusCode, err, text)
		}
	}
	r.unhurt(t)
}

// Forms of HTTP that make two servers see two requests are refused by the
// connection being closed after one answer.
func TestSmuggling(t *testing.T) {
	r := start(t, nil)
	for _, text := range []string{
		head + "Content-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\nGET /admin HTTP/1.1\r\nHost: x\r\n\r\n",
		head + "Content-Length: 4\r\nContent-Length: 6\r\n\r\n{}    ",
		head + "Transfer-Encoding: chunked, identity\r\n\r\n0\r\n\r\n",
		head + "Transfer-Encoding : chunked\r\n\r\n0\r\n\r\n",
		"GET /v1/foods HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n",
		"GET /v1/foods HTTP/1.1\r\n\r\n",
		"GET http://[::1 HTTP/1.1\r\nHost: x\r\n\r\n",
		"GET / HTTP/9.9\r\nHost: x\r\n\r\n",
		"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
		"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
	} {
		c := r.raw(t)
		_, _ = io.WriteString(c, text)
		_ = c.(*net.TCPConn).CloseWrite()
		all, _ := io.ReadAll(c)
		if n := bytes.Count(all, []byte("HTTP/1.1 2")); n > 0 {
			t.Errorf("%.60q is answered %.200q", text, all)
		}
	}
	// Headers beyond their bound.
	c := r.raw(t)
	_, _ = io.WriteString(c, "GET /v1/foods HTTP/1.1\r\nHost: x\r\nX-A: "+strings.Repeat("a", 64<<10)+"\r\n\r\n")
	if code, _ := answer(t, c); code != http.StatusRequestHeaderFieldsTooLarge {
		t.Errorf("long headers are answered with %d", code)
	}
	r.unhurt(t)
}

// Bytes that are no message are refused over gRPC as what they are.
func TestBadProtobuf(t *testing.T) {
	r := start(t, nil)
	for _, name := range []string{servicev1.CreditService_Credit_FullMethodName, servicev1.CreditService_BatchCredit_FullMethodName, servicev1.CreditService_VerifyRecord_FullMethodName, servicev1.ReferenceService_ListRules_FullMethodName} {
		for _, text := range []string{"\xff", "\x0a", "\x0a\xff\xff\xff\xff\x0f", strings.Repeat("\x0a\x03", 1000), "\x22\x02\xff\xfe"} {
			in := bytesMessage(text)
			var out bytesMessage
			err := r.conn.Invoke(context.Background(), name, &in, &out, grpc.ForceCodec(bytesCodec{}))
			if c := status.Code(err); c != codes.Internal && c != codes.InvalidArgument {
				t.Errorf("%s of %q: %v", name, text, err)
			}
		}
	}
	err := r.conn.Invoke(context.Background(), "/ozeq.service.v1.CreditService/Claim", &pb.CreditRequest{}, &pb.Record{})
	if status.Code(err) != codes.Unimplemented {
		t.Errorf("a call that is not there: %v", err)
	}
	r.unhurt(t)
}

// bytesMessage goes over gRPC as it is.
type bytesMessage string

type bytesCodec struct{}

func (bytesCodec) Marshal(v any) ([]byte, error) { return []byte(*v.(*bytesMessage)), nil }
func (bytesCodec) Unmarshal(data []byte, v any) error {
	*v.(*bytesMessage) = bytesMessage(data)
	return nil
}
func (bytesCodec) Name() string { return "proto" }

// Streams opened and reset at once, by the thousand, over one connection.
func TestRapidReset(t *testing.T) {
	r := start(t, nil)
	c, err := net.Dial("tcp", r.Addr("grpc").String())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	_ = c.SetDeadline(time.Now().Add(20 * time.Second))
	if _, err := io.WriteString(c, http2.ClientPreface); err != nil {
		t.Fatal(err)
	}
	go func() { _, _ = io.Copy(io.Discard, c) }()
	f := http2.NewFramer(c, nil)
	_ = f.WriteSettings()
	var block bytes.Buffer
	enc := hpack.NewEncoder(&block)
	for _, h := range [][2]string{{":method", "POST"}, {":scheme", "http"}, {":path", servicev1.CreditService_Credit_FullMethodName}, {":authority", "x"}, {"content-type", "application/grpc"}, {"te", "trailers"}} {
		_ = enc.WriteField(hpack.HeaderField{Name: h[0], Value: h[1]})
	}
	before := runtime.NumGoroutine()
	sent := 0
	for i := range 20_000 {
		id := uint32(2*i + 1)
		if f.WriteHeaders(http2.HeadersFrameParam{StreamID: id, BlockFragment: block.Bytes(), EndHeaders: true}) != nil || f.WriteRSTStream(id, http2.ErrCodeCancel) != nil {
			break // the server closed the connection, which is an answer too
		}
		sent++
		block.Reset()
		for _, h := range [][2]string{{":method", "POST"}, {":scheme", "http"}, {":path", servicev1.CreditService_Credit_FullMethodName}, {":authority", "x"}, {"content-type", "application/grpc"}, {"te", "trailers"}} {
			_ = enc.WriteField(hpack.HeaderField{Name: h[0], Value: h[1]})
		}
	}
	_ = c.Close()
	r.unhurt(t)
	for until := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > before+50; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(until) {
			t.Errorf("%d goroutines, %d before %d resets", runtime.NumGoroutine(), before, sent)
			break
		}
	}
}

// Connections that do nothing cost little and keep nobody out; beyond the bound
// they wait.
func TestIdleConnections(t *testing.T) {
	var lim syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_NOFILE, &lim); err != nil {
		t.Fatal(err)
	}
	n := min(5000, (int(lim.Max)-500)/2)
	lim.Cur = lim.Max
	if err := syscall.Setrlimit(syscall.RLIMIT_NOFILE, &lim); err != nil {
		t.Fatal(err)
	}
	r := start(t, func(c *Config) { c.MaxConnections = n + 100 })
	before := resident(t)
	for range n {
		c := r.raw(t)
		fmt.Fprint(c, "GET /livez HTTP/1.1\r\nHost: x\r\n\r\n")
		if _, err := bufio.NewReader(c).ReadString('\n'); err != nil {
			t.Fatal(err)
		}
	}
	grew := resident(t) - before
	t.Logf("%d idle connections, client and server in one process: %d KB each", n, grew/n)
	if grew/n > 100 {
		t.Errorf("%d KB a connection", grew/n)
	}
	r.unhurt(t)
}

// resident is the memory of the process in KB.
func resident(t *testing.T) int {
	t.Helper()
	data, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		t.Fatal(err)
	}
	pages, err := strconv.Atoi(strings.Fields(string(data))[1])
	if err != nil {
		t.Fatal(err)
	}
	return pages * os.Getpagesize() / 1024
}

// A caller who sends on a stream and never reads is held back: the server keeps
// no more answers than the connection takes.
func TestStreamNobodyReads(t *testing.T) {
	r := start(t, nil)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	conn, err := grpc.NewClient(r.Addr("grpc").String(), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	stream, err := servicev1.NewCreditServiceClient(conn).StreamCredit(ctx)
	if err != nil {
		t.Fatal(err)
	}
	m := &pb.StreamCreditRequest{Request: demo(t)}
	sent := make(chan int, 1)
	go func() {
		n := 0
		for n < 1_000_000 && stream.Send(m) == nil {
			n++
		}
		sent <- n
	}()
	time.Sleep(time.Second)
	r.unhurt(t) // a stream that waits for its reader takes no place
	cancel()
	if n := <-sent; n >= 1_000_000 {
		t.Errorf("%d requests went in and nobody read an answer", n)
	}
}

// More at once than there are places is refused at once with a hint, through
// both doors.
func TestOverload(t *testing.T) {
	r := start(t, func(c *Config) { c.MaxConcurrent = 1 })
	r.limit.slots <- struct{}{} // somebody is being answered
	_, err := r.credits.Credit(context.Background(), demo(t))
	p := problem(status.Convert(err), "")
	if status.Code(err) != codes.ResourceExhausted || p.GetReason() != Overloaded {
		t.Errorf("over gRPC: %v", err)
	}
	hint := false
	for _, d := range status.Convert(err).Details() {
		hint = hint || strings.Contains(fmt.Sprintf("%T", d), "RetryInfo")
	}
	if !hint {
		t.Errorf("no hint when to come back in %v", status.Convert(err).Details())
	}
	resp, err := http.Post(r.http+"/v1/recipes:credit", "application/json", strings.NewReader("{}"))
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	if resp.StatusCode != http.StatusTooManyRequests || resp.Header.Get("Retry-After") != "1" {
		t.Errorf("over HTTP: %d, Retry-After %q", resp.StatusCode, resp.Header.Get("Retry-After"))
	}
	if resp, err := http.Get(r.http + "/readyz"); err != nil || resp.StatusCode != http.StatusOK {
		t.Errorf("not ready when busy: %v", err)
	} else {
		resp.Body.Close()
	}
	r.limit.release(false)
	r.unhurt(t)
}
