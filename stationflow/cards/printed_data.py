"""What the template sets: the words and numbers of a card, and what it needs to measure them."""

import re
from collections.abc import Iterable
from typing import Any
from unicodedata import category

from stationflow.cards import said
from stationflow.cards.card import Card, CardTask
from stationflow.cards.code import code_svg
from stationflow.cards.marks import with_marks

# East Asian characters stand without spaces between words; a line may end after each.
WORD = re.compile(r"(?:\u00a0|[^\s\u2e80-\u9fff\uac00-\ud7af\uf900-\ufaff\uff00-\uffef])+")
WIDE = re.compile(r"[MWmw@%&\u2190-\u2bff]")
LONGEST = 20
"""Width in em, roughly, from which on a word may be broken anywhere: no column holds it."""
BREAK = "\N{ZERO WIDTH SPACE}"
MARKS = ("Mn", "Mc", "Me", "Cf")
NO_BREAK = "\N{NO-BREAK SPACE}"
MASS = 300
"""Letters of one text that count when columns share the room."""
LONG_FACT = 30


def card_data(card: Card) -> dict[str, Any]:
    """Return a card as the template reads it."""
    data: dict[str, Any] = _with_breaks(_data(card))
    return with_marks(data) if card.to_left else data


def _data(card: Card) -> dict[str, Any]:
    """Return the words and numbers of a card."""
    mark, warning = said.band(card)
    name = card.product_name or card.product_code
    steps = tuple(s for task in card.tasks for s in task.steps)
    columns = said.columns_in_use(steps)
    heads = columns or [("Task", "text")]
    numbers = [*(str(task.number) for task in card.tasks), *(s.number for s in steps)]
    times = [*(task.time for task in card.tasks), card.work]
    models = [
        {
            "name": model,
            "longest": _longest([model]),
            "work": card.model_work[place],
            "times": sorted(
                (*(t.model_times[place] for t in card.tasks), card.model_work[place]), key=len
            )[-1:],
        }
        for place, model in enumerate(card.models)
    ]
    return {
        "head": {
            "station_word": card.say("STATION"),
            "station": str(card.station),
            "of": card.say("of {stations}", stations=card.stations),
            "name": name,
            "code_line": f"{card.product_code}   {card.line_label}",
            "again": f"{name}  ·  {card.product_code}  ·  {card.line_label}",
            "continued": card.say("continued"),
            "facts": [(f.name, _short(f.value)) for f in card.facts],
            "tags": [_short(tag) for tag in said.tags(card)],
            "band": mark,
            "warning": warning,
            "code_svg": code_svg(card.code.content),
            "code_content": card.code.content,
            "code_words": card.code.words,
            "prepared_by": card.say("Prepared by"),
            "prepared": card.prepared_by,
            "approved_by": card.say("Approved by"),
            "approved": card.approved_by,
            "signature": card.say("Date, signature"),
            "date": card.say("Date"),
        },
        "strip": {
            "cautions": [
                {"symbol": c.symbol, "title": c.title, "text": " ".join(c.texts)}
                for c in card.cautions
            ],
            "defer": card.defer,
            "protection": [{"symbol": p.symbol, "word": p.word} for p in card.protection],
            "worn_words": _longest(p.word for p in card.protection),
        },
        "columns": {
            "words": [card.say(head) for head, _ in heads],
            "models": models,
            "time": card.say("Time"),
            "check": card.say("Check"),
            "continued": card.say("continued"),
            "sum": card.say("Work of this station"),
            "work": f"{card.work} {card.unit}",
        },
        "heads": [
            {
                "longest": _longest([card.say(head)]),
                "mass": sum(min(len(getattr(s, field)), MASS) for s in steps) or 1,
                "words": _longest(said.step_text(s, field) for s in steps),
            }
            for head, field in heads
        ],
        "numbers": sorted(numbers, key=len)[-1:],
        "times": sorted((f"{time} {card.unit}" for time in times), key=len)[-1:],
        "longest": _longest(said.step_text(s, field) for s in steps for _, field in columns),
        "longest_name": _longest(task.name for task in card.tasks),
        "tasks": [_task(card, task, [field for _, field in columns]) for task in card.tasks],
        "tables": _tables(card),
        "remarks": [card.say("Note: {remark}", remark=remark) for remark in card.remarks],
        "bar": _bar(card),
    }


