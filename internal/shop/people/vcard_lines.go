package people

import (
	"bufio"
	"io"
	"mime/quotedprintable"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/encoding/unicode"
)

// Telephones still write cards of version 2.1: kinds without TYPE= ("TEL;CELL:"), quoted-printable with a character
// set of its own, lines that go on after "=", pictures in base64. plainCards writes them as version 3 would, and
// leaves pictures, sounds and keys out.
func plainCards(r io.Reader) (io.Reader, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	var out strings.Builder
	in := bufio.NewScanner(strings.NewReader(cardText(data)))
	in.Buffer(make([]byte, 0, 64<<10), len(data)+64<<10)
	dropped := false // within a picture
	for in.Scan() {
		line := strings.TrimRight(in.Text(), "\r")
		if dropped && (line == "" || line[0] == ' ' || line[0] == '\t') {
			continue
		}
		dropped = false
		head, value, ok := cutHead(line)
		if !ok {
			out.WriteString(line + "\r\n")
			continue
		}
		name, params := plainParams(head)
		if dropped = binary(name); dropped {
			continue
		}
		if strings.EqualFold(params["ENCODING"], "QUOTED-PRINTABLE") {
			for strings.HasSuffix(value, "=") && in.Scan() {
				value = strings.TrimSuffix(value, "=") + strings.TrimRight(in.Text(), "\r")
			}
			value = unquotedValue(value, params["CHARSET"])
		}
		out.WriteString(name)
		if kinds := params["TYPE"]; kinds != "" {
			out.WriteString(";TYPE=" + kinds)
		}
		if pref := params["PREF"]; pref != "" {
			out.WriteString(";PREF=" + pref)
		}
		out.WriteString(":" + value + "\r\n")
	}
	return strings.NewReader(out.String()), in.Err()
}

// cardText is the text of a file of cards: by its mark, else UTF-8 where it is valid, else Windows-1252.
func cardText(data []byte) string {
	if len(data) > 1 && (data[0] == 0xFF && data[1] == 0xFE || data[0] == 0xFE && data[1] == 0xFF) {
		if text, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder().Bytes(data); err == nil {
			return string(text)
		}
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	if !utf8.ValidString(text) {
		if western, err := charmap.Windows1252.NewDecoder().String(text); err == nil {
			return western
		}
	}
	return text
}

// cutHead cuts a line at the colon that ends its head. A line that goes on with the one before has none.
func cutHead(line string) (head, value string, ok bool) {
	if line == "" || line[0] == ' ' || line[0] == '\t' {
		return "", "", false
	}
	quoted := false
	for i, c := range line {
		switch {
		case c == '"':
			quoted = !quoted
		case c == ':' && !quoted:
			return line[:i], line[i+1:], true
		}
	}
	return "", "", false
}

// plainParams takes the head of a line apart; a bare kind counts as TYPE.
func plainParams(head string) (name string, params map[string]string) {
	parts := strings.Split(head, ";")
	params = map[string]string{}
	var kinds []string
	for _, p := range parts[1:] {
		key, value, named := strings.Cut(p, "=")
		key = strings.ToUpper(strings.TrimSpace(key))
		switch {
		case named && key == "TYPE":
			kinds = append(kinds, strings.Trim(value, `"`))
		case named:
			params[key] = strings.Trim(value, `"`)
		case key == "QUOTED-PRINTABLE", key == "BASE64", key == "8BIT", key == "7BIT":
			params["ENCODING"] = key
		case key != "":
			kinds = append(kinds, key)
		}
	}
	if all := strings.Join(kinds, ","); all != "" {
		params["TYPE"] = `"` + all + `"`
		if len(kinds) == 1 && !strings.Contains(all, ",") {
			params["TYPE"] = all
		}
	}
	return parts[0], params
}

// binary reports whether a property holds no text: "item1.PHOTO" too.
func binary(name string) bool {
	switch strings.ToUpper(name[strings.LastIndex(name, ".")+1:]) {
	case "PHOTO", "LOGO", "SOUND", "KEY":
		return true
	}
	return false
}

// unquotedValue decodes quoted-printable text. Its line breaks are written as version 3 writes them.
func unquotedValue(value, charset string) string {
	raw, err := io.ReadAll(quotedprintable.NewReader(strings.NewReader(value)))
	if err != nil {
		return value
	}
	text := string(raw)
	if charset != "" && !strings.EqualFold(charset, "UTF-8") {
		if set, err := htmlindex.Get(charset); err == nil {
			if decoded, err := set.NewDecoder().String(text); err == nil {
				text = decoded
			}
		}
	}
	if !utf8.ValidString(text) {
		text = cardText(raw)
	}
	return strings.NewReplacer("\r\n", `\n`, "\n", `\n`, "\r", `\n`).Replace(text)
}
