"""Cards as one page for a browser or a tablet: everything inside, nothing fetched, prints well."""

import base64
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from html import escape
from pathlib import Path

from stationflow.cards import said
from stationflow.cards.card import Card, CardCheck, CardPicture, CardTask, TimeBar
from stationflow.cards.code import code_svg
from stationflow.cards.marks import marked
from stationflow.cards.paper import Paper
from stationflow.cards.picture_files import readable_picture
from stationflow.errors import CardError

HERE = Path(__file__).parent
POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
"""What the page may fetch: nothing."""
MARGIN_MM = 10


def cards_html(
    cards: Sequence[Card],
    pictures: Mapping[str, bytes],
    *,
    paper: Paper = Paper.A4,
    portrait: bool = False,
    large_print: bool = False,
) -> bytes:
    """Return the cards as one HTML page in UTF-8, pictures and symbols inside.

    Printed by a browser, each card begins on a new page and its header stands on every page.

    A picture that cannot be read has a frame in its place.

    Raises
    ------
    CardError
        If there are no cards.
    """
    if not cards:
        raise CardError("There are no cards to print.", "Balance the line first.")
    first = cards[0]
    shown = _data_addresses(cards, pictures)
    body = "".join(_card(card, shown) for card in cards)
    title = f"{first.say('Station cards')} {first.product_code} {first.line_label}"
    page = (
        f'<!DOCTYPE html>\n<html lang="{escape(first.language)}" dir="{_direction(first)}"'
        f'{" class=large" if large_print else ""}>\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{_style(paper, portrait)}</style>\n</head>\n"
        f"<body>\n{_sprite(cards)}{_contents(cards)}{body}</body>\n</html>\n"
    )
    return page.encode("utf-8", "replace")


def _style(paper: Paper, portrait: bool) -> str:
    """Return the style sheet with the colours of the printed cards and the size of the paper."""
    colours = json.loads((HERE / "template" / "palette.json").read_text("utf-8"))
    names = "".join(f"--{name}:{colour};" for name, colour in colours.items())
    width, height = paper.size_mm(portrait=portrait)
    sheet = f"@page{{size:{width}mm {height}mm;margin:{MARGIN_MM}mm}}"
    return f":root{{{names}}}{sheet}\n{(HERE / 'template' / 'card.css').read_text('utf-8')}"


def _direction(card: Card) -> str:
    """Return the direction a card is read in."""
    return "rtl" if card.to_left else "ltr"


def _text(card: Card, words: str, tag: str = "span", style: str = "") -> str:
    """Return words of the engineer, escaped, in the direction of their own first letter."""
    shown = escape(marked(words) if card.to_left else words).replace("\n", "<br>")
    kind = f' class="{style}"' if style else ""
    return f'<{tag}{kind} dir="auto">{shown}</{tag}>'


def _contents(cards: Sequence[Card]) -> str:
    """Return the links to the stations; on paper they are left out."""
    if len(cards) < 2:
        return ""
    links = "".join(f'<a href="#station-{c.station}">{c.station}</a>' for c in cards)
    return f'<nav aria-label="{escape(cards[0].say("Station cards"))}">{links}</nav>\n'


def _sprite(cards: Sequence[Card]) -> str:
    """Return the symbols in use, once for all cards."""
    names = dict.fromkeys(
        name
        for card in cards
        for name in (*(c.symbol for c in card.cautions), *(p.symbol for p in card.protection))
    )
    made = []
    for name in (*names, "check"):
        drawing = (HERE / "symbols" / f"{name}.svg").read_text("utf-8")
        inside = re.sub(r"^.*?<svg[^>]*>|</svg>\s*$", "", drawing, flags=re.DOTALL)
        made.append(f'<symbol id="s-{name}" viewBox="0 0 100 100">{inside}</symbol>')
    return f'<svg class="sprite" aria-hidden="true">{"".join(made)}</svg>\n'


def _symbol(name: str, words: str) -> str:
    """Return a symbol with what it says."""
    return f'<svg role="img" aria-label="{escape(words)}"><use href="#s-{name}"/></svg>'


