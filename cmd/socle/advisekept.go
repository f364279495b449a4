package main

import (
	"context"
	"encoding/json"

	"socle/sdf"
)

// advisedRecord is the advice on the concerns of a report, in their order.
type advisedRecord struct {
	Advice   []*advice
	Together *advised
}

// kept takes the advice on just these findings from the cache, and gives what keeps it
// there.
func (a *adviser) kept(ctx context.Context) (bool, func()) {
	none := func() {}
	if a.set.cache == nil || ctx.Err() != nil {
		return false, none
	}
	key, err := a.adviceKey()
	if err != nil {
		return false, none
	}
	if data, ok := a.set.cache.Find(key); ok {
		var r advisedRecord
		if json.Unmarshal(data, &r) == nil && len(r.Advice) == len(a.concerns) {
			for i := range a.concerns {
				a.concerns[i].Advice = r.Advice[i]
			}
			a.together = r.Together
			return true, none
		}
	}
	return false, func() {
		r := advisedRecord{Together: a.together}
		for i := range a.concerns {
			r.Advice = append(r.Advice, a.concerns[i].Advice)
		}
		a.set.cache.Keep(key, func() ([]byte, error) { return json.Marshal(r) })
	}
}

// adviceKey tells what the advice depends on.
func (a *adviser) adviceKey() (sdf.Digest, error) {
	tool, err := thisTool()
	if err != nil {
		return sdf.Digest{}, err
	}
	printer, err := a.options.printerText()
	if err != nil {
		return sdf.Digest{}, err
	}
	return sdf.DigestOf(struct {
		What, Tool, Text string
		Sets             []string
		Variant          string
		Printer          []byte
		Resolution       resolution
		Bases            []string
		Concerns         int
	}{"advice", tool, a.set.read.Text(), a.options.Sets, a.options.Variant, printer, a.set.resolution, a.options.Bases, len(a.concerns)})
}
