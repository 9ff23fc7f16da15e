// Correcting a line: one line of one photo at a time, large, with a handle on it and at its ends.

import { ended, fetched } from "./api.js";
import { changedWords, endName, OTHER_PHOTO, standingWords, STILL_MOVED, waitingWords } from "./corrections.js";
import { byId, capital, el, svg, turns } from "./dom.js";
import { drawnLandmarks, photoOf, place, points } from "./findings.js";
import { clearMarks, complain, FieldProblem, onPress } from "./forms.js";
import { handle } from "./handles.js";
import { gettext } from "./language.js";
import { bent, mmPerPx, raised, standingBends, standingMoves } from "./lines.js";
import { say, warn } from "./status.js";

const VIEWS = ["front", "side"];
const ENDS = ["left", "right"];
// The reference is service/ellwand/girth/move.py: pointing, and what is too far for a hand.
const POINTING_PX = 2;
const [LEAST_U_MM, MOST_U_MM] = [0.5, 50];
const MOST_MM = { height: 150, left: 80, right: 80 };
// The line fills this part of the picture's width; the picture is as tall as wide.
const FILLED = 0.5;

const jobs = turns();
let findings = null;
let seen = "";
let kinds = [];
let refresh = async () => {};
// What is moved and not saved: by "level.height" and "view.level.end", in mm.
let moved = new Map();
// Photos chosen again for this picture only, by view.
let chosen = {};
let urls = [];

/** Start this part of the page. */
export function startCorrecting(page) {
  refresh = page.refresh;
  onPress(byId("correct-lines"), () => show(true));
  onPress(byId("correct-save"), save);
  onPress(byId("correct-back"), putBack);
  onPress(byId("correct-done"), () => show(false));
  onPress(byId("correct-undo"), undo);
  for (const one of VIEWS) byId(`correct-${one}`).addEventListener("change", chooseView);
  byId("correct-level").addEventListener("change", draw);
  byId("correct-photo").addEventListener("change", choosePhoto);
  return {
    show(overview, allKinds) {
      kinds = allKinds;
      const now = JSON.stringify(overview.record.findings);
      if (now === seen) return;
      [seen, findings] = [now, overview.record.findings];
      moved = new Map();
      showStart();
      // Asked for before the page was loaded, perhaps from another window.
      if (overview.correction) {
        follow(overview.correction.id, gettext("Saved.")).catch((problem) =>
          complain(byId("correcting"), problem));
      }
    },
    typed: () => moved.size > 0,
    forget() {
      jobs.begin();
      [findings, seen, chosen, moved] = [null, "", {}, new Map()];
    },
  };
}

const view = () => (byId("correct-front").checked ? "front" : "side");
const level = () => byId("correct-level").value;
const nameOf = (code) => kinds.find((one) => one.code === code)?.name ?? code;

const canCorrect = () =>
  Boolean(findings?.front.traced && findings?.side.traced && findings?.setup);

function showStart() {
  const can = canCorrect();
  byId("correct-lines").hidden = !can || !byId("correcting").hidden;
  byId("correct-old").hidden = can || !findings;
  const standing = findings ? standingMoves(findings) : [];
  byId("correct-now").textContent = standingWords(standing, nameOf);
  byId("correct-undo").hidden = !can || !standing.length;
  if (!can) show(false);
  else if (!byId("correcting").hidden) chooseView();
}

function show(open) {
  byId("correcting").hidden = !open;
  byId("correct-lines").hidden = open || !canCorrect();
  if (open) {
    chooseView();
    byId("correcting").scrollIntoView();
    byId("correcting-title").focus({ preventScroll: true });
  } else if (findings) {
    byId("correct-lines").focus();
    if (moved.size) say(STILL_MOVED);
  }
}

function chooseView() {
  const before = level();
  const codes = Object.keys(findings[view()].levels_px);
  byId("correct-level").replaceChildren(
    ...codes.map((code) => el("option", { value: code }, capital(nameOf(code)))),
  );
  byId("correct-level").value = codes.includes(before) ? before : codes[0];
  byId("correct-photo").value = "";
  draw();
}

function choosePhoto() {
  chosen[view()] = byId("correct-photo").files[0];
  draw();
}

const keyOf = (part, code = level()) =>
  part === "height" ? `${code}.height` : `${view()}.${code}.${part}`;
const movedBy = (part, code = level()) => moved.get(keyOf(part, code)) ?? 0;

/** Where a line lies now, its ends on the outline or where they were moved to. */
function lineOf(code) {
  const found = findings[view()];
  const size = mmPerPx(findings, view());
  const up = movedBy("height", code) / size;
  const ends = up ? raised(found.outline_px, found.levels_px[code], up) : found.levels_px[code];
  return ends.map(([x, y], at) => {
    const outward = at ? 1 : -1;
    return [x + (outward * movedBy(ENDS[at], code)) / size, y];
  });
}

/** The part of the photo around the chosen line, in pixels: left, top, width, height. */
function shownPart() {
  const [[x1, y1], [x2, y2]] = findings[view()].levels_px[level()];
  const width = (x2 - x1) / FILLED;
  return { left: (x1 + x2 - width) / 2, top: (y1 + y2 - width) / 2, width, height: width };
}

