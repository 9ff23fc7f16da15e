"""Colours of a style sheet, and whether they can be told apart.

Source: WCAG 2.2, 1.4.3 for text and 1.4.11 for edges of fields.
"""

import re

TEXT_CONTRAST, EDGE_CONTRAST = 4.5, 3.0


def schemes(style: str) -> list[dict[str, str]]:
    """The tokens of a style sheet, light and dark; dark ones lie over the light ones."""
    screen = style.partition("@media print")[0]
    light, dark = (
        dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", block))
        for block in re.findall(r":root \{(.*?)\}", screen, re.DOTALL)
    )
    return [light, {**light, **dark}]


def contrast(one: str, other: str) -> float:
    """How far two colours stand apart, 1 to 21."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def luminance(colour: str) -> float:
    """Relative luminance."""
    channels = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (
        one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
