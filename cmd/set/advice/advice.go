// Package advice tries changes of a scene against what the inspection found, and says which
// of them clear a finding. A change counts only if the whole set was made with it and
// nothing as grave has come. The number of tries is limited by counts, never by a clock, so
// that the same scene gets the same advice on every machine.
package advice

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"

	"socle/cmd/set"
	"socle/cmd/set/finding"
	"socle/cmd/set/inspection"
	"socle/cmd/set/piece"
	"socle/parts"
	"socle/parts/assembly"
	"socle/scenes"
	"socle/sdf"
)

// What is tried at most. Counts bound it and no clock, so that the same scene gets the
// same advice on every machine: common practice, no source.
const (
	mostTries    = 32 // changes for the findings on one part
	mostTriesAll = 96 // for all
	mostWhole    = 12 // of those for one part, so many are made whole
	mostPlaced   = 4  // findings of one part that a change is first tried at
	spareMakes   = 16 // pieces made for it in all: twice those of the set, and so many
)

// adviser tries changes of a scene against what the inspection found in it. A change is
// first tried about the places of the findings alone (probe), and one that clears them
// there is made whole, with every base that it reaches. It clears a finding where that
// is gone, and nothing as grave has come on any base, nor in the scene. What is found to
// clear one finding goes with all that is tried for the next, so that in the end there
// is one change for all.
type adviser struct {
	set      *set.Set
	options  *set.Options
	findings []finding.Finding // of the set, which get their advice
	together *finding.Combined // what is cleared with all changes; nil where nothing is
	keys     []sdf.Digest
	tries    int        // that are left
	makes    int        // pieces that may still be made
	made     []*attempt // those that were made whole
	accepted *attempt   // clears all that was cleared so far; what is tried next goes with it
}

// attempt is one change under trial.
type attempt struct {
	moves   []parts.Move
	sets    finding.Change
	cleared map[int]bool // of the findings, by their places alone
	whole   *outcome     // nil: not made
}

// outcome is what a changed scene was found to be like.
type outcome struct {
	set      *set.Set
	findings []finding.Finding
}

// Find tries what may clear the stops and the warnings among the findings of a set that
// was made, all of them, and gives them their advice. It gives the change that clears all
// that could be cleared, nil where none was found.
func Find(ctx context.Context, s *set.Set, o *set.Options, found []finding.Finding, progress set.Progress) (*finding.Combined, error) {
	a := &adviser{set: s, options: o, findings: found, tries: mostTriesAll, makes: 2*len(s.Pieces) + spareMakes}
	groups := a.groups()
	if len(groups) == 0 {
		return nil, nil
	}
	kept, keep := a.kept(ctx)
	if kept {
		return a.together, nil
	}
	names := make([]string, len(groups))
	for i, g := range groups {
		names[i] = a.findings[g[0]].Subject()
	}
	bar := progress.Start(set.Task{What: "trying changes", Names: names})
	defer bar.Finish()
	for i := range s.Pieces {
		p := &s.Pieces[i]
		key, err := piece.SolidKey(ctx, s, p, s.MeshOptions(p))
		if err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			key = sdf.Digest{} // nothing of it can be told apart: it is made for every change
		}
		a.keys = append(a.keys, key)
	}
	for i, g := range groups {
		outcome, err := a.clearAll(ctx, g, func(share float64) { bar.At(i, share) })
		if err != nil {
			return nil, err
		}
		bar.Done(i, outcome)
	}
	if t := a.accepted; t != nil {
		a.together = &finding.Combined{Set: t.sets, Tally: finding.TallyOf(t.whole.findings)}
	}
	keep()
	return a.together, nil
}

// groups lists the stops and warnings by the part that they are put down to.
func (a *adviser) groups() (all [][]int) {
	at := map[string]int{}
	for i := range a.findings {
		f := &a.findings[i]
		if f.Severity == parts.SeverityNote || f.Settled {
			continue
		}
		n, known := at[f.Part]
		if !known {
			n = len(all)
			at[f.Part] = n
			all = append(all, nil)
		}
		all[n] = append(all[n], i)
	}
	return all
}

