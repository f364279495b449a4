// Package cache keeps what was made between runs, and says which socle made it. A cache is
// safe to delete: what it holds can be made again.
package cache

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"socle/cmd/set/words"
	"socle/out/store"
	"socle/sdf"
)

// What the environment says of the cache.
const (
	EnvCache      = "SOCLE_CACHE"       // its folder, or off
	envCacheLimit = "SOCLE_CACHE_LIMIT" // the most that it holds

	cacheOff        = "off"
	usualCacheLimit = 4 << 30 // bytes
	leastCacheLimit = 1 << 20 // less than a base takes would hold nothing
	mostCacheLimit  = 1 << 50
)

// Cache keeps what was made, each record by a digest of all that it depends on. A nil
// Cache keeps nothing.
type Cache struct{ *store.Store }

// Open opens the cache that the environment asks for; nil where it is off.
func Open() (*Cache, error) {
	dir, err := cacheDir()
	if err != nil || dir == "" {
		return nil, err
	}
	limit := int64(usualCacheLimit)
	if text := os.Getenv(envCacheLimit); text != "" {
		if limit, err = readSize(text); err != nil {
			return nil, fmt.Errorf("%s: %w", envCacheLimit, err)
		}
	}
	s, err := store.Open(dir, limit)
	if err != nil {
		return nil, fmt.Errorf("the cache: %w; set %s to another folder, or to %s", err, EnvCache, cacheOff)
	}
	return &Cache{s}, nil
}

// Find gives the record of a key, if there is one.
func (c *Cache) Find(key sdf.Digest) ([]byte, bool) {
	if c == nil {
		return nil, false
	}
	return c.Get(store.Key(key))
}

// Keep puts a record into the cache. What cannot be kept is made again next time, and
// that is all.
func (c *Cache) Keep(key sdf.Digest, encode func() ([]byte, error)) {
	if c == nil {
		return
	}
	if data, err := encode(); err == nil {
		_ = c.Put(store.Key(key), data)
	}
}

// cacheDir is the folder of the cache; "" where it is off.
func cacheDir() (string, error) {
	switch dir := os.Getenv(EnvCache); {
	case dir == cacheOff:
		return "", nil
	case strings.EqualFold(dir, cacheOff):
		return "", fmt.Errorf("%s is %q: allowed: a folder, or %s; did you mean %q?", EnvCache, dir, cacheOff, cacheOff)
	case dir != "":
		return dir, nil
	}
	of, err := os.UserCacheDir()
	if err != nil {
		return "", fmt.Errorf("there is no folder for the cache: %w; set %s to one, or to %s", err, EnvCache, cacheOff)
	}
	return filepath.Join(of, "socle"), nil
}

// sizeUnits are those of a size, largest first.
var sizeUnits = []struct {
	word  string
	bytes float64
}{
	{"TiB", 1 << 40}, {"GiB", 1 << 30}, {"MiB", 1 << 20}, {"KiB", 1 << 10},
}

// readSize reads a size as 2GiB.
func readSize(text string) (int64, error) {
	fault := fmt.Errorf("%q: allowed: a number and MiB, GiB or TiB, as 500MiB or 2GiB, from %s to %s", text, SizeInWords(leastCacheLimit), SizeInWords(mostCacheLimit))
	for _, u := range sizeUnits {
		number, ok := strings.CutSuffix(text, u.word)
		if !ok {
			continue
		}
		n, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if v := n * u.bytes; err == nil && v >= leastCacheLimit && v <= mostCacheLimit {
			return int64(math.Round(v)), nil
		}
		return 0, fault
	}
	for _, u := range sizeUnits { // 2gib, 2GB, 2G
		short := strings.ToLower(u.word[:1])
		number := strings.TrimRight(strings.ToLower(text), "ib")
		if n, ok := strings.CutSuffix(number, short); ok && u.word != "KiB" {
			if _, err := strconv.ParseFloat(strings.TrimSpace(n), 64); err == nil {
				return 0, fmt.Errorf("%w; did you mean %q?", fault, strings.TrimSpace(n)+u.word)
			}
		}
	}
	return 0, fault
}

// SizeInWords tells a size, bytes, to be read.
func SizeInWords(bytes int64) string {
	for _, u := range sizeUnits {
		if v := float64(bytes) / u.bytes; v >= 1 {
			return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) + " " + u.word
		}
	}
	return words.Count(int(bytes), "byte", "bytes")
}
