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
	severities := []string{SeverityStop, SeverityWarn, SeverityNote, severityHarm}
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
				for great, harm := range map[bool]string{true: SeverityWarn, false: SeverityNote} {
					if want == severityHarm {
						require.Equal(t, harm, in.Severity(c.Word, great), "%s with %s set", c.Word, k.Word)
					} else {
						require.Equal(t, want, in.Severity(c.Word, great), "%s with %s set", c.Word, k.Word)
					}
				}
			}
		}
	}
	require.Panics(t, func() { (&Inspection{}).Severity("thin-pins", true) })
}

// TestWhatStops: what would not print or not fit stops, what only shows is noted,
// and what a part of the print is lost by goes by how much that is.
func TestWhatStops(t *testing.T) {
	by := map[string][]string{}
	for _, c := range InspectionChecks() {
		by[c.Default] = append(by[c.Default], c.Word)
	}
	for severity, want := range map[string][]string{
		SeverityStop: {"uneven-foot", "plate", "pocket", "skin", "stand", "stand-level", "sealed-void"},
		SeverityNote: {"opening", "unit", "shallow-relief", "suction", "narrow-gap", "bare"},
		SeverityWarn: {"stair", "uneven-risers", "rail", "island", "drain", "vent", "foot", "bow", "rough-stand"},
		severityHarm: {"overhang", "bridge", "crumb", "filled-void", "thin-wall", "thin-pin", "slender-pin", "hair", "lidded-void", "neck"},
	} {
		slices.Sort(want)
		slices.Sort(by[severity])
		require.Equal(t, want, by[severity], severity)
	}
}
