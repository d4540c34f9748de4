package wire

import (
	"fmt"
	"strconv"
	"strings"

	"google.golang.org/protobuf/reflect/protoreflect"

	"example.com/ozeq/pkg/fault"
	"example.com/ozeq/pkg/spelling"
)

// decode fills a message from a tree and reports every place the two do not
// fit. What fits is filled in, so that the content can be checked too.
func decode(n *node, m protoreflect.Message, path string, faults *fault.List) {
	if n.kind != object {
		wrongType(n, path, "an object with fields", faults)
		return
	}
	fields := m.Descriptor().Fields()
	find := func(name string) protoreflect.FieldDescriptor {
		if fd := fields.ByJSONName(name); fd != nil {
			return fd
		}
		return fields.ByName(protoreflect.Name(name))
	}
	for _, name := range n.repeat {
		at := fault.Field(path, clipName(name))
		if fd := find(name); fd != nil {
			at = fault.Field(path, fd.JSONName())
		}
		faults.Add(fault.Fault{Reason: fault.DuplicateField, Path: at, Want: "each field once", Fix: "Keep one of the two."})
	}
	seen := make(map[protoreflect.FieldNumber]bool, len(n.names))
	for i, name := range n.names {
		fd := find(name)
		if fd == nil {
			unknownField(fields, name, fault.Field(path, clipName(name)), faults)
			continue
		}
		// Paths take one spelling, the one content faults take too.
		at := fault.Field(path, fd.JSONName())
		again := seen[fd.Number()]
		seen[fd.Number()] = true
		if again {
			faults.Add(fault.Fault{Reason: fault.DuplicateField, Path: at, Want: "each field once; both its spellings are here", Fix: "Keep " + fd.JSONName() + "."})
			continue
		}
		field(&n.items[i], m, fd, at, faults)
	}
}

// maxNames is how many names of the caller's an object may have.
const maxNames = 100

func field(n *node, m protoreflect.Message, fd protoreflect.FieldDescriptor, path string, faults *fault.List) {
	switch {
	case fd.IsMap():
		if n.kind != object {
			wrongType(n, path, "an object of names and values", faults)
			return
		}
		for _, name := range n.repeat {
			faults.Add(fault.Fault{Reason: fault.DuplicateField, Path: fault.Field(path, clipName(name)), Want: "each name once", Fix: "Keep one of the two."})
		}
		if len(n.names) > maxNames {
			faults.Add(fault.Fault{Reason: fault.TooMany, Path: path, Value: strconv.Itoa(len(n.names)), Want: fmt.Sprintf("at most %d names", maxNames), Fix: "Run `ozeq rules` for the names there are."})
			return
		}
		for i, name := range n.names {
			at := fault.Field(path, clipName(name))
			if len(name) > fault.MaxValue {
				faults.Add(fault.Fault{Reason: fault.TooLong, Path: at, Want: fmt.Sprintf("a name of at most %d characters", fault.MaxValue), Fix: "Run `ozeq rules` for the names there are."})
				continue
			}
			if v, ok := scalar(&n.items[i], fd.MapValue(), at, faults); ok {
				m.Mutable(fd).Map().Set(protoreflect.ValueOfString(name).MapKey(), v)
			}
		}
	case fd.IsList():
		if n.kind != list {
			wrongType(n, path, "a list", faults)
			return
		}
		items := m.Mutable(fd).List()
		for i := range n.items {
			at := fault.Index(path, i)
			if fd.Message() != nil {
				item := items.NewElement()
				decode(&n.items[i], item.Message(), at, faults)
				items.Append(item)
			} else if v, ok := scalar(&n.items[i], fd, at, faults); ok {
				items.Append(v)
			}
		}
	case fd.Message() != nil:
		decode(n, m.Mutable(fd).Message(), path, faults)
	default:
		if v, ok := scalar(n, fd, path, faults); ok {
			m.Set(fd, v)
		}
	}
}

// scalar reads a text, a whole number or a truth value.
func scalar(n *node, fd protoreflect.FieldDescriptor, path string, faults *fault.List) (protoreflect.Value, bool) {
	switch fd.Kind() {
	case protoreflect.StringKind:
		if n.kind == text || n.kind == plain {
			if strings.ContainsFunc(n.text, unprintable) {
				faults.Add(fault.Fault{Reason: fault.BadText, Path: path, Value: n.text, Want: "text without byte order marks and zero bytes", Fix: "Write it again by hand."})
				return protoreflect.Value{}, false
			}
			return protoreflect.ValueOfString(n.text), true
		}
		wrongType(n, path, "text in quotes", faults)
	case protoreflect.BoolKind:
		if (n.kind == boolean || n.kind == plain) && (n.text == "true" || n.text == "false") {
			return protoreflect.ValueOfBool(n.text == "true"), true
		}
		wrongType(n, path, "true or false", faults)
	case protoreflect.Int32Kind:
		if n.kind == number || n.kind == plain {
			if v, err := strconv.ParseInt(n.text, 10, 32); err == nil && n.text[0] != '+' {
				return protoreflect.ValueOfInt32(int32(v)), true
			}
		}
		wrongType(n, path, "a whole number without quotes, such as 48", faults)
	case protoreflect.EnumKind:
		if n.kind == text || n.kind == plain {
			if v := fd.Enum().Values().ByName(protoreflect.Name(n.text)); v != nil {
				return protoreflect.ValueOfEnum(v.Number()), true
			}
		}
		wrongType(n, path, "one of "+enumNames(fd.Enum()), faults)
	default:
		wrongType(n, path, "a field this program can read", faults)
	}
	return protoreflect.Value{}, false
}

func enumNames(e protoreflect.EnumDescriptor) string {
	names := make([]string, e.Values().Len())
	for i := range names {
		names[i] = string(e.Values().Get(i).Name())
	}
	return strings.Join(names, ", ")
}

func wrongType(n *node, path, want string, faults *fault.List) {
	if n.kind == refused {
		return
	}
	found := n.text
	if found == "" {
		found = n.kind.String()
	}
	fix := "Here stands " + n.kind.String() + "."
	switch {
	case n.kind == null && path == "":
		found, fix = "", "Nothing is here: write the recipe, the date of service and the program."
	case n.kind == null:
		fix = "Leave the field out instead of writing null."
	}
	faults.Add(fault.Fault{Reason: fault.WrongType, Path: path, Value: found, Want: want, Fix: fix})
}

func unknownField(fields protoreflect.FieldDescriptors, name, path string, faults *fault.List) {
	if len(faults.Faults) == fault.MaxFaults {
		faults.Omitted++ // without looking for what was meant: there may be a million
		return
	}
	names := make([]string, fields.Len())
	for i := range names {
		names[i] = fields.Get(i).JSONName()
	}
	f := fault.Fault{Reason: fault.UnknownField, Path: path, Value: name, Want: "one of the fields known here", Fix: "Take it out."}
	if near := spelling.Nearest(name, names); near != "" {
		f.Fix = "Did you mean " + near + "?"
	} else {
		all := ""
		for i, n := range names {
			if i > 0 {
				all += ", "
			}
			all += n
		}
		f.Want = "one of " + all
	}
	faults.Add(f)
}

// clipName keeps a name in a path readable.
func clipName(name string) string { return fault.Clip(name) }
