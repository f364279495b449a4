package scenes

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// unfit are names that no file of a scene may have: for the system, the terminal, or the
// command that is given them.
var unfit = []string{
	"", ".", "..", "...", ".hidden", "-x", "--to", "a/b", `a\b`, "../a", "a\nb", "a\x00b", "a\x1b[2Jb", "a\u202eb", "a\u00a0b", "a\xffb",
	"con", "NUL", "com1", "LPT9.old", "aux.tar", "a:b", "a*", "a?", "<a>", "a|b", `a"b`, " a", "a ", "a.", strings.Repeat("a", 101),
}

// TestNames: one rule for what is named in a scene, and for new scenes.
func TestNames(t *testing.T) {
	for _, name := range unfit {
		require.Error(t, CheckName(name), "%q", name)
		require.Error(t, CheckVariantName(name), "%q", name)
		require.Error(t, CheckSceneName(name), "%q", name)
		require.NotContains(t, CheckSceneName(name).Error(), "\x1b", "a message is safe to print")
	}
	for _, name := range []string{"a b", "quay.v2", "_x", "hafenmauer-süd", strings.Repeat("a", 65)} {
		require.Error(t, CheckName(name), "%q", name)
		require.NoError(t, CheckSceneName(name), "%q", name)
	}
	for _, name := range []string{"all", "ALL", "as-it-is", "As-It-Is"} {
		require.NoError(t, CheckName(name))
		require.ErrorContains(t, CheckVariantName(name), "allowed: any other name than all")
		_, err := Read("quay.toml", []byte(quay+"[[variant]]\nname = \""+name+"\"\nset = { \"levels.quay\" = 3 }\n"), nil)
		require.ErrorContains(t, err, "no variant can be called")
	}
	require.ErrorContains(t, CheckName("second salvo"), `did you mean "second-salvo"?`)
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.OneOf(rapid.StringMatching(`[A-Za-z0-9_-]{0,66}`), rapid.String()).Draw(t, "name")
		if CheckName(name) == nil {
			require.NoError(t, CheckSceneName(name))
		}
		if CheckSceneName(name) == nil {
			require.NotContains(t, name, "/")
			require.NotContains(t, name, `\`)
			require.NotEqual(t, "..", name)
		}
	})
}
