package advice

import (
	"context"
	"fmt"
	"slices"

	"socle/cmd/set/finding"
	"socle/cmd/set/inspection"
	"socle/cmd/set/words"
	"socle/parts"
)

// search is the trying of changes against the findings of one part. A change by one
// remedy comes first. One that clears a finding and brings another, which may have been
// there all along and not been seen, is tried again with what may clear that.
type search struct {
	*adviser
	group        []int
	list         []*attempt // by one remedy each, of which so many were looked at
	looked       int
	whole        int // made
	further      int // that are not of the list and were made
	probes       map[int]*probed
	given        map[*attempt]bool // to be made
	combinations map[*attempt][]*attempt
	progress     func(float64)
}

const (
	// mostNew is how much more may come with a change that is tried with another,
	// and mostCombinations with how many others.
	mostNew, mostCombinations = 3, 6
	// singlesFirst is how many changes by one remedy are made before any is tried with
	// another, and then one of every so many.
	singlesFirst, singleEvery = 2, 3
	// wellWithin is how many may have been made when a second way is looked for.
	wellWithin = 4
)

// clearAll tries changes against the findings of one part, and puts down those that
// clear them, until none is left or none is found.
func (a *adviser) clearAll(ctx context.Context, group []int, progress func(float64)) (string, error) {
	open := slices.Clone(group)
	tried, whole := 0, 0
	for len(open) > 0 {
		q := &search{adviser: a, group: open, list: a.attempts(open), whole: whole, probes: map[int]*probed{}, given: map[*attempt]bool{},
			combinations: map[*attempt][]*attempt{}, progress: progress}
		found, err := q.clear(ctx)
		if err != nil {
			return "", err
		}
		tried, whole = tried+q.looked+q.further, q.whole
		room := q.looked == len(q.list) || q.whole > 0 // else there was none to try any
		open = slices.DeleteFunc(open, func(i int) bool { return a.findings[i].Advice != nil })
		if found {
			continue
		}
		for _, i := range open {
			if room {
				a.findings[i].Advice = &finding.Advice{Clears: []finding.Change{}}
			}
		}
		break
	}
	for _, i := range group {
		if v := a.findings[i].Advice; v != nil {
			v.Tried = tried
		}
	}
	return fmt.Sprintf("%s tried, %d of %s cleared", words.Count(tried, "change", "changes"), len(group)-len(open), words.Count(len(group), "finding", "findings")), nil
}

// clear looks for a change that clears something of the group. What clears most of it
// comes first, and of those the least change.
func (q *search) clear(ctx context.Context) (bool, error) {
	open := map[int]bool{}
	for _, i := range q.group {
		open[i] = true
	}
	for _, t := range q.made { // for another part
		if q.accept(t) {
			q.further++
			return true, nil
		}
	}
	for q.whole < mostWhole {
		t, err := q.next(ctx, open, "")
		if t == nil || err != nil {
			return false, err
		}
		if err := q.makeOne(ctx, t); err != nil {
			return false, err
		}
		if q.accept(t) {
			return true, q.second(ctx, t)
		}
	}
	return false, nil
}

// second looks for one more way, by another key, to clear what a change clears.
func (q *search) second(ctx context.Context, first *attempt) error {
	if q.whole > wellWithin || !slices.Contains(q.list, first) {
		return nil
	}
	same := map[int]bool{}
	for _, i := range q.group {
		if q.clears(first, i) {
			same[i] = true
		}
	}
	t, err := q.next(ctx, same, first.key())
	if t == nil || err != nil {
		return err
	}
	if err := q.makeOne(ctx, t); err != nil || !q.keepsCleared(t) {
		return err
	}
	for i := range same {
		if q.clears(t, i) {
			q.findings[i].Advice.Clears = append(q.findings[i].Advice.Clears, t.sets)
		}
	}
	return nil
}

// accept accepts a change that clears something of the group and keeps cleared what was.
func (q *search) accept(t *attempt) (found bool) {
	if t.whole == nil || !q.keepsCleared(t) {
		return false
	}
	for _, i := range q.group {
		if q.clears(t, i) {
			q.findings[i].Advice = &finding.Advice{Clears: []finding.Change{t.sets}}
			q.accepted, found = t, true
		}
	}
	return found
}

func (q *search) makeOne(ctx context.Context, t *attempt) error {
	q.whole++
	if !slices.Contains(q.list, t) {
		q.further++
	}
	return q.makeAll(ctx, t, q.group)
}

// next gives the change that is best to be made next, nil where there is none; but is
// the key that is not to be changed.
func (q *search) next(ctx context.Context, open map[int]bool, but string) (*attempt, error) {
	if but == "" && q.whole >= singlesFirst && q.whole%singleEvery != 0 {
		if t := q.combination(open); t != nil {
			return t, nil
		}
	}
	t, err := q.single(ctx, open, but)
	if t == nil && err == nil && but == "" {
		t = q.combination(open)
	}
	return t, err
}

// single gives the best change by one remedy. It has as many looked at as it takes to
// find one that clears all at their places.
func (q *search) single(ctx context.Context, open map[int]bool, but string) (*attempt, error) {
	for {
		var best *attempt
		most := 0
		for _, t := range q.list[:q.looked] {
			if q.given[t] || but != "" && t.key() == but {
				continue
			}
			n := 0
			for i := range open {
				if t.cleared[i] {
					n++
				}
			}
			if n > most {
				best, most = t, n
			}
		}
		const workers = 2
		n := min(workers, len(q.list)-q.looked, q.tries)
		if most == len(open) || n <= 0 {
			if best != nil {
				q.given[best] = true
			}
			return best, nil
		}
		if err := q.probeAll(ctx, q.list[q.looked:q.looked+n], q.group, q.probes); err != nil {
			return nil, err
		}
		q.looked += n
		q.tries -= n
		q.progress(float64(q.looked) / float64(len(q.list)+1))
	}
}

// combination gives a change that was made, cleared something and brought little, together
// with what may clear that: of the one that brought least.
func (q *search) combination(open map[int]bool) *attempt {
	var best *attempt
	least := mostNew + 1
	for t := range q.madeHere() {
		n := mostNew + 1
		for _, i := range q.group {
			if open[i] && q.isGone(t, i) {
				n = min(n, len(q.newFindings(t, finding.Rank(q.findings[i].Severity))))
			}
		}
		if n < least && n > 0 && q.hasCombination(t) {
			best, least = t, n
		}
	}
	if best == nil {
		return nil
	}
	t := q.combinations[best][0]
	q.combinations[best] = q.combinations[best][1:]
	q.given[t] = true
	return t
}

// madeHere goes through the changes that were made for this part, in their order.
func (q *search) madeHere() func(yield func(*attempt) bool) {
	return func(yield func(*attempt) bool) {
		for _, t := range q.made {
			if q.given[t] && !yield(t) {
				return
			}
		}
	}
}

// hasCombination says whether there is anything left to be tried with a change that was made.
func (q *search) hasCombination(t *attempt) bool {
	if _, known := q.combinations[t]; known {
		return len(q.combinations[t]) > 0
	}
	w := t.whole
	fresh := q.newFindings(t, finding.Rank(parts.SeverityWarn))
	var all []*attempt
	if len(fresh) > 0 {
		f := &fresh[0]
		for _, moves := range inTurn(inspection.RemediesFor(w.set, pieceOf(w.set.Pieces, f.Base), f)) {
			if !sameValue(t.moves, moves) && len(all) < mostCombinations {
				all = append(all, newAttempt(slices.Concat(t.moves, moves)))
			}
		}
	}
	q.combinations[t] = all
	return len(all) > 0
}
