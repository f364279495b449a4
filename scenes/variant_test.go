package scenes

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"
)

const quayVariants = quay + `
[[variant]]
name = "storm"
extends = "low"
set = { stair.water-stair.width = 12, "base.base-1.magnet[0].disc" = [4, 1] }
[[variant]]
name = "low"
set = { "levels.mole" = 6, stair.water-stair.width = 20 }
`

// TestWithIsAsIfRead: sets over a scene that was read give what reading it with
// them does, and over a variant what its changes as sets before them do.
func TestWithIsAsIfRead(t *testing.T) {
	s, err := Read("quay.toml", []byte(quayVariants), []string{"seed=4"})
	require.NoError(t, err)
	sets := []string{"stair.water-stair.width=30", "levels.quay = 2"}
	with, err := s.With(sets)
	require.NoError(t, err)
	read, err := Read("quay.toml", []byte(quayVariants), append([]string{"seed=4"}, sets...))
	require.NoError(t, err)
	require.Equal(t, read.Site, with.Site)
	require.Equal(t, "seed=4, stair.water-stair.width=30, levels.quay = 2", with.Described())
	require.NotEqual(t, s.Site, with.Site)

	storm, err := s.Variant("storm")
	require.NoError(t, err)
	with, err = storm.With([]string{"levels.quay=2"})
	require.NoError(t, err)
	read, err = Read("quay.toml", []byte(quayVariants), []string{
		"seed=4", "levels.mole=6", "stair.water-stair.width=12", "base.base-1.magnet[0].disc=[4, 1]", "levels.quay=2"})
	require.NoError(t, err)
	require.Equal(t, read.Site, with.Site)
	require.Equal(t, "storm, seed=4, levels.quay=2", with.Described())

	again, err := with.With([]string{"levels.quay=1"})
	require.NoError(t, err)
	require.Equal(t, 1.0, again.Site.Levels["quay"])
	require.Equal(t, 2.0, with.Site.Levels["quay"], "what is laid over a scene leaves it as it is")

	same, err := storm.With(nil)
	require.NoError(t, err)
	require.Same(t, storm, same)
	plain, err := Read("quay.toml", []byte(quay), nil)
	require.NoError(t, err)
	require.Equal(t, "as it is", plain.Described())
}

// TestWithPointsIntoItsTexts: its faults are those that --set has.
func TestWithPointsIntoItsTexts(t *testing.T) {
	s, err := Read("quay.toml", []byte(quayVariants), nil)
	require.NoError(t, err)
	for _, set := range []string{
		"stair.water-stair.widht=30", "stair.water-stair.width=wide", "nothing=1", "scale.ratio=0", "stair.water-stair.to=1", "levels.quay=[1,",
	} {
		_, err := s.With([]string{"seed=1", set})
		var faults, read *Faults
		require.ErrorAs(t, err, &faults, set)
		_, err = Read("quay.toml", []byte(quay), []string{"seed=1", set})
		require.True(t, errors.As(err, &read), set)
		require.Equal(t, read.Error(), faults.Error())
	}
}
