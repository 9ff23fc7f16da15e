"""What is kept of photos in English, as it is told in the language spoken.

Advice on photos, the inputs of a budget, and what lies outside the model are constants in the
code, and a sitting keeps them in English. What is kept is never changed here.
"""

from ellwand.language import gettext
from ellwand.measurements import source_words
from ellwand.photo.problems import said
from ellwand.sitting import FindingsEntry, Sitting
from ellwand.sitting.record import EstimateEntry, View


def record_told(record: Sitting) -> Sitting:
    """A sitting as it is told."""
    if record.findings is None:
        return record
    return record.model_copy(update={"findings": findings_told(record.findings)})


def findings_told(found: FindingsEntry) -> FindingsEntry:
    """What photos gave, as it is told."""
    difference = found.bust_difference
    return found.model_copy(
        update={
            "estimates": {code: _estimate(one) for code, one in found.estimates.items()},
            "bust_difference": None if difference is None else _estimate(difference),
            "front": _view(found.front),
            "side": _view(found.side),
            "outside": tuple(gettext(name) for name in found.outside),
        }
    )


def _estimate(kept: EstimateEntry) -> EstimateEntry:
    budget = tuple(
        part.model_copy(update={"source": source_words(part.source)}) for part in kept.budget
    )
    return kept.model_copy(update={"budget": budget})


def _view(kept: View) -> View:
    problems = tuple(one.model_copy(update={"advice": said(one.advice)}) for one in kept.problems)
    return kept.model_copy(update={"problems": problems})
