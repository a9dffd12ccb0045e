"""Where a unit is on its line and when: places, lengths and times of the stations of a plan."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from stationflow.model import BalanceResult, Conveyor, Line, Station, StationSetting
from stationflow.pace.figures import fraction, is_number


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """What keeps a unit at a station beyond its places: a machine it passes through, a soak."""

    time: Fraction = Fraction(0)  # in seconds
    length_m: Fraction = Fraction(0)  # along the line


@dataclass(frozen=True, slots=True, kw_only=True)
class StationPlace:
    """One station of a plan along its line. Times are in seconds after a unit starts on it."""

    number: int
    places: Fraction  # for units, parallel copies and places behind it included
    waiting: int  # places behind it, of those
    length_m: Fraction | None  # along the line; None: not entered
    stay: Fraction  # beyond the places: in a machine, in soak
    reached: Fraction  # when the unit comes to it
    left: Fraction  # when the unit leaves it
    # the same for the first unit on an empty line, which waits nowhere
    first_reached: Fraction
    first_left: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePlaces:
    """The stations of a plan along their line."""

    line: Line
    operating_takt: Fraction  # of one copy of the line, in seconds
    stations: tuple[StationPlace, ...] = ()

    @property
    def places(self) -> Fraction:
        """Places for units on the line."""
        return sum((each.places for each in self.stations), Fraction(0))

    @property
    def stay(self) -> Fraction:
        """Time beyond the places, in machines and soak."""
        return sum((each.stay for each in self.stations), Fraction(0))

    @property
    def through(self) -> Fraction:
        """Time of a unit from its start to the end of the line."""
        return self.stations[-1].left if self.stations else Fraction(0)

    @property
    def length_m(self) -> Fraction | None:
        """Length along the line; None: it is not entered for all stations."""
        lengths = [each.length_m for each in self.stations]
        known = [length for length in lengths if length is not None]
        return sum(known, Fraction(0)) if lengths and len(known) == len(lengths) else None

    def station(self, number: int) -> StationPlace | None:
        """Return the station of this number, or None."""
        return next((each for each in self.stations if each.number == number), None)


def line_places(
    line: Line,
    result: BalanceResult | None,
    operating_takt: Fraction,
    stays: Mapping[int, Stay] | None = None,
) -> LinePlaces:
    """Return the stations of a plan along their line; a bought-in line has none.

    A station is one place, or as many as its length is pitches: whole ones where units step from
    place to place. The places behind stations come besides, but where units wait beside the line.
    Units rest one operating takt on each place. Parallel copies of a station stand one behind the
    other.
    """
    settings = {setting.number: setting for setting in line.stations}
    found: list[StationPlace] = []
    reached = first = Fraction(0)
    stations = result.stations if result is not None else ()
    for at, station in enumerate(stations):
        setting = settings.get(station.number, StationSetting(number=station.number))
        stay = (stays or {}).get(station.number, Stay())
        waiting = line.places_after(station.number, is_last=at == len(stations) - 1)
        waiting = 0 if line.waits_beside else waiting
        places = _places(line, setting, stay) * station.copies + waiting
        left = reached + places * operating_takt + stay.time
        is_paced = line.conveyor != Conveyor.HAND
        alone = (places * operating_takt if is_paced else _work(result, station)) + stay.time
        found.append(
            StationPlace(
                number=station.number,
                places=places,
                waiting=waiting,
                length_m=_length(line, setting, stay, station.copies, waiting),
                stay=stay.time,
                reached=reached,
                left=left,
                first_reached=first,
                first_left=first + alone,
            )
        )
        reached, first = left, first + alone
    return LinePlaces(line=line, operating_takt=operating_takt, stations=tuple(found))


def length_of(metres: float | None) -> Fraction | None:
    """Return a length exactly; None: none is entered, or one that cannot be."""
    return fraction(metres) if metres is not None and is_number(metres) and metres > 0 else None


def _places(line: Line, setting: StationSetting, stay: Stay) -> Fraction:
    """Return the places of one copy of a station: its length in pitches, at least one."""
    pitch, length = length_of(line.pitch_m), length_of(setting.length_m)
    if line.conveyor == Conveyor.HAND or pitch is None or length is None:
        return Fraction(1)
    pitches = (length - stay.length_m) / pitch
    if line.conveyor == Conveyor.INDEXED:
        pitches = Fraction(-(-pitches // 1))
    return max(pitches, Fraction(1))


def _length(
    line: Line, setting: StationSetting, stay: Stay, copies: int, waiting: int
) -> Fraction | None:
    """Return the length a station takes: its own or the pitch, with what stands at it."""
    pitch, length = length_of(line.pitch_m), length_of(setting.length_m)
    if length is not None:
        own = length * copies
    elif pitch is not None:
        own = pitch * copies + stay.length_m
    else:
        return None
    return own + waiting * (pitch or 0)


def _work(result: BalanceResult | None, station: Station) -> Fraction:
    """Return the time one unit is worked on at a station, in seconds."""
    ticks = result.ticks if result else 1
    return Fraction(max(station.work_ticks, station.cycle_ticks), ticks)
