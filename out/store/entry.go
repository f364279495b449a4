package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
)

// An entry is a head and its data: the magic with the version of the layout, the
// key, the length of the data in 8 bytes, little end first, and the SHA-256 of key,
// length and data.
const (
	magic    = "socle e1"
	lengthAt = len(magic) + len(Key{})
	sumAt    = lengthAt + 8
	headSize = sumAt + sha256.Size
)

var errDamaged = errors.New("a damaged entry")

func head(k Key, data []byte) []byte {
	h := append([]byte(magic), k[:]...)
	h = binary.LittleEndian.AppendUint64(h, uint64(len(data)))
	return append(h, sum(h[len(magic):], data)...)
}

// sum is the SHA-256 of key and length, and the data.
func sum(told, data []byte) []byte {
	h := sha256.New()
	h.Write(told)
	h.Write(data)
	return h.Sum(nil)
}

// unpack gives the data of an entry which is whole and of that key.
func unpack(whole []byte, k Key) ([]byte, error) {
	if len(whole) < headSize {
		return nil, errDamaged
	}
	data := whole[headSize:]
	if !bytes.Equal(whole[:headSize], head(k, data)) {
		return nil, errDamaged
	}
	return data, nil
}
