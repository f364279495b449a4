//go:build faults

package out

import (
	"errors"
	"fmt"
	"os"
	"sync/atomic"
)

// A command that is built with the tag faults fails at a step of its choice: SOCLE_FAULT
// is "kill N" or "fail N". It is for tests alone.
func init() {
	var how string
	var at, now int64
	if _, err := fmt.Sscan(os.Getenv("SOCLE_FAULT"), &how, &at); err != nil {
		return
	}
	atStep = func(step string) error {
		if atomic.AddInt64(&now, 1) != at {
			return nil
		}
		if how == "kill" {
			self, _ := os.FindProcess(os.Getpid())
			_ = self.Kill()
			select {}
		}
		return errors.New("the disk failed, at: " + step)
	}
}
