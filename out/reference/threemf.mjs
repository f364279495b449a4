import { readZip } from "./zip.mjs";

const CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02";
const MODEL_TYPE = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml";
const MODEL_REL = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel";
const IN_PLACE = [1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0];
const METADATA = ["Title", "Designer", "Description", "Copyright", "LicenseTerms", "Rating", "CreationDate", "ModificationDate", "Application"];
const NUMBER = /^[-+]?([0-9]+(\.[0-9]+)?|\.[0-9]+)([eE][-+]?[0-9]+)?$/;

// readThreeMF reads a 3MF package as a strict reader would, by the 3MF Core
// Specification, and gives its objects in the order of the build.
export function readThreeMF(bytes) {
  const parts = readZip(bytes);
  const part = (name) => {
    if (!parts.has(name)) throw new Error(`no part ${name}`);
    return parts.get(name)();
  };
  const types = [...tags(part("[Content_Types].xml"))].filter((t) => t.name === "Default");
  if (!types.some(({ has }) => has.Extension === "model" && has.ContentType === MODEL_TYPE)) throw new Error("no content type for .model");
  const target = [...tags(part("_rels/.rels"))].find(({ has }) => has.Type === MODEL_REL)?.has.Target;
  if (!target?.startsWith("/")) throw new Error("no relationship leads to a model");

  const objects = new Map();
  const seen = new Set();
  const items = [];
  const path = [];
  let object;
  for (const { name, close, empty, has } of tags(part(target.slice(1)))) {
    if (close) {
      if (path.pop() !== name) throw new Error(`</${name}> out of place`);
      if (name === "object") finish(object);
      continue;
    }
    const where = [...path, name].join("/");
    switch (where) {
      case "model":
        if (has.xmlns !== CORE) throw new Error(`namespace ${has.xmlns}`);
        if (has.unit !== "millimeter") throw new Error(`unit ${has.unit}`);
        break;
      case "model/metadata":
        if (objects.size > 0) throw new Error("metadata after resources");
        if (!METADATA.includes(has.name) || seen.has(has.name)) throw new Error(`metadata ${has.name}`);
        seen.add(has.name);
        break;
      case "model/resources":
      case "model/build":
      case "model/resources/object/mesh":
      case "model/resources/object/mesh/vertices":
      case "model/resources/object/mesh/triangles":
        break;
      case "model/resources/object":
        object = { id: whole(has.id), name: has.name, vertices: new Numbers(Float32Array), triangles: new Numbers(Uint32Array) };
        if ((has.type ?? "model") !== "model" || objects.has(object.id) || object.id < 1) throw new Error(`object ${object.id}`);
        objects.set(object.id, object);
        break;
      case "model/resources/object/mesh/vertices/vertex":
        object.vertices.push(number(has.x), number(has.y), number(has.z));
        break;
      case "model/resources/object/mesh/triangles/triangle":
        object.triangles.push(whole(has.v1), whole(has.v2), whole(has.v3));
        break;
      case "model/build/item":
        items.push({ object: objects.get(whole(has.objectid)), transform: has.transform?.split(" ").map(number) ?? IN_PLACE });
        break;
      default:
        throw new Error(`<${where}> is not of the core specification`);
    }
    if (!empty) path.push(name);
  }
  if (path.length > 0) throw new Error(`<${path.at(-1)}> not closed`);
  placed(items);
  return items.map((i) => i.object);
}

// tags gives the tags of an XML part in order, with the attributes that each
// has. Text between them is passed over.
function* tags(bytes) {
  const tag = /<(\/?)([A-Za-z:]+)((?:\s+[\w:]+="[^"<]*")*)\s*(\/?)>/y;
  const attribute = /([\w:]+)="([^"]*)"/g;
  const text = bytes.toString("utf8");
  if (!text.startsWith("<?xml")) throw new Error("no XML declaration");
  let at = text.indexOf("?>");
  while ((at = text.indexOf("<", at)) >= 0) {
    tag.lastIndex = at;
    const m = tag.exec(text);
    if (!m) throw new Error(`bad XML at ${text.slice(at, at + 40)}`);
    at = tag.lastIndex;
    const has = {};
    for (const [, key, value] of m[3].matchAll(attribute)) {
      if (key in has) throw new Error(`attribute ${key} twice`);
      has[key] = unescaped(value);
    }
    yield { name: m[2], close: m[1] !== "", empty: m[4] !== "", has };
  }
}

