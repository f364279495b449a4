package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"io"
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
	h := begin(k, int64(len(data)))
	sum := sha256.New()
	sum.Write(h[len(magic):])
	sum.Write(data)
	return sum.Sum(h)
}

// begin is the head of an entry up to the sum.
func begin(k Key, length int64) []byte {
	h := append([]byte(magic), k[:]...)
	return binary.LittleEndian.AppendUint64(h, uint64(length))
}

// check sees that a file of so many bytes is a whole entry of a key.
func check(file io.ReaderAt, size int64, k Key) error {
	var told [headSize]byte
	if _, err := file.ReadAt(told[:], 0); err != nil {
		return errDamaged
	}
	length := size - int64(headSize)
	if !bytes.Equal(told[:sumAt], begin(k, length)) {
		return errDamaged
	}
	sum := sha256.New()
	sum.Write(told[len(magic):sumAt])
	if _, err := io.Copy(sum, io.NewSectionReader(file, int64(headSize), length)); err != nil {
		return err
	}
	if !bytes.Equal(told[sumAt:], sum.Sum(nil)) {
		return errDamaged
	}
	return nil
}
