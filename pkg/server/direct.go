package server

import (
	"context"

	"google.golang.org/grpc/encoding"
	_ "google.golang.org/grpc/encoding/proto" // the codec that direct falls back to
	"google.golang.org/grpc/mem"
	"google.golang.org/protobuf/proto"

	"example.com/ozeq/pkg/credit"
	"example.com/ozeq/pkg/wire"
)

// credited is a record on its way out. It is written as it is wanted, protobuf
// or JSON, without the contract's message in between: building that takes as
// long as crediting does.
type credited struct {
	record  *credit.Record
	explain bool
	id      string // of a request of a stream
	stream  bool
}

// slot is where a call leaves its record for the door that asked, in place of
// the message.
type slot struct{ *credited }

type slotKey struct{}

func withSlot(ctx context.Context) (context.Context, *slot) {
	s := &slot{}
	return context.WithValue(ctx, slotKey{}, s), s
}

func slotOf(ctx context.Context) *slot {
	s, _ := ctx.Value(slotKey{}).(*slot)
	return s
}

// direct is the codec of the gRPC door: it writes records straight, and leaves
// everything else to the protobuf codec.
type direct struct{ encoding.CodecV2 }

func newDirect() direct { return direct{encoding.GetCodecV2("proto")} }

// Marshal implements encoding.CodecV2.
func (d direct) Marshal(v any) (mem.BufferSlice, error) {
	c, ok := v.(*credited)
	if !ok {
		return d.CodecV2.Marshal(v)
	}
	pool := mem.DefaultBufferPool()
	buf := pool.Get(usual)
	b := (*buf)[:0]
	if c.stream {
		b = wire.AppendStreamAnswer(b, c.id, c.record, c.explain)
	} else {
		b = wire.AppendRecord(b, c.record, c.explain)
	}
	*buf = b
	return mem.BufferSlice{mem.NewBuffer(buf, pool)}, nil
}

// usual is room for a record of ordinary length.
const usual = 16 << 10

// rewrite puts a record in the place of the message that the gateway would
// write.
func rewrite(ctx context.Context, m proto.Message) (any, error) {
	if s := slotOf(ctx); s != nil && s.credited != nil {
		return s.credited, nil
	}
	return m, nil
}
