"""Sets of stations as whole numbers: bit k stands for station k.

Stations are counted from 1. A negative number goes on for ever: -2 is all stations.
"""

from collections.abc import Iterable

ALL_STATIONS = -2


def station_set(numbers: Iterable[int]) -> int:
    """Return a set of stations.

    >>> bin(station_set([1, 3]))
    '0b1010'
    """
    return sum(1 << number for number in set(numbers))


def from_station(number: int) -> int:
    """Return the set of a station and all after it."""
    return -1 << max(number, 1)


def up_to_station(number: int) -> int:
    """Return the set of a station and all before it."""
    return (2 << number) - 2


def earliest(stations: int) -> int:
    """Return the first station of a set that is not empty."""
    return (stations & -stations).bit_length() - 1


def latest(stations: int) -> int | None:
    """Return the last station of a set that is not empty; None: it goes on for ever."""
    return stations.bit_length() - 1 if stations >= 0 else None


def mirrored(stations: int, count: int) -> int:
    """Return a set as seen from the other end of a line of `count` stations.

    >>> bin(mirrored(station_set([1, 3]), 4))
    '0b10100'
    """
    return station_set(count + 1 - k for k in range(1, count + 1) if stations >> k & 1)
