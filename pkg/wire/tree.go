package wire

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"

	"example.com/ozeq/pkg/fault"
)

// Bounds of a request.
const (
	MaxRequest = 1 << 20 // bytes
	MaxDepth   = 32      // objects and lists inside each other
	MaxValues  = 100_000 // values, lists and objects in one request
	// MaxYAMLTokens bounds YAML further: its parser takes far more time and
	// memory, more than in proportion. 500 ingredients of eight fields each take
	// 17,000.
	MaxYAMLTokens = 20_000
)

// Bounds of a batch of requests, and of a filed record with its request.
const (
	MaxBatch       = 100     // requests
	MaxBatchBytes  = 8 << 20 // bytes of JSON
	maxBatchValues = 800_000
)

// bounds are how much one text may hold.
type bounds struct {
	bytes, values int
	instead       string // what to do with more
}

var (
	oneRequest = bounds{MaxRequest, MaxValues, "Send one recipe or tray at a time."}
	manyAtOnce = bounds{MaxBatchBytes, maxBatchValues, "Send fewer at a time."}
)

// kind is what a value of the text is.
type kind uint8

const (
	null kind = iota
	object
	list
	text
	number
	boolean
	plain   // a YAML scalar without quotes: text, a number or a boolean, as the field asks
	refused // what a fault stands for already
)

func (k kind) String() string {
	return [...]string{"null", "an object", "a list", "text", "a number", "true or false", "a plain value", "a value that was refused"}[k]
}

// node is a value of the text with its source spelling; numbers are never read
// as floats.
type node struct {
	kind   kind
	text   string
	names  []string // of an object, beside items
	items  []node
	repeat []string            // names given twice
	seen   map[string]struct{} // names, once there are too many to walk through
}

// Format is how a request is written.
type Format uint8

// The formats.
const (
	JSON Format = iota + 1
	YAML
)

// FormatOf guesses the format: JSON when the first character that is not space
// is a brace, else YAML.
func FormatOf(data []byte) Format {
	if t := bytes.TrimLeft(data, " \t\r\n"); len(t) > 0 && t[0] == '{' {
		return JSON
	}
	return YAML
}

// parse reads text into a tree. A tree comes back only without a fault of
// syntax.
func parse(data []byte, f Format, most bounds) (node, bool, *fault.List) {
	var faults fault.List
	switch {
	case len(data) > most.bytes:
		faults.Add(fault.Fault{Reason: fault.TooLarge, Value: "too large", Want: fmt.Sprintf("at most %d bytes", most.bytes), Fix: most.instead})
	case !utf8.Valid(data):
		faults.Add(fault.Fault{Reason: fault.NotUTF8, Want: "text in UTF-8", Fix: "Save the file as UTF-8."})
	case bytes.ContainsFunc(data, unprintable):
		faults.Add(fault.Fault{Reason: fault.BadSyntax, Want: "text without byte order marks and zero bytes", Fix: "Save the file as UTF-8 without a byte order mark."})
	}
	if len(faults.Faults) > 0 {
		return node{}, false, &faults
	}
	var n node
	var ok bool
	if f == JSON {
		n, ok = parseJSON(data, most, &faults)
	} else {
		n, ok = parseYAML(data, &faults)
	}
	return n, ok, &faults
}

// unprintable is a zero byte or a byte order mark, wherever it stands: no editor
// shows them, and no card has them.
func unprintable(r rune) bool { return r == 0 || r == 0xfeff }

func parseJSON(data []byte, most bounds, faults *fault.List) (node, bool) {
	// Names given twice are found where the message is known, with their path.
	dec := jsontext.NewDecoder(bytes.NewBuffer(data), jsontext.AllowDuplicateNames(true))
	r := jsonReader{dec: dec, left: most.values}
	n, err := r.value(0)
	if err == nil {
		if _, extra := dec.ReadToken(); extra != io.EOF {
			err = errors.New("more text after the end of the request")
		}
	}
	if err != nil {
		reason, fix := fault.BadSyntax, "Check commas, quotes and braces there."
		offset := dec.InputOffset()
		var syntax *jsontext.SyntacticError
		switch {
		case err == errDeep:
			reason, fix = fault.TooDeep, "A request is never that deep."
		case err == errMany:
			reason, fix = fault.TooLarge, most.instead
			err = fmt.Errorf("at most %d values", most.values)
		case errors.As(err, &syntax):
			offset, err = syntax.ByteOffset, syntax.Err
		}
		faults.Add(fault.Fault{Reason: reason, Value: place(data, offset), Want: "valid JSON: " + fault.Clip(err.Error()), Fix: fix})
		return node{}, false
	}
	return n, true
}

var (
	errDeep = fmt.Errorf("nested at most %d deep", MaxDepth)
	errMany = errors.New("too many values")
)

// place turns an offset into a line and column.
func place(data []byte, offset int64) string {
	offset = min(offset, int64(len(data)))
	before := string(data[:offset])
	line := strings.Count(before, "\n") + 1
	col := len(before) - strings.LastIndex(before, "\n")
	return fmt.Sprintf("line %d, column %d", line, col)
}

type jsonReader struct {
	dec  *jsontext.Decoder
	left int // values it may still read
}

// value reads one value; depth is how many objects and lists it stands in.
func (r *jsonReader) value(depth int) (node, error) {
	if r.left--; r.left < 0 {
		return node{}, errMany
	}
	tok, err := r.dec.ReadToken()
	if err == io.EOF {
		return node{}, io.ErrUnexpectedEOF
	}
	if err != nil {
		return node{}, err
	}
	n := node{}
	switch tok.Kind() {
	case '"':
		return node{kind: text, text: tok.String()}, nil
	case '0':
		return node{kind: number, text: tok.String()}, nil
	case 't', 'f':
		return node{kind: boolean, text: tok.String()}, nil
	case 'n':
		return node{kind: null}, nil
	case '{':
		n.kind = object
	case '[':
		n.kind = list
	}
	if depth == MaxDepth {
		return node{}, errDeep
	}
	for end := closing(n.kind); r.dec.PeekKind() != end; {
		name := ""
		if n.kind == object {
			key, err := r.dec.ReadToken()
			if err != nil {
				return node{}, unexpected(err)
			}
			name = key.String()
		}
		item, err := r.value(depth + 1)
		if err != nil {
			return node{}, err
		}
		n.add(name, item)
	}
	_, err = r.dec.ReadToken() // the closing bracket
	return n, unexpected(err)
}

func closing(k kind) jsontext.Kind {
	if k == object {
		return '}'
	}
	return ']'
}

// unexpected is an end of the text where there should be more.
func unexpected(err error) error {
	if err == io.EOF {
		return io.ErrUnexpectedEOF
	}
	return err
}

// add appends an item, noting a name given twice.
func (n *node) add(name string, item node) {
	if n.kind == object {
		if n.has(name) {
			n.repeat = append(n.repeat, name)
			return
		}
		n.names = append(n.names, name)
	}
	n.items = append(n.items, item)
}

// has reports whether an object has a name, and remembers that it has now.
func (n *node) has(name string) bool {
	const few = 32 // below it walking is faster than hashing
	if len(n.names) < few {
		return slices.Contains(n.names, name)
	}
	if n.seen == nil {
		n.seen = make(map[string]struct{}, 2*few)
		for _, x := range n.names {
			n.seen[x] = struct{}{}
		}
	}
	_, ok := n.seen[name]
	n.seen[name] = struct{}{}
	return ok
}
