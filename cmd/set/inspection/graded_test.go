package inspection

import (
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/finding"
	"socle/parts"
)

// ofCheck gives the concerns of a check.
func ofCheck(all []finding.Finding, check string) (found []finding.Finding) {
	for _, c := range all {
		if c.Check == check {
			found = append(found, c)
		}
	}
	return found
}

// requireGraded holds a concern to the severity of its check, where the scene does
// not say.
func requireGraded(t *testing.T, c finding.Finding) {
	t.Helper()
	if want := defaultSeverity(t, c.Check); want != "harm" {
		require.Equal(t, want, c.Severity)
		return
	}
	require.Contains(t, []string{parts.SeverityWarn, parts.SeverityNote}, c.Severity)
	require.Equal(t, c.Severity == parts.SeverityWarn, c.Harm >= Ruins(c.Check), "%v", c)
}

func defaultSeverity(t *testing.T, check string) string {
	for _, k := range parts.InspectionChecks() {
		if k.Word == check {
			return k.Default
		}
	}
	t.Fatalf("no check is called %q", check)
	return ""
}
