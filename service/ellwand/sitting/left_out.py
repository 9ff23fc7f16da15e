"""Which readings no longer count once there are others of the same measurement."""

from collections.abc import Sequence

from ellwand.measurements import KINDS
from ellwand.tape import Reading, agreeing


def left_out(rows: Sequence[Reading], *, settles: bool) -> list[Reading]:
    """The readings that no longer count.

    Args:
        rows: those of one measurement that counted until now, the new ones among them.
        settles: whether those before differed, so that what is too far from the ones that agree
            now has lost.

    Returns:
        Those that no body has, where at least two others are there; else those too far off.
    """
    beyond = [row for row in rows if not KINDS[row.code].is_plausible(row.mm)]
    if beyond and len(rows) - len(beyond) > 1:
        return beyond
    near = agreeing([row.mm for row in rows])
    return [row for row in rows if row.mm not in near] if settles else []
