// Lines over the outline, in pixels of the photo: where its edge is, and how a hand has bent it.

// The reference is FADES_OVER_MM in service/ellwand/girth/hand.py.
export const FADES_OVER_MM = 60;
// An edge that jumps farther than this from row to row is another edge: an arm, the other leg.
const JUMP_PX = 12;
const STEP_PX = 2;

/** Size of a pixel at her body in a photo, in millimetres. */
export function mmPerPx(findings, view) {
  const of = findings.scale.sources.filter((one) => one.view === view);
  return (of.find(({ source }) => source === "combined") ?? of[0])?.mm_per_px ?? 1;
}

/** Moves that stand, in order: those of corrections that no later one has undone. */
export function standingMoves(findings) {
  const all = findings.corrections ?? [];
  const undone = new Set(all.map(({ undoes }) => undoes));
  return all.filter(({ number }) => !undone.has(number)).flatMap(({ moves }) => moves);
}

/** Column of the outline in a row, the one nearest to another column; null where there is none. */
function crossing(outline, row, near) {
  let best = null;
  for (const [at, [x1, y1]] of outline.entries()) {
    const [x2, y2] = outline[(at + 1) % outline.length];
    if ((y1 <= row) === (y2 <= row)) continue;
    const x = x1 + ((row - y1) / (y2 - y1)) * (x2 - x1);
    if (best === null || Math.abs(x - near) < Math.abs(best - near)) best = x;
  }
  return best;
}

/** Follow an edge of the outline from a point on it to another row: points on the way. */
function followed(outline, [x, y], row) {
  const way = [[x, y]];
  const step = Math.sign(row - y) * STEP_PX;
  let near = x;
  for (let at = y; step && Math.abs(row - at) > 0; ) {
    at = Math.abs(row - at) < STEP_PX ? row : at + step;
    const found = crossing(outline, at, near);
    if (found !== null && Math.abs(found - near) < JUMP_PX) near = found;
    way.push([near, at]);
  }
  return way;
}

const fading = (off) => (Math.abs(off) < 1 ? Math.cos((Math.PI / 2) * off) ** 2 : 0);

/**
 * The outline's edge around rows where a hand has moved it.
 *
 * bends: {x, y, by}, a point on the edge as it was traced, and how far to the right it was moved;
 * size: of a pixel in mm. Gives one line of points for each bend, with all of them in it.
 */
export function bent(outline, bends, size) {
  const reach = FADES_OVER_MM / size;
  const moved = (row) =>
    bends.reduce((sum, { y, by }) => sum + by * fading((row - y) / reach), 0);
  return bends.map(({ x, y }) => {
    const up = followed(outline, [x, y], y - reach).reverse();
    const down = followed(outline, [x, y], y + reach).slice(1);
    return [...up, ...down].map(([column, row]) => [column + moved(row), row]);
  });
}

/** Both ends of a line once it is moved up: they slide along the outline. */
export function raised(outline, ends, upPx) {
  return ends.map(([x, y]) => followed(outline, [x, y], y - upPx).at(-1));
}

/** Bends of one edge that stand, as `bent` takes them; end is "left" or "right". */
export function standingBends(findings, view, end, size) {
  const outward = end === "left" ? -1 : 1;
  const before = [];
  const reach = FADES_OVER_MM / size;
  for (const move of standingMoves(findings)) {
    if (move.view !== view || move.part !== end) continue;
    const [x, y] = move.from_px[end === "left" ? 0 : 1];
    // What stood before is in the place that it was moved from.
    const there = before.reduce((sum, one) => sum + one.by * fading((y - one.y) / reach), 0);
    before.push({ x: x - there, y, by: (outward * move.by_mm) / size });
  }
  return before;
}
