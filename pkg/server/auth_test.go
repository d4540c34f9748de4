package server

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"io"
	"log/slog"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"

	servicev1 "example.com/ozeq/api/ozeq/service/v1"
	pb "example.com/ozeq/api/ozeq/v1"
)

// logs is a place to log to that a test may read meanwhile.
type logs struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *logs) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *logs) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

func file(t *testing.T, text string) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// Only the callers with a token that is known are let in, through both doors and
// into streams; probes and the document need none.
func TestTokens(t *testing.T) {
	first, line1 := NewToken()
	second, line2 := NewToken()
	other, _ := NewToken()
	log := &logs{}
	r := start(t, func(c *Config) {
		c.TokenFile = file(t, "# for the menu office\n"+line1+" menu office\n\n"+line2+"\n")
		c.LogRequests = true
		c.Logger = slog.New(slog.NewJSONHandler(log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	})
	for _, c := range []struct {
		headers []string
		in      bool
	}{
		{nil, false},
		{[]string{"Bearer " + first}, true},
		{[]string{"bearer " + second}, true},
		{[]string{"Bearer " + other}, false},
		{[]string{"Bearer "}, false},
		{[]string{"Bearer " + first[:len(first)-1]}, false},
		{[]string{"Basic " + first}, false},
		{[]string{first}, false},
		{[]string{"Bearer " + strings.ToUpper(first)}, strings.ToUpper(first) == first},
		{[]string{"Bearer " + other, "Bearer " + first}, false},
		{[]string{"Bearer " + first, "Bearer " + first}, false},
		{[]string{"Bearer " + line1}, false},
	} {
		req, _ := http.NewRequest("GET", r.http+"/v1/programs", nil)
		ctx := context.Background()
		for _, h := range c.headers {
			req.Header.Add("Authorization", h)
			ctx = metadata.AppendToOutgoingContext(ctx, "authorization", h)
		}
		resp, err := http.DefaultClient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		body, _ := io.ReadAll(resp.Body)
		resp.Body.Close()
		if (resp.StatusCode == http.StatusOK) != c.in || !c.in && (resp.StatusCode != http.StatusUnauthorized || resp.Header.Get("WWW-Authenticate") == "") {
			t.Errorf("%q over HTTP: %d %s", c.headers, resp.StatusCode, body)
		}
		_, err = r.credits.Credit(ctx, demo(t))
		if want := map[bool]codes.Code{true: codes.OK, false: codes.Unauthenticated}[c.in]; status.Code(err) != want {
			t.Errorf("%q over gRPC: %v", c.headers, err)
		}
		stream, err := r.credits.StreamCredit(ctx)
		if err == nil {
			_ = stream.Send(&pb.StreamCreditRequest{Request: demo(t)})
			_, err = stream.Recv()
			_ = stream.CloseSend()
			if err == nil {
				_, _ = stream.Recv()
			}
		}
		if (err == nil) != c.in {
			t.Errorf("%q on a stream: %v", c.headers, err)
		}
	}
	if _, err := healthpb.NewHealthClient(r.conn).Check(context.Background(), &healthpb.HealthCheckRequest{}); err != nil {
		t.Errorf("a probe: %v", err)
	}
	for _, path := range []string{"/readyz", "/livez", "/openapi.json", "/docs/"} {
		resp, err := http.Get(r.http + path)
		if err != nil || resp.StatusCode != http.StatusOK {
			t.Errorf("%s: %v", path, err)
			continue
		}
		resp.Body.Close()
	}
	for _, secret := range []string{first, second, other} {
		if strings.Contains(log.String(), secret) {
			t.Error("a token is in the log")
		}
	}
	if !strings.Contains(log.String(), `"code":"UNAUTHENTICATED"`) || !strings.Contains(log.String(), `"call":"Credit"`) {
		t.Errorf("the log lacks the calls: %s", log.String())
	}
}

func TestTokenFileMistakes(t *testing.T) {
	d, err := data()
	if err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]string{"": "holds no token", "# only a remark\n": "holds no token", "abc\n": "line 1", "#\nzz" + strings.Repeat("0", 62): "line 2", strings.Repeat("0", 62) + "\n": "line 1"} {
		_, err := New(Config{TokenFile: file(t, text)}, d)
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "token-file") {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// pair writes a certificate for this host and its key.
func pair(t *testing.T, dir, name string) (cert, key string) {
	t.Helper()
	k, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	c := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: name}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign}
	der, err := x509.CreateCertificate(rand.Reader, c, c, &k.PublicKey, k)
	if err != nil {
		t.Fatal(err)
	}
	kder, err := x509.MarshalECPrivateKey(k)
	if err != nil {
		t.Fatal(err)
	}
	cert, key = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	for name, b := range map[string]*pem.Block{cert: {Type: "CERTIFICATE", Bytes: der}, key: {Type: "EC PRIVATE KEY", Bytes: kder}} {
		if err := os.WriteFile(name, pem.EncodeToMemory(b), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return cert, key
}

// Both doors speak TLS when there is a certificate, HTTP in its second version
// too, and nothing older than 1.2.
func TestTLS(t *testing.T) {
	cert, key := pair(t, t.TempDir(), "first")
	r := start(t, func(c *Config) { c.TLSCert, c.TLSKey = cert, key })
	roots := x509.NewCertPool()
	text, _ := os.ReadFile(cert)
	if !roots.AppendCertsFromPEM(text) {
		t.Fatal("no certificate")
	}
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots}, ForceAttemptHTTP2: true}}
	defer client.CloseIdleConnections()
	resp, err := client.Get("https://" + r.Addr("http").String() + "/v1/programs")
	if err != nil || resp.StatusCode != http.StatusOK || resp.ProtoMajor != 2 {
		t.Fatalf("%v %v", resp, err)
	}
	resp.Body.Close()
	conn, err := grpc.NewClient(r.Addr("grpc").String(), grpc.WithTransportCredentials(credentials.NewTLS(&tls.Config{RootCAs: roots})))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if _, err := servicev1.NewCreditServiceClient(conn).Credit(context.Background(), demo(t)); err != nil {
		t.Error(err)
	}
	if c, err := tls.Dial("tcp", r.Addr("http").String(), &tls.Config{RootCAs: roots, MinVersion: tls.VersionTLS10, MaxVersion: tls.VersionTLS11}); err == nil {
		c.Close()
		t.Error("TLS 1.1 is let in")
	}
	if resp, err := http.Get("http://" + r.Addr("http").String() + "/readyz"); err == nil {
		resp.Body.Close()
		if resp.StatusCode == http.StatusOK {
			t.Error("plain HTTP is answered")
		}
	}
}

