package wire

import (
	"fmt"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"example.com/ozeq/pkg/fault"
)

// parseYAML reads YAML as JSON with other punctuation. The parser recurses, and
// its time grows with the square of what it is given: both are bounded on the
// words and marks of the text before it sees them.
func parseYAML(data []byte, faults *fault.List) (n node, ok bool) {
	tokens, ok := tokenize(data)
	if !ok {
		faults.Add(fault.Fault{Reason: fault.TooLarge, Want: fmt.Sprintf("at most %d words and marks in YAML", MaxYAMLTokens), Fix: "Send less at a time, or write it as JSON, which may be longer."})
		return node{}, false
	}
	if tooDeep(tokens) {
		faults.Add(fault.Fault{Reason: fault.TooDeep, Want: fmt.Sprintf("nesting of at most %d", MaxDepth), Fix: "A request is never that deep."})
		return node{}, false
	}
	file, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		message, _, _ := strings.Cut(err.Error(), "\n")
		faults.Add(fault.Fault{Reason: fault.BadSyntax, Want: "valid YAML: " + fault.Clip(message), Fix: "Check indentation and colons there, and put quotes around text that holds a #, a comma or a colon: \"2 #10 cans\"."})
		return node{}, false
	}
	var body ast.Node
	for _, doc := range file.Docs {
		if doc.Body == nil {
			continue
		}
		if body != nil {
			faults.Add(fault.Fault{Reason: fault.YAMLFeature, Value: "---", Want: "one document in a file", Fix: "Put each recipe in a file of its own."})
			return node{}, false
		}
		body = doc.Body
	}
	if body == nil {
		return node{kind: null}, true
	}
	y := yamlReader{faults: faults}
	n = y.value(body, "", 0)
	return n, !y.stop
}

// tokenize cuts the text into words and marks, unless there are more than a
// request may have. The scanner cannot be stopped half way, so the bytes that
// may be marks are counted first.
func tokenize(data []byte) (token.Tokens, bool) {
	marks := 0
	for _, c := range data {
		if strings.IndexByte("\n,:-?[]{}&*!#%|>\"'@`.", c) >= 0 {
			marks++
		}
	}
	if marks > 4*MaxYAMLTokens {
		return nil, false
	}
	tokens := lexer.Tokenize(string(data))
	return tokens, len(tokens) <= MaxYAMLTokens
}

// tooDeep reports brackets open inside each other, or list and key marks in a
// row on a line, that are more than a request may nest. Indentation is left to
// the reader: the bytes a text may take bound it well below the parser's own
// limits.
func tooDeep(tokens token.Tokens) bool {
	brackets, row := 0, 0
	for _, t := range tokens {
		switch t.Type {
		case token.SequenceStartType, token.MappingStartType:
			brackets++
		case token.SequenceEndType, token.MappingEndType:
			brackets = max(0, brackets-1)
		}
		switch t.Type {
		case token.SequenceEntryType, token.MappingKeyType, token.MappingValueType:
			row++
		default:
			row = 0
		}
		if brackets > MaxDepth || row > MaxDepth {
			return true
		}
	}
	return false
}

type yamlReader struct {
	faults *fault.List
	stop   bool
}

func (y *yamlReader) refuse(path, what, fix string) node {
	y.faults.Add(fault.Fault{Reason: fault.YAMLFeature, Path: path, Value: what, Want: "plain YAML: names, values and lists", Fix: fix})
	return node{kind: refused, text: what}
}

func (y *yamlReader) value(v ast.Node, path string, depth int) node {
	switch v.(type) {
	case *ast.MappingNode, *ast.MappingValueNode, *ast.SequenceNode:
		if depth < MaxDepth {
			break
		}
		if !y.stop {
			y.faults.Add(fault.Fault{Reason: fault.TooDeep, Path: fault.Clip(path), Want: fmt.Sprintf("nesting of at most %d", MaxDepth), Fix: "A request is never that deep."})
		}
		y.stop = true
		return node{}
	}
	switch v := v.(type) {
	case *ast.MappingNode:
		n := node{kind: object}
		for _, m := range v.Values {
			y.pair(&n, m, path, depth)
		}
		return n
	case *ast.MappingValueNode:
		n := node{kind: object}
		y.pair(&n, v, path, depth)
		return n
	case *ast.SequenceNode:
		n := node{kind: list}
		for i, item := range v.Values {
			n.add("", y.value(item, fault.Index(path, i), depth+1))
		}
		return n
	case *ast.StringNode:
		if t := v.GetToken(); t != nil && t.Type.String() == "String" {
			return node{kind: plain, text: v.Value}
		}
		return node{kind: text, text: v.Value}
	case *ast.LiteralNode:
		return node{kind: text, text: v.Value.Value}
	case *ast.NullNode:
		return node{kind: null}
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		// The source spelling, never the float the parser made of it.
		return node{kind: plain, text: strings.TrimSpace(v.GetToken().Value)}
	case *ast.AnchorNode:
		return y.refuse(path, "&"+v.Name.String(), "Write the value out where it is used; anchors are not read.")
	case *ast.AliasNode:
		return y.refuse(path, v.String(), "Write the value out; aliases are not read.")
	case *ast.TagNode:
		return y.refuse(path, v.Start.Value, "Leave the tag out.")
	case *ast.CommentGroupNode:
		return node{kind: null}
	}
	return y.refuse(path, v.Type().String(), "Write names, values and lists only.")
}

func (y *yamlReader) pair(n *node, m *ast.MappingValueNode, path string, depth int) {
	key, ok := m.Key.(ast.Node)
	if !ok {
		return
	}
	if _, merge := m.Key.(*ast.MergeKeyNode); merge {
		y.refuse(path, "<<", "Write the values out; merge keys are not read.")
		return
	}
	name := ""
	switch k := key.(type) {
	case *ast.StringNode:
		name = k.Value
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.NullNode:
		name = strings.TrimSpace(k.GetToken().Value)
	default:
		y.refuse(path, key.Type().String(), "Names are plain words.")
		return
	}
	if m.Value == nil {
		n.add(name, node{kind: null})
		return
	}
	n.add(name, y.value(m.Value, fault.Field(path, clipName(name)), depth+1))
}
