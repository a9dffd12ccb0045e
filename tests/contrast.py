"""Contrast of two colours as the Web Content Accessibility Guidelines 2.x define it."""

TEXT = 4.5
"""Least contrast of text, success criterion 1.4.3 (AA)."""
CONTROLS = 3.0
"""Least contrast of large text, controls and graphics, criteria 1.4.3 and 1.4.11 (AA)."""


def luminance(colour: str) -> float:
    """Return the relative luminance of "#RRGGBB", 0 (black) to 1 (white)."""
    shares = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours, 1 to 21."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def mixed(over: str, ground: str, share: float) -> str:
    """Return the colour that shows where one lies over another and covers a share of it."""
    pairs = ((int(over[i : i + 2], 16), int(ground[i : i + 2], 16)) for i in (1, 3, 5))
    return "#" + "".join(f"{round(share * a + (1 - share) * b):02x}" for a, b in pairs)
