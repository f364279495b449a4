// Package partstest holds sites and stand-ins for the tests of parts.
package partstest
