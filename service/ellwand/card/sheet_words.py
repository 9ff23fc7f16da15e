"""What stands on the marker sheets and on the page that says how to hang them."""

from ellwand.language import gettext


def sheet_words() -> dict[str, object]:
    """All words of the sheets, in the language spoken.

    Returns:
        Texts by their place in the template; a line break is one on paper, too.
    """
    return {
        "title": gettext("ellwand marker sheets"),
        "print": gettext(
            "Print at 100 % (actual size, not “fit to page”), then measure both bars with a ruler."
        ),
        "this_edge_down": gettext("Hang it flat and upright, this edge down."),
        "up": gettext("up"),
        **_in_drawings(),
        "guide": gettext("Hang the sheets, stand, take two photos"),
        "steps": _steps(),
        "adults": gettext("For adults only. Your photos stay on the machine that runs ellwand."),
    }


def _in_drawings() -> dict[str, str]:
    return {
        "front": gettext("Photo 1: front"),
        "side": gettext("Photo 2: side"),
        "arms_away": gettext("arms 50\N{EN DASH}60°\nfrom the body"),
        "arms_hang": gettext("arms hang,\nhands inside\nthe outline"),
        "room": gettext("The room from the side"),
        "upper_sheet": gettext("sheet at\nshoulder height"),
        "lower_sheet": gettext("sheet at\nknee height"),
        "phone": gettext("phone upright,\nhip to chest high"),
        "standoff": gettext("standoff: wall to outer ankle bone"),
        "distance": gettext("2.2\N{EN DASH}3.2 m (7\N{EN DASH}10 ½ ft)"),
    }


def _steps() -> list[tuple[str, str, str]]:
    """What she does, in this order: of each step the middle words are set off."""
    texts = (
        gettext(
            "*Check the print.* Measure both bars of each sheet from end to end. If one is longer "
            "or shorter than it says, give ellwand the length that you measured."
        ),
        gettext(
            "*Hang both sheets* on a plain wall, flat and upright, one straight above the other, "
            "to one side of you, where no hand can cover them. With a single sheet take hip "
            "height: it works, but the bounds come out wider."
        ),
        gettext(
            "*Prop up the phone*, upright and steady, 2.2 to 3.2 m from you, with the main camera "
            "and no zoom. Head, feet and both sheets must be in the picture. Use the timer."
        ),
        gettext(
            "*Mark your place* with a strip of tape on the floor, parallel to the wall, a step "
            "away or right at it. The distance from the wall is your standoff."
        ),
        gettext(
            "*Photo 1.* Back to the wall, outer ankle bones over the mark, feet a little apart, "
            "arms straight and 50 to 60° away from the body. Look ahead, breathe calmly."
        ),
        gettext(
            "*Photo 2.* Turn a quarter, the middle between your feet over the mark, feet together, "
            "arms hanging straight down beside you."
        ),
        gettext("*Wear* close-fitting clothes and no shoes, hair up, in even light."),
    )
    return [_parted(text) for text in texts]


def _parted(text: str) -> tuple[str, str, str]:
    """What stands before, between and after two stars."""
    before, set_off, after = text.split("*", 2)
    return before, set_off, after
