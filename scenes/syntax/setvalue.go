package syntax

import "regexp"

// BareWord is a --set value that counts as text though it is not in quotes.
var BareWord = regexp.MustCompile(`^[\pL\d+.-][\pL\d ./+_'-]*$`)

// ParseValue reads the value of a --set that starts at an offset of src.
func ParseValue(src *Source, text string, at int) (*Node, error) {
	whole := src.Span(at, at+len(text))
	if text == "" {
		f := whole.Fault("no value after the =")
		return nil, f
	}
	const key = "v="
	root, err := parse(src, key+text, at-len(key))
	bare := BareWord.MatchString(text)
	switch {
	case err == nil && len(root.Words) == 1 && root.Fields["v"] != nil:
		v := root.Fields["v"]
		if v.Shape == Scalar && bare {
			v.Bare = text
		}
		return v, nil
	case bare:
		return &Node{At: whole, Scalar: text, Bare: text}, nil
	}
	f := whole.Fault("this is not a value")
	f.Allowed = `a number, text, true, false, a list as [1, 2] or a table as { rect = [0, 0, 40, 30] }`
	return nil, f
}