/** Draw picture and handles anew; while one is moved, only what moves is drawn anew. */
function draw() {
  for (const url of urls) URL.revokeObjectURL(url);
  urls = [];
  const found = findings[view()];
  const shown = shownPart();
  const frame = byId("correcting-picture");
  const photo = chosen[view()] ?? photoOf(view());
  byId("correct-photo-field").hidden = Boolean(photoOf(view()));
  const drawing = svg("svg", {
    viewBox: `${shown.left - 0.5} ${shown.top - 0.5} ${shown.width} ${shown.height}`,
    "aria-hidden": "true",
  });
  frame.replaceChildren(...(photo ? [underneath(photo, found, shown)] : []), drawing);
  const grips = ["height", ...ENDS].map((part) => grip(part, shown, frame));
  frame.append(...grips.map(({ element }) => element));
  redraw = () => {
    lines(drawing);
    for (const one of grips) one.place();
    byId("correcting-told").textContent = waitingWords(moved, nameOf);
  };
  redraw();
}

let redraw = () => {};

function underneath(photo, found, shown) {
  const url = URL.createObjectURL(photo);
  urls.push(url);
  const image = el("img", { src: url, alt: "" });
  image.addEventListener("load", () => {
    if (image.naturalWidth === found.width_px && image.naturalHeight === found.height_px) return;
    image.remove();
    delete chosen[view()];
    warn(OTHER_PHOTO[view()]);
  });
  place(image, found, shown);
  return image;
}

function lines(drawing) {
  const found = findings[view()];
  const size = mmPerPx(findings, view());
  const bends = ENDS.flatMap((end) => bent(found.outline_px, bendsOf(end, size), size));
  const others = Object.keys(found.levels_px).filter((code) => code !== level());
  const line = (code, kind) => {
    const [[x1, y1], [x2, y2]] = lineOf(code);
    return svg("line", { class: kind, x1, y1, x2, y2 });
  };
  drawing.replaceChildren(
    svg("polygon", { class: "outline halo", points: points(found.outline_px) }),
    svg("polygon", { class: "outline", points: points(found.outline_px) }),
    ...bends.map((way) => svg("polyline", { class: "bend", points: points(way) })),
    ...drawnLandmarks(found, shownPart().height / 100),
    ...others.map((code) => line(code, "level other")),
    line(level(), "level halo"),
    line(level(), "level"),
  );
}

/** Bends of one edge: those that stand, and those that are not saved. */
function bendsOf(end, size) {
  const standing = standingBends(findings, view(), end, size);
  const found = findings[view()];
  const outward = end === "left" ? -1 : 1;
  const fresh = Object.keys(found.levels_px)
    .filter((code) => movedBy(end, code))
    .map((code) => {
      const up = movedBy("height", code) / size;
      const [x, y] = raised(found.outline_px, found.levels_px[code], up)[end === "left" ? 0 : 1];
      return { x, y, by: (outward * movedBy(end, code)) / size };
    });
  return [...standing, ...fresh];
}

function grip(part, shown, frame) {
  const name = nameOf(level());
  const label =
    part === "height" ? gettext("Height of the {name}", { name }) : endName[view()][part](name);
  return handle({
    part,
    label,
    most: MOST_MM[part],
    // Of the picture as it is shown at this moment.
    mmPerCssPx: () => cssSize(frame, shown),
    value: () => movedBy(part),
    at: () => {
      const [left, right] = lineOf(level());
      const middle = [(left[0] + right[0]) / 2, (left[1] + right[1]) / 2];
      const [x, y] = { height: middle, left, right }[part];
      return [(x - shown.left) / shown.width, (y - shown.top) / shown.height];
    },
    change: (mm) => {
      if (mm) moved.set(keyOf(part), mm);
      else moved.delete(keyOf(part));
      redraw();
    },
  });
}

const cssSize = (frame, shown) =>
  (mmPerPx(findings, view()) * shown.width) / Math.max(frame.clientWidth, 1);

function putBack() {
  if (!moved.size) {
    say(gettext("Nothing is moved."));
    return;
  }
  moved = new Map();
  redraw();
  say(gettext("All lines are back where they were."));
}

/** The moves as they are sent: heights first, because ends lie on them. */
function sentMoves() {
  const frame = byId("correcting-picture");
  const pointing = POINTING_PX * cssSize(frame, shownPart());
  const u = Math.min(MOST_U_MM, Math.max(LEAST_U_MM, Math.round(pointing * 10) / 10));
  const one = (key, by) => {
    const parts = key.split(".");
    const [part, code] = [parts.at(-1), parts.at(-2)];
    const inView = part === "height" ? heightView(code) : parts[0];
    return { view: inView, level: code, part, by_mm: by, u_mm: u };
  };
  const all = [...moved].map(([key, by]) => one(key, by));
  const isHeight = ({ part }) => part === "height";
  return [...all.filter(isHeight), ...all.filter((move) => !isHeight(move))];
}

const heightView = (code) => (findings[view()].levels_px[code] ? view() : "side");

async function save() {
  if (moved.size) await correct({ moves: sentMoves() }, gettext("Saved."));
  else say(gettext("Nothing is moved. Drag a handle, or use the arrow keys on it."));
}

async function undo() {
  await correct({ undo: true }, gettext("The last correction is undone."));
}

const workedOut = () => say(gettext("The numbers are being worked out anew."), { stays: true });

async function correct(asked, done) {
  clearMarks(byId("correcting-wrong"));
  workedOut();
  const accepted = await fetched("POST", "/sitting/corrections", { json: asked });
  await follow(accepted.id, done);
}

/** Follow the job of a correction, and say what has changed. */
async function follow(id, done) {
  const before = findings.estimates;
  const current = jobs.begin();
  const job = await ended(id, workedOut, current);
  if (!job || !current()) return;
  if (job.status !== "done") {
    const why = `${job.problem.title} ${job.problem.detail}`;
    complain(byId("correcting-wrong"), new FieldProblem(null, why));
    return;
  }
  await refresh();
  if (current()) say(`${done} ${changedWords(before, findings.estimates, kinds)}`);
}
