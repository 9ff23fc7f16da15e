// How the phone stands, from its own senses: advice and no more.

import { gettext } from "./language.js";

// Less than this is seen neither by her nor by the service (judged).
const [ROLL_DEG, PITCH_DEG] = [4, 6];
// A phone that has senses tells of them at once (judged).
const SILENT_MS = 1500;
const ABSENT = gettext("This device does not tell how it is tilted: set it upright by eye.");

let toldAbsent = false;

const degrees = (radians) => (radians * 180) / Math.PI;

/**
 * Roll and pitch of a camera, in degrees.
 *
 * From beta and gamma of a deviceorientation event (W3C), the turn of the screen, and whether the
 * camera looks to the screen's side. Roll is positive clockwise, pitch positive upwards.
 */
export function tilted(beta, gamma, turnDeg, back) {
  const [b, g, turn] = [beta, gamma, turnDeg].map((angle) => (angle * Math.PI) / 180);
  // Straight up, in the axes of the device: x right, y up its screen, z out of the screen.
  const [x, y, z] = [-Math.cos(b) * Math.sin(g), Math.sin(b), Math.cos(b) * Math.cos(g)];
  const across = x * Math.cos(turn) - y * Math.sin(turn);
  const along = x * Math.sin(turn) + y * Math.cos(turn);
  return {
    roll: -degrees(Math.atan2(across, along)),
    pitch: degrees(Math.asin(Math.max(-1, Math.min(1, back ? z : -z)))),
  };
}

/** What to do about it, in words. */
export function levelWords({ roll, pitch }) {
  const [turn, tip] = [roll, pitch].map((angle) => Math.round(Math.abs(angle)));
  const turned = Math.abs(roll) > ROLL_DEG;
  if (pitch > PITCH_DEG) {
    return turned
      ? gettext("The phone is tilted: turn it {turn}°, and tip its top {tip}° towards you.", { turn, tip })
      : gettext("The phone is tilted: tip its top {tip}° towards you.", { tip });
  }
  if (pitch < -PITCH_DEG) {
    return turned
      ? gettext("The phone is tilted: turn it {turn}°, and tip its top {tip}° away from you.", { turn, tip })
      : gettext("The phone is tilted: tip its top {tip}° away from you.", { tip });
  }
  return turned
    ? gettext("The phone is tilted: turn it {turn}°.", { turn })
    : gettext("The phone stands straight.");
}

/** Begin in a tap, because some phones ask first; told hears what to do. Gives what ends it. */
export function watchLevel(looksBack, told) {
  let heard = false;
  let ended = false;
  const on = ({ beta, gamma }) => {
    if (beta === null || gamma === null) return;
    heard = true;
    told(levelWords(tilted(beta, gamma, window.screen.orientation?.angle ?? 0, looksBack())));
  };
  const absent = () => {
    if (heard || ended || toldAbsent) return;
    toldAbsent = true;
    told(ABSENT);
  };
  const begin = (answer) => {
    if (ended) return;
    if (answer === "granted") window.addEventListener("deviceorientation", on);
    setTimeout(absent, answer === "granted" ? SILENT_MS : 0);
  };
  asked().then(begin, () => begin("denied"));
  return () => {
    ended = true;
    window.removeEventListener("deviceorientation", on);
  };
}

async function asked() {
  if (typeof DeviceOrientationEvent === "undefined") return "absent";
  return DeviceOrientationEvent.requestPermission?.() ?? "granted";
}
