package page

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPrintable(t *testing.T) {
	for given, want := range map[string]string{
		"plain, 3.1 m × 2":   "plain, 3.1 m × 2",
		"a\r\nb\tc":          "a\nb\tc",
		"a\x00b\x1b[31m\x7f": "a\ufffdb\ufffd[31m\ufffd",
		"x\u202egnp.exe":     "x\ufffdgnp.exe",
		"\u2066left\u2069":   "\ufffdleft\ufffd",
		"bad \xff utf":       "bad \ufffd utf",
		"שלום quay":          "שלום quay",
		"\ufdd0\U0001ffff":   "\ufffd\ufffd",
	} {
		require.Equal(t, want, printable(given), "%q", given)
	}
	require.Equal(t, "other", orElse(" \n", "other"))
}
