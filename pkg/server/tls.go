package server

import (
	"crypto/tls"
	"os"
	"sync"
	"time"
)

// certificate is a certificate that is read again when its file changes, so
// that renewing it needs no restart.
type certificate struct {
	cert, key string

	mu      sync.Mutex
	now     *tls.Certificate
	changed time.Time
	looked  time.Time
}

// lookEvery is how often the file is looked at.
const lookEvery = 10 * time.Second

func newTLS(cert, key string) (*tls.Config, error) {
	c := &certificate{cert: cert, key: key}
	if _, err := c.get(nil); err != nil {
		return nil, err
	}
	return &tls.Config{GetCertificate: c.get, MinVersion: tls.VersionTLS12, NextProtos: []string{"h2", "http/1.1"}}, nil
}

// get returns the certificate. One that cannot be read leaves the one before
// in use.
func (c *certificate) get(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.now != nil && time.Since(c.looked) < lookEvery {
		return c.now, nil
	}
	c.looked = time.Now()
	info, err := os.Stat(c.cert)
	if err == nil && c.now != nil && info.ModTime().Equal(c.changed) {
		return c.now, nil
	}
	if err == nil {
		var read tls.Certificate
		if read, err = tls.LoadX509KeyPair(c.cert, c.key); err == nil {
			c.now, c.changed = &read, info.ModTime()
		}
	}
	if c.now != nil {
		return c.now, nil
	}
	return nil, err
}
