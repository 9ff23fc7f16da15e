// What the photos gave: outline and levels over the photo, and a table of estimates.

import { byId, capital, el, svg } from "./dom.js";
import { figures, inOrder, leansOnTape, measured } from "./figures.js";
import { gettext } from "./language.js";
import { bent, mmPerPx, standingBends } from "./lines.js";
import { outsideWords } from "./words.js";

// Parts of the height of what is shown: numbers, and air around her.
const LETTERING = 1 / 34;
// On a phone a picture is some 300 CSS pixels wide: numbers of 14 px at least.
const LEAST_LETTERING = 1 / 21;
const AIR = 1 / 20;
// From her middle to the right edge, at least, as a part of her height, so that a picture without
// sheets is not much higher than it is wide (judged).
const TO_THE_RIGHT = 1 / 3;
const MOST_SHARES = 3;
const LEAST_SHARE = 0.01;
// A landmark that is hardly seen is more of a guess; their dots are this part of what is shown.
const SEEN = 0.5;
const DOT = 1 / 180;
// Told in more words by what lies outside.
const UNUSUAL = "unusual-body";
const BUSTS = ["high_bust", "full_bust"];
const BUST_DIFFERENCE = { code: "bust_difference", name: gettext("full bust minus high bust") };
const pictureWords = {
  front: (values) =>
    gettext("Your outline seen from the front, with {count} levels: {levels}; dots are points of the body that were found. The numbers are in the table.", values),
  side: (values) =>
    gettext("Your outline seen from the side, with {count} levels: {levels}; dots are points of the body that were found. The numbers are in the table.", values),
};
const ONLY_THERE = gettext("only in the other photo");
const WITH_PHOTO = {
  front: gettext("Front (the photo is shown from your own device)"),
  side: gettext("Side (the photo is shown from your own device)"),
};
const WITHOUT_PHOTO = {
  front: gettext("Front (the photo itself was not kept)"),
  side: gettext("Side (the photo itself was not kept)"),
};

let drawn = "";
let over = null;
let urls = [];

/** Show findings; photos are the files that this page still has, by view. */
export function showFindings(overview, photos, kinds) {
  const { findings, measurements, unit } = overview.record;
  byId("findings").hidden = !findings;
  if (!findings) return;
  const covered = coveredIn(overview);
  for (const id of ["estimates", "given-tape-rows"]) headInOrder(byId(id).closest("table"));
  showGivenTape(measurements, kinds.filter(({ code }) => !covered(code)));
  const same = JSON.stringify([findings, kinds.filter(({ code }) => covered(code)), unit]);
  // Drawn once: the picture would flicker and lose its place with every refresh.
  if (drawn === same && over === photos) return;
  [drawn, over] = [same, photos];
  const names = new Map(kinds.map(({ code, name }) => [code, name]));
  for (const url of urls) URL.revokeObjectURL(url);
  urls = [];
  byId("pictures").replaceChildren(
    picture("front", findings, photos.front, names),
    picture("side", findings, photos.side, names),
  );
  byId("photo-warnings").replaceChildren(...warnings(findings));
  const rows = kinds.filter(({ code }) => findings.estimates[code]);
  byId("estimates").replaceChildren(
    ...rows.map((kind) =>
      covered(kind.code) ? coveredRow(kind) : row(kind, ownFigures(findings.estimates[kind.code]))),
  );
  const difference = findings.bust_difference;
  if (difference && !BUSTS.some(covered)) {
    byId("estimates").append(row(BUST_DIFFERENCE, ownFigures(difference)));
  }
  byId("budgets").replaceChildren(...rows.flatMap((kind) => budget(kind, findings.estimates)));
}

/** The heads of a table of lengths in the order of its cells. */
function headInOrder({ tHead }) {
  const head = (unit) => tHead.querySelector(`[data-unit=${unit}]`);
  tHead.rows[0].append(...inOrder(head("cm"), head("in")));
}

/** Whether an estimate waits for the first reading, so that the tape does not follow it. */
function coveredIn({ asked, needed, record }) {
  const taped = new Set([...asked, ...needed].filter((code) => !record.readings[code]?.length));
  return (code) => taped.has(code);
}

const coveredRow = ({ name }) =>
  el("tr", {},
    el("th", { scope: "row" }, capital(name)),
    el("td", { colspan: "2", class: "soft" }, gettext("shown after your first reading")),
  );

/** What the tape tells of girths that it has not confirmed. */
function showGivenTape(measurements, kinds) {
  const rows = kinds.filter(({ code }) => measurements[code] && leansOnTape(measurements[code]));
  byId("given-tape").hidden = !rows.length;
  byId("given-tape-rows").replaceChildren(
    ...rows.map((kind) => row(kind, measured(measurements[kind.code]))),
  );
}

function warnings({ front, side, outside }) {
  const told = [...front.problems, ...side.problems];
  const once = new Map(told.map((one) => [one.code, one.advice]));
  if (outside?.length) once.set(UNUSUAL, outsideWords(outside));
  return [...once.values()].map((advice) => el("li", { class: "warned" }, capital(advice)));
}

const ownFigures = ({ value_mm, low_mm, high_mm }) => figures(value_mm, low_mm, high_mm);

function row({ name }, shown) {
  return el("tr", {},
    el("th", { scope: "row" }, capital(name)),
    ...inOrder(shown.cm, shown.in).map((text) => el("td", {}, text)),
  );
}

