// Scripts that are not needed before somebody uses them.

/**
 * A part of the page whose scripts are fetched later.
 *
 * load imports them; start makes the part of them. fetch() may be asked for again and again: where
 * the scripts were not reached, it tries anew. part() is null until they are there.
 */
export function later(load, start) {
  let [asked, part] = [null, null];
  return {
    fetch() {
      asked ??= load().then(
        (scripts) => {
          part = start(scripts);
        },
        () => {
          asked = null;
        },
      );
    },
    part: () => part,
  };
}

/** The same for a part that shows a sitting: once it is there, it shows what it was given last. */
export function shownLater(load, start) {
  let latest = [];
  const { fetch, part } = later(load, (scripts) => {
    const made = start(scripts);
    made.show(...latest);
    return made;
  });
  return {
    fetch,
    part,
    show(...seen) {
      latest = seen;
      part()?.show(...seen);
    },
  };
}
