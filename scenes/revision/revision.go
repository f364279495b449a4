// Package revision reads a file as it was in a revision of the git repository that it
// lies in. A repository may come from anyone. So nothing is started, fetched or written,
// and neither the configuration of the repository nor the environment is looked at:
// only references and objects are read, by a library, to limits of size.
package revision

import (
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/filemode"
	"github.com/go-git/go-git/v5/plumbing/object"
	"github.com/go-git/go-git/v5/plumbing/storer"

	"socle/out/plainfile"
)

// Repository is one that a folder lies in.
type Repository struct {
	root    string // its working tree
	objects *objects
}

// Commit is what a revision stands for.
type Commit struct {
	Hash string // in full, hex

	in   *Repository
	tree *object.Commit
}

// ErrUnknown is the error of what is no revision of a repository.
var ErrUnknown = errors.New("git knows no such revision")

// Open finds the repository that a folder lies in, as git does: the nearest above it
// that has a .git (gitrepository-layout).
func Open(dir string) (*Repository, error) {
	dir, err := filepath.Abs(dir)
	if err == nil {
		dir, err = filepath.EvalSymlinks(dir)
	}
	if err != nil {
		return nil, err
	}
	for root := dir; ; root = filepath.Dir(root) {
		if own, common, ok := gitFolders(filepath.Join(root, ".git")); ok {
			return &Repository{root, openObjects(own, common)}, nil
		}
		if root == filepath.Dir(root) {
			return nil, errors.New("it lies in no git repository")
		}
	}
}

// mostPointer is more than any path takes, bytes.
const mostPointer = 8 << 10

// gitFolders gives the folder of git's own that a .git is or leads to, and the one that
// it shares with other working trees.
func gitFolders(dotGit string) (own, common files, ok bool) {
	dir := dotGit
	if info, err := os.Stat(dotGit); err != nil {
		return "", "", false
	} else if !info.IsDir() {
		to, ok := pointer(dotGit, "gitdir: ")
		if !ok {
			return "", "", false
		}
		dir = to
	}
	shared := dir
	if to, ok := pointer(filepath.Join(dir, "commondir"), ""); ok {
		shared = to
	}
	for _, p := range []string{filepath.Join(dir, "HEAD"), filepath.Join(shared, "objects"), filepath.Join(shared, "refs")} {
		if _, err := os.Stat(p); err != nil {
			return "", "", false
		}
	}
	return files(dir), files(shared), true
}

// pointer reads a file that names a folder, behind a prefix.
func pointer(file, prefix string) (string, bool) {
	text, err := plainfile.Read(file, mostPointer)
	to, ok := strings.CutPrefix(strings.TrimRight(string(text), "\r\n"), prefix)
	if err != nil || !ok || to == "" {
		return "", false
	}
	if to = filepath.FromSlash(to); !filepath.IsAbs(to) {
		to = filepath.Join(filepath.Dir(file), to)
	}
	return to, true
}

// broken makes a breakdown of the library over what no git has written an error.
func broken(err *error) {
	if fault := recover(); fault != nil {
		*err = fmt.Errorf("the repository is damaged: %v", fault)
	}
}

var (
	step   = regexp.MustCompile(`^(?:\^\{commit\}|\^\{\}|[~^]\d{0,6})`)
	hashed = regexp.MustCompile(`^[0-9a-fA-F]{4,40}$`) // git takes no fewer than four
)

// Commit finds what a revision stands for: a branch, a tag, HEAD or @, a hash or the
// beginning of one, with ~N and ^N behind it (gitrevisions). The error wraps ErrUnknown
// where it stands for nothing.
func (r *Repository) Commit(revision string) (found *Commit, err error) {
	defer broken(&err)
	unknown := fmt.Errorf("%w as %q", ErrUnknown, revision)
	name, steps := revision, ""
	if at := strings.IndexAny(revision, "~^"); at >= 0 {
		name, steps = revision[:at], revision[at:]
	}
	var commit *object.Commit
	commit, err = r.named(name)
	for err == nil && steps != "" {
		s := step.FindString(steps)
		if s == "" {
			return nil, unknown
		}
		steps = steps[len(s):]
		n := 1
		if digits := s[1:]; digits != "" && digits[0] != '{' {
			n, _ = strconv.Atoi(digits) // of six digits at most
		} else if digits != "" {
			n = 0
		}
		switch {
		case n == 0:
		case s[0] == '^':
			commit, err = commit.Parent(n - 1)
		default:
			for range n {
				if commit, err = commit.Parent(0); err != nil {
					break
				}
			}
		}
	}
	switch {
	case errors.Is(err, object.ErrParentNotFound), errors.Is(err, ErrUnknown):
		return nil, unknown
	case errors.Is(err, plumbing.ErrObjectNotFound):
		return nil, fmt.Errorf("the repository has not all of the history of %q: %w", revision, err)
	case err != nil:
		return nil, fmt.Errorf("%q: %w", revision, err)
	}
	return &Commit{commit.Hash.String(), r, commit}, nil
}

