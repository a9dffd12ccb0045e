"""Station cards: content made from the plan, set on paper, as a web page or as a workbook.

Three rooms that do not know each other: `contents/` fills a card from product and plan, `workbook/`
writes cards as a workbook, `reports/` sets reports of the line. What they share stands beside them
and imports none of them: the card, its words and signs, its setting on paper and as a web page.
"""

from stationflow.cards.bundle import cards_zip, safe_name
from stationflow.cards.card import Card
from stationflow.cards.contents.content import station_cards
from stationflow.cards.contents.selfcheck import check_cards, check_pictures, check_stored_pictures
from stationflow.cards.layouts import Layout, layouts
from stationflow.cards.paper import Paper
from stationflow.cards.printing import cards_pdf, cards_png
from stationflow.cards.web_page import cards_html
from stationflow.cards.words import Language
from stationflow.cards.workbook.card_workbook import cards_workbook

__all__ = [
    "Card",
    "Language",
    "Layout",
    "Paper",
    "cards_html",
    "cards_pdf",
    "cards_png",
    "cards_workbook",
    "cards_zip",
    "check_cards",
    "check_pictures",
    "check_stored_pictures",
    "layouts",
    "safe_name",
    "station_cards",
]
