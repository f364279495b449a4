// Reads the solids that a build wrote, with an independent library and without
// any repair, and holds them against what the build said of them.
//
//   socle build SCENE --json | node check.mjs
//
// Takes the JSON document of a build on standard input (or from the file named)
// and reads every file in it, by paths from the current folder. Prints a line
// for each solid; exits 1 when one of them is not as it was said to be.
import { readFileSync } from "node:fs";
import Module from "manifold-3d";
import { readSTL } from "./stl.mjs";
import { readThreeMF } from "./threemf.mjs";

// How far the library's volume may be from ours, as a share of it. The library
// counts in 32 bits; our own sum over the same triangles is held closer.
const LIBRARY_SHARE = 1e-6;
const SUM_SHARE = 1e-9;

const doc = JSON.parse(readFileSync(process.argv[2] ?? 0, "utf8"));
const lib = await Module();
lib.setup();

let wrong = 0;
let solids = 0;

// volumeOf is the signed volume under the triangles, in 64 bits.
function volumeOf({ vertices: v, triangles: t }) {
  let sum = 0;
  let lost = 0; // Kahan's compensation
  for (let i = 0; i < t.length; i += 3) {
    const a = 3 * t[i], b = 3 * t[i + 1], c = 3 * t[i + 2];
    const six =
      v[a] * (v[b + 1] * v[c + 2] - v[b + 2] * v[c + 1]) +
      v[a + 1] * (v[b + 2] * v[c] - v[b] * v[c + 2]) +
      v[a + 2] * (v[b] * v[c + 1] - v[b + 1] * v[c]);
    const y = six - lost;
    const s = sum + y;
    lost = s - sum - y;
    sum = s;
  }
  return sum / 6;
}

function near(a, b, share) {
  return Math.abs(a - b) <= share * Math.max(Math.abs(a), Math.abs(b));
}

// check holds one mesh against what was said of it.
function check(file, said, mesh) {
  const faults = [];
  const expect = (what, got, want, ok = got === want) => {
    if (!ok) faults.push(`${what} is ${got}, said to be ${want}`);
  };
  expect("triangles", mesh.triangles.length / 3, said.triangles);
  expect("vertices", mesh.vertices.length / 3, said.vertices);
  const sum = volumeOf(mesh);
  expect("volume", sum, said.volume_mm3, near(sum, said.volume_mm3, SUM_SHARE));
  let figures = "";
  try {
    // The constructor throws unless the library's status is NoError. Each
    // triangle is named a face of its own: else the library merges those that
    // are nearly in one plane as it reads, which moves the volume.
    const faceID = Uint32Array.from({ length: mesh.triangles.length / 3 }, (_, i) => i);
    const solid = new lib.Manifold(
      new lib.Mesh({ numProp: 3, vertProperties: mesh.vertices, triVerts: mesh.triangles, faceID }),
    );
    const volume = solid.getProperties().volume;
    const pieces = solid.decompose();
    // The library's is that of one surface, 1 - (V - E + F)/2; ours is summed over all.
    const genus = solid.genus() + pieces.length - 1;
    expect("genus", genus, said.genus);
    expect("library's volume", volume, said.volume_mm3, near(volume, said.volume_mm3, LIBRARY_SHARE));
    // One, and the loose pieces that the scene keeps; each by itself faces outward.
    expect("pieces", pieces.length, 1 + (said.crumbs ?? []).filter((c) => c.kept).length);
    for (const p of pieces) {
      const own = p.getProperties().volume;
      expect("volume of a piece", own, "above zero", own > 0);
    }
    figures = `genus ${genus}, ${volume.toFixed(3)} mm3, ${pieces.length} piece${pieces.length > 1 ? "s" : ""}`;
    pieces.forEach((p) => p.delete());
    solid.delete();
  } catch (e) {
    faults.push(`refused by the library: ${e.message ?? e}`);
  }
  solids++;
  if (faults.length > 0) wrong++;
  console.log(`${faults.length > 0 ? "WRONG" : "ok"} ${file} ${said.name}: ${[figures, ...faults].filter(Boolean).join("; ")}`);
}

function attempt(file, read) {
  try {
    read();
  } catch (e) {
    wrong++;
    console.log(`WRONG ${file}: ${e.message}`);
  }
}

for (const base of doc.bases) {
  if (base.file) attempt(base.file, () => check(base.file, base, readSTL(readFileSync(base.file))));
}
// The set is one file, or one for each plate.
const sets = doc.set ? [{ file: doc.set.file, bases: doc.bases.map((b) => b.name) }] : (doc.sets ?? []);
for (const { file, bases } of sets) {
  attempt(file, () => {
    const objects = readThreeMF(readFileSync(file));
    const names = objects.map((o) => o.name);
    if (names.join(" ") !== bases.join(" ")) {
      throw new Error(`holds ${names.join(" ")}, said to hold ${bases.join(" ")}`);
    }
    objects.forEach((mesh) => check(file, doc.bases.find((b) => b.name === mesh.name), mesh));
  });
}
if (sets.length > 1) {
  const laid = sets.flatMap((s) => s.bases).toSorted().join(" ");
  const all = doc.bases.map((b) => b.name).toSorted().join(" ");
  if (laid !== all) {
    console.log(`WRONG the plates hold ${laid}, the set is ${all}`);
    wrong++;
  }
}
if (solids === 0) {
  console.log("WRONG nothing to check");
  wrong++;
}
console.log(`${solids} solids read, ${wrong} wrong`);
process.exit(wrong > 0 ? 1 : 0);
