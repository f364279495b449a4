package jobs

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"gonum.org/v1/gonum/spatial/r3"

	"socle/cmd/set"
	"socle/cmd/set/build"
	"socle/cmd/set/cache"
	"socle/cmd/set/finding"
	"socle/cmd/set/output"
	"socle/cmd/set/piece"
	"socle/cmd/set/words"
	"socle/out/plainfile"
	"socle/sdf/mesh"
)

// A piece file is one piece, made on one machine to be gathered on another: the
// magic with the version of the layout, the length of what is told of it in 4 bytes,
// little end first, that as JSON, the record, and the SHA-256 of all before it.
const (
	pieceMagic    = "socle piece 1\n"
	mostPieceFile = 1 << 30 // bytes: some ten million triangles and their pictures
	mostPieceTold = 1 << 20 // bytes
)

// Header is what a piece file says of itself.
type Header struct {
	Scene   string // its name
	Text    string // SHA-256 of the scene's text, hex
	Variant string // "" for the scene as it is
	Piece   string
	Tool    string
	Key     string  // hex
	Failed  string  // why there is no record, "" where there is one
	At      *r3.Vec // where it could not be proven

	sum string // of the whole file, once it is read
}

// headerFor gives what the file of a piece must say of itself.
func headerFor(s *set.Set, variant, piece string, key [32]byte) (Header, error) {
	tool, err := cache.Tool()
	return Header{Scene: s.Name, Text: textSum(s.Read.Text()), Variant: variant, Piece: piece, Tool: tool, Key: hex.EncodeToString(key[:])}, err
}

