// Taking a photo alone: a live picture, a countdown that is seen and heard, the sharpest of three, and
// what the service says about it while she still stands at the wall.

import { pause } from "./api.js";
import { mayRest, stayAwake } from "./awake.js";
import { UNKNOWN } from "./checks.js";
import { counted } from "./countdown.js";
import { prepared, sharpest } from "./darkroom.js";
import { byId, el, turns } from "./dom.js";
import { knownWrong } from "./entries.js";
import { clearMarks, FieldProblem, onPress, refuse } from "./forms.js";
import { gettext, ngettext } from "./language.js";
import { alive, burst, closed, ENDED, looksBack, NoCamera, NOTHING, opened, watched } from "./lens.js";
import { watchLevel } from "./level.js";
import { watchLight } from "./light.js";
import { REFUSED, STANCE, TAKEN, TITLES, USABLE } from "./photowords.js";
import { isOfChoice, whyItWaits } from "./retake.js";
import { checkShot, hasShot, leadToSending, useShot, VIEWS, withNext } from "./shots.js";
import { say } from "./status.js";
import { beep, hush, speak, speaks, unlock } from "./voice.js";

const LAST_SECONDS = 5;
// To read what is wrong from where she stands, also when it is spoken (judged).
const READING_S = 3;
// What can be pressed, the first by default.
const BUTTONS = {
  asking: ["close"],
  ready: ["start", "turn", "sound", "close"],
  ended: ["turn", "close"],
  counting: ["stop"],
  taking: ["stop"],
  shown: ["use", "again", "close"],
};
const ALL = ["start", "stop", "use", "again", "turn", "sound", "close"];

const [runs, looking] = [turns(), turns()];
const now = { view: "front", facing: "environment", stream: null, photo: null, result: null, row: 0 };
let endings = [];
let address = "";

/** Start this part of the page. */
export function startCamera(form) {
  const dialog = byId("camera");
  for (const view of VIEWS) {
    onPress(byId(`${view}-camera`), () => open(dialog, form, view));
    byId(`${view}-camera`).hidden = false;
  }
  // The event comes late: by then it may be open again.
  dialog.addEventListener("close", () => dialog.open || end());
  const acts = {
    start,
    again: start,
    stop: () => stop(),
    use: () => use(dialog),
    turn: () => turn(dialog),
    sound,
    close: () => dialog.close(),
  };
  for (const [name, act] of Object.entries(acts)) onPress(byId(`camera-${name}`), act);
  byId("camera-aloud").closest(".tick").hidden = !speaks;
  byId("camera-aloud").addEventListener("change", hush);
  document.addEventListener("visibilitychange", () => {
    const counting = !byId("camera-stop").hidden;
    if (document.visibilityState !== "hidden" || !counting) return;
    stop(gettext("The page was out of sight, so the countdown was stopped."));
  });
  return { close: () => (now.photo ? use(dialog) : dialog.close()) };
}

async function open(dialog, form, view) {
  clearMarks(form);
  // The check needs them, and she would have to come back from the wall.
  refuse(knownWrong(form));
  // Sound and senses are given in a tap only.
  unlock();
  end();
  endings = [watchLevel(back, (words) => tell("level", words))];
  dialog.showModal();
  begin(view);
  stage("asking", gettext("The browser may ask now whether this page may use the camera."));
  try {
    if (!(await look(dialog))) return;
  } catch (problem) {
    dialog.close();
    if (!(problem instanceof NoCamera)) throw problem;
    throw new FieldProblem(byId(view), problem.message);
  }
  endings.push(watchLight(byId("camera-live"), (words) => tell("light", words)));
  stayAwake();
  if (alive(now.stream)) stage("ready", STANCE[view]);
  else stop(ENDED);
}

function begin(view) {
  Object.assign(now, { view, row: 0 });
  byId("camera-title").textContent = TITLES[view];
}

const back = () => (now.stream ? looksBack(now.stream, now.facing) : now.facing === "user");
const aloud = () => speaks && byId("camera-aloud").checked;

/** Open the camera and show what it sees; false when it is not wanted any more. */
async function look(dialog) {
  const current = looking.begin();
  closed(now.stream);
  const stream = await opened(now.facing);
  if (!current() || !dialog.open) {
    closed(stream);
    return false;
  }
  now.stream = stream;
  stream.getVideoTracks()[0].addEventListener("ended", () => {
    if (now.stream === stream && !now.photo) stop(ENDED);
  });
  const video = byId("camera-live");
  // Her own side is shown as in a mirror; the photo is not.
  video.classList.toggle("mirror", back());
  await watched(stream, video);
  return current();
}

async function turn(dialog) {
  now.facing = now.facing === "user" ? "environment" : "user";
  try {
    if ((await look(dialog)) && alive(now.stream)) stage("ready", STANCE[now.view]);
  } catch (problem) {
    if (!(problem instanceof NoCamera)) throw problem;
    dialog.close();
    throw new FieldProblem(byId(now.view), problem.message);
  }
}

function sound() {
  unlock();
  beep();
  if (aloud()) speak(gettext("This is how loud the countdown is."));
  words(gettext("You should have heard a beep. If not, turn the sound up, or watch the numbers."));
}

