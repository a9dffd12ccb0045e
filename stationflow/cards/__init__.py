"""Station cards: content made from the plan, set on paper."""

from stationflow.cards.card import Card
from stationflow.cards.content import station_cards
from stationflow.cards.paper import Paper
from stationflow.cards.printing import cards_pdf, cards_png
from stationflow.cards.selfcheck import check_cards

__all__ = ["Card", "Paper", "cards_pdf", "cards_png", "check_cards", "station_cards"]
