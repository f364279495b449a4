package advice

import (
	"context"
	"encoding/json"

	"socle/cmd/set"
	"socle/cmd/set/cache"
	"socle/cmd/set/finding"
	"socle/sdf"
)

// record is the advice on the findings of a report, in their order.
type record struct {
	Advice   []*finding.Advice
	Together *finding.Combined
}

// kept takes the advice on just these findings from the cache, and gives what keeps it
// there.
func (a *adviser) kept(ctx context.Context) (bool, func()) {
	none := func() {}
	if a.set.Cache == nil || ctx.Err() != nil {
		return false, none
	}
	key, err := a.adviceKey()
	if err != nil {
		return false, none
	}
	if data, ok := a.set.Cache.Find(key); ok {
		var r record
		if json.Unmarshal(data, &r) == nil && len(r.Advice) == len(a.findings) {
			for i := range a.findings {
				a.findings[i].Advice = r.Advice[i]
			}
			a.together = r.Together
			return true, none
		}
	}
	return false, func() {
		r := record{Together: a.together}
		for i := range a.findings {
			r.Advice = append(r.Advice, a.findings[i].Advice)
		}
		a.set.Cache.Keep(key, func() ([]byte, error) { return json.Marshal(r) })
	}
}

// adviceKey tells what the advice depends on.
func (a *adviser) adviceKey() (sdf.Digest, error) {
	tool, err := cache.Tool()
	if err != nil {
		return sdf.Digest{}, err
	}
	printer, err := a.options.PrinterText()
	if err != nil {
		return sdf.Digest{}, err
	}
	return sdf.DigestOf(struct {
		What, Tool, Text string
		Sets             []string
		Variant          string
		Printer          []byte
		Resolution       set.Resolution
		Bases            []string
		Concerns         int
	}{"advice", tool, a.set.Read.Text(), a.options.Sets, a.options.Variant, printer, a.set.Resolution, a.options.Bases, len(a.findings)})
}
