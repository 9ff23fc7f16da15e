// Making elements: texts only ever become text nodes, never markup.

import { gettext, glued, language } from "./language.js";

const SVG = "http://www.w3.org/2000/svg";

/** An element with attributes and children; handlers are functions named on…, false is left out. */
export function el(name, attributes = {}, ...children) {
  return filled(document.createElement(name), attributes, children);
}

/** The same for a drawing. */
export function svg(name, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, name), attributes, children);
}

function filled(element, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(key.slice(2), value);
    else if (value === true) element.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) {
      element.setAttribute(key, value);
    }
  }
  const there = children.flat().filter((child) => child !== null && child !== undefined);
  element.append(...there.map((child) => (typeof child === "string" ? glued(child) : child)));
  return element;
}

export const byId = (id) => document.getElementById(id);

/** A word with a capital at the start of a line. */
export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** Names in a sentence: "waist, high hip and full hip". */
export function listed(names) {
  if (names.length < 2) return names.join("");
  return gettext("{names} and {last}", {
    names: names.slice(0, -1).join(", "), last: names[names.length - 1],
  });
}

const placeOf = (written) => (written === "en" ? "en-GB" : written);

/** A day as people write it, in the language of the page or another one. */
export const day = (seconds, written = language) =>
  // No line ends between its day and its month.
  new Date(seconds * 1000).toLocaleDateString(placeOf(written), { dateStyle: "long" })
    .replace(" ", "\u00a0");

/** A day and the time of day, to the minute; "medium" to the second. */
export const moment = (seconds, timeStyle = "short") => [day(seconds),
  new Date(seconds * 1000).toLocaleTimeString(placeOf(language), { timeStyle })].join(", ");

/** Ask before something that cannot be undone; true when it was agreed to. */
export function agreed(dialog) {
  dialog.returnValue = "";
  dialog.showModal();
  return new Promise((resolve) => {
    dialog.addEventListener("close", () => resolve(dialog.returnValue === "yes"), { once: true });
  });
}

/** Counts requests of one kind, so that an answer that comes late can be dropped. */
export function turns() {
  let last = 0;
  return {
    begin() {
      last += 1;
      const mine = last;
      return () => mine === last;
    },
  };
}
