"""Lines on the photos, put right by hand: the estimates are worked out anew, the photos are not.

A correction is one or more moves, kept in the order in which they were made. Undoing one is an
entry, too. What holds now always follows from what was traced in the photos and from the moves that
stand, so undoing gives back the very numbers of before.
"""

from dataclasses import dataclass
from hashlib import sha256

from ellwand.errors import EntryProblem
from ellwand.girth.move import LEAST_U_MM, MOST_OUT_MM, MOST_U_MM, MOST_UP_MM, Move
from ellwand.language import Noun, decimal, gettext, gettext_noop
from ellwand.measurements import KINDS, LEVELS
from ellwand.sitting.actions import with_entry
from ellwand.sitting.correction_entry import CorrectionEntry, MoveEntry, standing
from ellwand.sitting.findings import entry_of, findings_of
from ellwand.sitting.photo_setup import set_up_of
from ellwand.sitting.record import FindingsEntry, Setup, Sitting

# So many corrections of one pair of photos are kept; nobody makes them by hand (judged).
MOST_CORRECTIONS = 200
# Narrower no trunk of an adult woman is, seen from the front or the side (judged).
LEAST_WIDTH_MM = 100.0
# By whether a level was moved as a whole, and whether its outline was.
_BY_HAND: dict[tuple[bool, bool], str] = {
    (True, False): gettext_noop("level"),
    (False, True): gettext_noop("outline"),
    (True, True): gettext_noop("level and outline"),
}


@dataclass(frozen=True)
class Asked:
    """What is to be put right.

    Args:
        moves: what was moved, in order.
        undo: whether the last correction that stands is to count no more; there are no moves then.
    """

    moves: tuple[Move, ...] = ()
    undo: bool = False


def corrected(record: Sitting, asked: Asked) -> Sitting:
    """Put lines right, or take the last correction back, and judge anew.

    Args:
        record: the sitting.
        asked: what is to be put right.

    Raises:
        EntryProblem: there is nothing to put right, or a line cannot lie where it was moved to.
    """
    check_correction(record, asked)
    return with_entry(record, corrected_findings(*to_correct(record), asked))


def check_correction(record: Sitting, asked: Asked) -> None:
    """See what can be seen without measuring again.

    Args:
        record: the sitting.
        asked: what is to be put right.

    Raises:
        EntryProblem: there is nothing to put right, or a move is none that a hand makes.
    """
    findings, _ = to_correct(record)
    if asked.undo and asked.moves:
        raise EntryProblem(
            "moved-and-undone",
            "Lines cannot be moved and the last correction be undone at the same time.",
            "Ask for one after the other.",
        )
    if asked.undo:
        if not standing(findings.corrections):
            raise EntryProblem(
                "nothing-to-undo",
                "No line is corrected at the moment.",
                "There is nothing to undo.",
            )
    elif not asked.moves:
        raise EntryProblem(
            "nothing-moved", "No line was moved.", "Say which line, and how far it is off."
        )
    if len(findings.corrections) >= MOST_CORRECTIONS:
        raise EntryProblem(
            "too-many-corrections",
            "No more corrections of these photos are kept.",
            "Take both photos again, or rely on the tape.",
        )
    for move in asked.moves:
        _check_move(findings, move)


def to_correct(record: Sitting) -> tuple[FindingsEntry, Setup]:
    """The findings of a sitting and how their photos were taken, with her weight if she tells it.

    Raises:
        EntryProblem: no photos were measured, or too little was kept of them.
    """
    findings = record.findings
    if findings is None:
        raise EntryProblem(
            "nothing-to-correct",
            "No photos have been measured yet, so there is no line to correct.",
            "Have two photos measured first.",
        )
    if findings.setup is None or findings.front.traced is None or findings.side.traced is None:
        raise EntryProblem(
            "too-little-kept",
            "These photos were measured before lines could be corrected.",
            "Have both photos measured once more; then they can.",
        )
    weight = record.setup.weight if record.setup else None
    return findings, findings.setup.model_copy(update={"weight": weight})


