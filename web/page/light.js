// Whether it is light enough, from the live picture; the reference is too_dark in photo/quality.py.

import { gettext } from "./language.js";

const [WIDTH, HEIGHT] = [64, 48];
// Brightness (8 bit) that even the brightest twentieth of a dark picture does not reach.
const DARK = 60;
const BRIGHTEST = 0.95;
const EVERY_MS = 800;
const WORDS = gettext("It is dark here: switch on more light, or face a window.");

/** Whether pixels (RGBA) show a dark picture. */
export function dark(rgba) {
  const grey = [];
  for (let at = 0; at < rgba.length; at += 4) {
    grey.push(0.299 * rgba[at] + 0.587 * rgba[at + 1] + 0.114 * rgba[at + 2]);
  }
  return grey.sort((a, b) => a - b)[Math.floor(BRIGHTEST * (grey.length - 1))] < DARK;
}

/** Watch a video; told hears what to do, or nothing. Gives what ends it. */
export function watchLight(video, told) {
  const made = Object.assign(document.createElement("canvas"), { width: WIDTH, height: HEIGHT });
  const pen = made.getContext("2d", { willReadFrequently: true });
  const timer = setInterval(() => {
    if (!video.videoWidth) return;
    pen.drawImage(video, 0, 0, WIDTH, HEIGHT);
    told(dark(pen.getImageData(0, 0, WIDTH, HEIGHT).data) ? WORDS : "");
  }, EVERY_MS);
  return () => clearInterval(timer);
}
