// What the photos gave: outline and levels over the photo, and a table of estimates.

import { byId, capital, el, svg } from "./dom.js";
import { figures, inOrder, leansOnTape, measured } from "./figures.js";
import { gettext } from "./language.js";
import { bent, mmPerPx, standingBends } from "./lines.js";
import { outsideWords } from "./words.js";

// Parts of the height of what is shown: lettering, air around it, and the longest name.
const LETTERING = 1 / 34;
// On a phone a picture is some 300 CSS pixels wide: letters of 13 px at least.
const LEAST_LETTERING = 1 / 24;
const AIR = 1 / 20;
const LETTER_WIDTH = 0.67;
const NAME = 9 * LETTER_WIDTH * LETTERING;
// From the middle of a body to its side, at most, as a part of its height (judged).
const BREADTH = 0.16;
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
  const levels = Object.keys(found.levels_px).map((code) => names.get(code) ?? code);
  const words = pictureWords[view]({ count: levels.length, levels: levels.join(", ") });
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
  frame.append(drawing(found, shown, words, names, bends));
  const where = photo ? WITH_PHOTO : WITHOUT_PHOTO;
  return el("figure", {}, frame, el("figcaption", {}, where[view]));
}

/** The part of the photo with her and the sheets in it, in pixels: left, top, width, height. */
function shownPart({ outline_px: outline, references_px: references, width_px, height_px }) {
  const all = [...outline, ...references.flat()];
  const [xs, ys] = [0, 1].map((axis) => all.map((point) => point[axis]));
  const tall = Math.max(...ys) - Math.min(...ys);
  const left = Math.max(0, Math.min(...xs) - tall * AIR);
  const top = Math.max(0, Math.min(...ys) - tall * AIR);
  const right = Math.min(width_px, Math.max(Math.max(...xs), rightOf(outline, tall)) + tall * AIR);
  const bottom = Math.min(height_px, Math.max(...ys) + tall * AIR);
  return { left, top, width: right - left, height: bottom - top };
}

// Names stand to the right of her; arms reach farther than they do in the front photo.
const rightOf = (outline, tall) => {
  const middle = outline.reduce((sum, [x]) => sum + x, 0) / outline.length;
  return middle + tall * (BREADTH + NAME);
};

/** Put the whole photo so that the part shown fills its frame. */
export function place(image, { width_px: width, height_px: height }, shown) {
  const percent = (part, whole) => `${(part / whole) * 100}%`;
  image.style.width = percent(width, shown.width);
  image.style.height = percent(height, shown.height);
  image.style.left = percent(-shown.left, shown.width);
  image.style.top = percent(-shown.top, shown.height);
}

/** Outline and levels in pixels of the upright photo, whose first pixel's centre is (0, 0). */
function drawing(found, shown, words, names, bends) {
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
  made.append(...levelLines(found.levels_px, shown, names));
  return made;
}

function levelLines(levels, shown, names) {
  const fromTop = Object.entries(levels).sort(([, a], [, b]) => a[1][1] - b[1][1]);
  const most = shown.height * LETTERING;
  const beside = Math.max(...fromTop.flatMap(([, ends]) => ends.map(([across]) => across))) + most / 2;
  // The longest name ends where the picture does.
  const longest = Math.max(...fromTop.map(([code]) => (names.get(code) ?? code).length));
  const right = shown.left + shown.width;
  const fitting = Math.min(most, (right - beside) / (longest * LETTER_WIDTH));
  const size = Math.max(fitting, shown.width * LEAST_LETTERING);
  // Letters that would be too small to read lie over an arm instead.
  const x = Math.min(beside, right - longest * LETTER_WIDTH * size);
  let lowest = -Infinity;
  return fromTop.flatMap(([code, [[x1, y1], [x2, y2]]]) => {
    // Names of levels that lie close together are moved apart.
    lowest = Math.max(y2, lowest + size * 1.15);
    return [
      svg("line", { class: "level", x1, y1, x2, y2 }),
      svg("text", { class: "level-name", x, y: lowest + size / 3, "font-size": size },
        names.get(code) ?? code),
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
