"""SVG as we write it ourselves: shapes and words put one after the other, all text escaped."""

from collections.abc import Iterator
from contextlib import contextmanager
from xml.sax.saxutils import escape, quoteattr

from stationflow.drawing.text_size import FONT_FAMILY
from stationflow.model.schema.cells import one_line


def number_text(number: float) -> str:
    """Return a length in pixels, to a tenth."""
    return f"{number:.1f}".removesuffix(".0")


class Svg:
    """A drawing in the making, in pixels from the upper left."""

    def __init__(self) -> None:
        self._parts: list[str] = []
        self._groups = 0

    def rect(self, x: float, y: float, width: float, height: float, **look: object) -> None:
        """Draw a rectangle."""
        self._add("rect", x=x, y=y, width=max(width, 0.0), height=max(height, 0.0), **look)

    def line(self, x1: float, y1: float, x2: float, y2: float, **look: object) -> None:
        """Draw a line."""
        self._add("line", x1=x1, y1=y1, x2=x2, y2=y2, **look)

    def path(self, *points: tuple[float, float], closed: bool = False, **look: object) -> None:
        """Draw straight lines from point to point."""
        way = "L".join(f"{number_text(x)} {number_text(y)}" for x, y in points)
        self._add("path", d=f"M{way}{'Z' if closed else ''}", **{"fill": "none", **look})

    def text(self, x: float, y: float, words: str, size: float, **look: object) -> None:
        """Write words with their base line at y."""
        self._parts.append(
            f"<text{_look({'x': x, 'y': y, 'font-size': size, **look})}>{_said(words)}</text>"
        )

    def upwards(self, x: float, y: float, words: str, size: float, **look: object) -> None:
        """Write words from the bottom to the top, beginning at y."""
        turn = f"rotate(-90 {number_text(x)} {number_text(y)})"
        self.text(x, y, words, size, transform=turn, **look)

    @contextmanager
    def group(self, tip: str) -> Iterator[None]:
        """Put what is drawn meanwhile together; the tip shows on pointing, and can be searched."""
        self._groups += 1
        self._parts.append(f'<g class="node" id="s{self._groups}"><title>{_said(tip)}</title>')
        yield
        self._parts.append("</g>")

    def written(self, width: float, height: float, title: str, defs: str, ink: str) -> str:
        """Return the whole SVG."""
        size = f"{number_text(width)} {number_text(height)}"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{number_text(width)}" '
            f'height="{number_text(height)}" viewBox="0 0 {size}" '
            f'font-family="{FONT_FAMILY},Arial,Helvetica,sans-serif" fill="{ink}">'
            f"<title>{_said(title)}</title><defs>{defs}</defs>"
            f"{''.join(self._parts)}</svg>"
        )

    def _add(self, tag: str, **look: object) -> None:
        self._parts.append(f"<{tag}{_look(look)}/>")


def _said(words: str) -> str:
    return escape(one_line(words))


def _look(look: dict[str, object]) -> str:
    """Return attributes: `stroke_width` is written stroke-width."""
    return "".join(
        f" {name.replace('_', '-')}="
        + quoteattr(number_text(value) if isinstance(value, int | float) else str(value))
        for name, value in look.items()
    )