function budget({ code, name }, estimates) {
  const largest = [...estimates[code].budget].sort((a, b) => b.share - a.share);
  const words = largest
    .slice(0, MOST_SHARES)
    .filter(({ share }) => share >= LEAST_SHARE)
    .map(({ source, share }) => `${source} ${Math.round(share * 100)} %`);
  return words.length ? [el("dt", {}, capital(name)), el("dd", {}, words.join(", "))] : [];
}

/** The photo that this page still has of a view, if any. */
export const photoOf = (view) => over?.[view];

function picture(view, findings, photo, names) {
  const found = findings[view];
  const all = levelsOf(findings, view, [...names.keys()]);
  const levels = all.filter(({ ends }) => ends);
  const named = levels.map(({ code }) => names.get(code));
  const words = pictureWords[view]({ count: levels.length, levels: named.join(", ") });
  const frame = el("div", { class: "picture" });
  const shown = shownPart(found);
  if (photo) {
    const url = URL.createObjectURL(photo);
    urls.push(url);
    const image = el("img", { src: url, alt: "" });
    place(image, found, shown);
    frame.append(image);
  }
  const size = mmPerPx(findings, view);
  const bends = ["left", "right"].flatMap((end) =>
    bent(found.outline_px, standingBends(findings, view, end, size), size),
  );
  frame.append(drawing(found, shown, words, levels, bends));
  const where = photo ? WITH_PHOTO : WITHOUT_PHOTO;
  return el("figure", {}, frame, el("figcaption", {}, where[view],
    el("ol", { class: "level-names" }, all.map(({ code, number, ends }) =>
      el("li", { value: number }, capital(names.get(code)), ends ? "" : el("span", { class: "soft" }, ` (${ONLY_THERE})`))))));
}

/** The part of the photo with her and the sheets in it, in pixels: left, top, width, height. */
function shownPart({ outline_px: outline, references_px: references, height_px }) {
  const all = [...outline, ...references.flat()];
  const [xs, ys] = [0, 1].map((axis) => all.map((point) => point[axis]));
  const tall = Math.max(...ys) - Math.min(...ys);
  // Beside a hand at the photo's edge there is room for a number all the same.
  const left = Math.min(...xs) - tall * AIR;
  const top = Math.max(0, Math.min(...ys) - tall * AIR);
  const right = Math.max(...xs, rightOf(outline, tall)) + tall * AIR;
  const bottom = Math.min(height_px, Math.max(...ys) + tall * AIR);
  return { left, top, width: right - left, height: bottom - top };
}

const rightOf = (outline, tall) =>
  outline.reduce((sum, [x]) => sum + x, 0) / outline.length + tall * TO_THE_RIGHT;

/** Put the whole photo so that the part shown fills its frame. */
export function place(image, { width_px: width, height_px: height }, shown) {
  const percent = (part, whole) => `${(part / whole) * 100}%`;
  image.style.width = percent(width, shown.width);
  image.style.height = percent(height, shown.height);
  image.style.left = percent(-shown.left, shown.width);
  image.style.top = percent(-shown.top, shown.height);
}

/** Outline and levels in pixels of the upright photo, whose first pixel's centre is (0, 0). */
function drawing(found, shown, words, levels, bends) {
  const corner = `${shown.left - 0.5} ${shown.top - 0.5}`;
  const made = svg("svg", { viewBox: `${corner} ${shown.width} ${shown.height}`, role: "img" },
    svg("title", {}, words),
    found.references_px.map((corners) =>
      svg("polygon", { class: "sheet-line", points: points(corners) })),
    svg("polygon", { class: "outline halo", points: points(found.outline_px) }),
    svg("polygon", { class: "outline", points: points(found.outline_px) }),
    bends.map((way) => svg("polyline", { class: "bend", points: points(way) })),
    drawnLandmarks(found, shown.height * DOT),
  );
  made.append(...levelLines(levels, shown));
  return made;
}

/** All levels from the top with their ends in a view, if it shows them, and a number for both views. */
function levelsOf(findings, view, codes) {
  const [front, side] = [findings.front.levels_px, findings.side.levels_px];
  return codes
    .filter((code) => front[code] ?? side[code])
    .map((code, at) => ({ code, number: at + 1, ends: findings[view].levels_px[code] }));
}

/** Levels, each with its number at an edge of the picture, where it hides nothing of her. */
function levelLines(levels, shown) {
  const size = Math.max(shown.height * LETTERING, shown.width * LEAST_LETTERING);
  const middles = [shown.left + size / 2, shown.left + shown.width - size / 2];
  const lowest = [-Infinity, -Infinity];
  return levels.flatMap(({ number, ends }) => {
    const [[x1, y1], [x2, y2]] = ends;
    // As on the card, odd numbers stand left and even ones right, clear of each other.
    const side = number % 2 ? 0 : 1;
    const [x, y] = ends[side];
    lowest[side] = Math.max(y, lowest[side] + size * 1.15);
    const [middle, high] = [middles[side], lowest[side]];
    const lead = { x1: x, y1: y, x2: middle + (side ? -size : size) / 2, y2: high };
    return [
      svg("line", { class: "level", x1, y1, x2, y2 }),
      svg("line", { class: "level other", ...lead }),
      svg("text", { class: "level-number", x: middle, y: high + size / 3, "font-size": size },
        String(number)),
    ];
  });
}

/** Landmarks that are seen, as dots of a size in pixels. */
export function drawnLandmarks({ landmarks_px: landmarks }, size) {
  return Object.values(landmarks)
    .filter(([, , seen]) => seen >= SEEN)
    .map(([cx, cy]) => svg("circle", { class: "landmark", cx, cy, r: size }));
}

export const points = (pairs) => pairs.map(([x, y]) => `${x},${y}`).join(" ");
