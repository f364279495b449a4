package inspect

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Every kind is told, for resin and for filament, whatever its figures are.
func TestEveryKindIsTold(t *testing.T) {
	for kind := Island; kind <= BareTop; kind++ {
		require.NotEmpty(t, kind.Check(), "kind %d", kind)
		for _, f := range []Finding{
			{Kind: kind},
			{Kind: kind, Value: 1.5, Limit: 2, Length: 3, Volume: 4, Ways: 2, Raised: true, Free: true, Measure: OfDepth},
		} {
			require.NotEmpty(t, f.Measured(), "kind %d", kind)
			require.NotContains(t, f.Measured(), "%!", "kind %d", kind)
			require.NotEmpty(t, f.Meaning(true), "kind %d", kind)
			require.NotEmpty(t, f.Meaning(false), "kind %d", kind)
		}
	}
	require.Len(t, tellings, int(BareTop)+1)
}
