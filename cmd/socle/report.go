package main

import (
	"github.com/spf13/cobra"

	"socle/cmd/set"
)

func reportCmd() *cobra.Command {
	var f buildFlags
	cmd := &cobra.Command{
		Use:   "report SCENE",
		Short: "Write the report of a scene's bases: one page to open in a browser, and JSON",
		Long: `Report builds, proves and inspects the bases of a scene as build does. It writes
SCENE.html and SCENE.json, without the solids.

The page needs no other files and no network. It shows the plan, the pictures, every
base as a solid to turn by mouse, touch or keys, the findings with a picture of each
place, material and time, the variants, the scene's text, and how it was all made. The
JSON document holds the same for scripts.

The exit code is 1 if the inspection has a stop.`,
		Example: `  socle report harbour.toml
  socle report saltmere-quay --setting draft --to quay`,
		Args: oneScene,
		RunE: func(cmd *cobra.Command, args []string) error {
			f.Formats = set.Formats{set.FormatHTML, set.FormatJSON}
			if err := f.valid(true); err != nil {
				return err
			}
			return f.failed(cmd, f.build(cmd, args[0]))
		},
		ValidArgsFunction: completeScene,
	}
	f.add(cmd, set.SettingFine)
	f.toFlag(cmd.Flags())
	f.adviseFlag(cmd.Flags())
	return cmd
}

func pictureCmd() *cobra.Command {
	var f buildFlags
	cmd := &cobra.Command{
		Use:   "picture SCENE",
		Short: "Draw the bases of a scene from all sides, and all of them on one sheet",
		Long: `Picture builds the bases of a scene and draws them as PNG. It writes no solids:

  pictures/NAME/three-quarter, top, side, underside   the whole base
  pictures/NAME/life-size                             the same, as large as it prints
  pictures/NAME/stair-*, crater-*, breach-*, stand-*  close-ups
  pictures/NAME/findings, findings-underside          the findings, ringed and numbered
                                                      as in the report
  SCENE-set                                           all bases on one sheet
  SCENE-life-size                                     all bases as large as they print
  SCENE-variants                                      the bases of every variant

Built parts have the colour of clay. Surfaces cut by damage are darker, loose debris
is paler. The figure beside a base is the scene's yardstick: the person that the scene
is scaled to.

A picture at the size of life has 96 pixels for each inch of the print across the
view, and no perspective. --size does not change it.

The first picture is in its place at once: it is drawn from a quick look at the base,
before that is meshed. All pictures appear together at the end, drawn from the solids;
those of variants are drawn from looks.

The setting is draft unless you choose another. Build draws the same pictures of the
bases that you print.`,
		Example: `  socle picture harbour.toml
  socle picture saltmere-quay --base walker --view three-quarter,details
  socle picture saltmere-quay --base walker --from -120,35 --size 1600x1200
  socle picture saltmere-quay --view variants`,
		Args: oneScene,
		RunE: func(cmd *cobra.Command, args []string) error {
			f.Formats, f.Every = set.Formats{set.FormatPNG}, true
			if err := f.valid(true); err != nil {
				return err
			}
			return f.failed(cmd, f.build(cmd, args[0]))
		},
		ValidArgsFunction: completeScene,
	}
	f.add(cmd, set.SettingDraft)
	f.toFlag(cmd.Flags())
	viewFlag(cmd.Flags(), &f.Request)
	cmd.Flags().StringVar(&f.From, "from", "", "one more picture, from `AZIMUTH,ELEVATION`: degrees anticlockwise from east, and above the ground")
	sizeFlag(cmd.Flags(), &f.Request)
	return cmd
}
