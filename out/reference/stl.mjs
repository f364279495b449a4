// readSTL reads a binary STL strictly. Triangles are joined where coordinates
// are equal, which is all that the format gives to join them by.
export function readSTL(bytes) {
  if (bytes.toString("latin1", 0, 5).toLowerCase() === "solid") throw new Error("header starts with solid");
  const count = bytes.readUInt32LE(80);
  if (bytes.length !== 84 + 50 * count) throw new Error(`${bytes.length} bytes for ${count} triangles`);
  const triangles = new Uint32Array(3 * count);
  const welded = new Welder(3 * count);
  const p = [new Float32Array(3), new Float32Array(3), new Float32Array(3)];
  for (let i = 0; i < count; i++) {
    const at = 84 + 50 * i;
    for (let k = 0; k < 3; k++) {
      for (let c = 0; c < 3; c++) p[k][c] = bytes.readFloatLE(at + 12 + 12 * k + 4 * c) + 0;
      triangles[3 * i + k] = welded.index(p[k]);
    }
    checkNormal(bytes, at, p, i);
    if (bytes.readUInt16LE(at + 48) !== 0) throw new Error(`triangle ${i} has an attribute`);
  }
  return { vertices: welded.vertices(), triangles };
}

// checkNormal sees that a facet's normal is of unit length and on the side that
// the right-hand rule gives.
function checkNormal(bytes, at, [p, q, r], i) {
  const n = [0, 4, 8].map((o) => bytes.readFloatLE(at + o));
  const u = [q[0] - p[0], q[1] - p[1], q[2] - p[2]];
  const v = [r[0] - p[0], r[1] - p[1], r[2] - p[2]];
  const w = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
  const size = Math.hypot(...w);
  const off = Math.hypot(n[0] - w[0] / size, n[1] - w[1] / size, n[2] - w[2] / size);
  if (!(off < 1e-6)) throw new Error(`triangle ${i} has the normal ${n}, not ${w.map((c) => c / size)}`);
}

// Welder gives equal points one index: an open-addressed table over their bits.
class Welder {
  constructor(points) {
    let size = 16;
    while (size < 2 * points) size *= 2;
    this.slots = new Int32Array(size).fill(-1);
    this.mask = size - 1;
    this.floats = new Float32Array(3 * points);
    this.bits = new Uint32Array(this.floats.buffer);
    this.count = 0;
  }

  index(p) {
    const { floats, bits } = this;
    const at = 3 * this.count;
    floats.set(p, at);
    let h = Math.imul(bits[at], 0x9e3779b1) ^ Math.imul(bits[at + 1], 0x85ebca6b) ^ Math.imul(bits[at + 2], 0xc2b2ae35);
    h ^= h >>> 15;
    for (let s = h & this.mask; ; s = (s + 1) & this.mask) {
      const k = this.slots[s];
      if (k < 0) {
        this.slots[s] = this.count;
        return this.count++;
      }
      if (bits[3 * k] === bits[at] && bits[3 * k + 1] === bits[at + 1] && bits[3 * k + 2] === bits[at + 2]) return k;
    }
  }

  vertices() {
    return this.floats.slice(0, 3 * this.count);
  }
}
