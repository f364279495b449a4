// Package examples builds and draws the example of each kind of part, for the page of the
// catalogue.
package examples

import (
	"bytes"
	"context"
	"fmt"
	"image/png"

	"socle/cmd/set"
	"socle/cmd/set/look"
	"socle/cmd/set/words"
	"socle/out/catalogue"
	"socle/out/picture"
	"socle/out/plan"
	"socle/scenes"
	"socle/sdf/mesh"
)

// Sizes of what is drawn. At this cell an example takes about two seconds.
const (
	cell     = 0.4 // of the mesh, mm
	width    = 360 // of a picture, pixels
	height   = 270
	planSide = 46.0 // of a plan, mm: a base and a little about it
)

// Page gives the page of the kind called word, or of all for "", with their examples drawn.
// made says by what.
func Page(ctx context.Context, word, made string, progress set.Progress) (*catalogue.Catalogue, error) {
	entries, err := scenes.PageEntries(word)
	if err != nil {
		return nil, err
	}
	c := page(entries)
	c.Made = made
	if word != "" {
		c.Title = "The part " + word
	}
	var shown []*catalogue.Kind
	var task set.Task
	for i := range c.Groups {
		for j := range c.Groups[i].Kinds {
			if k := &c.Groups[i].Kinds[j]; k.Example != "" {
				shown = append(shown, k)
				task.Names = append(task.Names, k.Word)
			}
		}
	}
	task.What = "drawing " + words.Count(len(shown), "example", "examples")
	bar := progress.Start(task)
	defer bar.Finish()
	for i, k := range shown {
		if err := draw(ctx, k, func(share float64) { bar.At(i, share) }); err != nil {
			return nil, err
		}
		bar.Done(i, "drawn")
	}
	return c, ctx.Err()
}

// page gives the page of entries, with nothing drawn. The scene's own tables come last.
func page(entries []scenes.PageEntry) *catalogue.Catalogue {
	c := &catalogue.Catalogue{
		Title: "What a scene is made of", Around: scenes.ExampleAround(),
		Lead: "Each part with an example, as it prints on a round base of 44 mm at 1:56, and as the plan draws it. To use an example, copy its text into a scene.",
	}
	for _, own := range []bool{false, true} {
		for _, e := range entries {
			if own != (e.Stage == "") {
				continue
			}
			k := catalogue.Kind{Word: e.Word, Doc: e.Doc, Written: e.Written, Example: e.Example, Note: e.Note}
			for _, key := range e.Keys {
				k.Keys = append(k.Keys, catalogue.Key(key))
			}
			add(c, e.Group, k)
		}
	}
	return c
}

// add adds a kind to its group.
func add(c *catalogue.Catalogue, name string, k catalogue.Kind) {
	for i := range c.Groups {
		if c.Groups[i].Name == name {
			c.Groups[i].Kinds = append(c.Groups[i].Kinds, k)
			return
		}
	}
	c.Groups = append(c.Groups, catalogue.Group{Name: name, Kinds: []catalogue.Kind{k}})
}

// cut reads an example of a kind and cuts its base out.
func cut(word, example string) (*set.Set, error) {
	read, err := scenes.Read(word, []byte(scenes.ExampleScene(word, example)), nil)
	if err != nil {
		return nil, err
	}
	s := set.New(word, read)
	size := cell
	if err := s.Settle(&set.Options{Setting: set.SettingDraft, Cell: &size}); err != nil {
		return nil, err
	}
	return s.Cut(nil)
}

// draw builds the example of a kind and draws it.
func draw(ctx context.Context, k *catalogue.Kind, share func(float64)) error {
	failed := func(err error) error { return fmt.Errorf("the example of %s: %w", k.Word, err) }
	s, err := cut(k.Word, k.Example)
	if err != nil {
		return failed(err)
	}
	p := &s.Pieces[0]
	o := s.MeshOptions(p)
	o.Progress = share
	solid, err := mesh.Build(ctx, p.Field, o)
	if err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return &set.Failure{Kind: set.NotProven, Err: failed(err)}
	}
	view := picture.ThreeQuarter
	subject, err := (&look.Renderer{Set: s}).Small(ctx, p, solid, view.Azimuth)
	if err != nil {
		return err
	}
	var file bytes.Buffer
	drawn := subject.Draw(picture.Options{Width: width, Height: height, Supersample: 3, View: view, NoScaleBar: true})
	small := png.Encoder{CompressionLevel: png.BestCompression} // there are many on a page
	if err := small.Encode(&file, drawn); err != nil {
		return failed(err)
	}
	k.Picture, k.Alt = file.Bytes(), fmt.Sprintf("A base with an example of %s: %s", k.Word, k.Doc)

	d := look.PlanOf(s)
	at := d.Bases[0].At
	d.Min, d.Max = plan.Point{X: at.X - planSide/2, Y: at.Y - planSide/2}, plan.Point{X: at.X + planSide/2, Y: at.Y + planSide/2}
	var symbol bytes.Buffer
	if err := plan.WriteSymbol(&symbol, d); err != nil {
		return failed(err)
	}
	k.Plan = symbol.Bytes()
	return nil
}
