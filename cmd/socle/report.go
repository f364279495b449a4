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
		Long: `Report builds, proves and inspects the bases of a scene as build does and writes
SCENE.html and SCENE.json, without the solids.

The page holds all it needs and works without a network: the plan, the pictures,
every base to be turned by mouse, touch or keys, what the inspection found with a
picture of each place, what the set takes to print, the variants, the scene's
text, and how it was all made. The document holds the same for scripts.

It ends with 1 where the inspection has a stop.`,
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
		Long: `Picture builds the bases of a scene and draws them, as PNG, writing no solids:

  pictures/NAME/three-quarter, top, side, underside   the whole base
  pictures/NAME/stair-*, crater-*, breach-*, stand-*  details of it, near by
  pictures/NAME/findings, findings-underside          what the inspection found,
                                                      ringed, numbered as in the report
  SCENE-set                                           all bases on one sheet
  SCENE-variants                                      those of every variant, side by side

What was built is clay; where damage took material away, and what lies strewn
about, have tones of their own. The figure beside a base is the scene's
yardstick, the person that it is scaled against.

The setting is draft unless another is asked for. Build draws the same pictures
of what is printed.`,
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
