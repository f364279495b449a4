// Package sdftest probes fields in tests.
package sdftest
