"""How many promises a repair keeps when one of twenty technicians is ill, and the processor time
it takes. The hard days have promises alone, farther apart.

Run by hand: python -m tests.bench.bench_repair
"""

from time import process_time

from drainservice.engine.rounds.repair.repair import first_aid, propose_better
from tests.engine.rounds.broken_days import draw_day

CASES = range(6)
AID_SHARE, AID_S = 0.80, 0.100
BETTER_SHARE, BETTER_S = 0.96, 2.0
# Leaves time for the judge and for whom it disturbs.
SEARCH_S = 1.5
KINDS = {"mixed": {}, "hard": {"planned_share": 0, "side_km": 34}}


def timed(work):
    """What it gives, and the processor seconds it took."""
    began = process_time()
    return work(), process_time() - began


def stop_after(seconds):
    """A wish to stop once so much processor time is used."""
    ends = process_time() + seconds
    return lambda: process_time() > ends


def measure(kind, facts_of_kind):
    """Print each case, and what all give together beside the goals."""
    aids, betters, touched, aid_s, better_s = 0, 0, 0, [], []
    for seed in CASES:
        day = draw_day(seed, **facts_of_kind)
        aid, took_s = timed(lambda day=day: first_aid(*day))
        stop = stop_after(SEARCH_S)
        better, longer_s = timed(lambda day=day, stop=stop: propose_better(*day, should_stop=stop))
        aid_s.append(took_s)
        better_s.append(longer_s)
        touched, aids, betters = touched + aid.touched, aids + aid.kept, betters + better.kept
        print(
            f"{kind} {seed}: {aid.kept}, then {better.kept} of {aid.touched} kept; driving "
            f"{aid.added_drive_s / 60:+.0f}, then {better.added_drive_s / 60:+.0f} min; "
            f"{took_s * 1e3:.0f} ms, {longer_s:.2f} s"
        )
    print(f"first aid keeps {aids} of {touched}, goal {AID_SHARE:.0%}: {aids / touched:.0%}")
    print(f"first aid takes at most {max(aid_s) * 1e3:.0f} ms, goal {AID_S * 1e3:.0f}")
    print(f"searched: {betters} of {touched}, goal {BETTER_SHARE:.0%}: {betters / touched:.0%}")
    print(f"searched: at most {max(better_s):.2f} s, goal {BETTER_S:.0f}")


def main():
    """Print what was measured."""
    for kind, facts_of_kind in KINDS.items():
        measure(kind, facts_of_kind)


if __name__ == "__main__":
    main()
