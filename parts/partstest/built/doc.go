// Package built puts sites of tests together.
package built
