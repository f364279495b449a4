package scenes

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"socle/scenes/syntax"
)

// What is named in a scene, and the scene itself, gives its name to files, folders and
// words of commands, on every system.
var (
	// nameForm is the form of a name.
	nameForm = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_-]{0,63}$`)
	// reserved are names that one system or another cannot give to a file.
	reserved = regexp.MustCompile(`^(?i)(con|prn|aux|nul|com[0-9]|lpt[0-9])$`)
)

const (
	// everyVariant is a word that commands keep for all variants at once, and AsItIs
	// one that they keep for the scene without any.
	everyVariant = "all"
	AsItIs       = "as-it-is"

	nameAllowed    = "a letter or digit, then up to 63 letters, digits, - and _"
	variantAllowed = "any other name than " + everyVariant + ", which stands for every variant, and " + AsItIs + ", which stands for none"
)

// nameFault says what is wrong with a name, what is allowed, and the nearest name that
// is; why is "" for a sound one.
func nameFault(name string) (why, allowed, near string) {
	switch {
	case !nameForm.MatchString(name):
		near = strings.Join(strings.Fields(name), "-")
		if !nameForm.MatchString(near) {
			near = ""
		}
		return syntax.Quote(name) + " cannot be a name", nameAllowed, near
	case reserved.MatchString(name):
		return syntax.Quote(name) + " cannot be a name: some systems reserve it, and no file could have it", "any other name", ""
	}
	return "", "", ""
}

// variantFault is nameFault for a variant.
func variantFault(name string) (why, allowed, near string) {
	if strings.EqualFold(name, everyVariant) || strings.EqualFold(name, AsItIs) {
		return "no variant can be called " + syntax.Quote(name), variantAllowed, ""
	}
	return nameFault(name)
}

// CheckName holds a name to the rule for the names of scenes that are written, of parts
// and of bases.
func CheckName(name string) error { return nameError(nameFault(name)) }

// CheckVariantName holds a name to the rule for the names of variants.
func CheckVariantName(name string) error { return nameError(variantFault(name)) }

func nameError(why, allowed, near string) error {
	switch {
	case why == "":
		return nil
	case near != "":
		return fmt.Errorf("%s; did you mean %q? allowed: %s", why, near, allowed)
	}
	return fmt.Errorf("%s; allowed: %s", why, allowed)
}

// CheckSceneName holds the name of a scene that somebody has named, its file's without
// the .toml, to the least that names of its files and folders must keep. Every name that
// CheckName allows is allowed.
func CheckSceneName(name string) error {
	const most = 100 // bytes, so that the names of its files stay below the 255 of most systems
	first, _, _ := strings.Cut(name, ".")
	switch {
	case name == "" || strings.Trim(name, ". ") != name || strings.HasPrefix(name, "-"),
		!utf8.ValidString(name), strings.ContainsAny(name, `/\<>:"|?*`),
		slices.ContainsFunc([]rune(name), func(r rune) bool { return !unicode.IsPrint(r) }):
		return fmt.Errorf("no scene can be called %s; allowed: letters, digits, - and _, and within it dots and blanks", syntax.Quote(name))
	case len(name) > most:
		return fmt.Errorf("no scene can be called %s; allowed: %d bytes", syntax.Quote(name), most)
	case reserved.MatchString(strings.TrimSpace(first)):
		return fmt.Errorf("no scene can be called %s: some systems reserve %s, and no file could have it; allowed: any other name", syntax.Quote(name), syntax.Quote(first))
	}
	return nil
}
