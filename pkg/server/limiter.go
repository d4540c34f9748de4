package server

import (
	"context"
	"strings"
	"sync/atomic"

	"google.golang.org/grpc/codes"
)

// errOverloaded refuses a request for which there is no place.
var errOverloaded = refusal(codes.ResourceExhausted, Overloaded, "More requests are being worked on than this service takes; come back in a second.")

// limiter counts the requests worked on at once and the bytes of their bodies.
type limiter struct {
	slots    chan struct{}
	long     chan struct{} // of the slots, those that long requests take
	bytes    atomic.Int64
	maxBytes int64
}

// longShare: one place in so many may be taken by a long request. A batch is up
// to a hundred times the work and the memory of a single recipe.
const longShare = 16

func newLimiter(requests int, bytes int64) *limiter {
	return &limiter{slots: make(chan struct{}, requests), long: make(chan struct{}, max(1, requests/longShare)), maxBytes: bytes}
}

// longCalls are the ends of the paths and names of calls whose requests may be long:
// many recipes, a filed record, a week of menus.
var longCalls = [...]string{
	":batchCredit", "/BatchCredit", ":verify", "/VerifyRecord",
	":review", "/Review", ":batchReview", "/BatchReview", ":reviewDay", "/ReviewDay", ":lookAhead", "/LookAhead", "/ReviewProduction",
}

// isLong reports whether a call, by its path or by its name, takes a long
// request.
func isLong(call string) bool {
	for _, end := range longCalls {
		if strings.HasSuffix(call, end) {
			return true
		}
	}
	return isLongInKitchen(call)
}

// full reports whether there is no place.
func (l *limiter) full(long bool) bool {
	return len(l.slots) == cap(l.slots) || long && len(l.long) == cap(l.long)
}

// take takes a place, or refuses at once.
func (l *limiter) take(long bool) error {
	select {
	case l.slots <- struct{}{}:
	default:
		return errOverloaded
	}
	if !long {
		return nil
	}
	select {
	case l.long <- struct{}{}:
		return nil
	default:
		<-l.slots
		return errOverloaded
	}
}

func (l *limiter) release(long bool) {
	<-l.slots
	if long {
		<-l.long
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

// hold counts n bytes more, or refuses when they would be too many.
func (l *limiter) hold(n int) bool {
	if l.bytes.Add(int64(n)) > l.maxBytes {
		l.bytes.Add(-int64(n))
		return false
	}
	return true
}

func (l *limiter) drop(n int) { l.bytes.Add(-int64(n)) }
