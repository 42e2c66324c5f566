"""What a rule says about one system: a defect with its consequence, or a question to settle."""

from dataclasses import dataclass
from enum import StrEnum

from drainservice.engine.asbuilt.known import How
from drainservice.engine.failure_mode import FailureMode


class DefectKind(StrEnum):
    """The build mistakes and circumstances the rules know."""

    NO_CHECK_VALVE = "no_check_valve"
    VALVE_LEAKS = "valve_leaks"
    VALVE_ON_SIDE = "valve_on_side"
    VALVE_UPSIDE_DOWN = "valve_upside_down"
    VALVE_AGAINST_FLOW = "valve_against_flow"
    VALVE_BURIED = "valve_buried"
    NO_WEEP_HOLE = "no_weep_hole"
    PUMP_ON_LOOSE_STONE = "pump_on_loose_stone"
    INSERT_NOT_SUPPORTED = "insert_not_supported"
    TEE_JOINT = "tee_joint"
    FINE_STONE = "fine_stone"
    WRONG_FABRIC = "wrong_fabric"
    NO_ACCESS_LID = "no_access_lid"
    LID_BURIED = "lid_buried"
    LID_NOT_CHILD_SAFE = "lid_not_child_safe"
    NEAR_TREES = "near_trees"
    NO_LEAF_TRAP = "no_leaf_trap"
    NEAR_STRUCTURE_DEPENDS_ON_PUMP = "near_structure_depends_on_pump"
    NO_ALARM = "no_alarm"
    NO_GFCI = "no_gfci"
    LINE_HOLDS_WATER_FREEZES = "line_holds_water_freezes"
    RUNS_WITHOUT_RAIN = "runs_without_rain"
    BUCKET_SELDOM_STARTS_PUMP = "bucket_seldom_starts_pump"


class Part(StrEnum):
    """The part a finding belongs to."""

    PIT = "pit"
    PUMP = "pump"
    CHECK_VALVE = "check_valve"
    LINE = "line"
    ACCESS_POINT = "access_point"
    POWER = "power"


@dataclass(frozen=True, slots=True)
class Effects:
    """What a defect changes in the models; factors of 1 and additions of 0 change nothing.

    `rate_factors`: (mode, factor on its failure rate). `proof_coverage`: (mode, share of that
    mode's failures a technician's proof test still shows). `drain_slope_per_a`: added to the yearly
    growth of ln(drain time). `sediment_factor`, `soak_factor`, `leak_back_factor`, `starts_factor`:
    on the sediment slope, the soakage rate when new, the leak-back prior and the starts per storm.
    """

    rate_factors: tuple[tuple[FailureMode, float], ...] = ()
    proof_coverage: tuple[tuple[FailureMode, float], ...] = ()
    drain_slope_per_a: float = 0.0
    sediment_factor: float = 1.0
    soak_factor: float = 1.0
    leak_back_factor: float = 1.0
    starts_factor: float = 1.0


NO_EFFECTS = Effects()


@dataclass(frozen=True, slots=True)
class Finding:
    """One defect: where, what follows in plain words, what to do, and what it changes.

    `how` says how the fact behind it is known. `is_defect` False marks a circumstance nobody built
    wrong (trees near, a structure near). `mend_now` marks what cannot wait for the next visit.
    """

    kind: DefectKind
    part: Part
    how: How
    consequence: str
    action: str
    effects: Effects
    is_defect: bool = True
    mend_now: bool = False


@dataclass(frozen=True, slots=True)
class FirstLookAsk:
    """Something nobody knows: `fact` is the AsBuilt field, then what to find out and why."""

    fact: str
    part: Part
    what: str
    why: str
