// Keeping the screen on while the camera is open; where that is refused, nothing is lost.

let wanted = false;
let lock = null;

async function ask() {
  try {
    lock = (await navigator.wakeLock?.request("screen")) ?? null;
  } catch {
    lock = null;
  }
  if (!wanted) release();
}

function release() {
  lock?.release().catch(() => {});
  lock = null;
}

/** Keep it on. */
export function stayAwake() {
  wanted = true;
  ask();
}

/** Let it go off again. */
export function mayRest() {
  wanted = false;
  release();
}

document.addEventListener("visibilitychange", () => {
  // It is let go when the page is hidden.
  if (wanted && document.visibilityState === "visible") ask();
});
