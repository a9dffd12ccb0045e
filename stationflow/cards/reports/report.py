"""What stands in a report: facts, sections of sentences, tables, a drawing, opened numbers."""

from dataclasses import dataclass

from stationflow.model import Explained


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportTable:
    """A table; the first column is set to the left, the others to the right unless said."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: tuple[int, ...] = (0,)  # columns set to the left
    by_hand: tuple[int, ...] = ()  # columns that are left wide, to be written in


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One part of a report under its heading."""

    heading: str
    sentences: tuple[str, ...] = ()
    table: ReportTable | None = None
    numbers: tuple[Explained, ...] = ()  # each opened: formula, values put in, source
    svg: str = ""  # a drawing of our own
    cautions: tuple[str, ...] = ()  # in a frame, before all else


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """A report, set page after page; several of them begin a page each."""

    title: str
    subtitle: str = ""
    facts: tuple[tuple[str, str], ...] = ()  # label and value, beside the title
    sections: tuple[Section, ...] = ()
    is_one_page: bool = False  # its text is made smaller until it fits one page
    is_large: bool = False  # read standing up, at arm's length
