"""Target load: a station that may be loaded up to a share of the limit only."""

from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import WHOLE_LIMIT, Limit, Target
from stationflow.units import exact


def _targets(entered: EnteredLimits) -> Iterator[Target]:
    for setting in entered.stations:
        if setting.target_share is not None and setting.target_share < 1:
            share = int(exact(setting.target_share) * WHOLE_LIMIT)
            percent = exact(setting.target_share) * 100
            said = f"station {setting.number} is loaded up to {percent.normalize():f} % only"
            yield Target(((setting.number, share),), said)


LIMIT = Limit(name="target load", station_fields=("target_share",), forms=_targets)
