// What the photos gave: outline and levels over the photo, and a table of estimates.

import { byId, capital, el, svg } from "./dom.js";
import { figures } from "./figures.js";

// Lettering and lines of the drawing as parts of the photo's height.
const LETTERING = 1 / 38;
const MOST_SHARES = 3;

let drawn = "";
let over = null;
let urls = [];

/** Show findings; photos are the files that this page still has, by view. */
export function showFindings(findings, photos, kinds) {
  byId("findings").hidden = !findings;
  if (!findings) return;
  const same = JSON.stringify(findings);
  // Drawn once: the picture would flicker and lose its place with every refresh.
  if (drawn === same && over === photos) return;
  [drawn, over] = [same, photos];
  const names = new Map(kinds.map(({ code, name }) => [code, name]));
  for (const url of urls) URL.revokeObjectURL(url);
  urls = [];
  byId("pictures").replaceChildren(
    picture("front", findings.front, photos.front, names),
    picture("side", findings.side, photos.side, names),
  );
  byId("photo-warnings").replaceChildren(...warnings(findings));
  const rows = kinds.filter(({ code }) => findings.estimates[code]);
  byId("estimates").replaceChildren(...rows.map((kind) => row(kind, findings.estimates)));
  byId("budgets").replaceChildren(...rows.flatMap((kind) => budget(kind, findings.estimates)));
}

function warnings({ front, side }) {
  const told = [...front.problems, ...side.problems];
  const once = new Map(told.map((one) => [one.code, one.advice]));
  return [...once.values()].map((advice) => el("li", { class: "warned" }, capital(advice)));
}

function row({ code, name }, estimates) {
  const { value_mm, low_mm, high_mm } = estimates[code];
  const shown = figures(value_mm, low_mm, high_mm);
  const plain = (text) => text.replace(/ (cm|in)$/, "");
  return el("tr", {},
    el("th", { scope: "row" }, capital(name)),
    el("td", {}, plain(shown.cm)),
    el("td", {}, plain(shown.in)),
  );
}

function budget({ code, name }, estimates) {
  const largest = [...estimates[code].budget].sort((a, b) => b.share - a.share);
  const words = largest
    .slice(0, MOST_SHARES)
    .map(({ source, share }) => `${source} ${Math.round(share * 100)} %`);
  return words.length ? [el("dt", {}, capital(name)), el("dd", {}, words.join(", "))] : [];
}

function picture(view, found, photo, names) {
  const levels = Object.keys(found.levels_px).map((code) => names.get(code) ?? code);
  const words =
    `Your outline seen from the ${view}, with ${levels.length} levels: ${levels.join(", ")}. ` +
    "The numbers are in the table.";
  const frame = el("div", { class: photo ? "picture" : "picture bare" });
  if (photo) {
    const url = URL.createObjectURL(photo);
    urls.push(url);
    frame.append(el("img", { src: url, alt: "", width: found.width_px, height: found.height_px }));
  }
  frame.append(drawing(found, words, names));
  const where = photo ? "the photo is shown from your own device" : "the photo itself was not kept";
  const caption = el("figcaption", {}, `${capital(view)} (${where})`);
  return el("figure", {}, frame, caption);
}

/** Outline and levels in pixels of the upright photo, whose first pixel's centre is (0, 0). */
function drawing(found, words, names) {
  const { width_px: width, height_px: height } = found;
  const size = height * LETTERING;
  const made = svg("svg", { viewBox: `-0.5 -0.5 ${width} ${height}`, role: "img" },
    svg("title", {}, words),
  );
  for (const corners of found.references_px) {
    made.append(svg("polygon", { class: "sheet-line", points: points(corners) }));
  }
  made.append(
    svg("polygon", { class: "outline halo", points: points(found.outline_px) }),
    svg("polygon", { class: "outline", points: points(found.outline_px) }),
  );
  let lowest = -Infinity;
  const fromTop = Object.entries(found.levels_px).sort(([, a], [, b]) => a[1][1] - b[1][1]);
  for (const [code, [left, right]] of fromTop) {
    const [x1, y1, x2, y2] = [...left, ...right];
    // Names of levels that lie close together are moved apart.
    lowest = Math.max(y2, lowest + size * 1.1);
    made.append(
      svg("line", { class: "level", x1, y1, x2, y2 }),
      svg("text", { class: "level-name", x: Math.max(x1, x2) + size / 2, y: lowest + size / 3,
        "font-size": size }, names.get(code) ?? code),
    );
  }
  return made;
}

const points = (pairs) => pairs.map(([x, y]) => `${x},${y}`).join(" ");
