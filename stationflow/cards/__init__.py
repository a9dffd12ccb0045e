"""Station cards: content made from the plan, set on paper, as a web page or as a workbook."""

from stationflow.cards.bundle import cards_zip, safe_name
from stationflow.cards.card import Card
from stationflow.cards.card_workbook import cards_workbook
from stationflow.cards.content import station_cards
from stationflow.cards.layouts import Layout, layouts
from stationflow.cards.paper import Paper
from stationflow.cards.printing import cards_pdf, cards_png
from stationflow.cards.selfcheck import check_cards, check_pictures, check_stored_pictures
from stationflow.cards.web_page import cards_html
from stationflow.cards.words import Language

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