def corrected_findings(findings: FindingsEntry, setup: Setup, asked: Asked) -> FindingsEntry:
    """Findings worked out anew.

    Args:
        findings: as they are.
        setup: how their photos were taken.
        asked: what is to be put right; checked.

    Raises:
        EntryProblem: a line cannot lie where it was moved to.
    """
    # Imported here because it brings the numeric libraries along.
    from ellwand.girth.again import estimate_again

    before = standing(findings.corrections)
    if asked.undo:
        moves = [move for one in before[:-1] for move in one.moves]
        entry = CorrectionEntry(number=len(findings.corrections) + 1, undoes=before[-1].number)
    else:
        moves = [move for one in before for move in one.moves]
    kept = [Move(one.view, one.level, one.part, one.by_mm, one.u_mm) for one in moves]
    found = estimate_again(findings_of(findings), set_up_of(setup), [*kept, *asked.moves])
    new = entry_of(found, setup)
    if not asked.undo:
        _check_girths(findings, new)
        entry = CorrectionEntry(
            number=len(findings.corrections) + 1,
            moves=tuple(_move_entry(move, findings, new) for move in asked.moves),
        )
    return new.model_copy(update={"corrections": (*findings.corrections, entry)})


def fingerprint(findings: FindingsEntry) -> str:
    """What tells findings from others, so that lines are corrected as they were seen."""
    return sha256(findings.model_dump_json().encode()).hexdigest()


def by_hand(findings: FindingsEntry | None) -> dict[str, str]:
    """What of each level is put right by hand, in words, for those that are."""
    moved: dict[str, set[bool]] = {}
    for one in standing(findings.corrections) if findings else ():
        for move in one.moves:
            moved.setdefault(move.level, set()).add(move.part == "height")
    return {
        code: gettext(_BY_HAND[True in moved[code], False in moved[code]])
        for code in LEVELS
        if code in moved
    }


def _check_move(findings: FindingsEntry, move: Move) -> None:
    view = findings.front if move.view == "front" else findings.side
    name = Noun(KINDS[move.level].name)
    if move.level not in view.levels_px:
        raise EntryProblem(
            "level-not-in-view",
            "The front photo has no line of the {name}."
            if move.view == "front"
            else "The side photo has no line of the {name}.",
            "Correct it in the other photo.",
            name=name,
        )
    most = MOST_UP_MM if move.part == "height" else MOST_OUT_MM
    if not abs(move.by_mm) <= most:
        raise EntryProblem(
            "moved-too-far",
            "The {name} would be moved farther than photos can be off.",
            "Move it by {most} cm at most, or take both photos again.",
            name=name,
            most=f"{most / 10:.0f}",
        )
    if not LEAST_U_MM <= move.u_mm <= MOST_U_MM:
        raise EntryProblem(
            "hand-unsure",
            "No hand places a line as surely, or as unsurely, as this was said to be.",
            "Give an uncertainty of {least} to {most} mm, or none.",
            least=decimal(f"{LEAST_U_MM:g}"),
            most=decimal(f"{MOST_U_MM:g}"),
        )


def _check_girths(before: FindingsEntry, after: FindingsEntry) -> None:
    """See that no girth or width has become one that no woman has."""
    for code in LEVELS:
        old, new = before.estimates[code], after.estimates[code]
        kind = KINDS[code]
        odd = kind.is_plausible(old.value_mm) and not kind.is_plausible(new.value_mm)
        narrow = any(
            mm is not None and mm < LEAST_WIDTH_MM for mm in (new.breadth_mm, new.depth_mm)
        )
        if odd or narrow:
            raise EntryProblem(
                "moved-to-no-girth",
                "With this the {name} would be one that no adult woman has.",
                "Move the line by less, or take both photos again.",
                name=Noun(kind.name),
            )


def _move_entry(move: Move, before: FindingsEntry, after: FindingsEntry) -> MoveEntry:
    old, new = (
        (one.front if move.view == "front" else one.side).levels_px[move.level]
        for one in (before, after)
    )
    return MoveEntry(
        view=move.view,
        level=move.level,
        part=move.part,
        by_mm=round(move.by_mm, 2),
        u_mm=round(move.u_mm, 2),
        from_px=old,
        to_px=new,
    )
