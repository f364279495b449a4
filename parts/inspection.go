package parts

import (
	"cmp"
	"fmt"
	"reflect"
)

// Inspection is how built solids are looked over: how they lie on the plate, what
// is done with loose and nearly loose bits, from which size on things are told,
// and how grave each finding is.
type Inspection struct {
	Laid   string  `key:"laid" type:"word" default:"flat" words:"flat,tilted" doc:"flat: on the plate, without supports. tilted: on supports; then islands, overhangs, bridges, the chamfer of the foot and hollows that the plate would close are not checked"`
	Tilt   float64 `key:"tilt" type:"angle" default:"30" min:"5" max:"85" doc:"how far a tilted base leans; its width on the plate and its height are checked at this angle" source:"15 to 45: common practice, no source"`
	Crumbs string  `key:"crumbs" type:"word" default:"drop" words:"drop,keep,stop" doc:"loose bits: drop removes and lists them, keep leaves them in, stop rejects the solid; a room without a way out is always filled"`
	Neck   string  `key:"neck" type:"word" default:"keep" words:"keep,cut,thicken,stop" doc:"bits on a neck that is too thin for the printer: keep reports them, cut removes them, thicken makes the neck thicker, stop rejects the solid"`

	Overhang float64  `key:"overhang" type:"machine" default:"1.5" min:"0" max:"50" doc:"how far a ledge may stand out over nothing" source:"resin: short ledges to 1 to 1.5, common practice; filament: the same, no source"`
	Bridge   float64  `key:"bridge" type:"machine" default:"3" filament:"5" min:"0" max:"100" doc:"how wide a span may be over nothing" source:"resin 2 to 5: common practice; filament 5, the cautious figure of bureau design-rule charts"`
	Slender  float64  `key:"slender" type:"number" default:"10" min:"1" max:"100" doc:"how long a pin may be, as a multiple of its thickness" source:"common practice, no source"`
	Island   float64  `key:"island" type:"number" unit:"mm2" default:"0.05" min:"0" max:"1000" doc:"the smallest island to report" source:"common practice, no source"`
	Piece    float64  `key:"piece" type:"machine" default:"2" min:"0.1" max:"100" doc:"from this length on, in one direction at least, a bit counts as a part of the scene and not as a crumb; with the severity harm, losing a smaller bit is a note, and losing a larger one is a warning" source:"common practice, no source"`
	Lost     *float64 `key:"lost" type:"machine" min:"0" max:"500" doc:"from this length on, a dropped loose piece or a filled room stops the print; left out: never"`
	Void     float64  `key:"void" type:"number" unit:"mm3" default:"0.1" min:"0" max:"100000" doc:"the smallest hollow without a way out to report" source:"common practice, no source"`

	Severities Severities `key:"severity" type:"table" doc:"how severe each finding is: stop gives exit code 1, warn and note do not; harm is a warning if much is lost, as each check says, and otherwise a note"`
}

// The severities of a finding.
const (
	SeverityStop = "stop" // it will not print, or not be of use
	SeverityWarn = "warn" // it may fail
	SeverityNote = "note" // worth knowing

	// severityHarm is a warning where a finding does much harm, and a note else.
	severityHarm = "harm"
)

