package wire

import (
	"encoding/binary"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/ozeq/pkg/exact"
)

// writer writes a message of the contract field by field, as protobuf or as
// JSON, without building the message first: a record has hundreds of small
// parts, and building them takes as long as crediting does.
//
// As JSON every field is written, zeros and empty lists too. As protobuf, zeros
// are left out.
type writer struct {
	b     []byte
	json  bool
	comma bool // a field stands before this one
}

func (w *writer) key(name string) {
	if w.comma {
		w.b = append(w.b, ',')
	}
	w.comma = true
	w.b = append(w.b, '"')
	w.b = append(w.b, name...)
	w.b = append(w.b, '"', ':')
}

// Wire types of protobuf.
const (
	varint = 0
	length = 2
)

func (w *writer) tag(field, kind int) { w.b = binary.AppendUvarint(w.b, uint64(field<<3|kind)) }

func (w *writer) text(field int, name, s string) {
	if w.json {
		w.key(name)
		w.b = appendText(w.b, valid(s))
		return
	}
	if s != "" {
		w.item(field, s)
	}
}

// valid returns s with every run of bytes that are no text replaced, the same in
// both forms. Only a caller of the library can bring them.
func valid(s string) string {
	if utf8.ValidString(s) {
		return s
	}
	return strings.ToValidUTF8(s, "\ufffd")
}

// item writes a text that is there even when it is empty.
func (w *writer) item(field int, s string) {
	s = valid(s)
	w.tag(field, length)
	w.b = binary.AppendUvarint(w.b, uint64(len(s)))
	w.b = append(w.b, s...)
}

func (w *writer) texts(field int, name string, list []string) {
	if !w.json {
		for _, s := range list {
			w.item(field, s)
		}
		return
	}
	w.list(name)
	for i, s := range list {
		if i > 0 {
			w.b = append(w.b, ',')
		}
		w.b = appendText(w.b, s)
	}
	w.endList()
}

func (w *writer) pairs(field int, name string, m map[string]string) {
	if w.json {
		w.key(name)
		w.b = append(w.b, '{')
		w.comma = false
	}
	for _, k := range slices.Sorted(maps.Keys(m)) {
		if w.json {
			if w.comma {
				w.b = append(w.b, ',')
			}
			w.comma = true
			w.b = appendText(w.b, k)
			w.b = append(w.b, ':')
			w.b = appendText(w.b, m[k])
			continue
		}
		at := w.open(field, "")
		w.item(1, k)
		w.item(2, m[k])
		w.close(at)
	}
	if w.json {
		w.b = append(w.b, '}')
		w.comma = true
	}
}

func (w *writer) number(field int, name string, n int) {
	if w.json {
		w.key(name)
		w.b = strconv.AppendInt(w.b, int64(n), 10)
		return
	}
	if n != 0 {
		w.tag(field, varint)
		w.b = binary.AppendUvarint(w.b, uint64(n)) // below zero as protobuf has it: in ten bytes
	}
}

// numbers writes a list, packed as protobuf.
func (w *writer) numbers(field int, name string, list []int32) {
	if w.json {
		w.list(name)
		for i, n := range list {
			if i > 0 {
				w.b = append(w.b, ',')
			}
			w.b = strconv.AppendInt(w.b, int64(n), 10)
		}
		w.endList()
		return
	}
	if len(list) > 0 {
		at := w.open(field, "")
		for _, n := range list {
			w.b = binary.AppendUvarint(w.b, uint64(n))
		}
		w.close(at)
	}
}

// enum writes a value of an enum, whose names are given with quotes.
func (w *writer) enum(field int, name string, n int, names []string) {
	if w.json {
		w.key(name)
		w.b = append(w.b, names[n]...)
		return
	}
	w.number(field, name, n)
}

func (w *writer) fraction(field int, name string, n exact.Number) {
	at := w.openText(field, name)
	w.b = n.AppendFraction(w.b)
	w.closeText(at)
}

// decimal writes a number cut to so many places; trim takes zeros off its end.
func (w *writer) decimal(field int, name string, n exact.Number, places int, trim bool) {
	at := w.openText(field, name)
	w.b = n.AppendDecimal(w.b, places)
	if trim && places > 0 {
		for w.b[len(w.b)-1] == '0' {
			w.b = w.b[:len(w.b)-1]
		}
		if w.b[len(w.b)-1] == '.' {
			w.b = w.b[:len(w.b)-1]
		}
	}
	w.closeText(at)
}

func (w *writer) openText(field int, name string) int {
	if w.json {
		w.key(name)
		w.b = append(w.b, '"')
		return 0
	}
	return w.open(field, name)
}

func (w *writer) closeText(at int) {
	if w.json {
		w.b = append(w.b, '"')
		return
	}
	w.close(at)
}

// open begins a message; close, with what open returned, ends it.
func (w *writer) open(field int, name string) int {
	if w.json {
		if name != "" {
			w.key(name)
		} else if w.comma {
			w.b = append(w.b, ',')
		}
		w.b = append(w.b, '{')
		w.comma = false
		return 0
	}
	w.tag(field, length)
	w.b = append(w.b, 0) // the length, when it is known
	return len(w.b)
}

func (w *writer) close(at int) {
	if w.json {
		w.b = append(w.b, '}')
		w.comma = true
		return
	}
	n := len(w.b) - at
	if n < 0x80 {
		w.b[at-1] = byte(n)
		return
	}
	var size [binary.MaxVarintLen64]byte
	k := binary.PutUvarint(size[:], uint64(n))
	w.b = append(w.b, size[:k-1]...) // room
	copy(w.b[at-1+k:], w.b[at:at+n])
	copy(w.b[at-1:], size[:k])
}

// list begins a list; messages in it are opened without a name.
func (w *writer) list(name string) {
	if w.json {
		w.key(name)
		w.b = append(w.b, '[')
		w.comma = false
	}
}

func (w *writer) endList() {
	if w.json {
		w.b = append(w.b, ']')
		w.comma = true
	}
}
