"""A pit in EPA SWMM 5.2 (through pyswmm): storage, seepage through its bottom, pumps by level."""

from dataclasses import dataclass
from pathlib import Path

OPTIONS = """[OPTIONS]
FLOW_UNITS CFS
FLOW_ROUTING DYNWAVE
START_DATE 01/01/2026
START_TIME 00:00:00
REPORT_START_DATE 01/01/2026
REPORT_START_TIME 00:00:00
END_DATE 01/{day:02d}/2026
END_TIME {hour:02d}:00:00
ROUTING_STEP 1
VARIABLE_STEP 0
REPORT_STEP 00:01:00
WET_STEP 00:01:00
DRY_STEP 00:01:00
MIN_SURFAREA 0.01
"""
# SWMM 5.2.4 fails on a network without a link, so a pit without a pump gets one out of reach.
OUT_OF_REACH = (0.01, 900.0, 800.0)


@dataclass(frozen=True)
class SwmmRun:
    """SWMM's figures, in ft and ft3."""

    max_depth_ft: float
    final_depth_ft: float
    starts: list[int]
    pumped_ft3: float
    seeped_ft3: float
    flooded_ft3: float


def run_swmm(folder: Path, area_ft2, depth_ft, seepage_in_h, inflow_cfs, hours, pumps) -> SwmmRun:
    """Run one pit; inflow as (minutes, ft3/s) points, pumps as (gpm, on ft, off ft)."""
    from pyswmm import Links, Nodes, Simulation

    rows = [(gpm / 448.831, on, off) for gpm, on, off in pumps] or [OUT_OF_REACH]
    text = [
        OPTIONS.format(day=1 + hours // 24, hour=hours % 24),
        "[OUTFALLS]",
        *(f"OUT{i} 0 FREE NO" for i in range(len(rows))),
        "\n[STORAGE]",
        f"PIT 0 {depth_ft} 0 FUNCTIONAL 0 0 {area_ft2} 0 0 0 {seepage_in_h} 0\n\n[PUMPS]",
        *(f"P{i} PIT OUT{i} C{i} OFF {on} {off}" for i, (_, on, off) in enumerate(rows)),
        "\n[CURVES]",
        *(f"C{i} Pump4 0 {cfs}\nC{i} 1000 {cfs}" for i, (cfs, _, _) in enumerate(rows)),
        "\n[INFLOWS]\nPIT FLOW T FLOW 1.0 1.0\n\n[TIMESERIES]",
        *(f"T {int(m) // 60}:{int(m) % 60:02d} {cfs}" for m, cfs in inflow_cfs),
    ]
    file = folder / "pit.inp"
    file.write_text("\n".join(text) + "\n")
    with Simulation(str(file)) as sim:
        pit, links = Nodes(sim)["PIT"], [Links(sim)[f"P{i}"] for i in range(len(rows))]
        for _ in sim:
            pass
        return SwmmRun(
            pit.statistics["max_depth"],
            pit.depth,
            [link.pump_statistics["number_startups"] for link in links][: len(pumps)],
            sum(link.pump_statistics["total_volume"] for link in links),
            pit.storage_statistics["exfil_loss"],
            pit.statistics["flooding_volume"],
        )