// attempts lists the changes for the findings of one part: the first value of every
// remedy, then the second, and so on.
func (a *adviser) attempts(group []int) (all []*attempt) {
	var remedies []parts.Remedy
	seen := map[string]bool{}
	for _, i := range group {
		f := &a.findings[i]
		for _, r := range inspection.RemediesFor(a.set, pieceOf(a.set.Pieces, f.Base), f) {
			if key := fmt.Sprint(r.Part, r.Key, r.Tries); !seen[key] {
				seen[key] = true
				remedies = append(remedies, r)
			}
		}
	}
	var with []parts.Move
	if a.accepted != nil {
		with = a.accepted.moves
	}
	known := map[string]bool{}
	for _, moves := range inTurn(remedies) {
		if sameValue(with, moves) {
			continue
		}
		t := newAttempt(slices.Concat(with, moves))
		if key := t.sets.String(); !known[key] && len(all) < mostTries {
			known[key] = true
			all = append(all, t)
		}
	}
	return all
}

// inTurn gives the first value of every remedy, then the second, and so on.
func inTurn(remedies []parts.Remedy) (all [][]parts.Move) {
	for round, more := 0, true; more; round++ {
		more = false
		for _, r := range remedies {
			if round < len(r.Tries) {
				more = true
				all = append(all, r.Tries[round])
			}
		}
	}
	return all
}

// sameValue says whether moves change a value that others change.
func sameValue(by, moves []parts.Move) bool {
	return slices.ContainsFunc(moves, func(m parts.Move) bool {
		return slices.ContainsFunc(by, func(o parts.Move) bool { return scenes.MovePath(o) == scenes.MovePath(m) })
	})
}

// key is the path of the last value that a change puts in.
func (t *attempt) key() string { return scenes.MovePath(t.moves[len(t.moves)-1]) }

func newAttempt(moves []parts.Move) *attempt {
	t := &attempt{moves: moves, cleared: map[int]bool{}}
	for _, m := range moves {
		t.sets = append(t.sets, scenes.MoveText(m))
	}
	return t
}

// pieceOf gives the piece of a name; nil where there is none.
func pieceOf(pieces []assembly.Piece, name string) *assembly.Piece {
	for i := range pieces {
		if pieces[i].Name == name {
			return &pieces[i]
		}
	}
	return nil
}

// changed puts the scene together with a change; nil where that is at fault, does not
// fit or has other bases.
func (a *adviser) changed(moves []parts.Move) *set.Set {
	other, err := a.set.With(nil, moves...)
	if err != nil {
		return nil
	}
	s, err := other.Cut(a.options.Bases)
	if err != nil || !slices.EqualFunc(s.Pieces, a.set.Pieces, func(x, y assembly.Piece) bool { return x.Name == y.Name }) {
		return nil
	}
	return s
}

// probed is what was found about the places of one finding, before any change.
type probed struct {
	at    [][3]float64
	size  float64
	found [][]finding.Finding // at each place; nil: it is not seen there, and only the whole tells
}

// probeAll tries changes at the places of the findings of a group, several at once.
func (a *adviser) probeAll(ctx context.Context, some []*attempt, group []int, probes map[int]*probed) error {
	for _, i := range group[:min(mostPlaced, len(group))] {
		if probes[i] == nil {
			var err error
			if probes[i], err = a.probeBefore(ctx, &a.findings[i]); err != nil {
				return err
			}
		}
	}
	errs := make([]error, len(some))
	var work sync.WaitGroup
	for n, t := range some {
		work.Go(func() { errs[n] = a.probeOne(ctx, t, group, probes) })
	}
	work.Wait()
	return errors.Join(errs...)
}

// probeBefore looks at a finding as it is.
func (a *adviser) probeBefore(ctx context.Context, f *finding.Finding) (*probed, error) {
	p := pieceOf(a.set.Pieces, f.Base)
	if p == nil || f.At == nil {
		return &probed{}, nil
	}
	b := &probed{at: append([][3]float64{*f.At}, f.Others[:min(len(f.Others), inspection.ProbePlaces-1)]...)}
	if f.Size != nil {
		b.size = max(f.Size[0], f.Size[1])
	}
	for _, at := range b.at {
		found, err := inspection.Probe(ctx, a.set, p, finding.Vec(at), b.size)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil || !slices.ContainsFunc(found, func(o finding.Finding) bool {
			return o.Check == f.Check && finding.Rank(o.Severity) <= finding.Rank(f.Severity)
		}) {
			found = nil
		}
		b.found = append(b.found, found)
	}
	return b, nil
}

