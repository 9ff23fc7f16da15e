"""Invented customers with taped measurements."""

from ellwand.sizing import demo_block
from ellwand.tape import Confirmed


def taped(u_mm: float = 5.0, **values_mm: float) -> dict[str, Confirmed]:
    return {code: Confirmed(code, value, u_mm) for code, value in values_mm.items()}


def on_block(size_name: str, **others: float) -> dict[str, Confirmed]:
    """A customer exactly as a size of the demo block is drafted, except for what is given."""
    size = next(size for size in demo_block().sizes if size.name == size_name)
    values = {
        "stature": 1680.0,
        "high_bust": size.high_bust_mm,
        "full_bust": size.full_bust_mm,
        "waist": size.waist_mm,
        "high_hip": size.high_hip_mm or 0,
        "full_hip": size.full_hip_mm,
    }
    return taped(**(values | others))
