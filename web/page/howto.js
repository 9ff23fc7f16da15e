// How each measurement is taken alone: words from the service, a drawing out of howto.svg.

import { el, svg } from "./dom.js";
import { inBothUnits, inHerOrder } from "./figures.js";
import { gettext, language } from "./language.js";

// What a drawing shows is told in words in the file itself.
const FILE = language === "en" ? "/page/howto.svg" : `/page/howto.${language}.svg`;

let sheet = null;

/** The drawings, fetched once, and only when the first of them is looked at. */
function drawings() {
  sheet ??= loaded().catch((problem) => {
    sheet = null;
    throw problem;
  });
  return sheet;
}

async function loaded() {
  const response = await fetch(FILE, { credentials: "same-origin" });
  if (!response.ok) throw new Error("no drawings");
  // A file of this page, and none of hers; the policy would run no script in it either.
  return new DOMParser().parseFromString(await response.text(), "image/svg+xml");
}

/** A copy of a group without what the whole file has only once. */
function copied(group) {
  const copy = document.importNode(group, true);
  copy.removeAttribute("id");
  copy.querySelector("desc")?.remove();
  return copy;
}

function drawn(file, code, title) {
  const group = file.getElementById(code);
  const figures = group.dataset.figures.split(" ").filter(Boolean);
  const [titled, told] = [`${code}-drawing-title`, `${code}-drawing-desc`];
  return svg("svg", {
    class: "how-drawing", role: "img", "aria-labelledby": titled, "aria-describedby": told,
    viewBox: group.dataset.view ?? file.documentElement.getAttribute("viewBox"),
  },
  svg("title", { id: titled }, title),
  svg("desc", { id: told }, inHerOrder(group.querySelector("desc").textContent)),
  ...[...figures.map((name) => file.getElementById(name)), group].map(copied));
}

/** Put a drawing into its place, as soon as what holds it is opened. */
function drawWhenOpened(details, place, code, title) {
  details.addEventListener("toggle", async () => {
    if (!details.open || place.querySelector("svg")) return;
    try {
      const file = await drawings();
      if (!place.querySelector("svg")) place.replaceChildren(drawn(file, code, title));
    } catch {
      place.replaceChildren(
        el("p", { class: "soft" }, gettext("The drawing was not reached; the words say all of it.")),
      );
    }
  });
}

/** What holds for all measurements: its words stand in the page, its drawing does not. */
export function startBeforehand(details, place) {
  drawWhenOpened(details, place, "crooked", gettext("A tape that drops at the back"));
}

/** The drawing of how one measurement is taken: its place, and a start that has to be told when. */
export function drawnHow({ code, name }) {
  const place = el("div", { class: "how-place" });
  return {
    place,
    startWhenOpened: (details) =>
      drawWhenOpened(details, place, code, gettext("How the tape lies: {name}", { name })),
  };
}

/** How one measurement is taken in words, closed, and the place for what a crooked tape adds. */
export function howTo({ name, how_to: how }) {
  const crooked = el("div");
  const details = el("details", { class: "how" },
    el("summary", {}, gettext("How to measure: {name}", { name })),
    el("dl", {},
      how.parts.flatMap(({ heading, words }) => [el("dt", {}, heading), el("dd", { class: "lengths" }, inHerOrder(words))]),
      el("dt", {}, gettext("What goes wrong")),
      el("dd", {}, el("ul", {}, how.wrong.map((words) => el("li", { class: "lengths" }, inHerOrder(words))))),
    ),
    crooked,
  );
  return { details, crooked };
}

/** Say what a tape adds that drops at the back. */
// Less than this is nothing in inches, and is not told (half of an eighth).
const LEAST_MM = 25.4 / 16;

export function showCrooked(place, found) {
  if (!found) return;
  place.replaceChildren(
    el("table", {},
      el("caption", {}, gettext("When the tape drops at the back")),
      el("thead", {}, el("tr", {},
        el("th", { scope: "col" }, gettext("Lower by")),
        el("th", { scope: "col" }, gettext("Shows more, about")),
      )),
      el("tbody", {}, found.rows.filter(({ adds_mm: adds }) => Math.abs(adds) >= LEAST_MM).map(({ drop_mm: drop, adds_mm: adds }) => el("tr", {},
        el("th", { scope: "row" }, inBothUnits(drop)), el("td", {}, inBothUnits(adds)),
      ))),
    ),
    el("p", { class: "soft" }, found.words),
  );
}
