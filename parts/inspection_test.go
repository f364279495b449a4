package parts

import (
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestEverySeverityIsReached: each check is a key of [inspect.severity] and the
// other way about; what is set is what is given, and nothing else moves.
func TestEverySeverityIsReached(t *testing.T) {
	checks := InspectionChecks()
	require.Len(t, checks, reflect.TypeFor[Severities]().NumField(), "a severity without a key")
	severities := []string{SeverityStop, SeverityWarn, SeverityNote}
	for i, k := range KeysOf(reflect.TypeFor[Severities]()) {
		require.Equal(t, severities, k.Words, k.Word)
		require.Equal(t, checks[i].Word, k.Word, "in order")
		require.NotEmpty(t, checks[i].Doc)
		require.Contains(t, severities, checks[i].Default)
		for _, severity := range severities {
			var in Inspection
			reflect.ValueOf(&in.Severities).Elem().FieldByIndex(k.Index).SetString(severity)
			for _, c := range checks {
				want := c.Default
				if c.Word == k.Word {
					want = severity
				}
				require.Equal(t, want, in.Severity(c.Word), "%s with %s set", c.Word, k.Word)
			}
		}
	}
	require.Panics(t, func() { (&Inspection{}).Severity("thin-pins") })
}

// TestWhatStops: what would not print or not fit stops, what only shows is noted.
func TestWhatStops(t *testing.T) {
	by := map[string][]string{}
	for _, c := range InspectionChecks() {
		by[c.Default] = append(by[c.Default], c.Word)
	}
	for severity, want := range map[string][]string{
		SeverityStop: {"uneven-foot", "plate", "pocket", "skin", "stand", "sealed-void"},
		SeverityNote: {"overhang", "bridge", "opening", "unit", "shallow-relief", "suction", "crumb", "narrow-gap"},
		SeverityWarn: {"stair", "uneven-risers", "rail", "thin-wall", "thin-pin", "slender-pin", "hair", "island", "lidded-void", "vent", "foot", "bow", "rough-stand", "neck"},
	} {
		slices.Sort(want)
		slices.Sort(by[severity])
		require.Equal(t, want, by[severity], severity)
	}
}
