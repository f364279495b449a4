// Package picture draws triangle meshes, in mm, to an image: no graphics card,
// no cgo, no files read. A picture is warm clay on a soft light-grey ground,
// lit by a low key light that casts soft shadows, a fill light and a sky that reaches
// less far into hollows and joints. What is broken is a darker clay, what is strewn a
// paler one, and the yardstick is dark. The inside of a surface, where a mesh is open or
// turned inside out, shows slate blue, so that it can be told at a glance; of a mesh that
// is said to be a solid it is not looked for.
//
// To draw the same meshes more than once, make a Subject of them: it is lit by the
// sky once. A picture may show a part of them near by, with finer shadows.
//
// The same meshes and options give the same bytes whatever the number of
// workers. They may differ between processor families, which do not all round
// a multiplication followed by an addition alike.
//
// Bad meshes do no harm: a triangle that names a vertex which is not there,
// that has no area, or that reaches beyond a kilometre or is not finite, is
// left out of the picture. Nothing is said of it here: whether a mesh is sound
// is proven elsewhere.
package picture