// A renewed certificate is taken without a restart, and a broken one leaves the
// one before in use.
func TestCertificateRenewal(t *testing.T) {
	dir := t.TempDir()
	cert, key := pair(t, dir, "first")
	c := &certificate{cert: cert, key: key}
	name := func() string {
		t.Helper()
		got, err := c.get(nil)
		if err != nil {
			t.Fatal(err)
		}
		leaf, err := x509.ParseCertificate(got.Certificate[0])
		if err != nil {
			t.Fatal(err)
		}
		return leaf.Subject.CommonName
	}
	if n := name(); n != "first" {
		t.Fatal(n)
	}
	renew := func() {
		later := time.Now().Add(time.Minute)
		if err := os.Chtimes(cert, later, later); err != nil {
			t.Fatal(err)
		}
	}
	pair(t, dir, "second")
	renew()
	if n := name(); n != "first" {
		t.Errorf("looked at the file again at once: %s", n)
	}
	c.looked = time.Time{}
	if n := name(); n != "second" {
		t.Errorf("still %s", n)
	}
	if err := os.WriteFile(cert, []byte("broken"), 0o600); err != nil {
		t.Fatal(err)
	}
	c.looked = time.Time{}
	if n := name(); n != "second" {
		t.Errorf("%s instead of the one before", n)
	}
	d, err := data()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := New(Config{TLSCert: cert, TLSKey: key}, d); err == nil || !strings.Contains(err.Error(), "tls-cert") {
		t.Errorf("a broken certificate: %v", err)
	}
}

// Pages of other origins may call only when they are named.
func TestCORS(t *testing.T) {
	const mine = "https://menus.copper-creek.example"
	for _, c := range []struct {
		allowed []string
		origin  string
		want    string
	}{{nil, mine, ""}, {[]string{mine}, mine, mine}, {[]string{mine}, "https://elsewhere.example", ""}, {[]string{mine}, "null", ""}} {
		r := start(t, func(cfg *Config) { cfg.CORSOrigins = c.allowed })
		for _, method := range []string{"OPTIONS", "POST"} {
			req, _ := http.NewRequest(method, r.http+"/v1/recipes:credit", nil)
			req.Header.Set("Origin", c.origin)
			req.Header.Set("Access-Control-Request-Method", "POST")
			resp, err := http.DefaultClient.Do(req)
			if err != nil {
				t.Fatal(err)
			}
			resp.Body.Close()
			if got := resp.Header.Get("Access-Control-Allow-Origin"); got != c.want {
				t.Errorf("%v, %s %s: allowed %q, want %q", c.allowed, method, c.origin, got, c.want)
			}
			if method == "OPTIONS" && (resp.StatusCode == http.StatusNoContent) != (c.want != "") {
				t.Errorf("%v, %s %s: %d", c.allowed, method, c.origin, resp.StatusCode)
			}
		}
	}
}

// A panic is an answer without a word of the inside, a log entry with all of
// it, and a count; the server goes on.
func TestPanic(t *testing.T) {
	log := &logs{}
	r := start(t, func(c *Config) { c.Logger = slog.New(slog.NewJSONHandler(log, nil)) })
	good := r.calls.engine
	r.calls.engine = nil // whatever is called now panics
	_, err := r.credits.Credit(context.Background(), demo(t))
	p := problem(status.Convert(err), "")
	if status.Code(err) != codes.Internal || p.GetReason() != Internal || strings.Contains(err.Error(), "nil") || strings.Contains(err.Error(), ".go") {
		t.Errorf("over gRPC: %v", err)
	}
	code, body := r.post(t, "/v1/recipes:credit", []byte(`{"recipe":{"name":"x"}}`))
	if code != http.StatusInternalServerError || bytes.Contains(body, []byte(".go")) || bytes.Contains(body, []byte("nil")) {
		t.Errorf("over HTTP: %d %s", code, body)
	}
	stream, err := r.credits.StreamCredit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	_ = stream.Send(&pb.StreamCreditRequest{Request: demo(t)})
	if _, err := stream.Recv(); status.Code(err) != codes.Internal || strings.Contains(err.Error(), "nil") {
		t.Errorf("on a stream: %v", err)
	}
	r.calls.engine = good
	if n := strings.Count(log.String(), `"msg":"panic"`); n != 3 || !strings.Contains(log.String(), "calls.go") {
		t.Errorf("%d panics in the log", n)
	}
	r.unhurt(t)
}
