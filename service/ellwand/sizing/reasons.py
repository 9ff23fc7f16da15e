"""Why this length, size and cup: the sentences of a choice.

Source: common practice, no source, for what goes wrong when the full bust alone chooses the size.
"""

from collections.abc import Mapping

from ellwand.language import gettext
from ellwand.listing import listed
from ellwand.shown import in_both_units
from ellwand.sizing.block import Block, LengthClass, Size
from ellwand.sizing.cups import CUP_LETTERS
from ellwand.sizing.ease import nearest_number
from ellwand.sizing.naming import length_words
from ellwand.sizing.wording import span_words
from ellwand.tape import Confirmed


def length_reason(stature_mm: float, chosen: LengthClass) -> str:
    """Why she is in a length class."""
    return gettext(
        "At {stature} this block's {length} length is right, {span}.",
        stature=in_both_units(stature_mm),
        length=length_words(chosen.name),
        span=span_words(chosen),
    )


def what_decides_length() -> str:
    """What decides between two length classes."""
    return gettext("The back waist length decides, compared on the trial.")


def size_reason(confirmed: Mapping[str, Confirmed], size: Size, block: Block) -> str:
    """Why a size, and what would go wrong with the one that the full bust alone would choose."""
    by_frame = gettext(
        "The high bust of {high_bust} is nearest to size {size}, drafted for {drafted}; it tells "
        "the frame, so that the shoulders fit.",
        high_bust=in_both_units(confirmed["high_bust"].value_mm),
        size=size.name,
        drafted=in_both_units(size.high_bust_mm),
    )
    return f"{by_frame} {_by_full_bust_alone(confirmed, size, block)}".rstrip()


def _by_full_bust_alone(confirmed: Mapping[str, Confirmed], size: Size, block: Block) -> str:
    """What would go wrong if the full bust alone chose the size, where it chose another one."""
    full_bust = confirmed["full_bust"].value_mm
    number = nearest_number(full_bust, [one.full_bust_mm for one in block.sizes])
    other = block.sizes[number]
    frame_mm = other.high_bust_mm - confirmed["high_bust"].value_mm
    if other == size:
        return ""
    if frame_mm > 0:
        return gettext(
            "Chosen by the full bust alone it would be size {other}, drafted for a high bust "
            "{difference} larger: too wide across the shoulders and gaping at neckline and "
            "armholes.",
            other=other.name,
            difference=in_both_units(frame_mm),
        )
    return gettext(
        "Chosen by the full bust alone it would be size {other}, drafted for a high bust "
        "{difference} smaller: too narrow across the shoulders and tight under the arms.",
        other=other.name,
        difference=in_both_units(-frame_mm),
    )


def what_decides_size(confirmed: Mapping[str, Confirmed], size: Size, other: Size) -> str:
    """Between two sizes the shoulders decide: they are the hardest to change afterwards."""
    if (
        "shoulder_width" in confirmed
        and size.shoulder_width_mm is not None
        and other.shoulder_width_mm is not None
    ):
        across = confirmed["shoulder_width"].value_mm
        both = (size, other)
        gaps = [abs(across - (entry.shoulder_width_mm or 0)) for entry in both]
        nearer = both[gaps.index(min(gaps))]
        return gettext(
            "It lies near the middle to size {other}; the shoulders, {across} across, speak for "
            "size {nearer}.",
            other=other.name,
            across=in_both_units(across),
            nearer=nearer.name,
        )
    return gettext(
        "It lies near the middle to size {other}: it is best to measure the high bust once more; "
        "if it stays there, the shoulders of the trial decide.",
        other=other.name,
    )


def cup_reason(difference_mm: float, cup: str, step_mm: float) -> str:
    """Why a sewing cup, of a block whose cups are so far apart."""
    if difference_mm < 0:
        return gettext(
            "The full bust was not measured larger than the high bust, which makes {cup}, the "
            "smallest cup.",
            cup=cup,
        )
    return gettext(
        "The full bust is {difference} more than the high bust, which makes {cup} at {step} a cup "
        "(the sewing cup, not the bra cup).",
        difference=in_both_units(difference_mm),
        cup=cup,
        step=in_both_units(step_mm),
    )


def what_decides_cup(cup: str, other: str, block: Block) -> str:
    """What decides between two cups, and what is done where the larger one is not drafted."""
    largest = block.drafted_cups[-1]
    if {cup, other} - set(_up_to(largest)):
        return gettext(
            "It lies near the step to {other}: it is best to measure high and full bust again, one "
            "right after the other. This block is drafted up to {largest} only: the trial is cut "
            "in {largest}, and what the bust lacks on it is added by a full bust adjustment.",
            other=other,
            largest=largest,
        )
    return gettext(
        "It lies near the step to {other}: it is best to measure high and full bust again, one "
        "right after the other; if it stays there, the trial is cut for the larger cup, because "
        "width can be taken in but not added.",
        other=other,
    )


def _up_to(cup: str) -> tuple[str, ...]:
    """The cups from the smallest to this one."""
    return CUP_LETTERS[: CUP_LETTERS.index(cup) + 1]


def cut_words(cut: Block) -> str:
    """Which of several drafted cups is cut."""
    return gettext(
        "Of the cups that this block is drafted in, {cups}, {cut} is the nearest.",
        cups=listed(list(cut.drafted_cups)),
        cut=cut.cup,
    )
