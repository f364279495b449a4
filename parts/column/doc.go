// Package column is the column.
package column
