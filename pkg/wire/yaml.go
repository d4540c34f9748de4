package wire

import (
	"fmt"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"

	"example.com/ozeq/pkg/fault"
)

// parseYAML reads YAML as JSON with other punctuation.
func parseYAML(data []byte, faults *fault.List) (node, bool) {
	if yamlDepth(data) > MaxDepth {
		faults.Add(fault.Fault{Reason: fault.TooDeep, Want: fmt.Sprintf("nesting of at most %d", MaxDepth), Fix: "A request is never that deep."})
		return node{}, false
	}
	file, err := parser.ParseBytes(data, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		message, _, _ := strings.Cut(err.Error(), "\n")
		faults.Add(fault.Fault{Reason: fault.BadSyntax, Want: "valid YAML: " + fault.Clip(message), Fix: "Check indentation, colons and quotes there."})
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
	n := y.value(body, "", 0)
	return n, !y.stop
}

// yamlDepth bounds nesting before the parser, which recurses, sees the text.
// It counts brackets as if none stood in quotes, and markers at the start of a
// line, so it may refuse text that is merely strange, never pass text that is
// too deep.
func yamlDepth(data []byte) int {
	depth, deepest, lead, start := 0, 0, 0, true
	for _, c := range data {
		switch c {
		case '\n':
			lead, start = 0, true
			continue
		case '[', '{':
			depth++
		case ']', '}':
			depth = max(0, depth-1)
		}
		if start {
			switch c {
			case ' ', '\t':
			case '-', '?', ':', '!', '&':
				lead++
			default:
				start = false
			}
		}
		deepest = max(deepest, depth, lead)
	}
	return deepest
}

type yamlReader struct {
	faults *fault.List
	stop   bool
}

func (y *yamlReader) refuse(path, what, fix string) node {
	y.faults.Add(fault.Fault{Reason: fault.YAMLFeature, Path: path, Value: what, Want: "plain YAML: names, values and lists", Fix: fix})
	return node{kind: null, text: what}
}

func (y *yamlReader) value(v ast.Node, path string, depth int) node {
	if depth > MaxDepth {
		if !y.stop {
			y.faults.Add(fault.Fault{Reason: fault.TooDeep, Path: path, Want: fmt.Sprintf("nesting of at most %d", MaxDepth), Fix: "A request is never that deep."})
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
	n.add(name, y.value(m.Value, fault.Field(path, name), depth+1))
}
