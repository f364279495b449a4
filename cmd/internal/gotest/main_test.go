package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const events = `{"Action":"start","Package":"p"}
{"Action":"run","Package":"p","Test":"TestA"}
{"Action":"output","Package":"p","Test":"TestA","Output":"=== RUN   TestA\n"}
{"Action":"output","Package":"p","Test":"TestA","Output":"    a_test.go:3: told\n"}
{"Action":"output","Package":"p","Test":"TestA","Output":"--- PASS: TestA (0.30s)\n"}
{"Action":"pass","Package":"p","Test":"TestA","Elapsed":0.3}
{"Action":"pass","Package":"p","Test":"TestB/x/1","Elapsed":4}
{"Action":"pass","Package":"p","Test":"TestB/x","Elapsed":0}
{"Action":"output","Package":"p","Test":"TestB/y","Output":"    b_test.go:5: bad\n"}
{"Action":"output","Package":"p","Test":"TestB/y","Output":"    --- FAIL: TestB/y (2.00s)\n"}
{"Action":"fail","Package":"p","Test":"TestB/y","Elapsed":2}
{"Action":"output","Package":"p","Test":"TestB","Output":"--- FAIL: TestB (0.01s)\n"}
{"Action":"fail","Package":"p","Test":"TestB","Elapsed":0.01}
{"Action":"skip","Package":"p","Test":"TestC","Elapsed":1}
{"Action":"output","Package":"p","Test":"TestD","Output":"panic: lost\n"}
{"Action":"output","Package":"p","Output":"FAIL\tp\t6.000s\n"}
{"Action":"fail","Package":"p","Elapsed":6}
a line that is no event
{"Action":"output","Package":"q","Output":"PASS\n"}
{"Action":"output","Package":"q","Output":"ok  \tq\t0.100s\n"}
{"Action":"pass","Package":"q","Elapsed":0.1}
{"ImportPath":"r","Action":"build-output","Output":"r.go:1: no such thing\n"}
{"Action":"output","Package":"r","Output":"FAIL\tr [build failed]\n"}
{"Action":"fail","Package":"r","Elapsed":0,"FailedBuild":"r"}
the end`

func TestPrintsWhatFailedAndTheSlowest(t *testing.T) {
	r := results{}
	var printed strings.Builder
	require.NoError(t, r.read(strings.NewReader(events), &printed))
	require.Equal(t, `    b_test.go:5: bad
    --- FAIL: TestB/y (2.00s)
--- FAIL: TestB (0.01s)
FAIL	p	6.000s
panic: lost
a line that is no event
ok  	q	0.100s
r.go:1: no such thing
FAIL	r [build failed]
the end`, printed.String())
	require.Equal(t, "    6.0  TestB  p\n    1.0  TestC  p\n", r.slowest(2))
}
