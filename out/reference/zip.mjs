import { inflateRawSync } from "node:zlib";

// readZip gives the parts of a ZIP by name, each a function that unpacks it and
// checks its length and checksum. Only what a 3MF needs: one disk, stored or
// deflated.
export function readZip(bytes) {
  const end = bytes.lastIndexOf("PK\x05\x06", undefined, "latin1");
  if (end < 0) throw new Error("not a ZIP");
  const count = bytes.readUInt16LE(end + 10);
  let at = bytes.readUInt32LE(end + 16);
  const parts = new Map();
  for (let i = 0; i < count; i++) {
    if (bytes.readUInt32LE(at) !== 0x02014b50) throw new Error("ZIP directory is broken");
    const method = bytes.readUInt16LE(at + 10);
    const crc = bytes.readUInt32LE(at + 16);
    const packed = bytes.readUInt32LE(at + 20);
    const length = bytes.readUInt32LE(at + 24);
    const [nameSize, extraSize, noteSize] = [28, 30, 32].map((o) => bytes.readUInt16LE(at + o));
    const head = bytes.readUInt32LE(at + 42);
    const name = bytes.toString("utf8", at + 46, at + 46 + nameSize);
    const start = head + 30 + bytes.readUInt16LE(head + 26) + bytes.readUInt16LE(head + 28);
    if (parts.has(name)) throw new Error(`two parts called ${name}`);
    parts.set(name, () => {
      const raw = bytes.subarray(start, start + packed);
      const data = method === 8 ? inflateRawSync(raw) : raw;
      if (data.length !== length || crc32(data) !== crc) throw new Error(`${name} is damaged`);
      return data;
    });
    at += 46 + nameSize + extraSize + noteSize;
  }
  return parts;
}

const table = Uint32Array.from({ length: 256 }, (_, n) => {
  for (let k = 0; k < 8; k++) n = n & 1 ? 0xedb88320 ^ (n >>> 1) : n >>> 1;
  return n;
});

function crc32(data) {
  let c = 0xffffffff;
  for (const b of data) c = table[(c ^ b) & 0xff] ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}
