package wire_test

import (
	"strings"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"pgregory.net/rapid"

	"example.com/ozeq/pkg/wire"
)

// contractMessages are all messages of the contract.
func contractMessages(t *testing.T) []protoreflect.MessageType {
	t.Helper()
	var out []protoreflect.MessageType
	protoregistry.GlobalTypes.RangeMessages(func(m protoreflect.MessageType) bool {
		if strings.HasPrefix(string(m.Descriptor().FullName()), "ozeq.v1.") && !m.Descriptor().IsMapEntry() {
			out = append(out, m)
		}
		return true
	})
	if len(out) < 40 {
		t.Fatalf("only %d messages", len(out))
	}
	return out
}

// populate sets fields of a message at random.
func populate(t *rapid.T, m protoreflect.Message, depth int) {
	scalar := func(fd protoreflect.FieldDescriptor) protoreflect.Value {
		switch fd.Kind() {
		case protoreflect.StringKind:
			return protoreflect.ValueOfString(rapid.OneOf(rapid.String(), rapid.StringMatching(`[a-z"\\<>&\x00-\x1f¼肉]{0,12}`)).Draw(t, "text"))
		case protoreflect.Int32Kind:
			return protoreflect.ValueOfInt32(rapid.Int32().Draw(t, "number"))
		case protoreflect.BoolKind:
			return protoreflect.ValueOfBool(rapid.Bool().Draw(t, "truth"))
		case protoreflect.EnumKind:
			return protoreflect.ValueOfEnum(protoreflect.EnumNumber(rapid.IntRange(0, fd.Enum().Values().Len()).Draw(t, "enum")))
		}
		t.Fatalf("%v: a kind the test does not know", fd.FullName())
		return protoreflect.Value{}
	}
	for i := range m.Descriptor().Fields().Len() {
		fd := m.Descriptor().Fields().Get(i)
		n := rapid.IntRange(0, 2).Draw(t, "items")
		switch {
		case fd.Message() != nil && !fd.IsMap() && depth == 0, n == 0:
		case fd.IsMap():
			for range n {
				m.Mutable(fd).Map().Set(protoreflect.ValueOfString(rapid.String().Draw(t, "key")).MapKey(), scalar(fd.MapValue()))
			}
		case fd.IsList():
			list := m.Mutable(fd).List()
			for range n {
				if fd.Message() == nil {
					list.Append(scalar(fd))
					continue
				}
				item := list.NewElement()
				populate(t, item.Message(), depth-1)
				list.Append(item)
			}
		case fd.Message() != nil:
			populate(t, m.Mutable(fd).Message(), depth-1)
		default:
			m.Set(fd, scalar(fd))
		}
	}
}

// What is written of any message is what protojson writes, but for spaces: it
// reads back as the same message, and as the same as protojson's text does.
func TestAppendJSONIsProtojson(t *testing.T) {
	for _, kind := range contractMessages(t) {
		t.Run(string(kind.Descriptor().Name()), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				m := kind.New()
				populate(t, m, 2)
				got, err := wire.AppendJSON([]byte("x"), m.Interface())
				if err != nil {
					t.Fatal(err)
				}
				back := kind.New().Interface()
				if err := protojson.Unmarshal(got[1:], back); err != nil {
					t.Fatalf("%v in %s", err, got)
				}
				if !proto.Equal(back, m.Interface()) {
					t.Fatalf("%s\nreads as %v\nand was %v", got, back, m)
				}
				want, err := protojson.MarshalOptions{EmitDefaultValues: true}.Marshal(m.Interface())
				if err != nil {
					t.Fatal(err)
				}
				if a, b := len(strings.ReplaceAll(string(got[1:]), " ", "")), len(strings.ReplaceAll(string(want), " ", "")); a != b {
					t.Fatalf("%s\nprotojson writes\n%s", got, want)
				}
			})
		})
	}
}

func TestAppendJSONOfNothing(t *testing.T) {
	for _, m := range []proto.Message{nil, (proto.Message)(nil)} {
		if _, err := wire.AppendJSON(nil, m); err == nil {
			t.Error("nothing is written as something")
		}
	}
}
