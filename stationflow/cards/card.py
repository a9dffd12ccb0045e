"""What stands on a station card, as text and numbers ready to print."""

from dataclasses import dataclass
from decimal import Decimal

from stationflow.cards.words import say
from stationflow.model.hazard import DEFER


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One named value of the card's header: "Takt time", "62.5 s"."""

    name: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardPicture:
    """A picture, by name, and the number of the task or step it belongs to."""

    number: str
    picture: str
    text: str  # what it shows, for people who cannot see it
    missing: str = ""  # what stands in its frame when it is not there


@dataclass(frozen=True, slots=True, kw_only=True)
class CardStep:
    """One important step; `time` is empty when the step is not timed."""

    number: str
    text: str
    key_point: str = ""
    reason: str = ""
    time: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CardCheck:
    """A check as it stands in its task."""

    text: str
    limit: str
    method: str
    frequency: str
    record: str
    reaction: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardTask:
    """One task of the station; times are printed ones in the card's unit, without the unit."""

    number: int  # place on the card, from 1; its steps are 1.1, 1.2 ...
    task: str  # number in the product
    name: str
    time: str
    is_machine: bool = False
    model_times: tuple[str, ...] = ()  # in the order of `Card.models`
    steps: tuple[CardStep, ...] = ()
    checks: tuple[CardCheck, ...] = ()
    pictures: tuple[CardPicture, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CardPart:
    """A part, how many of it one unit takes here, and where it is first used."""

    number: str
    name: str
    quantity: str
    unit: str
    container: str
    tasks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardTool:
    """A tool and its setting."""

    tool: str
    setting: str
    tasks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardCaution:
    """A caution; `symbol` names a file of `cards/symbols`."""

    symbol: str
    title: str
    texts: tuple[str, ...]
    tasks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Protection:
    """One piece of protective equipment; `symbol` names a file of `cards/symbols`."""

    symbol: str
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BarSegment:
    """One task on the time bar, from `start` to `end` in the card's unit."""

    number: int
    time: str
    start: Decimal
    end: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeBar:
    """The tasks of the station against its limit, in the numbers of the table."""

    segments: tuple[BarSegment, ...]
    limit: Decimal  # in the card's unit
    limit_label: str  # "Station time 58.0 s"
    rest: str  # "idle 5.6 s", "3.2 s over the limit"
    is_over: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Code:
    """The code to scan: what it holds, and the same in words."""

    content: str
    words: tuple[str, ...]
    is_shortened: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """The instruction sheet of one station."""

    product_code: str
    product_name: str
    line: str
    line_label: str
    station: int
    stations: int  # how many the line has
    version_label: str
    dated: str
    prepared_by: str
    approved_by: str
    operators: int
    copies: int
    unit: str  # of all times
    work: str  # the printed load, without unit; the task times add up to it
    facts: tuple[Fact, ...]
    tasks: tuple[CardTask, ...]
    bar: TimeBar
    code: Code
    models: tuple[str, ...] = ()  # those with a time column of their own; empty: one model
    model_work: tuple[str, ...] = ()
    parts: tuple[CardPart, ...] = ()
    tools: tuple[CardTool, ...] = ()
    cautions: tuple[CardCaution, ...] = ()
    protection: tuple[Protection, ...] = ()
    defer: str = DEFER
    mark: str = ""  # "DRAFT", "OUT OF DATE" or empty
    remarks: tuple[str, ...] = ()  # limits not kept, times over the limit
    has_work: bool = True  # no: units only wait there
    language: str = "en"  # of the fixed words
    to_left: bool = False  # whether the card is read from right to left

    def say(self, phrase: str, **values: object) -> str:
        """Return a fixed phrase in the card's language, with values put in."""
        return say(self.language, phrase, **values)
