"""Pictures as SVG, PNG or PDF: a Graphviz source drawn in a child process, an SVG set by typst."""

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any, Literal
from xml.sax.saxutils import escape

from stationflow.drawing.text_size import font_folder
from stationflow.errors import DrawingError

Kind = Literal["svg", "png", "pdf"]
KINDS = ("svg", "png", "pdf")
SECONDS = 20  # of processor, for one picture
BUSIEST = 15  # so many times as long may it take beside other work
OUT_OF_PROCESSOR = -24  # how a process ends that has used its seconds (SIGXCPU)
TOO_LARGE = "Draw one line at a time, or take away arrows that follow from others."
PNG_PIXELS_PER_INCH = 192  # twice what a screen shows: sharp in a slide, small enough to send
PAGE = """#set page(width: auto, height: auto, margin: 0pt)
#set document(title: sys.inputs.title)
#image("picture.svg", width: float(sys.inputs.width) * 1pt, alt: sys.inputs.title)
"""
REPORT = "Keep the product folder and report it to who looks after Stationflow."

# The wheel's Graphviz is not thread-safe, and a layout cannot be interrupted inside a process.
CHILD = (
    "import sys, pygraphviz as p; g = p.AGraph(string=sys.stdin.buffer.read().decode()); "
    "sys.stdout.buffer.write(g.draw(format=sys.argv[1], prog='dot'))"
)

# Graphviz gives an element its own name as title, "n12", which browsers show on pointing;
# the text meant for that stands in the link inside. Both are escaped for XML already.
TITLE = re.compile(
    rb'(class="(?:node|edge)">\s*<title>)[^<]*(</title>\s*<g id="[^"]*"><a xlink:title="([^"]*)">)'
)
SVG_WIDTH = re.compile(r'<svg\b[^>]*?\swidth="([0-9.]+)"')


def render_diagram(source: str, kind: Kind, seconds: int = SECONDS) -> bytes:
    """Return a diagram drawn from its Graphviz source.

    The `dot` program of the machine is used if there is one, else the one
    that the pygraphviz package brings along.

    Raises `ValueError` if the kind is none of these. Raises `DrawingError` if the layout takes
    more `seconds` of processor, or the program fails.
    """
    if kind not in KINDS:
        raise ValueError(f"kind must be one of {', '.join(KINDS)}, got {kind!r}")
    with tempfile.TemporaryDirectory(prefix="stationflow-") as folder:
        fonts = {"FONTCONFIG_FILE": str(_font_settings(Path(folder)))}
        source_text = source.encode("utf-8", "replace")
        drawn = drawn_by_child(_command(kind), source_text, "diagram", seconds, fonts)
    return TITLE.sub(rb"\1\3\2", drawn) if kind == "svg" else drawn


def drawn_by_child(
    command: list[str],
    given: bytes,
    what: str,
    seconds: int = SECONDS,
    more: Mapping[str, str] | None = None,
) -> bytes:
    """Return what a program draws in a process of its own; `more` is put into its environment.

    Raises `DrawingError` if it takes more `seconds` of processor, or fails.
    """
    try:
        child = subprocess.Popen(
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env={**os.environ, **(more or {})},
        )
    except OSError as caught:
        raise DrawingError(f"The program that draws did not start: {caught}.", REPORT) from caught
    too_long = f"The {what} was not drawn within {seconds} s."
    with child:
        _limit_processor(child.pid, seconds)
        try:
            drawn, errors = child.communicate(given, timeout=seconds * BUSIEST)
        except subprocess.TimeoutExpired as caught:
            raise DrawingError(too_long, TOO_LARGE) from caught
        finally:
            child.kill()
    if child.returncode == OUT_OF_PROCESSOR:
        raise DrawingError(too_long, TOO_LARGE)
    if child.returncode or not drawn:
        said = errors.decode("utf-8", "replace").strip().splitlines()
        last = said[-1] if said else f"exit code {child.returncode}"
        raise DrawingError(f"The program that draws failed: {last[:300]}.", REPORT)
    return drawn


def _limit_processor(process: int, seconds: int) -> None:
    """Let a process use so many seconds of processor, however busy the machine is."""
    if sys.platform == "linux":
        import resource

        with suppress(ProcessLookupError):  # it has ended already
            resource.prlimit(process, resource.RLIMIT_CPU, (seconds, seconds + 1))


def render_svg(svg: str, kind: Kind, title: str = "") -> bytes:
    """Return an SVG of our own as SVG, PNG or PDF, as large as it says in pixels of 1/96 inch.

    It points to no other file. The title is that of a PDF, and the words in place of its picture.

    Raises `ValueError` if the kind is none of these. Raises `DrawingError` if the SVG cannot be
    read.
    """
    if kind not in KINDS:
        raise ValueError(f"kind must be one of {', '.join(KINDS)}, got {kind!r}")
    if kind == "svg":
        return svg.encode("utf-8")
    import typst

    width = SVG_WIDTH.search(svg)
    inputs = {"width": str(0.75 * float(width[1]) if width else 600), "title": title}
    with tempfile.TemporaryDirectory(prefix="stationflow-") as folder:
        root = Path(folder)
        (root / "page.typ").write_text(PAGE, "utf-8")
        (root / "picture.svg").write_text(svg, "utf-8")
        try:
            made, _ = typst.compile_with_warnings(
                str(root / "page.typ"),
                root=folder,
                font_paths=_fonts(),
                timestamp=0,
                sys_inputs=inputs,
                format=kind,
                ppi=PNG_PIXELS_PER_INCH if kind == "png" else None,
            )
        except typst.TypstError as caught:
            raise DrawingError(f"The picture could not be drawn: {caught}.", REPORT) from caught
    content: bytes = made[0] if isinstance(made, list) else made
    return content


@cache
def _fonts() -> Any:
    """Return the fonts of pictures: ours first, then those of the machine."""
    import typst

    return typst.Fonts(include_system_fonts=True, font_paths=[str(font_folder())])


def _command(kind: Kind) -> list[str]:
    program = shutil.which("dot")
    return [program, f"-T{kind}"] if program else [sys.executable, "-c", CHILD, kind]


def _font_settings(folder: Path) -> Path:
    """Write settings that let the child find the bundled font beside the machine's own."""
    path = folder / "fonts.conf"
    path.write_text(
        '<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd"><fontconfig>'
        f"<dir>{escape(str(font_folder()))}</dir>"
        '<include ignore_missing="yes">/etc/fonts/fonts.conf</include>'
        f"<cachedir>{escape(str(Path(tempfile.gettempdir()) / 'stationflow-fonts'))}</cachedir>"
        "</fontconfig>",
        "utf-8",
    )
    return path
