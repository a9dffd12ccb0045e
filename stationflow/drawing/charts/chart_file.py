"""Charts as files: the chart of the page, drawn without a browser."""

import json
import sys
from collections.abc import Sequence
from typing import Any

from stationflow.drawing.render import Kind, drawn_by_child, render_svg
from stationflow.drawing.text_size import FONT_FAMILY, font_folder
from stationflow.model.schema.cells import one_line

VEGA_LITE = "6.4"  # the version the pages draw with, as the converter calls it
WIDTH = 900  # pixels, where a chart is as wide as its page

# A text it does not like ends the converter, and with it the process it is in.
CHILD = (
    "import json, sys, vl_convert as v; v.register_font_directory(sys.argv[1]); "
    "svg = v.vegalite_to_svg(json.load(sys.stdin), vl_version=sys.argv[2], allowed_base_urls=[]); "
    "sys.stdout.buffer.write(svg.encode())"
)


def chart_file(
    spec: dict[str, Any], kind: Kind, title: str = "", below: Sequence[str] = ()
) -> bytes:
    """Return a Vega-Lite chart as SVG, PNG or PDF, on white.

    Title and the lines below it are in place of the chart's own. Raises `DrawingError` if it
    cannot be drawn.
    """
    config = {**spec.get("config", {}), "font": FONT_FAMILY}
    drawn = {**spec, "config": config, "background": "white"}
    if spec.get("width") == "container":
        drawn["width"] = WIDTH
    if title:
        drawn["title"] = {"text": title, "subtitle": list(below), "anchor": "start"}
    command = [sys.executable, "-c", CHILD, str(font_folder()), VEGA_LITE]
    svg = drawn_by_child(command, json.dumps(_printable(drawn)).encode(), "chart")
    return render_svg(svg.decode(), kind, title)


def _printable(part: Any) -> Any:
    """Return a part of a chart without characters that no file can hold."""
    if isinstance(part, dict):
        return {key: _printable(value) for key, value in part.items()}
    if isinstance(part, list | tuple):
        return [_printable(value) for value in part]
    return one_line(part) if isinstance(part, str) else part
