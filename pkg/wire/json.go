package wire

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// AppendJSON appends a message of the contract as protojson writes it with
// every field, zeros and empty lists too, and without space: the same bytes for
// the same message. What is not set and could be, a message or an optional number, is
// left out. protojson itself
// takes five times as long, most of the time an HTTP answer takes.
func AppendJSON(b []byte, m proto.Message) ([]byte, error) {
	v := reflect.ValueOf(m)
	if v.Kind() != reflect.Pointer || v.IsNil() {
		return b, fmt.Errorf("no message to write")
	}
	p, err := planOf(v.Type())
	if err != nil {
		return b, err
	}
	return p.append(b, v.Elem()), nil
}

// MarshalJSON writes a message as [AppendJSON] does, indented for people.
func MarshalJSON(m proto.Message) ([]byte, error) {
	raw, err := AppendJSON(nil, m)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := json.Indent(&b, raw, "", "  "); err != nil {
		return nil, err
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}

// plan is how the messages of one type are written.
type plan struct {
	fields []planned
}

// planned is how one field is written.
type planned struct {
	index  int
	name   string // with quotes and colon
	append func(b []byte, v reflect.Value) []byte
	absent func(v reflect.Value) bool // for what is left out when not set
}

var plans sync.Map // reflect.Type of a message pointer -> *plan

func planOf(t reflect.Type) (*plan, error) {
	if p, ok := plans.Load(t); ok {
		return p.(*plan), nil
	}
	m, ok := reflect.Zero(t).Interface().(proto.Message)
	if !ok {
		return nil, fmt.Errorf("%v is no message", t)
	}
	fields := m.ProtoReflect().Descriptor().Fields()
	p := &plan{}
	for i := range t.Elem().NumField() {
		f := t.Elem().Field(i)
		tag, ok := f.Tag.Lookup("protobuf")
		if !ok {
			continue
		}
		number, err := strconv.Atoi(strings.Split(tag, ",")[1])
		if err != nil {
			return nil, fmt.Errorf("%v.%s: %w", t, f.Name, err)
		}
		fd := fields.ByNumber(protoreflect.FieldNumber(number))
		w := planned{index: i, name: `"` + fd.JSONName() + `":`}
		if w.append, err = writerOf(fd, f.Type); err != nil {
			return nil, fmt.Errorf("%v.%s: %w", t, f.Name, err)
		}
		if fd.HasPresence() {
			w.absent = reflect.Value.IsNil
		}
		if fd.HasOptionalKeyword() {
			given := w.append
			w.append = func(b []byte, v reflect.Value) []byte { return given(b, v.Elem()) }
		}
		p.fields = append(p.fields, w)
	}
	if len(p.fields) != fields.Len() {
		return nil, fmt.Errorf("%v: %d fields, and %d can be written", t, fields.Len(), len(p.fields))
	}
	actual, _ := plans.LoadOrStore(t, p)
	return actual.(*plan), nil
}

func (p *plan) append(b []byte, v reflect.Value) []byte {
	b = append(b, '{')
	comma := false
	for i := range p.fields {
		f := &p.fields[i]
		x := v.Field(f.index)
		if f.absent != nil && f.absent(x) {
			continue
		}
		if comma {
			b = append(b, ',')
		}
		comma = true
		b = append(b, f.name...)
		b = f.append(b, x)
	}
	return append(b, '}')
}

// writerOf returns how a field is written. The contract has texts, int32s, truth
// values, enums, messages, lists of them and maps of texts.
func writerOf(fd protoreflect.FieldDescriptor, t reflect.Type) (func([]byte, reflect.Value) []byte, error) {
	switch {
	case fd.IsMap():
		if fd.MapKey().Kind() != protoreflect.StringKind || fd.MapValue().Kind() != protoreflect.StringKind {
			return nil, fmt.Errorf("a map that is not of texts")
		}
		return appendTexts, nil
	case fd.IsList():
		item, err := single(fd, t.Elem())
		if err != nil {
			return nil, err
		}
		return func(b []byte, v reflect.Value) []byte {
			b = append(b, '[')
			for i := range v.Len() {
				if i > 0 {
					b = append(b, ',')
				}
				b = item(b, v.Index(i))
			}
			return append(b, ']')
		}, nil
	}
	return single(fd, t)
}

func single(fd protoreflect.FieldDescriptor, t reflect.Type) (func([]byte, reflect.Value) []byte, error) {
	switch fd.Kind() {
	case protoreflect.StringKind:
		return func(b []byte, v reflect.Value) []byte { return appendText(b, v.String()) }, nil
	case protoreflect.Int32Kind:
		return func(b []byte, v reflect.Value) []byte { return strconv.AppendInt(b, v.Int(), 10) }, nil
	case protoreflect.BoolKind:
		return func(b []byte, v reflect.Value) []byte { return strconv.AppendBool(b, v.Bool()) }, nil
	case protoreflect.EnumKind:
		names := make(map[int64]string)
		for i := range fd.Enum().Values().Len() {
			v := fd.Enum().Values().Get(i)
			names[int64(v.Number())] = `"` + string(v.Name()) + `"`
		}
		return func(b []byte, v reflect.Value) []byte {
			if name, ok := names[v.Int()]; ok {
				return append(b, name...)
			}
			return strconv.AppendInt(b, v.Int(), 10)
		}, nil
	case protoreflect.MessageKind:
		// Looked up when it is written: a message may hold its own kind.
		return func(b []byte, v reflect.Value) []byte {
			if v.IsNil() {
				return append(b, "{}"...)
			}
			p, err := planOf(t)
			if err != nil {
				panic(err) // every message of the contract is tried by a test
			}
			return p.append(b, v.Elem())
		}, nil
	}
	return nil, fmt.Errorf("a field of kind %v", fd.Kind())
}

func appendTexts(b []byte, v reflect.Value) []byte {
	m := v.Interface().(map[string]string)
	b = append(b, '{')
	for i, k := range slices.Sorted(maps.Keys(m)) {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendText(b, k)
		b = append(b, ':')
		b = appendText(b, m[k])
	}
	return append(b, '}')
}

const hex = "0123456789abcdef"

// appendText writes a text in quotes. What is no UTF-8 becomes U+FFFD, as the
// standard library has it.
func appendText(b []byte, s string) []byte {
	b = append(b, '"')
	start := 0
	for i := 0; i < len(s); {
		c := s[i]
		if c >= utf8.RuneSelf {
			r, n := utf8.DecodeRuneInString(s[i:])
			if r == utf8.RuneError && n == 1 {
				b = append(append(b, s[start:i]...), "\ufffd"...)
				start = i + 1
			}
			i += n
			continue
		}
		if c >= ' ' && c != '"' && c != '\\' {
			i++
			continue
		}
		b = append(b, s[start:i]...)
		switch c {
		case '"', '\\':
			b = append(b, '\\', c)
		case '\b':
			b = append(b, '\\', 'b')
		case '\f':
			b = append(b, '\\', 'f')
		case '\n':
			b = append(b, '\\', 'n')
		case '\r':
			b = append(b, '\\', 'r')
		case '\t':
			b = append(b, '\\', 't')
		default:
			b = append(b, '\\', 'u', '0', '0', hex[c>>4], hex[c&15])
		}
		i++
		start = i
	}
	return append(append(b, s[start:]...), '"')
}
