"""One ordinary set of inputs for each kind of result."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from drainservice.engine.fouling.drain_prior import CLEAN_BUILD, Answer, find_drain_prior
from drainservice.engine.fouling.drain_trend import DrainLimit, DrainReading
from drainservice.engine.fouling.sediment import Feeds, SedimentReading, find_sediment_prior
from drainservice.engine.hydraulics.after_stop import RiseAfterStop
from drainservice.engine.hydraulics.back_flow import BackFlowTest
from drainservice.engine.hydraulics.battery import Battery
from drainservice.engine.hydraulics.curves import PumpPoint, fit_pump_curve
from drainservice.engine.hydraulics.drawdown import DrawdownTest, RefillReading
from drainservice.engine.hydraulics.fittings import Fitting, FittingKind
from drainservice.engine.hydraulics.friction import DarcyColebrook
from drainservice.engine.hydraulics.line import Section
from drainservice.engine.hydraulics.main_line import Main, PitOnMain, resting
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.hydraulics.shared_main import SharedMain
from drainservice.engine.hydraulics.system_duty import DutyInput
from drainservice.engine.rainfall.pit import OnOffPump, stone_pit
from drainservice.engine.results.neighbours import MainInput, OtherPitInput, RiseInput
from drainservice.engine.results.pit import LimitInput, SiltInput, SoakageInput, ToldDrainInput
from drainservice.engine.results.pump import PumpTestInput
from drainservice.engine.results.storm import CapacityInput, Catchment, DemandInput, StormInput
from drainservice.engine.results.supply import BatteryInput
from drainservice.engine.results.trend import DrainTrendInput, SiltTrendInput
from drainservice.engine.results.warning import WarningInput
from drainservice.engine.soakage.drain_time import FULL_TO_EMPTY
from drainservice.engine.soakage.pit import box_pit
from drainservice.engine.units import (
    FOOT_M,
    GPM_M3S,
    HOUR_S,
    INCH_M,
    INCH_PER_HOUR_MS,
    SQUARE_FOOT_M2,
)

DATA = Path(__file__).parents[2] / "data"
CURVE = fit_pump_curve(
    [PumpPoint(q * GPM_M3S, h * FOOT_M) for q, h in [(0, 25.0), (25, 18.0), (45, 6.0)]]
)
RISER = Section(12 * FOOT_M, 1.61 * INCH_M, fittings=(Fitting(FittingKind.SWING_CHECK),))
LATERAL = Section(60 * FOOT_M, 2.067 * INCH_M, DarcyColebrook(1.5e-6))
MAIN = SharedMain(4.026 * INCH_M, 0.01, 20.0, 2.4)
SYSTEM = DutyInput(
    (CURVE,), (RISER, LATERAL), 2.4, 16 * INCH_M, 8 * INCH_M, weep_hole_m=0.1875 * INCH_M,
    joint=MAIN,
)  # fmt: skip
TEST = DrawdownTest(
    Measured(8.285 * SQUARE_FOOT_M2, 0.404 * SQUARE_FOOT_M2),
    Measured(8 * INCH_M, 0.25 * INCH_M),
    Measured(82.0, 0.5),
    (RefillReading(Measured(240.0, 2.0), between_same_marks=True),),
)
PIT = stone_pit((4 * FOOT_M, 4 * FOOT_M), 24 * INCH_M, 0.4, 3.5 * FOOT_M, 0.5 * INCH_PER_HOUR_MS)
CATCHMENT = Catchment(
    PIT,
    (OnOffPump(38 * GPM_M3S, 18 * INCH_M, 6 * INCH_M),),
    1000 * SQUARE_FOOT_M2,
    0.9,
    PIT.depth_m,
)
ON_MAIN = PitOnMain("drive", (CURVE,), (LATERAL,), 0.3, 20.0, 2.4)
NARROW = Main(2.067 * INCH_M, 0.005)
FIRST = date(2010, 1, 1)
# Eleven years: 2 in on every 1 June and 15 June, a tenth on other Mondays.
RAIN = tuple(
    (day, 2 * INCH_M if day.month == 6 and day.day in (1, 15) else 0.1 * INCH_M * (i % 7 == 0))
    for i, day in enumerate(FIRST + timedelta(days=n) for n in range(11 * 365 + 3))
)
OASIS = (DATA / "warnings" / "oasis_cap12_appendix_a2.xml").read_text()

SAMPLES = {
    "pump_test": PumpTestInput(TEST, SYSTEM),
    "back_flow": BackFlowTest(8.3 * SQUARE_FOOT_M2, 0.8 * INCH_M, 0.25 * INCH_M, 17.4 * 0.00378541),
    "rise": RiseInput(RiseAfterStop(0.030, 0.003), RiseAfterStop(0.015, 0.003)),
    "other_pit": OtherPitInput(0.77, Measured(2e-4, 3e-5), Measured(0.0, 3e-5)),
    "main": MainInput(NARROW, (ON_MAIN, resting(ON_MAIN))),
    "soakage": SoakageInput(
        (0.0, 4 * HOUR_S),
        (3.0 * FOOT_M, 1.5 * FOOT_M),
        box_pit(4 * FOOT_M, 4 * FOOT_M, 0.4, 24 * INCH_M),
        3.5 * FOOT_M,
        LimitInput(72 * HOUR_S, FULL_TO_EMPTY, "New Jersey BMP manual ch. 9.3"),
        temperature_c=8.0,
    ),
    "told_drain": ToldDrainInput(
        80 * HOUR_S, LimitInput(72 * HOUR_S, FULL_TO_EMPTY, "New Jersey BMP manual ch. 9.3")
    ),
    "silt": SiltInput(3.0 * INCH_M, 12 * INCH_M, 3.5 * INCH_M),
    "drain_trend": DrainTrendInput(
        date(2022, 5, 10),
        tuple(
            DrainReading(years, hours * HOUR_S, True, "full>empty")
            for years, hours in [(0.0, 14.0), (0.95, 17.0), (2.02, 16.0), (2.98, 22.0)]
        ),
        find_drain_prior(14 * HOUR_S, CLEAN_BUILD),
        DrainLimit(72 * HOUR_S, "full>empty"),
    ),
    "silt_trend": SiltTrendInput(
        date(2024, 5, 10),
        tuple(SedimentReading(float(i), i * INCH_M) for i in range(3)),
        find_sediment_prior(Feeds.ROOF_ONLY, Answer.NO),
        6 * INCH_M,
    ),
    "capacity": CapacityInput(CATCHMENT),
    "storm": StormInput(CATCHMENT, 2 * INCH_M, HOUR_S),
    "demand": DemandInput(CATCHMENT, 18 * INCH_M, 6 * INCH_M, RAIN),
    "battery": BatteryInput(
        Battery(100.0, 12.0), 400.0, 20 * GPM_M3S, 1000 * SQUARE_FOOT_M2, running_share=0.25
    ),
    "warning": WarningInput(
        OASIS,
        datetime(2003, 6, 17, 22, 0, tzinfo=UTC),
        38.4,
        -119.8,
        ("006109",),
        ("Severe Thunderstorm",),
    ),
}
