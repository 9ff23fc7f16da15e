// Scaling a photo, and how sharp one is; the same on the page and in a worker.

import { focalOf, focalSegment } from "./exif.js";

// The service looks for things in a copy of this size; more pixels cost time and gain nothing.
export const LONG_SIDE_PX = 2000;
const QUALITY = 0.92;
// Enough to tell the sharper of two photos of the same thing (judged).
const COMPARED_PX = 1000;
// A camera writes its tags before the picture (judged).
const HEAD_BYTES = 262_144;

/** Width and height within a long side; a smaller picture stays as it is. */
export function within(width, height, longSide) {
  const scale = Math.min(1, longSide / Math.max(width, height));
  return [Math.round(width * scale), Math.round(height * scale)];
}

function canvas(width, height) {
  // On the page, a canvas of its own kind becomes a JPEG beside other work.
  if (typeof document === "undefined") return new OffscreenCanvas(width, height);
  return Object.assign(document.createElement("canvas"), { width, height });
}

function drawn(picture, [width, height]) {
  const made = canvas(width, height);
  const pen = made.getContext("2d", { willReadFrequently: true });
  pen.imageSmoothingQuality = "high";
  pen.drawImage(picture, 0, 0, width, height);
  return [made, pen];
}

/** A canvas as a JPEG. */
export function jpeg(made) {
  if (made.convertToBlob) return made.convertToBlob({ type: "image/jpeg", quality: QUALITY });
  return new Promise((resolve) => {
    made.toBlob(resolve, "image/jpeg", QUALITY);
  });
}

/**
 * A photo as it is sent: upright, with a long side of 2000 pixels at most and its focal length.
 *
 * What is small enough, or cannot be opened here, stays as it is; taken says that it comes from this
 * page's own camera and is to be a JPEG in any case.
 */
export async function prepared(blob, taken = false, longSide = LONG_SIDE_PX) {
  let picture;
  try {
    picture = await createImageBitmap(blob, { imageOrientation: "from-image" });
  } catch {
    return blob;
  }
  const { width, height } = picture;
  const small = Math.max(width, height) <= longSide;
  if (small && !(taken && blob.type !== "image/jpeg")) {
    picture.close();
    return blob;
  }
  const [made] = drawn(picture, within(width, height, longSide));
  picture.close();
  const head = new Uint8Array(await blob.slice(0, HEAD_BYTES).arrayBuffer());
  return withFocal(await jpeg(made), focalOf(head));
}

function withFocal(blob, focal) {
  if (focal === null) return blob;
  const parts = [blob.slice(0, 2), focalSegment(focal), blob.slice(2)];
  return new Blob(parts, { type: "image/jpeg" });
}

/** Which of several photos of the same thing is the sharpest. */
export async function sharpest(blobs) {
  const sharp = [];
  for (const blob of blobs) sharp.push(await sharpnessOf(blob));
  return sharp.indexOf(Math.max(...sharp));
}

async function sharpnessOf(blob) {
  try {
    const picture = await createImageBitmap(blob);
    const size = within(picture.width, picture.height, COMPARED_PX);
    const [, pen] = drawn(picture, size);
    picture.close();
    return sharpness(pen.getImageData(0, 0, ...size).data, ...size);
  } catch {
    return -1;
  }
}

/** Variance of the Laplacian of the green channel, which carries most of the brightness. */
export function sharpness(rgba, width, height) {
  let [sum, squares] = [0, 0];
  const row = 4 * width;
  for (let y = 1; y < height - 1; y += 1) {
    for (let at = y * row + 5, end = at + 4 * (width - 2); at < end; at += 4) {
      const found = rgba[at - 4] + rgba[at + 4] + rgba[at - row] + rgba[at + row] - 4 * rgba[at];
      sum += found;
      squares += found * found;
    }
  }
  const count = Math.max(1, (width - 2) * (height - 2));
  return squares / count - (sum / count) ** 2;
}
