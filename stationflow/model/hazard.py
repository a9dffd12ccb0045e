"""Hazards of assembly work, with the usual caution and protective equipment.

The catalogue lists what is common practice in electrical assembly (no source);
it never replaces a risk assessment. Every caution ends by deferring to the
site's rules and local law.
"""

from dataclasses import dataclass
from enum import StrEnum

DEFER = "Follow site rules and local law; if in doubt stop and ask."
"""How every caution ends."""


class Hazard(StrEnum):
    """A kind of hazard a task can bear."""

    STATIC = "static"
    FUME = "fume"
    HOT = "hot"
    LEAD = "lead"
    HIGH_VOLTAGE = "high-voltage"
    MAINS = "mains"
    AIR_TOOL = "air-tool"
    SHARP = "sharp"
    HEAVY = "heavy"
    MOVING = "moving"
    CHEMICAL = "chemical"
    NOISE = "noise"
    TRAFFIC = "traffic"


@dataclass(frozen=True, slots=True, kw_only=True)
class HazardAdvice:
    """What is usually said and worn for one hazard."""

    title: str
    caution: str  # default words on the card, without `DEFER`
    protection: tuple[str, ...] = ()  # protective equipment, each in a word or two; may be empty


HAZARD_ADVICE: dict[Hazard, HazardAdvice] = {
    Hazard.STATIC: HazardAdvice(
        title="Static-sensitive parts",
        caution="Wear the tested wrist strap. Touch boards at their edges only. "
        "Keep ordinary plastics away.",
        protection=("wrist strap",),
    ),
    Hazard.FUME: HazardAdvice(
        title="Solder fume and flux",
        caution="Extraction on before work starts. Wash hands after work. "
        "Do not eat or drink here.",
        protection=("fume extraction",),
    ),
    Hazard.HOT: HazardAdvice(
        title="Hot surface",
        caution="Hot: do not touch. No wet parts near the solder bath.",
        protection=("eye protection", "heat gloves"),
    ),
    Hazard.LEAD: HazardAdvice(
        title="Lead",
        caution="Gloves when handling dross. Wash hands and face before breaks.",
        protection=("gloves",),
    ),
    Hazard.HIGH_VOLTAGE: HazardAdvice(
        title="High test voltage",
        caution="Trained persons only. Guard closed before start. Wait for the discharge lamp "
        "before unplugging. Do not rely on a residual-current device.",
    ),
    Hazard.MAINS: HazardAdvice(
        title="Mains voltage",
        caution="Isolate, discharge and verify before touching. Capacitors stay charged "
        "after the plug is out.",
    ),
    Hazard.AIR_TOOL: HazardAdvice(
        title="Driven tool",
        caution="Hold the unit in its jig. Keep fingers clear of the bit.",
        protection=("eye protection",),
    ),
    Hazard.SHARP: HazardAdvice(
        title="Sharp edges",
        caution="Sheet edges and cut leads cut. Do not wipe the bench with bare hands.",
        protection=("cut-resistant gloves", "eye protection"),
    ),
    Hazard.HEAVY: HazardAdvice(
        title="Heavy lift",
        caution="Lift with two persons or with the lifting aid. Keep the load close to the body.",
        protection=("safety shoes",),
    ),
    Hazard.MOVING: HazardAdvice(
        title="Moving conveyor",
        caution="No loose clothing or gloves near the belt. Know where the stop cord is.",
    ),
    Hazard.CHEMICAL: HazardAdvice(
        title="Adhesive or cleaner",
        caution="Ventilation on. No open flame. Close the bottle after use.",
        protection=("gloves",),
    ),
    Hazard.NOISE: HazardAdvice(
        title="Noise or strong light",
        caution="Stay outside the marked zone while the test runs.",
        protection=("hearing protection",),
    ),
    Hazard.TRAFFIC: HazardAdvice(
        title="Vehicles and stacks",
        caution="Stay behind the floor line. Do not stack above the mark.",
        protection=("safety shoes",),
    ),
}
"""What is usually said and worn, by hazard."""
