// The same page in another language: links to it, and the way there, which loses neither the link's
// secret nor the step.

import { lost, Refusal } from "./api.js";
import { language } from "./language.js";
import { say, warn } from "./status.js";

const links = () => [...document.querySelectorAll(".languages a")];

/**
 * Start the links of all languages.
 *
 * before hears which language is chosen, before the page is left, and gives what is to stand behind
 * the # there; null to stay.
 */
export function startLanguages(before) {
  for (const link of links()) {
    // Not shown before it keeps what stands behind the #.
    link.parentElement.hidden = false;
    if (link.lang === language) link.setAttribute("aria-current", "page");
    link.addEventListener("click", (event) => {
      // Another tab has no part in what this page holds.
      if (event.ctrlKey || event.metaKey || event.shiftKey) return;
      event.preventDefault();
      if (link.lang !== language) choose(link, before);
    });
  }
}

async function choose(link, before) {
  say("");
  try {
    const fragment = await before(link.lang);
    if (fragment === null) return;
    await reached(link.href);
    go(link, fragment);
  } catch (problem) {
    if (!(problem instanceof Refusal)) throw problem;
    warn(problem.message);
  }
}

/** A page that cannot be fetched now would take the place of one that is there. */
async function reached(url) {
  const answer = await fetch(url, { credentials: "same-origin" }).catch(() => null);
  if (!answer?.ok) throw lost();
}

/**
 * Go to the page in the language of a sitting; false where this is it, or where there is none.
 *
 * By its address and not by what it says of itself, so that no page ever leads to itself.
 */
export function leadsTo(wanted) {
  const link = links().find((one) => one.lang === wanted);
  const here = !link || wanted === language || link.pathname === window.location.pathname;
  if (here || !navigator.onLine) return false;
  go(link, window.location.hash.slice(1));
  return true;
}

function go({ pathname }, fragment) {
  // In place of this page: going back would only lead here again.
  window.location.replace(fragment ? `${pathname}#${fragment}` : pathname);
}