// Severities is the severity of each check.
type Severities struct {
	Stair         string `key:"stair" type:"word" words:"stop,warn,note,harm" default:"warn" doc:"risers, goings and pitch that the stair's profile does not allow: it looks wrong beside a figure"`
	UnevenRisers  string `key:"uneven-risers" type:"word" words:"stop,warn,note,harm" default:"warn" doc:"risers of one flight that differ, measured on the solid: one step looks wrong"`
	Rail          string `key:"rail" type:"word" words:"stop,warn,note,harm" default:"warn" doc:"a rail whose height the profile does not allow: it looks wrong beside a figure"`
	Opening       string `key:"opening" type:"word" words:"stop,warn,note,harm" default:"note" doc:"balusters further apart than the profile allows: the print's least thickness leaves no other way"`
	Unit          string `key:"unit" type:"word" words:"stop,warn,note,harm" default:"note" doc:"joints, bricks and stones drawn larger than life, so that they print"`
	ThinWall      string `key:"thin-wall" type:"word" words:"stop,warn,note,harm" default:"harm" doc:"a wall under the least thickness: it warps, tears or comes out with holes; harm: from piece on, two ways"`
	ThinPin       string `key:"thin-pin" type:"word" words:"stop,warn,note,harm" default:"harm" doc:"a pin under the least thickness: it snaps in the wash or in handling; harm: as long as piece"`
	Hair          string `key:"hair" type:"word" words:"stop,warn,note,harm" default:"harm" doc:"a pin so thin that it is not formed: it will be missing, or float in the vat; harm: as long as piece"`
	SlenderPin    string `key:"slender-pin" type:"word" words:"stop,warn,note,harm" default:"harm" doc:"a pin long for its thickness: it bends as it prints, and snaps; harm: as long as piece"`
	NarrowGap     string `key:"narrow-gap" type:"word" words:"stop,warn,note,harm" default:"note" doc:"a gap under the least width: it closes"`
	ShallowRelief string `key:"shallow-relief" type:"word" words:"stop,warn,note,harm" default:"note" doc:"relief under the least depth: it hardly shows"`
	Island        string `key:"island" type:"word" words:"stop,warn,note,harm" default:"warn" doc:"a piece of a layer with nothing beneath it: it prints loose, or not at all"`
	Overhang      string `key:"overhang" type:"word" words:"stop,warn,note,harm" default:"harm" doc:"a ledge that stands out over nothing: its underside sags; harm: from twice [inspect] overhang on"`
	Bridge        string `key:"bridge" type:"word" words:"stop,warn,note,harm" default:"harm" doc:"a span over nothing: its middle sags; harm: from twice [inspect] bridge on"`
	SealedVoid    string `key:"sealed-void" type:"word" words:"stop,warn,note,harm" default:"stop" doc:"a hollow with no way out: trapped resin leaks or cracks the print later"`
	FilledVoid    string `key:"filled-void" type:"word" words:"stop,warn,note,harm" default:"harm" doc:"a room with no way out, that was filled: the piece is not what the scene says; harm: from piece on"`
	LiddedVoid    string `key:"lidded-void" type:"word" words:"stop,warn,note,harm" default:"harm" doc:"a hollow that the plate closes: it traps resin and pulls at every lift; harm: from piece on"`
	Drain         string `key:"drain" type:"word" words:"stop,warn,note,harm" default:"warn" doc:"a room whose widest way out is under [printer] vent: resin stays in it, and leaks or cracks the print later"`
	Vent          string `key:"vent" type:"word" words:"stop,warn,note,harm" default:"warn" doc:"a way out too narrow to drain, or only one: resin stays in the hollow"`
	Suction       string `key:"suction" type:"word" words:"stop,warn,note,harm" default:"note" doc:"a large jump of area between layers: a line may show, or the print pull off"`
	Foot          string `key:"foot" type:"word" words:"stop,warn,note,harm" default:"warn" doc:"a foot with too little chamfer for the swelling of the first layers: the base rocks"`
	UnevenFoot    string `key:"uneven-foot" type:"word" words:"stop,warn,note,harm" default:"stop" doc:"an underside that is not flat: it does not hold to the plate, nor stand"`
	Bow           string `key:"bow" type:"word" words:"stop,warn,note,harm" default:"warn" doc:"a slab so thin and wide that it may bow as it cures"`
	Plate         string `key:"plate" type:"word" words:"stop,warn,note,harm" default:"stop" doc:"larger than the plate, or taller than the printer prints"`
	Pocket        string `key:"pocket" type:"word" words:"stop,warn,note,harm" default:"stop" doc:"a pocket that is too tight or too loose for its magnet"`
	Skin          string `key:"skin" type:"word" words:"stop,warn,note,harm" default:"stop" doc:"too little left over a magnet: it shows through, or breaks out"`
	Stand         string `key:"stand" type:"word" words:"stop,warn,note,harm" default:"stop" doc:"a stand that is not flat, not level or not clear above: the figure does not fit"`
	StandLevel    string `key:"stand-level" type:"word" words:"stop,warn,note,harm" default:"stop" doc:"a stand that is cut into the floor beside it, or stands above it: it lies at another level. If damage or a spill is the cause, or the stand is a plinth, it is a note"`
	RoughStand    string `key:"rough-stand" type:"word" words:"stop,warn,note,harm" default:"warn" doc:"relief too high where a figure would stand: it does not sit"`
	Bare          string `key:"bare" type:"word" words:"stop,warn,note,harm" default:"note" doc:"over a tenth of the top of a base, outside smooth stands, is dead flat: paint finds nothing to catch there" source:"a tenth: common practice, no source"`
	Crumb         string `key:"crumb" type:"word" words:"stop,warn,note,harm" default:"harm" doc:"loose bits: dropped, or left to drift in the vat; harm: from piece on"`
	Neck          string `key:"neck" type:"word" words:"stop,warn,note,harm" default:"harm" doc:"a bit that hangs by less than the printer can hold: it comes off in the vat, the wash or the hand; harm: from piece on"`
}

// InspectionCheck is one of the checks of an inspection.
type InspectionCheck struct {
	Word    string // "thin-pin"
	Doc     string // what it means at the printer, one line
	Default string // its severity where the scene does not say
}

// InspectionChecks lists every check, in the order of Severities.
func InspectionChecks() []InspectionCheck {
	keys := KeysOf(reflect.TypeFor[Severities]())
	checks := make([]InspectionCheck, len(keys))
	for i, k := range keys {
		checks[i] = InspectionCheck{Word: k.Word, Doc: k.Doc, Default: k.Default}
	}
	return checks
}

// Severity gives the severity of a finding of a check by its word: as it was set,
// or by default. Great says that it does much harm. A word that is no check is a
// programming error and panics.
func (i *Inspection) Severity(check string, great bool) string {
	for _, k := range KeysOf(reflect.TypeFor[Severities]()) {
		if k.Word != check {
			continue
		}
		severity := cmp.Or(reflect.ValueOf(i.Severities).FieldByIndex(k.Index).String(), k.Default)
		switch {
		case severity != severityHarm:
			return severity
		case great:
			return SeverityWarn
		}
		return SeverityNote
	}
	panic(fmt.Sprintf("parts: no check is called %q", check))
}
