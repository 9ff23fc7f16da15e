// Work on photos where it does not hold up the page: in a worker, or here where there is none.

import * as pixels from "./pixels.js";

// A worker that has not begun by then never will (judged).
const BEGINS_MS = 4000;

const waiting = new Map();
let count = 0;
let beginning = null;

/** A worker that works, or null: old browsers have none that loads modules or draws. */
function worker() {
  beginning ??= new Promise((resolve) => {
    if (typeof Worker === "undefined" || typeof OffscreenCanvas === "undefined") resolve(null);
    else {
      const made = new Worker("/page/pixels_worker.js", { type: "module" });
      made.addEventListener("error", () => lose(resolve));
      made.addEventListener("message", ({ data }) => {
        if (data.ready) resolve(made);
        else settle(data);
      });
      setTimeout(() => resolve(null), BEGINS_MS);
    }
  });
  return beginning;
}

function lose(resolve) {
  resolve(null);
  for (const id of [...waiting.keys()]) settle({ id, failed: true });
}

function settle({ id, done, failed }) {
  const { act, given, resolve } = waiting.get(id);
  waiting.delete(id);
  resolve(failed ? pixels[act](...given) : done);
}

async function worked(act, ...given) {
  const made = await worker();
  if (!made) return pixels[act](...given);
  return new Promise((resolve) => {
    count += 1;
    waiting.set(count, { act, given, resolve });
    made.postMessage({ id: count, act, given });
  });
}

/** A photo as it is sent; see pixels.js. */
export const prepared = (blob, taken = false) => worked("prepared", blob, taken);

/** Which of several photos is the sharpest; see there. */
export const sharpest = (blobs) => worked("sharpest", blobs);
