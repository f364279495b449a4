package set

// Progress is told how far work has come.
type Progress interface {
	Heading(text string) // what comes next
	Start(t Task) Bar
}

// Task is work on things of some names, one after the other.
type Task struct {
	What  string // as a whole: "building 4 bases"
	Word  string // for one that is done; "" for proven
	Names []string
}

// Bar is told how far one task has come.
type Bar interface {
	At(i int, share float64)          // of one that is done, 0 to 1; from any goroutine
	Made(i int, kept bool, err error) // one is done: made, taken from what was kept, or failed
	Done(i int, what string)          // one is done, and what came of it
	Tell(text string)                 // what one does not want to wait for; from any goroutine
	Finish()                          // may be called twice
}
