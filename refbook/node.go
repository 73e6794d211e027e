package refbook

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// What a file of the book may be at most. The limits keep a broken or hostile file
// from exhausting memory or the stack; no honest file comes near them.
const (
	maxFileBytes = 8 << 20
	maxLineBytes = 64 << 10
	maxNesting   = 200
	maxKeys      = 2000
)

type nodeKind int

const (
	nullNode nodeKind = iota
	scalarNode
	mappingNode
	sequenceNode
)

func (k nodeKind) String() string {
	return [...]string{"nothing", "a single value", "a mapping", "a list"}[k]
}

// node is the part of YAML that the book uses: scalars as text, lists, mappings,
// each with its line.
type node struct {
	kind    nodeKind
	line    int
	text    string
	entries []entry // of a mapping, in the order of the file
	items   []*node // of a list
}

type entry struct {
	key   string
	line  int
	value *node
}

// parseNode reads one YAML document. Every failure is reported; nil is returned
// where there is nothing to go on with.
func parseNode(b []byte, r *report) (n *node) {
	if !sound(b, r) {
		return nil
	}
	defer func() { // the parser is not ours: what it cannot take is a problem of the file
		if x := recover(); x != nil {
			r.at(1, "", "text that is not YAML", "check quotes, brackets and indentation")
			n = nil
		}
	}()
	file, err := parser.ParseBytes(b, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		r.at(syntaxLine(err), "", "text that is not YAML: "+firstLine(err), "check quotes, brackets and indentation")
		return nil
	}
	var body ast.Node
	docs := 0
	for _, d := range file.Docs {
		if d != nil && d.Body != nil {
			body = d.Body
			docs++
		}
	}
	switch docs {
	case 0:
		r.at(1, "", "an empty file", "write one maker, beginning with schema: 1")
		return nil
	case 1:
	default:
		r.at(lineOf(body), "", fmt.Sprintf("%d YAML documents in one file", docs),
			"keep one maker a file, without --- between")
		return nil
	}
	return r.convert(body, "", 0)
}

// sound checks what can be checked before parsing.
func sound(b []byte, r *report) bool {
	if len(b) > maxFileBytes {
		r.at(1, "", "a file of more than 8 MB", "split the book into one file a maker")
		return false
	}
	if !utf8.Valid(b) {
		at := 0
		for at < len(b) {
			c, size := utf8.DecodeRune(b[at:])
			if c == utf8.RuneError && size == 1 {
				break
			}
			at += size
		}
		r.at(1+bytes.Count(b[:at], []byte("\n")), "", "bytes that are not UTF-8 text", "save the file as UTF-8")
		return false
	}
	depth := 0
	levels := levelCount{keys: map[int]int{}}
	for i, line := range bytes.Split(b, []byte("\n")) {
		if len(line) > maxLineBytes {
			r.at(i+1, "", fmt.Sprintf("a line of %d characters", len(line)), "break it into lines")
			return false
		}
		depth += bytes.Count(line, []byte("[")) + bytes.Count(line, []byte("{")) - bytes.Count(line,
			[]byte("]")) - bytes.Count(line, []byte("}"))
		if depth > maxNesting || bytes.Count(line, []byte("[")) > 4*maxNesting ||
			bytes.Count(line, []byte("- ")) > 4*maxNesting ||
			bytes.Count(line, []byte("{")) > 4*maxNesting || bytes.Count(line, []byte("? ")) > 4*maxNesting {
			r.at(i+1, "", "brackets or dashes nested too deep",
				"close each bracket, or write the list over several lines")
			return false
		}
		if wrong := levels.add(string(line)); wrong != "" {
			r.at(i+1, "", wrong, "split the file, one maker each, and write plain keys and values")
			return false
		}
	}
	return true
}

// levelCount counts the keys that stand at one level of a mapping. The parser goes
// one call deeper for each, and its time grows with their square, so a file may
// have only so many; lists are free of this, except of empty and tagged entries.
type levelCount struct {
	keys map[int]int // indentation → lines there since the level was opened
	odd  int         // list entries that are empty, tagged, or the like
}