// named finds the commit of a name or a hash: of one in full before a name, and the
// beginning of one after it, as git does.
func (r *Repository) named(name string) (*object.Commit, error) {
	if name == "@" {
		name = "HEAD"
	}
	if plumbing.IsHash(name) {
		return r.peeled(plumbing.NewHash(name))
	}
	if strings.ContainsAny(name, " \\:?*[\x7f") || strings.Contains(name, "..") || strings.HasPrefix(name, "-") || name == "" {
		return nil, ErrUnknown // no reference is called so (git check-ref-format)
	}
	for _, rule := range append([]string{"%s"}, plumbing.RefRevParseRules...) {
		full := plumbing.ReferenceName(fmt.Sprintf(rule, name))
		if full.Validate() != nil && full != plumbing.HEAD {
			continue
		}
		if ref, err := storer.ResolveReference(r.objects.all[0], full); err == nil {
			return r.peeled(ref.Hash())
		}
	}
	if !hashed.MatchString(name) {
		return nil, ErrUnknown
	}
	even := name[:len(name)&^1]
	prefix, err := hex.DecodeString(even)
	if err != nil {
		return nil, ErrUnknown
	}
	found := map[plumbing.Hash]*object.Commit{}
	for _, h := range r.objects.beginning(prefix) {
		if strings.HasPrefix(h.String(), strings.ToLower(name)) {
			if c, err := r.peeled(h); err == nil {
				found[c.Hash] = c
			}
		}
	}
	if len(found) > 1 {
		return nil, fmt.Errorf("%d commits begin so", len(found))
	}
	for _, c := range found {
		return c, nil
	}
	return nil, ErrUnknown
}

// mostTags is how many tags may stand one on another.
const mostTags = 8

// peeled gives the commit of a hash, or of the tag that has it.
func (r *Repository) peeled(h plumbing.Hash) (*object.Commit, error) {
	for range mostTags {
		o, err := object.GetObject(r.objects, h)
		if err != nil {
			return nil, err
		}
		switch o := o.(type) {
		case *object.Commit:
			return o, nil
		case *object.Tag:
			h = o.Target
		default:
			return nil, ErrUnknown
		}
	}
	return nil, ErrUnknown
}

// Read gives a file, of at most so many bytes, as it was in the commit; dir is the
// folder that it lies in.
func (c *Commit) Read(dir, name string, most int64) (text []byte, err error) {
	defer broken(&err)
	dir, err = filepath.Abs(dir)
	if err == nil {
		dir, err = filepath.EvalSymlinks(dir)
	}
	if err != nil {
		return nil, err
	}
	within, err := filepath.Rel(c.in.root, dir)
	if err != nil {
		return nil, err
	}
	tree, err := c.tree.Tree()
	if err != nil {
		return nil, err
	}
	entry, err := tree.FindEntry(path.Join(filepath.ToSlash(within), name))
	switch {
	case errors.Is(err, object.ErrEntryNotFound), errors.Is(err, object.ErrDirectoryNotFound):
		return nil, fmt.Errorf("there is no %s in it", name)
	case err != nil:
		return nil, err
	case entry.Mode != filemode.Regular && entry.Mode != filemode.Executable && entry.Mode != filemode.Deprecated:
		return nil, fmt.Errorf("%s is %w in it", name, plainfile.ErrNotPlain)
	}
	size, err := c.in.objects.EncodedObjectSize(entry.Hash)
	if err != nil {
		return nil, fmt.Errorf("the repository has not the whole of it: %w", err)
	}
	if size > most {
		return nil, &plainfile.TooLargeError{Path: name, Most: most}
	}
	blob, err := object.GetBlob(c.in.objects, entry.Hash)
	if err != nil {
		return nil, err
	}
	from, err := blob.Reader()
	if err != nil {
		return nil, err
	}
	defer from.Close()
	return io.ReadAll(io.LimitReader(from, most))
}