def _task(card: Card, task: CardTask, fields: list[str]) -> dict[str, Any]:
    """Return a task: its steps in the columns in use, its checks as lines of two halves."""
    checks = []
    for check in task.checks:
        what, how, fails = said.check_words(card, check)
        halves = {
            "left": [(words, True) for words in what],
            "right": [(words, bold) for words, bold in ((how, False), (fails, True)) if words],
        }
        words = {f"{k}_words": _longest(w for w, _ in lines) for k, lines in halves.items()}
        checks.append({**halves, **words})
    return {
        "number": str(task.number),
        "name": task.name,
        "note": said.heading_note(card, task),
        "time": f"{task.time} {card.unit}",
        "model_times": task.model_times,
        "steps": [
            {"number": s.number, "texts": [said.step_text(s, field) for field in fields]}
            for s in task.steps
        ],
        "checks": checks,
        "pictures": [
            {"number": p.number, "picture": p.picture, "text": p.text, "missing": p.missing}
            for p in task.pictures
        ],
    }


def _tables(card: Card) -> list[dict[str, Any]]:
    """Return parts and tools as rows of cells, a cell as words and how they look."""
    parts = [
        (
            [(said.amount(p).replace(" ", NO_BREAK), "bold")],
            [(p.name or p.number, "bold"), *([(p.number, "quiet")] if p.name else [])],
            [(p.container, "bold")],
        )
        for p in card.parts
    ]
    tools = [([(t.tool, "plain")], [(t.setting, "bold")]) for t in card.tools]
    tables = (
        ("Parts, in order of use", 1, (True, False, False), parts),
        ("Tools and settings", 0, (False, True), tools),
    )
    return [
        {
            "title": card.say(title),
            "grows": grows,
            "ends": ends,
            "rows": rows,
            "columns": [
                {
                    "natural": sorted({" ".join(w for w, _ in cell) for cell in column}),
                    "words": _longest(w for cell in column for w, _ in cell),
                }
                for column in zip(*rows, strict=True)
            ],
        }
        for title, grows, ends, rows in tables
    ]


def _bar(card: Card) -> dict[str, Any]:
    """Return the time bar in the printed numbers."""
    bar = card.bar
    load = float(bar.segments[-1].end) if bar.segments else 0.0
    return {
        "segments": [
            {"start": float(s.start), "end": float(s.end), "number": str(s.number), "time": s.time}
            for s in bar.segments
        ],
        "limit": float(bar.limit),
        "load": load,
        "longest": max(float(bar.limit), load, 0.001),
        "label": bar.limit_label,
        "said": said.load_words(card),
        "rest": bar.rest,
        "is_over": bar.is_over,
    }


def _short(text: str) -> str:
    """Return the beginning of a text that has one line of the header."""
    return text if len(text) <= LONG_FACT else text[: LONG_FACT - 1].rstrip() + "…"


def _longest(texts: Iterable[str]) -> list[str]:
    """Return the longest words of texts; one that may be broken anywhere does not count."""
    words = {word for text in texts for word in WORD.findall(text)}
    fitting = ((_width(word), word) for word in words)
    return [word for width, word in sorted(f for f in fitting if f[0] <= LONGEST)[-3:]]


def _width(word: str) -> float:
    """Return roughly how wide a word is, in em."""
    return len(word) * 0.62 + len(WIDE.findall(word)) * 0.33


def _breakable(word: str) -> str:
    """Return a word with breaks before its letters; marks stay with theirs."""
    if word.isascii():
        return BREAK.join(word)
    return "".join(c if category(c) in MARKS else BREAK + c for c in word).removeprefix(BREAK)


def _with_breaks(content: Any) -> Any:
    """Return data in which a word no column holds may be broken anywhere."""
    if isinstance(content, str):
        return (
            WORD.sub(lambda w: _breakable(w[0]) if _width(w[0]) > LONGEST else w[0], content)
            if len(content) > LONGEST and not content.startswith("<svg")
            else content
        )
    if isinstance(content, dict):
        return {k: _with_breaks(v) for k, v in content.items()}
    if isinstance(content, (list, tuple)):
        return [_with_breaks(value) for value in content]
    return content
