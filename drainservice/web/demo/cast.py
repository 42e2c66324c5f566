"""The homes with a story: what is odd in the ground, who lives there, and what lies ahead."""

from dataclasses import dataclass, field
from typing import Any

from drainservice.engine.units import FOOT_M, INCH_M


@dataclass(frozen=True, slots=True)
class Story:
    """One home: `ages` are days since each past inspection, `ahead` names what is to come.

    `systems` on one site; `town` one of the four, or any (None).
    """

    name: str
    build: dict[str, Any] = field(default_factory=dict)
    home: str = ""
    years_old: float = 5.0
    ages: tuple[int, ...] = (200, 560, 930)
    ahead: str = ""
    town: int | None = None
    systems: int = 1


SOUND: dict[str, Any] = {"tree_m": 0.0, "has_leaf_trap": True, "weakens_per_a": 0.01}
STORIES = (
    Story(
        "clogging",
        {"drain_h": 17.0, "clogs_per_a": 0.42, "has_leaf_trap": False, "tree_m": 4.5},
        years_old=3.7,
        ages=(24, 200, 390, 745, 1050),
        town=0,
    ),
    Story(
        "slowing",
        {"drain_h": 22.0, "clogs_per_a": 0.2, "has_leaf_trap": False},
        years_old=4.0,
        ages=(60, 425, 800),
        town=1,
    ),
    Story(
        "tired",
        SOUND | {"pump": "third", "weakens_per_a": 0.115, "consequence": "living_space"},
        years_old=3.5,
        ages=(31, 340, 700, 1040),
    ),
    Story(
        "sideways",
        {"attitude": "on_its_side", "valve_place": "buried", "leaks_back": 0.3, "pump": "third"},
        ages=(75, 430, 800),
        ahead="dig",
        town=0,
    ),
    Story(
        "no_spare",
        {"pump": "half", "consequence": "living_space"},
        ages=(5, 372, 735),
        ahead="mend",
        town=1,
    ),
    Story("swapped", {"pump": "half", "supplied_by": "firm"}, years_old=2.4, ages=(206, 210, 570)),
    Story("pavers", {"pump": "third"}, ages=(20, 395, 770), ahead="unpave", town=1),
    Story("dog", {"pump": "third"}, home="dog", ages=(380, 745), ahead="dog_today", town=0),
    Story("moved_twice", {"pump": "third"}, ages=(350, 715), ahead="moved_twice", town=0),
    Story("never_answers", {"pump": "quarter"}, ages=(470, 830), ahead="never_answers", town=1),
    Story("by_telephone", {"pump": "third"}, home="no_mail", ages=(360, 700), ahead="offered"),
    Story("two_answers", {"pump": "third"}, home="split", ages=(355, 720), ahead="split"),
    Story("not_my_house", {"pump": "half"}, ages=(400, 760), ahead="not_my_house"),
    Story("ended", {"pump": "third"}, home="ended", ages=(370, 735), ahead="not_this_year"),
    Story("another_day", {"pump": "third"}, ages=(345, 690), ahead="another_day"),
    Story(
        "called_off",
        {"pump": "third", "holds_water": True, "consequence": "living_space"},
        ages=(330, 690),
        ahead="called_off",
        town=3,
    ),
    Story("kept_free", {"pump": "third", "has_battery": True}, ages=(300, 660), ahead="held"),
    Story("tenant", {"pump": "third"}, home="tenant", ages=(362, 730), ahead="tomorrow", town=2),
    Story("spanish", {"pump": "third"}, home="spanish", ages=(357, 722), ahead="offered", town=0),
    Story("proved_false", {"pump": "third"}, ages=(36, 40, 410), town=2),
    Story("town_rule", {"pump": "third"}, home="away", ages=(179, 545), town=2),
    Story("sold", {"pump": "third"}, home="sold", ages=(150, 500, 860)),
    Story(
        "arrow",
        {"arrow": "against_flow", "pump": "third", "is_adopted": True},
        years_old=6.0,
        ages=(12,),
        ahead="mend",
        town=2,
    ),
    Story("unknown", {"is_known": False, "is_adopted": True}, ages=(), ahead="first_look"),
    Story("unknown_too", {"is_known": False, "is_adopted": True}, ages=(), ahead="", town=3),
    Story(
        "buried",
        {"cover": "soil", "is_adopted": True, "pump": "pedestal"},
        years_old=8.0,
        ages=(),
        town=0,
    ),
    Story("soil_alone", {"pump": "", "stone": "small", "consequence": "yard"}, ages=(110, 480)),
    Story("light_pump", {"pump": "quarter", "consequence": "near_structure"}, ages=(90, 450)),
    Story("out_of_use", {"pump": "third"}, home="out_of_use", ages=(600,)),
    Story("two_pits", {"pump": "third"}, ages=(365, 728), ahead="today", town=0, systems=2),
    Story("main_upper", {"pump": "third", "joint": "wye"}, ages=(280, 640), town=2),
    Story(
        "main_lower",
        {"pump": "third", "joint": "tee", "leaks_back": 0.6},
        ages=(275, 640),
        ahead="look_into_main",
        town=2,
    ),
)
ON_ONE_MAIN = {"main_upper", "main_lower"}
LEAST_SYSTEMS = 40
HOA = Story(
    "hoa",
    {"pump": "half", "side_m": 5 * FOOT_M, "off_m": 11 * INCH_M},
    home="hoa",
    years_old=4.5,
    ages=(352, 716, 1080),
    ahead="next_week",
    town=1,
)


def hoa_systems(systems: int) -> int:
    """Twelve under one board where there are 240 in all, and fewer where there are fewer."""
    return max(3, systems // 20)