function unescaped(text) {
  if (!text.includes("&")) return text;
  const named = { lt: "<", gt: ">", amp: "&", quot: '"', apos: "'" };
  return text.replace(/&(#x?)?(\w+);/g, (_, hash, word) => {
    if (hash) return String.fromCodePoint(parseInt(word, hash === "#x" ? 16 : 10));
    if (!(word in named)) throw new Error(`entity ${word}`);
    return named[word];
  });
}

function number(text) {
  if (!NUMBER.test(text)) throw new Error(`number ${text}`);
  return Number(text);
}

function whole(text) {
  if (!/^[0-9]+$/.test(text) || Number(text) >= 2 ** 31) throw new Error(`index ${text}`);
  return Number(text);
}

// Numbers is a typed array that grows.
class Numbers {
  constructor(Kind) {
    this.Kind = Kind;
    this.array = new Kind(1 << 16);
    this.length = 0;
  }

  push(a, b, c) {
    if (this.length + 3 > this.array.length) {
      const wider = new this.Kind(2 * this.array.length);
      wider.set(this.array);
      this.array = wider;
    }
    this.array[this.length++] = a;
    this.array[this.length++] = b;
    this.array[this.length++] = c;
  }
}

// finish checks an object's mesh: indices that lead somewhere, three distinct
// vertices a triangle, no vertex on another.
function finish(object) {
  const v = object.vertices.array.slice(0, object.vertices.length);
  const t = object.triangles.array.slice(0, object.triangles.length);
  for (let i = 0; i < t.length; i += 3) {
    if (Math.max(t[i], t[i + 1], t[i + 2]) >= v.length / 3) throw new Error(`triangle ${i / 3} names a vertex that is not there`);
    if (t[i] === t[i + 1] || t[i + 1] === t[i + 2] || t[i + 2] === t[i]) throw new Error(`triangle ${i / 3} names a vertex twice`);
  }
  const points = new Set();
  for (let i = 0; i < v.length; i += 3) points.add(`${v[i]} ${v[i + 1]} ${v[i + 2]}`);
  if (points.size !== v.length / 3) throw new Error("two vertices lie on one another");
  object.vertices = v;
  object.triangles = t;
}

// placed checks the plate: items in the positive octant, turned about the upright and
// moved only, with boxes that keep clear of one another.
function placed(items) {
  const boxes = items.map(({ object, transform: m }) => {
    if (!object) throw new Error("an item of no object");
    const turned = [m[0], m[1], 0, -m[1], m[0], 0, 0, 0, 1];
    if (m.length !== 12 || m.slice(0, 9).some((c, k) => c !== turned[k])) throw new Error(`transform ${m}`);
    if (Math.abs(Math.hypot(m[0], m[1]) - 1) > 1e-12) throw new Error(`transform ${m} is no turn`);
    const lo = [Infinity, Infinity, Infinity];
    const hi = [-Infinity, -Infinity, -Infinity];
    const v = object.vertices;
    for (let i = 0; i < v.length; i += 3) {
      for (let k = 0; k < 3; k++) {
        const c = v[i] * m[k] + v[i + 1] * m[3 + k] + v[i + 2] * m[6 + k] + m[9 + k];
        lo[k] = Math.min(lo[k], c);
        hi[k] = Math.max(hi[k], c);
      }
    }
    if (Math.min(...lo) < 0) throw new Error(`${object.name} leaves the positive octant`);
    return { name: object.name, lo, hi };
  });
  boxes.forEach((a, i) =>
    boxes.slice(0, i).forEach((b) => {
      if ([0, 1].every((k) => a.lo[k] < b.hi[k] && b.lo[k] < a.hi[k])) throw new Error(`${a.name} and ${b.name} overlap on the plate`);
    }),
  );
}
