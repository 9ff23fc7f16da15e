// A handle on a picture that is moved by finger, mouse or keys: a slider in millimetres.

import { moveWords } from "./corrections.js";
import { el } from "./dom.js";

// Steps of the keys, in mm.
const [STEP, LEAP] = [1, 10];
const SIGNS = { height: "↕", left: "↔", right: "↔" };
// Which way each key moves: across and up, as on the picture.
const KEYS = {
  ArrowUp: [0, STEP], ArrowDown: [0, -STEP], ArrowRight: [STEP, 0], ArrowLeft: [-STEP, 0],
  PageUp: [0, LEAP], PageDown: [0, -LEAP],
};

/**
 * A handle.
 *
 * part: "height" moves up and down, "left" and "right" move outward and inward; label: its name;
 * most: how far either way, mm; value: how far it is moved now; at: where it lies, as parts of the
 * picture's width and height; mmPerCssPx: size of a pixel on the screen; change: takes a new value.
 */
export function handle({ part, label, most, value, at, mmPerCssPx, change }) {
  const element = el("button", {
    type: "button", class: `grip ${part}`, role: "slider", "aria-label": label,
    "aria-orientation": part === "height" ? "vertical" : "horizontal",
    "aria-valuemin": -most, "aria-valuemax": most,
  }, el("span", { "aria-hidden": "true" }, SIGNS[part]));
  const set = (mm) => change(Math.max(-most, Math.min(most, Math.round(mm * 10) / 10)));
  // How much farther it is moved by a step across and up the picture.
  const along = (across, up) => {
    if (part === "height") return up;
    return part === "left" ? -across : across;
  };
  byKeys(element, part, { value, set, along });
  byPointer(element, { value, set, along, mmPerCssPx });
  return {
    element,
    place() {
      const [x, y] = at();
      element.style.left = `${x * 100}%`;
      element.style.top = `${y * 100}%`;
      element.setAttribute("aria-valuenow", value());
      element.setAttribute("aria-valuetext", moveWords(part, value()));
    },
  };
}

function byKeys(element, part, { value, set, along }) {
  element.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    if (["Home", "Escape"].includes(event.key)) set(0);
    else if (event.key in KEYS) {
      const [across, up] = KEYS[event.key];
      const far = event.shiftKey ? LEAP : 1;
      // Keys that don't lie in its direction move it all the same: more is up and to the right.
      set(value() + (along(across, up) || across + up) * far);
    } else return;
    event.preventDefault();
  });
}

function byPointer(element, { value, set, along, mmPerCssPx }) {
  let from = null;
  element.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    element.setPointerCapture(event.pointerId);
    from = { x: event.clientX, y: event.clientY, mm: value() };
    element.focus();
    event.preventDefault();
  });
  element.addEventListener("pointermove", ({ clientX, clientY }) => {
    if (!from) return;
    const size = mmPerCssPx();
    set(from.mm + along((clientX - from.x) * size, (from.y - clientY) * size));
  });
  const end = () => {
    from = null;
  };
  element.addEventListener("pointerup", end);
  element.addEventListener("pointercancel", end);
}
