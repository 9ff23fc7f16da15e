// The focal length that a camera wrote into a JPEG: read before scaling, and written back after it.
// Source: Exif 2.32; the reference is service/ellwand/photo/exif.py, which reads the same.

const [SOI, APP1, SOS] = [0xffd8, 0xffe1, 0xffda];
const EXIF_IFD = 0x8769;
const FOCAL_35MM = 0xa405;
const [SHORT, LONG] = [3, 4];
// Outside of these it is no phone's main camera.
const [SHORTEST, LONGEST] = [10, 200];
const MOST_TAGS = 500;

/** Focal length equivalent to 35 mm film, or null where none is written. */
export function focalOf(bytes) {
  try {
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    const block = exifBlock(view);
    return block ? focalIn(block) : null;
  } catch (problem) {
    // Whatever is wrong with it is as if it were not there.
    if (problem instanceof RangeError) return null;
    throw problem;
  }
}

function exifBlock(view) {
  if (view.getUint16(0) !== SOI) return null;
  for (let at = 2; view.getUint16(at) !== SOS; at += 2 + view.getUint16(at + 2)) {
    const marker = view.getUint16(at);
    if (marker < 0xff01) return null;
    // "Exif", two zeros, then a TIFF file.
    if (marker === APP1 && view.getUint32(at + 4) === 0x45786966) {
      return new DataView(view.buffer, view.byteOffset + at + 10, view.getUint16(at + 2) - 8);
    }
  }
  return null;
}

function focalIn(block) {
  const little = block.getUint16(0) === 0x4949;
  const exif = tag(block, little, block.getUint32(4, little), EXIF_IFD);
  const focal = exif === null ? null : tag(block, little, exif, FOCAL_35MM);
  return focal !== null && focal >= SHORTEST && focal <= LONGEST ? focal : null;
}

/** A tag of one directory that holds one whole number, or null. */
function tag(block, little, at, wanted) {
  const count = Math.min(block.getUint16(at, little), MOST_TAGS);
  for (let entry = at + 2; entry < at + 2 + 12 * count; entry += 12) {
    const kind = block.getUint16(entry + 2, little);
    const one = block.getUint32(entry + 4, little) === 1;
    if (block.getUint16(entry, little) === wanted && one && [SHORT, LONG].includes(kind)) {
      return kind === SHORT ? block.getUint16(entry + 8, little) : block.getUint32(entry + 8, little);
    }
  }
  return null;
}

/** What goes between the first two bytes of a JPEG and the rest: the focal length, and nothing else. */
export function focalSegment(focal) {
  const bytes = new Uint8Array(54);
  const view = new DataView(bytes.buffer);
  view.setUint16(0, APP1);
  view.setUint16(2, 52);
  view.setUint32(4, 0x45786966);
  // Big-endian TIFF; its first directory points to the second, which holds the one tag.
  view.setUint32(10, 0x4d4d002a);
  view.setUint32(14, 8);
  directory(view, 18, [EXIF_IFD, LONG, 26]);
  directory(view, 36, [FOCAL_35MM, SHORT, Math.round(focal) * 0x10000]);
  return bytes;
}

function directory(view, at, [name, kind, value]) {
  view.setUint16(at, 1);
  view.setUint16(at + 2, name);
  view.setUint16(at + 4, kind);
  view.setUint32(at + 6, 1);
  view.setUint32(at + 10, value);
}
