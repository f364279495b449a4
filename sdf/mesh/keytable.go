package mesh

// keyTable maps small keys to numbers: a hash table that is emptied in no
// time, for the edges and faces of one block.
type keyTable struct {
	slots []keySlot
	used  int
	era   uint32
}

type keySlot struct {
	key, era uint32
	value    int32
}

const keyTableStart = 1 << 12

// reset empties the table.
func (t *keyTable) reset() {
	if t.slots == nil {
		t.slots = make([]keySlot, keyTableStart)
	}
	t.used = 0
	t.era++
	if t.era == 0 {
		clear(t.slots)
		t.era = 1
	}
}

func (t *keyTable) slot(key uint32) *keySlot {
	mask := uint32(len(t.slots) - 1)
	h := key * 0x9e3779b1
	for i := (h ^ h>>15) & mask; ; i = (i + 1) & mask {
		s := &t.slots[i]
		if s.era != t.era || s.key == key {
			return s
		}
	}
}

// get gives the value of key; 0, false where it has none.
func (t *keyTable) get(key uint32) (int32, bool) {
	s := t.slot(key)
	if s.era != t.era {
		return 0, false
	}
	return s.value, true
}

// put sets the value of a key.
func (t *keyTable) put(key uint32, value int32) {
	if 2*t.used >= len(t.slots) {
		old := t.slots
		t.slots = make([]keySlot, 2*len(old))
		for _, s := range old {
			if s.era == t.era {
				*t.slot(s.key) = s
			}
		}
	}
	s := t.slot(key)
	if s.era != t.era {
		t.used++
	}
	*s = keySlot{key: key, era: t.era, value: value}
}
