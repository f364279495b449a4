package inspection

import (
	"testing"

	"github.com/stretchr/testify/require"

	"socle/cmd/set/finding"
	"socle/parts"
)

// ofCheck gives the findings of a check.
func ofCheck(all []finding.Finding, check string) (found []finding.Finding) {
	for _, f := range all {
		if f.Check == check {
			found = append(found, f)
		}
	}
	return found
}

// requireGraded holds a finding to the severity of its check, where the scene does
// not say.
func requireGraded(t *testing.T, f finding.Finding) {
	t.Helper()
	if want := defaultSeverity(t, f.Check); want != "harm" {
		require.Equal(t, want, f.Severity)
		return
	}
	require.Contains(t, []string{parts.SeverityWarn, parts.SeverityNote}, f.Severity)
	require.Equal(t, f.Severity == parts.SeverityWarn, f.Harm >= Ruins(f.Check), "%v", f)
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
