package server

import (
	"strings"
	"testing"
	"time"
)

func TestDefaultsAreGood(t *testing.T) {
	for _, c := range []Config{{}, Default()} {
		if err := c.Check(); err != nil {
			t.Error(err)
		}
	}
	for _, a := range []string{Default().GRPCAddress, Default().HTTPAddress, Default().MetricsAddress} {
		if !strings.HasPrefix(a, "127.0.0.1:") {
			t.Errorf("%s is not the loopback interface", a)
		}
	}
}

// Every mistake is named at once, by the name of its setting.
func TestEveryMistakeAtOnce(t *testing.T) {
	c := Config{GRPCAddress: "nowhere", HTTPAddress: Off, MetricsAddress: "127.0.0.1:", TLSCert: "/no/such/file", TokenFile: "/no/such/tokens",
		CORSOrigins: []string{"*", "menus.example", "https://a.example/path"}, MaxConcurrent: -1, MaxConnections: -1, MaxBodyMemory: -1,
		RequestTimeout: -time.Second, BodyTimeout: 2 * time.Hour, IdleTimeout: -1, DrainDelay: -1, ShutdownTimeout: -1}
	err := c.Check()
	if err == nil {
		t.Fatal("no mistake found")
	}
	lines := strings.Split(err.Error(), "\n")
	for _, setting := range []string{"grpc-address", "metrics-address", "tls-cert", "token-file", "cors-origins", "max-concurrent", "max-connections", "max-body-memory",
		"request-timeout", "body-timeout", "idle-timeout", "drain-delay", "shutdown-timeout"} {
		found := false
		for _, l := range lines {
			found = found || strings.HasPrefix(l, setting+": ")
		}
		if !found {
			t.Errorf("%s is not named in\n%v", setting, err)
		}
	}
	if n := strings.Count(err.Error(), "cors-origins"); n != 3 {
		t.Errorf("%d mistakes of three origins", n)
	}
	if err := (Config{GRPCAddress: Off, HTTPAddress: Off}).Check(); err == nil || !strings.Contains(err.Error(), "nobody could call") {
		t.Error(err)
	}
}
