// Package mesh turns a field into a proven solid.
package mesh
