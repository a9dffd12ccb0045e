"""The methods by name."""

from stationflow.balancing.methods.comsoal import make_comsoal
from stationflow.balancing.methods.easy_lines import EasyLines
from stationflow.balancing.methods.exact import Exact, prepare_exact
from stationflow.balancing.methods.method import MethodInfo
from stationflow.balancing.methods.priority import Priority, PriorityRule
from stationflow.balancing.methods.rules import (
    by_column,
    by_followers,
    by_positional_weight,
    by_time,
)


def _rule(name: str, title: str, source: str, priority: Priority) -> MethodInfo:
    return MethodInfo(
        name=name,
        title=title,
        uses=frozenset({"direction"}),
        source=source,
        make=lambda options: PriorityRule(priority, options.direction),
    )


METHODS: dict[str, MethodInfo] = {
    method.name: method
    for method in (
        _rule(
            "ranked-positional-weight",
            "Ranked positional weight",
            "Helgeson and Birnie (1961), Journal of Industrial Engineering 12(6), 394-398",
            by_positional_weight,
        ),
        MethodInfo(
            name="comsoal",
            title="COMSOAL",
            uses=frozenset({"seconds", "trials", "seed"}),
            source="Arcus (1966), International Journal of Production Research 4(4), 259-277",
            make=make_comsoal,
        ),
        _rule(
            "largest-candidate",
            "Largest candidate rule",
            "Groover, Automation, Production Systems, and Computer-Integrated Manufacturing",
            by_time,
        ),
        _rule(
            "kilbridge-wester",
            "Kilbridge-Wester columns",
            "Kilbridge and Wester (1961), Journal of Industrial Engineering 12(4), 292-298",
            by_column,
        ),
        _rule(
            "most-followers",
            "Most followers",
            "Jacobs and Chase, Operations and Supply Chain Management",
            by_followers,
        ),
        MethodInfo(
            name="exact",
            title="Exact",
            uses=frozenset({"seconds", "seed", "cores", "memory_mb", "nodes"}),
            source="Sewell and Jacobson (2012), INFORMS Journal on Computing 24(3), 433-442",
            make=Exact,
            first=EasyLines(),
            seconds=60.0,
            prepare=prepare_exact,
        ),
    )
}
"""Every method, by the name it is asked for."""

NOT_MADE = {"given": "Given", "by-hand": "By hand"}
"""What is said in place of a method where none made the plan."""


def method_title(name: str) -> str:
    """Return what people call a method, or what is said where none made the plan."""
    return METHODS[name].title if name in METHODS else NOT_MADE.get(name, name)
