"""How a number is written, on charts and on paper alike: true minus sign, thin space in thousands, fixed decimals."""

from __future__ import annotations

import math

from gristwright.basics import Band

MINUS = "\u2212"
THIN = "\u202f"
NOTHING = "\u2013"
WITHHELD = "withheld"


def plain(value: float, decimals: int) -> str:
    """The value with fixed decimals; thousands are grouped from 10 000 on; a dash when it is not a number."""
    if not math.isfinite(value):
        return NOTHING
    text = f"{abs(value):,.{decimals}f}".replace(",", THIN)
    if abs(value) < 9999.5:
        text = text.replace(THIN, "")
    negative = value < 0 and float(f"{value:.{decimals}f}") != 0.0
    return f"{MINUS}{text}" if negative else text


def signed(value: float, decimals: int) -> str:
    """The value as a difference: a plus or a minus always shown, none on zero."""
    text = plain(value, decimals)
    positive = math.isfinite(value) and float(f"{value:.{decimals}f}") > 0.0
    return f"+{text}" if positive else text


def interval(band: Band, decimals: int, difference: bool = False) -> str:
    """Low to high of a band, such as `385.0 to 398.9`."""
    write = signed if difference else plain
    return f"{write(band.low, decimals)} to {write(band.high, decimals)}"


def with_interval(band: Band, decimals: int, difference: bool = False) -> str:
    """Middle and band, such as `392.1 (385.0 to 398.9)`; the value alone when the band has no width."""
    write = signed if difference else plain
    middle = write(band.middle, decimals)
    if write(band.low, decimals) == write(band.high, decimals) == middle:
        return middle
    return f"{middle} ({interval(band, decimals, difference)})"


def digits_of(value: float, digits: int = 6) -> str:
    """The value to so many significant digits, as digits are typed: no exponent for what an input can be."""
    text = f"{value:.{digits}g}"
    return f"{value:.0f}" if "e+" in text and abs(value) < 1e15 else text


def told_apart(value: float, *limits: float) -> str:
    """The value with so many digits that it reads otherwise than every limit it differs from."""
    for digits in range(6, 17):
        text = digits_of(value, digits)
        if all(value == limit or text != digits_of(limit) for limit in limits):
            return text
    return repr(value)


def outside(value: float, least: float, most: float, unit: str) -> str:
    """The sentence for a number outside its limits; of money a tonne, the amount a tonne."""
    behind = f" {unit.removeprefix('money ')}" if unit else ""
    return f"{told_apart(value, least, most)}{behind} is outside {digits_of(least)}-{digits_of(most)}{behind}."


def counted(number: int, one: str, several: str = "") -> str:
    """A number of things, one of them as one."""
    return f"{number} {one if number == 1 else several or one + 's'}"


def significant(value: float, digits: int = 3) -> str:
    """The value to so many significant digits, without an exponent for what an input can be."""
    if not math.isfinite(value):
        return NOTHING
    if value == 0.0:
        return "0"
    magnitude = math.floor(math.log10(abs(value)))
    decimals = max(0, digits - 1 - magnitude)
    text = plain(round(value, decimals), min(decimals, 9))
    return text.rstrip("0").rstrip(".") if "." in text else text


def fewest_decimals(value: float, most: int = 2) -> int:
    """How many decimals the value needs, up to `most`."""
    return next((places for places in range(most) if math.isclose(value, round(value, places), abs_tol=1e-9)), most)


def digits_apart(value: float, *limits: float, at_least: int = 0) -> int:
    """Decimals with which a value does not read as a limit that it is not."""
    unlike = [limit for limit in limits if limit != value]
    for decimals in range(at_least, 9):
        if all(plain(value, decimals) != plain(limit, decimals) for limit in unlike):
            return decimals
    return 9


def either(*ways: str) -> str:
    """Ways out as one sentence; empty ones are left out, and nothing is said where none is left."""
    text = ", or ".join(way for way in ways if way)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def lower(text: str) -> str:
    """The text to stand within a sentence."""
    return text[:1].lower() + text[1:]


def capital(text: str) -> str:
    """The text with a capital in front, unless its first word is a symbol such as pH."""
    first = text.split(" ", 1)[0]
    return text if any(letter.isupper() for letter in first) else text[:1].upper() + text[1:]
