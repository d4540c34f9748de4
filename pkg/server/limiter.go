package server

import (
	"context"
	"sync/atomic"

	"google.golang.org/grpc/codes"
)

// limiter counts the requests worked on at once and the bytes of their bodies.
type limiter struct {
	slots    chan struct{}
	bytes    atomic.Int64
	maxBytes int64
}

func newLimiter(requests int, bytes int64) *limiter {
	return &limiter{slots: make(chan struct{}, requests), maxBytes: bytes}
}

// take takes a place, or refuses at once.
func (l *limiter) take() error {
	select {
	case l.slots <- struct{}{}:
		return nil
	default:
		return refusal(codes.ResourceExhausted, Overloaded, "More requests are being worked on than this service takes; come back in a second.")
	}
}

// wait takes a place as soon as there is one: a stream holds back its caller by
// reading no further.
func (l *limiter) wait(ctx context.Context) error {
	select {
	case l.slots <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (l *limiter) release() { <-l.slots }

func (l *limiter) full() bool { return len(l.slots) == cap(l.slots) }

// hold counts n bytes more, or refuses when they would be too many.
func (l *limiter) hold(n int) bool {
	if l.bytes.Add(int64(n)) > l.maxBytes {
		l.bytes.Add(-int64(n))
		return false
	}
	return true
}

func (l *limiter) drop(n int) { l.bytes.Add(-int64(n)) }