function start() {
  unlock();
  now.row = 1;
  advise([]);
  run();
}

/** One photo, from the countdown to what the service says about it. */
async function run() {
  const [wanted, view] = [runs.begin(), now.view];
  if (!alive(now.stream)) {
    stop(ENDED);
    return;
  }
  forgetPhoto();
  const seconds = Number(byId("camera-timer").value);
  // What was wrong stands there until the next photo is taken.
  const how = now.row > 1 ? gettext("Once more.") : STANCE[view];
  stage("counting", how);
  if (aloud()) speak([ngettext("{number} second.", "{number} seconds.", seconds), how].join(" "));
  await counted(seconds, wanted, tick);
  tell("count", "");
  if (!wanted()) return;
  stage("taking", gettext("Now: stand still."));
  const taken = await burst(now.stream, byId("camera-live"), wanted);
  if (!wanted()) return;
  if (!taken.length) {
    stop(NOTHING);
    return;
  }
  beep(1320, 0.4);
  words(gettext("Taken. The sharpest of the pictures is being chosen."));
  const photo = await prepared(taken[await sharpest(taken)], true);
  if (!wanted()) return;
  show(photo);
  now.result = checkShot(view, photo, () => now.photo === photo || hasShot(view, photo));
  const result = await now.result;
  if (result && wanted()) await judged(result, wanted);
}

function tick(left) {
  tell("count", String(left));
  if (left > LAST_SECONDS) return;
  beep();
  if (aloud()) speak(String(left));
}

function show(photo) {
  now.photo = photo;
  advise([]);
  lead("use");
  address = URL.createObjectURL(photo);
  byId("camera-shot").src = address;
  stage("shown", gettext("This is the photo. It is being checked."));
}

function forgetPhoto() {
  now.photo = null;
  now.result = null;
  byId("camera-shot").removeAttribute("src");
  URL.revokeObjectURL(address);
}

/** Tell what the check found, and go on by itself where that is wanted. */
async function judged(result, wanted) {
  const alone = byId("camera-alone").checked;
  const waits = alone ? whyItWaits(result, now.row) : "";
  const [first, ...cues] = verdict(result);
  words(first);
  advise(waits ? [...result.advice, { severity: "warned", cue: waits }] : result.advice);
  lead(result.refused && !isOfChoice(result) ? "again" : "use");
  const aloudWords = [first, ...cues, waits].filter(Boolean).join(" ");
  await Promise.all([aloud() ? speak(aloudWords) : null, pause(READING_S)]);
  if (!wanted() || !result.known || !alone || waits) return;
  if (!result.refused) next();
  else {
    now.row += 1;
    run();
  }
}

/** Which of the two buttons below a photo stands out. */
function lead(name) {
  for (const one of ["use", "again"]) byId(`camera-${one}`).classList.toggle("plain", one !== name);
}

function advise(advice) {
  byId("camera-advice").replaceChildren(
    ...advice.map(({ severity, cue }) => el("li", { class: severity }, cue)),
  );
}

/** The answer in one sentence, and what to do about it. */
function verdict(result) {
  if (!result.known) return [result.refusal?.message ?? UNKNOWN];
  return [(result.refused ? REFUSED : USABLE)[now.view], ...result.advice.map(({ cue }) => cue)];
}

function next() {
  const side = now.view === "front" && !hasShot("side");
  use(byId("camera"), !side);
  if (!side) return;
  begin("side");
  now.row = 1;
  advise([]);
  run();
}

function use(dialog, leave = true) {
  useShot(now.view, now.photo, now.result);
  if (!leave) return;
  dialog.close();
  say(withNext(TAKEN[now.view]));
  leadToSending();
}

function stop(why = "") {
  runs.begin();
  hush();
  tell("count", "");
  forgetPhoto();
  advise([]);
  stage(why === ENDED ? "ended" : "ready", why || `${gettext("Stopped.")} ${STANCE[now.view]}`);
}

/** Leave nothing running and nothing of a photo that is not used. */
function end() {
  runs.begin();
  looking.begin();
  hush();
  for (const ending of endings) ending();
  endings = [];
  mayRest();
  closed(now.stream);
  now.stream = null;
  byId("camera-live").srcObject = null;
  for (const line of ["count", "level", "light"]) tell(line, "");
  forgetPhoto();
  advise([]);
}

function stage(name, text) {
  for (const one of ALL) byId(`camera-${one}`).hidden = !BUTTONS[name].includes(one);
  byId("camera-choices").hidden = name !== "ready";
  for (const line of ["light", "level"]) byId(`camera-${line}`).hidden = ["shown", "ended"].includes(name);
  byId("camera-live").hidden = name === "shown";
  byId("camera-shot").hidden = name !== "shown";
  words(text);
  const focused = document.activeElement;
  if (!focused || focused === document.body || focused.closest("[hidden]")) {
    byId(`camera-${BUTTONS[name][0]}`).focus();
  }
}

function tell(line, text) {
  byId(`camera-${line}`).textContent = text;
}

const words = (text) => tell("words", text);
