package scenes

import "regexp"

// bareWord is a --set value that counts as text though it is not in quotes.
var bareWord = regexp.MustCompile(`^[\pL\d+.-][\pL\d ./+_'-]*$`)

// parseValue reads the value of a --set that starts at an offset of src.
func parseValue(src *source, text string, at int) (*node, error) {
	whole := span{src, at, at + len(text)}
	if text == "" {
		f := whole.fault("no value after the =")
		return nil, f
	}
	const key = "v="
	root, err := parse(src, key+text, at-len(key))
	bare := bareWord.MatchString(text)
	switch {
	case err == nil && len(root.words) == 1 && root.fields["v"] != nil:
		v := root.fields["v"]
		if v.shape == scalar && bare {
			v.bare = text
		}
		return v, nil
	case bare:
		return &node{at: whole, scalar: text, bare: text}, nil
	}
	f := whole.fault("this is not a value")
	f.Allowed = `a number, text, true, false, a list as [1, 2] or a table as { rect = [0, 0, 40, 30] }`
	return nil, f
}
