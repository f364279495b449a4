package set

import "context"

// Await gives what read gives, or the error of ctx as soon as ctx ends. What waits for
// a terminal or a pipe cannot be told to stop: it is left waiting.
func Await[T any](ctx context.Context, read func() (T, error)) (T, error) {
	type outcome struct {
		value T
		err   error
	}
	came := make(chan outcome, 1)
	go func() {
		value, err := read()
		came <- outcome{value, err}
	}()
	select {
	case o := <-came:
		return o.value, o.err
	case <-ctx.Done():
		var none T
		return none, ctx.Err()
	}
}