func textSum(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

// PackPiece gives a piece file. A piece that could not be made has one too, which
// says why: the gather tells of it as a build would have done.
func PackPiece(header Header, m piece.Result) ([]byte, error) {
	var record []byte
	var err error
	if m.Err != nil {
		header.Failed = m.Err.Error()
		var proof *mesh.ProofError
		if errors.As(m.Err, &proof) {
			header.At = &proof.At
		}
	} else if record, err = piece.EncodeRecord(m); err != nil {
		return nil, err
	}
	head, err := json.Marshal(header)
	if err != nil {
		return nil, err
	}
	whole := binary.LittleEndian.AppendUint32([]byte(pieceMagic), uint32(len(head)))
	whole = append(append(whole, head...), record...)
	if len(head) > mostPieceTold || len(whole)+sha256.Size > mostPieceFile {
		return nil, fmt.Errorf("its piece file would take %s: allowed: %s", cache.SizeInWords(int64(len(whole))), cache.SizeInWords(mostPieceFile))
	}
	sum := sha256.Sum256(whole)
	return append(whole, sum[:]...), nil
}

var errCorruptPiece = errors.New("it is damaged or incomplete")

// UnpackPiece gives what a piece file of so many bytes says of itself and its record,
// once it is known to be whole. Until then it takes memory only for what it says.
func UnpackPiece(file io.ReaderAt, size int64) (header Header, record *io.SectionReader, err error) {
	const start = int64(len(pieceMagic) + 4)
	body := size - sha256.Size
	if body < start || size > mostPieceFile {
		return header, nil, errCorruptPiece
	}
	var begin [start]byte
	if _, err := file.ReadAt(begin[:], 0); err != nil || string(begin[:len(pieceMagic)]) != pieceMagic {
		return header, nil, errCorruptPiece
	}
	length := int64(binary.LittleEndian.Uint32(begin[len(pieceMagic):]))
	if length > min(body-start, mostPieceTold) {
		return header, nil, errCorruptPiece
	}
	sum, end := sha256.New(), make([]byte, sha256.Size)
	if _, err := io.Copy(sum, io.NewSectionReader(file, 0, body)); err != nil {
		return header, nil, err
	}
	if _, err := file.ReadAt(end, body); err != nil || !bytes.Equal(sum.Sum(nil), end) {
		return header, nil, errCorruptPiece
	}
	head := make([]byte, length)
	if _, err := file.ReadAt(head, start); err != nil || json.Unmarshal(head, &header) != nil {
		return header, nil, errCorruptPiece
	}
	header.sum = string(end)
	return header, io.NewSectionReader(file, start+length, body-start-length), nil
}

// readPiece reads the file of a piece that is wanted, and refuses any other.
//
// told is what it says of itself, with its sum: wanted again, it must be the same file.
func readPiece(path string, want Header) (m piece.Result, header Header, err error) {
	f, info, err := plainfile.Open(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return m, header, errors.New("it is missing")
	case errors.Is(err, plainfile.ErrNotPlain):
		return m, header, errCorruptPiece
	case err != nil:
		return m, header, err
	}
	defer f.Close()
	var record *io.SectionReader
	header, record, err = UnpackPiece(f, info.Size())
	if err == nil {
		err = header.differs(want)
	}
	if err != nil {
		return m, header, err
	}
	if header.Failed != "" {
		return piece.Result{Err: &remoteFailure{header}}, header, nil
	}
	data := make([]byte, record.Size())
	if _, err := io.ReadFull(record, data); err != nil {
		return m, header, err
	}
	if m, err = piece.DecodeRecord(data); err != nil {
		return m, header, fmt.Errorf("its record cannot be read: %w", err)
	}
	return m, header, nil
}

// differs says how a piece is not the one that is wanted.
func (h *Header) differs(want Header) error {
	asIs := func(variant string) string {
		if variant == "" {
			return "the scene as it is"
		}
		return "the variant " + words.PlainLine(variant)
	}
	switch {
	case h.Text != want.Text:
		return errors.New("it was made from another version of the scene")
	case h.Variant != want.Variant:
		return fmt.Errorf("it belongs to %s, not to %s", asIs(h.Variant), asIs(want.Variant))
	case h.Piece != want.Piece:
		return fmt.Errorf("it is the piece %q", h.Piece)
	case h.Tool != want.Tool:
		return fmt.Errorf("another socle made it: %s, not %s", h.Tool, want.Tool)
	case h.Scene != want.Scene:
		return fmt.Errorf("it belongs to the scene %q", h.Scene)
	case want.sum != "" && h.sum != want.sum:
		return errors.New("it was changed while it was read")
	case h.Key != want.Key:
		return errors.New("it was made with another setting, other values or another printer")
	}
	return nil
}

// remoteFailure is why a piece could not be made elsewhere.
type remoteFailure struct{ Header }

func (f *remoteFailure) Error() string { return words.Plain(f.Failed) }

func (f *remoteFailure) Unwrap() error {
	if f.At == nil {
		return nil
	}
	return &mesh.ProofError{At: *f.At, Why: f.Error()}
}

// Make makes the one piece of a set and writes its file to path. What has a stop is
// written all the same: it is the gather that holds it back, as a build does. Then held is
// what was found on it.
func Make(ctx context.Context, s *set.Set, o *build.Options, path string, tell func(string)) (held []finding.Finding, err error) {
	if len(s.Pieces) != 1 || len(o.Bases) != 1 {
		return nil, fmt.Errorf("--piece builds one base: --base gives %s; choose one of: %s", words.Count(len(s.Pieces), "base", "bases"), set.ListNames(s.Pieces))
	}
	p := &s.Pieces[0]
	renderer := o.Renderer(s)
	key, err := piece.Key(ctx, s, p, renderer)
	if err != nil {
		return nil, err
	}
	header, err := headerFor(s, o.Variant, p.Name, key)
	if err != nil {
		return nil, err
	}
	m := piece.MakerFor(s, renderer)(ctx, p, func(float64) {})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	data, err := PackPiece(header, m)
	if err != nil {
		return nil, err
	}
	files := &output.Folder{Path: filepath.Dir(path), Tell: tell}
	defer files.Discard()
	if _, err = files.Add(filepath.Base(path), func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	}); err == nil {
		_, err = files.Commit()
	}
	if err != nil {
		return nil, &set.Failure{Kind: set.NotWritten, Err: err}
	}
	if m.Err != nil {
		return nil, &set.Failure{Kind: set.NotProven, Err: fmt.Errorf("%s: %w", p.Name, m.Err)}
	}
	if stops := finding.TallyOf(m.Inspection.Findings).Stops; stops > 0 && o.Formats.HoldStops(s.Scene) {
		return m.Inspection.Findings, &set.Failure{Kind: set.NotProven, Err: fmt.Errorf("%s: the inspection found %s", p.Name, words.Count(stops, "stop", "stops"))}
	}
	return nil, nil
}