def _data_addresses(cards: Iterable[Card], pictures: Mapping[str, bytes]) -> dict[str, str]:
    """Return the pictures in use as addresses that hold the picture itself."""
    named = dict.fromkeys(p.picture for card in cards for task in card.tasks for p in task.pictures)
    addresses = {}
    for name in named:
        read = readable_picture(pictures[name]) if name in pictures else None
        if read is not None:
            data, _, ending = read
            kind = "png" if ending == "png" else "jpeg"
            addresses[name] = f"data:image/{kind};base64,{base64.b64encode(data).decode()}"
    return addresses


def _card(card: Card, shown: Mapping[str, str]) -> str:
    """Return one card; a table around it lets a browser repeat its header on every page."""
    name = card.say("Station {station}", station=card.station)
    content = "".join(
        (
            _safety(card),
            *(_task(card, task, shown) for task in card.tasks),
            _sum(card),
            _supply(card),
            *(
                _text(card, card.say("Note: {remark}", remark=remark), "p", "remark")
                for remark in card.remarks
            ),
            _load(card, card.bar),
            _foot(card),
        )
    )
    return (
        f'<article class="card" id="station-{card.station}" dir="{_direction(card)}" '
        f'aria-label="{escape(name)}"><table class="sheet" role="presentation"><thead><tr><td>'
        f"{_head(card)}</td></tr></thead><tbody><tr><td>{content}</td></tr></tbody></table>"
        "</article>\n"
    )


def _head(card: Card) -> str:
    """Return the header of a card."""
    listed = "".join(
        f"<div><dt>{escape(f.name)}</dt><dd>{_text(card, f.value)}</dd></div>" for f in card.facts
    )
    tags = "".join(_text(card, words, "span", "tag") for words in said.tags(card))
    code = base64.b64encode(code_svg(card.code.content).encode()).decode()
    of = card.say("of {stations}", stations=card.stations)
    return (
        f'<header><div class="head"><div class="badge">{escape(card.say("STATION"))} '
        f'<b>{card.station}</b> <span class="small">{escape(of)}</span></div>'
        f'<div class="names">{_text(card, card.product_name or card.product_code, "h1")}'
        f"{_text(card, f'{card.product_code}   {card.line_label}', 'p')}"
        f'<dl class="facts">{listed}</dl></div>{tags}'
        f'<img class="code" alt="{escape(card.code.content)}" '
        f'src="data:image/svg+xml;base64,{code}"></div>{_band(card)}</header>'
    )


def _band(card: Card) -> str:
    """Return the framed band of a card that is out of date."""
    mark, warning = map(escape, said.band(card))
    return f'<p class="band"><b>{mark}</b> {warning}</p>' if mark else ""


def _safety(card: Card) -> str:
    """Return cautions and protective equipment."""
    if not card.cautions:
        return ""
    cautions = "".join(
        f"<div>{_symbol(c.symbol, c.title)}<p>{_text(card, c.title, 'b')}<br>"
        f"{_text(card, ' '.join(c.texts))}</p></div>"
        for c in card.cautions
    )
    worn = "".join(
        f'<div class="worn">{_symbol(p.symbol, p.word)}{_text(card, p.word)}</div>'
        for p in card.protection
    )
    return (
        f'<section class="safety" aria-label="{escape(card.say("Cautions"))}">{cautions}{worn}'
        f"{_text(card, card.defer, 'p', 'defer')}</section>"
    )


def _task(card: Card, task: CardTask, shown: Mapping[str, str]) -> str:
    """Return one task with its steps, checks and pictures."""
    times = said.model_times(card, task.model_times)
    models = _text(card, " · ".join(times), "p", "small") if times else ""
    figures = "".join(_figure(card, picture, shown) for picture in task.pictures)
    pictures = f'<div class="pictures">{figures}</div>' if figures else ""
    words = "words beside" if figures else "words"
    checks = "".join(_check(card, check) for check in task.checks)
    return (
        f'<section class="task"><h2><span>{task.number}</span>{_text(card, task.name)}'
        f"{_text(card, said.heading_note(card, task), 'span', 'small')}"
        f"{_text(card, f'{task.time} {card.unit}', 'span', 'time')}</h2>{models}"
        f'<div class="body">{pictures}<div class="{words}">{_steps(card, task)}{checks}</div></div>'
        "</section>"
    )


