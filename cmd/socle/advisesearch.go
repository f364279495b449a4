package main

import (
	"context"
	"fmt"
	"slices"

	"socle/parts"
)

// search is the trying of changes against the concerns of one part. A change by one
// remedy comes first. One that clears a concern and brings another, which may have been
// there all along and not been seen, is tried again with what may clear that.
type search struct {
	*adviser
	group    []int
	list     []*attempt // by one remedy each, of which so many were looked at
	looked   int
	whole    int // made
	further  int // that were made of others
	probes   map[int]*probed
	given    map[*attempt]bool // to be made
	children map[*attempt][]*attempt
	progress func(float64)
}

const (
	// mostCome is how much more may come with a change that is tried with another,
	// and mostChildren with how many others.
	mostCome, mostChildren = 3, 6
	// plainFirst is how many changes by one remedy are made before any is tried with
	// another, and then one of every so many.
	plainFirst, plainEvery = 2, 3
	// wellWithin is how many may have been made when a second way is looked for.
	wellWithin = 4
)

// clear tries changes against the concerns of one part, and puts down those that clear
// them. What clears most of them comes first, and of those the least change.
func (a *adviser) clear(ctx context.Context, group []int, progress func(float64)) (string, error) {
	q := &search{adviser: a, group: group, list: a.attempts(group), probes: map[int]*probed{}, given: map[*attempt]bool{},
		children: map[*attempt][]*attempt{}, progress: progress}
	open := map[int]bool{}
	for _, i := range group {
		open[i] = true
	}
	for _, t := range a.made { // for another part
		q.take(t, open)
	}
	for len(open) > 0 && q.whole < mostWhole {
		t, err := q.next(ctx, open, "")
		if err != nil {
			return "", err
		}
		if t == nil {
			break
		}
		if err := q.makeOne(ctx, t); err != nil {
			return "", err
		}
		n := len(open)
		if q.take(t, open); len(open) == n || len(t.sets) > 1 || q.whole > wellWithin {
			continue
		}
		same := map[int]bool{} // another way for the same, by another key
		for _, i := range group {
			same[i] = a.clears(t, i)
		}
		if t, err = q.next(ctx, same, t.moves[0].Path()); err != nil {
			return "", err
		}
		if t != nil {
			if err := q.makeOne(ctx, t); err != nil {
				return "", err
			}
			for _, i := range group {
				if same[i] && a.clears(t, i) {
					a.concerns[i].Advice.Clears = append(a.concerns[i].Advice.Clears, t.sets)
				}
			}
		}
	}
	tried := q.looked + q.further
	if q.looked == len(q.list) || q.whole > 0 || len(open) == 0 { // else there was no room to try any
		for _, i := range group {
			a.adviceOn(i).Tried = tried
		}
	}
	return fmt.Sprintf("%s tried, %d of %s cleared", plural(tried, "change", "changes"), len(group)-len(open), plural(len(group), "finding", "findings")), nil
}

// adviceOn gives the advice on a concern, which there is from then on.
func (a *adviser) adviceOn(i int) *advice {
	if a.concerns[i].Advice == nil {
		a.concerns[i].Advice = &advice{Clears: []change{}}
	}
	return a.concerns[i].Advice
}

// take puts down which of the open concerns a change clears.
func (q *search) take(t *attempt, open map[int]bool) {
	for _, i := range q.group {
		if open[i] && q.clears(t, i) {
			v := q.adviceOn(i)
			v.Clears = append(v.Clears, t.sets)
			delete(open, i)
		}
	}
}

func (q *search) makeOne(ctx context.Context, t *attempt) error {
	q.whole++
	if !slices.Contains(q.list, t) {
		q.further++
	}
	return q.make(ctx, t, q.group)
}

// next gives the change that is best to be made next, nil where there is none; but is
// the key that is not to be changed.
func (q *search) next(ctx context.Context, open map[int]bool, but string) (*attempt, error) {
	if but == "" && q.whole >= plainFirst && q.whole%plainEvery != 0 {
		if t := q.child(open); t != nil {
			return t, nil
		}
	}
	t, err := q.plain(ctx, open, but)
	if t == nil && err == nil && but == "" {
		t = q.child(open)
	}
	return t, err
}

// plain gives the best change by one remedy. It has as many looked at as it takes to
// find one that clears all at their places.
func (q *search) plain(ctx context.Context, open map[int]bool, but string) (*attempt, error) {
	wanted := 0
	for _, is := range open {
		if is {
			wanted++
		}
	}
	for {
		var best *attempt
		most := 0
		for _, t := range q.list[:q.looked] {
			if q.given[t] || but != "" && t.moves[0].Path() == but {
				continue
			}
			n := 0
			for i, is := range open {
				if is && t.cleared[i] {
					n++
				}
			}
			if n > most {
				best, most = t, n
			}
		}
		const workers = 2
		n := min(workers, len(q.list)-q.looked, q.tries)
		if most == wanted || n <= 0 {
			if best != nil {
				q.given[best] = true
			}
			return best, nil
		}
		if err := q.look(ctx, q.list[q.looked:q.looked+n], q.group, q.probes); err != nil {
			return nil, err
		}
		q.looked += n
		q.tries -= n
		q.progress(float64(q.looked) / float64(len(q.list)+1))
	}
}

// child gives a change that was made, cleared something and brought little, together
// with what may clear that: of the one that brought least.
func (q *search) child(open map[int]bool) *attempt {
	var best *attempt
	least := mostCome + 1
	for t := range q.madeHere() {
		n := mostCome + 1
		for _, i := range q.group {
			if open[i] && q.gone(t, i) {
				n = min(n, len(q.come(t, severityRank(q.concerns[i].Severity))))
			}
		}
		if n < least && n > 0 && q.left(t) {
			best, least = t, n
		}
	}
	if best == nil {
		return nil
	}
	t := q.children[best][0]
	q.children[best] = q.children[best][1:]
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

// left says whether there is anything left to be tried with a change that was made.
func (q *search) left(t *attempt) bool {
	if _, known := q.children[t]; known {
		return len(q.children[t]) > 0
	}
	w := t.whole
	come := q.come(t, severityRank(parts.SeverityWarn))
	var all []*attempt
	if len(come) > 0 {
		c := &come[0]
		for _, moves := range inTurn(w.scene.remediesOf(pieceOf(w.pieces, c.Base), c)) {
			taken := slices.ContainsFunc(moves, func(m parts.Move) bool {
				return slices.ContainsFunc(t.moves, func(o parts.Move) bool { return o.Path() == m.Path() })
			})
			if !taken && len(all) < mostChildren {
				all = append(all, newAttempt(slices.Concat(t.moves, moves)))
			}
		}
	}
	q.children[t] = all
	return len(all) > 0
}
