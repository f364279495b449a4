// Package relief cuts texture into solids: heights over a face, and the field of a
// solid that is cut by them. A relief only takes away, so that what it is cut into
// still reaches its level.
package relief
