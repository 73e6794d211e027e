package say

import (
	"fmt"
	"slices"
	"strings"
)

// A message is a sentence of a catalogue, in the form of Unicode's ICU messages without
// their quoting: {name} and {name, style} stand for an argument,
// {name, plural, one {…} other {…}} chooses by number, {name, gender, f {…} other {…}} by
// the gender of a noun, {name, select, id {…} other {…}} by the id of a term or name.
type message []node

// node is a piece of a message: text, a slot for an argument, or a choice.
type node struct {
	text     string
	arg      string
	style    string
	choose   string // plural, gender or select; empty for a plain argument
	branches map[string]message
}

const maxDepth = 6 // of choices within choices

// parseMessage reads a message and says where it is wrong.
func parseMessage(text string) (message, error) {
	p := reader{text: text}
	m, err := p.message(0)
	if err != nil {
		return nil, fmt.Errorf("at %d of %q: %w", p.at, text, err)
	}
	if p.at < len(text) {
		return nil, fmt.Errorf("at %d of %q: a } without its {", p.at, text)
	}
	return m, nil
}

type reader struct {
	text string
	at   int
}

func (p *reader) message(depth int) (message, error) {
	if depth > maxDepth {
		return nil, fmt.Errorf("more than %d choices within each other", maxDepth)
	}
	var m message
	for p.at < len(p.text) && p.text[p.at] != '}' {
		if p.text[p.at] == '{' {
			n, err := p.argument(depth)
			if err != nil {
				return nil, err
			}
			m = append(m, n)
			continue
		}
		end := strings.IndexAny(p.text[p.at:], "{}")
		if end < 0 {
			end = len(p.text) - p.at
		}
		m = append(m, node{text: p.text[p.at : p.at+end]})
		p.at += end
	}
	return m, nil
}

// argument reads {name}, {name, style} or {name, choice, key {…} …}.
func (p *reader) argument(depth int) (node, error) {
	p.at++ // {
	n := node{arg: p.word()}
	if n.arg == "" {
		return n, fmt.Errorf("no name after {")
	}
	if p.skip(',') {
		n.style = p.word()
		if n.style == "" {
			return n, fmt.Errorf("{%s, …}: no style after the comma", n.arg)
		}
	}
	if slices.Contains([]string{"plural", "gender", "select"}, n.style) {
		n.choose, n.style = n.style, ""
		if !p.skip(',') {
			return n, fmt.Errorf("{%s, %s}: no branches", n.arg, n.choose)
		}
		if err := p.branches(&n, depth); err != nil {
			return n, err
		}
	}
	if !p.skip('}') {
		return n, fmt.Errorf("{%s is not closed", n.arg)
	}
	return n, nil
}

func (p *reader) branches(n *node, depth int) error {
	n.branches = map[string]message{}
	for {
		key := p.word()
		if key == "" {
			break
		}
		if !p.skip('{') {
			return fmt.Errorf("{%s, %s, %s: no { after the branch's name", n.arg, n.choose, key)
		}
		m, err := p.message(depth + 1)
		if err != nil {
			return err
		}
		if !p.skip('}') {
			return fmt.Errorf("branch %s of {%s is not closed", key, n.arg)
		}
		if _, twice := n.branches[key]; twice {
			return fmt.Errorf("{%s has the branch %s twice", n.arg, key)
		}
		if m == nil {
			m = message{} // a branch may be empty
		}
		n.branches[key] = m
	}
	if n.branches["other"] == nil {
		return fmt.Errorf("{%s, %s} has no branch other", n.arg, n.choose)
	}
	return nil
}

// word reads a name: letters, figures, - _ and the = of plural's =0.
func (p *reader) word() string {
	p.spaces()
	start := p.at
	for p.at < len(p.text) && strings.IndexByte(" ,{}\n", p.text[p.at]) < 0 {
		p.at++
	}
	return p.text[start:p.at]
}

func (p *reader) skip(c byte) bool {
	p.spaces()
	if p.at < len(p.text) && p.text[p.at] == c {
		p.at++
		return true
	}
	return false
}

func (p *reader) spaces() {
	for p.at < len(p.text) && (p.text[p.at] == ' ' || p.text[p.at] == '\n') {
		p.at++
	}
}

// uses lists the arguments that the message asks for, with the styles it asks of each.
func (m message) uses(into map[string][]string) map[string][]string {
	for _, n := range m {
		if n.arg == "" {
			continue
		}
		style := n.style
		if n.choose != "" {
			style = n.choose
		}
		if !slices.Contains(into[n.arg], style) {
			into[n.arg] = append(into[n.arg], style)
		}
		for _, b := range n.branches {
			b.uses(into)
		}
	}
	return into
}
