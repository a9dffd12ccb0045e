"""The plan of a card's pages: how large its text and pictures are, and what stands on which page.

The largest text that lets the card fit one page is taken, then the largest pictures. Only a
card too long for the smallest text flows over several pages, as evenly filled as can be.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from stationflow.cards.card import Card
from stationflow.cards.card_frame import (
    bar_piece,
    footer_data,
    has_band,
    header_data,
    header_height,
    remark_pieces,
)
from stationflow.cards.safety_strip import strip_pieces, strip_size
from stationflow.cards.sheet import (
    FOOTER,
    GAP,
    HEADER_AGAIN,
    MARK_BAND,
    Piece,
    Sheet,
)
from stationflow.cards.supply_band import band_pieces, band_size
from stationflow.cards.task_blocks import (
    TaskRows,
    again_piece,
    head_piece,
    sum_piece,
)
from stationflow.cards.task_columns import Columns, columns_for, is_broken, is_narrow

SIZES = (14.0, 13.5, 13.0, 12.5, 12.0, 11.5, 11.0, 10.5, 10.0, 9.5, 9.0)
"""Sizes of text in points, from large to small."""
FLOWS = ((10.5, 35.0), (10.0, 26.0))
"""Text in points and height of pictures in mm of a card that needs several pages anyway."""
LARGE_FLOWS = ((9.5, 30.0), (9.0, 24.0))
PICTURES = tuple(float(h) for h in range(60, 22, -2))
"""Greatest heights of pictures in mm, from large to small."""
SPARE = 1.5
"""Room left free on every page in mm."""
PART_OF_STRIP = 0.7
PART_OF_BAND = 0.6
"""Shares of a page from which on the strip and the band are cut."""
LONG_TASK = 0.5
"""A task taller than this share of a page may be cut to fill the page before it."""
LARGEST_GAP = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Draft:
    """A card cut into pieces for one size of text and pictures."""

    columns: Columns
    strip: tuple[Piece, ...]
    heads: Piece
    tasks: tuple[TaskRows, ...]
    blocks: tuple[Piece, ...]
    total: Piece
    bands: tuple[Piece, ...]
    remarks: tuple[Piece, ...]
    bar: Piece

    @property
    def height(self) -> float:
        """Height of all pieces on one page."""
        pieces = (*self.strip, self.heads, *self.blocks, self.total, *self.bands, *self.remarks)
        return sum(piece.height for piece in pieces) + self.bar.height


def card_layout(card: Card, sheet: Sheet, growth: float = 1.0) -> dict[str, Any]:
    """Return all the template needs to set a card: sizes, columns, pages of pieces.

    Parameters
    ----------
    growth
        Factor for all heights; above 1 after text turned out taller than foretold.
    """
    planner = _Planner(card=card, sheet=sheet, growth=growth)
    draft = planner.on_one_page()
    if draft is not None:
        pages = [[*draft.strip, draft.heads, *draft.blocks, draft.total, *planner.ending(draft)]]
    else:
        draft, pages = planner.on_several_pages()
    columns = draft.columns
    texts = [width for width in columns.texts if width] if any(columns.texts) else []
    return {
        "header": header_data(card, sheet),
        "footer": footer_data(card, sheet),
        "size": columns.size,
        "number_width": columns.number,
        "text_widths": texts,
        "picture_x": columns.number + columns.text,
        "time_widths": columns.times,
        "unit": card.unit,
        "work": card.work,
        "words": {
            "time": card.say("Time"),
            "sum": card.say("Work of this station"),
            "check": card.say("Check"),
        },
        "pages": [
            {
                "pieces": [{"kind": piece.kind, **piece.data} for piece in page],
                "gap": planner.gap(page, number, len(pages)),
            }
            for number, page in enumerate(pages, start=1)
        ],
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class _Planner:
    """Tries sizes for one card."""

    card: Card
    sheet: Sheet
    growth: float
    drafts: dict[tuple[float, float], _Draft] = field(default_factory=dict)
    around: dict[tuple[str, float], tuple[Piece, ...]] = field(default_factory=dict)
    known: dict[str, bool] = field(default_factory=dict)

    # ------------------------------------------------------------ pieces

    def room(self, first: bool = True) -> float:
        """Return the height for pieces on a page, in mm as foretold."""
        header = header_height(self.card, self.sheet) if first else HEADER_AGAIN
        header += MARK_BAND if has_band(self.card) else 0
        return (self.sheet.height - header - FOOTER - 2 * GAP - SPARE) / self.growth

    def draft(self, size: float, picture: float) -> _Draft:
        """Cut the card into pieces; pictures side by side or not, whatever is lower."""
        key = (size, picture)
        if key not in self.drafts:
            ways = [True]
            if max((len(task.pictures) for task in self.card.tasks), default=0) > 1:
                ways = [False, True]
            made = [self.draft_with(size, picture, side_by_side) for side_by_side in ways]
            self.drafts[key] = min(made, key=lambda draft: draft.height)
        return self.drafts[key]

    def strip(self, size: float) -> tuple[Piece, ...]:
        """Return the strip for a size of text; many sizes share one."""
        key = ("strip", strip_size(size))
        if key not in self.around:
            most = self.room() * PART_OF_STRIP
            self.around[key] = strip_pieces(self.card, self.sheet, size, most)
        return self.around[key]

    def bands(self, size: float) -> tuple[Piece, ...]:
        """Return parts and tools for a size of text; many sizes share one."""
        key = ("bands", band_size(size, self.sheet))
        if key not in self.around:
            most = self.room(False) * PART_OF_BAND
            self.around[key] = band_pieces(self.card, self.sheet, size, most)
        return self.around[key]

    def below(self) -> tuple[Piece, ...]:
        """Return remarks and the time bar, which have one size."""
        key = ("below", 0.0)
        if key not in self.around:
            self.around[key] = (
                *remark_pieces(self.card, self.sheet),
                bar_piece(self.card, self.sheet),
            )
        return self.around[key]

    def draft_with(self, size: float, picture: float, side_by_side: bool) -> _Draft:
        """Cut the card into pieces."""
        card, sheet = self.card, self.sheet
        columns = columns_for(card, sheet, size, picture, side_by_side, self.is_stacked())
        heads = head_piece(card, columns)
        page = self.room(False) - heads.height
        tasks = tuple(
            TaskRows(card=card, task=task, sheet=sheet, columns=columns, page=page)
            for task in card.tasks
        )
        return _Draft(
            columns=columns,
            strip=self.strip(size),
            heads=heads,
            tasks=tasks,
            blocks=tuple(task.block(0, len(task.rows)) for task in tasks),
            total=sum_piece(card, columns),
            bands=self.bands(size),
            remarks=self.below()[:-1],
            bar=self.below()[-1],
        )

    def is_stacked(self) -> bool:
        """Return whether the sheet is too narrow for columns of text side by side."""
        if "stacked" not in self.known:
            columns = columns_for(self.card, self.sheet, *self.flows()[-1], False, False)
            self.known["stacked"] = is_broken(self.card, columns) or is_narrow(columns)
        return self.known["stacked"]

    def flows(self) -> tuple[tuple[float, float], ...]:
        """Return sizes of text and heights of pictures of a card that needs several pages."""
        return LARGE_FLOWS if self.sheet.large else FLOWS

    def ending(self, draft: _Draft) -> list[Piece]:
        """Return what stands below the tasks, pushed to the foot of the page."""
        return [Piece(kind="fill", height=0), *draft.bands, *draft.remarks, draft.bar]

    def gap(self, page: Sequence[Piece], number: int, pages: int) -> float:
        """Return the room between tasks of a page that is not full, in mm."""
        blocks = sum(piece.kind == "task" for piece in page)
        if pages > 1 or not blocks:
            return 0.0
        spare = self.room(number == 1) - sum(piece.height for piece in page)
        return max(0.0, min(LARGEST_GAP, spare / (blocks + 2)))

    # ------------------------------------------------------------ one page

    def on_one_page(self) -> _Draft | None:
        """Return the draft with the largest text, then the largest pictures; None: none fits."""
        sizes = self.sizes()

        def fits(size: float, picture: float) -> bool:
            draft = self.draft(size, picture)
            broken = size > sizes[-1] and is_broken(self.card, draft.columns)
            return not broken and draft.height <= self.room()

        if not fits(sizes[-1], least_picture(sizes[-1])):
            return None
        size = _first(sizes[:-1], lambda s: fits(s, least_picture(s))) or sizes[-1]
        heights = [h for h in PICTURES if h >= least_picture(size)]
        picture = _first(heights, lambda h: fits(size, h)) if self.has_pictures() else None
        return self.draft(size, picture or least_picture(size))

    def sizes(self) -> tuple[float, ...]:
        """Return the sizes to try; a larger sheet, set larger, may have smaller ones."""
        is_larger = self.sheet.scale > 1 and not self.sheet.large
        return (*SIZES, 8.5, 8.0, 7.5) if is_larger else SIZES

    def has_pictures(self) -> bool:
        """Return whether the card has pictures."""
        return any(task.pictures for task in self.card.tasks)

    # ------------------------------------------------------------ several pages

    def on_several_pages(self) -> tuple[_Draft, list[list[Piece]]]:
        """Return a draft and its pages: as few as usual, with the largest text they allow."""

        def pages(size: float, picture: float) -> int:
            return len(self.filled(self.draft(size, picture)))

        def fits(size: float, picture: float) -> bool:
            columns = self.draft(size, picture).columns
            return not is_broken(self.card, columns) and pages(size, picture) <= few

        flows = [f for f in self.flows() if not is_broken(self.card, self.draft(*f).columns)]
        flows = flows or [self.flows()[-1]]
        counts = [pages(*flow) for flow in flows]
        few = min(counts)
        least, height = flows[counts.index(few)]
        sizes = [s for s in SIZES if s > least]
        size = _first(sizes, lambda s: fits(s, height)) or least
        heights = [h for h in PICTURES if h > height] if self.has_pictures() else []
        picture = _first(heights, lambda h: fits(size, h)) or height
        draft = self.draft(size, picture)
        return draft, self.evened(draft, few)

    def evened(self, draft: _Draft, few: int) -> list[list[Piece]]:
        """Return the pages filled as evenly as can be without one more page."""
        shares = [share / 100 for share in range(40, 100, 4)]
        for share in shares:
            pages = self.filled(draft, share)
            if len(pages) <= few:
                return pages
        return self.filled(draft)

    def filled(self, draft: _Draft, share: float = 1.0) -> list[list[Piece]]:
        """Fill pages to a share of their room, one after the other."""
        pages = _Pages(planner=self, draft=draft, share=share)
        for piece in draft.strip:
            pages.put(piece)
        for place, (task, block) in enumerate(zip(draft.tasks, draft.blocks, strict=True), start=1):
            is_last = place == len(draft.tasks)
            pages.put_task(task, block, draft.total if is_last else None)
        if not draft.tasks:
            pages.put(draft.total)
        for piece in self.ending(draft):
            pages.put(piece)
        return pages.done


def least_picture(size: float) -> float:
    """Return the smallest pictures in mm that go with a size of text: 24, 30 at 14 points."""
    return 24.0 + 2 * max(0.0, size - 11)


def _first(falling: Sequence[float], is_good: Callable[[float], bool]) -> float | None:
    """Return the first good one of a row in which all after the first good one are good."""
    low, high = 0, len(falling)
    while low < high:
        middle = (low + high) // 2
        if is_good(falling[middle]):
            high = middle
        else:
            low = middle + 1
    return falling[low] if low < len(falling) else None


class _Pages:
    """Pages being filled."""

    def __init__(self, *, planner: _Planner, draft: _Draft, share: float) -> None:
        self.planner = planner
        self.draft = draft
        self.share = share
        self.done: list[list[Piece]] = [[]]
        self.left = planner.room() * share

    def put(self, piece: Piece) -> None:
        """Put a piece on this page or the next."""
        if piece.height > self.left and self.done[-1]:
            self.turn()
        self.done[-1].append(piece)
        self.left -= piece.height

    def turn(self) -> None:
        """Begin a new page."""
        self.done.append([])
        self.left = self.planner.room(False) * self.share

    def put_task(self, task: TaskRows, block: Piece, total: Piece | None) -> None:
        """Put a task on one page if that wastes little, else step by step."""
        after = total.height if total else 0.0
        fresh = self.planner.room(False) * self.share - self.draft.heads.height
        height = block.height + after
        if height <= self.left - self.heads_height():
            self.put_row(block)
        elif height <= fresh * LONG_TASK or (
            height <= fresh and self.left < self.planner.room(False) * 0.35
        ):
            self.turn()
            self.put_row(block)
        else:
            self.put_parts(task, after)
        if total:
            self.put(total)

    def put_parts(self, task: TaskRows, after: float) -> None:
        """Put as many rows of a task on each page as fit; the last keep room for `after`."""
        count = max(len(task.rows), 1)
        start = 0
        while start < count:
            end = self.fitting(task, start, after)
            if end == start and self.done[-1]:
                self.turn()
                if start:
                    self.put_heads()
                    self.put(again_piece(self.planner.card, task.task, self.draft.columns))
                end = self.fitting(task, start, after)
            # A row higher than a page cannot be: rows are cut before.
            end = max(end, start + 1)
            self.put_row(task.block(start, end))
            start = end

    def fitting(self, task: TaskRows, start: int, after: float) -> int:
        """Return before which row of a task this page ends."""
        left = self.left - self.heads_height()
        count = len(task.rows)
        for end in range(count, start, -1):
            if task.block(start, end).height + (after if end == count else 0.0) <= left:
                return end
        return start

    def heads_height(self) -> float:
        """Return the room for column heads, where they do not stand on this page yet."""
        return 0.0 if self.has_heads() else self.draft.heads.height

    def has_heads(self) -> bool:
        """Return whether the column heads stand on this page."""
        return any(piece.kind == "heads" for piece in self.done[-1])

    def put_heads(self) -> None:
        """Put the column heads on this page if they are missing."""
        if not self.has_heads():
            self.done[-1].append(self.draft.heads)
            self.left -= self.draft.heads.height

    def put_row(self, piece: Piece) -> None:
        """Put a piece of a task below column heads."""
        self.put_heads()
        self.done[-1].append(piece)
        self.left -= piece.height
