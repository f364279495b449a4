// Package works is the iron and the lines of works, yards and railways: girders, track,
// pipes, tanks and drums, gratings, ladders, ducts and chimneys.
package works
