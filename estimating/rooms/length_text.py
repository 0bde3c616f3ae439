"""A length as the forms read it back to whoever typed it, in feet and inches and in meters."""

from fractions import Fraction

from catalog.measures.lengths import NM_PER_FOOT, NM_PER_INCH, format_length

SIXTY_FOURTH_NM = NM_PER_INCH // 64


def length_in_both_units(length_nm: int, metric: bool = False) -> str:
    """Return such as "= 11 ft 1 3/4 in (3.397 m)", meters first with `metric`.

    It says "about" where a tape has no such mark. Inches are rounded to the nearest 1/64 in, meters to the
    millimeter, both half up.
    """
    feet_and_inches, exact = _on_a_tape(length_nm)
    meters = format_length(length_nm, metric=True)
    if metric:
        return f"= {meters} ({feet_and_inches})"
    return f"{'=' if exact else 'about'} {feet_and_inches} ({meters})"


def _on_a_tape(length_nm: int) -> tuple[str, bool]:
    """Return a length in feet and inches, and whether the tape has just that mark."""
    marks = (2 * length_nm + SIXTY_FOURTH_NM) // (2 * SIXTY_FOURTH_NM)
    feet, marks_left = divmod(marks, NM_PER_FOOT // SIXTY_FOURTH_NM)
    inches, part = divmod(marks_left, 64)
    inch_texts = [str(inches)] if inches else []
    inch_texts += [str(Fraction(part, 64))] if part else []
    words = [f"{feet} ft"] if feet else []
    words += [f"{' '.join(inch_texts)} in"] if inch_texts else []
    return " ".join(words) or "0 in", marks * SIXTY_FOURTH_NM == length_nm
