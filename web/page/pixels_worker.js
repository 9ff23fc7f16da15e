// Work on pixels, beside the page.

import { prepared, sharpest } from "./pixels.js";

const ACTS = { prepared, sharpest };

self.addEventListener("message", async ({ data: { id, act, given } }) => {
  try {
    self.postMessage({ id, done: await ACTS[act](...given) });
  } catch {
    self.postMessage({ id, failed: true });
  }
});
self.postMessage({ ready: true });
