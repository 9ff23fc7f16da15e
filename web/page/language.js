// What the page says, in the language of its document: English in the code, others from a catalogue.

const WRITTEN_IN = "en";
const MARK = "decimal mark";
const INCH = "sign of the inch";

/** The language of this document. Tests run scripts without one, as they are written. */
export const language = globalThis.document?.documentElement.lang || WRITTEN_IN;

/**
 * What there is to say in a language: gettext, ngettext, decimal and inchSign as they are below.
 *
 * Where its catalogue is not reached, all is said in English: better than a page that does nothing.
 */
export async function speaking(wanted) {
  const catalogue = wanted === WRITTEN_IN ? {} : await fetchedFor(wanted);
  const plural = new Intl.PluralRules(wanted);
  const found = (text, form) => [catalogue[text]].flat()[form];
  return {
    gettext: (text, values) => filled(found(text, 0) ?? text, values),
    ngettext(one, other, number, values) {
      const form = plural.select(number) === "one" ? 0 : 1;
      return filled(found(one, form) ?? [one, other][form], { number, ...values });
    },
    decimal: (number) => number.replace(".", found(MARK, 0) ?? "."),
    inchSign: found(INCH, 0) ?? "in",
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
 * Texts are written out where they are said: the catalogues are gathered from there.
 */
export const { gettext, ngettext, decimal, inchSign } = await speaking(language);
