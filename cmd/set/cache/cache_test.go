package cache

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestSizesAreReadOrRefused(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.Int64Range(1, 1023).Draw(r, "n")
		got, err := readSize(SizeInWords(n << 30))
		require.NoError(r, err)
		require.Equal(r, n<<30, got)
		size, err := readSize(rapid.String().Draw(r, "text"))
		require.True(r, err != nil || size >= leastCacheLimit && size <= mostCacheLimit)
	})
	for _, bad := range []string{"NaNGiB", "InfGiB", "-1GiB", "GiB", "1e99TiB", "0x1pGiB"} {
		_, err := readSize(bad)
		require.Error(t, err, bad)
	}
}
