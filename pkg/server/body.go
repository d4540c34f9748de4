package server

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"github.com/grpc-ecosystem/grpc-gateway/v2/utilities"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/spelling"
	"example.com/ozeq/pkg/wire"
)

// body is the body of an HTTP request, read whole within its bounds. What is
// wrong with its shape stays with it until the service, which finds what is
// wrong with its content, tells both at once.
type body struct {
	io.Reader
	data   []byte
	shape  *fault.List
	broken bool // could not be read as JSON at all
}

// Close implements io.Closer.
func (b *body) Close() error { return nil }

type bodyKey struct{}

// shapeOf returns what is wrong with the shape of a request that came as JSON.
func shapeOf(ctx context.Context) *fault.List {
	if b, ok := ctx.Value(bodyKey{}).(*body); ok {
		return b.shape
	}
	return nil
}

// errBroken is told to the gateway of a body that is no JSON; the answer is
// written from the body's faults.
var errBroken = errors.New("the body is not the JSON that is wanted")

// The refusals of a body.
var (
	errTooMuch = errors.New("bodies of other requests take all there is")
	errTooLong = errors.New("longer than a body may be")
)

// readBody reads a body within a bound of its own and the bound of all bodies
// together. What was counted is given back by drop.
func (l *limiter) readBody(r io.Reader, most int64) (data []byte, drop func(), err error) {
	held := 0
	drop = func() { l.drop(held) }
	buf := make([]byte, 0, 4<<10)
	for {
		if len(buf) == cap(buf) {
			more := cap(buf)
			if !l.hold(more) {
				return nil, drop, errTooMuch
			}
			held += more
			grown := make([]byte, len(buf), 2*more)
			copy(grown, buf)
			buf = grown
		}
		n, err := r.Read(buf[len(buf):cap(buf)])
		buf = buf[:len(buf)+n]
		if int64(len(buf)) > most {
			return nil, drop, errTooLong
		}
		if errors.Is(err, io.EOF) {
			return buf, drop, nil
		}
		if err != nil {
			return nil, drop, err
		}
	}
}

// strictJSON reads bodies as package wire does, and writes every field of an
// answer, zeros and empty lists too.
type strictJSON struct{ runtime.JSONPb }

// Marshal implements runtime.Marshaler.
func (s *strictJSON) Marshal(v any) ([]byte, error) {
	b := make([]byte, 0, 24<<10)
	switch v := v.(type) {
	case *credited:
		return wire.AppendRecordJSON(b, v.record, v.explain), nil
	case proto.Message:
		return wire.AppendJSON(b, v)
	}
	return nil, fmt.Errorf("%T is no message", v)
}

// NewDecoder implements runtime.Marshaler.
func (s *strictJSON) NewDecoder(r io.Reader) runtime.Decoder {
	return runtime.DecoderFunc(func(v any) error {
		b, ok := r.(*body)
		if !ok {
			return fmt.Errorf("a body that the door has not read")
		}
		faults, readable := wire.ReadJSON(b.data, v.(proto.Message))
		b.shape, b.broken = faults, !readable
		if !readable {
			return errBroken
		}
		return nil
	})
}

// queryFaults is an error that carries faults through the gateway, which keeps
// only its text.
type queryFaults struct{ list fault.List }

// queryMark begins the text of queryFaults.
const queryMark = "query: "

func (q *queryFaults) Error() string {
	text, err := json.Marshal(q.list)
	if err != nil {
		return queryMark + "{}" // a list of texts always marshals
	}
	return queryMark + string(text)
}

// fromQuery takes the faults out of the text again.
func fromQuery(message string) (*fault.List, bool) {
	text, ok := strings.CutPrefix(message, queryMark)
	var l fault.List
	if !ok || json.Unmarshal([]byte(text), &l) != nil {
		return nil, false
	}
	return &l, true
}

// strictQuery reads the parameters behind the question mark and refuses what the
// call does not have.
type strictQuery struct{ runtime.DefaultQueryParser }

// Parse implements runtime.QueryParameterParser.
func (q *strictQuery) Parse(m proto.Message, values url.Values, filter *utilities.DoubleArray) error {
	var bad queryFaults
	fields := m.ProtoReflect().Descriptor().Fields()
	names := make([]string, fields.Len())
	for i := range names {
		names[i] = fields.Get(i).JSONName()
	}
	for _, name := range slices.Sorted(maps.Keys(values)) {
		given := values[name]
		base, _, inMap := strings.Cut(name, "[")
		fd := fields.ByJSONName(base)
		if fd == nil {
			fd = fields.ByName(protoreflect.Name(base))
		}
		at := fault.Clip(name)
		switch {
		case fd == nil || inMap != fd.IsMap():
			f := fault.Fault{Reason: fault.UnknownField, Path: at, Value: name, Want: "one of " + strings.Join(names, ", "), Fix: "Take it out."}
			if near := spelling.Nearest(base, names); near != "" {
				f.Fix = "Did you mean " + near + "?"
			}
			if len(names) == 0 {
				f.Want = "no parameters"
			}
			bad.list.Add(f)
		case len(given) > 1:
			bad.list.Add(fault.Fault{Reason: fault.DuplicateField, Path: at, Want: "each parameter once", Fix: "Keep one of the two."})
		case !utf8.ValidString(given[0]) || strings.ContainsRune(given[0], 0):
			bad.list.Add(fault.Fault{Reason: fault.BadText, Path: at, Value: given[0], Want: "text in UTF-8 without zero bytes", Fix: "Write it again by hand."})
		case fd.Kind() == protoreflect.Int32Kind:
			if _, err := strconv.ParseInt(given[0], 10, 32); err != nil {
				bad.list.Add(fault.Fault{Reason: fault.WrongType, Path: at, Value: given[0], Want: "a whole number, such as 20", Fix: "Write digits alone."})
			}
		}
	}
	if len(bad.list.Faults) > 0 {
		return &bad
	}
	return q.DefaultQueryParser.Parse(m, values, filter)
}

// asBody makes a request carry what was read of it.
func asBody(r *http.Request, data []byte) *http.Request {
	b := &body{Reader: bytes.NewReader(data), data: data}
	ctx, _ := withSlot(context.WithValue(r.Context(), bodyKey{}, b))
	r = r.WithContext(ctx)
	r.Body = b
	return r
}
