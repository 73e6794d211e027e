package telling

import (
	"midcase/say"
)

// kindsIn lists the kinds of a statement and of those within it.
func kindsIn(s say.Statement) []say.Kind {
	out := []say.Kind{s.Kind}
	var walk func(say.Value)
	walk = func(v say.Value) {
		switch v := v.(type) {
		case say.Statement:
			out = append(out, kindsIn(v)...)
		case say.List:
			for _, one := range v {
				walk(one)
			}
		}
	}
	for _, a := range s.Args {
		walk(a.Value)
	}
	return out
}

// argOf is an argument of a statement as it was given.
func argOf(s say.Statement, name string) say.Value {
	v, _ := s.Arg(name)
	return v
}

// given makes an argument of a value that came with another statement; nothing is said
// where there is none.
func given(name string, v say.Value) say.Arg {
	if v == nil {
		v = say.Proper("")
	}
	return say.Arg{Name: name, Value: v}
}
