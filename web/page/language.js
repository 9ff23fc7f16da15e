// What the page says, in the language of its document: English in the code, others from a catalogue.

const WRITTEN_IN = "en";
const MARK = "decimal mark";
const INCH = "sign of the inch";
// The reference is glued in service/ellwand/shown.py.
const UNITS = "mm|cm|m|kg|lb|ft|Fuß|st|s";

/** The language of this document. Tests run scripts without one, as they are written. */
export const language = globalThis.document?.documentElement.lang || WRITTEN_IN;

/**
 * What there is to say in a language: gettext, ngettext and the others as they are below.
 *
 * Where its catalogue is not reached, all is said in English: better than a page that does nothing.
 */
export async function speaking(wanted) {
  const catalogue = wanted === WRITTEN_IN ? {} : await fetchedFor(wanted);
  const plural = new Intl.PluralRules(wanted);
  const found = (text, form) => [catalogue[text]].flat()[form];
  const inchSign = found(INCH, 0) ?? "in";
  const within = new RegExp(
    `(\\d) (?=\\d+/\\d|(?:${UNITS}|${inchSign})(?!\\p{L})|%)|(±) (?=\\d)`, "gu");
  const glued = (text) => text.replace(within, "$1$2\u00a0");
  return {
    gettext: (text, values) => glued(filled(found(text, 0) ?? text, values)),
    ngettext(one, other, number, values) {
      const form = plural.select(number) === "one" ? 0 : 1;
      return glued(filled(found(one, form) ?? [one, other][form], { number, ...values }));
    },
    decimal: (number) => number.replace(".", found(MARK, 0) ?? "."),
    inchSign,
    glued,
  };
}

const fetchedFor = (wanted) =>
  import(`./words.${wanted}.js`).then(
    (catalogue) => catalogue.default,
    () => ({}),
  );

const filled = (text, values) =>
  values ? text.replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole) : text;

/**
 * gettext says a text, with values in place of the names in its braces; ngettext says one that goes
 * with a number, {number}; decimal writes a number that has a point; inchSign stands behind inches.
 * In both, as in what glued gives for words of the service, no line ends within a length, a bound
 * or a share: "36 3/8 in", "± 1 in", "84 %".
 * Texts are written out where they are said: the catalogues are gathered from there.
 */
export const { gettext, ngettext, decimal, inchSign, glued } = await speaking(language);
