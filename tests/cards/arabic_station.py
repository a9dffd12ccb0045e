"""Two tasks of the desk fan in Arabic, for cards read from right to left."""

from dataclasses import replace

from sample_station import fan, plan_of

from stationflow.cards import station_cards
from stationflow.model import Caution, Check, Hazard, PartUse, Step, Task, ToolUse

TASKS = (
    Task(
        number="010",
        name="ضع اللوح القاعدي في الحامل",
        time_ms=6400,
        steps=(
            Step(
                text="خذ لوحا قاعديا وافحص حافته",
                key_point="لا خدش أطول من 5 mm",
                reason="الحافة أول ما يلمسه الزبون",
                picture="base.png",
            ),
            Step(text="ضعه مقلوبا على الحامل J-07", key_point="فتحة الكابل نحو المسمار"),
        ),
        parts=(PartUse(part="FN-110"),),
        cautions=(Caution(hazard=Hazard.SHARP),),
    ),
    Task(
        number="020",
        name="ثبّت حامل المحرك",
        time_ms=12_850,
        steps=(Step(text="شد أربعة براغي SC-4012 بعزم 1.2 Nm بالتقاطع"),),
        parts=(PartUse(part="SC-4012", quantity=4),),
        tools=(ToolUse(tool="مفك D-2", setting="1.2 Nm"),),
        checks=(Check(text="الحامل لا يتحرك باليد", limit="0.10 ohm أو أقل"),),
    ),
)


def arabic_cards():
    """Return the card of both tasks."""
    product = replace(fan(tasks=TASKS), name="مروحة مكتبية")
    return station_cards(product, plan_of(product, ("010", "020")), version_label="version 7")[0]
