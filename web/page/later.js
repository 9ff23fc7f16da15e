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
