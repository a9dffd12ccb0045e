"""The few forms in which the machine knows all limits of a line.

Every form says in the engineer's words where it came from, says no to a station, writes
itself into a model of a constraint solver, and is seen from the other end of the line.
"""

from stationflow.balancing.limits.forms.all_forms import (
    NO_FORMS,
    AnyForm,
    Forms,
    Limit,
    forms_in,
    forms_of,
    refusal,
)
from stationflow.balancing.limits.forms.amount_forms import (
    WHOLE_LIMIT,
    Measure,
    Rate,
    SetUp,
    Target,
    TimeAt,
    Turns,
)
from stationflow.balancing.limits.forms.base_form import ALL_FORMS, Form, Placed, SolverModel
from stationflow.balancing.limits.forms.between_forms import Distance, Lag
from stationflow.balancing.limits.forms.place_forms import Group, Pairs, StationSet
from stationflow.balancing.limits.forms.station_sets import (
    ALL_STATIONS,
    earliest,
    from_station,
    latest,
    mirrored,
    station_set,
    up_to_station,
)

__all__ = [
    "ALL_FORMS",
    "ALL_STATIONS",
    "NO_FORMS",
    "WHOLE_LIMIT",
    "AnyForm",
    "Distance",
    "Form",
    "Forms",
    "Group",
    "Lag",
    "Limit",
    "Measure",
    "Pairs",
    "Placed",
    "Rate",
    "SetUp",
    "SolverModel",
    "StationSet",
    "Target",
    "TimeAt",
    "Turns",
    "earliest",
    "forms_in",
    "forms_of",
    "from_station",
    "latest",
    "mirrored",
    "refusal",
    "station_set",
    "up_to_station",
]
