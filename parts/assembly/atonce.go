package assembly

import (
	"context"

	"socle/sdf/workers"
)

// atOnce does n pieces of work that do not hang on each other, on all processors. A panic in
// one is a panic here.
func atOnce(n int, do func(i int)) {
	err := workers.ForEach(context.Background(), n, func(_, i int) error {
		do(i)
		return nil
	})
	if err != nil {
		panic(err)
	}
}
