package parts

import "reflect"

// Seeded is what a part's random choices are picked by.
type Seeded struct {
	Part string // its name; "" for the scene's own seed
	Seed uint64
}

// Seeds lists the scene's own seed and then those of its parts, in the order of
// the file.
func (s *Site) Seeds() []Seeded {
	all := []Seeded{{"", s.Seed}}
	for _, p := range s.Parts {
		v := reflect.ValueOf(p).Elem()
		for _, k := range KeysOf(v.Type()) {
			if k.Type == Seed {
				all = append(all, Seeded{p.Label(), v.FieldByIndex(k.Index).Uint()})
			}
		}
	}
	return all
}