// add takes the next line and says what there is too much of, or nothing.
func (c *levelCount) add(line string) string {
	line = strings.TrimRight(line, " \t\r")
	body := strings.TrimLeft(line, " \t")
	if body == "" || body[0] == '#' {
		return ""
	}
	indent := len(line) - len(body)
	entry := body == "-" || strings.HasPrefix(body, "- ")
	for strings.HasPrefix(body, "- ") {
		rest := strings.TrimLeft(body[1:], " ")
		indent += len(body) - len(rest)
		body = rest
	}
	for at := range c.keys {
		if at > indent || entry && at == indent {
			delete(c.keys, at)
		}
	}
	if entry && (body == "-" || strings.ContainsRune("!&*?<|>#", rune(body[0]))) {
		c.odd++
	}
	if body != "-" {
		c.keys[indent]++
	}
	switch {
	case c.keys[indent] > maxKeys:
		return fmt.Sprintf("more than %d lines at one level of a mapping or text", maxKeys)
	case c.odd > maxNesting:
		return fmt.Sprintf("more than %d empty or tagged list entries", maxNesting)
	}
	return ""
}

func (r *report) convert(n ast.Node, path string, depth int) *node {
	line := lineOf(n)
	if depth > maxNesting {
		r.at(line, path, "nesting too deep", "the book needs no more than ten levels")
		return nil
	}
	switch v := n.(type) {
	case nil:
		return &node{kind: nullNode, line: line}
	case *ast.NullNode:
		return &node{kind: nullNode, line: line}
	case *ast.StringNode:
		return &node{kind: scalarNode, line: line, text: v.Value}
	case *ast.LiteralNode:
		return &node{kind: scalarNode, line: line, text: strings.TrimRight(v.Value.Value, "\n")}
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		return &node{kind: scalarNode, line: line, text: n.GetToken().Value}
	case *ast.SequenceNode:
		out := &node{kind: sequenceNode, line: line}
		for i, item := range v.Values {
			out.items = append(out.items, r.convert(item, fmt.Sprintf("%s[%d]", path, i), depth+1))
		}
		return out
	case *ast.MappingNode:
		return r.convertMapping(v.Values, line, path, depth)
	case *ast.MappingValueNode:
		return r.convertMapping([]*ast.MappingValueNode{v}, line, path, depth)
	}
	r.at(line, path, "a YAML form that the book does not use ("+strings.ToLower(n.Type().String())+")",
		"write the value out: no anchors, aliases, merges or tags")
	return nil
}

func (r *report) convertMapping(values []*ast.MappingValueNode, line int, path string, depth int) *node {
	out := &node{kind: mappingNode, line: line}
	for i, kv := range values {
		if kv == nil || kv.Key == nil {
			continue
		}
		at := lineOf(kv.Key)
		if i == 0 {
			out.line = at
		}
		var key string
		switch k := kv.Key.(type) {
		case *ast.StringNode:
			key = k.Value
		case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.NullNode:
			key = k.GetToken().Value
		default:
			r.at(at, path, "a key that is not a plain word", "write it as key: value")
			continue
		}
		out.entries = append(out.entries, entry{key, at, r.convert(kv.Value, join(path, key), depth+1)})
	}
	return out
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// lineOf is the line where a node begins; 1 where the parser does not say. A
// mapping's own token is its colon, so the first key is asked.
func lineOf(n ast.Node) int {
	switch v := n.(type) {
	case nil:
		return 1
	case *ast.MappingNode:
		if len(v.Values) > 0 && v.Values[0] != nil && v.Values[0].Key != nil {
			return lineOf(v.Values[0].Key)
		}
	case *ast.MappingValueNode:
		if v.Key != nil {
			return lineOf(v.Key)
		}
	}
	if t := n.GetToken(); t != nil && t.Position != nil {
		return t.Position.Line
	}
	return 1
}

func syntaxLine(err error) int {
	var e yaml.Error
	if errors.As(err, &e) {
		if t := e.GetToken(); t != nil && t.Position != nil {
			return t.Position.Line
		}
	}
	return 1
}

func firstLine(err error) string {
	var e yaml.Error
	if errors.As(err, &e) {
		return e.GetMessage()
	}
	s, _, _ := strings.Cut(err.Error(), "\n")
	return s
}
