// Package deck is the deck: a raised floor.
package deck
