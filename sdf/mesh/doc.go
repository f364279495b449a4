// Package mesh turns a field into a proven solid.
//
// # Promise
//
// Every Solid that Build gives is closed, turned outward, free of
// self-crossings on its float32 coordinates (tested exactly), one shell, and
// the same bytes for any number of workers. What cannot be proven is an error
// that says where and why, never a mesh.
package mesh