// probeOne tries one change.
func (a *adviser) probeOne(ctx context.Context, t *attempt, group []int, probes map[int]*probed) (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = ctx.Err() // it clears nothing; a build would tell of it
		}
	}()
	s := a.changed(t.moves)
	if s == nil {
		return ctx.Err()
	}
	for _, i := range group {
		f := &a.findings[i]
		if f.Base == "" {
			t.cleared[i] = !slices.ContainsFunc(inspection.OutOfScale(s), f.Same)
			continue
		}
		before := probes[i]
		cleared := true
		for k := 0; before != nil && k < len(before.found) && cleared; k++ {
			if before.found[k] == nil {
				continue
			}
			was, now := pieceOf(a.set.Pieces, f.Base), pieceOf(s.Pieces, f.Base)
			at := now.Pose.Invert(was.Pose.Apply(finding.Vec(before.at[k])))
			found, err := inspection.Probe(ctx, s, now, at, before.size)
			if ctx.Err() != nil {
				return ctx.Err()
			}
			cleared = err == nil && inspection.ClearedAt(before.found[k], found, f.Check, finding.Rank(f.Severity))
		}
		t.cleared[i] = cleared
	}
	return ctx.Err()
}

// errEnough ends the making of pieces that can change nothing more.
var errEnough = errors.New("enough")

// makeAll makes every piece that a change reaches, unless they are too many. Those with
// findings of the group come first: where none of these is cleared, the rest is spared.
func (a *adviser) makeAll(ctx context.Context, t *attempt, group []int) error {
	s := a.changed(t.moves)
	if s == nil {
		return ctx.Err()
	}
	pieces := s.Pieces
	concerned := func(p assembly.Piece) bool {
		return slices.ContainsFunc(group, func(i int) bool { return a.findings[i].Base == p.Name })
	}
	var reached []assembly.Piece
	now := map[string][]finding.Finding{}
	for i := range pieces {
		key, err := piece.SolidKey(ctx, s, &pieces[i], s.MeshOptions(&pieces[i]))
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil || key != a.keys[i] {
			reached = append(reached, pieces[i])
			continue
		}
		for _, f := range a.findings {
			if f.Base == pieces[i].Name {
				now[f.Base] = append(now[f.Base], f)
			}
		}
	}
	if len(reached) > a.makes {
		return nil
	}
	slices.SortStableFunc(reached, func(x, y assembly.Piece) int {
		switch cx, cy := concerned(x), concerned(y); {
		case cx && !cy:
			return -1
		case cy && !cx:
			return 1
		}
		return 0
	})
	measured := inspection.OutOfScale(s)
	err := piece.Produce(ctx, reached, piece.MakerFor(s, nil), func(int, float64) {}, func(i int, m piece.Result) error {
		a.makes--
		if m.Err != nil {
			return errEnough
		}
		now[reached[i].Name] = m.Inspection.Findings
		if concerned(reached[i]) && i+1 < len(reached) && !concerned(reached[i+1]) {
			t.whole = &outcome{s, flatten(pieces, now, measured)}
			if !slices.ContainsFunc(group, func(i int) bool { return a.clears(t, i) }) {
				return errEnough
			}
		}
		return nil
	})
	t.whole = nil
	if errors.Is(err, errEnough) {
		return ctx.Err()
	}
	if err == nil {
		t.whole = &outcome{s, flatten(pieces, now, measured)}
		a.made = append(a.made, t)
	}
	return err
}

// flatten lists the findings of pieces and of the scene.
func flatten(pieces []assembly.Piece, of map[string][]finding.Finding, scene []finding.Finding) (all []finding.Finding) {
	for _, p := range pieces {
		all = append(all, of[p.Name]...)
	}
	return finding.Join(append(all, scene...))
}

// isGone says whether a finding is not found where a change was made whole.
func (a *adviser) isGone(t *attempt, i int) bool {
	return t.whole != nil && !slices.ContainsFunc(t.whole.findings, a.findings[i].Same)
}

// clears says whether a change that was made whole clears a finding: it is gone, and
// nothing as grave has come.
func (a *adviser) clears(t *attempt, i int) bool {
	return a.isGone(t, i) && len(a.newFindings(t, finding.Rank(a.findings[i].Severity))) == 0
}

// newFindings lists what is found where a change was made whole, at least so grave, and was not
// before, or at fewer places, or less gravely.
func (a *adviser) newFindings(t *attempt, rank int) (all []finding.Finding) {
	for _, o := range t.whole.findings {
		if finding.Rank(o.Severity) > rank {
			continue
		}
		was := 0 // places
		for i := range a.findings {
			if o.Same(a.findings[i]) {
				was += max(1, a.findings[i].Count)
			}
		}
		if max(1, o.Count) > was {
			all = append(all, o)
		}
	}
	return all
}

// keepsCleared says whether a change that was made whole leaves cleared what others cleared.
func (a *adviser) keepsCleared(t *attempt) bool {
	for i := range a.findings {
		if v := a.findings[i].Advice; v != nil && len(v.Clears) > 0 && !a.isGone(t, i) {
			return false
		}
	}
	return true
}
