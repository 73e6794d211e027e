package cli

import (
	"fmt"
	"strings"

	"github.com/alecthomas/kong"
)

type completionCmd struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"bash, zsh or fish."`
}

// Run prints a script that completes commands and options from kong's own model, so
// that it never lists what the program does not have.
func (c completionCmd) Run(a *app) error {
	nodes := map[string][]string{}
	collect(a.kong.Model.Node, "", nodes)
	var err error
	switch c.Shell {
	case "fish":
		err = fishScript(a, nodes)
	case "zsh":
		_, err = fmt.Fprint(a.out, "#compdef midcase\nautoload -U +X bashcompinit && bashcompinit\n"+bashScript(nodes))
	default:
		_, err = fmt.Fprint(a.out, bashScript(nodes))
	}
	return err
}

// collect maps each command path ("sales import") to the words that may follow it.
func collect(n *kong.Node, path string, into map[string][]string) {
	var words []string
	for _, child := range n.Children {
		if child.Hidden {
			continue
		}
		words = append(words, child.Name)
		collect(child, strings.TrimSpace(path+" "+child.Name), into)
	}
	for _, f := range n.Flags {
		if !f.Hidden {
			words = append(words, "--"+f.Name)
		}
	}
	into[path] = words
}

func bashScript(nodes map[string][]string) string {
	var b strings.Builder
	b.WriteString("_midcase() {\n  local cur path word\n  cur=\"${COMP_WORDS[COMP_CWORD]}\"\n  path=\"\"\n")
	b.WriteString("  for word in \"${COMP_WORDS[@]:1:COMP_CWORD-1}\"; do\n    case \"$word\" in -*) ;; *) path=\"$path $word\" ;; esac\n  done\n")
	b.WriteString("  case \"${path# }\" in\n")
	for _, path := range sortedKeys(nodes) {
		pattern := fmt.Sprintf("%q*", path)
		if path == "" {
			pattern = `""`
		}
		fmt.Fprintf(&b, "    %s) COMPREPLY=($(compgen -W %q -- \"$cur\")) ;;\n", pattern,
			strings.Join(nodes[path], " "))
	}
	b.WriteString("  esac\n  [ ${#COMPREPLY[@]} -eq 0 ] && COMPREPLY=($(compgen -f -- \"$cur\"))\n}\ncomplete -o filenames -F _midcase midcase\n")
	return b.String()
}

func fishScript(a *app, nodes map[string][]string) error {
	for _, path := range sortedKeys(nodes) {
		condition := "__fish_use_subcommand"
		if path != "" {
			parts := strings.Fields(path)
			for i, p := range parts {
				parts[i] = "__fish_seen_subcommand_from " + p
			}
			condition = strings.Join(parts, "; and ")
		}
		for _, w := range nodes[path] {
			option := "-a " + w
			if name, ok := strings.CutPrefix(w, "--"); ok {
				option = "-l " + name
			}
			if _, err := fmt.Fprintf(a.out, "complete -c midcase -n '%s' %s\n", condition, option); err != nil {
				return err
			}
		}
	}
	return nil
}

// sortedKeys orders longer paths first, so that the most specific case matches.
func sortedKeys(m map[string][]string) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sortByLengthThenName(keys)
	return keys
}
