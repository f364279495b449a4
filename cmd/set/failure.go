package set

import (
	"errors"
	"fmt"

	"socle/scenes"
)

// Kind says what a failure means for whoever asked.
type Kind int

const (
	Faulty     Kind = iota + 1 // the scene, or what is asked of it, is at fault
	NotProven                  // a solid could not be proven, does not fit or will not print
	NotWritten                 // a file could not be written
)

// Failure is an error with its kind. Err is nil where all that there is to say has been said.
type Failure struct {
	Kind Kind
	Err  error
}

func (f *Failure) Error() string {
	if f.Err == nil {
		return fmt.Sprintf("failure of kind %d", f.Kind)
	}
	return f.Err.Error()
}

func (f *Failure) Unwrap() error { return f.Err }

// IsNotProven says whether an error means no more than that something was not proven, does
// not fit or will not print.
func IsNotProven(err error) bool {
	var f *Failure
	return errors.As(err, &f) && f.Kind == NotProven
}

// AsFaulty makes the failure of a faulty scene: all faults as they point into the
// text, then how many there are.
func AsFaulty(err error) error {
	var faults *scenes.Faults
	if errors.As(err, &faults) {
		return &Failure{Faulty, fmt.Errorf("the scene has errors\n\n%w\n\n%s", faults, faults.Summary())}
	}
	return &Failure{Faulty, err}
}