def _steps(card: Card, task: CardTask) -> str:
    """Return the steps of a task as a table with the columns in use."""
    if not task.steps:
        return ""
    used = said.columns_in_use(task.steps)
    heads = "".join(f'<th scope="col">{escape(card.say(head))}</th>' for head, _ in used)
    rows = "".join(
        f"<tr><td>{step.number}</td>"
        f"{''.join(_text(card, said.step_text(step, name), 'td') for _, name in used)}</tr>"
        for step in task.steps
    )
    return (
        f'<table class="steps"><thead><tr><th class="no"></th>{heads}</tr></thead>'
        f"<tbody>{rows}</tbody></table>"
    )


def _check(card: Card, check: CardCheck) -> str:
    """Return a framed check."""
    what, how, fails = said.check_words(card, check)
    left = "<br>".join(_text(card, words, "b") for words in what)
    right = _text(card, how) + (f"<br>{_text(card, fails, 'b')}" if fails else "")
    return (
        f'<div class="check">{_symbol("check", card.say("Check"))}'
        f"<div>{left}</div><div>{right}</div></div>"
    )


def _figure(card: Card, picture: CardPicture, shown: Mapping[str, str]) -> str:
    """Return a picture with its number, or the frame of one that is missing."""
    if picture.picture in shown:
        inside = f'<img src="{shown[picture.picture]}" alt="{escape(picture.text)}">'
    else:
        inside = _text(card, picture.missing, "div", "missing")
    return f"<figure><figcaption>{escape(picture.number)}</figcaption>{inside}</figure>"


def _sum(card: Card) -> str:
    """Return the row with the work of the station."""
    works = said.model_times(card, card.model_work)
    models = _text(card, " · ".join(works), "span", "small") if works else ""
    return (
        f'<p class="sum">{_text(card, card.say("Work of this station"))}{models}'
        f"{_text(card, f'{card.work} {card.unit}', 'span', 'time')}</p>"
    )


def _supply(card: Card) -> str:
    """Return parts and tools as tables."""
    made = []
    for title, heads, rows in said.supply(card):
        head = "".join(f'<th scope="col">{escape(h)}</th>' for h in heads)
        body = "".join(
            f"<tr>{''.join(_text(card, cell, 'td') for cell in row)}</tr>" for row in rows
        )
        made.append(
            f'<section><h3>{escape(title)}</h3><table class="parts"><thead><tr>{head}'
            f"</tr></thead><tbody>{body}</tbody></table></section>"
        )
    return f'<div class="supply">{"".join(made)}</div>' if made else ""


def _load(card: Card, bar: TimeBar) -> str:
    """Return the time bar: tasks against the limit, in numbers and as lengths."""
    ends = [float(s.end) for s in bar.segments]
    longest = max([float(bar.limit), *ends, 0.001])
    spans = "".join(
        f'<span style="width:{100 * float(s.end - s.start) / longest:.3f}%">{s.number} '
        f"{escape(s.time)}</span>"
        for s in bar.segments
    )
    limit = 100 * float(bar.limit) / longest
    return (
        f'<div class="load"><div class="said">{_text(card, said.load_words(card))}'
        f'{_text(card, bar.limit_label, "b")}</div><div class="bar" aria-hidden="true">{spans}'
        f'<i style="width:{limit:.3f}%"></i></div></div>'
    )


def _foot(card: Card) -> str:
    """Return who wrote and approved, and what the code says."""
    signed = "".join(
        f'<div><span><span class="small">{escape(card.say(what))}</span><br>'
        f'{_text(card, name)}</span><span class="small">{escape(card.say("Date, signature"))}'
        "</span></div>"
        for what, name in (("Prepared by", card.prepared_by), ("Approved by", card.approved_by))
    )
    words = _text(card, " · ".join(card.code.words), "p", "small")
    return f'<footer class="foot">{signed}{words}</footer>'
