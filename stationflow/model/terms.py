"""Words of the trade that have two meanings: what is meant here, and what others mean."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """A word of the trade."""

    here: str  # what the word means in Stationflow
    elsewhere: str  # what it means in other books and plants


TERMS: dict[str, Term] = {
    "takt time": Term(
        here="Working time divided by the good units wanted.",
        elsewhere="Some divide by the units started, rejects included; some call it the cycle "
        "time.",
    ),
    "operating takt": Term(
        here="Takt time less what stops and rejects take: one start in this time.",
        elsewhere="Groover calls it the cycle time T_c; others the planned cycle time.",
    ),
    "station time": Term(
        here="Operating takt less repositioning: the limit of the work at one station.",
        elsewhere="Some call the load of a station its station time, or the limit the cycle time.",
    ),
    "limit": Term(
        here="The most work one station may have in a cycle.",
        elsewhere="Many books call it the cycle time, C.",
    ),
    "cycle time": Term(
        here="The load of the slowest station of a plan.",
        elsewhere="Many books mean the limit of a station, or the takt time, which may be longer.",
    ),
    "work content": Term(
        here="The sum of all task times of one unit.",
        elsewhere="Some add repositioning and waiting, and call that the throughput time.",
    ),
    "balance efficiency": Term(
        here="Work content / (stations x limit); also on the cycle time.",
        elsewhere="Some take the cycle time reached instead of the limit, and some call it line "
        "efficiency.",
    ),
    "line efficiency": Term(
        here="Not used: the word has two meanings.",
        elsewhere="For Groover the share of time the line runs (here availability); for others the "
        "balance efficiency.",
    ),
    "balance delay": Term(
        here="1 - balance efficiency on the same base, as a share.",
        elsewhere="Some mean the idle time itself, in seconds for each unit.",
    ),
    "smoothness index": Term(
        here="Root of the sum of squared gaps between the largest load and each load; 0 is level.",
        elsewhere="Some take the limit or the mean load in place of the largest load, or divide by "
        "the number of stations.",
    ),
    "idle time": Term(
        here="What all stations together have left of the base in one cycle.",
        elsewhere="In the workshop also: time a machine or line stands.",
    ),
    "lower bound": Term(
        here="Proven: no plan can do with less.",
        elsewhere="Books that know only work content / limit call that the theoretical minimum "
        "number of stations.",
    ),
    "gap": Term(
        here="How far the plan is above the lower bound; the best plan may be nearer to it.",
        elsewhere="Some divide by the value reached instead of the bound.",
    ),
    "positional weight": Term(
        here="Own time plus the times of all tasks that cannot start before it.",
        elsewhere="The reverse weight adds the tasks before; some leave the own time out.",
    ),
    "order strength": Term(
        here="Share of the pairs of tasks whose order is fixed: 0 free, 1 one chain.",
        elsewhere="The flexibility ratio counts the free pairs instead: 1 - order strength.",
    ),
    "availability": Term(
        here="Share of the working time the line runs, unplanned stops taken off.",
        elsewhere="In other plants planned stops are in it too, or it is called line efficiency.",
    ),
    "yield": Term(
        here="Share of the started units that become good in the end.",
        elsewhere="The first-pass yield counts only units good without repair; a yield of each "
        "operation multiplies along the line.",
    ),
    "pitch": Term(
        here="Distance between two units on the conveyor, in metres.",
        elsewhere="In lean terms the time for one pack: takt time x units in a pack.",
    ),
    "workers": Term(
        here="Fewest people for the work, one at each station.",
        elsewhere="Groover's w* leaves balance efficiency and repositioning out.",
    ),
}
"""Each word with both meanings."""


def meaning(word: str) -> str:
    """Return what a word means here and elsewhere, in two sentences; unknown: nothing.

    >>> meaning("limit").partition(" Elsewhere: ")[0]
    'The most work one station may have in a cycle.'
    """
    term = TERMS.get(word)
    return f"{term.here} Elsewhere: {term.elsewhere}" if term else ""
