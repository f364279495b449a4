// Package trial has three kinds that are in no catalogue: a dolphin, a raft and a scorch
// pit. Its test shows that all a kind needs is its own folder.
package trial
